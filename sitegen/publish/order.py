"""The order in which files travel, so that a cut at any moment leaves every portal whole.

A portal's page needs the assets it names. Those names change with their content, so new assets
harm nobody; they go first. Old ones go last, when no portal names them any more.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable

ASSETS, PORTALS, FEEDS, FRONT = range(4)


def sending_of(path: str) -> int:
    """Which of the four sendings a file belongs to."""
    top, slash, _ = path.partition("/")
    if not slash:
        return FRONT
    return {"assets": ASSETS, "feeds": FEEDS}.get(top, PORTALS)


def sending_order(paths: Iterable[str], first: Collection[str] = ()) -> list[str]:
    """Assets, portals, feeds, then the files at the front (index, robots, headers).

    Of portals and feeds, those in ``first`` go before all others: they stop somebody. The few
    assets go before them all the same, as no portal opens without.
    """
    return sorted(
        paths,
        key=lambda path: (sending_of(path) != ASSETS, path not in first, sending_of(path), path),
    )


def removal_order(paths: Iterable[str]) -> list[str]:
    """Portals and feeds that were withdrawn first, assets last."""
    return sorted(paths, key=lambda path: (sending_of(path) == ASSETS, sending_of(path), path))
