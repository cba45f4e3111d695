"""Clients of one name: two people who are easily mixed up, or one person with two files."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from sitegen.model.problem import Origin, Problem

_NAME = re.compile(rb"^name:[ \t]+([^\n]*)", re.M)
_COMMENT = re.compile(rb"[ \t]#")


class WrittenName(NamedTuple):
    """A client's name as their file has it, and where.

    ``alike`` is the same for names that differ in capitals and spaces alone.
    """

    alike: str
    line: int
    column: int


def written_name(data: bytes) -> WrittenName | None:
    """The name in a client's file, however much of the rest can be read; None where none is found.

    It is looked up without reading the file, as a build has no need to read what has not changed.
    """
    found = _NAME.search(data)
    if found is None:
        return None
    text, mark = found[1], found[1][:1]
    text = text[1:].partition(mark)[0] if mark in (b'"', b"'") else _COMMENT.split(text, 1)[0]
    words = text.decode("utf-8", "replace").casefold().split()
    if not words or words[0].startswith("#"):
        return None
    line = data.count(b"\n", 0, found.start()) + 1
    return WrittenName(" ".join(words), line, found.start(1) - found.start() + 1)


def namesakes(names: Mapping[str, WrittenName | None], folder: str) -> Iterator[Problem]:
    """A warning for each name that several clients have, at the second of them.

    Args:
        names: By client's id.
        folder: The practice's, as places name it.
    """
    ids: dict[str, list[str]] = {}
    for id, name in sorted(names.items()):
        if name is not None:
            ids.setdefault(name.alike, []).append(id)
    for first, *others in ids.values():
        if not others:
            continue
        name = names[others[0]]
        assert name is not None
        more = f" (and {len(others) - 1} more)" if len(others) > 1 else ""
        yield Problem(
            Origin(f"{folder}/{others[0]}.yaml", name.line, name.column),
            f"{first}.yaml has the same name{more}, and links of one are easily sent to the other",
            "keep one file if they are one person; if not, write what tells them apart behind each "
            "name, like Mara Quist (north)",
            "name-twice",
            "warning",
        )
