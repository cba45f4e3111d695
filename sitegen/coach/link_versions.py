"""A client's link as a version for `undo`: one entry of the file of links, by itself.

The file as a whole changes with every newcomer and every publish, so a link is compared with
itself. What is kept is a key, in the closed folder of versions; it goes with ``erase``.
"""

from __future__ import annotations

from pathlib import Path

from sitegen import world
from sitegen.seal.keys import Keys, Link, keys_text, put_link_back, retire
from sitegen.seal.keys_file import KEYS_FILE, load_keys, update_keys
from sitegen.seal.keys_yaml import read_keys
from sitegen.versions import FilePart, Recording

LINK_END = ".link"


def keep_link(record: Recording, id: str, before: Keys, after: Keys, says: str) -> None:
    """Keep a client's link of before, where there was one and it is another now.

    Raises:
        Refused: It can't be kept; then nothing may be written.
    """
    old, new = before.links.get(id), after.links.get(id)
    if old is not None and old != new:
        record.keep_part(f"{id}{LINK_END}", _text(id, old), _text(id, new), says)


def _text(id: str, link: Link | None) -> bytes | None:
    return None if link is None else keys_text(Keys({id: link})).encode("utf-8")


def _read(clients: Path, name: str) -> bytes | None:
    id = name.removesuffix(LINK_END)
    keys, _ = load_keys(clients / KEYS_FILE)
    return _text(id, keys.links.get(id)) if keys else None


def _write(clients: Path, name: str, data: bytes | None) -> None:
    id = name.removesuffix(LINK_END)
    kept = read_keys((data or b"").decode("utf-8"), name) if data else None

    def back(keys: Keys) -> Keys:
        if isinstance(kept, Keys) and id in kept.links:
            return put_link_back(keys, id, kept.links[id])
        return retire(keys, id)

    keys, problems = update_keys(clients / KEYS_FILE, back)
    if keys is None:
        raise world.Refused("; ".join(str(problem) for problem in problems))


LINK_PARTS = {LINK_END: FilePart(_read, _write)}
