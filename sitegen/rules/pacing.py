"""A pace range for hard running, from a race, by the published power law.

Which race a part of a session is run as stands in its file: common practice, no source.
"""

from __future__ import annotations

from typing import NamedTuple

from sitegen.model.case import Case
from sitegen.model.values import METRES_PER_MILE
from sitegen.rules.power_law import EXPONENT, RANGE_S

HALF_WIDTH = 0.03  # to either side; common practice, no source


class PaceRange(NamedTuple):
    """Seconds for one kilometre, the faster end first."""

    fast: float
    slow: float

    def words(self, units: str) -> tuple[str, str]:
        """``("5:20", "5:41")`` for a kilometre, or a mile where ``units`` is ``mi``."""
        factor = METRES_PER_MILE / 1000 if units == "mi" else 1.0
        return _clock(self.fast * factor), _clock(self.slow * factor)


def race_pace(case: Case, effort_s: float) -> PaceRange | None:
    """The pace that the baseline's race promises for an all-out effort of ``effort_s`` seconds.

    None without a race, or where the race lies outside the law's range of 3.5 to 230 minutes.
    """
    race = case.client.baseline.race
    if race is None or not RANGE_S[0] <= race.time.seconds <= RANGE_S[1]:
        return None
    metres = race.distance.metres * (effort_s / race.time.seconds) ** (1 / EXPONENT)
    pace = effort_s / (metres / 1000)
    return PaceRange(pace * (1 - HALF_WIDTH), pace * (1 + HALF_WIDTH))


def _clock(seconds: float) -> str:
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes}:{rest:02}"
