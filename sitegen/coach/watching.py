"""Tells of files that change, whoever changes them.

World: the system's own news of a folder, by way of watchfiles.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable, Sequence
from pathlib import Path

from watchfiles import Change, awatch

from sitegen.checkins.aside import ASIDE

SETTLE_MS = 100  # an editor may save in several steps
LOOK_MS = 50


def concerns(clients: Path, name: str) -> bool:
    """Whether a changed file is one that a coach or a client wrote. The tool's own notes, such as
    what it remembers of a sheet, are none; what waits aside is."""
    try:
        parts = Path(name).relative_to(clients).parts
    except ValueError:
        return False
    if not parts or parts[-1].endswith((".new", "~", ".swp")):
        return False
    return not parts[0].startswith(".") or parts[0] == ASIDE


async def watch(
    folders: Sequence[Path],
    concerns: Callable[[str], bool],
    stop: asyncio.Event,
    tell: Callable[[frozenset[str]], Awaitable[None]],
) -> None:
    """Tell of each change until it is stopped.

    Args:
        folders: Where files may change, with all that lies below.
        concerns: Whether a file by this name matters.
        stop: Ends it.
        tell: Called once for changes that come together, with the names of the files.

    Raises:
        FileNotFoundError: One of the folders is not there.
    """

    def is_ours(_change: Change, name: str) -> bool:
        return concerns(name)

    changes = awatch(
        *folders,
        watch_filter=is_ours,
        debounce=SETTLE_MS,
        step=LOOK_MS,
        stop_event=stop,
    )
    async for found in changes:
        await tell(frozenset(name for _, name in found))
