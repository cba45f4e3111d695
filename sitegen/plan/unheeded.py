"""What the coach wrote and the plan does not do, week after week: told to her once, and why."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from itertools import pairwise

from sitegen.model.case import Case
from sitegen.model.client import DAYS
from sitegen.model.plan import Week
from sitegen.model.problem import Origin, Problem
from sitegen.plan.more_runs import MOST_RUNS_APART, is_spaced, one_run_more
from sitegen.plan.running_days import is_long
from sitegen.plan.week_names import enumerated, weeks_named
from sitegen.rules import hard, spacing, strength, volume
from sitegen.rules.days import is_away_in, monday_of, offers, run_days, week_days
from sitegen.rules.draft import share_of_week, whole_minutes

FROM_WEEKS = 2  # one is a chance of the days round it; common practice, no source
OF_USUAL_WEEKS = ("build", "ease", "hold")
FAR_MORE = 1.5  # as the guard allows over what was run; common practice, no source


def unheeded(case: Case, weeks: Sequence[Week], as_of: date) -> Iterator[Problem]:
    """Warnings of what was written and the weeks ahead do not follow."""
    ahead = [week for week in weeks if week.start >= as_of and not week.by_coach]
    yield from _long_day(case, ahead)
    yield from _runs(case, ahead)
    yield from _short_runs(case, ahead)
    yield from _growth(case, ahead)
    yield from _strength(case, ahead)
    yield from _hard(case, ahead)
    yield from _after_lighter(case, weeks, as_of)


def _long_day(case: Case, ahead: Sequence[Week]) -> Iterator[Problem]:
    """Weeks with two runs or more, and the long one on another day."""
    found = [week for week in ahead if _is_passed_over(case, week)]
    if len(found) < FROM_WEEKS:
        return
    first = found[0]
    day = week_days(case, first.start).long
    on = [DAYS[s.on.weekday()] for s in first.sessions if s.is_run]
    why = ", a day apart" if day not in on and is_spaced(first) else ""
    yield _warning(
        case.origins.at("week", "long"),
        f"{weeks_named(week.number for week in found)}: no long run on {day}, the day that is "
        f"written for it; the runs are on {enumerated(on)}{why}",
        f"offer days that lie apart from {day}, or write another one as long",
    )


def _is_passed_over(case: Case, week: Week) -> bool:
    day = week_days(case, week.start).long
    runs = [s for s in week.sessions if s.is_run]
    if day is None or len(runs) < 2 or week.kind == "event":
        return False
    if is_away_in(case, week.start) or not any(map(is_long, runs)):
        return False
    return all(DAYS[s.on.weekday()] != day for s in runs if is_long(s))


def _runs(case: Case, ahead: Sequence[Week]) -> Iterator[Problem]:
    """Usual weeks with fewer runs than were written."""
    wanted = case.client.plan.runs or 0
    found = [week for week in ahead if 0 < week.runs < wanted and week.kind in OF_USUAL_WEEKS]
    found = [week for week in found if not is_away_in(case, week.start)]
    if len(found) < FROM_WEEKS:
        return
    most = max(week.runs for week in found)
    days = len(run_days(offers(case)))
    is_apart = all(map(is_spaced, found))
    more = "" if is_apart and wanted > MOST_RUNS_APART else one_run_more(case, found)
    if days == most:
        why = "days are offered for no more"
    elif is_apart:
        why = "a day lies between two"
    else:
        why = "their minutes and the days' limits hold no more"
    yield _warning(
        case.origins.at("plan", "runs"),
        f"{weeks_named(week.number for week in found)}: {most} {'run' if most == 1 else 'runs'} at "
        f"most, where {wanted} are written, as {why}",
        f"{more}, or write runs: {most}" if more else f"write runs: {most}",
    )


def _short_runs(case: Case, ahead: Sequence[Week]) -> Iterator[Problem]:
    """Weeks of as many runs as were written, some of them runs that nobody goes out for."""
    found = [week for week in ahead if week.kind in ("build", "hold") and week.rung is None]
    found = [week for week in found if 0 < _shortest(week) < spacing.LEAST_RUN_MIN]
    if case.client.plan.runs is None or len(found) < FROM_WEEKS:
        return
    least = min(found, key=_shortest)
    runs = sum(1 for session in least.sessions if session.is_run)
    fewer = next((n for n in range(runs - 1, 1, -1) if _is_worth_it(least, n)), 1)
    yield _warning(
        case.origins.at("plan", "runs"),
        f"{weeks_named(week.number for week in found)}: runs of {_shortest(least):.0f} min at the "
        f"shortest, as {runs} are written",
        f"write runs: {fewer}, for {spacing.LEAST_RUN_MIN} min and more each",
    )


def _shortest(week: Week) -> float:
    return min((s.run_minutes for s in week.sessions if s.is_run), default=0.0)


def _is_worth_it(week: Week, runs: int) -> bool:
    """Whether none of so many runs would be too short, the long one at its usual share."""
    others = week.run_minutes * (1 - share_of_week(runs)) / (runs - 1)
    return whole_minutes(others) >= spacing.LEAST_RUN_MIN


def _growth(case: Case, ahead: Sequence[Week]) -> Iterator[Problem]:
    """Growth of a plan that begins at its full size."""
    written, full = case.client.plan.growth, volume.most(case)
    if written and written.fraction > 0 and ahead and full <= case.client.baseline.week.minutes:
        yield _warning(
            case.origins.at("plan", "growth"),
            f"no week grows by {written}: {full:.0f} min, what was run before the plan, is as much "
            "as any of it will have",
            "write under enough what a week may grow to, or leave growth out",
        )


def _strength(case: Case, ahead: Sequence[Week]) -> Iterator[Problem]:
    """Usual weeks without strength work, where a day is offered for it."""
    days = [day for day, offer in enumerate(offers(case)) if offer.strength]
    wanted = strength.RULE.values(case).per_week
    found = [w for w in ahead if w.kind in OF_USUAL_WEEKS and w.runs and wanted and days]
    found = [w for w in found if all(s.is_run for s in w.sessions)]
    if len(found) < FROM_WEEKS or any(is_away_in(case, week.start) for week in found):
        return
    near = all(_is_by_long(week, day) for week in found for day in days)
    why = "the long run or a hard one is on that day or the next" if near else "runs leave no room"
    if not near and [DAYS[day] for day in days] == ["sun"]:
        why = "the Monday after may hold a long run or a hard one"
    yield _warning(
        case.origins.at("week"),
        f"{weeks_named(week.number for week in found)}: no strength work on "
        f"{enumerated([DAYS[day] for day in days])}, as {why}",
        "offer another day for strength",
    )


def _hard(case: Case, ahead: Sequence[Week]) -> Iterator[Problem]:
    """Building weeks of running and walking in turn, where hard runs were asked for by then."""
    first = hard.RULE.values(case).from_week
    found = [w for w in ahead if w.kind == "build" and w.rung is not None and w.number >= first]
    if hard.is_asked_for(case) and hard.RULE.values(case).per_week and len(found) >= FROM_WEEKS:
        yield _warning(
            case.origins.at("plan", "hard"),
            f"{weeks_named(week.number for week in found)}: no hard run, as runs are still run and "
            "walked in turn",
            "write a later from_week, or leave hard out until 30 min are run without a walk",
        )


def _after_lighter(case: Case, weeks: Sequence[Week], as_of: date) -> Iterator[Problem]:
    """The week after one that the coach made much lighter: it goes on from the level before."""
    for lighter, week in pairwise(weeks):
        is_new = week.start > as_of and week.kind in OF_USUAL_WEEKS and not week.by_coach
        change = _change_of(case, lighter) if lighter.by_coach and is_new else None
        if change is None or lighter.run_minutes * FAR_MORE > week.run_minutes:
            continue
        yield _warning(
            case.origins.at("changes", change),
            f"week {week.number} goes on from the level before, at {week.run_minutes:.0f} min "
            f"after the {lighter.run_minutes:.0f} of week {lighter.number}",
            "where the reason lasts, set the minutes of the weeks after it too, or write a new "
            "baseline",
        )


def _change_of(case: Case, week: Week) -> int | None:
    """The place of the first change in a week; None in one that days away make less."""
    for index, change in enumerate(case.client.changes):
        if change.week == week.number or (change.on and monday_of(change.on) == week.start):
            return index
    return None


def _is_by_long(week: Week, day: int) -> bool:
    """Whether the long run or a hard one is on a weekday or the day after, Monday after Sunday."""
    demanding = {s.on.weekday() for s in week.sessions if s.hard or is_long(s)}
    return not demanding.isdisjoint({day, (day + 1) % len(DAYS)})


def _warning(origin: Origin, says: str, hint: str) -> Problem:
    return Problem(origin, says, hint, "plan-unheeded", "warning")
