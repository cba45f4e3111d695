"""Runners drawn by chance: the crowd over which each promise is held."""

from __future__ import annotations

import random
from functools import lru_cache

from .living import Life, live
from .runners import FIRST, Runner

WEEKS = (
    "{tue: {}, sat: {}, long: sat}",
    "{tue: {}, thu: {}, sun: {}, long: sun}",
    "{tue: {}, thu: {}, sat: {}, sun: {}, long: sun}",
    "{mon: {}, tue: {}, thu: {}, sat: {}, sun: {}, long: sun}",
    "{mon: {}, tue: {}, wed: {}, thu: {}, sat: {}, sun: {}, long: sun}",
)
STURDY = 1e6


def drawn(seed: int) -> Runner:
    """A runner without an event, the same for the same seed; none stands for a real crowd."""
    chance = random.Random(f"crowd-{seed}")
    days = chance.randrange(len(WEEKS))
    minutes = chance.choice((40, 60, 90, 120, 150, 200, 260))
    runs = days + 2
    longest = max(round(minutes * chance.uniform(1.1, 1.5) / runs), 12)
    growth = chance.choice((0, 5, 10, 10, 20, 30))
    is_told = chance.random() < 0.6
    return Runner(
        name=f"drawn {seed}",
        words="drawn by chance",
        baseline=f"{{on: {FIRST}, cadence: {chance.randint(150, 176)} spm, pace: 6:40 /km, "
        f"week: {minutes} min, longest: {longest} min, runs: {runs}}}",
        week=WEEKS[days],
        plan=f"{{from: {FIRST}, weeks: {chance.choice((8, 10, 12))}, growth: {growth} %, "
        "enough: 10 h}",
        does=chance.choice((1.0, 0.95, 0.9, 0.8, 0.7, 0.6)),
        tells=1.0 if is_told else chance.choice((0.9, 0.7, 0.5, 0.2)),
        tells_missed=1.0 if is_told else chance.choice((1.0, 0.5, 0.0)),
        amount=chance.choice((1.0, 1.0, 1.0, 0.8, 1.2)),
        extra=chance.choice((0.0, 0.0, 0.05)),
        late=chance.choice((0, 0, 0, 3)),
        sturdy=STURDY if chance.random() < 0.7 else chance.uniform(0.8, 1.6),
        ill=chance.choice((0, 0, 0, 0, 10)),
        away=(6,) if chance.random() < 0.15 else (),
    )


@lru_cache(maxsize=16_384)
def life_of(seed: int) -> Life:
    """The life of a drawn runner."""
    return live(drawn(seed), seed)
