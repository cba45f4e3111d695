"""The sheet: a row a client, for the week behind and the week ahead, and what can be decided."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from sitegen.coach.sheet import QUIET, Asked
from sitegen.desk.deciding import DECISIONS
from sitegen.desk.drawings import BOX_HEIGHT, BOX_WIDTH, Drawing, drawings
from sitegen.desk.panel import DeskPanel, Sent
from sitegen.desk.warm import Warm
from sitegen.model.case import Case

FOLDED_FROM = 3  # that differ in their day and number alone
DAY_OR_NUMBER = re.compile(r"alarm \d+|\d{4}-\d{2}-\d{2}")
FILTERS = ("alarm", "changed", "silent")


def _view(warm: Warm, given: Sent) -> Mapping[str, Any]:
    group = str(given.get("group") or "") or None
    only = tuple(one for one in FILTERS if given.get(one))
    found, cases = warm.sheet(group, only), warm.cases()
    minutes = [
        max(row.behind.told_minutes, row.behind.done_minutes) for row in found.rows if row.behind
    ]
    return {
        "rows": [(row, _drawn(warm, cases.get(row.id)), folded(row.asks)) for row in found.rows],
        "most": max(minutes, default=0.0) or 1.0,
        "problems": found.problems,
        "groups": warm.groups(),
        "group": group or "",
        "only": only,
        "filters": FILTERS,
        "quiet": QUIET,
        "box": (BOX_WIDTH, BOX_HEIGHT),
    }


def folded(asks: Sequence[Asked]) -> tuple[tuple[Asked, tuple[Asked, ...]], ...]:
    """Each ask with those like it, of many that differ in their day and number alone: the first,
    which is the latest, stands for them."""
    alike: dict[tuple[str, str], list[Asked]] = {}
    for one in asks:
        alike.setdefault((one.kind, DAY_OR_NUMBER.sub("", one.says)), []).append(one)
    found: list[tuple[Asked, tuple[Asked, ...]]] = []
    for first, *others in alike.values():
        if len(others) + 1 < FOLDED_FROM:
            found += [(one, ()) for one in (first, *others)]
        else:
            found.append((first, tuple(others)))
    return tuple(found)


def _drawn(warm: Warm, case: Case | None) -> tuple[Drawing, ...]:
    return drawings(case, warm.day(case)) if case else ()


PANEL = DeskPanel("sheet", "The sheet", _view, DECISIONS)
