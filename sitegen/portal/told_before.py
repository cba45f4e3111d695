"""What a client last saw, by the ledger: what changes are told from, to them and to the coach.

The reasons of then are not in the ledger; `sitegen.portal.changed` keeps their hashes. Where those
are lost, every reason counts as new.
"""

from __future__ import annotations

from datetime import date
from typing import Any

from sitegen.model.case import Case
from sitegen.model.plan import Plan
from sitegen.plan import ledger
from sitegen.portal.changed import (
    AHEAD_DAYS,
    OLD_DAYS,
    Difference,
    Kept,
    Once,
    Seen,
    as_once,
    changes,
    changes_for_coach,
    set_further_on,
)


def seen_before(case: Case, plan: Plan, kept: Kept | None) -> Seen | None:
    """What the page tells changes from: what was told last on an earlier day and is otherwise now.

    A change stays on the page for two weeks, or until there is another one.
    """
    changed_on = plan.as_of
    for day in sorted({telling.on for telling in case.told if telling.on < plan.as_of})[::-1]:
        if (plan.as_of - changed_on).days > OLD_DAYS:
            return None
        seen = _seen(case, day, plan, kept, changed_on)
        if changes(seen, plan):
            return seen
        changed_on = day
    return None


def changes_json(case: Case, plan: Plan, kept: Kept | None) -> dict[str, Any] | None:
    """What ``sitegen build --json`` says of one client: what is otherwise than what they last saw.

    ``sessions`` of the next two weeks and a day, ``minutes`` of those days in all; ``further`` are
    later weeks for which the coach set the minutes, whenever she did. None where nothing was told.
    """
    days = [telling.on for telling in case.told if telling.on <= plan.as_of]
    if not days:
        return None
    seen = _seen(case, max(days), plan, kept, plan.as_of)
    found = changes_for_coach(seen, plan)
    return {
        "seen_on": max(days).isoformat(),
        "minutes": {
            "before": sum(one.before.minutes for one in found if one.before),
            "after": sum(one.after.minutes for one in found if one.after),
        },
        "sessions": [_json(one) for one in found],
        "further": [
            {
                "week": week.number,
                "start": week.start.isoformat(),
                "before": set_so.before,
                "after": set_so.after,
            }
            for week, set_so in set_further_on(plan)
        ],
    }


def _json(one: Difference) -> dict[str, Any]:
    session = one.after or one.before
    assert session is not None
    return {
        "id": session.id,
        "before": _once(one.before),
        "after": _once(one.after),
        "why": [str(decision.says) for decision in one.because],
    }


def _once(one: Once | None) -> dict[str, Any] | None:
    if one is None:
        return None
    told = {"on": one.on.isoformat(), "kind": one.kind, "minutes": one.minutes}
    return told | ({"run": one.run} if one.kind == "run_walk" else {})


def _seen(case: Case, day: date, plan: Plan, kept: Kept | None, changed_on: date) -> Seen:
    """What was told up to ``day``, and the reasons of the last build before ``changed_on``."""
    sessions, until = ledger.as_seen(case, day)
    builds = [seen for seen in (kept or ()) if seen is not None and seen.as_of < changed_on]
    reasons = max(builds, key=lambda seen: seen.as_of).reasons if builds else frozenset()
    near = tuple(as_once(s) for s in sessions if abs((s.on - plan.as_of).days) < AHEAD_DAYS)
    return Seen(day, near, reasons, until)
