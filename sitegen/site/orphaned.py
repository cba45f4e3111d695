"""Open alarms beside files that have errors, or are not there, for `check`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Set
from datetime import date
from pathlib import Path

from sitegen import world
from sitegen.model.case import Case
from sitegen.model.practice import Practice
from sitegen.model.problem import Problem
from sitegen.plan.alarms import alarms, problems
from sitegen.plan.condition import log_with_readings
from sitegen.practice.orphans import lenient_cases, orphans, practice_as_read


def alarms_alone(clients: Path, practice: Practice | None, as_of: date | None) -> Iterator[Problem]:
    """A warning for each alarm of a log beside which there is no client.

    ``practice`` is None where its own file has an error.

    Raises:
        Refused: The folder can't be read.
    """
    known = practice_as_read(clients, practice)
    yield from _told((one.case(known, clients.as_posix()) for one in orphans(clients)), as_of)


def alarms_beside_errors(
    clients: Path, ids: Set[str], practice: Practice | None, as_of: date | None
) -> Iterator[Problem]:
    """A warning for each alarm *now* or *today* of clients whose files, or the practice's own,
    have errors: what only asks may come of what can't be read.

    Raises:
        Refused: The folder can't be read.
    """
    if ids:
        cases = lenient_cases(clients, ids, practice_as_read(clients, practice))
        yield from _told(cases.values(), as_of, kinds=("now", "today"))


def _told(
    cases: Iterable[Case], as_of: date | None, kinds: tuple[str, ...] = ()
) -> Iterator[Problem]:
    for case in cases:
        log = log_with_readings(case, as_of or world.today(case.timezone))
        found = [one for one in alarms(case, log) if not kinds or one.kind in kinds]
        yield from (p for p in problems(found, case) if p.code == "alarm")
