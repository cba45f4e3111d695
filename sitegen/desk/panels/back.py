"""Back: what was done lately, and the last act taken back."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sitegen.coach.undoing import act_words, listed, ready, ready_lines, undo, zone_of
from sitegen.desk.panel import DeskPanel, Outcome, Sent, Shown
from sitegen.desk.warm import Warm

ACTS_SHOWN = 30


def _view(warm: Warm, _given: Sent) -> Mapping[str, Any]:
    acts = listed(warm.clients)[:ACTS_SHOWN]
    zone = zone_of(warm.clients)
    return {"acts": [(act_words(act, zone), act) for act in acts], "can": ready(warm.clients).can}


def _undo(warm: Warm, _given: Sent) -> Shown:
    found = ready(warm.clients)
    lines = tuple(ready_lines(found))

    def do() -> Outcome:
        done = undo(warm.clients, found, warm.as_of)
        if done.differs:
            return Outcome("Not taken back: what the act left was changed since.", done.differs)
        return Outcome("Taken back. Build and publish to show it.")

    return Shown("Take the last act back", lines, do=do if found.can else None, yes="Take it back")


PANEL = DeskPanel("back", "Back", _view, {"undo": _undo})
