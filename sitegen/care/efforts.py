"""Easy running that is told as very hard, week after week.

Too fast, unwell, too little food or sleep, or heat: which of them, a person has to ask. The numbers
are judgement (common practice, no source); the word "very hard" stands at 7 on the scale that the
client's page shows (Foster C et al., J Strength Cond Res 2001;15(1):109-115, after Borg).

Pure: efforts in, findings out.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from typing import NamedTuple

WEEK = timedelta(days=7)
VERY_HARD = 7
VERY_HARD_WEEKS = 3
VERY_HARD_SHARE = 0.5


class Effort(NamedTuple):
    """The effort of one run, 0 to 10; ``at`` is the entry's place in the log."""

    on: date
    effort: int
    at: int = 0


class VeryHard(NamedTuple):
    """That in calendar weeks in a row, up to the run of the day ``since``, ``hard`` of so many easy
    ``runs`` felt very hard."""

    since: date
    hard: int
    runs: int
    at: int


def very_hard_weeks(told: Iterable[Effort], meant_hard: int = 0) -> tuple[VeryHard, ...]:
    """Each time that `VERY_HARD_WEEKS` weeks in a row had so large a share of very hard easy runs.

    It shows with a run that felt so, by what was told up to it; weeks that go on show it again
    after as many more.

    Args:
        told: The runs whose effort was told.
        meant_hard: How many runs of a week may be hard ones: the hardest of each week are left out.
    """
    found: list[VeryHard] = []
    weeks: dict[date, list[int]] = {}
    counted_from = date.min
    for one in sorted(told):
        monday = one.on - timedelta(days=one.on.weekday())
        weeks.setdefault(monday, []).append(one.effort)
        first = monday - (VERY_HARD_WEEKS - 1) * WEEK
        if one.effort < VERY_HARD or first < counted_from:
            continue
        easy = [_easy(weeks.get(first + n * WEEK, ()), meant_hard) for n in range(VERY_HARD_WEEKS)]
        hard = [sum(effort >= VERY_HARD for effort in efforts) for efforts in easy]
        runs = [len(efforts) for efforts in easy]
        if all(n and h >= n * VERY_HARD_SHARE for h, n in zip(hard, runs, strict=True)):
            found.append(VeryHard(one.on, sum(hard), sum(runs), one.at))
            counted_from = monday + WEEK
    return tuple(found)


def _easy(efforts: Sequence[int], meant_hard: int) -> list[int]:
    return sorted(efforts)[: max(len(efforts) - meant_hard, 0)]
