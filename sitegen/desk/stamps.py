"""What lies in a practice's folder, by name and stamp, without reading it.

World: the folder is listed.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from sitegen import world
from sitegen.checkins.aside import ASIDE
from sitegen.practice.opening import ANSWERS


def all_stamps(clients: Path) -> Mapping[str, world.Stamp]:
    """Stamps by name of all of it; empty where the folder can't be listed."""
    try:
        return {**world.list_folder(clients), **stamps_beside(clients)}
    except world.Refused:
        return {}


def stamps_beside(clients: Path) -> Mapping[str, world.Stamp]:
    """Of what is not listed: what waits aside, and the answers to alarms of somebody unknown."""
    beside = [*(clients / ASIDE).glob("*"), clients / ANSWERS]
    return {
        path.relative_to(clients).as_posix(): world.stamp_of(path.stat())
        for path in beside
        if path.is_file()
    }
