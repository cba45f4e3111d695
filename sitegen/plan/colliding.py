"""Sessions too near to each other: told to the coach before anything is built.

What a change of hers brought about is told at the change, everything else at the client's days.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime, time, timedelta
from typing import NamedTuple

from sitegen.model.case import Case
from sitegen.model.plan import Session, Week
from sitegen.model.problem import Origin, Problem
from sitegen.rules.days import NIGHT

DAY = timedelta(days=1)
HOUR = timedelta(hours=1)


class Night(NamedTuple):
    """Less than a `NIGHT` between two sessions on neighbouring days."""

    ends: datetime
    starts: datetime

    @property
    def hours(self) -> float:
        return (self.starts - self.ends) / HOUR


def colliding(case: Case, weeks: Sequence[Week], as_of: date) -> Iterator[Problem]:
    """A warning for each pair of sessions that stand too near, of usual days once for all."""
    changed = _changed_days(case)
    usual: dict[tuple[int, time], list[Night]] = {}
    for one, other in _pairs(weeks, as_of, changed):
        origin = changed.get(one.on) or changed.get(other.on)
        night = _short_night(one, other)
        if origin is not None:
            says = _on_one_day(one, other) or _of_night(night)
            if says:
                yield _problem(origin, says, "move one of them, or take it out with rest: yes")
        elif night is not None and other.on >= as_of:
            usual.setdefault((one.on.weekday(), night.starts.time()), []).append(night)
    for nights in usual.values():
        shortest = min(nights, key=lambda night: night.hours)
        more = f", and so {len(nights)} times in the plan" if len(nights) > 1 else ""
        says = f"{_of_night(shortest)}{more}"
        yield _problem(case.origins.at("week"), says, "offer other days or hours, if any")


def _problem(origin: Origin, says: str, hint: str) -> Problem:
    return Problem(origin, says, hint, "plan-collision", "warning")


def _pairs(
    weeks: Sequence[Week], as_of: date, changed: Mapping[date, Origin]
) -> Iterator[tuple[Session, Session]]:
    """Each session with those of its day and of the day after that come after it.

    Of days over only those beside a change: nothing is said of the others (3 % of a plan that is
    over, with a ledger).
    """
    near = {day + DAY * beside for day in changed for beside in (-1, 0, 1)}
    sessions = sorted(
        (s for w in weeks for s in w.sessions if s.on >= as_of - DAY or s.on in near),
        key=lambda s: (s.on, s.at or time.min, s.id),
    )
    for at, one in enumerate(sessions):
        for other in sessions[at + 1 :]:
            if other.on - one.on > DAY:
                break
            yield one, other


def _changed_days(case: Case) -> dict[date, Origin]:
    """Days that a change touches, and where the change stands."""
    found: dict[date, Origin] = {}
    for index, change in enumerate(case.client.changes):
        moves = change.move_to or (change.on if change.minutes or change.session else None)
        if moves is not None:
            found[moves] = case.origins.at("changes", index)
    return found


def _on_one_day(one: Session, other: Session) -> str:
    """What is wrong with two sessions of one day, the earlier one first; empty for nothing."""
    if one.on != other.on:
        return ""
    if one.is_run and other.is_run:
        return f"two runs stand on {one.on}"
    ends, starts = one.ends, other.starts
    if ends is None or starts is None or starts >= ends:
        return ""
    return f"two sessions overlap on {one.on}: the first ends at {ends:%H:%M}"


def _short_night(one: Session, other: Session) -> Night | None:
    """The night between two sessions with a run among them, where it is too short."""
    if one.on == other.on:
        return None
    ends, starts = one.ends, other.starts
    if ends is None or starts is None:
        return None
    is_short = starts - ends < NIGHT and (one.is_run or other.is_run)
    return Night(ends, starts) if is_short else None


def _of_night(night: Night | None) -> str:
    if night is None:
        return ""
    if night.starts < night.ends:
        return f"two sessions overlap: the first ends on {night.ends:%Y-%m-%d at %H:%M}"
    return (
        f"only {night.hours:.1f} hours lie between the session that ends on {night.ends:%Y-%m-%d} "
        f"at {night.ends:%H:%M} and the next one"
    )
