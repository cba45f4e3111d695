"""Groups, drills, texts and languages that a file names: they must be there."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from sitegen.model.case import Origins
from sitegen.model.client import Client, Note
from sitegen.model.kinds import is_id, nearest, one_of, quoted
from sitegen.model.languages import LANGUAGES, fitting
from sitegen.model.practice import Group, Notice, Practice
from sitegen.model.problem import Problem
from sitegen.model.record import Path
from sitegen.practice.checks.telling import Check, error, warning
from sitegen.practice.links import broken_links, unknown_text
from sitegen.practice.partly import as_far_as_known, known, numbered
from sitegen.practice.translate import value_place


def missing_language(
    written: Client | Practice | Group, origins: Origins, above: Path = ()
) -> Iterator[Problem]:
    """A language that there is no catalogue for is no error: the page comes out in English."""
    language = written.language
    if language is not None and fitting(language) is None:
        yield warning(
            origins.value(*above, "language"),
            "language-unknown",
            f"there is no {quoted(language)}: pages come out in English",
            f"write {one_of(LANGUAGES)}",
        )


def missing_group(client: Client, origins: Origins, groups: Collection[str]) -> Iterator[Problem]:
    name = client.group
    if name is not None and name not in groups:
        there = tuple(filter(is_id, groups))  # the others have a mistake of their own
        new = f"groups: {{{name}: …}} in practice.yaml"
        yield error(
            origins.value("group"),
            "group-unknown",
            f"there is no group {quoted(name)}",
            f"{nearest(name, there)}write {one_of(there) if there else new}",
        )


def missing_drills(
    written: Client | Group, origins: Origins, drill_ids: Collection[str], above: Path = ()
) -> Iterator[Problem]:
    for number, drill in numbered(written.drills):
        if drill not in drill_ids:
            yield error(
                origins.value(*above, "drills", number),
                "drill-unknown",
                f"there is no drill {quoted(drill)}",
                f"{nearest(drill, list(drill_ids))}a drill of your own is a file drills/{drill}.md",
            )


def missing_sessions(client: Client, origins: Origins, names: Collection[str]) -> Iterator[Problem]:
    for number, change in numbered(client.changes):
        name: str | None = known(change, "session")
        if name is not None and name not in names:
            yield error(
                origins.value("changes", number, "session"),
                "session-unknown",
                f"there is no session {quoted(name)}",
                f"{nearest(name, list(names))}a session of your own is a file sessions/{name}.yaml",
            )


def missing_references(
    written: Client | Practice | Group,
    origins: Origins,
    drill_ids: Collection[str] | None,
    text_ids: Collection[str] | None,
    above: Path = (),
) -> Iterator[Problem]:
    """Texts that notes name, and places that their own words lead to."""
    if text_ids is None:
        return
    notes: Sequence[Note | Notice] = written.notes
    for number, note in numbered(notes):
        path: Path = (*above, "notes", number)
        yield from as_far_as_known(_texts(note, origins, path, text_ids))
        if drill_ids is not None:
            yield from as_far_as_known(_links(note, origins, path, drill_ids, text_ids))


def _texts(
    note: Note | Notice, origins: Origins, path: Path, text_ids: Collection[str]
) -> Iterator[Problem]:
    for at, id in numbered(note.read):
        if id not in text_ids:
            yield unknown_text(id, value_place(origins, (*path, "read", at)), text_ids)


def _links(
    note: Note | Notice,
    origins: Origins,
    path: Path,
    drill_ids: Collection[str],
    text_ids: Collection[str],
) -> Iterator[Problem]:
    yield from broken_links(note.text, origins.value(*path, "text"), drill_ids, text_ids)


CHECKS: tuple[Check, ...] = (missing_language,)
