"""When a plan begins and ends, and the event that it leads to."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from sitegen.model.case import Origins
from sitegen.model.client import MAX_WEEKS, Client
from sitegen.model.problem import Problem
from sitegen.practice.checks.days import first_day, last_day
from sitegen.practice.checks.telling import Check, error, warning

BASELINE_LASTS_WEEKS = 8  # as rule `absence`: from 8 weeks on a new baseline is asked for
BASELINE_NEW_WEEKS = 4  # so far into a plan a baseline is a new one and no slip of a date


def _plan_dates(client: Client, origins: Origins) -> Iterator[Problem]:
    start, taken = client.plan.from_, client.baseline.on
    origin = origins.value("plan", "from")
    end = start + timedelta(weeks=client.plan.weeks)
    is_new = start + timedelta(weeks=BASELINE_NEW_WEEKS) <= taken < end  # counted or raced anew
    if start < taken and not is_new:
        yield warning(
            origin,
            "plan-before-baseline",
            f"the plan begins before the baseline was taken, {taken}",
            "check both dates",
        )
    elif start - taken > timedelta(weeks=BASELINE_LASTS_WEEKS):
        yield warning(
            origin,
            "baseline-old",
            f"the plan begins more than {BASELINE_LASTS_WEEKS} weeks after the baseline, {taken}",
            "take a new baseline",
        )


def _hard(client: Client, origins: Origins) -> Iterator[Problem]:
    hard, weeks = client.plan.hard, client.plan.weeks
    if hard is not None and hard.from_week is not None and hard.from_week > weeks:
        yield warning(
            origins.value("plan", "hard", "from_week"),
            "hard-after-plan",
            f"the plan has no week {hard.from_week}",
            f"it ends with week {weeks}; nothing hard will be planned",
        )


def _event(client: Client, origins: Origins) -> Iterator[Problem]:
    event = client.goal.event
    if event is None:
        return
    origin = origins.value("goal", "event", "on")
    if event.on < client.plan.from_:
        yield error(
            origin,
            "event-before-plan",
            f"the event is before the plan begins, {client.plan.from_}",
            "check both dates, or take the event out",
        )
    elif event.on > last_day(client):
        yield warning(
            origin,
            "event-after-plan",
            f"the event is after the plan ends, {last_day(client)}",
            _reaching(_weeks_to(client, event.on)),
        )


def _weeks_to(client: Client, day: date) -> int:
    return (day - first_day(client)).days // 7 + 1


def _reaching(weeks: int) -> str:
    if weeks > MAX_WEEKS:
        return f"a plan has at most {MAX_WEEKS} weeks; check the date, or begin it later"
    return f"for a plan that reaches it, write weeks: {weeks}"


CHECKS: tuple[Check, ...] = (
    _plan_dates,
    _hard,
    _event,
)
