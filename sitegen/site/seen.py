"""The file behind `sitegen.portal.changed`: the plan that each client had before, beside the keys.

It can always be deleted; the next build then tells of no changes. It holds dates and minutes of
clients' sessions, so only its owner may read it, and git does not take it.
"""

from __future__ import annotations

import contextlib
import json
from collections.abc import Iterable, Mapping
from pathlib import Path

from sitegen import world
from sitegen.locking import writing

SEEN_FILE = ".seen.json"


def load_seen(clients: Path) -> dict[str, str]:
    """What is remembered of each client, by id; nothing where the file is lost or damaged."""
    try:
        found = json.loads((clients / SEEN_FILE).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    if not isinstance(found, dict):
        return {}
    return {id: text for id, text in found.items() if isinstance(text, str)}


def keep_seen(
    clients: Path, before: Mapping[str, str], now: Mapping[str, str], ids: Iterable[str]
) -> None:
    """Keep what is remembered of who is here; what can't be kept is lost."""
    here = frozenset(ids)
    with contextlib.suppress(world.Refused), writing(clients):
        there = load_seen(clients)  # another may have written since
        kept = {id: text for id, text in {**before, **there, **now}.items() if text and id in here}
        if kept != there:
            save_seen(clients, kept)


def save_seen(clients: Path, seen: Mapping[str, str]) -> None:
    """Keep it whole or not at all.

    Raises:
        Refused: The file can't be written.
    """
    text = json.dumps(dict(sorted(seen.items())), indent=0, ensure_ascii=True)
    world.write_text_atomic(clients / SEEN_FILE, text + "\n", mode=0o600)
