"""The last gate of every plan: under a stop no session is left, whatever put it there.

From the hour at which a stop is known nothing is offered: not the rest of that day, not what a
change put or moved there. What was run stays as done, the session that the sign came with too.
Everything that shows a plan (weeks, pages, feed, print, JSON) has it from behind this gate. What
was told of a day that is over stays, as nobody can be kept from a past day's run.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import date, timedelta

from sitegen.model.case import Case
from sitegen.model.plan import Session, Week
from sitegen.plan import changes
from sitegen.plan.condition import stop_known
from sitegen.rules.log import Log

DAY = timedelta(days=1)


def withheld(
    case: Case, log: Log, weeks: Sequence[Week], told: Collection[str] = ()
) -> tuple[Week, ...]:
    """The weeks without the sessions of days on which the plan is stopped, but for those done.

    ``told`` are ids of sessions of days over that stand as they were shown.
    """
    if not log.stopping:
        return tuple(weeks)
    return tuple(_week(case, log, week, told) for week in weeks)


def _week(case: Case, log: Log, week: Week, told: Collection[str]) -> Week:
    days = {s.on for s in week.sessions if s.id not in told}
    stopped = {day for day in days if stop_known(log, min(day, log.as_of) + DAY, day) is not None}
    if not stopped:
        return week
    kept = [s for s in week.sessions if s.on not in stopped or s.id in told]
    for day in stopped:
        kept += _done(log, day, [s for s in week.sessions if s.on == day and s.id not in told])
    sessions = tuple(sorted(kept, key=lambda s: (s.on, s.id)))
    own = case.client.baseline.cadence.spm
    return week._replace(sessions=sessions, steps=changes.steps(sessions, own))


def _done(log: Log, day: date, planned: Sequence[Session]) -> list[Session]:
    """As many of the day's runs as were logged, in the order of the day."""
    count = sum(s.is_run for s in log.between(day, day + DAY)) if day <= log.as_of else 0
    return [s for s in planned if s.is_run][:count]
