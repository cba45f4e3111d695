"""What an event is likely to take, and what it asks for before it."""

from __future__ import annotations

from datetime import date
from math import ceil

from sitegen.model.case import Case
from sitegen.model.client import Event
from sitegen.model.values import METRES_HALF_MARATHON, Percent
from sitegen.rules import feasible
from sitegen.rules.draft import EPSILON, event_share, share_of_week
from sitegen.rules.log import SLOW_PACE
from sitegen.rules.power_law import predict_seconds

# How long the longest run before an event should be. Common practice, no source.
SHORT_EVENT_M = 10_000.0
SHORT_OVER = 1.5  # a run of the distance and a half before a short event
SHORT_MOST_MIN = 75.0
HALF_SHARE = 0.8  # of the time that the event is likely to take
HALF_MOST_MIN = 135.0
FAR_M = 25_000.0
FAR_SHARE = 0.8  # of a distance between a half marathon and what 25 km are enough for
FAR_MOST_MIN = 180.0
# No week is larger for a long run's usual share. Common practice, no source.
FULL_WEEK_MIN = 300.0


def week_of(case: Case, day: date) -> int:
    """The plan's week that holds ``day``; below 1 before the plan."""
    return (day - case.first_monday).days // 7 + 1


def event_minutes(case: Case, event: Event) -> float:
    """How long the event is likely to take, in minutes.

    From a race by the power law where there is one and the law reaches that far; else at the easy
    pace of the baseline.
    """
    race = case.client.baseline.race
    if race is not None:
        found = predict_seconds(race.distance.metres, race.time.seconds, event.distance.metres)
        if found is not None:
            return found / 60
    pace = case.client.baseline.pace or SLOW_PACE
    return event.distance.km * pace.seconds_per_km / 60


def wanted_minutes(case: Case, event: Event) -> int:
    """Running minutes that the longest run before an event should reach, at the easy pace.

    Whole minutes, upwards: the run is to reach it.
    """
    own: Percent | None = feasible.RULE.values(case).longest
    pace = case.client.baseline.pace or SLOW_PACE
    minutes_per_metre = pace.seconds_per_km / 60_000
    metres = event.distance.metres
    if own is not None:
        return ceil(metres * own.fraction * minutes_per_metre - EPSILON)
    if metres <= SHORT_EVENT_M:
        minutes = min(metres * SHORT_OVER * minutes_per_metre, SHORT_MOST_MIN)
    elif metres <= METRES_HALF_MARATHON + 1:
        minutes = min(event_minutes(case, event) * HALF_SHARE, HALF_MOST_MIN)
    else:
        minutes = min(min(FAR_M, metres * FAR_SHARE) * minutes_per_metre, FAR_MOST_MIN)
    return ceil(minutes - EPSILON)


def needed_week(case: Case, runs: int) -> float:
    """Running minutes of a week in which an event's longest run has its usual share; 0 without one.

    Over five hours only as far as the longest run needs it at its largest share; so with two runs,
    as the other one would be as long at the usual one.
    """
    event = case.client.goal.event
    if event is None or week_of(case, event.on) < 1:
        return 0.0
    longest = wanted_minutes(case, event)
    least = ceil(longest / event_share(runs) - EPSILON)
    usual = longest / share_of_week(runs) if runs != 2 else least
    return max(min(usual, FULL_WEEK_MIN), least)
