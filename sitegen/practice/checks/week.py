"""The days that a client has, odd weeks, and days away."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from sitegen.model.case import Origins
from sitegen.model.client import DAYS, Away, Client, Day, WeekDays
from sitegen.model.kinds import one_of
from sitegen.model.problem import Problem
from sitegen.model.record import Path
from sitegen.practice.checks.telling import Check, error, warning
from sitegen.practice.partly import NotKnown, as_far_as_known, numbered


def _days(week: WeekDays) -> Iterator[tuple[str, Day | None, tuple[str, ...]]]:
    """Each day that could be read: its name, what it offers, and what it is for."""
    for name in DAYS:
        try:
            day: Day | None = getattr(week, name)
            yield name, day, tuple(day.uses) if day else ()
        except NotKnown:
            continue


def _week(client: Client, origins: Origins) -> Iterator[Problem]:
    if not client.rota:
        yield _no_run_day(origins, ("week",))
    is_rota = origins.wrote("week", 0)
    for number, week in numbered(client.rota):
        at: Path = ("week", number) if is_rota else ("week",)
        yield from as_far_as_known(_one_week(week, origins, at))
    yield from as_far_as_known(_days_as_weeks(client, origins))


def _days_as_weeks(client: Client, origins: Origins) -> Iterator[Problem]:
    """A list with one day in each entry: most likely one week, its days marked with hyphens.

    Weeks that do rotate, one run each, are told too, until a day of rest is written out.
    """
    days: list[str] = []
    for number, week in numbered(client.rota):
        running = [name for name, _, uses in _days(week) if "run" in uses]
        wrote = [name for name in DAYS if origins.wrote("week", number, name)]
        if len(running) != 1 or wrote != running:
            return
        days += running
    if len(days) < 2 or len({*days}) < len(days):
        return
    yield warning(
        origins.at("week"),
        "days-as-weeks",
        f"this is read as {len(days)} weeks in rotation with one run each: {', then '.join(days)}",
        f"if each week has them all, take the hyphens away, so that {', '.join(days)} stand "
        f"under each other; if weeks do rotate, say so with a rest day, like {days[1]}: rest "
        f"beside {days[0]}:",
    )


def _no_run_day(origins: Origins, at: Path) -> Problem:
    which = "of the week" if len(at) == 1 else "of this week"
    return error(
        origins.at(*at),
        "no-run-day",
        f"no day {which} is for running",
        f"offer days under {at[0]}, like tue: {{at: 18:30, up_to: 45 min}}"
        + ("" if len(at) == 1 else "; a week without a run is away"),
    )


def _one_week(week: WeekDays, origins: Origins, at: Path) -> Iterator[Problem]:
    days = list(_days(week))
    running = tuple(name for name, _, uses in days if "run" in uses)
    if not running and len(days) == len(DAYS):
        yield _no_run_day(origins, at)
    for name, day, uses in days:
        if day and not uses:
            yield error(
                origins.value(*at, name, "for"),
                "empty",
                f"{name} is for nothing",
                f"write {name}: rest, or for: [run]",
            )
    long = week.long
    for name, day, uses in days:
        if running and name == long and "run" not in uses:
            why = f"{long} is for strength alone" if day and uses else f"{long} is rest"
            yield error(
                origins.value(*at, "long"),
                "long-day",
                f"the long run cannot be on {long}: {why}",
                f"write {one_of(running)}, or offer {long} for running",
            )


def _away(client: Client, origins: Origins) -> Iterator[Problem]:
    for number, away in numbered(client.away):
        yield from as_far_as_known(_away_dates(away, origins, number))


def _away_dates(away: Away, origins: Origins, number: int) -> Iterator[Problem]:
    if away.to < away.from_:
        yield error(
            origins.value("away", number, "to"),
            "away-dates",
            f"this ends before it begins, {away.from_}",
            "check both dates; to is the last day away",
        )


def _event_away(client: Client, origins: Origins) -> Iterator[Problem]:
    event = client.goal.event
    for number, away in numbered(client.away):
        if event is not None and away.from_ <= event.on <= away.to:
            yield warning(
                origins.at("away", number),
                "event-away",
                f"the event of {event.on} is on a day away: where that week has no running day "
                "left, no page shows the event",
                "leave a running day of that week, or the event's, out of the days away",
            )


def _odd_weeks(client: Client, origins: Origins) -> Iterator[Problem]:
    for monday in client.weeks_on:
        if monday.weekday() != 0:
            right = monday - timedelta(days=monday.weekday())
            yield error(
                origins.at("weeks_on", str(monday)),
                "week-monday",
                f"{monday} is no Monday",
                f"write the Monday of that week, {right}",
            )
        at: Path = ("weeks_on", str(monday))
        yield from as_far_as_known(_one_week(client.weeks_on[monday], origins, at))


CHECKS: tuple[Check, ...] = (
    _week,
    _away,
    _event_away,
    _odd_weeks,
)
