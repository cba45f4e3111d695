"""Whether the plan's limits can reach an event by its date, and if not, from when they could."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from datetime import date, timedelta

from sitegen.model.case import Case
from sitegen.model.plan import Week
from sitegen.model.problem import Problem
from sitegen.rules import feasible
from sitegen.rules.taper import SHORT_EVENT_M, taper

LOOK_AHEAD_WEEKS = 104
EPSILON = 0.5  # half a minute: runs are whole minutes

Unroll = Callable[[Case, date], Iterable[Week]]


def problem(case: Case, weeks: Sequence[Week], as_of: date, unroll: Unroll) -> Problem | None:
    """A warning where the longest run before the taper stays under what the event asks for.

    ``unroll`` expands a case week by week; it is asked for the same client without the event, up
    to the first week at which the limits would suffice.
    """
    event, found = case.client.goal.event, taper(case)
    if event is None or found is None or event.on <= as_of:
        return None
    need = feasible.needed_minutes(case, event)
    before = [w.longest_minutes for w in weeks if w.number < found.first_week]
    reached = max(before, default=0.0)
    if reached + EPSILON >= need:
        return None
    first = _first_date(case, as_of, need, unroll)
    when = (
        f"an event on {first} or later would be within them"
        if first
        else "with the days, the limits and the most minutes a week (rules: volume: most) as they "
        "are, they never reach it"
    )
    return Problem(
        case.origins.at("goal", "event"),
        f"the longest run before this event will be {reached:.0f} min, and the event asks for "
        f"about {need:.0f} min: the plan's limits can't reach it safely by {event.on}",
        f"{when}; move the event, choose a shorter one, or run and walk it",
        "event-reach",
        "warning",
    )


def _first_date(case: Case, as_of: date, need: float, unroll: Unroll) -> date | None:
    """The first Sunday on which the event could be, its taper counted in."""
    event = case.client.goal.event
    assert event is not None
    client = case.client
    goal = client.goal.but(**{"event": None})
    plan = client.plan.but(**{"weeks": LOOK_AHEAD_WEEKS})
    longer = replace(case, client=client.but(**{"goal": goal, "plan": plan}))
    lead = 1 if event.distance.metres <= SHORT_EVENT_M else 2
    for week in unroll(longer, as_of):
        if week.longest_minutes + EPSILON >= need:
            return week.start + timedelta(days=6 + 7 * lead)
    return None
