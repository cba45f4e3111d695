"""A place for files: the few things a publish needs from a host, and a folder that does them.

Each kind of host is one file beside this one. A store does one thing at a time and raises what its
back end raises; trying again, order and wholeness are decided in :mod:`sitegen.publish.host`.
"""

from __future__ import annotations

import os
import stat
import time
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from sitegen.practice.address import Address

FEW = 200
"""So many files are levelled where each takes a round trip: some seconds. Judgement, no source."""


DEEPEST = 8
"""Folders within each other that are listed: a site needs two, and one that leads to itself, as a
server may show a link, would have no end. Judgement, no source."""


@dataclass(frozen=True, slots=True)
class HostFile:
    """A file on the host. ``changed`` is by the host's own clock, in seconds, if it tells."""

    size: int | None
    changed: float | None = None


class Store(Protocol):
    """A folder on a host. Paths are relative to it and use ``/``."""

    @property
    def replaces_whole(self) -> bool:
        """True if :meth:`write` swaps a file in one step; else write aside and :meth:`rename`."""

    def top(self) -> tuple[Mapping[str, HostFile], frozenset[str]]:
        """Files and folders at the top. Both are empty if the folder is not there yet."""

    def files(self) -> Mapping[str, HostFile]:
        """Every file in the folder and below."""

    def read(self, path: str) -> bytes | None:
        """A file's content, or None if it isn't there."""

    def write(self, path: str, data: bytes) -> None:
        """Write a file and make the folders it needs."""

    def rename(self, old: str, new: str) -> None:
        """Give ``old`` the name ``new``, in place of what has that name.

        Where a host lets times be set, all files of one publish get the same: a portal and a feed
        that came one after the other would belong together.
        """

    def level(self, paths: Sequence[str]) -> None:
        """Give these files the time of this publish as well, where that costs little.

        They are the portals and feeds that did not change: by their times those that changed
        would be found out. A refusal is no error.
        """

    def remove(self, path: str) -> None:
        """Remove a file; no error if it isn't there."""

    def remove_folder(self, path: str) -> None:
        """Remove a folder if it is empty; never what is in it."""

    def close(self) -> None:
        """Let go of the connection."""


def all_below(
    listed: Callable[[str], tuple[Mapping[str, HostFile], frozenset[str]]],
) -> Mapping[str, HostFile]:
    """All files by path, down to `DEEPEST`, where a host lists one folder at a time.

    Args:
        listed: Gives a folder's files and folders by name; the folder ends with "/" or is "".
    """
    found: dict[str, HostFile] = {}
    waiting = [""]
    while waiting:
        folder = waiting.pop()
        files, folders = listed(folder)
        found |= {f"{folder}{name}": entry for name, entry in files.items()}
        if folder.count("/") < DEEPEST:
            waiting += [f"{folder}{name}/" for name in folders]
    return found


def open_store(address: Address, environ: Mapping[str, str]) -> Store:
    return FolderStore(Path(address.path))


class FolderStore:
    """A folder on this machine, or one that this machine has mounted."""

    replaces_whole = False

    def __init__(self, root: Path) -> None:
        self.root = root
        self.opened_ns = time.time_ns()
        if not root.exists() and not root.absolute().parent.is_dir():
            raise FileNotFoundError(f"{root.parent} is not there")
        if root.exists() and not root.is_dir():
            raise NotADirectoryError(f"{root} is a file")

    def top(self) -> tuple[Mapping[str, HostFile], frozenset[str]]:
        if not self.root.exists():
            return {}, frozenset()
        files: dict[str, HostFile] = {}
        folders = set()
        for path in self.root.iterdir():
            if path.is_dir() and not path.is_symlink():
                folders.add(path.name)
            elif (entry := _entry(path)) is not None:
                files[path.name] = entry
        return files, frozenset(folders)

    def files(self) -> Mapping[str, HostFile]:
        found: dict[str, HostFile] = {}

        def fail(error: OSError) -> None:
            if not isinstance(error, FileNotFoundError):  # else another publish took it meanwhile
                raise error

        if self.root.exists():
            for folder, _, names in os.walk(self.root, onerror=fail):
                for name in names:
                    path = Path(folder, name)
                    if (entry := _entry(path)) is not None:
                        found[path.relative_to(self.root).as_posix()] = entry
        return found

    def read(self, path: str) -> bytes | None:
        try:
            return (self.root / path).read_bytes()
        except FileNotFoundError:
            return None

    def write(self, path: str, data: bytes) -> None:
        target = self.root / path
        for folder in reversed((target.parent, *target.parent.parents)):
            if not folder.exists():
                folder.mkdir(exist_ok=True)
                folder.chmod(0o755)  # as below
        with target.open("wb") as out:
            out.write(data)
            out.flush()
            # Whoever serves the folder is often another user than the one who fills it. By its
            # number, where that goes: another publish may take the name away at any moment.
            file = out.fileno() if os.chmod in os.supports_fd else target
            os.chmod(file, stat.S_IRUSR | stat.S_IWUSR | stat.S_IRGRP | stat.S_IROTH)  # noqa: PTH101
            os.fsync(out.fileno())

    def rename(self, old: str, new: str) -> None:
        os.utime(self.root / old, ns=(self.opened_ns, self.opened_ns))
        (self.root / old).replace(self.root / new)

    def level(self, paths: Sequence[str]) -> None:
        for path in paths:
            with suppress(OSError):  # gone, or another user's
                os.utime(self.root / path, ns=(self.opened_ns, self.opened_ns))

    def remove(self, path: str) -> None:
        (self.root / path).unlink(missing_ok=True)

    def remove_folder(self, path: str) -> None:
        try:
            (self.root / path).rmdir()
        except OSError:
            return  # not empty or not there: both are fine

    def close(self) -> None:
        return


def _entry(path: Path) -> HostFile | None:
    """None if it went between being listed and looked at, as another publish's ticket may."""
    try:
        about = path.lstat()
    except FileNotFoundError:
        return None
    size = about.st_size if stat.S_ISREG(about.st_mode) else None
    return HostFile(size, about.st_mtime)
