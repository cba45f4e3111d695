"""A past week without a check-in is not assumed done."""

from __future__ import annotations

from datetime import timedelta

from sitegen.model.case import Case
from sitegen.model.sentence import say
from sitegen.rules.draft import Draft, Past
from sitegen.rules.log import Log
from sitegen.rules.rule import Morning, Rule
from sitegen.rules.volume import reference

SOURCE = "common practice, no source"
WEEK = timedelta(days=7)


def is_silent(log: Log, morning: Morning) -> bool:
    """True where the week before is past, had sessions, and nothing was logged in it."""
    previous = morning.previous
    if previous is None or not previous.sessions:
        return False
    end = previous.start + WEEK
    return end <= log.as_of and not log.between(previous.start, end)


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Hold the week after one that nobody told of."""
    if draft.stop is not None or not past.condition.known[RULE.name]:
        return draft
    minutes = min(draft.minutes, reference(past))
    return draft.decide(
        RULE.name,
        say("No check-in came for last week, so this week does not grow."),
        because=case.origins.at("plan", "from"),
        source=SOURCE,
        before=draft.minutes,
        after=minutes,
        minutes=minutes,
        kind="hold" if draft.kind == "build" else draft.kind,
        may_grow=False,
    )


RULE = Rule(
    name="silence",
    promise=(
        "A past week with sessions and no check-in at all is not assumed done: the next does not "
        "grow."
    ),
    reason="Growing on a week that may not have happened is a jump in disguise.",
    source=SOURCE,
    evidence="judgement",
    apply=apply,
    needs=("volume",),
    knows=is_silent,
    review="After a past week without any entry, the next is not larger than the one before it.",
)
