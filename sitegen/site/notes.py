"""What is noted of each client, beside the keys: four files, a text a client.

``SEEN_FILE`` is behind `sitegen.portal.changed`: the plan that a client had before. ``FEEDS_FILE``
is behind `sitegen.feed.history`, ``SHEET_FILE`` remembers the rows of `sitegen.coach.sheet`,
``CHECK_FILE`` what `sitegen.site.checked` found. All can be deleted: the next build then tells of
no changes, and takes all events for new. They hold days of clients' sessions, and what was told of
them, so only their owner may read them.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from pathlib import Path

from sitegen import world
from sitegen.locking import writing

SEEN_FILE, FEEDS_FILE = ".seen.json", ".feeds.json"
SHEET_FILE, CHECK_FILE = ".sheet.json", ".checked.json"
NOTE_FILES = (SEEN_FILE, FEEDS_FILE, SHEET_FILE, CHECK_FILE)


def load_notes(clients: Path, name: str) -> dict[str, str]:
    """What is noted of each client, by id; nothing where the file is lost or damaged."""
    try:
        found = json.loads((clients / name).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    if not isinstance(found, dict):
        return {}
    return {id: text for id, text in found.items() if isinstance(text, str)}


def keep_notes(clients: Path, name: str, now: Mapping[str, str], ids: Iterable[str]) -> None:
    """Note what is new, of who is here.

    Raises:
        Refused: The file can't be written.
    """
    here = frozenset(ids)
    with writing(clients):
        there = load_notes(clients, name)  # another may have written since
        kept = {id: text for id, text in {**there, **now}.items() if text and id in here}
        if kept != there:
            _save(clients, name, kept)


def forget_notes(clients: Path, id: str) -> None:
    """Let go of all that is noted of one client.

    Raises:
        Refused: A file can't be written.
    """
    with writing(clients):
        for name in NOTE_FILES:
            noted = load_notes(clients, name)
            if noted.pop(id, None) is not None:
                _save(clients, name, noted)


def _save(clients: Path, name: str, notes: Mapping[str, str]) -> None:
    text = json.dumps(dict(sorted(notes.items())), indent=0, ensure_ascii=True)
    world.write_text_atomic(clients / name, text + "\n", mode=0o600)
