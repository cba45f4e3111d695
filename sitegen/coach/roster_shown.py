"""The roster as lines for a terminal or a pipe, and as JSON."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from sitegen.coach.roster import RosterRow

WIDTH = 80  # columns


def roster_lines(rows: Sequence[RosterRow], width: int | None = WIDTH) -> tuple[str, ...]:
    """One line a client; plain text. ``width`` None cuts nothing off, as in a pipe.

    Where somebody is in a group, groups stand in a column of their own.
    """
    broad = max((len(row.id) for row in rows), default=0)
    most = max((len(row.group or "") for row in rows), default=0)
    if width is not None:
        broad, most = min(broad, width // 3), min(most, width // 5)
    return tuple(_line(row, _head(row, broad, most, width is not None), width) for row in rows)


def _head(row: RosterRow, broad: int, most: int, cuts: bool) -> str:
    """The id, and the group where anybody is in one; one that is too long for its column is cut."""
    if not most:
        return f"{row.id:<{broad}}  "
    group = row.group or ""
    if cuts and len(group) > most:
        group = f"{group[: most - 1]}…"
    return f"{row.id:<{broad}}  {group:<{most}}  "


def _line(row: RosterRow, head: str, width: int | None) -> str:
    says = [reason.says for reason in row.reasons]
    if width is None:
        return head + "; ".join(says)
    room = width - len(head)
    for kept in range(len(says), 0, -1):
        more = f"; and {len(says) - kept} more" if kept < len(says) else ""
        line = "; ".join(says[:kept]) + more
        if len(line) <= room:
            return head + line
    return head + (textwrap.shorten(says[0], room, placeholder=" …") if room > 2 else "")


def roster_json(rows: Iterable[RosterRow]) -> list[dict[str, Any]]:
    """What ``sitegen roster --json`` prints. Whether a link was opened is not in it: unknowable."""
    return [_as_json(row) for row in rows]


def _as_json(row: RosterRow) -> dict[str, Any]:
    return {
        "client": row.id if row.status != "aside" else None,
        "name": row.name if row.status != "aside" else None,
        "group": row.group,
        "as_of": _day(row.as_of),
        "status": row.status,
        "reasons": [{"kind": r.kind, "says": r.says, "since": _day(r.since)} for r in row.reasons],
        "last_check_in": _day(row.last_check_in),
        "days_since_check_in": row.days_since,
        "weeks_untold": row.weeks_untold,
        "runs": row.runs
        and {"logged": row.runs.logged, "planned": row.runs.planned, "days": row.runs.days},
        "cadence_spm": row.rate
        and {"aim": row.rate.aim, "within": row.rate.within, "counted": row.rate.counted},
        "event_on": _day(row.event_on),
        "plan_ends": _day(row.plan_ends),
    }


def _day(day: date | None) -> str | None:
    return day.isoformat() if day else None
