"""Quantities with their unit: what `kinds.py` makes of a coach's text."""

from __future__ import annotations

from dataclasses import dataclass

METRES_PER_MILE = 1609.344
METRES_MARATHON = 42195.0
METRES_HALF_MARATHON = 21097.5


@dataclass(frozen=True, slots=True, order=True)
class Duration:
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


@dataclass(frozen=True, slots=True, order=True)
class Distance:
    """A distance in metres."""

    metres: float

    @property
    def km(self) -> float:
        return self.metres / 1000

    @property
    def miles(self) -> float:
        return self.metres / METRES_PER_MILE


@dataclass(frozen=True, slots=True, order=True)
class Pace:
    """Seconds for one kilometre; a smaller number is faster."""

    seconds_per_km: float

    @property
    def metres_per_second(self) -> float:
        return 1000 / self.seconds_per_km


@dataclass(frozen=True, slots=True, order=True)
class Cadence:
    """Steps per minute, both feet counted."""

    spm: int

    def __str__(self) -> str:
        return f"{self.spm} spm"


@dataclass(frozen=True, slots=True, order=True)
class Percent:
    """A share; ``Percent(7.5).fraction`` is 0.075."""

    percent: float

    @property
    def fraction(self) -> float:
        return self.percent / 100

    def __str__(self) -> str:
        return f"{self.percent:g} %"


@dataclass(frozen=True, slots=True, order=True)
class Length:
    """A body length in centimetres."""

    cm: float


@dataclass(frozen=True, slots=True, order=True)
class Mass:
    """A mass in milligrams."""

    mg: float

    @property
    def grams(self) -> float:
        return self.mg / 1000
