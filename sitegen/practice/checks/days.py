"""Days that a plan covers, and what is no pace of a run."""

from __future__ import annotations

from datetime import date, timedelta

from sitegen.model.client import Client
from sitegen.model.problem import Origin, Problem
from sitegen.model.values import Distance, Duration
from sitegen.practice.checks.telling import warning
from sitegen.practice.partly import NotKnown

# Outside these, minutes and metres do not belong to one run: judgement, a little wider than the
# bounds of a pace (2:30 to 20:00 per km), as the 800 m world record is run near 2:06 per km.
LIKELY_PACE_S_PER_KM = (120, 1200)


def first_day(client: Client) -> date:
    """Monday of week 1."""
    return client.plan.from_ - timedelta(days=client.plan.from_.weekday())


def last_day(client: Client) -> date:
    """Sunday of the last week."""
    return first_day(client) + timedelta(weeks=client.plan.weeks, days=-1)


def outside_plan(client: Client, origin: Origin, what: str) -> Problem:
    weeks = client.plan.weeks
    try:
        days = f", {first_day(client)} to {last_day(client)}"
    except NotKnown:
        days = ""
    return warning(
        origin, "outside-plan", f"{what} is outside the plan", f"it has weeks 1 to {weeks}{days}"
    )


def odd_pace(time: Duration, distance: Distance) -> str:
    """The pace, where it is not one of a run; else nothing."""
    pace = round(time.seconds / distance.km)
    low, high = LIKELY_PACE_S_PER_KM
    return "" if low <= pace <= high else f"{pace // 60}:{pace % 60:02d}"
