"""Text in, values out: a case from the YAML that a coach would write."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import lru_cache
from typing import Any

import yaml

from sitegen import world
from sitegen.model.case import Case, Origins
from sitegen.model.checkin import CheckIn
from sitegen.model.client import Client
from sitegen.model.plan import Plan
from sitegen.model.practice import Practice
from sitegen.plan.fold import expand
from sitegen.practice.settings import merge
from sitegen.practice.workouts import workouts_of
from sitegen.rules import RULES

WORKOUTS, _PROBLEMS = workouts_of(world.read_sessions(), {}, "clients")
PRACTICE = "{name: Harbour Running, contact: coach@example.org, timezone: Europe/Lisbon}"


def tree(text: str) -> Any:
    """YAML as maps, lists and text; no scalar is typed."""
    return yaml.load(text, Loader=yaml.BaseLoader)


def case_of(
    client: str | dict[str, Any], log: str | list[Any] = "[]", practice: str = PRACTICE
) -> Case:
    """A case from a client's text, a log and a practice, every rule's parameters merged."""
    bare = _bare(client, practice) if isinstance(client, str) else _read(client, practice)
    entries = tree(log) if isinstance(log, str) else log
    return replace(bare, log=tuple(CheckIn.of_tree(e) for e in entries))


def _read(client: dict[str, Any], practice: str) -> Case:
    written = Client.of_tree(client)
    shared = Practice.of_tree(tree(practice))
    settings, problems = merge(RULES, shared, written, Origins("p.yaml"), Origins("c.yaml"))
    assert problems == ()
    return Case(
        id="runner",
        client=written,
        practice=shared,
        log=(),
        settings=settings,
        workouts=WORKOUTS,
    )


@lru_cache(maxsize=256)
def _bare(client: str, practice: str) -> Case:
    """A case without a log: thousands of logs are tried with the same few files."""
    return _read(tree(client), practice)


def plan_of(
    client: str | dict[str, Any], log: str | list[Any] = "[]", as_of: str = "2027-01-01"
) -> Plan:
    return expand(case_of(client, log), date.fromisoformat(as_of))
