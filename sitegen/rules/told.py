"""What became of each run that a client was told: done, missed, ill, unknown, or still ahead."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from types import MappingProxyType
from typing import Literal, NamedTuple

from sitegen.model.plan import Session
from sitegen.rules.log import Log, Logged, Run

Fate = Literal["done", "missed", "ill", "unknown", "ahead"]
DAY = timedelta(days=1)
WEEK = timedelta(days=7)
NONE_BESIDE: Mapping[date, float] = MappingProxyType({})


class ToldRun(NamedTuple):
    """One run that was told: ``minutes`` of running, and the minutes that were really run.

    ``unknown`` is a run of which nothing was heard, which is not a run that was missed. ``ahead``
    is one whose day is not over. ``beside`` are minutes run on the same day in runs that stand for
    no other told one: a run may be done in two parts.
    """

    on: date
    minutes: float
    fate: Fate
    ran: float = 0.0
    beside: float = 0.0

    @property
    def counted(self) -> float:
        """Minutes that were run, up to what was told."""
        return min(self.ran + self.beside, self.minutes)


def fates(told: Sequence[Session], log: Log, monday: date) -> tuple[ToldRun, ...]:
    """What became of a week's runs, in the order of their days.

    Each is matched with one entry of its day or of the day before or after it: the nearest first,
    entries of the same week before others, runs before sessions left out. An entry of the Sunday
    before or the Monday after counts only where that week itself has no use for it, as far as its
    own days tell.
    """
    runs = [Run(s.on, s.run_minutes) for s in told if s.is_run]
    runs = [run for run in runs if run.minutes > 0]
    near = log.between(monday - DAY, monday + WEEK + DAY)
    entries = [s for s in near if s.is_run or s.entry.skipped is not None]
    if not entries:
        return tuple(_fate(run, None, log.as_of) for run in runs)
    taken, used = _of_the_day(runs, entries, monday)
    left = [(i, run) for i, run in enumerate(runs) if i not in taken]
    spare = [(k, entry) for k, entry in enumerate(entries) if k not in used]
    pairs = sorted(
        (not _inside(entry, monday), not entry.is_run, abs((entry.on - run.on).days), i, k)
        for i, run in left
        for k, entry in spare
        if abs((entry.on - run.on).days) <= 1 and _is_free(entry, runs, monday)
    )
    for _, _, _, i, k in pairs:
        if i not in taken and k not in used:
            taken[i] = entries[k]
            used.add(k)
    beside: dict[date, float] = {}
    for k, entry in enumerate(entries):
        if k not in used and entry.is_run:
            beside[entry.on] = beside.get(entry.on, 0.0) + entry.minutes
    return tuple(_fate(run, taken.get(i), log.as_of, beside) for i, run in enumerate(runs))


def _of_the_day(
    runs: Sequence[Run], entries: Sequence[Logged], monday: date
) -> tuple[dict[int, Logged], set[int]]:
    """Runs that were logged on their own day: nothing lies nearer, so they are matched first."""
    taken: dict[int, Logged] = {}
    used: set[int] = set()
    for i, run in enumerate(runs):
        for k, entry in enumerate(entries):
            if entry.on == run.on and entry.is_run and k not in used and _inside(entry, monday):
                taken[i] = entry
                used.add(k)
                break
    return taken, used


def _inside(entry: Logged, monday: date) -> bool:
    return monday <= entry.on < monday + WEEK


def _is_free(entry: Logged, runs: Sequence[Run], monday: date) -> bool:
    """False for an entry that the week before or after has a run of its own for, as a rule."""
    if _inside(entry, monday):
        return True
    days = {run.on.weekday() for run in runs}
    return not days & ({0, 1} if entry.on > monday else {5, 6})


def _fate(
    run: Run, entry: Logged | None, as_of: date, beside: Mapping[date, float] = NONE_BESIDE
) -> ToldRun:
    minutes = run.minutes
    if entry is None:
        return ToldRun(run.on, minutes, "unknown" if run.on < as_of else "ahead")
    if entry.is_run:
        return ToldRun(run.on, minutes, "done", entry.minutes, beside.get(entry.on, 0.0))
    is_ill = entry.entry.skipped in (
        "ill",
        "pain",
    )  # pain that kept one from running weighs as much
    return ToldRun(run.on, minutes, "ill" if is_ill else "missed")
