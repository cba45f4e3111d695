"""Whether the plan's limits can reach an event by its date; if not, why, and from when."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from datetime import date, timedelta
from itertools import islice

from sitegen.model.case import Case
from sitegen.model.plan import Week
from sitegen.model.problem import Problem
from sitegen.plan.building import run_room
from sitegen.rules import volume
from sitegen.rules.days import offers
from sitegen.rules.draft import event_share
from sitegen.rules.event import wanted_minutes, week_of
from sitegen.rules.taper import taper

LOOK_AHEAD_WEEKS = 104
# Weeks in a row, all held, after which no later date is looked for: nothing but a word ends that.
HELD_WEEKS = 12
HELD_KINDS = ("hold", "back", "return", "pause", "ease")
TOLERANCE_MIN = 0.5  # half a minute: runs are whole minutes
WEEK = timedelta(days=7)

Unroll = Callable[[Case], Iterable[Week]]


def out_of_reach(case: Case, weeks: Sequence[Week], as_of: date, unroll: Unroll) -> Problem | None:
    """A warning where the longest run before the taper stays under what the event asks for.

    ``unroll`` expands a case week by week; it is asked for the same client with later events, to
    find the first date at which the limits would suffice.
    """
    event, found = case.client.goal.event, taper(case)
    if event is None or found is None or event.on <= as_of:
        return None
    need = wanted_minutes(case, event)
    reached = _longest(weeks, found.first_week)
    if reached + TOLERANCE_MIN >= need:
        return None
    never = _never(case, need)
    if never or _is_held(case, [w for w in weeks if w.number < found.first_week], as_of, unroll):
        first = None
    else:
        first = _first_date(case, need, unroll)
    if first is not None:
        way = "the weeks until then are too few for steps of a tenth"
        when = f"an event on {first} or later would be within them"
    else:
        way = never or "the week does not grow far enough"
        when = "with the days and the limits as they are they never reach it"
    return Problem(
        case.origins.at("goal", "event"),
        f"the longest run before this event will be {reached:.0f} min, and the event asks for "
        f"about {need} min: the plan's limits can't reach it safely by {event.on}, as {way}",
        f"{when}; move the event, choose a shorter one, or run and walk it",
        "event-reach",
        "warning",
    )


def _longest(weeks: Iterable[Week], before: int, enough: float = float("inf")) -> float:
    """The longest run before week ``before``, in minutes; looking ends at one of ``enough``."""
    longest = 0.0
    for week in weeks:
        if week.number >= before:
            break
        longest = max(longest, week.longest_minutes)
        if longest >= enough:
            break
    return longest


def _never(case: Case, need: int) -> str | None:
    """What keeps so long a run out of any week, or None where only time is lacking."""
    days = [offer for offer in offers(case) if offer.run]
    room = max((run_room(offer.minutes) for offer in days), default=0)
    if room < need:
        return f"the days have room for a run of {room} min (`up_to`, with its walks)"
    share = event_share(len(days))
    rooms = sorted((run_room(offer.minutes) for offer in days), reverse=True)
    beside = sum(rooms[1:]) * share / (1 - share) if share < 1 else room
    if beside < need:
        return (
            f"the other days have room for {sum(rooms[1:])} min (`up_to`), and the long run is at "
            f"most {share:.0%} of a week"
        )
    most = volume.most(case)
    if most * share < need:
        return f"the most minutes a week, {most:.0f}, have room for one of {most * share:.0f} min"
    return None


def _is_held(case: Case, weeks: Sequence[Week], as_of: date, unroll: Unroll) -> bool:
    """True where pain, a question or the like lets nothing grow, however far off the event is.

    ``weeks`` are those before the taper. To look for a date among so many weeks that are all alike
    cost eight whole plans.
    """
    if any(week.start > as_of and not _holds(week) for week in weeks):
        return False
    later = unroll(_moved(case, _most_weeks_later(case)))
    held = [*islice((week for week in later if week.start > as_of), HELD_WEEKS)]
    if len(held) < HELD_WEEKS or not all(map(_holds, held)):
        return False
    longest = [week.longest_minutes for week in held]
    return max(longest[HELD_WEEKS // 3 :]) <= max(longest[: HELD_WEEKS // 3])


def _holds(week: Week) -> bool:
    return week.kind in HELD_KINDS and not week.by_coach


def _most_weeks_later(case: Case) -> int:
    event = case.client.goal.event
    assert event is not None
    return LOOK_AHEAD_WEEKS - week_of(case, event.on)


def _first_date(case: Case, need: int, unroll: Unroll) -> date | None:
    """The first date, in whole weeks from the event's own, at which the limits suffice."""
    event = case.client.goal.event
    assert event is not None
    most = _most_weeks_later(case)

    def reaches(later: int) -> bool:
        moved = _moved(case, later)
        found = taper(moved)
        assert found is not None
        return _longest(unroll(moved), found.first_week, need) + TOLERANCE_MIN >= need

    low, high = 0, 1  # `low` is known not to reach it
    while high <= most and not reaches(high):
        low, high = high, high * 2
    if high > most:
        if low >= most or not reaches(most):
            return None
        high = most
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if reaches(middle) else (middle, high)
    return event.on + WEEK * high


def _moved(case: Case, weeks: int) -> Case:
    """The same client with the event, and the plan's end, so many weeks later."""
    client = case.client
    event = client.goal.event
    assert event is not None
    later = event.but(on=event.on + WEEK * weeks)
    last = (later.on - case.first_monday).days // 7 + 1
    plan = client.plan.but(weeks=max(last, client.plan.weeks))
    return replace(case, client=client.but(goal=client.goal.but(event=later), plan=plan))
