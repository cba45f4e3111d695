"""Client ids for a shell that completes words: the names of the files in the practice's folder.

A shell asks at each press of a key, so nothing of ours is imported here and no file is opened.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path

import click

_FILE = re.compile(r"(?P<id>[a-z0-9][a-z0-9-]{0,39})\.yaml")
_HOUSE = "practice"


def client_ids(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[str]:
    """Ids that begin with what was typed, and stand in the command only once.

    A folder that can't be read has none: a shell has no place for a message.
    """
    folder = Path(ctx.params.get("clients") or "clients")
    try:
        names = [path.name for path in folder.iterdir()]
    except OSError:
        return []
    typed = ctx.params.get(param.name or "") or ()
    taken = frozenset((typed,) if isinstance(typed, str) else typed)
    return [id for id in _ids(names) if id.startswith(incomplete) and id not in taken]


def _ids(names: Iterable[str]) -> list[str]:
    found = (_FILE.fullmatch(name) for name in names)
    return sorted(match["id"] for match in found if match and match["id"] != _HOUSE)
