"""Whether a plan can reach its event by the date; if not, what stands in the way, and from when.

What holds a plan (pain, a question, a way back, a stop) is told before days and limits are: they
say nothing of a plan that does not get as far as to meet them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date, timedelta
from functools import partial
from itertools import islice, takewhile
from typing import Protocol

from sitegen.model.case import Case
from sitegen.model.client import MAX_WEEKS
from sitegen.model.plan import Week
from sitegen.model.problem import Problem
from sitegen.plan import obstacles
from sitegen.rules import ease, spacing, volume
from sitegen.rules.draft import Past, event_share, share_of_week, whole_minutes
from sitegen.rules.event import wanted_minutes, week_of
from sitegen.rules.long_run import EARLIEST_WEEKS
from sitegen.rules.longest import most_after
from sitegen.rules.precedence import PAIN, QUESTION, winner
from sitegen.rules.taper import taper

LOOK_AHEAD_WEEKS = 104
# Weeks in a row, all held, after which no later date is looked for: nothing but a word ends that.
HELD_WEEKS = 12
HELD_KINDS = ("hold", "back", "return", "pause", "ease")
TOLERANCE_MIN = 1.0  # runs are whole minutes, and so are their shares of a week
WEEK = timedelta(days=7)
NEVER = "with the days and the limits as they are they never reach it"
SETTLE = "settle that first"
OR_ELSE = "; move the event, choose a shorter one, or run and walk it"


class Unroll(Protocol):
    """The same client, week by week, with another event; ``eased``: as if nothing held the plan."""

    def __call__(self, case: Case, eased: bool = False) -> Iterable[Week]: ...


def out_of_reach(case: Case, weeks: Sequence[Week], past: Past, unroll: Unroll) -> Problem | None:
    """A warning where the longest run before the taper stays under what the event asks for.

    ``past`` is what the weeks that are over left behind. ``unroll`` expands a case week by week; it
    is asked for the same client with later events, to find the first date at which the limits would
    suffice.
    """
    as_of = past.as_of
    event, found = case.client.goal.event, taper(case)
    if event is None or found is None or event.on <= as_of:
        return None
    need = wanted_minutes(case, event)
    late = [week for week in weeks if week.number >= found.first_week - EARLIEST_WEEKS]
    best = _longest(late, found.first_week)
    reached = best.longest_minutes if best else 0.0
    if reached + TOLERANCE_MIN >= need:
        return None
    never = obstacles.in_the_file(case, need)
    limits = f"the plan's limits can't reach it safely by {event.on}, as"
    if never is not None:
        way, hint = f"{limits} {never}", NEVER + OR_ELSE
    elif (held := _held(case, weeks, as_of, unroll)) is not None:
        way = f"it is not reached by {event.on}, as {_what_holds(held)}"
        hint = _once_eased(case, need, past, held, unroll)
    else:
        first = _first_date(case, need, past, unroll)
        if isinstance(first, date):
            way = f"{limits} the weeks until then are too few for steps of a tenth"
            hint = f"{_or_later(case, first)} would be within them{OR_ELSE}"
        else:
            way, hint = f"{limits} {first}", NEVER + OR_ELSE
    ever = _longest(weeks, found.first_week)
    is_last = ever is None or ever.longest_minutes <= reached + TOLERANCE_MIN
    which = "before this event" if is_last else "near enough to this event to count"
    return Problem(
        case.origins.at("goal", "event"),
        f"the longest run {which} will be {reached:.0f} min, and the event asks for about "
        f"{need} min: {way}",
        hint,
        "event-reach",
        "warning",
    )


def _what_holds(held: Week) -> str:
    """In the words of the rule that a held week is as it is for."""
    won = winner(held.kind, held.decisions)
    says = f": {str(won.decision.says).removesuffix('.')}" if won else ""
    return f"{'nothing is planned' if held.kind == 'pause' else 'something holds the plan'}{says}"


def _once_eased(case: Case, need: int, past: Past, held: Week, unroll: Unroll) -> str:
    """What would do if what holds the plan were over today.

    Whoever is stopped is shown neither a date to hurry for nor another way to the start.
    """
    if held.kind == "pause":
        return f"{SETTLE}: no date can be named before"
    free = partial(unroll, eased=True)
    if _held(case, free(case), past.as_of, free) is not None:
        return f"{SETTLE}: no date can be named while it lasts{OR_ELSE}"
    first = _first_date(case, need, past, free, at_best=0)
    if not isinstance(first, date):
        return f"{SETTLE}; {NEVER}, as {first}{OR_ELSE}"
    over = f"were it over on {past.as_of}"
    if case.client.goal.event is not None and first == case.client.goal.event.on:
        return f"{SETTLE}: {over}, it would be reached by the event's own day"
    later = _or_later(case, first)
    return f"{SETTLE}: {over}, {later} would be within the limits{OR_ELSE}"


def _or_later(case: Case, first: date) -> str:
    is_beyond = first >= case.first_monday + MAX_WEEKS * WEEK
    return f"an event on {first} or later{', in a plan that begins later,' if is_beyond else ''}"


def _longest(weeks: Iterable[Week], before: int, enough: float = float("inf")) -> Week | None:
    """The week with the longest run before week ``before``, the last one of these; looking ends at
    one of ``enough`` minutes. None where no week comes before it."""
    found: Week | None = None
    most = 0.0
    for week in weeks:
        if week.number >= before:
            break
        longest = week.longest_minutes
        if longest >= most:
            found, most = week, longest
        if most >= enough:
            break
    return found


def _held(case: Case, weeks: Iterable[Week], as_of: date, unroll: Unroll) -> Week | None:
    """A week that is held, where pain, a question or the like lets nothing grow, however far off
    the event is; None where the plan goes on.

    To look for a date among so many weeks that are all alike would cost eight whole plans.
    """
    found = taper(case)
    before = takewhile(lambda week: found and week.number < found.first_week, weeks)
    ahead = _all_held(week for week in before if week.start > as_of)
    if ahead is None:
        return None
    if any(map(_until_told, ahead)):  # no week drawn for it: -11 % of all plans
        return _no_easier_one(ahead)
    later = unroll(_moved(case, _most_weeks_later(case)))
    held = _all_held(islice((week for week in later if week.start > as_of), HELD_WEEKS))
    if held is None or len(held) < HELD_WEEKS:
        return None
    longest = [week.longest_minutes for week in held]
    if max(longest[HELD_WEEKS // 3 :]) > max(longest[: HELD_WEEKS // 3]):
        return None
    return _no_easier_one(held)


def _all_held(weeks: Iterable[Week]) -> list[Week] | None:
    """The weeks, if all are held; None, and none drawn any more, from the first that is not."""
    found = []
    for week in weeks:
        if not _holds(week):
            return None
        found.append(week)
    return found


def _no_easier_one(held: Iterable[Week]) -> Week | None:
    return next((week for week in held if week.kind != "ease"), None)


def _holds(week: Week) -> bool:
    # A step back is never the coach's own, also where days away or a change of hers made it less.
    return week.kind in HELD_KINDS and (not week.by_coach or week.kind == "back")


def _until_told(week: Week) -> bool:
    """Whether nothing but a word ends what holds a week ahead."""
    won = winner(week.kind, week.decisions)
    return won is not None and won.claim in (PAIN, QUESTION)


def _most_weeks_later(case: Case) -> int:
    event = case.client.goal.event
    assert event is not None
    return LOOK_AHEAD_WEEKS - week_of(case, event.on)


def _first_date(case: Case, need: int, past: Past, unroll: Unroll, at_best: int = 1) -> date | str:
    """The first date at which the limits suffice, at best so many weeks after the event's own; or
    what stands in the way of any.

    Each date that is tried costs a whole plan, so the first one is a good guess; those after it lie
    further and further off, until one is known that does. Where that is of no use, the last one of
    all is tried: it mostly ends the search. So do days without room, which no date changes.
    """
    event = case.client.goal.event
    assert event is not None
    most = _most_weeks_later(case)

    def best_week(later: int) -> Week | None:
        moved = _moved(case, later)
        found = taper(moved)
        assert found is not None
        return _longest(unroll(moved), found.first_week, need - TOLERANCE_MIN)

    low, high = at_best - 1, most + 1  # `low` is known not to reach it, of `high` nothing is known
    at, step, before, what = _guess(case, need, past), 1, 0.0, obstacles.TOO_SLOW
    while high - low > 1:
        at = min(max(at, low + 1), high - 1)
        week = best_week(at)
        longest = week.longest_minutes if week else 0.0
        if longest + TOLERANCE_MIN >= need:
            high = at
            at = at - 1 if step == 1 else (low + high) // 2
        else:
            what = obstacles.in_the_week(case, week) if week else what
            if what.lasts and high > most:
                break
            is_stuck = step > 3 and longest <= before  # three weeks more were of no use
            low, before = at, longest
            at = (most if is_stuck else at + step) if high > most else (low + high) // 2
        step *= 3
    return event.on + WEEK * high if high <= most else what.says


def _guess(case: Case, need: int, past: Past) -> int:
    """Weeks that the event has to be later where weeks grow as they may, and the long run with them
    by steps of a tenth: mostly as many as it takes, or one too few.
    """
    found = taper(case)
    assert found is not None
    eased: ease.EaseParameters = ease.RULE.values(case)
    growth, most = volume.growth_of(case, past.start).fraction, volume.most(case)
    runs = spacing.RULE.remembered(past)
    number, longest, minutes = past.number, past.longest_before(past.start), volume.level(past)
    while longest < need and number < LOOK_AHEAD_WEEKS:
        if number % eased.every:
            minutes = max(min(volume.wanted(minutes, growth), most), minutes)
            room = minutes * event_share(runs)
        else:
            room = minutes * (1 - eased.by.fraction) * share_of_week(runs)
        longest = max(longest, min(most_after(longest), whole_minutes(room)))
        number += 1
    return number - found.first_week


def _moved(case: Case, weeks: int) -> Case:
    """The same client with the event, and the plan's end, so many weeks later."""
    client = case.client
    event = client.goal.event
    assert event is not None
    later = event.but(on=event.on + WEEK * weeks)
    last = (later.on - case.first_monday).days // 7 + 1
    plan = client.plan.but(weeks=max(last, client.plan.weeks))
    return replace(case, client=client.but(goal=client.goal.but(event=later), plan=plan))
