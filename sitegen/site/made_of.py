"""What parts of a site are made of: all clients' as one hash, and what of a link goes into one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sitegen import world
from sitegen.site.memory import hash_of, hash_of_all

if TYPE_CHECKING:
    from sitegen.seal.keys import Link


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


def link_made_of(link: Link) -> tuple[str, ...]:
    """What of a client's link a portal is made of."""
    secret = link.passphrase
    locked = () if secret is None else (secret.key, secret.salt, str(secret.rounds))
    return link.portal, link.key, link.feed, *locked, *link.kept_under
