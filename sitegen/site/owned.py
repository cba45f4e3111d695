"""Which files in the site's folder are the tool's, and what else lies there."""

from __future__ import annotations

import hashlib
import os
import stat
import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath

from sitegen.world import Refused, Stamp, stamp_of

RECORD = ".sitegen-files"
"""In the site's folder: which files there are the tool's. Hashes of names, so that a copy of it
on a host tells nobody an address."""

CACHE = ".sitegen-cache"
"""Beside the site's folder; it can always be deleted while no build runs."""

INSIDE = ".sitegen-next"  # the new files' place where nothing can be put beside the folder
STEPS = ".sitegen-steps"
RESERVED = frozenset({RECORD, INSIDE, STEPS, CACHE})
RECORD_HEAD, RECORD_END = "sitegen files 1", "end"

MOST_FOREIGN = 1000
"""With more files of others in the folder than this, they are left where they are, one and all,
and ours are replaced one by one."""


def mark_of(name: str) -> str:
    """What the record holds of a file's name, or of a folder's with ``/`` at its end; 32 signs."""
    return hashlib.sha256(os.fsencode(name)).hexdigest()[:32]


def read_record(folder: Path) -> frozenset[str] | None:
    """Marks of our files and of the folders that hold them; None if we never wrote here.

    Raises:
        Refused: The record is damaged.
    """
    try:
        lines = (folder / RECORD).read_text("ascii").split("\n")
    except FileNotFoundError:
        return None
    except (UnicodeDecodeError, IsADirectoryError):
        lines = []
    if lines[:1] != [RECORD_HEAD] or lines[-1] != RECORD_END:
        raise Refused(
            f"{folder / RECORD} is damaged, so it can't be told which files here are the tool's; "
            "empty the folder and build again"
        )
    return frozenset(lines[1:-1])


def refuse_in_site(to: Path, option: str) -> None:
    """Keep what is private out of a built site, from where it would be published.

    Raises:
        Refused: ``to`` lies in one.
    """
    if any((folder / RECORD).exists() for folder in to.absolute().parents):
        raise Refused(
            f"{to} would lie in the built site, and be published; name another place with {option}"
        )


def record_text(names: Iterable[str]) -> bytes:
    marks: set[str] = set()
    folders: set[str] = set()
    for name in names:
        marks.add(mark_of(name))
        folders.update(parents_of(name))
    marks.update(mark_of(folder + "/") for folder in folders)
    return "\n".join([RECORD_HEAD, *sorted(marks), RECORD_END]).encode("ascii")


def parents_of(name: str) -> Iterator[str]:
    """``a/b/c`` lies in ``a/b`` and in ``a``."""
    while "/" in name:
        name = name.rpartition("/")[0]
        yield name


@dataclass(slots=True)
class FolderSeen:
    """What lies in a folder."""

    own: dict[str, Stamp] = field(default_factory=dict)
    foreign: dict[str, Stamp] = field(default_factory=dict)
    folders: dict[str, int] = field(default_factory=dict)  # and when their lists last changed, ns
    top_ns: int = 0  # the same of the folder itself
    noted_ns: int = 0  # when we began to look
    is_crowded: bool = False  # more of others' files than we care to link, or closed to us


def walk(top: Path, record: frozenset[str] | None, most: int = MOST_FOREIGN) -> FolderSeen:
    """What lies in ``top``, ours by the marks of ``record``.

    Folders of others are looked into as long as there are no more than ``most``, a number of
    files and folders, of theirs.

    Raises:
        OSError: A folder can't be read, for another reason than that it is closed to us.
    """
    marks = record or frozenset()
    tree = FolderSeen(noted_ns=time.time_ns(), top_ns=top.stat().st_mtime_ns)
    others = 0
    todo = [""]
    while todo:
        prefix = todo.pop()
        try:
            entries = os.scandir(f"{top}/{prefix}")
        except PermissionError:
            tree.is_crowded = True
            continue
        with entries:
            for entry in entries:
                name = prefix + entry.name
                if name in RESERVED:
                    continue
                try:
                    status = entry.stat(follow_symlinks=False)
                except FileNotFoundError:  # gone since it was listed
                    continue
                if entry.is_dir(follow_symlinks=False):
                    tree.folders[name] = status.st_mtime_ns
                    is_ours = mark_of(name + "/") in marks
                    others += not is_ours
                    if is_ours or others <= most:
                        todo.append(name + "/")
                elif mark_of(name) in marks and stat.S_ISREG(status.st_mode):
                    tree.own[name] = stamp_of(status)
                else:
                    others += 1
                    tree.foreign[name] = stamp_of(status)
    tree.is_crowded |= others > most
    return tree


def links_in(top: Path) -> tuple[dict[str, int], set[str]]:
    """The files in a folder of links with their inodes, and the folders; quicker than `walk`."""
    links: dict[str, int] = {}
    folders: set[str] = set()
    todo = [""]
    for prefix in todo:  # grows while it is read
        with os.scandir(f"{top}/{prefix}") as entries:
            for entry in entries:
                if entry.is_dir(follow_symlinks=False):
                    folders.add(prefix + entry.name)
                    todo.append(f"{prefix}{entry.name}/")
                else:
                    links[prefix + entry.name] = entry.inode()
    return links, folders


def check_name(name: str) -> None:
    pure = PurePosixPath(name)
    is_plain = name == pure.as_posix() and not pure.is_absolute() and "\\" not in name
    if not is_plain or {"", ".", ".."} & set(name.split("/")) or "\0" in name:
        raise ValueError(f"not the name of a file below the site's folder: {name!r}")
    if name.partition("/")[0] in RESERVED:
        raise ValueError(f"a name that is kept for the writing itself: {name!r}")
