"""What can be decided for one client or a group: a form for each act."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sitegen.coach.acting import OF_GROUP, clients_meant
from sitegen.desk.deciding import FORMS
from sitegen.desk.panel import DeskPanel, Sent
from sitegen.desk.panels.alarms import can_lift
from sitegen.desk.warm import Warm

FOR_ONE = frozenset({"move", "swap", "lift"})


def _view(warm: Warm, given: Sent) -> Mapping[str, Any]:
    whose = str(given.get("whose", ""))
    ids = clients_meant(warm.listed(), whose)
    is_group = whose.startswith(OF_GROUP)
    known = None if is_group else warm.known(whose)
    plan = known.plan if known else None
    house = warm.house
    ahead = [week for week in plan.weeks if week.start >= plan.as_of] if plan else []
    return {
        "whose": whose,
        "name": f"{len(ids)} clients of {whose.removeprefix(OF_GROUP)}" if known is None
        else known.name,
        "lifts": [one for one in warm.alarms().alarms.get(whose, ()) if can_lift(one)]
        if known else [],
        "forms": {n: f for n, f in FORMS.items() if not (is_group and n in FOR_ONE)
                  and n != "lift"},
        "weeks": ahead,
        "days": sorted({s.on for week in ahead[:2] for s in week.sessions}),
        "sessions": sorted(
            ((name, str(one.title)) for name, one in house.workouts.items()), key=lambda one: one[1]
        ) if house else (),
    }  # fmt: skip


PANEL = DeskPanel("decide", "Decide", _view, stands="within")
