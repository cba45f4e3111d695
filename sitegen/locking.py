"""One process at a time at a file or a folder. The lock goes with the process that holds it."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

FOR_EVER = float("inf")
LOOKS_S = 0.02  # between two looks whether the lock is free


@contextmanager
def locked(
    path: Path, patience_s: float = FOR_EVER, *, by_library: bool = os.name == "nt"
) -> Iterator[None]:
    """Hold the lock of a file or folder that is there.

    Args:
        path: What the lock is of. On POSIX nothing is written for it.
        patience_s: Seconds to wait for who holds it.
        by_library: Use the library `filelock`, which knows Windows. Elsewhere ``flock`` serves, as
            that library's import takes 20 ms of every rebuild.

    Raises:
        TimeoutError: Another process held it all the while.
        OSError: It is not there, or can't be opened.
    """
    if by_library:
        with _by_library(path, patience_s):
            yield
        return
    descriptor = os.open(path, os.O_RDONLY | os.O_NONBLOCK)
    try:
        _wait(descriptor, patience_s)
        yield
    finally:
        os.close(descriptor)


def _wait(descriptor: int, patience_s: float) -> None:
    import fcntl

    until = time.monotonic() + patience_s
    while True:
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | (fcntl.LOCK_NB if patience_s < FOR_EVER else 0))
            return
        except BlockingIOError:
            if time.monotonic() >= until:
                raise TimeoutError from None
            time.sleep(LOOKS_S)
        except OSError:
            return  # some network drives know no locks


@contextmanager
def _by_library(path: Path, patience_s: float) -> Iterator[None]:
    """Lock a file of our own, named for the path, in the user's folder for temporary files."""
    import hashlib
    import tempfile

    import filelock

    path.stat()
    name = hashlib.sha256(os.fsencode(path.resolve())).hexdigest()[:32]
    file = Path(tempfile.gettempdir(), f"sitegen-{name}.lock")
    try:
        with filelock.FileLock(file, timeout=-1 if patience_s == FOR_EVER else patience_s):
            yield
    except filelock.Timeout:
        raise TimeoutError from None
