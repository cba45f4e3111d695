"""How often each event of a feed has changed, and when last: what a feed remembers of the last.

It is a client's few lines among the practice's own files, so that neither a lost site nor a pause
makes events look new: an event that left the feed is remembered until it comes back. The plan's
day stands in for the moment of a build, so that the same files give the same feed on any computer.

Sources: RFC 5545 sections 3.8.7.2 (DTSTAMP, without a METHOD the time of the last revision),
3.8.7.3 (LAST-MODIFIED) and 3.8.7.4 (SEQUENCE), from memory.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from datetime import UTC, date, datetime, time, timedelta
from typing import NamedTuple

MAX_SEQUENCE = 2**31 - 1  # RFC 5545 section 3.3.8
NAME_DIGITS = 12  # 48 bits tell some hundred events apart
SHORT_BYTES = 6  # 48 bits: of a million changes none is likely to be overlooked
ONE_SECOND = timedelta(seconds=1)

_WRITTEN = "%Y%m%dT%H%M%S"
_LINE = re.compile(r"(\d{1,10}) (\d{8}T\d{6})((?: [0-9a-f]{12}=[0-9a-f]{12})+)")


class Revision(NamedTuple):
    """How often an event has changed, and when last. The first is 0."""

    sequence: int
    at: datetime  # UTC, whole seconds


class Remembered(NamedTuple):
    """An event as it stood last: its revision, and a digest of all else in it."""

    revision: Revision
    digest: str


Revisions = Mapping[str, Remembered]
"""By the first `NAME_DIGITS` digits of its UID; with those that have left the plan."""


def short_digest(*parts: bytes) -> str:
    """What tells whether an event is as it was."""
    return hashlib.blake2b(b"".join(parts), digest_size=SHORT_BYTES).hexdigest()


def revised(digest: str, earlier: Remembered | None, day: date) -> Remembered:
    """An event with its revision: the old one where it is as it was, else the next.

    A second change on one day, or one as of an earlier day, comes a second after the first.
    """
    midnight = datetime.combine(day, time(), UTC)
    if earlier is None:
        return Remembered(Revision(0, midnight), digest)
    if earlier.digest == digest:
        return earlier
    sequence, at = earlier.revision
    return Remembered(Revision(sequence + 1, max(midnight, at + ONE_SECOND)), digest)


def history_text(feed_id: str, history: Revisions) -> str:
    """A history as it is kept: a digest of the feed's name, then a line for each revision."""
    lines: dict[Revision, str] = {}
    for name, (revision, digest) in sorted(history.items()):
        lines[revision] = f"{lines.get(revision, '')} {name}={digest}"
    return "\n".join(
        (
            short_digest(feed_id.encode()),
            *(f"{n} {at:{_WRITTEN}}{events}" for (n, at), events in sorted(lines.items())),
        )
    )


def read_history(text: str, feed_id: str) -> Revisions:
    """What `history_text` wrote; nothing where it is of another feed, or damaged."""
    of, *lines = text.split("\n")
    if of != short_digest(feed_id.encode()):
        return {}
    found: dict[str, Remembered] = {}
    for line in lines:
        read = _LINE.fullmatch(line)
        if read is None or int(read[1]) >= MAX_SEQUENCE:
            return {}
        try:
            at = datetime.strptime(f"{read[2]}+0000", f"{_WRITTEN}%z")
        except ValueError:  # digits, but no date
            return {}
        revision = Revision(int(read[1]), at)
        for event in read[3].split():
            name, _, digest = event.partition("=")
            found[name] = Remembered(revision, digest)
    return found
