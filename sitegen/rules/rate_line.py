"""A client's own line of step rate on speed, from the log.

Step rate follows speed, so a run is compared with an aim only after it was put on one speed. The
published slope stands until the log knows better: six runs or more whose speeds lie 0.3 m/s or
more apart (both common practice, no source).
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable
from datetime import date
from math import inf, sqrt
from operator import mul
from typing import NamedTuple

# Burns GT, Zendler JM, Zernicke RF. J Appl Physiol 2019;126(2):462-468: within elite 100 km
# racers. Weak for anyone else.
PUBLISHED_SPM_PER_MPS = 5.6
# How far a runner's own slope may lie from the published one before anything was logged, as a
# standard deviation in spm per m/s. Common practice, no source.
SPREAD_SPM_PER_MPS = 4.0
LEAST_RUNS = 6
LEAST_RANGE_MPS = 0.3


class Rated(NamedTuple):
    """One logged run with a step rate: its day, speed in m/s, rate in spm, both feet."""

    on: date
    speed: float
    spm: float


class Line(NamedTuple):
    """How a runner's step rate follows speed.

    ``slope`` is in spm per m/s, ``error`` its standard error in the same unit (None: nobody knows
    for this runner), ``runs`` how many runs it comes from (0: it is the published slope).
    """

    slope: float = PUBLISHED_SPM_PER_MPS
    error: float | None = None
    runs: int = 0

    def at(self, spm: float, speed: float, other: float) -> float:
        """A rate in spm that was logged at ``speed``, put on the speed ``other`` (both m/s)."""
        return spm - self.slope * (speed - other)


PUBLISHED = Line()


def fit(runs: Iterable[Rated]) -> Line:
    """The line through a runner's own runs, in any order; the published slope where too few.

    Least squares of rate on speed and on the day: the rate is meant to climb over the weeks, and
    a climb must not pass for an effect of speed. What the runs say is then weighed against the
    published slope by how sure each is, so that a few noisy runs hardly move it and runs that lie
    on a line decide alone.
    """
    rated = list(runs)
    count = len(rated)
    if count < LEAST_RUNS:
        return PUBLISHED
    days_on, speeds, rates = zip(*rated, strict=True)
    if max(speeds) - min(speeds) < LEAST_RANGE_MPS:
        return PUBLISHED
    first = min(days_on)
    days = [float((on - first).days) for on in days_on]
    mean_v, mean_d, mean_y = sum(speeds) / count, sum(days) / count, sum(rates) / count
    v = [x - mean_v for x in speeds]
    d = [x - mean_d for x in days]
    y = [x - mean_y for x in rates]
    vv, dd = _dot(v, v), _dot(d, d)
    vd, vy, dy = _dot(v, d), _dot(v, y), _dot(d, y)
    free = vv - (vd * vd / dd if dd else 0.0)  # spread of speed that the days do not explain
    if free <= 1e-9 * vv:
        return PUBLISHED
    slope = (vy - (vd * dy / dd if dd else 0.0)) / free
    climb = (dy - slope * vd) / dd if dd else 0.0
    rest = sum([(c - slope * a - climb * b) ** 2 for a, b, c in zip(v, d, y, strict=True)])
    error = sqrt(rest / (count - 3) / free)
    own = inf if error == 0 else 1 / error**2
    prior = 1 / SPREAD_SPM_PER_MPS**2
    if own == inf:
        return Line(slope, 0.0, count)
    return Line(
        (own * slope + prior * PUBLISHED_SPM_PER_MPS) / (own + prior),
        sqrt(1 / (own + prior)),
        count,
    )


def _dot(a: list[float], b: list[float]) -> float:
    total: float = sum(map(mul, a, b))
    return total


class Lines:
    """A runner's line as it was known on any morning; each is fitted once, when asked for."""

    def __init__(self, rated: Iterable[Rated]) -> None:
        """``rated`` are the log's runs with a rate and a speed, oldest first."""
        self._rated = tuple(rated)
        self._fitted: dict[int, Line] = {}

    def before(self, day: date) -> Line:
        """The line by all that was logged before ``day``."""
        known = bisect_left(self._rated, (day,))
        if known not in self._fitted:
            self._fitted[known] = fit(self._rated[:known])
        return self._fitted[known]
