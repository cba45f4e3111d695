"""Quantities with their unit: what `kinds.py` makes of a coach's text."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

METRES_PER_MILE = 1609.344
METRES_MARATHON = 42195.0
METRES_HALF_MARATHON = 21097.5


class Duration(NamedTuple):
    """A length of time in whole seconds."""

    seconds: int

    @property
    def minutes(self) -> float:
        return self.seconds / 60

    def __str__(self) -> str:
        hours, rest = divmod(self.seconds, 3600)
        minutes, seconds = divmod(rest, 60)
        words = [(hours, "h"), (minutes, "min"), (seconds, "s")]
        return " ".join(f"{n} {unit}" for n, unit in words if n) or "0 min"


class Distance(NamedTuple):
    """A distance in metres."""

    metres: float

    @property
    def km(self) -> float:
        return self.metres / 1000

    @property
    def miles(self) -> float:
        return self.metres / METRES_PER_MILE


class Pace(NamedTuple):
    """Seconds for one kilometre; a smaller number is faster."""

    seconds_per_km: float

    @property
    def metres_per_second(self) -> float:
        return 1000 / self.seconds_per_km


class Cadence(NamedTuple):
    """Steps per minute, both feet counted."""

    spm: int

    def __str__(self) -> str:
        return f"{self.spm} spm"


class Percent(NamedTuple):
    """A share; ``Percent(7.5).fraction`` is 0.075."""

    percent: float

    @property
    def fraction(self) -> float:
        return self.percent / 100

    def __str__(self) -> str:
        return f"{self.percent:g} %"


class Length(NamedTuple):
    """A body length in centimetres."""

    cm: float


class Mass(NamedTuple):
    """A mass in milligrams."""

    mg: float

    @property
    def grams(self) -> float:
        return self.mg / 1000


class Lift(NamedTuple):
    """A sign that somebody has looked into, and the day on which it was told."""

    sign: str
    on: date

    def __str__(self) -> str:
        return f"{self.sign} {self.on}"
