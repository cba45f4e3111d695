"""Logs beside which no client's file can be read: a danger that one tells is no less told."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from sitegen import world
from sitegen.model.case import Case
from sitegen.model.practice import Practice
from sitegen.practice.lenient import lenient_case
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
