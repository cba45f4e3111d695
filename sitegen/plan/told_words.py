"""Words of sessions in the ledger: those of a part are kept where they are not its kind's usual.

Most parts have the same words each time, so that a line of the ledger stays short. Other words
stand there in English as they were said; they are found again among those that the plan would say
now, so that they can be translated.
"""

from __future__ import annotations

from collections.abc import Iterator

from sitegen.model.case import Case
from sitegen.model.plan import Part, PartKind, Session
from sitegen.model.sentence import Sentence
from sitegen.model.told import as_told
from sitegen.plan import building

USUAL: dict[PartKind, Sentence] = {
    "warm_up": building.WARM_UP,
    "cool_down": building.COOL_DOWN,
    "walk": building.WALK,
    "beat": building.BEAT,
    "strength": building.STRENGTH,
}


def without_usual(session: Session) -> Session:
    """A session as the ledger keeps it: parts with usual words have none, others plain English."""
    parts = [
        part._replace(text=None if part.text == _usual(session, part) else _plain(part.text))
        for part in session.parts
    ]
    return session._replace(
        parts=tuple(parts), title=_plain(session.title), purpose=_plain(session.purpose)
    )


def with_words(case: Case, session: Session) -> Session:
    """A session of the ledger with all its words, so that they can be translated where known."""
    said: dict[str, Sentence] = {}
    if session.workout or any(part.text for part in session.parts):
        said = {str(words): words for words in _known(case, session)}

    def found(words: Sentence | None) -> Sentence | None:
        return None if words is None else said.get(str(words), words)

    parts = [
        part._replace(text=found(part.text) or _usual(session, part)) for part in session.parts
    ]
    return session._replace(
        parts=tuple(parts), title=found(session.title), purpose=found(session.purpose)
    )


def _known(case: Case, session: Session) -> Iterator[Sentence]:
    """What the plan would say now in a session from the same file, or in any."""
    yield from (building.EASY, building.LONG, building.BETWEEN, building.event_words(case))
    workout = case.workouts.get(session.workout)
    if workout is None:
        return
    steps = (building.step_words(case, step) for step in workout.steps)
    yield from filter(None, (workout.title, workout.purpose, workout.text, *steps))


def _plain(words: Sentence | None) -> Sentence | None:
    return None if words is None else as_told(str(words))


def _usual(session: Session, part: Part) -> Sentence:
    easy = building.LONG if session.kind == "long" else building.EASY
    return USUAL.get(part.kind, easy)
