"""What the operating system offers a folder: changing names in one step, one flush, mounts."""

from __future__ import annotations

import contextlib
import errno
import os
import stat
import sys
from pathlib import Path

READABLE_FILE = stat.S_IRUSR | stat.S_IWUSR | stat.S_IRGRP | stat.S_IROTH
READABLE_FOLDER = READABLE_FILE | stat.S_IXUSR | stat.S_IXGRP | stat.S_IXOTH

FLUSH_ONE_BY_ONE = 48  # new files; for more of them one flush of the whole disk is quicker


MMAP_THRESHOLD = -3  # M_MMAP_THRESHOLD of glibc's malloc.h
PIECE_BYTES = 2**17  # with which glibc begins


def give_back_pieces() -> None:
    """Have glibc go on giving large pieces of memory back to the system, as it does at first.

    It keeps ever larger ones for later, and what is small and stays lies between them: of ten
    thousand clients that was a quarter of a build's memory.
    """
    import ctypes

    with contextlib.suppress(AttributeError, TypeError, OSError):  # another library, or system
        ctypes.CDLL(None).mallopt(MMAP_THRESHOLD, PIECE_BYTES)


def exchange_folders(one: Path, other: Path) -> None:
    """Let two folders change names in one step.

    Linux: ``renameat2`` with ``RENAME_EXCHANGE``. macOS: ``renamex_np`` with ``RENAME_SWAP``,
    after its manual page; not yet run on a Mac.

    Raises:
        OSError: This system or this file system can't.
    """
    import ctypes  # costs a rebuild of nothing its time

    library = ctypes.CDLL(None, use_errno=True)
    if hasattr(library, "renameat2"):
        here = -100  # AT_FDCWD
        failed = library.renameat2(here, os.fsencode(one), here, os.fsencode(other), 2)
    elif hasattr(library, "renamex_np"):
        failed = library.renamex_np(os.fsencode(one), os.fsencode(other), 2)
    else:
        raise OSError(errno.ENOSYS, "two folders can't change names here")
    if failed:
        number = ctypes.get_errno()
        raise OSError(number, os.strerror(number))


def flush_disk(folder: Path) -> bool:
    """Put on the disk all that waits for it on this file system, if the system can."""
    if sys.platform != "linux":
        return False
    import ctypes  # costs a rebuild of nothing its time

    library = ctypes.CDLL(None, use_errno=True)
    if not hasattr(library, "syncfs"):
        return False
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        return bool(library.syncfs(descriptor) == 0)
    finally:
        os.close(descriptor)


def copy_mode(source: Path, target: Path) -> None:
    """Give a folder the mode and owner of another.

    Raises:
        OSError: It belongs to somebody else, and we can't give ours away.
    """
    old, new = source.stat(), target.stat()
    if (old.st_uid, old.st_gid) != (new.st_uid, new.st_gid) and hasattr(os, "chown"):
        os.chown(target, old.st_uid, old.st_gid)
        new = target.stat()
    if stat.S_IMODE(old.st_mode) != stat.S_IMODE(new.st_mode):
        target.chmod(stat.S_IMODE(old.st_mode))


def make_readable(path: Path, least: int = READABLE_FILE) -> None:
    """Let everybody read a new file or folder of the site, whatever the umask says.

    Who serves the site is often another user than the one who builds it. What the umask grants
    beyond that stays, as in a folder that a group shares.
    """
    mode = stat.S_IMODE(path.stat().st_mode)
    if os.name == "posix" and mode | least != mode:
        path.chmod(mode | least)


def make_folder(path: Path) -> None:
    """A new folder of the site, which everybody may read."""
    path.mkdir()
    make_readable(path, READABLE_FOLDER)


def is_mount(folder: Path) -> bool:
    """Whether the folder is a mount point, a second place of some other folder included."""
    if os.path.ismount(folder):
        return True
    try:
        mounts = Path("/proc/self/mountinfo").read_text("utf-8", "surrogateescape").splitlines()
    except OSError:
        return False  # only Linux shows a folder in two places
    escaped = "".join(f"\\{ord(c):03o}" if c in " \t\n\\" else c for c in str(folder))
    return any(line.split(" ")[4] == escaped for line in mounts)
