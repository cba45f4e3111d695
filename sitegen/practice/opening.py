"""A practice that was opened: its files read, its clients' cases, all that is wrong with them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from sitegen import world
from sitegen.model.case import Case
from sitegen.model.problem import Origin, Problem
from sitegen.practice.house import (
    House,
    Texts,
    case_of,
    client_problems,
    known_of,
    read_house,
)

Progress = Callable[[int, int, str], None]
"""Told how much is done, of how much in all (0: not known), and what is being done."""


class NotThere(Exception):
    """A client was named whom the practice does not have. The text says what to do."""


@dataclass(frozen=True)
class Opened:
    """Everything that a command may ask of a practice."""

    clients: Path
    ids: tuple[str, ...]
    all_ids: tuple[str, ...]
    house: House | None
    cases: Mapping[str, Case]
    problems: tuple[Problem, ...]
    as_of: date | None

    @property
    def has_errors(self) -> bool:
        return any(p.level == "error" for p in self.problems)


def texts_of(folder: world.Folder) -> Texts:
    """The folder's files under the names by which a coach knows them."""
    name = folder.path.as_posix()
    return Texts(
        practice=folder.practice,
        practice_file=f"{name}/practice.yaml",
        clients=folder.clients,
        logs=folder.logs,
        folder=name,
        drills=folder.drills,
        figures=folder.figures,
        library=world.read_library(),
        handouts=folder.handouts,
        pictures=folder.pictures,
        unreadable=frozenset(unreadable.name for unreadable in folder.unreadable),
    )


def _tell(progress: Progress | None, done: int, total: int, what: str) -> None:
    if progress is not None:
        progress(done, total, what)


def open_practice(
    clients: Path,
    ids: tuple[str, ...],
    as_of: date | None,
    progress: Progress | None = None,
) -> Opened:
    """Read a practice; ``ids`` names the clients wanted, none means all.

    ``progress`` is told of each client read.

    Raises:
        Refused: The folder can't be read.
        NotThere: A named client has no file.
    """
    folder = world.read_folder(clients)
    texts = texts_of(folder)
    unreadable = {u.name.removesuffix(".yaml") for u in folder.unreadable}
    all_ids = tuple(sorted(texts.clients))
    for id in ids:
        if id not in texts.clients and id not in unreadable:
            raise NotThere(not_there(clients, id, all_ids))
    wanted = tuple(sorted(set(ids))) or all_ids
    problems = [*folder_problems(folder, clients)]
    if ids:
        problems = [p for p in problems if Path(p.origin.file).name.split(".")[0] in ids]
    house, told = read_house(texts)
    problems += told
    known = known_of(texts) if house is None else None
    cases: dict[str, Case] = {}
    for done, id in enumerate(wanted):
        _tell(progress, done, len(wanted), "reading")
        if id not in texts.clients:
            continue
        if known is not None:
            problems += client_problems(texts, known, id)
        elif house is not None:
            case, told = case_of(texts, house, id)
            problems += told
            if case is not None:
                cases[id] = case
    found = tuple(sorted(problems))
    return Opened(clients, wanted, all_ids, house, cases, found, as_of)


def not_there(clients: Path, id: str, all_ids: Sequence[str]) -> str:
    """That a client is not there, and who may have been meant."""
    import difflib

    close = difflib.get_close_matches(id, all_ids, n=1)
    mean = f" Did you mean {close[0]}?" if close else ""
    return f"there is no client {id!r}: {clients / id}.yaml is not there.{mean}"


def _misnamed(name: str) -> tuple[str, str, str]:
    """What is wrong with a name that is none, what to write instead, and the problem's code."""
    for folder, noun in (("drills/", "drill"), ("texts/", "text")):
        if name.startswith(folder):
            return (
                f"this file's name is no {noun}'s id",
                "small letters, digits and hyphens, like quiet-landing.md",
                f"{noun}-id",
            )
    return (
        "this file's name is no client id",
        "small letters, digits and hyphens, like mara-q.yaml",
        "client-id",
    )


def folder_problems(folder: world.Folder, clients: Path) -> list[Problem]:
    name = clients.as_posix()
    found = [
        Problem(Origin(f"{name}/{u.name}"), u.why, "mend its permissions or its kind", "unreadable")
        for u in folder.unreadable
    ]
    found += [Problem(Origin(f"{name}/{wrong}"), *_misnamed(wrong)) for wrong in folder.misnamed]
    found += [
        Problem(
            Origin(f"{name}/{id}.log.yaml"),
            "a log without a client",
            f"write {id}.yaml, or take the log away",
            "log-alone",
            "warning",
        )
        for id in folder.logs
        if id not in folder.clients
    ]
    return found
