"""Small drawings of a runner's last weeks: pain, effort and step rate, run by run.

Points within a box of `BOX_WIDTH` by `BOX_HEIGHT`; the same in words, for who does not see them.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from sitegen.model.case import Case
from sitegen.rules.log import Logged, sessions

BOX_WIDTH, BOX_HEIGHT = 64.0, 18.0
MOST_RUNS = 12
WORST = 10  # of pain and of effort
LEAST_SPAN_SPM = 12.0  # so that a steady step rate looks steady


class Drawing(NamedTuple):
    """One row of points, ``x y`` each, oldest first; ``words`` say the same."""

    name: str
    points: tuple[tuple[float, float], ...]
    last: str
    words: str

    @property
    def line(self) -> str:
        """What an SVG polyline takes."""
        return " ".join(f"{x:g},{y:g}" for x, y in self.points)


def drawings(case: Case, as_of: date) -> tuple[Drawing, ...]:
    """Those three of which anything was told in the last runs.

    Args:
        case: The client's files.
        as_of: The day; later check-ins are not looked at.
    """
    runs = [s for s in sessions(case, as_of) if s.is_run or (s.pain and s.pain.worst is not None)]
    last = runs[-MOST_RUNS:]
    pains = [s.pain.worst if s.pain else None for s in last]
    efforts = [s.entry.effort for s in last]
    rates = [s.entry.cadence.spm if s.entry.cadence else None for s in last]
    told = [spm for spm in rates if spm is not None]
    middle = (max(told) + min(told)) / 2 if told else 0.0
    span = max(LEAST_SPAN_SPM, float(max(told) - min(told))) if told else LEAST_SPAN_SPM
    drawn = (
        _drawn("pain", last, pains, 0.0, WORST, ""),
        _drawn("effort", last, efforts, 0.0, WORST, ""),
        _drawn("step rate", last, rates, middle - span / 2, middle + span / 2, " spm"),
    )
    return tuple(one for one in drawn if one.points)


def _drawn(
    name: str,
    runs: Sequence[Logged],
    values: Sequence[float | None],
    low: float,
    high: float,
    unit: str,
) -> Drawing:
    step = BOX_WIDTH / max(1, len(runs) - 1)
    points = tuple(
        (round(at * step, 1), round(BOX_HEIGHT * (1 - (value - low) / (high - low)), 1))
        for at, value in enumerate(values)
        if value is not None
    )
    told = [f"{value:g}" for value in values if value is not None]
    last = f"{told[-1]}{unit}" if told else ""
    return Drawing(name, points, last, f"{name} in the last runs: {', '.join(told)}{unit}")
