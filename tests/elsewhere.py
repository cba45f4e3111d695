"""Run one command as another system would have it, as far as Linux can pretend to be one.

    python tests/elsewhere.py windows|macos|linux WORDS...

What the tool's own modules are given is changed, not the tool: what `os`, `sys`, `signal` and
`ctypes` say and lack there, modules that are missing, processes started afresh, and what the system
refuses (by an audit hook, so that libraries are refused it too). `make elsewhere` runs the whole
and lists what can't be tried so.
"""

# ruff: noqa: PTH100, PTH109, PTH112, PTH115, PTH120, PTH208
# A hook must not make the paths that it looks at by the way that it looks at.

from __future__ import annotations

import builtins
import ctypes
import multiprocessing
import os
import shutil
import signal
import sys
import warnings
from collections.abc import Callable, Mapping
from pathlib import PurePath
from types import ModuleType
from typing import Any

NOT_TRIED = {
    "windows": (
        "drive letters, UNC names and backslashes: paths stay those of POSIX",
        "line ends that a file opened as text is given",
        "locks of `msvcrt`: the library's lock is that of POSIX, its file and its way are the same",
        "Ctrl-C and Ctrl-Break as the console sends them, and the end of a process by its handle",
        "who may read a file: modes say nothing there, and access lists are not looked at",
    ),
    "macos": (
        "`renamex_np`, which lets two folders change names: the way without it is taken",
        "names in decomposed form as HFS+ gives them back",
        "`F_FULLFSYNC`: what `fsync` leaves in the drive's own memory",
    ),
}
RESERVED = {"con", "prn", "aux", "nul", *(f"{n}{i}" for n in ("com", "lpt") for i in range(1, 10))}
LACKS: Mapping[str, Mapping[str, frozenset[str]]] = {
    "windows": {
        "os": frozenset(
            {
                "O_DIRECTORY",
                "O_NOFOLLOW",
                "O_NONBLOCK",
                "chown",
                "fchmod",
                "fork",
                "geteuid",
                "getuid",
                "killpg",
                "mkfifo",
                "sched_getaffinity",
                "setsid",
                "statvfs",
            }
        ),
        "signal": frozenset({"SIGALRM", "SIGHUP", "SIGKILL", "pthread_sigmask", "setitimer"}),
    },
    "macos": {"os": frozenset({"sched_getaffinity"}), "signal": frozenset()},
}
SAYS: Mapping[str, Mapping[str, Mapping[str, Any]]] = {
    "windows": {"os": {"name": "nt", "supports_dir_fd": set()}, "sys": {"platform": "win32"}},
    "macos": {"sys": {"platform": "darwin"}, "ctypes": {"CDLL": lambda *_, **__: object()}},
}
LONGEST_PATH = (
    259  # of Windows, unless its registry says otherwise: "Maximum Path Length Limitation"
)
MISSING = {"windows": {"fcntl", "grp", "pwd", "resource", "termios"}, "macos": set[str]()}


class Dressed(ModuleType):
    """A module that says some things otherwise and lacks others; the rest is the real one's."""

    def __init__(self, real: ModuleType, says: Mapping[str, Any], lacks: frozenset[str]) -> None:
        self.__dict__.update(_real=real, _says=says, _lacks=lacks)

    def __getattr__(self, name: str) -> Any:
        if name in self._lacks:
            raise AttributeError(f"{self._real.__name__} has no {name} here")
        return self._says[name] if name in self._says else getattr(self._real, name)

    def __setattr__(self, name: str, value: Any) -> None:
        setattr(self._real, name, value)


def dress(system: str) -> None:
    """From here on let the tool's modules see this system. Before they are imported."""
    says, lacks = SAYS[system], LACKS[system]
    real = {"os": os, "sys": sys, "signal": signal, "ctypes": ctypes}
    dressed = {
        name: Dressed(module, says.get(name, {}), lacks.get(name, frozenset()))
        for name, module in real.items()
    }
    plain = builtins.__import__

    def importing(name: str, globals: Any = None, *rest: Any, **more: Any) -> Any:
        if not str((globals or {}).get("__name__")).startswith("sitegen"):
            return plain(name, globals, *rest, **more)
        if name in MISSING[system]:
            raise ModuleNotFoundError(f"No module named {name!r}")
        found = plain(name, globals, *rest, **more)
        return dressed.get(name.partition(".")[0], found) if name != "os.path" else dressed["os"]

    builtins.__import__ = importing  # type: ignore[assignment]
    multiprocessing.set_start_method("spawn", force=True)
    if system == "windows":
        vars(shutil)["_use_fd_functions"] = False  # it removes folders by their names there
    # A text whose encoding nobody names is in another one there.
    warnings.filterwarnings("error", category=EncodingWarning, module="sitegen")
    sys.addaudithook(_refusing(system))


def _refusing(system: str) -> Callable[[str, tuple[Any, ...]], None]:
    """What this system does not do; only below the folder where the command runs."""
    top, is_windows, is_asking = os.getcwd(), system == "windows", False

    def looks(event: str, given: tuple[Any, ...]) -> None:
        if event == "open":
            made = given[2] is not None and bool(given[2] & (os.O_CREAT | os.O_WRONLY | os.O_RDWR))
            _name(given[0], is_new=made)
            if is_windows and os.path.isdir(given[0]):
                raise PermissionError(13, "a folder can't be opened")
        elif event == "os.mkdir":
            _name(given[0], is_new=True)
        elif event in ("os.rename", "os.remove", "os.rmdir") and is_windows:
            for path in given[: 2 if event == "os.rename" else 1]:
                _is_open(path)
            if event == "os.rename":
                _name(given[1], is_new=True)
        elif event == "os.symlink" and is_windows:
            raise OSError(1314, "a privilege is not held")

    def _below(path: Any) -> str | None:
        whole = os.path.abspath(os.fsdecode(path))
        return whole if whole.startswith(top + os.sep) else None

    def _name(path: Any, is_new: bool) -> None:
        whole = _below(path)
        if whole is None:
            return
        if is_windows and len(whole) > LONGEST_PATH:
            raise FileNotFoundError(2, "No such file or directory", path)
        name = PurePath(whole).name
        if is_windows and (
            set('<>:"|?*\\') & set(name)
            or name[-1] in ". "
            or name.partition(".")[0].lower() in RESERVED
        ):
            raise OSError(22, f"no name on this system: {name}")
        folder = os.path.dirname(whole)
        if is_new and not os.path.lexists(whole) and os.path.isdir(folder):
            for other in os.listdir(folder):
                if other.casefold() == name.casefold():
                    raise FileExistsError(17, f"{name} and {other} are one file on this system")

    def _is_open(path: Any) -> None:
        whole = _below(path)
        for number in os.listdir("/proc/self/fd") if whole else ():
            try:
                held = os.readlink(f"/proc/self/fd/{number}")
            except OSError:
                continue
            if held == whole or held.startswith(f"{whole}{os.sep}"):
                raise PermissionError(13, f"{held} is open")

    def hook(event: str, given: tuple[Any, ...]) -> None:
        nonlocal is_asking
        if is_asking or not event.startswith(("open", "os.")):
            return
        if event == "open" and isinstance(given[0], int):
            return
        is_asking = True  # what is asked here raises events too
        try:
            looks(event, given)
        finally:
            is_asking = False

    return hook


if __name__ == "__main__" and len(sys.argv) == 1:
    for system, lines in NOT_TRIED.items():
        print(f"Of {system} this can't try:", *lines, sep="\n  - ")
    sys.exit()
if __name__ == "__main__":
    os.environ["PRETENDED_SYSTEM"] = sys.argv[1]  # for the processes that this one starts
    sys.argv[:2] = ["sitegen"]
if os.environ.get("PRETENDED_SYSTEM", "linux") != "linux" and __name__ != "elsewhere":
    dress(os.environ["PRETENDED_SYSTEM"])
if __name__ == "__main__":
    from sitegen.cli import main

    main()
