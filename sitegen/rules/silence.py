"""A past week without a check-in is not assumed done."""

from __future__ import annotations

from sitegen.model.case import Case
from sitegen.model.sentence import say
from sitegen.rules.draft import Draft, Past
from sitegen.rules.rule import Rule

SOURCE = "common practice, no source"


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Hold the week after one that nobody told of."""
    if draft.stop is not None or not past.condition.silent:
        return draft
    minutes = min(draft.minutes, past.reference)
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
)
