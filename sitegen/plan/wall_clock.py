"""Hours that a night of the clock change leaves out, or has twice: told, and set to a real hour.

Source: RFC 5545 section 3.3.5, from memory: a time that does not exist is read with the offset
before the change; of one that comes twice the first is meant. The feed reads them in the same way.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from sitegen.model.case import Case
from sitegen.model.client import DAYS
from sitegen.model.plan import Session, Week
from sitegen.model.problem import Origin, Problem
from sitegen.model.record import Path


def forward_by(on: date, at: time, zone: ZoneInfo) -> timedelta:
    """By how much the clocks jump over this time; below nought where it comes twice."""
    wall = datetime.combine(on, at, zone)
    first, second = wall.utcoffset(), wall.replace(fold=1).utcoffset()
    return (second or timedelta(0)) - (first or timedelta(0))


def _is_changing(week: Week, zone: ZoneInfo) -> bool:
    """Whether the clocks change between the week's first hour and the next one's."""
    first = datetime.combine(week.start, time.min, zone)
    return first.utcoffset() != (first + timedelta(days=7)).utcoffset()


def on_real_hours(weeks: Sequence[Week], zone: ZoneInfo) -> tuple[Week, ...]:
    """The weeks with each session at an hour that there is, as the calendar feed has it."""
    return tuple(_week_on_real_hours(week, zone) for week in weeks)


def _week_on_real_hours(week: Week, zone: ZoneInfo) -> Week:
    if not _is_changing(week, zone):
        return week
    sessions = tuple(_on_real_hour(session, zone) for session in week.sessions)
    return week if sessions == week.sessions else week._replace(sessions=sessions)


def _on_real_hour(session: Session, zone: ZoneInfo) -> Session:
    on, at, fuel = session.on, session.at, session.fuel_at
    if at is None or (jump := forward_by(on, at, zone)) <= timedelta(0):
        return session
    real = datetime.combine(on, at) + jump
    if real.date() != on:
        return session  # the plan's days stay
    if fuel is not None:  # as long before the start as it was
        fuel = (datetime.combine(on, fuel) + jump).time()
    return session._replace(at=real.time(), fuel_at=fuel)


def clock_changes(case: Case, weeks: Sequence[Week], as_of: date) -> Iterator[Problem]:
    """A warning for each session ahead whose hour is left out or comes twice."""
    zone = ZoneInfo(case.timezone)
    for week in (week for week in weeks if _is_changing(week, zone)):
        for session in week.sessions:
            if session.on < as_of or session.at is None:
                continue
            jump = forward_by(session.on, session.at, zone)
            if not jump:
                continue
            at = f"{session.at:%H:%M}"
            if jump > timedelta(0):
                start = datetime.combine(session.on, session.at, zone).astimezone(UTC)
                real = f"{start.astimezone(zone):%H:%M}"
                wrong = f"the clocks go forward over {at}: this session stands at {real}"
            else:
                wrong = f"the clocks go back, and {at} comes twice: the first is meant"
            yield Problem(
                _place(case, week, session.on),
                f"on {session.on}, in {case.timezone}, {wrong}",
                "leave it, or write another time for that day under week, or under weeks_on for "
                f"the week of {week.start} alone",
                "clock-change",
                "warning",
            )


def _place(case: Case, week: Week, on: date) -> Origin:
    """Where the hour of a day is written, as near as can be told."""
    day = DAYS[on.weekday()]
    paths: tuple[Path, ...] = (
        ("weeks_on", str(week.start), day, "at"),
        ("week", day, "at"),
        ("week", day),
    )
    found = (path for path in paths if case.origins.wrote(*path))
    return case.origins.value(*next(found, ("week",)))
