"""The sheet: a row a client, for the week behind and the week ahead, and what can be decided."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sitegen.desk.deciding import DECISIONS
from sitegen.desk.drawings import BOX_HEIGHT, BOX_WIDTH, Drawing, drawings
from sitegen.desk.panel import DeskPanel, Sent
from sitegen.desk.warm import Warm
from sitegen.model.case import Case

FILTERS = ("alarm", "changed", "silent")


def _view(warm: Warm, given: Sent) -> Mapping[str, Any]:
    group = str(given.get("group") or "") or None
    only = tuple(one for one in FILTERS if given.get(one))
    found, cases = warm.sheet(group, only), warm.cases()
    minutes = [
        max(row.behind.told_minutes, row.behind.done_minutes) for row in found.rows if row.behind
    ]
    return {
        "rows": [(row, _drawn(warm, cases.get(row.id))) for row in found.rows],
        "most": max(minutes, default=0.0) or 1.0,
        "problems": found.problems,
        "groups": warm.groups(),
        "group": group or "",
        "only": only,
        "filters": FILTERS,
        "box": (BOX_WIDTH, BOX_HEIGHT),
    }


def _drawn(warm: Warm, case: Case | None) -> tuple[Drawing, ...]:
    return drawings(case, warm.day(case)) if case else ()


PANEL = DeskPanel("sheet", "The sheet", _view, DECISIONS)
