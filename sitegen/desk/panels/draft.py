"""What a client's file comes to while she types: its problems, and the portal redrawn. Nothing is
written."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sitegen.coach.becoming import becomes
from sitegen.desk.panel import DeskPanel, Sent
from sitegen.desk.panels.client import bytes_of_field
from sitegen.desk.portals import portal_of
from sitegen.desk.warm import Warm


def _view(warm: Warm, given: Sent) -> Mapping[str, Any]:
    id = str(given.get("id", ""))
    now = warm.known(id)
    before = now.files.client or b""
    after = bytes_of_field(str(given["text"]), before) if "text" in given else before
    known = warm.judged(now.files._replace(client=after))
    is_other = after != before
    says = ""
    if is_other and known.plan is not None and now.plan is not None:
        says = becomes(now.plan, known.plan)
    portal = portal_of(warm, known)
    seen = {
        "id": id,
        "name": known.name,
        "problems": known.problems,
        "is_other": is_other,
        "says": says,
    }
    return {**seen, "portal": portal} if portal is not None else seen


PANEL = DeskPanel("draft", "While you type", _view, stands="within")
