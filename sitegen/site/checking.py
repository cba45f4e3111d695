"""`sitegen check`: every problem of a practice, with those of the plans that come of it.

Files are read some hundred at a time, and clients are checked in several processes where there
are many, so that a large practice takes little time and little memory.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import NamedTuple

from sitegen import world
from sitegen.model.problem import Problem
from sitegen.practice.house import known_of, read_house
from sitegen.practice.opening import NotThere, Progress, folder_problems, not_there, texts_of
from sitegen.site import client as build
from sitegen.site.building import LOG, id_of, is_clients
from sitegen.site.spread import check_all

BLOCK = 256  # clients whose files are read at a time


class Checked(NamedTuple):
    """What `check` found, in the order of files, and in how many clients."""

    problems: tuple[Problem, ...]
    clients: int

    @property
    def errors(self) -> int:
        return sum(p.level == "error" for p in self.problems)


def check(clients: Path, ids: tuple[str, ...], as_of: date | None, progress: Progress) -> Checked:
    """Every problem of the practice, or of the clients named.

    Raises:
        Refused: The folder can't be read.
        NotThere: A named client has no file.
    """
    names: list[str] = []

    def only(name: str) -> bool:
        names.append(name)
        return not is_clients(name)

    progress(0, 0, "reading")
    shared = world.read_folder(clients, only)
    logs = {id_of(name) for name in names if name.endswith(LOG)}
    all_ids = {id_of(name) for name in names if is_clients(name) and not name.endswith(LOG)}
    for id in ids:
        if id not in all_ids:
            raise NotThere(not_there(clients, id, sorted(all_ids)))
    wanted = sorted(set(ids) or all_ids)
    listed = replace(shared, clients=dict.fromkeys(all_ids, b""), logs=dict.fromkeys(logs, b""))
    problems = {
        p
        for p in folder_problems(listed, clients)
        if not ids or id_of(Path(p.origin.file).name) in ids
    }
    texts = texts_of(replace(shared, clients={}, logs={}))
    house, told = read_house(texts)
    problems.update(told)
    known = known_of(texts) if house is None else None
    kit = build.Kit("check", texts, {}, {}, as_of, world.now_utc(), {}, known)
    asks = _asks(clients, wanted, problems)
    for done, found in enumerate(check_all(kit, asks), start=1):
        problems.update(found)
        progress(done, len(wanted), "checking")
    return Checked(tuple(sorted(problems)), len(wanted))


def _asks(clients: Path, wanted: list[str], problems: set[Problem]) -> Iterator[build.Ask]:
    """The files of each client; of one that can't be read, the reason among the problems."""
    for start in range(0, len(wanted), BLOCK):
        block = frozenset(wanted[start : start + BLOCK])

        def only(name: str, block: frozenset[str] = block) -> bool:
            return is_clients(name) and id_of(name) in block

        read = world.read_folder(clients, only)
        problems.update(folder_problems(replace(read, misnamed=(), logs={}), clients))
        broken = {id_of(unreadable.name) for unreadable in read.unreadable}
        for id in sorted(read.clients.keys() - broken):
            yield build.Ask(id, read.clients[id], read.logs.get(id))
