"""Session load, monotony and strain: information for a coach who looks, never an alarm.

Load of a session = effort of the whole session (0 to 10) x minutes, in arbitrary units. Source:
Foster C et al., J Strength Cond Res 2001;15(1):109-115. Loads of one day are summed, a day
without one counts 0, and over a week of seven days

    monotony = mean of daily load / standard deviation of daily load
    strain   = week's load x monotony

Source: Foster C, Med Sci Sports Exerc 1998;30(7):1164-1168 (25 experienced athletes). The paper
writes "standard deviation" without saying which; here it is the sample's, n - 1. The population's,
n, would give a monotony higher by a factor of 1.08 throughout. With no spread at all the two are
undefined, and `None` here.

What they are not: people differ, and the paper speaks of thresholds of a person's own; the
limits that are widely printed are not in it. So none is drawn here.

Efforts on another scale can't get in: the reader of a log refuses a score above 10, so a 6-20
rating is an error with its place and not a load twice too large.
"""

from __future__ import annotations

import statistics
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import accumulate

from sitegen.rules.log import Logged

DAY = timedelta(days=1)
DAYS_A_WEEK = 7

Spread = Callable[[Sequence[float]], float]
SPREAD: Spread = statistics.stdev  # the sample's, n - 1


@dataclass(frozen=True, slots=True)
class WeekLoad:
    """Seven days from a Monday on.

    ``days`` holds the load of each day; ``unrated`` counts sessions whose minutes or effort were
    not told, so that the load is a lower bound; ``is_over`` is False while days are still to come.
    """

    start: date
    days: tuple[float, ...]
    rated: int = 0
    unrated: int = 0
    is_over: bool = True

    @property
    def total(self) -> float:
        return sum(self.days)

    @property
    def monotony(self) -> float | None:
        """None where it is undefined, or where the week is not wholly known."""
        return monotony(self.days) if self.is_over and not self.unrated else None

    @property
    def strain(self) -> float | None:
        own = self.monotony
        return None if own is None else self.total * own


def session_load(effort: int, minutes: float) -> float:
    """Load of one session, in arbitrary units.

    Args:
        effort: Of the whole session, 0 rest to 10 maximal.
        minutes: How long it took.
    """
    return effort * minutes


def load_of(session: Logged) -> float | None:
    """Load of a logged session; 0 where none took place, None where half of it was not told.

    Minutes are those that the client wrote down: `ran`. A distance alone gives no minutes.
    """
    entry = session.entry
    if entry.skipped is not None or (not entry.is_run and entry.effort is None):
        return 0.0
    if entry.ran is None or entry.effort is None:
        return None
    return session_load(entry.effort, entry.ran.minutes)


def daily(logged: Iterable[Logged], first: date, last: date) -> tuple[float, ...]:
    """Load of each day from ``first`` to ``last``, both counted; unknown loads are left out."""
    days = [0.0] * ((last - first).days + 1)
    for session in logged:
        if first <= session.on <= last:
            days[(session.on - first).days] += load_of(session) or 0.0
    return tuple(days)


def week_load(logged: Sequence[Logged], monday: date, as_of: date) -> WeekLoad:
    """One week of the log."""
    sunday = monday + DAY * (DAYS_A_WEEK - 1)
    mine = [s for s in logged if monday <= s.on <= sunday]
    loads = [load_of(s) for s in mine if s.entry.is_run or s.entry.effort is not None]
    return WeekLoad(
        start=monday,
        days=daily(mine, monday, sunday),
        rated=sum(1 for load in loads if load is not None),
        unrated=sum(1 for load in loads if load is None),
        is_over=sunday < as_of,
    )


def monotony(days: Sequence[float], spread: Spread = SPREAD) -> float | None:
    """Mean of daily load over its standard deviation; None where every day is the same."""
    deviation = spread(days)
    return statistics.fmean(days) / deviation if deviation else None


def strain(days: Sequence[float], spread: Spread = SPREAD) -> float | None:
    """The days' load times their monotony."""
    own = monotony(days, spread)
    return None if own is None else sum(days) * own


def smoothed(days: Sequence[float], over: int) -> float:
    """Exponentially weighted mean of daily load: the latest days weigh most.

    Today's = load x k + (1 - k) x yesterday's, k = 2 / (over + 1), begun with the first day.
    Source: Williams S et al., Br J Sports Med 2017;51(3):209-210.

    Shown for 7 and for 28 days side by side, and never one over the other: a random denominator
    does about as well (Impellizzeri FM et al., Sports Med 2021;51:581-592), and in runners a
    higher ratio went with less injury (Frandsen JSB et al., Br J Sports Med 2025;59(17):
    1203-1210; Nakaoka G et al., Sports Med 2021;51(11):2437-2447).

    Raises:
        ValueError: No day at all; a developer's slip.
    """
    if not days:
        raise ValueError("a smoothed load needs at least one day")
    weight = 2 / (over + 1)
    *_, last = accumulate(days, lambda before, load: load * weight + (1 - weight) * before)
    return last
