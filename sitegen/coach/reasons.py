"""Which of a week's decisions stand behind one of its numbers."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple

from sitegen.model.plan import Decision, Session, Week
from sitegen.rules.precedence import CLAIMS, sets_rate, winner

OF_CLAIMS = frozenset(name for claim in CLAIMS for name in claim.rules)
OF_MINUTES = OF_CLAIMS | {"age", "feasible", "spacing", "event_days"}
OF_LONGEST = frozenset({"longest", "long_run", "event_days"})
OF_RATE = frozenset({"cadence"})
OF_SESSION: dict[str, Callable[[Session], bool]] = {
    "run_walk": lambda session: session.kind == "run_walk",
    "hard": lambda session: session.hard,
    "sessions": lambda session: session.hard,
    "strength": lambda session: session.kind == "strength",
    "fuel": lambda session: session.fuel_at is not None,
    "beyond": lambda session: session.kind == "event",
}
"""Rules of which a session has something, and which sessions do."""


class Reasons(NamedTuple):
    """One number of a week: what it is, in words, and why, what weighs most first."""

    says: str
    decisions: tuple[Decision, ...]


def reasons_of(week: Week, of: str) -> Reasons | None:
    """The reasons of one number.

    Args:
        week: The week that it stands in.
        of: ``minutes`` of the week, ``longest`` (run), ``rate`` (steps a minute), or a session's
            id, for its minutes.

    Returns:
        None where the week has no such number.
    """
    if of == "minutes":
        return Reasons(f"{week.run_minutes:.0f} min of running", _first(week, _minutes(week)))
    if of == "longest":
        most = max(week.sessions, key=lambda one: one.run_minutes, default=None)
        found = [*_about(week, most), *(d for d in week.decisions if d.rule in OF_LONGEST)]
        if not found or not week.longest_minutes:
            found += _won(week)
        return Reasons(f"longest run {week.longest_minutes:.0f} min", tuple(found))
    if of == "rate":
        rate = [d for d in week.decisions if d.rule in OF_RATE or sets_rate(d)]
        return Reasons(f"{week.cadence.aim} steps a minute", tuple(rate or _won(week)))
    session = next((one for one in week.sessions if one.id == of), None)
    return session and Reasons(
        f"{session.total_minutes:.0f} min in all, {session.run_minutes:.0f} of them running",
        tuple(_of_session(week, session)),
    )


def _minutes(week: Week) -> list[Decision]:
    return [one for one in week.decisions if one.rule in OF_MINUTES and not sets_rate(one)]


def _of_session(week: Week, session: Session) -> Iterator[Decision]:
    yield from _about(week, session)
    for one in week.decisions:
        is_longest = one.rule in OF_LONGEST and session.run_minutes == week.longest_minutes
        if (session.is_run and is_longest) or OF_SESSION.get(one.rule, _never)(session):
            yield one
    if session.is_run:
        yield from _won(week)  # its share of the week


def _about(week: Week, session: Session | None) -> list[Decision]:
    return [one for one in week.decisions if session and one.session == session.id]


def _won(week: Week) -> list[Decision]:
    won = winner(week.kind, week.decisions)
    return [won.decision] if won else []


def _first(week: Week, found: list[Decision]) -> tuple[Decision, ...]:
    won = _won(week)
    return (*won, *(one for one in found if one not in won))


def _never(_session: Session) -> bool:
    return False
