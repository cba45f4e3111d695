"""What became of each run that a client was told: done, missed, ill, unknown, or still ahead."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
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
    entries = _entries(log, {run.on.weekday() for run in runs}, monday)
    if not entries:
        return tuple(_fate(run, None, log.as_of) for run in runs)
    taken, used = _of_the_day(runs, entries, monday)
    left = [(i, run) for i, run in enumerate(runs) if i not in taken]
    spare = [(k, entry) for k, entry in enumerate(entries) if k not in used]
    pairs = sorted(
        (not _inside(entry, monday), not entry.is_run, abs((entry.on - run.on).days), i, k)
        for i, run in left
        for k, entry in spare
        if abs((entry.on - run.on).days) <= 1
    )
    for _, _, _, i, k in pairs:
        if i not in taken and k not in used:
            taken[i] = k
            used.add(k)
    for i in range(len(runs)):
        if i not in taken and _moved_on(i, runs, entries, taken, {i}):
            used = set(taken.values())
    beside: dict[date, float] = {}
    for k, entry in enumerate(entries):
        if k not in used and entry.is_run:
            beside[entry.on] = beside.get(entry.on, 0.0) + entry.minutes
    return tuple(
        _fate(run, entries[taken[i]] if i in taken else None, log.as_of, beside)
        for i, run in enumerate(runs)
    )


def _entries(log: Log, days: Set[int], monday: date) -> list[Logged]:
    """The runs and sessions left out that may stand for a week's runs, which are on ``days``."""
    first = monday if days & {5, 6} else monday - DAY
    end = monday + WEEK if days & {0, 1} else monday + WEEK + DAY
    found = [s for s in log.between(first, end) if s.is_run or s.entry.skipped is not None]
    if 6 in days and days & {0, 1}:
        gone = _of_sunday(log, days, monday)
        found = [s for s in found if s is not gone]
        late = _of_sunday(log, days, monday + WEEK)
        found += [late] if late is not None else []
    return found


def _of_sunday(log: Log, days: Set[int], monday: date) -> Logged | None:
    """The entry of a Monday that tells of the Sunday before it, as the next morning is asked for.

    It does where the week before has no other for its Sunday, and the Monday's own week as much for
    its runs that are over without it; both with runs on ``days``.
    """
    if not log.between(monday, monday + DAY):
        return None
    near = [
        s
        for s in log.between(monday - WEEK, monday + WEEK)
        if s.is_run or s.entry.skipped is not None
    ]
    told = [(s.on - monday).days for s in near]
    if 0 not in told or 6 in _matched(days, [on + 7 for on in told if on < 0]):
        return None
    over = {day for day in days if day == 0 or monday + DAY * day < log.as_of}
    first, *others = [on for on in told if on >= 0]
    if len(_matched(over, others)) < len(_matched(over, [first, *others])):
        return None
    return near[told.index(0)]


def _matched(days: Set[int], told: Sequence[int]) -> set[int]:
    """Those of a week's days that entries within a day of them stand for, the first ones first."""
    found, left = set(), list(told)
    for day in sorted(days):
        near = next((on for on in left if abs(on - day) <= 1), None)
        if near is not None:
            found.add(day)
            left.remove(near)
    return found


def _moved_on(
    i: int, runs: Sequence[Run], entries: Sequence[Logged], taken: dict[int, int], seen: set[int]
) -> bool:
    """Whether run ``i`` finds a logged run, where others may be moved on to another one: of who
    tells of each run on the day after it, Friday's stands on the day of Saturday's."""
    for k, entry in enumerate(entries):
        if not entry.is_run or abs((entry.on - runs[i].on).days) > 1:
            continue
        holder = next((j for j, held in taken.items() if held == k), None)
        if holder in seen:
            continue
        if holder is None or _moved_on(holder, runs, entries, taken, {*seen, holder}):
            taken[i] = k
            return True
    return False


def _of_the_day(
    runs: Sequence[Run], entries: Sequence[Logged], monday: date
) -> tuple[dict[int, int], set[int]]:
    """Runs that were logged on their own day: nothing lies nearer, so they are matched first."""
    taken: dict[int, int] = {}
    used: set[int] = set()
    for i, run in enumerate(runs):
        for k, entry in enumerate(entries):
            if entry.on == run.on and entry.is_run and k not in used and _inside(entry, monday):
                taken[i] = k
                used.add(k)
                break
    return taken, used


def _inside(entry: Logged, monday: date) -> bool:
    return monday <= entry.on < monday + WEEK


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
