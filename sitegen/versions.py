"""Versions of a practice's files: what each act of the tool changed, so that it can be taken back.

Beside the practice's files lies a closed folder, ``.versions``, with a folder for each act: what
was done, and plain copies of every file before it and after it. A copy is written before the file
itself, so an act that was cut off can be taken back as far as it went. What is kept is limited,
and all of a client's goes with `forget_versions`.
"""

from __future__ import annotations

import contextlib
import json
import os
import shutil
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType
from typing import Any, NamedTuple

from sitegen import world
from sitegen.locking import writing

VERSIONS = ".versions"
MOST_ACTS = 100
MOST_KEPT_BYTES = 64 * 2**20  # of all copies together; the last act is kept whatever it holds
_BEFORE, _AFTER, NOTE = "before", "after", "act.json"
IGNORE_FILE = ".gitignore"
UNDONE = ".undone"  # ends the name of an act that was taken back; its copies stay for a while


@dataclass(frozen=True, slots=True)
class Version:
    """One file as an act found it and left it; None where it was not there.

    ``name`` is within the practice's folder, ``says`` is what was done to it.
    """

    name: str
    says: str
    before: bytes | None
    after: bytes | None


@dataclass(frozen=True, slots=True)
class KeptAct:
    """An act that is kept: ``number`` counts from 1, ``at`` is its moment, UTC, as ISO 8601."""

    number: int
    command: str
    at: str
    versions: tuple[Version, ...]
    is_undone: bool = False


@dataclass(slots=True)
class Recording:
    """One act while it is done. ``keep`` comes before each file is written, ``keep_part`` before a
    part of one."""

    clients: Path
    command: str
    folder: Path | None = None
    note: dict[str, Any] = field(default_factory=dict)

    def keep(self, path: Path, after: bytes | None, says: str) -> None:
        """Keep a file of the practice as it is, and as it will be (None: gone).

        The same file again keeps what it was before the first time.

        Raises:
            Refused: It can't be kept; then nothing may be written.
        """
        try:
            name = path.resolve().relative_to(self.clients.resolve()).as_posix()
            folder = self._begun()
            files: dict[str, Any] = self.note["files"]
            if name not in files:
                before = path.read_bytes() if path.exists() else None
                files[name] = {"says": says, "number": len(files) + 1}
                _write_copy(folder / _BEFORE, files[name]["number"], before)
            else:
                files[name]["says"] = f"{files[name]['says']}; {says}"
            _write_copy(folder / _AFTER, files[name]["number"], after)
            _write_note(folder, self.note)
        except (OSError, ValueError) as error:
            raise _not_kept(self.clients, error) from error

    def keep_part(self, name: str, before: bytes | None, after: bytes | None, says: str) -> None:
        """Keep a part of a file, under a name that ends as one of the `Parts` does.

        Raises:
            Refused: It can't be kept; then nothing may be written.
        """
        try:
            folder = self._begun()
            files: dict[str, Any] = self.note["files"]
            files[name] = {"says": says, "number": len(files) + 1}
            for place, data in ((_BEFORE, before), (_AFTER, after)):
                _write_copy(folder / place, files[name]["number"], data)
            _write_note(folder, self.note)
        except OSError as error:
            raise _not_kept(self.clients, error) from error

    def _begun(self) -> Path:
        if self.folder is None:
            top = _open_folder(self.clients)
            number = max((_number(p.name) for p in top.iterdir()), default=0) + 1
            folder = top / f"{number:06}"
            folder.mkdir(mode=0o700)
            for part in (_BEFORE, _AFTER):
                (folder / part).mkdir(mode=0o700)
            at = world.now_utc().strftime("%Y-%m-%dT%H:%M:%SZ")
            self.folder, self.note = folder, {"command": self.command, "at": at, "files": {}}
        return self.folder

    def end(self) -> None:
        """Let go of the oldest acts beyond what is kept."""
        if self.folder is not None:
            with contextlib.suppress(OSError):
                _trim(self.clients)

    def drop(self, path: Path) -> None:
        """Let go of a file's versions, as what was done to it was taken back."""
        with contextlib.suppress(OSError, ValueError, world.Refused):
            self.drop_part(path.resolve().relative_to(self.clients.resolve()).as_posix())

    def drop_part(self, name: str) -> None:
        """Let go of a part's versions."""
        if self.folder is None:
            return
        with contextlib.suppress(OSError, world.Refused):
            self.note["files"].pop(name, None)
            if self.note["files"]:
                _write_note(self.folder, self.note)
            else:
                shutil.rmtree(self.folder)


@contextlib.contextmanager
def recording(clients: Path, command: str) -> Iterator[Recording]:
    """Keep what is changed within as one act, by nobody but this process.

    Raises:
        Refused: Another process writes there and does not end.
    """
    with writing(clients):
        found = Recording(clients, command)
        yield found
        found.end()


def _not_kept(clients: Path, error: Exception) -> world.Refused:
    why = getattr(error, "strerror", None) or error
    return world.Refused(
        f"the version of before can't be kept in {clients / VERSIONS}: {why}; nothing was changed"
    )


class FilePart(NamedTuple):
    """How a part of a file is read and put back, by the practice's folder and the part's name.

    What is not there is None. Writing raises Refused or OSError.
    """

    read: Callable[[Path, str], bytes | None]
    write: Callable[[Path, str, bytes | None], None]


Parts = Mapping[str, FilePart]
"""Each kind of part by the end of its names."""
NO_PARTS: Parts = MappingProxyType({})


def _part(name: str, parts: Parts) -> FilePart | None:
    return next((part for end, part in parts.items() if name.endswith(end)), None)


def _open_folder(clients: Path) -> Path:
    top = clients / VERSIONS
    with contextlib.suppress(FileExistsError):
        top.mkdir(mode=0o700)
    if os.name == "posix":
        top.chmod(0o700)
    if not (top / IGNORE_FILE).exists():
        world.write_bytes_atomic(top / IGNORE_FILE, b"*\n", mode=0o600)
    return top


def _number(name: str) -> int:
    stem = name.removesuffix(UNDONE)
    return int(stem) if stem.isdecimal() else 0


def _write_copy(folder: Path, number: int, data: bytes | None) -> None:
    path = folder / str(number)
    if data is None:
        path.unlink(missing_ok=True)
    else:
        world.write_bytes_atomic(path, data, mode=0o600)


def _write_note(folder: Path, note: Mapping[str, Any]) -> None:
    text = json.dumps(note, ensure_ascii=False, indent=1)
    world.write_text_atomic(folder / NOTE, text + "\n", mode=0o600)


# --- looking back -----------------------------------------------------------------------------


def kept_acts(clients: Path) -> tuple[KeptAct, ...]:
    """All acts that are kept, the newest first; what can't be read is left out."""
    found = []
    for folder in _folders(clients):
        with contextlib.suppress(OSError, ValueError, KeyError, TypeError):
            found.append(_read_act(folder))
    return tuple(found)


def last_act(clients: Path) -> KeptAct | None:
    """The newest act that was not taken back and left something to take back."""
    for folder in _folders(clients):
        with contextlib.suppress(OSError, ValueError, KeyError, TypeError):
            act = _read_act(folder)
            if not act.is_undone and any(v.before != v.after for v in act.versions):
                return act
    return None


def _folders(clients: Path) -> list[Path]:
    with contextlib.suppress(OSError):
        found = [p for p in (clients / VERSIONS).iterdir() if _number(p.name) and p.is_dir()]
        return sorted(found, key=lambda p: _number(p.name), reverse=True)
    return []


def _read_act(folder: Path) -> KeptAct:
    note = json.loads((folder / NOTE).read_text(encoding="utf-8"))
    versions = tuple(
        Version(
            name,
            str(one["says"]),
            _copy(folder / _BEFORE, one["number"]),
            _copy(folder / _AFTER, one["number"]),
        )
        for name, one in note["files"].items()
    )
    is_undone = folder.name.endswith(UNDONE)
    return KeptAct(_number(folder.name), note["command"], note["at"], versions, is_undone)


def _copy(folder: Path, number: object) -> bytes | None:
    path = folder / str(number)
    return path.read_bytes() if path.exists() else None


@dataclass(frozen=True, slots=True)
class Differs:
    """A file that is no longer what an act left; None where it is not there."""

    name: str
    left: bytes | None
    now: bytes | None


def changed_since(clients: Path, act: KeptAct, parts: Parts = NO_PARTS) -> tuple[Differs, ...]:
    """Files of an act, or parts of them, that something else changed since.

    Raises:
        OSError: One can't be read.
    """
    found = []
    for version in act.versions:
        path, part = clients / version.name, _part(version.name, parts)
        if part is not None:
            now = part.read(clients, version.name)
        else:
            now = path.read_bytes() if path.exists() else None
        if now not in (version.after, version.before):
            found.append(Differs(version.name, version.after, now))
    return tuple(found)


def take_act_back(clients: Path, act: KeptAct, parts: Parts = NO_PARTS) -> tuple[Differs, ...]:
    """Give every file of an act its old bytes; nothing where one was changed since, which it gives.

    Raises:
        Refused: A file can't be written.
        OSError: A file can't be read or removed.
    """
    with writing(clients):
        if differs := changed_since(clients, act, parts):
            return differs
        for version in act.versions:
            path, part = clients / version.name, _part(version.name, parts)
            if part is not None:
                part.write(clients, version.name, version.before)
            elif version.before is None:
                path.unlink(missing_ok=True)
            else:
                path.parent.mkdir(mode=0o700, exist_ok=True)
                world.write_bytes_atomic(path, version.before, mode=0o600)
        folder = clients / VERSIONS / f"{act.number:06}"
        folder.rename(folder.with_name(f"{folder.name}{UNDONE}"))
    return ()


# --- letting go -------------------------------------------------------------------------------


def kept_names(clients: Path) -> frozenset[str]:
    """Names of the files of which versions are kept; those of a damaged note are left out."""
    found: set[str] = set()
    for folder in _folders(clients):
        with contextlib.suppress(OSError, ValueError, KeyError, TypeError):
            found.update(json.loads((folder / NOTE).read_text(encoding="utf-8"))["files"])
    return frozenset(found)


def _trim(clients: Path) -> None:
    """Let go of the oldest acts beyond what is kept."""
    size = 0
    for count, folder in enumerate(_folders(clients)):
        size += sum(p.stat().st_size for p in folder.rglob("*") if p.is_file())
        if count and (count >= MOST_ACTS or size > MOST_KEPT_BYTES):
            shutil.rmtree(folder, ignore_errors=True)


def forget_versions(clients: Path, is_theirs: Callable[[str], bool]) -> None:
    """Let go of every version of some files, and of what was said of them.

    Args:
        clients: The practice's folder.
        is_theirs: Whether a file goes, by its name within the folder.

    Raises:
        OSError, Refused: Not all could be removed.
    """
    with writing(clients):
        for folder in _folders(clients):
            try:
                note = json.loads((folder / NOTE).read_text(encoding="utf-8"))
                files = dict(note["files"])
            except (OSError, ValueError, KeyError, TypeError):
                shutil.rmtree(folder)  # nobody can say whose it is
                continue
            mine = {name: one for name, one in files.items() if is_theirs(name)}
            if not mine:
                continue
            if len(mine) == len(files):
                shutil.rmtree(folder)
                continue
            for one in mine.values():
                for part in (_BEFORE, _AFTER):
                    (folder / part / str(one["number"])).unlink(missing_ok=True)
            kept = {name: one for name, one in files.items() if not is_theirs(name)}
            _write_note(folder, {**note, "files": kept})
