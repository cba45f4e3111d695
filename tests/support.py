"""Text in, values out: a case from the YAML that a coach would write."""

from __future__ import annotations

from datetime import date
from typing import Any

import yaml

from sitegen.model.case import Case
from sitegen.model.checkin import CheckIn
from sitegen.model.client import Client
from sitegen.model.plan import Plan
from sitegen.model.practice import Practice
from sitegen.plan.fold import expand
from sitegen.rules import RULES

PRACTICE = "{name: Harbour Running, contact: coach@example.org, timezone: Europe/Lisbon}"


def tree(text: str) -> Any:
    """YAML as maps, lists and text; no scalar is typed."""
    return yaml.load(text, Loader=yaml.BaseLoader)


def case_of(
    client: str | dict[str, Any], log: str | list[Any] = "[]", practice: str = PRACTICE
) -> Case:
    """A case from a client's text, a log and a practice, every rule's parameters merged."""
    raw = tree(client) if isinstance(client, str) else client
    entries = tree(log) if isinstance(log, str) else log
    house = tree(practice)
    return Case(
        id="runner",
        client=Client.of_tree(raw),
        practice=Practice.of_tree(house),
        log=tuple(CheckIn.of_tree(e) for e in entries),
        settings={r.name: r.parameters.of_tree(_values(r, raw, house)) for r in RULES},
    )


def _values(rule: Any, client: dict[str, Any], practice: dict[str, Any]) -> dict[str, Any]:
    values = dict((practice.get("rules") or {}).get(rule.name) or {})
    values |= (client.get("rules") or {}).get(rule.name) or {}
    for parameter, path in rule.client_fields.items():
        found: Any = client
        for key in path:
            found = found.get(key) if isinstance(found, dict) else None
        if found is not None:
            values[parameter] = found
    return values


def plan_of(
    client: str | dict[str, Any], log: str | list[Any] = "[]", as_of: str = "2027-01-01"
) -> Plan:
    return expand(case_of(client, log), date.fromisoformat(as_of))
