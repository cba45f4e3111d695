"""Words of sessions in the ledger: those of a part are kept where they are not its kind's usual.

Most parts have the same words each time, so that a line of the ledger stays short. Other words
stand there in English as they were said; they are found again among those that the plan would say
now, so that they can be translated.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache

from sitegen.model.case import Case
from sitegen.model.plan import Part, PartKind, Session
from sitegen.model.sentence import Sentence
from sitegen.model.told import as_told, as_written
from sitegen.model.workout import Workout
from sitegen.plan import building

USUAL: dict[PartKind, Sentence] = {
    "warm_up": building.WARM_UP,
    "cool_down": building.COOL_DOWN,
    "walk": building.WALK,
    "beat": building.BEAT,
    "strength": building.STRENGTH,
}


def without_usual(session: Session) -> Session:
    """A session as the ledger keeps it: parts with usual words have none, others plain English;
    minutes as they are written there."""
    is_long = session.kind == "long"
    parts = [
        part._replace(
            text=None if part.text == _usual(part, is_long) else _plain(part.text),
            minutes=as_written(part.minutes),
            hard_minutes=as_written(part.hard_minutes),
        )
        for part in session.parts
    ]
    return session._replace(
        parts=tuple(parts), title=_plain(session.title), purpose=_plain(session.purpose)
    )


def with_words(case: Case, session: Session, id: str) -> Session:
    """A session of the ledger, called ``id``, with all its words, so that they can be translated
    where they are known."""
    workout = case.workouts.get(session.workout)
    title, purpose = session.title, session.purpose
    if workout is not None:
        title, purpose = _as_said(title, (workout.title,)), _as_said(purpose, (workout.purpose,))
    is_long = session.kind == "long"
    parts = [
        _with_usual(part, is_long)
        if part.text is None
        else part._replace(text=_as_said(part.text, _known(case, workout)))
        for part in session.parts
    ]
    return session._replace(id=id, parts=tuple(parts), title=title, purpose=purpose)


@lru_cache(maxsize=2048)  # walks and easy minutes are much alike: 5 % of a year that is over
def _with_usual(part: Part, is_long: bool) -> Part:
    return part._replace(text=_usual(part, is_long))


def _as_said(told: Sentence | None, known: Iterable[Sentence]) -> Sentence | None:
    """Told words as the sentence that they are of; without one as they stand."""
    if told is None:
        return None
    words = str(told)
    return next((sentence for sentence in known if str(sentence) == words), told)


def _known(case: Case, workout: Workout | None) -> Iterator[Sentence]:
    """What the plan would say now in the parts of a session from the same file, or of any."""
    if workout is not None:
        yield from (building.step_words(case, step) for step in workout.steps)
        if workout.text is not None:
            yield workout.text
    yield from (building.EASY, building.LONG, building.BETWEEN, building.event_words(case))
    yield building.EVENT_EASY


def _plain(words: Sentence | None) -> Sentence | None:
    return None if words is None else as_told(str(words))


def _usual(part: Part, is_long: bool) -> Sentence:
    easy = building.LONG if is_long else building.EASY
    return USUAL.get(part.kind, easy)
