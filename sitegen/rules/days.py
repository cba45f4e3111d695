"""What a client's weekdays offer, and how many runs they can hold."""

from __future__ import annotations

from datetime import date, timedelta
from functools import lru_cache
from itertools import combinations
from typing import NamedTuple

from sitegen.model.case import Case
from sitegen.model.client import WeekDays
from sitegen.rules.draft import whole_minutes

DAY = timedelta(days=1)
UNLIMITED = DAY_MIN = 24 * 60
# From the end of one day's last session to the start of the next day's first: an evening and the
# morning after it lie nearer. Common practice, no source.
NIGHT = timedelta(hours=12)


class Offer(NamedTuple):
    """What one weekday offers: minutes in all (`UNLIMITED` without a limit), and for what.

    ``at`` is the minute of the day at which it starts; None where nobody said.
    """

    minutes: int = 0
    run: bool = False
    strength: bool = False
    at: int | None = None


def is_short_night(evening: Offer, lasts: int, morning: Offer, begins: int = 0) -> bool:
    """Whether less than a `NIGHT` lies between two days.

    Args:
        evening: The first day.
        lasts: Minutes from its start until all of it is over.
        morning: The day after.
        begins: Minutes from that day's start until what is asked for begins.
    """
    if evening.at is None or morning.at is None:
        return False
    gap = DAY_MIN + morning.at + begins - evening.at - lasts
    return timedelta(minutes=gap) < NIGHT


_last_offers: tuple[WeekDays | None, tuple[Offer, ...]] = (None, ())


def week_days(case: Case, start: date | None = None) -> WeekDays:
    """The days of the week that begins on the Monday ``start``; of a usual one for None.

    An odd week has its own, and weeks in rotation follow one another from the plan's first on.
    """
    client = case.client
    if start is None:
        return client.week
    odd = client.weeks_on.get(start) if client.weeks_on else None
    if odd is not None or len(client.rota) < 2:
        return odd or client.week
    return client.rota[(start - case.first_monday).days // 7 % len(client.rota)]


def is_usual(case: Case, start: date) -> bool:
    """True where a week says how many runs the next may hold: it is no odd one, nor of a rota."""
    return len(case.client.rota) < 2 and start not in case.client.weeks_on


def monday_of(day: date) -> date:
    """The Monday of the week that a day lies in."""
    return day - timedelta(days=day.weekday())


def offers(case: Case, start: date | None = None) -> tuple[Offer, ...]:
    """What each weekday offers, Monday first, in the week of the Monday ``start``, or usually.

    The last ones are kept: each week asks again.
    """
    global _last_offers
    days = week_days(case, start)
    if _last_offers[0] is not days:
        _last_offers = (days, _offers(days))
    return _last_offers[1]


def _offers(days: WeekDays) -> tuple[Offer, ...]:
    found = []
    for day in days.offered():
        if day is None:
            found.append(Offer())
            continue
        limit = whole_minutes(day.up_to.minutes) if day.up_to else UNLIMITED
        at = day.at.hour * 60 + day.at.minute if day.at else None
        found.append(Offer(limit, "run" in day.uses, "strength" in day.uses, at))
    return tuple(found)


def run_days(offers: tuple[Offer, ...]) -> tuple[int, ...]:
    """Weekdays that offer a run, 0 for Monday, in order."""
    return tuple(d for d, o in enumerate(offers) if o.run)


def most_runs(offers: tuple[Offer, ...], novice: bool, least: int = 2) -> int:
    """How many runs the days can hold; for a new runner without two days in a row.

    ``least`` at least where as many days are offered, even if they are neighbours.
    """
    days = run_days(offers)
    if not novice or len(days) < 2:
        return len(days)
    return max(_most_apart(days), min(least, len(days)))


@lru_cache(maxsize=512)
def _most_apart(days: tuple[int, ...]) -> int:
    """The most of these days of which no two are neighbours."""
    return max(
        n
        for n in range(1, len(days) + 1)
        if any(neighbours(chosen) == 0 for chosen in combinations(days, n))
    )


@lru_cache(maxsize=512)  # a week has few sets of days, and placing asks for each many times
def neighbours(days: tuple[int, ...]) -> int:
    """How many pairs of neighbouring days there are, Sunday and Monday counted as neighbours."""
    chosen = set(days)
    if len(chosen) < 2:
        return 0
    return sum(1 for d in chosen if (d + 1) % 7 in chosen)


def is_away(case: Case, day: date) -> bool:
    """True on a day that lies in one of the client's dated absences."""
    return any(one.from_ <= day <= one.to for one in case.client.away)


def is_away_in(case: Case, monday: date) -> bool:
    """True where a day of the week that begins on a Monday is one away."""
    return bool(case.client.away) and any(is_away(case, monday + DAY * day) for day in range(7))
