"""`sitegen check`: every problem of a practice, with those of the plans that come of it.

Clients are checked in several processes where there are many, so that a large practice takes
little time and little memory.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import NamedTuple

from sitegen import world
from sitegen.model.alarm import KINDS
from sitegen.model.problem import Problem
from sitegen.practice.namesakes import WrittenName, namesakes, written_name
from sitegen.practice.naming import is_error
from sitegen.practice.opening import ClientFiles, Listed, Progress, list_practice
from sitegen.practice.waits import waiting_problems
from sitegen.seal.keys_file import KEYS_FILE, load_keys
from sitegen.site.client import Kit, tools_of
from sitegen.site.left_over import left_over
from sitegen.site.made_of import house_made_of
from sitegen.site.spread import check_spread

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
    if not ids:
        problems.update(left_over(clients, {*listed.all_ids, *listed.meant}))
        problems.update(waiting_problems(clients))
    for done, found in enumerate(check_clients(listed, as_of, problems), start=1):
        problems.update(found)
        progress(done, len(listed.ids), "checking")
    return Checked(tuple(sorted(problems, key=_place)), len(listed.ids))


def _place(problem: Problem) -> tuple[int, Problem]:
    """Open alarms first, the most urgent kind before the others; then by file and line."""
    kind = _ALARM.match(problem.message) if problem.code == "alarm" else None
    if problem.code == "alarm" and kind is None:
        return -1, problem  # of the practice: it may be anybody's
    names: list[str] = [*KINDS]
    return (names.index(kind[1]) if kind else len(names)), problem


def check_clients(
    listed: Listed, as_of: date | None, problems: set[Problem]
) -> Iterator[tuple[Problem, ...]]:
    """Each client's problems, those of the plan with them.

    Those of unread files, and of names that several have, are put among ``problems``.
    """

    names: dict[str, WrittenName | None] = {}

    def readable() -> Iterator[ClientFiles]:
        for files, told in listed.files(listed.ids):
            problems.update(told)
            if files.client is not None:
                names[files.id] = written_name(files.client)
                yield files

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
    yield from check_spread(kit, readable())
    problems.update(namesakes(names, listed.clients.as_posix()))
