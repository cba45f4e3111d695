"""The only door to the world: the clock, chance, and folders read and written.

Everything else in the core is given what it needs. What the world refuses is a `Refused` with a
plain sentence for the coach; a client file that can't be read is a value, so that the others
are still read.

How `write_site` keeps the site whole. The new site is put together beside the old one, in
``.sitegen-cache/next-NAME``: hard links to what stays, new files for what changed. When all of
it is on the disk, the two folders change names in one step of the file system. Killed before
that step, the old site is there; killed after it, the new one. A file is never written into:
a new one takes its place, so no hard link can carry a change into the old site.

Where two folders can't change names (a mount point, a folder above that can't be written, a
file system or an operating system without that step), files are replaced one by one: the new
files are first written whole, then a list of all steps is written and flushed, then the steps
are done. Killed before the list is there, nothing has changed; killed after it, the next run
does the remaining steps, and until then each single file is whole, the old or the new one.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import re
import stat
import sys
import time
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from functools import lru_cache
from pathlib import Path, PurePosixPath
from typing import NamedTuple

LARGEST_BYTES = 2**20
"""1 MiB. Of a longer file one byte more is read, so that the reader sees that it is too long."""

RECORD = ".sitegen-files"
"""In the site's folder: which files there are the tool's. Hashes of names, so that a copy of it
on a host tells nobody an address."""

CACHE = ".sitegen-cache"
"""Beside the site's folder; it can always be deleted while no build runs."""

_INSIDE = ".sitegen-next"  # the new files' place where nothing can be put beside the folder
_STEPS = ".sitegen-steps"
_RESERVED = frozenset({RECORD, _INSIDE, _STEPS, CACHE})
_RECORD_HEAD, _RECORD_END = "sitegen files 1", "end"

MOST_FOREIGN = 1000
"""With more files of others in the folder than this, they are left where they are, one and all,
and ours are replaced one by one."""

SPARE_FROM = 400
"""From this many files on, the folder of links is kept for the next build, which then makes
only the links that are missing. It holds nothing that the site itself does not hold."""

_FLUSH_ONE_BY_ONE = 48  # new files; for more of them one flush of the whole disk is quicker

DRILLS, TEXTS = "drills/", "texts/"
_CLIENT = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")
_PACKAGE = Path(__file__).resolve().parent


class Refused(Exception):
    """The world says no. The text is a plain sentence for the coach."""


class Stamp(NamedTuple):
    """What changes when a file is written again: enough to see that it was, without reading."""

    size: int  # bytes
    mtime_ns: int
    inode: int


# Clock and chance ---------------------------------------------------------------------------


def today(timezone: str) -> date:
    """Today's date there.

    Raises:
        ValueError, zoneinfo.ZoneInfoNotFoundError: No such IANA zone; reading has refused it.
    """
    from zoneinfo import ZoneInfo

    return datetime.now(ZoneInfo(timezone)).date()


def now_utc() -> datetime:
    """This moment, with its zone."""
    return datetime.now(UTC)


def draw_bytes(count: int) -> bytes:
    """Random bytes fit for keys."""
    import secrets

    return secrets.token_bytes(count)


# Reading ------------------------------------------------------------------------------------


class Unreadable(NamedTuple):
    """A file of the practice that could not be read, and why."""

    name: str  # as the coach sees it in the folder: ``anna.yaml``, ``drills/hops.md``
    why: str


@dataclass(frozen=True, slots=True)
class Folder:
    """A practice's folder as it lay there. Bytes are cut off after 1 MiB and one byte."""

    path: Path
    practice: bytes | None = None
    clients: Mapping[str, bytes] = field(default_factory=dict)  # by client id
    logs: Mapping[str, bytes] = field(default_factory=dict)  # by client id, with or without client
    drills: Mapping[str, bytes] = field(default_factory=dict)  # Markdown, by drill id
    figures: Mapping[str, bytes] = field(default_factory=dict)  # SVG, by drill id
    handouts: Mapping[str, bytes] = field(default_factory=dict)  # Markdown of texts/, by id
    pictures: Mapping[str, bytes | str] = field(default_factory=dict)  # see `_pictures`
    misnamed: tuple[str, ...] = ()  # meant for us by their ending, but the name is no id
    unreadable: tuple[Unreadable, ...] = ()


def list_folder(clients: Path) -> dict[str, Stamp]:
    """All that lies in a practice's folder and could matter, by name, without reading it.

    Names are ``anna.yaml``, ``drills/hops.md`` or ``texts/shoes.md``. Hidden files are left out,
    but for the private links. Stamps are those of the entry itself: a link or a pipe has one too.

    Raises:
        Refused: There is no such folder, or it can't be opened.
    """
    found: dict[str, Stamp] = {}
    try:
        for prefix in ("", DRILLS, TEXTS):
            folder = clients / prefix
            if prefix and not folder.is_dir():
                continue
            with os.scandir(folder) as entries:
                for entry in entries:
                    if entry.name.startswith(".") and prefix + entry.name != ".keys.yaml":
                        continue
                    with contextlib.suppress(FileNotFoundError):  # gone since it was listed
                        found[prefix + entry.name] = _stamp(entry.stat(follow_symlinks=False))
    except FileNotFoundError:
        raise Refused(f"there is no folder {clients}; name the one with practice.yaml") from None
    except NotADirectoryError:
        raise Refused(f"{clients} is not a folder; name the one with practice.yaml") from None
    except OSError as error:
        raise Refused(f"the folder {clients} can't be opened: {error.strerror}") from None
    return dict(sorted(found.items()))


def _everything(_name: str) -> bool:
    return True


def read_folder(
    clients: Path,
    only: Callable[[str], bool] = _everything,
    listed: Iterable[str] | None = None,
) -> Folder:
    """Read a practice's folder: the practice, clients, logs, own drills and texts.

    Texts, and pictures that the practice's file names, come along with that file: it can't be
    judged without them.

    Args:
        clients: The folder; a link to a folder is followed, a link to a file is not.
        only: Which names to read, as `list_folder` gives them; misnamed files are always told.
        listed: What `list_folder` gave a moment ago; without it the folder is listed.

    Raises:
        Refused: There is no such folder. Anything wrong with one file is in the result.
    """
    kinds: dict[str, dict[str, bytes]] = {
        kind: {} for kind in ("client", "log", "md", "svg", "text")
    }
    practice: bytes | None = None
    misnamed: list[str] = []
    unreadable: list[Unreadable] = []
    listed = list_folder(clients) if listed is None else tuple(listed)
    for name in listed:
        kind, client = _kind_of(name)
        if not kind:
            continue
        if kind == "misnamed":
            misnamed.append(name)
        elif only("practice.yaml" if kind == "text" else name):
            content = _read_plain(clients / name)
            if isinstance(content, str):
                unreadable.append(Unreadable(name, content))
            elif kind == "practice":
                practice = content
            else:
                kinds[kind][client] = content
    return Folder(
        clients,
        practice,
        kinds["client"],
        kinds["log"],
        kinds["md"],
        kinds["svg"],
        kinds["text"],
        _pictures(clients, listed, practice or b""),
        misnamed=tuple(misnamed),
        unreadable=tuple(unreadable),
    )


def _pictures(clients: Path, listed: Iterable[str], practice: bytes) -> dict[str, bytes | str]:
    """Files beside ``practice.yaml`` that it names, by name: their bytes, or why not.

    Whether one is the logo is not for this door to say: it reads what is named and leaves the
    rest, photographs or pictures of links, where it lies.
    """
    if b"logo" not in practice:
        return {}
    return {
        name: _read_plain(clients / name)
        for name in listed
        if not ("/" in name or name.startswith(".") or _kind_of(name)[0])
        and name.encode("utf-8", "surrogateescape") in practice
    }


def _kind_of(name: str) -> tuple[str, str]:
    """What a name stands for, and whose it is; empty for what is nobody's business here."""
    if name == "practice.yaml":
        return "practice", ""
    if name.startswith("."):
        return "", ""  # the private links
    endings = {".log.yaml": "log", ".yaml": "client"}
    meant = [".yaml", ".yml"]
    stem = name
    if name.startswith("."):
        return "", ""
    if name.startswith(DRILLS):
        endings = {".md": "md", ".svg": "svg"}
        meant = [".md", ".markdown", ".svg"]
        stem = name.removeprefix(DRILLS)
    if name.startswith(TEXTS):
        endings = {".md": "text"}
        meant = [".md", ".markdown"]
        stem = name.removeprefix(TEXTS)
    for ending, kind in endings.items():
        client = stem.removesuffix(ending)
        if client != stem and _CLIENT.fullmatch(client) and client != "practice":
            return kind, client
    if any(stem.lower().endswith((ending, ending + ".txt")) for ending in meant):
        return "misnamed", ""
    return "", ""


def _read_plain(path: Path) -> bytes | str:
    """The start of a plain file, or why it can't be read. Never waits on a pipe or a device."""
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_NOFOLLOW", 0)
    flags |= getattr(os, "O_BINARY", 0)
    try:
        if path.is_symlink():
            return "this is a link to a file; put the file itself here"
        if not stat.S_ISREG(path.lstat().st_mode):
            return "this is not a plain file; move it out of this folder"
        descriptor = os.open(path, flags)
        with open(descriptor, "rb", buffering=0) as file:  # noqa: PTH123
            if not stat.S_ISREG(os.fstat(descriptor).st_mode):
                return "this is not a plain file; move it out of this folder"
            parts: list[bytes] = []
            left = LARGEST_BYTES + 1
            while left and (part := file.read(left)):
                parts.append(part)
                left -= len(part)
            return b"".join(parts)
    except OSError as error:
        return f"this file can't be read: {error.strerror}"


def templates_folder() -> Path:
    """Where the templates lie: inside the installed package, else beside it in the repository.

    Raises:
        Refused: Neither is there.
    """
    for folder in (_PACKAGE / "_templates", _PACKAGE.parent / "templates"):
        if folder.is_dir():
            return folder
    raise Refused("the templates that come with sitegen are missing; install it again")


def read_templates() -> Mapping[str, str]:
    """Every template by its name, such as ``now.html`` or ``parts/session.html``.

    Raises:
        UnicodeDecodeError: A template is not UTF-8; a developer's slip.
    """
    top = templates_folder()
    files = (path for path in sorted(top.rglob("*")) if path.is_file())
    return {
        path.relative_to(top).as_posix(): path.read_bytes().decode("utf-8")
        for path in files
        if not any(part.startswith((".", "__pycache__")) for part in path.relative_to(top).parts)
    }


def read_library() -> Mapping[str, tuple[bytes, str]]:
    """The drills that we ship: Markdown and figure by id; the figure is empty if there is none."""
    drills: dict[str, tuple[bytes, str]] = {}
    for path in sorted((_PACKAGE / "library" / "drills").glob("*.md")):
        figure = path.with_suffix(".svg")
        svg = figure.read_bytes().decode("utf-8") if figure.is_file() else ""
        drills[path.stem] = (path.read_bytes(), svg)
    return drills


def read_languages() -> Mapping[str, tuple[bytes, Mapping[str, bytes]]]:
    """The languages that we ship beside English, by tag: compiled catalogue, and drills by id."""
    found: dict[str, tuple[bytes, Mapping[str, bytes]]] = {}
    for folder in sorted((_PACKAGE / "locale").glob("*/LC_MESSAGES")):
        language = folder.parent.name
        drills = sorted((_PACKAGE / "library" / "drills" / language).glob("*.md"))
        found[language] = (
            (folder / "messages.mo").read_bytes(),
            {path.stem: path.read_bytes() for path in drills},
        )
    return found


def read_site_file(out: Path, name: str) -> bytes | None:
    """A file of the built site as it lies there now; None where it can't be read."""
    with contextlib.suppress(OSError):
        return (out / name).read_bytes()
    return None


# Writing one file ---------------------------------------------------------------------------


def write_text_atomic(path: Path, text: str, mode: int = 0o644) -> bool:
    """Replace a text file whole: killed at any moment, the old or the new one is there.

    A file that is there keeps its mode; ``mode`` is for a new one. A link is followed. The same
    text leaves the file untouched.

    Returns:
        Whether anything was written.

    Raises:
        Refused: The file can't be written; the old one is untouched.
    """
    return write_bytes_atomic(path, text.encode("utf-8"), mode)


def write_bytes_atomic(path: Path, data: bytes, mode: int = 0o644) -> bool:
    """The same for bytes."""
    try:
        path = path.resolve()
        with contextlib.suppress(FileNotFoundError):
            if path.read_bytes() == data:
                return False
            mode = stat.S_IMODE(path.stat().st_mode)
        _remove_stale(path)
        beside = path.with_name(f".{path.name}.{draw_bytes(4).hex()}.new")
        try:
            _write_new(beside, data, mode=mode, flush=True)
            os.replace(beside, path)  # noqa: PTH105, the name that says it is atomic
        except BaseException:
            with contextlib.suppress(OSError):
                beside.unlink()
            raise
        _flush_folder(path.parent)
    except OSError as error:
        raise Refused(f"{path} can't be written: {error.strerror}") from error
    return True


def _remove_stale(path: Path) -> None:
    """Remove what a killed run left beside the file; an hour is longer than any run takes."""
    for old in path.parent.glob(f".{path.name}.????????.new"):
        with contextlib.suppress(OSError):
            if time.time() - old.stat().st_mtime > 3600:
                old.unlink()


def _write_new(path: Path | str, data: bytes, *, mode: int | None = None, flush: bool) -> None:
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    descriptor = os.open(path, flags, 0o666 if mode is None else mode)
    with open(descriptor, "wb", buffering=0) as file:  # noqa: PTH123
        if mode is not None and hasattr(os, "fchmod"):
            os.fchmod(descriptor, mode)  # whatever the umask says
        view = memoryview(data)
        while view:
            view = view[file.write(view) :]
        if flush:
            os.fsync(descriptor)


def _flush_folder(folder: Path | str) -> None:
    if os.name != "posix":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        with contextlib.suppress(OSError):  # some network drives can't flush a folder
            os.fsync(descriptor)
    finally:
        os.close(descriptor)


# Writing the site ---------------------------------------------------------------------------

Files = Mapping[str, bytes] | Iterable[tuple[str, bytes]]


@dataclass(frozen=True, slots=True)
class Written:
    """What a write of the site changed."""

    added: tuple[str, ...] = ()
    changed: tuple[str, ...] = ()
    removed: tuple[str, ...] = ()
    way: str = "nothing"  # "nothing", "exchange" (in one step) or "one by one"


def _nothing(_name: str) -> bool:
    return False


def write_site(
    files: Files,
    out: Path,
    keep: Callable[[str], bool] = _nothing,
    *,
    exchange: bool = True,
    patience: float = 60.0,
    spare_from: int = SPARE_FROM,
) -> Written:
    """Bring the site's folder to hold these files of ours, all or nothing.

    What others put into the folder stays. Of ours, what is neither given nor kept is removed.
    A file that already has these bytes is not touched.

    Args:
        files: Name below ``out``, with ``/``, and bytes. An iterable of pairs is written as it
            comes, so that a large site need not fit into memory; nothing counts until it ends.
        out: The folder, made if it is not there. A link to a folder is followed.
        keep: Whether a file of ours that is not given stays as it is; called with its name.
        exchange: False replaces files one by one, as where folders can't change names.
        patience: Seconds to wait for another build that is writing into the same folder.
        spare_from: From how many files on the folder of links is kept for the next build.

    Raises:
        Refused: Something of others is in the way, or the folder can't be written. The site is
            as it was.
        ValueError: A name that leaves the folder, or one given twice; a developer's slip.
    """
    out = _real_folder(out)
    pairs = files.items() if isinstance(files, Mapping) else files
    try:
        out.parent.mkdir(parents=True, exist_ok=True)
        with _alone(out, patience):
            _finish(out)
            return _Writing(out, exchange, spare_from).write(pairs, keep)
    except OSError as error:
        about = f" ({error.filename})" if error.filename else ""
        why = error.strerror or str(error)
        raise Refused(f"the site can't be written into {out}: {why}{about}") from error


def finish_site(out: Path, patience: float = 60.0) -> None:
    """Finish what a killed run began, if one did; before anything else reads the folder.

    Raises:
        Refused: The folder can't be written, or another build is at it.
    """
    if not out.is_dir():
        return
    out = _real_folder(out)
    try:
        with _alone(out, patience):
            _finish(out)
    except OSError as error:
        raise Refused(f"the site in {out} can't be finished: {error.strerror}") from error


def site_files(out: Path) -> dict[str, Stamp]:
    """The tool's own files that lie in the folder now, sorted by name. Others' are left out."""
    found: dict[str, Stamp] = {}
    if out.is_dir():
        for name in sorted(_walk(out, _read_record(out)).own):
            with contextlib.suppress(FileNotFoundError):
                found[name] = _stamp(os.lstat(f"{out}/{name}"))
    return found


def _stamp(status: os.stat_result) -> Stamp:
    return Stamp(status.st_size, status.st_mtime_ns, status.st_ino)


def _real_folder(out: Path) -> Path:
    """The folder itself, behind any link; refuses what is surely a slip of the keyboard."""
    shown = out
    if out.is_symlink() and not out.exists():
        raise Refused(f"{shown} is a link that leads nowhere; remove it or name another folder")
    out = out.resolve()
    if out.exists() and not out.is_dir():
        raise Refused(f"{shown} is a file, but the site needs a folder; name another one")
    here = Path.cwd()
    with contextlib.suppress(RuntimeError):  # no home known
        if out == Path.home().resolve():
            raise Refused(f"{shown} is your home folder; name a folder for the site alone")
    if out == here or out in here.parents:
        raise Refused(
            f"{shown} is the folder that you are in, or one above it; "
            "name a folder for the site alone, such as public"
        )
    if (out / "practice.yaml").exists():
        raise Refused(f"{shown} holds your clients' files; name another folder for the site")
    if out.exists() and not os.access(out, os.R_OK | os.W_OK | os.X_OK):
        raise Refused(f"{shown} may not be written into; name another folder, or allow it")
    return out


# Which files are ours


@lru_cache(maxsize=2**14)  # one write asks for each name several times
def _mark(name: str) -> str:
    return hashlib.sha256(os.fsencode(name)).hexdigest()[:32]


def _read_record(folder: Path) -> frozenset[str] | None:
    """Marks of our files and of the folders that hold them; None if we never wrote here."""
    try:
        lines = (folder / RECORD).read_text("ascii").split("\n")
    except FileNotFoundError:
        return None
    except (UnicodeDecodeError, IsADirectoryError):
        lines = []
    if lines[:1] != [_RECORD_HEAD] or lines[-1] != _RECORD_END:
        raise Refused(
            f"{folder / RECORD} is damaged, so it can't be told which files here are the tool's; "
            "empty the folder and build again"
        )
    return frozenset(lines[1:-1])


def _record_text(names: Iterable[str]) -> bytes:
    marks: set[str] = set()
    folders: set[str] = set()
    for name in names:
        marks.add(_mark(name))
        folders.update(_parents(name))
    marks.update(_mark(folder + "/") for folder in folders)
    return "\n".join([_RECORD_HEAD, *sorted(marks), _RECORD_END]).encode("ascii")


def _parents(name: str) -> Iterator[str]:
    """``a/b/c`` lies in ``a/b`` and in ``a``."""
    while "/" in name:
        name = name.rpartition("/")[0]
        yield name


@dataclass(slots=True)
class _Tree:
    """What lies in a folder: names to inode numbers."""

    own: dict[str, int] = field(default_factory=dict)
    foreign: dict[str, int] = field(default_factory=dict)
    folders: set[str] = field(default_factory=set)
    is_crowded: bool = False  # more of others' files than we care to link, or closed to us


def _walk(top: Path, record: frozenset[str] | None, most: int = MOST_FOREIGN) -> _Tree:
    marks = record or frozenset()
    tree = _Tree()
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
                if name in _RESERVED:
                    continue
                if entry.is_dir(follow_symlinks=False):
                    tree.folders.add(name)
                    is_ours = _mark(name + "/") in marks
                    others += not is_ours
                    if is_ours or others <= most:
                        todo.append(name + "/")
                elif _mark(name) in marks and entry.is_file(follow_symlinks=False):
                    tree.own[name] = entry.inode()
                else:
                    others += 1
                    tree.foreign[name] = entry.inode()
    tree.is_crowded |= others > most
    return tree


def _check_name(name: str) -> None:
    pure = PurePosixPath(name)
    is_plain = name == pure.as_posix() and not pure.is_absolute() and "\\" not in name
    if not is_plain or {"", ".", ".."} & set(name.split("/")) or "\0" in name:
        raise ValueError(f"not the name of a file below the site's folder: {name!r}")
    if name.partition("/")[0] in _RESERVED:
        raise ValueError(f"a name that is kept for the writing itself: {name!r}")


# One write


class _Writing:
    """One write of the site, from what lies there to what shall."""

    def __init__(self, out: Path, exchange: bool, spare_from: int) -> None:
        self.out = out
        self.record = _read_record(out) if out.is_dir() else None
        self.tree = _walk(out, self.record) if out.is_dir() else _Tree()
        self.may_exchange = exchange and os.name == "posix" and not self.tree.is_crowded
        self.spare_from = spare_from
        self.stage: Path | None = None  # made when the first file turns out to be new
        self.spare = _Tree()
        self.staged: list[str] = []
        self.stage_folders: set[str] = set()
        self.checked: set[str] = set()

    def write(self, pairs: Iterable[tuple[str, bytes]], keep: Callable[[str], bool]) -> Written:
        own = self.tree.own
        given: set[str] = set()
        adopted: set[str] = set()  # lay there already with these very bytes, whoever wrote them
        in_the_way: set[str] = set()
        try:
            for name, data in pairs:
                _check_name(name)
                if name in given:
                    raise ValueError(f"given twice: {name!r}")
                given.add(name)
                if name in own and _has_bytes(self.out / name, data):
                    continue
                if name not in own and (obstacle := self._obstacle(name, data)) is not None:
                    (in_the_way.add if obstacle else adopted.add)(obstacle or name)
                    continue
                self._put(name, data)
            if in_the_way:
                raise Refused(_in_the_way(self.out, in_the_way))
            staged = set(self.staged)
            kept = {name for name in own if name not in given and keep(name)}
            removed = set(own) - given - kept
            done = Written(
                tuple(sorted(staged - set(own))),
                tuple(sorted(staged & set(own))),
                tuple(sorted(removed)),
            )
            if not (staged or removed or adopted) and self.record is not None:
                return done
            way = self._bring(given | kept, removed)
        except BaseException:
            self._drop_stage()
            raise
        return Written(done.added, done.changed, done.removed, way)

    def _obstacle(self, name: str, data: bytes) -> str | None:
        """What of others' lies where this file goes: None for nothing, "" for the same bytes."""
        for folder in _parents(name):
            if folder in self.checked:
                break
            self.checked.add(folder)
            with contextlib.suppress(FileNotFoundError, NotADirectoryError):
                if not stat.S_ISDIR((self.out / folder).lstat().st_mode):
                    self.checked.discard(folder)
                    return folder
        place = self.out / name
        try:
            status = place.lstat()
        except FileNotFoundError:
            return None
        if stat.S_ISREG(status.st_mode) and _has_bytes(place, data):
            return ""
        return name

    def _put(self, name: str, data: bytes) -> None:
        """Write a new file into the stage; a file that is there is replaced, not written into."""
        stage = self.stage or self._make_stage()
        self._make_folders(stage, name)
        place = stage / name
        if name in self.spare.own:
            place.unlink()
            del self.spare.own[name]
        mode = None
        if name in self.tree.own:
            mode = stat.S_IMODE((self.out / name).lstat().st_mode)
        _write_new(place, data, mode=mode, flush=False)
        self.staged.append(name)

    def _make_folders(self, stage: Path, name: str) -> None:
        missing: list[str] = []
        for folder in _parents(name):
            if folder in self.stage_folders:
                break
            missing.append(folder)
        for folder in reversed(missing):
            self._make_folder(stage, folder)

    def _make_folder(self, stage: Path, folder: str) -> None:
        place = stage / folder
        place.mkdir()
        self.stage_folders.add(folder)
        if folder in self.tree.folders:
            _copy_mode(self.out / folder, place)

    def _make_stage(self) -> Path:
        """A folder for the new site: beside the old one if the file system lets us."""
        beside, spare = _stage_beside(self.out), _spare_beside(self.out)
        try:
            _make_cache(beside.parent)
            if spare.is_dir():
                spare.rename(beside)
                self.spare = _walk(beside, None, sys.maxsize)
                # In the spare folder nothing is anybody's: it is all links to what the site holds.
                self.spare.own, self.spare.foreign = self.spare.foreign, {}
                self.stage_folders = set(self.spare.folders)
            else:
                beside.mkdir()
            self.stage = beside
            if self.out.is_dir():
                _copy_mode(self.out, beside)
                if _is_mount(self.out):
                    raise OSError(errno.EXDEV, "nothing moves across a mount point")
        except OSError:
            if not self.out.is_dir():
                raise
            with contextlib.suppress(OSError):
                _remove_tree(beside)
            self.may_exchange = False
            self.spare, self.stage_folders = _Tree(), set()
            self.stage = self.out / _INSIDE
            self.stage.mkdir()
        return self.stage

    def _bring(self, ours: set[str], removed: set[str]) -> str:
        """Make the staged files the site."""
        stage = self.stage or self._make_stage()
        record = _record_text(ours)
        if self.may_exchange:
            try:
                self._link_what_stays(stage, ours)
                if self.record is None and self.out.is_dir():
                    _write_new(self.out / RECORD, _record_text(()), flush=True)
                _write_new(stage / RECORD, record, flush=False)
                self._flush(stage, [*self.staged, RECORD])
                self._exchange(stage)
                is_new = True
            except OSError:
                is_new = False  # replaced one by one below; whatever is really wrong shows there
                with contextlib.suppress(FileNotFoundError):
                    (stage / RECORD).unlink()
            if is_new:
                with contextlib.suppress(OSError):  # the site is whole; the next run cleans up
                    _settle(stage, self.out)
                    self._keep_spare(stage, len(ours), removed)
                return "exchange"
        self.out.mkdir(exist_ok=True)
        self._flush(stage, self.staged)
        order = sorted(self.staged, key=lambda name: (name.endswith(".html"), name))
        _write_steps(stage, order, sorted(removed), record)
        _do_steps(stage, self.out)
        return "one by one"

    def _link_what_stays(self, stage: Path, ours: set[str]) -> None:
        new = set(self.staged)
        own, foreign = self.tree.own, self.tree.foreign
        stays = {name: inode for name, inode in own.items() if name in ours and name not in new}
        stays |= foreign
        for name, inode in self.spare.own.items():
            if stays.get(name) != inode:
                (stage / name).unlink()
        needed = {folder for name in ours for folder in _parents(name)}
        needed |= self._others_folders()
        for folder in sorted(self.stage_folders - needed, reverse=True):
            (stage / folder).rmdir()
            self.stage_folders.discard(folder)
        for folder in sorted(needed - self.stage_folders):
            self._make_folder(stage, folder)
        for name, inode in stays.items():
            if self.spare.own.get(name) != inode:
                os.link(f"{self.out}/{name}", f"{stage}/{name}", follow_symlinks=False)

    def _others_folders(self) -> set[str]:
        marks = self.record or frozenset()
        folders = {folder for folder in self.tree.folders if _mark(folder + "/") not in marks}
        folders.update(folder for name in self.tree.foreign for folder in _parents(name))
        folders.update([parent for folder in folders for parent in _parents(folder)])
        return folders

    def _flush(self, stage: Path, names: list[str]) -> None:
        """Put new files on the disk, with the folders that hold them."""
        if len(names) > _FLUSH_ONE_BY_ONE and _flush_disk(stage):
            return
        folders = {"": None} | {folder: None for name in names for folder in _parents(name)}
        for name in names:
            descriptor = os.open(stage / name, os.O_RDWR if os.name == "nt" else os.O_RDONLY)
            try:
                os.fsync(descriptor)
            finally:
                os.close(descriptor)
        for folder in folders:
            _flush_folder(stage / folder)

    def _exchange(self, stage: Path) -> None:
        if self.out.exists():
            _exchange_folders(stage, self.out)
            _flush_folder(stage.parent)
        else:
            stage.rename(self.out)
        _flush_folder(self.out.parent)

    def _keep_spare(self, stage: Path, count: int, removed: set[str]) -> None:
        """Leave only links to what the site holds, or nothing where that is quickly made again."""
        if count < self.spare_from or not stage.exists():
            _remove_tree(stage)
            _forget_cache(stage.parent)
            return
        for name in {*self.staged, *removed}:
            with contextlib.suppress(FileNotFoundError):
                (stage / name).unlink()
        _remove_empty(stage, removed)
        stage.rename(_spare_beside(self.out))

    def _drop_stage(self) -> None:
        if self.stage is not None:
            with contextlib.suppress(OSError):
                if not any((self.stage / mark).exists() for mark in (_STEPS, RECORD)):
                    _remove_tree(self.stage)
                    _forget_cache(_stage_beside(self.out).parent)


def _in_the_way(out: Path, names: set[str]) -> str:
    some = sorted(names)
    shown = ", ".join(some[:5]) + (f" and {len(some) - 5} more" if len(some) > 5 else "")
    return (
        f"{out} holds what sitegen did not write and would have to replace: {shown}. "
        "Move it elsewhere, or name another folder"
    )


def _has_bytes(path: Path, data: bytes) -> bool:
    try:
        if path.lstat().st_size != len(data):
            return False
        return path.read_bytes() == data
    except OSError:
        return False


def _copy_mode(source: Path, target: Path) -> None:
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


def _is_mount(folder: Path) -> bool:
    """Whether the folder is a mount point, a second place of some other folder included."""
    if os.path.ismount(folder):
        return True
    try:
        mounts = Path("/proc/self/mountinfo").read_text("utf-8", "surrogateescape").splitlines()
    except OSError:
        return False  # only Linux shows a folder in two places
    escaped = "".join(f"\\{ord(c):03o}" if c in " \t\n\\" else c for c in str(folder))
    return any(line.split(" ")[4] == escaped for line in mounts)


def _stage_beside(out: Path) -> Path:
    return out.parent / CACHE / f"next-{out.name}"


def _spare_beside(out: Path) -> Path:
    return out.parent / CACHE / f"spare-{out.name}"


def _make_cache(cache: Path) -> None:
    """Private portals lie here too, so it is closed to others, and git must not take it along."""
    cache.mkdir(mode=0o700, exist_ok=True)
    with contextlib.suppress(FileExistsError):
        _write_new(cache / ".gitignore", b"*\n", flush=False)


def _forget_cache(cache: Path) -> None:
    """Remove the folder beside the site if nothing is left in it."""
    with contextlib.suppress(OSError):
        if os.listdir(cache) == [".gitignore"]:  # noqa: PTH208
            (cache / ".gitignore").unlink()
            cache.rmdir()


# After a run, killed or not


def _finish(out: Path) -> None:
    """Finish or clean up what an earlier run left."""
    for stage in (_stage_beside(out), out / _INSIDE):
        if not stage.is_dir() or stage.is_symlink():
            continue
        if out.is_dir():
            if (stage / _STEPS).exists():
                _do_steps(stage, out)
                continue
            _settle(stage, out)
        _remove_tree(stage)
        _forget_cache(_stage_beside(out).parent)


def _settle(stage: Path, out: Path) -> None:
    """Save what others put into the old site while the new one was made, and let go the rest.

    A stage with a record is the old site, or a whole new one that never took its place. What is
    ours there can go, and what is others' is linked in the site as well, unless it came late.
    """
    try:
        record = _read_record(stage)
    except Refused:
        record = None  # the power went before it was on the disk, so this never was the site
    if record is None:
        return
    for name in _walk(stage, record).foreign:
        place = out / name
        old = stage / name
        with contextlib.suppress(FileNotFoundError, NotADirectoryError):
            if place.lstat().st_ino == old.lstat().st_ino:
                continue
        _move_aside(old, place)
    (stage / RECORD).unlink()


def _move_aside(old: Path, place: Path) -> None:
    """Move a file of others to its place, or beside it if that is taken."""
    place.parent.mkdir(parents=True, exist_ok=True)
    aside, count = place, 0
    while os.path.lexists(aside):
        count += 1
        aside = place.with_name(f"{place.name}.kept-{count}")
    old.rename(aside)


def _write_steps(stage: Path, put: list[str], remove: list[str], record: bytes) -> None:
    """Write the list of steps. From here on the new site counts."""
    import json

    steps = {"put": put, "remove": remove, "record": record.decode("ascii")}
    beside = stage / (_STEPS + ".new")
    with contextlib.suppress(FileNotFoundError):
        beside.unlink()
    _write_new(beside, json.dumps(steps).encode("ascii"), flush=True)
    beside.rename(stage / _STEPS)
    _flush_folder(stage)


def _do_steps(stage: Path, out: Path) -> None:
    """Do the steps that are left, and then forget them; may be killed and begun again anywhere."""
    import json

    try:
        steps = json.loads((stage / _STEPS).read_bytes())
        put: list[str] = steps["put"]
        remove: list[str] = steps["remove"]
        record: str = steps["record"]
        for name in (*put, *remove):
            _check_name(name)
    except (ValueError, KeyError, TypeError):
        raise Refused(
            f"{stage / _STEPS} is damaged; remove the folder {stage} and build again"
        ) from None
    before = _read_record(out) or frozenset()
    is_ours = before | frozenset(record.split("\n"))
    touched: set[Path] = {out}
    for name in put:
        new, place = stage / name, out / name
        if not new.exists():
            continue  # done before the run was killed
        for folder in sorted(_parents(name)):
            if not (out / folder).is_dir():
                (out / folder).mkdir()
                touched.add((out / folder).parent)
        if _mark(name) not in before and os.path.lexists(place):
            _move_aside(place, place)  # came after the steps were written
        new.replace(place)
        touched.add(place.parent)
    for name in remove:
        if _mark(name) in is_ours:
            with contextlib.suppress(FileNotFoundError):
                (out / name).unlink()
                touched.add((out / name).parent)
    _remove_empty(out, remove)
    beside = stage / (RECORD + ".new")
    with contextlib.suppress(FileNotFoundError):
        beside.unlink()
    _write_new(beside, record.encode("ascii"), flush=True)
    beside.replace(out / RECORD)
    if len(touched) <= _FLUSH_ONE_BY_ONE or not _flush_disk(out):
        for place in touched:
            if place.is_dir():
                _flush_folder(place)
    (stage / _STEPS).unlink()
    with contextlib.suppress(OSError):
        _remove_tree(stage)
        _forget_cache(_stage_beside(out).parent)


def _remove_empty(top: Path, names: Iterable[str]) -> None:
    """Remove the folders that these files lay in, if nothing is left there."""
    folders = {folder for name in names for folder in _parents(name)}
    for folder in sorted(folders, key=len, reverse=True):
        with contextlib.suppress(OSError):
            (top / folder).rmdir()


def _remove_tree(top: Path) -> None:
    """Remove a folder of ours with all that is in it; links are removed, never followed."""
    if not top.is_dir() or top.is_symlink():
        return
    within = [str(top)]
    for inner in within:  # grows while it is read
        with os.scandir(inner) as entries:
            for entry in entries:
                if entry.is_dir(follow_symlinks=False):
                    within.append(entry.path)
                else:
                    os.unlink(entry.path)  # noqa: PTH108, thousands of them: quicker so
    for inner in reversed(within):
        os.rmdir(inner)  # noqa: PTH106


# What the operating system offers


def _exchange_folders(one: Path, other: Path) -> None:
    """Let two folders change names in one step.

    Linux: ``renameat2`` with ``RENAME_EXCHANGE``. macOS: ``renamex_np`` with ``RENAME_SWAP``,
    after its manual page; not yet run on a Mac.

    Raises:
        OSError: This system or this file system can't.
    """
    import ctypes

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


def _flush_disk(folder: Path) -> bool:
    """Put on the disk all that waits for it on this file system, if the system can."""
    if sys.platform != "linux":
        return False
    import ctypes

    library = ctypes.CDLL(None, use_errno=True)
    if not hasattr(library, "syncfs"):
        return False
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        return bool(library.syncfs(descriptor) == 0)
    finally:
        os.close(descriptor)


@contextlib.contextmanager
def _alone(out: Path, patience: float) -> Iterator[None]:
    """Let one build at a time write here; the lock goes with the process that holds it."""
    try:
        import fcntl
    except ImportError:  # Windows knows no locks on folders: there two builds at once can clash
        yield
        return
    descriptor = os.open(out.parent, os.O_RDONLY)
    try:
        until = time.monotonic() + patience
        while True:
            try:
                fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
                break
            except BlockingIOError:
                if time.monotonic() >= until:
                    raise Refused(
                        f"another sitegen is writing {out}; try again when it has finished"
                    ) from None
                time.sleep(0.02)
            except OSError:
                break  # some network drives know no locks
        yield
    finally:
        os.close(descriptor)
