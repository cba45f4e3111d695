"""What the tool keeps of clients whose files are gone, as after one was deleted by hand."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from pathlib import Path

from sitegen import versions
from sitegen.model.problem import Origin, Problem
from sitegen.practice.opening import id_of, is_clients
from sitegen.site import notes


def noted(clients: Path, *, waits: bool = False) -> dict[str, tuple[str, ...]]:
    """The files and folders beside the keys that hold something of a client, by their id.

    Args:
        clients: The practice's folder.
        waits: Wait for a program that holds one of the files; else that counts as empty.

    Raises:
        Refused: A file that was waited for can't be read.
    """
    found: dict[str, list[str]] = {}
    for name in notes.NOTE_FILES:
        with notes.Notes(clients, name, is_spare=not waits) as file:
            for id in file.everyone():
                found.setdefault(id, []).append(name)
    for name in versions.kept_names(clients):
        if is_clients(name) and id_of(name):
            found.setdefault(id_of(name), []).append(versions.VERSIONS)
    return {id: tuple(dict.fromkeys(names)) for id, names in sorted(found.items())}


def damaged(clients: Path) -> Iterator[Problem]:
    """A warning for each file of notes that can't be read, but for those that cost only time."""
    for name in notes.NOTE_FILES:
        with notes.Notes(clients, name, is_spare=True) as file:
            file.everyone()
            if file.damage and name not in (notes.SHEET_FILE, notes.CHECK_FILE):
                wrong = f"this file is damaged ({file.damage}); the next build begins it anew"
                yield from file.warning("notes-lost", wrong, "put your copy of it back, if you can")


def left_over(clients: Path, ids: Collection[str]) -> Iterator[Problem]:
    """A warning for each client of whom something is kept, and who is not among ``ids``."""
    for id, names in noted(clients).items():
        if id not in ids:
            yield Problem(
                Origin((clients / names[0]).as_posix()),
                f"{' and '.join(names)} still hold{'s' * (len(names) == 1)} something of {id}, "
                "who has no file",
                f"take it away with sitegen erase {id}, or write {id}.yaml",
                "left-over",
                "warning",
            )
