"""What all clients' parts of a site are made of, as one hash."""

from __future__ import annotations

from sitegen import world
from sitegen.site.memory import hash_of, hash_of_all


def house_made_of(folder: world.Folder, tool: str) -> str:
    """The hash of everything that all clients' parts of the site are made of."""
    return hash_of(
        tool,
        folder.path.as_posix(),
        folder.practice,
        hash_of_all(folder.drills),
        hash_of_all(folder.figures),
        hash_of_all(folder.handouts),
        hash_of_all(folder.sessions),
        hash_of_all(folder.pictures),
    )
