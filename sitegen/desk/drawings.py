"""Small drawings of a runner's last weeks: pain, effort and step rate, run by run, and the step
rate that the phone heard, check by check.

Points within a box of `BOX_WIDTH` by `BOX_HEIGHT`; the same in words, for who does not see them.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from sitegen.model.case import Case
from sitegen.model.checkin import CheckIn
from sitegen.rules.log import sessions

BOX_WIDTH, BOX_HEIGHT = 64.0, 18.0
MOST_RUNS = 12
MOST_CHECKS = 6
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
    """Those of which anything was told in the last runs, or heard in the last checks.

    Args:
        case: The client's files.
        as_of: The day; later check-ins are not looked at.
    """
    runs = [s for s in sessions(case, as_of) if s.is_run or (s.pain and s.pain.worst is not None)]
    last = runs[-MOST_RUNS:]
    pains = [s.pain.worst if s.pain else None for s in last]
    efforts = [s.entry.effort for s in last]
    rates = [s.entry.cadence.spm if s.entry.cadence else None for s in last]
    checks = _checks(case, as_of)[-MOST_RUNS:]
    heard = [entry.heard_spm for entry in checks]
    drawn = (
        _drawn("pain", "runs", pains, (0.0, WORST), ""),
        _drawn("effort", "runs", efforts, (0.0, WORST), ""),
        _drawn("step rate", "runs", rates, _around(rates), " spm"),
        _drawn("step rate heard", "checks", heard, _around(heard), " spm"),
    )
    return tuple(one for one in drawn if one.points)


def checks_heard(case: Case, as_of: date) -> tuple[tuple[date, str], ...]:
    """The last listening checks, newest first: the day, and what was heard in each part. Only the
    parts of one check compare."""
    last = _checks(case, as_of)[-MOST_CHECKS:]
    return tuple((one.on, "; ".join(part.says for part in one.heard)) for one in reversed(last))


def _checks(case: Case, as_of: date) -> list[CheckIn]:
    return sorted((e for e in case.log if e.heard and e.on <= as_of), key=lambda e: e.on)


def _around(values: Sequence[float | None]) -> tuple[float, float]:
    """The least and the most that are drawn of step rates."""
    told = [spm for spm in values if spm is not None] or [0.0]
    middle, span = (max(told) + min(told)) / 2, max(LEAST_SPAN_SPM, max(told) - min(told))
    return middle - span / 2, middle + span / 2


def _drawn(
    name: str, of: str, values: Sequence[float | None], ends: tuple[float, float], unit: str
) -> Drawing:
    low, high = ends
    step = BOX_WIDTH / max(1, len(values) - 1)
    points = tuple(
        (round(at * step, 1), round(BOX_HEIGHT * (1 - (value - low) / (high - low)), 1))
        for at, value in enumerate(values)
        if value is not None
    )
    told = [f"{value:.0f}" for value in values if value is not None]
    last = f"{told[-1]}{unit}" if told else ""
    return Drawing(name, points, last, f"{name} in the last {of}: {', '.join(told)}{unit}")
