"""A client's check-ins in date order, with a next morning's answer put to its session."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import NamedTuple

from sitegen.model.case import Case
from sitegen.model.checkin import CheckIn, Pain
from sitegen.model.problem import Origin
from sitegen.model.values import Pace

# Stands in where a distance came without a time and no pace was ever taken down.
# Common practice, no source: a slow run.
SLOW_PACE = Pace(510)


class Run(NamedTuple):
    """A run that was done, or that the plan holds."""

    on: date
    minutes: float


class Logged(NamedTuple):
    """One session of the log, and where it was written."""

    on: date
    minutes: float
    entry: CheckIn
    pain: Pain | None
    origin: Origin
    is_run: bool


def sessions(case: Case, up_to: date) -> tuple[Logged, ...]:
    """The log's sessions on or before ``up_to``, oldest first.

    Entries may stand in any order. An entry that holds nothing but a next morning's score belongs
    to the session before it on the same day; without one it stands alone.
    """
    order = sorted(
        (i for i, e in enumerate(case.log) if e.on <= up_to), key=lambda i: (case.log[i].on, i)
    )
    found: list[Logged] = []
    for index in order:
        entry = case.log[index]
        last = found[-1] if found and found[-1].on == entry.on else None
        if last is not None and _only_next_morning(entry) and entry.pain is not None:
            found[-1] = _with_next_morning(last, entry.pain)
            continue
        found.append(
            Logged(
                on=entry.on,
                minutes=minutes_of(entry, case),
                entry=entry,
                pain=entry.pain,
                origin=case.log_origins.value(index),
                is_run=entry.is_run,
            )
        )
    return tuple(found)


def minutes_of(entry: CheckIn, case: Case) -> float:
    """Running minutes of an entry.

    A distance without a time is put at the baseline's pace, which is what is known.
    """
    if entry.skipped is not None:
        return 0.0
    if entry.ran is not None:
        return entry.ran.minutes
    if entry.distance is not None:
        pace = case.client.baseline.pace or SLOW_PACE
        return entry.distance.km * pace.seconds_per_km / 60
    return 0.0


def runs(logged: Iterable[Logged]) -> tuple[Run, ...]:
    return tuple(Run(s.on, s.minutes) for s in logged if s.is_run)


def _only_next_morning(entry: CheckIn) -> bool:
    return (
        entry.pain is not None
        and entry.pain.next_morning is not None
        and entry.pain.session_worst is None
        and not entry.is_run
        and entry.skipped is None
        and not entry.signs
    )


def _with_next_morning(session: Logged, later: Pain) -> Logged:
    earlier = session.pain
    joined = Pain(
        during=earlier.during if earlier else None,
        after=earlier.after if earlier else None,
        next_morning=later.next_morning,
        site=(earlier.site if earlier else None) or later.site,
    )
    return session._replace(pain=joined)
