"""What if: other growth, days or event, both plans side by side. Nothing is written until said."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from sitegen.acts import ACTS
from sitegen.coach.acting import propose
from sitegen.coach.compare import as_json
from sitegen.desk.deciding import proposed_acts
from sitegen.desk.panel import DeskPanel, Sent, Shown
from sitegen.desk.warm import Warm
from sitegen.model.client import DAYS


def settings_of(given: Sent) -> tuple[str, ...]:
    """What was filled in, each as a coach would write it: ``growth: 8 %``."""
    return tuple(_settings(given))


def _settings(given: Sent) -> Iterator[str]:
    told = {key: str(value or "").strip() for key, value in given.items()}
    for key in ("growth", "weeks", "runs"):
        if told.get(key):
            yield f"{key}: {told[key]}"
    if told.get("day") in DAYS and told.get("then"):
        yield f"{told['day']}: {told['then']}"
    if told.get("event_on") and told.get("distance"):
        yield f"event: {{on: {told['event_on']}, distance: {told['distance']}}}"
    yield from filter(None, map(str.strip, told.get("others", "").splitlines()))


def _view(warm: Warm, given: Sent) -> Mapping[str, Any]:
    id = str(given.get("id", ""))
    settings = settings_of(given)
    seen: dict[str, Any] = {"settings": settings, "rows": (), "problems": (), "reaches": None}
    if not settings:
        return seen
    listed = warm.listed()
    found = propose(listed, (warm.files(id).id,), lambda k: ACTS["set"](k, *settings), warm.as_of)
    if not found.proposals:
        return {**seen, "problems": found.problems}
    (one,) = found.proposals
    both = as_json(one.plan_before, one.plan_after, ("as it is", "what if"))
    return {
        **seen,
        "rows": both["weeks"],
        "reaches": both["reaches"],
        "problems": one.warnings,
        "most": max(
            (minutes or 0 for row in both["weeks"] for minutes in row["run_minutes"]), default=1
        )
        or 1,
    }


def _set(warm: Warm, given: Sent) -> Shown:
    """The settings that were tried, written."""
    id = str(given.get("id", ""))
    settings = settings_of(given)
    listed = warm.listed()
    found = propose(listed, (warm.files(id).id,), lambda k: ACTS["set"](k, *settings), warm.as_of)
    return proposed_acts(warm, "set", f"Settings of {warm.known(id).name}", found)


PANEL = DeskPanel("whatif", "What if", _view, {"set": _set}, stands="within")
