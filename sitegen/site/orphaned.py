"""Open alarms of logs beside which no client's file can be read, for `check`."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from sitegen import world
from sitegen.model.problem import Problem
from sitegen.plan.alarms import alarms, problems
from sitegen.plan.condition import log_with_readings
from sitegen.practice.lenient import lenient_practice
from sitegen.practice.opening import Listed
from sitegen.practice.orphans import orphans


def alarms_alone(listed: Listed, as_of: date | None) -> Iterator[Problem]:
    """A warning for each of them.

    Raises:
        Refused: The folder can't be read.
    """
    practice = listed.house.practice if listed.house else None
    for one in orphans(listed.clients):
        case = one.case(
            practice or lenient_practice(listed.texts.practice or b""), listed.clients.as_posix()
        )
        log = log_with_readings(case, as_of or world.today(case.timezone))
        yield from (p for p in problems(alarms(case, log), case) if p.code == "alarm")
