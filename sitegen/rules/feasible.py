"""Can the plan's limits reach an event by its date?"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from sitegen.model.case import Case
from sitegen.model.client import Event
from sitegen.model.kinds import percent
from sitegen.model.record import row
from sitegen.model.values import METRES_HALF_MARATHON, Percent
from sitegen.rules.draft import Draft, Past
from sitegen.rules.log import SLOW_PACE
from sitegen.rules.rule import Parameters, Rule

SOURCE = (
    "common practice, no source; marathon: at least 25 km, after Fokkema T et al., Scand J Med Sci "
    "Sports 2020;30(9):1692-1704 (association)"
)
MARATHON_LONGEST_M = 25_000.0
# Share of the event's distance that the longest run before it should reach, up to a distance.
SHARES: Mapping[float, float] = MappingProxyType({5_000.0: 1.0, 10_000.0: 0.8})


class FeasibleParameters(Parameters):
    """How much of the event's distance the longest run has to reach."""

    longest: Percent | None = row(
        percent(30, 100), "", "share of the distance", usual="by the distance"
    )


def needed_metres(event: Event, share: float | None) -> float:
    """Distance that the longest run should reach before the event."""
    metres = event.distance.metres
    if share is not None:
        return metres * share
    for up_to, part in SHARES.items():
        if metres <= up_to:
            return metres * part
    if metres <= METRES_HALF_MARATHON:
        return metres * 0.75
    return max(metres * 0.6, METRES_HALF_MARATHON * 0.75) if metres < 40_000 else MARATHON_LONGEST_M


def needed_minutes(case: Case, event: Event) -> float:
    """The same in minutes at the baseline's easy pace."""
    values = RULE.values(case)
    share = values.longest.fraction if values.longest else None
    pace = case.client.baseline.pace or SLOW_PACE
    return needed_metres(event, share) / 1000 * pace.seconds_per_km / 60


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Judges the whole plan, not a week: see `sitegen.plan.reach`."""
    return draft


RULE = Rule(
    name="feasible",
    promise=(
        "If the event needs more than the limits can reach by its date, `check` warns with what "
        "they reach and the first date at which they would suffice."
    ),
    reason="A date is no reason to jump.",
    source=SOURCE,
    evidence="judgement",
    apply=apply,
    parameters=FeasibleParameters,
    audience="coach",
    review="Set the longest run before the taper against what the event asks for.",
)
