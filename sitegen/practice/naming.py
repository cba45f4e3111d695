"""Names of a practice's files: what is wrong with one, and what it was meant to be."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from pathlib import Path

from sitegen import world
from sitegen.model.problem import Origin, Problem

_PARTS = re.compile(
    r"(?P<stem>.+?)(?:(?P<beside>\.(?:log|alarms|told))(?:[^.a-z0-9][^.]*)?)?"  # mara.log (1).yaml
    r"(?:\.ya?ml)?(?:\.(?:txt|rtf|docx|odt))?"
)
_ID = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")
PRACTICE = "practice"


def is_error(problem: Problem) -> bool:
    """Whether a problem stops what it is about; a warning does not."""
    return problem.level == "error"


def right_name(name: str) -> str | None:
    """The name that a misnamed file of a client, a log or the practice was meant to have.

    ``mara.yaml`` of ``Mara.yml``; None where no client's id can be made of it.
    """
    plain = unicodedata.normalize("NFKD", name.casefold())
    parts = _PARTS.fullmatch("".join(c for c in plain if not unicodedata.combining(c)))
    if "/" in name or parts is None:
        return None
    id = re.sub(r"[^a-z0-9]+", "-", parts["stem"]).strip("-")
    return f"{id}{parts['beside'] or ''}.yaml" if _ID.fullmatch(id) else None


def meant_by(name: str) -> str:
    """The id of the client whose file a misnamed one was meant to be; empty for none."""
    id = (right_name(name) or "").partition(".")[0]
    return "" if id == PRACTICE else id


def all_meant(misnamed: Iterable[str]) -> Mapping[str, tuple[str, ...]]:
    """Misnamed files by the id of the client whose they were meant to be; nobody's left out."""
    found: dict[str, tuple[str, ...]] = {}
    for name in misnamed:
        if id := meant_by(name):
            found[id] = (*found.get(id, ()), name)
    return found


def is_meant_for_log(name: str) -> bool:
    """Whether a misnamed file was meant to be a log."""
    return (right_name(name) or "").endswith(".log.yaml")


def concerns_all(problem: Problem, clients: Path) -> bool:
    """Whether a problem of a name or a kind is of what all clients share."""
    name = problem.origin.file.removeprefix(f"{clients.as_posix()}/")
    return "/" in name or right_name(name) == "practice.yaml"


def _misnamed(name: str, there: frozenset[str]) -> tuple[str, str, str]:
    """What is wrong with a name that is none, what to do, and the problem's code."""
    for folder, noun, example in (
        ("drills/", "drill's id", "quiet-landing.md"),
        ("texts/", "text's id", "quiet-landing.md"),
        ("sessions/", "session's name", "hills-short.yaml"),
    ):
        if name.startswith(folder):
            return (
                f"this file's name is no {noun}",
                f"small letters, digits and hyphens, like {example}",
                f"{folder[:-2]}-id",
            )
    mend = right_name(name)
    if mend is None:
        return (
            "this file's name is no client id, so the file is not read",
            "small letters, digits and hyphens, like mara-q.yaml",
            "client-id",
        )
    if mend in there:
        keep = f"keep one of the two, as {mend}"
        if is_meant_for_log(name):
            keep = f"put what only this one tells into {mend}, then take this one away"
        return f"this file is not read, and {mend} is there too", keep, "client-id"
    what = "the practice's own" if mend == "practice.yaml" else "this"
    is_plain = not name.lower().endswith(world.WORD_PROCESSED)
    hint = f"rename it to {mend}" if is_plain else f"save it as plain text, under {mend}"
    return f"{what} file is not read under this name", hint, "client-id"


def name_problems(folder: world.Folder, clients: Path) -> list[Problem]:
    """What is wrong with names and kinds of files, and what lies beside nobody's file."""
    name = clients.as_posix()
    there = frozenset(
        {
            *(f"{id}.yaml" for id in folder.clients),
            *(f"{id}.log.yaml" for id in folder.logs),
            *(["practice.yaml"] if folder.practice is not None else []),
        }
    )
    found = [
        Problem(Origin(f"{name}/{u.name}"), u.why, "mend its permissions or its kind", "unreadable")
        for u in folder.unreadable
    ]
    found += [
        Problem(Origin(f"{name}/{wrong}"), *_misnamed(wrong, there)) for wrong in folder.misnamed
    ]
    meant = {*map(meant_by, folder.misnamed)}
    beside = (
        (".log.yaml", "a log", folder.logs),
        (".alarms.yaml", "answers to alarms", folder.answers),
        (".told.yaml", "a record of what was shown", folder.told),
    )
    found += [
        Problem(
            Origin(f"{name}/{id}{end}"),
            f"{what} without a client",
            f"write {id}.yaml"
            + (
                ""
                if id in meant
                else f"; has {id} another id now, give this file that one, too; or has {id} left, "
                f"erase it for good with sitegen erase {id}"
            ),
            "log-alone",
            "warning",
        )
        for end, what, there in beside
        for id in there
        if id not in folder.clients
    ]
    return found
