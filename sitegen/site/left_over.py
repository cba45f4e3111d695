"""What the tool keeps of clients whose files are gone, as after one was deleted by hand."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from pathlib import Path

from sitegen import versions
from sitegen.model.problem import Origin, Problem
from sitegen.practice.opening import id_of, is_clients
from sitegen.site import notes


def noted(clients: Path) -> dict[str, tuple[str, ...]]:
    """The files and folders beside the keys that hold something of a client, by their id."""
    found: dict[str, list[str]] = {}
    for name in notes.NOTE_FILES:
        with notes.Notes(clients, name) as file:
            for id in file.everyone():
                found.setdefault(id, []).append(name)
    for name in versions.kept_names(clients):
        if is_clients(name) and id_of(name):
            found.setdefault(id_of(name), []).append(versions.VERSIONS)
    return {id: tuple(dict.fromkeys(names)) for id, names in sorted(found.items())}


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
