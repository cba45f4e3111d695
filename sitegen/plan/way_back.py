"""A week of a way back is told by the way alone: what other rules would have made of it is over.

They have said what a building week would hold, how far an easier one drops, and which share of a
week its longest run may be. None of that stands in a step's dose.
"""

from __future__ import annotations

from collections.abc import Sequence

from sitegen.model.plan import Week
from sitegen.rules import FILLING, absence, age, ease, guard, history, returning, silence, volume

# What sizes a week as if it were one of building, and what fills it.
OUTRANKED = frozenset(
    rule.name
    for rule in (
        volume.RULE,
        ease.RULE,
        age.RULE,
        absence.RULE,
        history.RULE,
        silence.RULE,
        guard.RULE,
        *FILLING,
    )
)


def told_alone(weeks: Sequence[Week]) -> tuple[Week, ...]:
    """The weeks, those of a way back without the reasons that it outranks."""
    return tuple(_alone(week) for week in weeks)


def _alone(week: Week) -> Week:
    rules = {decision.rule for decision in week.decisions}
    if week.kind != "return" or returning.RULE.name not in rules:
        return week
    kept = (one for one in week.decisions if one.rule not in OUTRANKED)
    return week._replace(decisions=tuple(kept))
