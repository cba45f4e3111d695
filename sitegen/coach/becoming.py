"""What a plan becomes by an act: the weeks it is about, and all later ones, in one line."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import timedelta
from itertools import zip_longest
from typing import Any

from sitegen.acts.act import week_words
from sitegen.coach.compare import reaches
from sitegen.coach.words import KIND_WORDS
from sitegen.model.alarm import weekday_words
from sitegen.model.plan import Plan, Session, Week
from sitegen.plan.week_names import weeks_named

WEEK = timedelta(days=7)


def becomes(before: Plan, after: Plan, about: Sequence[int] = ()) -> str:
    """``week 6 (15 to 21 Feb) 62 → 43 min running; with walking and all: Tue easy 24; no other week
    changes its minutes``.

    Args:
        before: The plan as it is.
        after: The plan as it would be.
        about: Numbers of the weeks that the act is about; the others that change come in short.
    """
    old = {week.number: week for week in before.weeks}
    new = {week.number: week for week in after.weeks}
    told = [_week(old.get(number), new[number]) for number in about if number in new]
    return "; ".join([*told, *_others(before, after, frozenset(about))])


def _week(old: Week | None, new: Week) -> str:
    was, now = (old.run_minutes if old else 0.0), new.run_minutes
    is_same = round(was) == round(now)
    minutes = (
        f"{now:.0f} min running as before" if is_same else f"{was:.0f} → {now:.0f} min running"
    )
    days = ", ".join(_day(session) for session in new.sessions)
    rest = f"; with walking and all: {days}" if days else ": nothing stands in it"
    return f"{week_words(new)} {minutes}{rest}"


def _day(session: Session) -> str:
    """``Tue easy 14``, ``Thu strength``, ``Sat "Short hills" 40``; as on the sheet."""
    day = weekday_words(session.on).split()[0]
    if not session.is_run:
        return f"{day} {session.kind}"
    kind = f'"{session.title}"' if session.title else KIND_WORDS.get(session.kind, session.kind)
    return f"{day} {kind} {session.total_minutes:.0f}"


def _others(before: Plan, after: Plan, about: frozenset[int]) -> Iterator[str]:
    if before.status != after.status:
        yield f"the plan is {after.status}, and was {before.status}"
    elif after.status != "active":
        yield f"the plan stays {after.status}"
    if after.status == "ended":
        yield "the portal and the feed go at the next publish"
    elif after.status != "active":
        yield from (f'the portal says "{one.says}"' for one in after.decisions[:1])
    found = [
        (number, (new.run_minutes if new else 0.0) - (old.run_minutes if old else 0.0))
        for number, old, new in _pairs(before, after)
        if number not in about
    ]
    moved = [number for number, minutes in found if round(minutes)]
    if not moved:
        yield "no other week changes its minutes" if about else "no week changes its minutes"
        return
    more = sum(minutes for _, minutes in found)
    largest = [reaches(plan)["largest_week"] for plan in (before, after)]
    most = f"the largest week {largest[0]:.0f} → {largest[1]:.0f} min"
    if round(largest[0]) == round(largest[1]):
        most = f"the largest week stays at {largest[1]:.0f} min"
    yield f"{weeks_named(moved)}: {more:+.0f} min in all, {most}"


def _pairs(before: Plan, after: Plan) -> Iterator[tuple[int, Week | None, Week | None]]:
    """Each week's number, as it is and as it would be; None where one has no such week.

    Weeks that are over are left out: nobody runs them otherwise any more.
    """
    rows: Iterable[tuple[Week | None, Week | None]] = zip_longest(before.weeks, after.weeks)
    for at, (old, new) in enumerate(rows, 1):
        if any(week and week.start + WEEK > after.as_of for week in (old, new)):
            yield at, old, new


def becomes_json(before: Plan, after: Plan) -> list[dict[str, Any]]:
    """Each week whose sessions are otherwise than before: its number and both minutes."""
    return [
        {
            "number": number,
            "run_minutes": [week.run_minutes if week else None for week in (old, new)],
        }
        for number, old, new in _pairs(before, after)
        if (old.sessions if old else None) != (new.sessions if new else None)
    ]
