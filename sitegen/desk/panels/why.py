"""Why a week of a client is as it is: short first, where each number comes from on asking."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sitegen.coach.words import session_lines, strength
from sitegen.desk.panel import DeskPanel, Sent
from sitegen.desk.warm import Warm
from sitegen.rules.precedence import winner


def _view(warm: Warm, given: Sent) -> Mapping[str, Any]:
    known = warm.known(str(given.get("id", "")))
    number = str(given.get("week", ""))
    weeks = known.plan.weeks if known.plan else ()
    week = next((one for one in weeks if str(one.number) == number), None)
    decisions = week.decisions if week else (known.plan.decisions if known.plan else ())
    won = winner(week.kind, week.decisions) if week else None
    return {
        "name": known.name,
        "week": week,
        "by": won.claim if won else "",
        "sessions": tuple(session_lines(week)) if week else (),
        "decisions": [(one, strength(one)) for one in decisions],
    }


PANEL = DeskPanel("why", "Why", _view, stands="within")
