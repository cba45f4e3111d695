"""Changes that put sessions too near to each other: told to the coach before anything is built."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, datetime, time, timedelta

from sitegen.model.case import Case
from sitegen.model.plan import Session, Week
from sitegen.model.problem import Origin, Problem

DAY = timedelta(days=1)
NIGHT = timedelta(hours=8)  # between one session and the next; common practice, no source


def told(case: Case, weeks: Sequence[Week]) -> Iterator[Problem]:
    """A warning for each pair of sessions that a change of the coach's brought too near."""
    changed = _changed_days(case)
    sessions = sorted(
        (s for week in weeks for s in week.sessions), key=lambda s: (s.on, s.at or time.min, s.id)
    )
    for at, one in enumerate(sessions):
        for other in sessions[at + 1 :]:
            if other.on - one.on > DAY:
                break
            origin = changed.get(one.on) or changed.get(other.on)
            says = _too_near(one, other) if origin else ""
            if origin and says:
                yield Problem(
                    origin, says, "move one of them, or take it out with rest: yes",
                    "plan-collision", "warning",
                )  # fmt: skip


def _changed_days(case: Case) -> dict[date, Origin]:
    """Days that a change touches, and where the change stands."""
    found: dict[date, Origin] = {}
    for index, change in enumerate(case.client.changes):
        moves = change.move_to or (change.on if change.minutes or change.session else None)
        if moves is not None:
            found[moves] = case.origins.at("changes", index)
    return found


def _too_near(one: Session, other: Session) -> str:
    """What is wrong with two sessions, the earlier one first; empty where nothing is."""
    if one.on == other.on and one.is_run and other.is_run:
        return f"two runs stand on {one.on}"
    if one.at is None or other.at is None:
        return ""
    ends = datetime.combine(one.on, one.at) + timedelta(minutes=one.total_minutes)
    gap = datetime.combine(other.on, other.at) - ends
    if gap < timedelta(0):
        return f"two sessions overlap on {one.on}: the first ends at {ends:%H:%M}"
    if one.on != other.on and gap < NIGHT:
        hours = gap / timedelta(hours=1)
        return (
            f"only {hours:.1f} hours lie between the session that ends on {one.on} at "
            f"{ends:%H:%M} and the next one"
        )
    return ""
