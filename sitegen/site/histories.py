"""The histories of all feeds in one build: read where they may have changed, noted at its end."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

from sitegen.model.problem import Problem
from sitegen.site import notes
from sitegen.site.memory import HouseEntry, StampTuple, hash_of, lasting

LOOKED_AT = "seen with "  # the hash of a history beside which a new one was made, and not noted


class Histories:
    """What is noted of each feed's events.

    Args:
        clients: The practice's folder.
        before: What the build before remembers of what all clients share.
        tells: Whether this build may note what is new; one that only looks on changes nothing.
    """

    def __init__(self, clients: Path, before: HouseEntry | None, tells: bool) -> None:
        self._file, self._tells, self._is_lost = clients / notes.FEEDS_FILE, tells, False
        stamp = before and before.histories
        self._is_as_before = stamp is not None and stamp == self._stamp()
        self._notes = notes.Notes(clients, notes.FEEDS_FILE)

    def close(self) -> None:
        self._notes.close()

    def _stamp(self) -> StampTuple | None:
        try:
            status = self._file.lstat()
        except OSError:
            return None
        return status.st_size, status.st_mtime_ns, status.st_ino

    def of(self, id: str) -> str:
        """The history of a client's feed as it was before this build; empty for none."""
        return self._notes.get(id)

    def is_as_before(self, id: str, digest: str) -> bool:
        """Whether the history is the one of which the build before remembers this hash.

        One who tells notes also what the build before only looked at.
        """
        if self.is_noted(id, digest):
            return True
        return not self._tells and digest == LOOKED_AT + hash_of(self.of(id))

    def is_noted(self, id: str, digest: str) -> bool:
        """Whether the feed that lies there is noted as it is; else its day may be another."""
        return self._is_as_before or digest == hash_of(self.of(id))

    def take(self, id: str, history: str) -> str:
        """Take up what a new feed leaves; the hash is for the next build to remember."""
        if not self._tells:
            return LOOKED_AT + hash_of(self.of(id))
        if history == self.of(id):
            return hash_of(history)
        self._notes.note(id, history)
        return hash_of(history)

    def keep(self, ids: Collection[str]) -> tuple[Problem, ...]:
        """Note what is new, of the clients that are here; a problem where that can't be."""
        if not self._tells:
            return ()
        follows = "calendars may show changed runs as new"
        told = self._notes.or_warn(lambda: self._notes.keep(ids), "feeds", follows)
        self._is_lost = bool(told)  # so the next build compares each feed with what is noted
        return told

    def stamp_now(self, noted_ns: int) -> StampTuple | None:
        """The file's stamp after the build, where it may last; see `sitegen.site.memory`."""
        is_whole = self._tells and not self._is_lost
        return lasting(self._stamp(), noted_ns) if is_whole else None
