"""Why a week of a client, or one number of it, is as it is: short first, its source on asking."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sitegen.coach.reasons import reasons_of
from sitegen.coach.words import session_lines, strength
from sitegen.desk.panel import DeskPanel, Sent
from sitegen.desk.warm import Warm
from sitegen.rules.precedence import winner


def _view(warm: Warm, given: Sent) -> Mapping[str, Any]:
    known = warm.known(str(given.get("id", "")))
    number = str(given.get("week", ""))
    weeks = known.plan.weeks if known.plan else ()
    week = next((one for one in weeks if str(one.number) == number), None)
    one = reasons_of(week, of) if week and (of := str(given.get("of", ""))) else None
    all_of_it = week.decisions if week else (known.plan.decisions if known.plan else ())
    decisions = one.decisions if one else all_of_it
    won = winner(week.kind, week.decisions) if week else None
    return {
        "id": known.files.id,
        "name": known.name,
        "number": one.says if one else "",
        "week": week,
        "by": won.claim if won else "",
        "sessions": tuple(session_lines(week)) if week else (),
        "decisions": [(decision, strength(decision)) for decision in decisions],
    }


PANEL = DeskPanel("why", "Why", _view, stands="within")
