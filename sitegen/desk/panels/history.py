"""One client's time as one line: told, done, changed, alarms and answers."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import groupby
from typing import Any

from sitegen.coach.history import Happened, history_of
from sitegen.desk.panel import DeskPanel, Sent
from sitegen.desk.warm import Warm


def _view(warm: Warm, given: Sent) -> Mapping[str, Any]:
    known = warm.known(str(given.get("whose") or ""))
    found: tuple[Happened, ...] = ()
    if known.case is not None and known.plan is not None:
        found = history_of(known.case, known.plan, warm.clients)
    days = [(on, tuple(lines)) for on, lines in groupby(reversed(found), key=lambda one: one.on)]
    return {"name": known.name, "id": known.files.id, "days": days, "problems": known.problems}


PANEL = DeskPanel("history", "One line of time", _view, stands="within")
