"""The files behind `sitegen.site.memory`: the last build, compiled templates.

The memory lies beside the site, closed to others, and can always be deleted. Compiled templates
are code that gets run, so they lie in the user's own folder for such things, never in a practice
that may have come from somewhere else, and are taken only from files that nobody else may write.
"""

from __future__ import annotations

import contextlib
import os
import platform
import sys
import zlib
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from pathlib import Path

import sitegen
from sitegen import world
from sitegen.locking import take_turn
from sitegen.site import memory as cache
from sitegen.site.memory import BuildCache, Made, StampTuple
from sitegen.site.owned import CACHE

PACKAGE = Path(sitegen.__file__).resolve().parent
BUILD_PATIENCE_S = 600.0  # some thousand clients, from nothing
SKIPPED_FOLDERS = frozenset({"__pycache__", "_templates"})


def tool() -> str:
    """A name for the tool with all that it builds with: when it is another, all is made again.

    The package's own files, drills and templates by their stamps; the other packages by the
    folders in which installers note their versions; the interpreter and its zlib.
    """
    parts = [sitegen.__version__, platform.python_version(), zlib.ZLIB_RUNTIME_VERSION]
    for top in (PACKAGE, world.templates_folder()):
        parts += _stamps(top)
    for folder in dict.fromkeys(sys.path):
        with contextlib.suppress(OSError), os.scandir(folder or ".") as entries:
            parts += sorted(e.name for e in entries if e.name.endswith((".dist-info", ".egg-info")))
    return cache.hash_of(*parts)


def _stamps(top: Path) -> list[str]:
    found: list[str] = []
    todo = [str(top)]
    while todo:
        with os.scandir(todo.pop()) as entries:
            for entry in entries:
                if entry.is_dir(follow_symlinks=False):
                    if entry.name not in SKIPPED_FOLDERS:
                        todo.append(entry.path)
                else:
                    status = entry.stat()
                    found.append(f"{entry.path} {status.st_size} {status.st_mtime_ns}")
    return sorted(found)


def zone(name: str) -> str:
    """The state of a time zone's data on this machine; packaged data is part of `tool`."""
    from zoneinfo import TZPATH

    for folder in TZPATH:
        with contextlib.suppress(OSError, ValueError):
            status = os.stat(os.path.join(folder, name))  # noqa: PTH116, PTH118
            return f"{folder} {status.st_size} {status.st_mtime_ns}"
    return ""


# The memory ---------------------------------------------------------------------------------


def memory_file(clients: Path, out: Path) -> Path:
    """One for each pair of a practice and a site."""
    out = out.resolve()
    name = cache.hash_of(str(clients.resolve()), str(out))[:16]
    return out.parent / CACHE / f"build-{name}.json"


def load_cache(file: Path, tool: str) -> BuildCache:
    """The build cache in a file; an empty one where it can't be read, or another tool wrote it."""
    return cache.read_cache(_own_bytes(file), tool)


def save_cache(file: Path, memory: BuildCache, tool: str) -> None:
    """Keep the memory. Where that can't be, the next build makes more than it would have to."""
    with contextlib.suppress(OSError, world.Refused):
        file.parent.mkdir(mode=0o700, exist_ok=True)
        ignore = file.parent / ".gitignore"
        if not ignore.exists():
            ignore.write_bytes(b"*\n")
        _replace(file, cache.written(memory, tool))


def forget_build(clients: Path, out: Path) -> None:
    """Let the next build make all again, and tell all."""
    with contextlib.suppress(OSError):
        memory_file(clients, out).unlink(missing_ok=True)


def _replace(file: Path, pieces: Iterable[bytes]) -> None:
    """Put a file in the old one's place. Not flushed: one that a power cut tore is seen as such."""
    beside = file.with_name(f"{file.name}.{os.getpid()}.new")
    try:
        descriptor = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with open(descriptor, "wb") as to:  # noqa: PTH123
            to.writelines(pieces)
        beside.replace(file)
    except BaseException:
        with contextlib.suppress(OSError):
            beside.unlink()
        raise


def _own_bytes(file: Path) -> bytes | None:
    """A file that nobody but this user may write; None for any other."""
    with contextlib.suppress(OSError):
        for place in (file.parent, file):
            status = place.lstat()
            if os.name == "posix" and (status.st_uid != os.geteuid() or status.st_mode & 0o022):
                return None
        return file.read_bytes()
    return None


def stamping(
    out: Path, before: Mapping[str, StampTuple], written: Collection[str], noted_ns: int
) -> Callable[[Mapping[str, Made]], Mapping[str, Made]]:
    """What notes stamps of the site's files, looked for from now on.

    Args:
        out: The site's folder.
        before: The stamps with which files lay there before this build.
        written: The files that it wrote.
        noted_ns: Now, in ns since 1970.
    """

    def there(name: str) -> StampTuple | None:
        if name not in written:
            return before.get(name)
        try:
            status = os.lstat(f"{out}/{name}")
        except OSError:
            return None
        return status.st_size, status.st_mtime_ns, status.st_ino

    return lambda files: cache.stamped(files, there, noted_ns)


@contextlib.contextmanager
def one_at_a_time(clients: Path) -> Iterator[None]:
    """Let builds of one practice come one after the other, as each reads what the last one left.

    Locks the practice's own file; what a build writes into the folder it writes under
    `sitegen.locking.writing`, so that a check-in can be taken while pages are drawn.

    Raises:
        Refused: Another build did not end.
    """
    with contextlib.ExitStack() as held:
        take_turn(held, clients / "practice.yaml", BUILD_PATIENCE_S, f"builds {clients}")
        yield


# Compiled templates -------------------------------------------------------------------------


def compiled_file() -> Path | None:
    """Where compiled templates are kept for this user; None where there is no such place."""
    place = os.environ.get("LOCALAPPDATA") or os.environ.get("XDG_CACHE_HOME")
    if not place:
        try:
            home = Path.home()
        except RuntimeError:
            return None
        place = str(home / ("Library/Caches" if sys.platform == "darwin" else ".cache"))
    top = Path(place, "sitegen")
    name = (
        f"templates-{cache.hash_of(str(PACKAGE))[:8]}.bin"  # two copies of the tool may be in use
    )
    return top / name if top.is_absolute() else None


def load_compiled(tool: str) -> dict[str, bytes]:
    file = compiled_file()
    return {} if file is None else cache.unpacked(_own_bytes(file), tool)


def save_compiled(compiled: Mapping[str, bytes], tool: str) -> None:
    file = compiled_file()
    if file is None:
        return
    with contextlib.suppress(OSError):
        file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        _replace(file, [cache.packed(compiled, tool)])


def processors() -> int:
    """How many processors this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1
