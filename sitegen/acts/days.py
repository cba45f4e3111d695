"""Acts on single days: move a session, swap two days, rest, put a session of the library there."""

from __future__ import annotations

from datetime import date

from sitegen.acts.act import (
    Act,
    ClientNow,
    Refusal,
    change,
    day_ahead,
    sessions_on,
    week_named,
    week_words,
)
from sitegen.model.alarm import weekday_words
from sitegen.model.kinds import DURATION, Unfit, nearest, quoted
from sitegen.model.plan import Plan


def move_session(known: ClientNow, day: str, to: str, because: str) -> Act | Refusal:
    """A day's session goes to another day."""
    days = _two_days(known.plan, day, to)
    if isinstance(days, Refusal):
        return days
    first, second = days
    if not sessions_on(known.plan, first):
        return _nothing_on(known.plan, first)
    entry = change(because, on=str(first), move_to=str(second))
    return Act(
        f"{weekday_words(first)} goes to {weekday_words(second)}",
        (entry,),
        _weeks(known.plan, days),
    )


def swap_days(known: ClientNow, day: str, other: str, because: str) -> Act | Refusal:
    """Two days change places. Where one of them is free, the other's session moves there."""
    days = _two_days(known.plan, day, other)
    if isinstance(days, Refusal):
        return days
    first, second = days
    ways = [
        change(because, on=str(one), move_to=str(there))
        for one, there in ((first, second), (second, first))
        if sessions_on(known.plan, one)
    ]
    if not ways:
        return _nothing_on(known.plan, first)
    says = f"{weekday_words(first)} and {weekday_words(second)} change places"
    return Act(says, tuple(ways), _weeks(known.plan, days))


def rest_days(
    known: ClientNow, day: str | None, because: str, week: str | None = None
) -> Act | Refusal:
    """Nothing stands on a day, or in a week."""
    if week is not None or day is None:
        found = week_named(week, known.plan)
        if isinstance(found, Refusal):
            return found
        entry = change(because, week=str(found.number), rest="yes")
        return Act(f"{week_words(found)} is a week of rest", (entry,), (found.number,))
    on = day_ahead(day, known.plan)
    if isinstance(on, Refusal):
        return on
    if not sessions_on(known.plan, on):
        return _nothing_on(known.plan, on)
    entry = change(because, on=str(on), rest="yes")
    return Act(f"{weekday_words(on)} is a day of rest", (entry,), _weeks(known.plan, (on,)))


def put_session(
    known: ClientNow, day: str, session: str, because: str, minutes: str | None = None
) -> Act | Refusal:
    """A session of the library, or of the coach's own, on a day."""
    on = day_ahead(day, known.plan)
    if isinstance(on, Refusal):
        return on
    workouts = known.case.workouts
    if session not in workouts:
        return Refusal(
            f"there is no session {quoted(session)}",
            f"{nearest(session, tuple(workouts))}there are {', '.join(sorted(workouts))}",
        )
    fields = {"on": str(on), "session": session}
    if minutes is not None:
        try:
            length = DURATION.validate(minutes if not minutes.isdecimal() else f"{minutes} min")
        except Unfit as unfit:
            return Refusal(f"--minutes: {unfit.message}", unfit.hint)
        fields["minutes"] = str(length)
    says = f"{workouts[session].title} stands on {weekday_words(on)}"
    return Act(says, (change(because, **fields),), _weeks(known.plan, (on,)))


def _two_days(plan: Plan, day: str, other: str) -> tuple[date, date] | Refusal:
    first, second = day_ahead(day, plan), day_ahead(other, plan)
    if isinstance(first, Refusal):
        return first
    if isinstance(second, Refusal):
        return second
    if first == second:
        return Refusal(f"both are {weekday_words(first)}", "name two days")
    return first, second


def _nothing_on(plan: Plan, day: date) -> Refusal:
    week = plan.week_of(day)
    days = sorted({s.on for s in week.sessions}) if week else []
    there = ", ".join(map(weekday_words, days)) or "none"
    return Refusal(
        f"nothing stands on {weekday_words(day)}", f"days of that week with one: {there}"
    )


def _weeks(plan: Plan, days: tuple[date, ...]) -> tuple[int, ...]:
    found = (plan.week_of(day) for day in days)
    return tuple(sorted({week.number for week in found if week is not None}))
