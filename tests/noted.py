"""What is noted of clients beside the keys, read and written whole."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

from sitegen.site.notes import Notes


def noted(clients: Path, name: str, part: str = "") -> dict[str, str]:
    """All that one of the files, or a part of it, holds, by client."""
    with Notes(clients, name, part) as file:
        return {id: file.get(id) for id in file.ids()}


def note(
    clients: Path,
    name: str,
    now: Mapping[str, str],
    here: Iterable[str] = (),
    part: str = "",
) -> None:
    """Note something of clients who are here, or else of nobody besides."""
    with Notes(clients, name, part) as file:
        for id, text in now.items():
            file.note(id, text)
        file.keep(tuple(here) or tuple(now))
