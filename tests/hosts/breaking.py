"""A store in memory that breaks at a chosen step, as hosts do: in the middle of a file, too."""

from __future__ import annotations

import errno
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from sitegen.publish.store import HostFile


class Killed(BaseException):
    """The power went: no code of ours runs after this."""


@dataclass
class Disk:
    """What a host holds, with its own clock, which moves on by a second with every write."""

    files: dict[str, bytes] = field(default_factory=dict)
    changed: dict[str, float] = field(default_factory=dict)
    clock: float = 4_000_000.0
    room: int | None = None

    def set(self, path: str, data: bytes) -> None:
        self.files[path] = data
        self.clock += 1.0
        self.changed[path] = self.clock


@dataclass
class BreakingStore:
    """Counts its steps and calls ``trouble(step, what, path)`` before each; that may raise.

    A write that breaks leaves half of the file, unless the host swaps files whole.
    """

    disk: Disk
    trouble: Callable[[int, str, str], None] = lambda step, what, path: None
    replaces_whole: bool = False
    steps: list[int] = field(default_factory=lambda: [0])  # shared by reconnecting stores
    done: list[tuple[str, str]] = field(default_factory=list)

    def _step(self, what: str, path: str) -> None:
        self.steps[0] += 1
        self.trouble(self.steps[0], what, path)
        self.done.append((what, path))

    def top(self) -> tuple[Mapping[str, HostFile], frozenset[str]]:
        self._step("top", "")
        files = {p: e for p, e in self._entries().items() if "/" not in p}
        return files, frozenset(p.partition("/")[0] for p in self.disk.files if "/" in p)

    def files(self) -> Mapping[str, HostFile]:
        self._step("files", "")
        return self._entries()

    def _entries(self) -> dict[str, HostFile]:
        disk = self.disk
        return {p: HostFile(len(data), disk.changed.get(p)) for p, data in disk.files.items()}

    def read(self, path: str) -> bytes | None:
        self._step("read", path)
        return self.disk.files.get(path)

    def write(self, path: str, data: bytes) -> None:
        try:
            self._step("write", path)
            if self.disk.room is not None:
                used = sum(len(d) for p, d in self.disk.files.items() if p != path)
                if used + len(data) > self.disk.room:
                    raise OSError(errno.ENOSPC, "No space left on device")
        except BaseException:
            if not self.replaces_whole:
                self.disk.set(path, data[: len(data) // 2])
            raise
        self.disk.set(path, data)

    def rename(self, old: str, new: str) -> None:
        self._step("rename", new)
        self.disk.set(new, self.disk.files.pop(old))

    def level(self, paths: Sequence[str]) -> None:
        self._step("level", paths[0])

    def remove(self, path: str) -> None:
        self._step("remove", path)
        self.disk.files.pop(path, None)

    def remove_folder(self, path: str) -> None:
        return

    def close(self) -> None:
        return
