"""How closed each client's page and calendar lie on a host, and what a publish would open.

Pure. A page that asked for a passphrase, was sealed, or a calendar that said little, is not
opened without a yes: the words may have been lost, and nobody would see it.
"""

from __future__ import annotations

import base64
import re
from collections.abc import Collection, Iterable, Mapping
from typing import NamedTuple

from sitegen.publish.look import HostLook, ids_named, page_of, stops_sent
from sitegen.publish.report import PublishProblem
from sitegen.seal.sealing import NEEDS_PASSPHRASE

LESS_PRIVATE = "publish-less-private"  # code
PAGE_LOCKS = ("open", "sealed", "passphrase")  # the more closed, the later
FEED_SAYS = ("full", "discreet", "off")

_HEAD = re.compile(rb'id="sealed"[^>]*>\s*([A-Za-z0-9+/]{36})')


class Closed(NamedTuple):
    """One of `PAGE_LOCKS`, and one of `FEED_SAYS`."""

    page: str
    feed: str


NOT_NOTED = Closed("sealed", "full")
"""In place of what nobody noted: an open page is asked for once on each host, as only the coach
knows whether that one has a login; of a calendar nothing is asked."""


def lock_of(page: bytes) -> bytes:
    """Flags, rounds and salt of a sealed page (docs/sealing.md); nothing of an open one."""
    head = _HEAD.search(page)
    return base64.b64decode(head[1])[5:26] if head else b""


def says_all(feed: bytes) -> bool:
    """Whether a feed has a description of each event: each alarm has one, too."""
    return feed.count(b"\nDESCRIPTION:") > feed.count(b"BEGIN:VALARM")


def closed_now(
    site: Mapping[str, bytes],
    whose: Mapping[str, str],
    known: Mapping[str, Closed],
    send: Collection[str],
) -> dict[str, Closed]:
    """How closed the site would leave each client's page and feed, by id.

    Args:
        site: What is published, by path.
        whose: The client of each page and feed, by path.
        known: How it lies there; only what is sent, or is not known, is read.
        send: Paths that are not there as they are here.
    """
    found = {}
    pages = {id: path for path in site if page_of(path) and (id := whose.get(path))}
    feeds = {id: path for path in site if path.startswith("feeds/") and (id := whose.get(path))}
    for id, page in pages.items():
        before, feed = known.get(id), feeds.get(id)
        if before is not None and page not in send and feed not in send:
            found[id] = before if feed else before._replace(feed="off")
            continue
        lock = lock_of(site[page])
        is_locked = bool(lock) and bool(lock[0] & NEEDS_PASSPHRASE)
        found[id] = Closed(
            "passphrase" if is_locked else "sealed" if lock else "open",
            "off" if feed is None else "full" if says_all(site[feed]) else "discreet",
        )
    return found


def less_private(
    look: HostLook,
    now: Mapping[str, Closed],
    known: Mapping[str, Closed],
    whose: Mapping[str, str],
    stopped: Collection[str],
) -> Iterable[PublishProblem]:
    """The yes that is needed where somebody's page or calendar would be read by more people."""

    def opened(kinds: tuple[str, ...], at: int, kind: str) -> list[str]:
        return [
            id
            for id, closed in now.items()
            if closed[at] == kind and kinds.index(kind) < kinds.index(known.get(id, NOT_NOTED)[at])
        ]

    says = (
        (opened(PAGE_LOCKS, 0, "sealed"), "no passphrase any more"),
        (opened(PAGE_LOCKS, 0, "open"), "no seal: who reaches the host reads all of it"),
        (opened(FEED_SAYS, 1, "full"), "the calendar says all"),
        (opened(FEED_SAYS, 1, "discreet"), "a calendar, which can't be sealed"),
    )
    told = "; ".join(f"{ids_named(ids)} ({what})" for ids, what in says if ids)
    if told:
        yield PublishProblem(
            f"this would leave less private: {told}; nothing was sent"
            f"{stops_sent(look, whose, stopped)}",
            "if that is not meant, set the passphrase again with sitegen link ID --passphrase, or "
            "write privacy: or calendar: as before, and build; if it is, say --less-private",
            LESS_PRIVATE,
        )
