"""The door to the world: the clock, chance, a practice's folder, single files.

Everything else in the core is given what it needs. What the world refuses is a `Refused` with a
plain sentence for the coach; a client file that can't be read is a value, so that the others
are still read. The built site has a door of its own, `sitegen.site.folder`.
"""

from __future__ import annotations

import contextlib
import os
import re
import stat
import time
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from pathlib import Path
from typing import NamedTuple

LARGEST_BYTES = 2**20
"""1 MiB. Of a longer file one byte more is read, so that the reader sees that it is too long."""

DRILL_FOLDER, TEXT_FOLDER, SESSION_FOLDER = "drills/", "texts/", "sessions/"
_CLIENT = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")
WORD_PROCESSED = (".rtf", ".docx", ".odt")  # what such programs put behind a name, unasked
_MEANT = re.compile(rb"(?m)^(?:baseline|screening|timezone)[ \t]*:")
_PACKAGE = Path(__file__).resolve().parent


class Refused(Exception):
    """The world says no. The text is a plain sentence for the coach."""


class Stamp(NamedTuple):
    """What changes when a file is written again: enough to see that it was, without reading."""

    size: int  # bytes
    mtime_ns: int
    inode: int


def stamp_of(status: os.stat_result) -> Stamp:
    """The stamp of what the system says of a file."""
    return Stamp(status.st_size, status.st_mtime_ns, status.st_ino)


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
    answers: Mapping[str, bytes] = field(default_factory=dict)  # to alarms, by client id
    sessions: Mapping[str, bytes] = field(default_factory=dict)  # YAML of sessions/, by name
    told: Mapping[str, bytes] = field(default_factory=dict)  # what clients were shown, by client id


def list_folder(clients: Path) -> dict[str, Stamp]:
    """All that lies in a practice's folder and could matter, by name, without reading it.

    Names are ``anna.yaml``, ``drills/hops.md`` or ``texts/shoes.md``. Hidden files are left out,
    but for the private links. Stamps are those of the entry itself: a link or a pipe has one too.

    Raises:
        Refused: There is no such folder, or it can't be opened.
    """
    found: dict[str, Stamp] = {}
    try:
        for prefix in ("", DRILL_FOLDER, TEXT_FOLDER, SESSION_FOLDER):
            folder = clients / prefix
            if prefix and not folder.is_dir():
                continue
            with os.scandir(folder) as entries:
                for entry in entries:
                    if entry.name.startswith(".") and prefix + entry.name != ".keys.yaml":
                        continue
                    with contextlib.suppress(FileNotFoundError):  # gone since it was listed
                        found[prefix + entry.name] = stamp_of(entry.stat(follow_symlinks=False))
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
        kind: {} for kind in ("client", "log", "answers", "told", "md", "svg", "text", "session")
    }
    practice: bytes | None = None
    misnamed: list[str] = []
    unreadable: list[Unreadable] = []
    listed = list_folder(clients) if listed is None else tuple(listed)
    for name in listed:
        kind, client = _kind_of(name)
        if not kind:
            continue
        if kind == "misnamed" or (kind == "perhaps" and _looks_meant(clients / name)):
            misnamed.append(name)
        elif kind == "perhaps":
            continue
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
        answers=kinds["answers"],
        sessions=kinds["session"],
        told=kinds["told"],
    )


def _pictures(clients: Path, listed: Iterable[str], practice: bytes) -> dict[str, bytes | str]:
    """Files beside ``practice.yaml`` that it names, by name: their bytes, or why not.

    Whether one is the logo is not for this door to say: it reads what is named and leaves the
    rest, photographs or pictures of links, where it lies.
    """
    if b"logo" not in practice:
        return {}
    text = composed(practice.decode("utf-8", "replace"))
    return {
        name: _read_plain(clients / name)
        for name in listed
        if not ("/" in name or name.startswith(".") or _kind_of(name)[0] not in ("", "perhaps"))
        and composed(name) in text
    }


def composed(name: str) -> str:
    """A name with its accents in their letters, as a keyboard writes it; some disks, such as HFS+
    of macOS, give it back with the accents behind them."""
    return unicodedata.normalize("NFC", name)


def _kind_of(name: str) -> tuple[str, str]:
    """What a name stands for, and whose it is; empty for what is nobody's business here."""
    if name == "practice.yaml":
        return "practice", ""
    if name.startswith("."):
        return "", ""  # the private links
    endings = {
        ".log.yaml": "log",
        ".alarms.yaml": "answers",
        ".told.yaml": "told",
        ".yaml": "client",
    }
    meant = [".yaml", ".yml"]
    stem = name
    if name.startswith(DRILL_FOLDER):
        endings = {".md": "md", ".svg": "svg"}
        meant = [".md", ".markdown", ".svg"]
        stem = name.removeprefix(DRILL_FOLDER)
    if name.startswith(TEXT_FOLDER):
        endings = {".md": "text"}
        meant = [".md", ".markdown"]
        stem = name.removeprefix(TEXT_FOLDER)
    if name.startswith(SESSION_FOLDER):
        endings = {".yaml": "session"}
        meant = [".yaml", ".yml"]
        stem = name.removeprefix(SESSION_FOLDER)
    for ending, kind in endings.items():
        client = stem.removesuffix(ending)
        if client != stem and _CLIENT.fullmatch(client) and client != "practice":
            return kind, client
    behind = ("", ".txt", *WORD_PROCESSED)
    if any(stem.lower().endswith(ending + more) for ending in meant for more in behind):
        return "misnamed", ""
    if "/" not in name and ("." not in name or name.lower().endswith((".txt", ".rtf"))):
        return "perhaps", ""
    return "", ""


def _looks_meant(path: Path) -> bool:
    """Whether a file that is named like any text is a client's or the practice's by its keys."""
    content = _read_plain(path)
    return isinstance(content, bytes) and _MEANT.search(content) is not None


def read_start(path: Path) -> bytes | None:
    """The first MiB of a plain file; None where it is none, or can't be read."""
    content = _read_plain(path)
    return content if isinstance(content, bytes) else None


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


TEMPLATES = frozenset({".html", ".js", ".css", ".json", ".webmanifest"})
DESK = "desk"  # the folder of what only `sitegen desk` shows


def templates_folder() -> Path:
    """Where the templates lie: inside the installed package, else beside it in the repository.

    Raises:
        Refused: Neither is there.
    """
    for folder in (_PACKAGE / "_templates", _PACKAGE.parent / "templates"):
        if folder.is_dir():
            return folder
    raise Refused("the templates that come with sitegen are missing; install it again")


def template_folders() -> Mapping[str, Path]:
    """Where templates lie, by what their names begin with: the shared ones, and those of views.

    Raises:
        Refused: The shared ones are missing.
    """
    return {"": templates_folder(), "views/": _PACKAGE / "portal" / "views"}


def read_templates() -> Mapping[str, str]:
    """Every template by its name, such as ``document.html`` or ``views/now/view.html``.

    Raises:
        Refused: The templates are missing.
        UnicodeDecodeError: A template is not UTF-8; a developer's slip.
    """
    return {
        f"{begins}{path.relative_to(top).as_posix()}": path.read_bytes().decode("utf-8")
        for begins, top in template_folders().items()
        for path in _templates_in(top)
        if path.relative_to(top).parts[0] != DESK
    }


def read_desk_templates() -> Mapping[str, str]:
    """What the desk's page is made of, such as ``sheet.html``; a site has none of it.

    Raises:
        Refused: The templates are missing.
        UnicodeDecodeError: A template is not UTF-8; a developer's slip.
    """
    top = templates_folder() / DESK
    return {
        p.relative_to(top).as_posix(): p.read_bytes().decode("utf-8") for p in _templates_in(top)
    }


def _templates_in(top: Path) -> Iterator[Path]:
    for path in sorted(top.rglob("*")):
        if path.is_file() and path.suffix in TEMPLATES and not path.name.startswith("."):
            yield path


def read_library() -> Mapping[str, tuple[bytes, str]]:
    """The drills that we ship: Markdown and figure by id; the figure is empty if there is none."""
    drills: dict[str, tuple[bytes, str]] = {}
    for path in sorted((_PACKAGE / "library" / "drills").glob("*.md")):
        figure = path.with_suffix(".svg")
        svg = figure.read_bytes().decode("utf-8") if figure.is_file() else ""
        drills[path.stem] = (path.read_bytes(), svg)
    return drills


def read_sessions() -> Mapping[str, bytes]:
    """The kinds of session that we ship, by name."""
    found = sorted((_PACKAGE / "library" / "sessions").glob("*.yaml"))
    return {path.stem: path.read_bytes() for path in found}


def read_returns() -> Mapping[str, bytes]:
    """The ways back to running that we ship, by name."""
    found = sorted((_PACKAGE / "library" / "returns").glob("*.yaml"))
    return {path.stem: path.read_bytes() for path in found}


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


# Writing one file ---------------------------------------------------------------------------


def write_text_atomic(path: Path, text: str, mode: int = 0o644) -> bool:
    """Replace a text file whole: killed at any moment, the old or the new one is there.

    A file that is there keeps its permissions; ``mode`` is for a new one. A link is followed. The
    same text leaves the file untouched.

    Returns:
        Whether anything was written.

    Raises:
        Refused: The file can't be written; the old one is untouched.
    """
    return write_bytes_atomic(path, text.encode("utf-8"), mode)


def write_bytes_atomic(path: Path, data: bytes, mode: int = 0o644) -> bool:
    """Replace a file whole, as `write_text_atomic` does a text; ``mode``: a new file's permissions.

    Returns:
        Whether anything was written.

    Raises:
        Refused: The file can't be written; the old one is untouched.
    """
    try:
        path = path.resolve()
        with contextlib.suppress(FileNotFoundError):
            if path.read_bytes() == data:
                return False
            mode = stat.S_IMODE(path.stat().st_mode)
        _remove_stale(path)
        beside = path.with_name(f".{path.name}.{draw_bytes(4).hex()}.new")
        try:
            write_new(beside, data, mode=mode, flush=True)
            replace_file(beside, path)
        except BaseException:
            with contextlib.suppress(OSError):
                beside.unlink()
            raise
        flush_folder(path.parent)
    except OSError as error:
        raise Refused(f"{path} can't be written: {why_refused(error)}") from error
    return True


def why_refused(error: OSError) -> str:
    """Why the system says no; Windows tells of a path over its 259 characters (248 of a folder)
    that it is not there."""
    path = os.path.abspath(error.filename or "")  # noqa: PTH100, it may not be there
    if os.name == "nt" and isinstance(error, FileNotFoundError) and len(path) >= 248:
        return "this path is too long for Windows; move the practice nearer to the drive's top"
    return error.strerror or str(error)


BARRED_S = (0.01, 0.04, 0.15, 0.3, 0.5)


def replace_file(new: Path, old: Path) -> None:
    """Put a file in the place of another, in one step.

    Windows refuses that while any program has the old one open, as a virus scanner has each new
    file for a moment; there it is tried again for a second. Common practice, no source.

    Raises:
        OSError: The old one is untouched.
    """
    for wait_s in BARRED_S if os.name == "nt" else ():
        with contextlib.suppress(PermissionError):
            new.replace(old)
            return
        time.sleep(wait_s)
    new.replace(old)


def _remove_stale(path: Path) -> None:
    """Remove what a killed run left beside the file; an hour is longer than any run takes."""
    for old in path.parent.glob(f".{path.name}.????????.new"):
        with contextlib.suppress(OSError):
            if time.time() - old.stat().st_mtime > 3600:
                old.unlink()


def write_new(path: Path | str, data: bytes, *, mode: int | None = None, flush: bool) -> None:
    """Write a file that must not be there yet; ``flush`` puts it on the disk at once.

    ``mode`` are its permissions, whatever the umask says; None leaves them to the umask.
    """
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


def flush_folder(folder: Path | str) -> None:
    """Put a folder's list of names on the disk, where the system can."""
    if os.name != "posix":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        with contextlib.suppress(OSError):  # some network drives can't flush a folder
            os.fsync(descriptor)
    finally:
        os.close(descriptor)
