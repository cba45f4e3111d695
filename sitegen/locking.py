"""One process at a time at a file or a folder. The lock goes with the process that holds it.

`writing` is the lock that whoever changes a practice's files takes, from before they are read until
they are written. Readers need none: each file is replaced whole.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from threading import get_ident

from sitegen.world import Refused

FOR_EVER = float("inf")
PATIENCE_S = 60.0  # for who writes a few files
LOOKS_S = 0.02  # between two looks whether the lock is free
TOLD_AFTER_S = 1.0

_ours: dict[tuple[int, int, int], int] = {}  # thread, device, file: how often it is held here


def _untold(_words: str) -> None:
    """Tell nobody."""


tell_waiting: Callable[[str], None] = _untold
"""Called with a sentence once something has been waited for this long; a command sets it."""


@contextmanager
def writing(clients: Path, patience_s: float = PATIENCE_S) -> Iterator[None]:
    """Be the only one who changes files of the practice in this folder.

    Who holds it already may take it again. Where the folder can't be opened there is no lock:
    whatever is written into it will say so.

    Raises:
        Refused: Another process held it all the while. Nothing was done within.
    """
    with ExitStack() as held:
        mine = _key(clients)
        if mine not in _ours:
            take_turn(held, clients, patience_s, f"writes into {clients}")
        _ours[mine] = _ours.get(mine, 0) + 1
        try:
            yield
        finally:
            _ours[mine] -= 1
            if not _ours[mine]:
                del _ours[mine]


def _key(folder: Path) -> tuple[int, int, int]:
    """This thread and a folder, whatever its name; one that is not there is nobody's."""
    try:
        status = folder.stat()
    except OSError:
        return get_ident(), 0, 0
    return get_ident(), status.st_dev, status.st_ino


def take_turn(held: ExitStack, path: Path, patience_s: float, called: str) -> None:
    """Hold a lock until ``held`` ends; none where there is nothing that can be opened.

    Raises:
        Refused: Another process held it all the while.
    """
    try:
        held.enter_context(locked(path, patience_s, called=called))
    except TimeoutError:
        raise Refused(
            f"another sitegen {called} and has not ended within {patience_s:g} s; "
            "nothing was done: run this again once it has ended"
        ) from None
    except OSError:
        return


@contextmanager
def locked(
    path: Path,
    patience_s: float = FOR_EVER,
    *,
    called: str = "",
    by_library: bool = os.name == "nt",
) -> Iterator[None]:
    """Hold the lock of a file or folder that is there.

    Args:
        path: What the lock is of. On POSIX nothing is written for it.
        patience_s: Seconds to wait for who holds it.
        called: What the other one does, for `tell_waiting`; empty tells nobody.
        by_library: Use the library `filelock`, which knows Windows. Elsewhere ``flock`` serves, as
            that library's import takes 20 ms of every rebuild.

    Raises:
        TimeoutError: Another process held it all the while.
        OSError: It is not there, or can't be opened.
    """
    path.stat()
    with ExitStack() as held:
        takes = _by_library(path, held) if by_library else _by_flock(path, held)
        wait_for(takes, patience_s, called and f"another sitegen {called}")
        yield


def wait_for(takes: Callable[[], bool], patience_s: float, held_by: str) -> None:
    """Try again and again until it could be taken.

    Args:
        takes: What tries, and tells whether it has.
        patience_s: Seconds to go on.
        held_by: Who has it, for `tell_waiting`; empty tells nobody.

    Raises:
        TimeoutError: It could not be taken.
    """
    began = time.monotonic()
    while not takes():
        waited = time.monotonic() - began
        if waited >= patience_s:
            raise TimeoutError
        if held_by and waited >= TOLD_AFTER_S:
            tell_waiting(f"{held_by}; waiting until it has ended")
            held_by = ""
        time.sleep(LOOKS_S)


def _by_flock(path: Path, held: ExitStack) -> Callable[[], bool]:
    """What tries to take the lock, and tells whether it has; ``held`` lets go of it."""
    import fcntl

    descriptor = os.open(path, os.O_RDONLY | os.O_NONBLOCK)
    held.callback(os.close, descriptor)

    def takes() -> bool:
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        except OSError:
            return True  # some network drives know no locks
        return True

    return takes


def _by_library(path: Path, held: ExitStack) -> Callable[[], bool]:
    """The same with a file of our own, named for the path, in the folder for temporary files."""
    import hashlib
    import tempfile

    import filelock

    name = hashlib.sha256(os.fsencode(path.resolve())).hexdigest()[:32]
    lock = filelock.FileLock(Path(tempfile.gettempdir(), f"sitegen-{name}.lock"))
    held.callback(lock.release)

    def takes() -> bool:
        try:
            lock.acquire(timeout=0)
        except filelock.Timeout:
            return False
        return True

    return takes
