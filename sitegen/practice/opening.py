"""The one door into a practice: its folder listed, what all share read, each client's files read.

`list_practice` opens the door and reads no client. `Listed.files` reads some clients at a time,
so that a large practice need not fit into memory; `open_practice` reads all that are wanted.
What is wrong with a file's name or kind, with what all share, or with a client's file is found
here and nowhere else, so that no two commands can differ about it.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from sitegen import world
from sitegen.model.nearest import nearest_of
from sitegen.model.problem import Problem
from sitegen.practice.namesakes import WrittenName, namesakes, written_name
from sitegen.practice.naming import (
    all_meant,
    concerns_all,
    is_error,
    is_meant_for_log,
    meant_by,
    name_problems,
)

if TYPE_CHECKING:  # readers of YAML are loaded where something is read
    from sitegen.model.case import Case
    from sitegen.practice.house import House, KnownNames, Texts

Progress = Callable[[int, int, str], None]
"""Told how much is done, of how much in all (0: not known), and what is being done."""

BLOCK = 256  # clients whose files are read at a time
CLIENT, LOG, ANSWERS, TOLD = ".yaml", ".log.yaml", ".alarms.yaml", ".told.yaml"
BESIDE = (LOG, ANSWERS, TOLD)  # what may lie beside a client's own file


class NotThere(Exception):
    """A client or a target was named that the practice does not have. The text says what to do."""


class ClientFiles(NamedTuple):
    """One client's files as they lay there; None where there is none, or it can't be read."""

    id: str
    client: bytes | None
    log: bytes | None = None
    answers: bytes | None = None  # to alarms
    told: bytes | None = None  # what the client was shown
    strays: tuple[tuple[str, bytes], ...] = ()  # what lies under names that are not read
    is_misnamed: bool = False  # the client's own file is one of those

    @property
    def contents(self) -> tuple[str | bytes | None, ...]:
        """All of it, to be hashed: alike where nothing is otherwise."""
        *own, strays, _ = self
        return (*own, *(part for stray in strays for part in stray))

    @property
    def stray_logs(self) -> tuple[tuple[str, bytes], ...]:
        """What was meant to be a log, with the name under which it lies."""
        return tuple((name, data) for name, data in self.strays if is_meant_for_log(name))


@dataclass(frozen=True)
class Listed:
    """A practice of which is known what lies in its folder, and read what all clients share.

    Attributes:
        clients: The practice's folder.
        ids: The clients wanted, sorted.
        all_ids: All clients who have a file, sorted.
        stamps: Every name in the folder, with what changes when the file is written again.
        shared: The folder without clients and logs.
        problems: What is wrong with names and kinds of files, sorted; of clients' files only
            where their names are.
        strays: Files under a name that the tool does not read, by the client who was meant.
    """

    clients: Path
    ids: tuple[str, ...]
    all_ids: tuple[str, ...]
    stamps: Mapping[str, world.Stamp]
    shared: world.Folder
    problems: tuple[Problem, ...]
    strays: Mapping[str, tuple[str, ...]]

    @property
    def meant(self) -> frozenset[str]:
        """Clients of whom a file is there under a name that the tool does not read."""
        return frozenset(self.strays)

    @property
    def lost(self) -> frozenset[str]:
        """Those of them who have no file that is read."""
        return self.meant.difference(self.all_ids)

    @cached_property
    def texts(self) -> Texts:
        """What all clients share, under the names by which a coach knows the files."""
        return texts_of(self.shared)

    @cached_property
    def read(self) -> tuple[House | None, tuple[Problem, ...]]:
        """The house, and what is wrong with it; no house where that, or a file, has an error."""
        from sitegen.practice.house import read_house

        house, problems = read_house(self.texts)
        shared = [p for p in self.problems if is_error(p) and concerns_all(p, self.clients)]
        return (None, tuple(sorted({*shared, *problems}))) if shared else (house, problems)

    @property
    def house(self) -> House | None:
        return self.read[0]

    @cached_property
    def known(self) -> KnownNames | None:
        """What clients can be judged by where the house has errors."""
        from sitegen.practice.house import known_of

        return known_of(self.texts) if self.house is None else None

    def judge(self, files: ClientFiles) -> tuple[Case | None, tuple[Problem, ...]]:
        """A client's case, or none, and what is wrong with the files that could be read.

        Of who has a file under a wrong name nobody knows what else it would say: no case.
        """
        from sitegen.practice.house import case_of, client_problems

        if files.client is None:
            return None, ()
        texts = self.texts._replace(
            clients={files.id: files.client},
            logs={} if files.log is None else {files.id: files.log},
            answers={} if files.answers is None else {files.id: files.answers},
            told={} if files.told is None else {files.id: files.told},
        )
        if self.house is not None:
            case, problems = case_of(texts, self.house, files.id)
            if files.strays:
                return None, (*problems, *self._of_names({name for name, _ in files.strays}))
            return case, problems
        assert self.known is not None
        return None, client_problems(texts, self.known, files.id)

    def files(self, ids: Iterable[str]) -> Iterator[tuple[ClientFiles, tuple[Problem, ...]]]:
        """Each client's files, some hundred at a time, and why one of them can't be read."""
        left = iter(ids)
        while block := list(islice(left, BLOCK)):
            names = [f"{id}{end}" for id in block for end in (CLIENT, *BESIDE)]
            listed = [name for name in names if name in self.stamps]
            folder = world.read_folder(self.clients, listed=listed)
            told: dict[str, list[Problem]] = {}
            for problem in name_problems(
                replace(folder, logs={}, answers={}, told={}), self.clients
            ):
                told.setdefault(id_of(Path(problem.origin.file).name), []).append(problem)
            for id in block:
                files = ClientFiles(
                    id,
                    folder.clients.get(id),
                    folder.logs.get(id),
                    folder.answers.get(id),
                    folder.told.get(id),
                    read_strays(self.clients, self.strays.get(id, ())),
                )
                if id in told:
                    files = ClientFiles(id, None)
                elif files.client is None:
                    files = _with_misnamed(files)
                yield files, tuple(told.get(id, ()))

    def _of_names(self, names: Collection[str]) -> Iterator[Problem]:
        return (p for p in self.problems if Path(p.origin.file).name in names)


def list_practice(clients: Path, ids: Iterable[str] = ()) -> Listed:
    """Open the door: list the folder, and read what all clients share.

    Args:
        clients: The practice's folder.
        ids: The clients wanted; none means all.

    Raises:
        Refused: The folder can't be read.
        NotThere: A named client has no file.
    """
    stamps = world.list_folder(clients)
    names: list[str] = []

    def shared(name: str) -> bool:
        names.append(name)
        return not is_clients(name)

    folder = world.read_folder(clients, shared, stamps)
    logs, answers, told = (
        dict.fromkeys((id_of(name) for name in names if name.endswith(end)), b"") for end in BESIDE
    )
    all_ids = {id_of(name) for name in names if is_clients(name) and not name.endswith(BESIDE)}
    asked = frozenset(ids)
    for id in sorted(asked - all_ids):
        raise NotThere(not_there(clients, id, sorted(all_ids)))
    there = dict.fromkeys(all_ids, b"")
    alone = replace(folder, clients=there, logs=logs, answers=answers, told=told)
    problems = name_problems(alone, clients)
    if asked:
        problems = [
            p
            for p in problems
            if asked & {id_of(name := Path(p.origin.file).name), meant_by(name)}
            or concerns_all(p, clients)
        ]
    return Listed(
        clients,
        tuple(sorted(asked or all_ids)),
        tuple(sorted(all_ids)),
        stamps,
        folder,
        tuple(sorted(problems)),
        all_meant(folder.misnamed),
    )


@dataclass(frozen=True)
class Opened:
    """A practice of which every client wanted was read.

    Attributes:
        clients: The practice's folder.
        ids: The clients wanted, sorted.
        all_ids: All clients who have a file, sorted.
        house: What all clients share; None where that has an error.
        cases: The clients who have none, by id; nobody where there is no house.
        problems: All that is wrong with the files, sorted.
        as_of: The day that plans are as of; None for today, where each client is.
    """

    clients: Path
    ids: tuple[str, ...]
    all_ids: tuple[str, ...]
    house: House | None
    cases: Mapping[str, Case]
    problems: tuple[Problem, ...]
    as_of: date | None

    @property
    def has_errors(self) -> bool:
        return any(map(is_error, self.problems))

    @property
    def errors(self) -> tuple[Problem, ...]:
        return tuple(filter(is_error, self.problems))


def open_practice(
    clients: Path,
    ids: Iterable[str] = (),
    as_of: date | None = None,
    progress: Progress | None = None,
) -> Opened:
    """Open the door, and read every client wanted.

    Args:
        clients: The practice's folder.
        ids: The clients wanted; none means all.
        as_of: The day that plans are as of; None for today, where each client is.
        progress: Told of each client read.

    Raises:
        Refused: The folder can't be read.
        NotThere: A named client has no file.
    """
    listed = list_practice(clients, ids)
    problems = {*listed.problems, *listed.read[1]}
    cases: dict[str, Case] = {}
    names: dict[str, WrittenName | None] = {}
    for done, (files, told) in enumerate(listed.files(listed.ids)):
        if progress is not None:
            progress(done, len(listed.ids), "reading")
        names[files.id] = written_name(files.client or b"")
        case, found = listed.judge(files)
        problems.update((*told, *found))
        if case is not None:
            cases[files.id] = case
    problems.update(namesakes(names, clients.as_posix()))
    found = tuple(sorted(problems))
    return Opened(clients, listed.ids, listed.all_ids, listed.house, cases, found, as_of)


def texts_of(folder: world.Folder) -> Texts:
    """The folder's files under the names by which a coach knows them."""
    from sitegen.practice.house import Texts

    name = folder.path.as_posix()
    return Texts(
        practice=folder.practice,
        practice_file=f"{name}/practice.yaml",
        clients=folder.clients,
        logs=folder.logs,
        answers=folder.answers,
        told=folder.told,
        folder=name,
        drills=dict(folder.drills),
        figures=dict(folder.figures),
        shipped_drills=dict(world.read_library()),
        sessions=dict(folder.sessions),
        shipped_sessions=dict(world.read_sessions()),
        returns=dict(world.read_returns()),
        handouts=dict(folder.handouts),
        pictures=dict(folder.pictures),
        unreadable=frozenset(unreadable.name for unreadable in folder.unreadable),
    )


def _with_misnamed(files: ClientFiles) -> ClientFiles:
    """With the client's own file under a wrong name, if one lies there: for stops alone."""
    own = (data for name, data in files.strays if not is_meant_for_log(name))
    client = next(own, None)
    return files if client is None else files._replace(client=client, is_misnamed=True)


def read_strays(clients: Path, names: Iterable[str]) -> tuple[tuple[str, bytes], ...]:
    """What lies under names that are not read, with the name; empty where it can't be read."""
    return tuple((name, world.read_start(clients / name) or b"") for name in names)


def beside_stamp(stamps: Mapping[str, world.Stamp], id: str) -> world.Stamp | None:
    """One stamp for all files beside a client's own; None where there is none."""
    found = [stamp for end in BESIDE if (stamp := stamps.get(id + end)) is not None]
    if not found:
        return None
    size, mtime_ns, inode = found[0]
    for stamp in found[1:]:
        size, mtime_ns, inode = size + stamp.size, mtime_ns + stamp.mtime_ns, inode ^ stamp.inode
    return world.Stamp(size, mtime_ns, inode)


def not_there(clients: Path, id: str, all_ids: Sequence[str]) -> str:
    """That a client is not there, and who may have been meant."""
    if id == "practice":
        return "practice is no client: practice.yaml holds your own settings"
    close = nearest_of(id, all_ids)
    mean = f" Did you mean {close}?" if close else ""
    return f"there is no client {id!r}: {clients / id}.yaml is not there.{mean}"


def is_clients(name: str) -> bool:
    """Whether a name that `world.read_folder` asks about is one of a client's own files."""
    return name != "practice.yaml" and "/" not in name


def id_of(name: str) -> str:
    """Whose file it is: ``mara`` of ``mara.log.yaml``."""
    return name.partition(".")[0]
