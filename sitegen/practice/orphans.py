"""Logs beside files with errors, or beside none at all: a danger that one tells is no less told."""

from __future__ import annotations

from collections.abc import Set
from pathlib import Path
from typing import NamedTuple

from sitegen import world
from sitegen.model.case import Case
from sitegen.model.practice import Practice
from sitegen.practice.lenient import lenient_case, lenient_practice
from sitegen.practice.naming import all_meant, is_meant_for_log
from sitegen.practice.opening import BESIDE, CLIENT, id_of, is_clients, read_strays


class Orphan(NamedTuple):
    """What lies there of somebody without a client's file; ``client`` is one under a wrong name."""

    id: str
    client: bytes
    log: bytes | None
    answers: bytes | None
    strays: tuple[tuple[str, bytes], ...]

    def case(self, practice: Practice, folder: str) -> Case:
        """As much of it as can be read."""
        return lenient_case(
            self.id, self.client, self.log, self.answers, practice, folder, self.strays
        )


def orphans(clients: Path) -> tuple[Orphan, ...]:
    """Everybody of whom a log lies there, also under a wrong name, and no client's file; by id.

    Raises:
        Refused: The folder can't be read.
    """
    stamps = world.list_folder(clients)

    def is_alone(name: str) -> bool:
        return is_clients(name) and name.endswith(BESIDE) and id_of(name) + CLIENT not in stamps

    folder = world.read_folder(clients, is_alone, stamps)
    strays = {
        id: read_strays(clients, names)
        for id, names in all_meant(folder.misnamed).items()
        if id + CLIENT not in stamps
    }
    logs = {
        id: tuple(stray for stray in found if is_meant_for_log(stray[0]))
        for id, found in strays.items()
    }
    return tuple(
        Orphan(
            id,
            next((data for name, data in strays.get(id, ()) if not is_meant_for_log(name)), b""),
            folder.logs.get(id),
            folder.answers.get(id),
            logs.get(id, ()),
        )
        for id in sorted({*folder.logs, *(id for id, found in logs.items() if found)})
    )


def practice_as_read(clients: Path, practice: Practice | None) -> Practice:
    """The practice, as far as it can be read where its own file has an error.

    Raises:
        Refused: The folder can't be read.
    """
    if practice is not None:
        return practice
    return lenient_practice(
        world.read_folder(clients, lambda name: name == "practice.yaml").practice or b""
    )


def lenient_cases(clients: Path, ids: Set[str], practice: Practice) -> dict[str, Case]:
    """Clients whose files have errors, by id, as far as they can be read.

    Raises:
        Refused: The folder can't be read.
    """
    if not ids:
        return {}
    folder = world.read_folder(clients, lambda name: id_of(name) in ids)
    strays = all_meant(filter(is_meant_for_log, folder.misnamed))
    place = clients.as_posix()
    found = {}
    for id in sorted(ids):
        logs = read_strays(clients, strays.get(id, ()))
        own = folder.clients.get(id, b""), folder.logs.get(id), folder.answers.get(id)
        found[id] = lenient_case(id, *own, practice, place, strays=logs)
    return found
