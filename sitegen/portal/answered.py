"""What the coach answered lately to what a client told: the first thing that Now says.

A lift tells who saw the client and what stands again, an answer to an alarm only that it was
given: a coach's words about an alarm are for her own records.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from sitegen.care.sentences import LINE_FREED, LINE_FREED_FALSE, LINE_FREED_UNNAMED
from sitegen.model.plan import Decision
from sitegen.model.sentence import N_
from sitegen.portal.scene import Scene

ANSWERED_DAYS = 14  # how long it stays; as long as a change does
FREED = frozenset({LINE_FREED, LINE_FREED_FALSE, LINE_FREED_UNNAMED})
ANSWERED = N_("On {on} your coach answered what you told on {told}.")


def is_freed(decision: Decision) -> bool:
    """Whether it tells of a stop that is over."""
    return decision.says.template in FREED


def coach_answers(scene: Scene) -> tuple[str, ...]:
    """Sentences, the latest first, each once; of two weeks back from the plan's day."""
    last = scene.plan.as_of
    found = [one for one in _found(scene) if timedelta(0) <= last - one[0] <= _LONGEST]
    return tuple(dict.fromkeys(says for _, says in sorted(found, reverse=True)))


_LONGEST = timedelta(days=ANSWERED_DAYS)


def _found(scene: Scene) -> Iterator[tuple[date, str]]:
    """The day of each answer, and its sentence."""
    words = scene.words
    lifted = [d for week in scene.plan.weeks for d in week.decisions if is_freed(d)]
    for decision in lifted:
        until = decision.says.values["until"]
        if isinstance(until, date):
            yield until, words.say(decision.says)
    origins = {decision.because for decision in lifted}
    for alarm in scene.plan.alarms:
        answer, told = alarm.answer, scene.told_at.get(alarm.because)
        if answer and told and not answer.not_client and alarm.because not in origins:
            says = words.gettext(ANSWERED)
            yield answer.on, says.format(on=words.day(answer.on), told=words.day(told))
