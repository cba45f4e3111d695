"""Can the plan's limits reach an event by its date?"""

from __future__ import annotations

from sitegen.model.case import Case
from sitegen.model.kinds import percent
from sitegen.model.record import row
from sitegen.model.values import Percent
from sitegen.rules.draft import Draft, Past
from sitegen.rules.rule import Parameters, Rule

SOURCE = "arithmetic, by the rule long_run"


class FeasibleParameters(Parameters):
    """How much of the event's distance the longest run has to reach."""

    longest: Percent | None = row(
        percent(30, 100), "", "share of the distance", usual="by the distance"
    )


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Judges the whole plan, not a week: see `sitegen.plan.reach`."""
    return draft


RULE = Rule(
    name="feasible",
    promise=(
        "If the event needs more than the limits can reach by its date, `check` warns with what "
        "they reach, what stands in the way, and the first date at which they would suffice."
    ),
    reason="A date is no reason to jump.",
    source=SOURCE,
    evidence="arithmetic",
    apply=apply,
    parameters=FeasibleParameters,
    audience="coach",
    review="Set the longest run before the taper against what the event asks for.",
)
