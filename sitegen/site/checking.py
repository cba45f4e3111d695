"""`sitegen check`: every problem of a practice, with those of the plans that come of it.

Clients are checked in several processes where there are many, so that a large practice takes
little time and little memory. Who was checked before with all the same is not checked again.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from datetime import date
from itertools import chain
from pathlib import Path
from typing import NamedTuple

from sitegen import world
from sitegen.model.alarm import KINDS
from sitegen.model.problem import Problem
from sitegen.practice.namesakes import WrittenName, namesakes, written_name
from sitegen.practice.naming import is_error
from sitegen.practice.opening import ClientFiles, Listed, Progress, id_of, list_practice
from sitegen.practice.waits import waiting_problems
from sitegen.seal.keys_file import KEYS_FILE, load_keys
from sitegen.site.checked import CheckedBefore, Judged
from sitegen.site.left_over import damaged, left_over
from sitegen.site.made_of import house_made_of

_ALARM = re.compile(rf"alarm \d+, ({'|'.join(KINDS)}): ")


class Checked(NamedTuple):
    """What `check` found, open alarms first, else in the order of files; in how many clients."""

    problems: tuple[Problem, ...]
    clients: int

    @property
    def errors(self) -> int:
        return sum(map(is_error, self.problems))


def check(clients: Path, ids: tuple[str, ...], as_of: date | None, progress: Progress) -> Checked:
    """Every problem of the practice, or of the clients named.

    Raises:
        Refused: The folder can't be read.
        NotThere: A named client has no file.
    """
    progress(0, 0, "reading")
    listed = list_practice(clients, ids)
    _, told = load_keys(clients / KEYS_FILE)
    problems = {*listed.problems, *listed.read[1], *told}
    before = None if listed.house is None else CheckedBefore(listed, as_of)
    for done, found in enumerate(check_clients(listed, as_of, problems, before), start=1):
        problems.update(found)
        progress(done + (before.known if before else 0), len(listed.ids), "checking")
    if before is not None:
        before.keep()
    lost = _lost_to_errors(listed, problems)
    practice = listed.house.practice if listed.house else None
    if lost:
        from sitegen.site.orphaned import alarms_beside_errors

        problems.update(alarms_beside_errors(clients, lost, practice, as_of))
    if not ids:
        problems.update(left_over(clients, {*listed.all_ids, *listed.meant}))
        problems.update(damaged(clients))
        problems.update(waiting_problems(clients))
        if listed.lost or any(p.code == "log-alone" for p in problems):
            from sitegen.site.orphaned import alarms_alone

            problems.update(alarms_alone(clients, practice, as_of))
    return Checked(tuple(sorted(problems, key=_place)), len(listed.ids))


def _lost_to_errors(listed: Listed, problems: set[Problem]) -> set[str]:
    """Who has no plan for errors, of those wanted; everybody where the house has one."""
    if listed.house is None:
        return {*listed.ids}
    return {id_of(Path(p.origin.file).name) for p in problems if is_error(p)} & {*listed.ids}


def _place(problem: Problem) -> tuple[int, Problem]:
    """Open alarms first, the most urgent kind before the others; then by file and line."""
    kind = _ALARM.match(problem.message) if problem.code == "alarm" else None
    if problem.code == "alarm" and kind is None:
        return -1, problem  # of the practice: it may be anybody's
    names: list[str] = [*KINDS]
    return (names.index(kind[1]) if kind else len(names)), problem


def check_clients(
    listed: Listed,
    as_of: date | None,
    problems: set[Problem],
    before: CheckedBefore | None = None,
) -> Iterator[tuple[Problem, ...]]:
    """Each client's problems, those of the plan with them.

    Those of unread files, of names that several have, and of who is known from ``before``, are put
    among ``problems``.
    """

    names: dict[str, WrittenName | None] = {}

    def unknown() -> Iterator[ClientFiles]:
        for files, told in listed.files(listed.ids):
            problems.update(told)
            if files.client is None:
                continue
            names[files.id] = written_name(files.client)
            found = before.found(files) if before else None
            if found is None:
                yield files
            else:
                problems.update(found)

    some = unknown()
    for first in some:  # without one the engine is not loaded
        for judged in _judged(listed, as_of, chain([first], some)):
            if before is not None:
                before.take(judged)
            yield judged.problems
    problems.update(namesakes(names, listed.clients.as_posix()))


def all_wrong(listed: Listed, as_of: date | None, found: Iterable[Problem]) -> set[Problem]:
    """What was found, and all that is wrong with what all clients share, and with each client."""
    problems = {*found, *listed.read[1]}
    for of_client in check_clients(listed, as_of, problems):
        problems.update(of_client)
    return problems


def _judged(listed: Listed, as_of: date | None, given: Iterator[ClientFiles]) -> Iterator[Judged]:
    from sitegen.site.client import Kit, tools_of
    from sitegen.site.spread import check_spread

    kit = Kit(
        name=f"check {house_made_of(listed.shared, '')}",
        texts=listed.texts,
        templates=dict(world.read_templates()),
        compiled={},
        as_of=as_of,
        stamp=world.now_utc(),
        languages=world.read_languages(),
        known=listed.known,
    )
    if listed.house is not None:
        tools_of(kit, listed.house)
    yield from check_spread(kit, given)
