"""The site's folder, written whole or not at all.

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
import stat
import sys
import time
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path, PurePosixPath

from sitegen.locking import locked
from sitegen.site.memory import lasting
from sitegen.world import Refused, Stamp, flush_folder, stamp_of, write_new

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
    with open_site(out, exchange=exchange, patience=patience, spare_from=spare_from) as site:
        return site.write(files, keep)


@contextlib.contextmanager
def open_site(
    out: Path, *, exchange: bool = True, patience: float = 60.0, spare_from: int = SPARE_FROM
) -> Iterator[SiteFolder]:
    """Hold the site's folder for one write: finish what a killed run began, and look at it once.

    Args as of `write_site`, which see; its errors may be raised by anything done meanwhile.
    """
    out = _real_folder(out)
    try:
        out.parent.mkdir(parents=True, exist_ok=True)
        with _alone(out, patience):
            _finish(out)
            site = SiteFolder(out, exchange, spare_from)
            try:
                yield site
            except BaseException:
                site.drop()
                raise
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
    return dict(sorted(_walk(out, _read_record(out)).own.items())) if out.is_dir() else {}


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


def read_site_file(out: Path, name: str) -> bytes | None:
    """A file of the built site as it lies there now; None where it can't be read."""
    with contextlib.suppress(OSError):
        return (out / name).read_bytes()
    return None


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
    """What lies in a folder."""

    own: dict[str, Stamp] = field(default_factory=dict)
    foreign: dict[str, Stamp] = field(default_factory=dict)
    folders: dict[str, int] = field(default_factory=dict)  # and when their lists last changed, ns
    top_ns: int = 0  # the same of the folder itself
    noted_ns: int = 0  # when we began to look
    is_crowded: bool = False  # more of others' files than we care to link, or closed to us


def _walk(top: Path, record: frozenset[str] | None, most: int = MOST_FOREIGN) -> _Tree:
    marks = record or frozenset()
    tree = _Tree(noted_ns=time.time_ns(), top_ns=top.stat().st_mtime_ns)
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
                try:
                    status = entry.stat(follow_symlinks=False)
                except FileNotFoundError:  # gone since it was listed
                    continue
                if entry.is_dir(follow_symlinks=False):
                    tree.folders[name] = status.st_mtime_ns
                    is_ours = _mark(name + "/") in marks
                    others += not is_ours
                    if is_ours or others <= most:
                        todo.append(name + "/")
                elif _mark(name) in marks and stat.S_ISREG(status.st_mode):
                    tree.own[name] = stamp_of(status)
                else:
                    others += 1
                    tree.foreign[name] = stamp_of(status)
    tree.is_crowded |= others > most
    return tree


def _links_in(top: Path) -> tuple[dict[str, int], set[str]]:
    """The files in a folder of links with their inodes, and the folders; quicker than `_walk`."""
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


def _check_name(name: str) -> None:
    pure = PurePosixPath(name)
    is_plain = name == pure.as_posix() and not pure.is_absolute() and "\\" not in name
    if not is_plain or {"", ".", ".."} & set(name.split("/")) or "\0" in name:
        raise ValueError(f"not the name of a file below the site's folder: {name!r}")
    if name.partition("/")[0] in _RESERVED:
        raise ValueError(f"a name that is kept for the writing itself: {name!r}")


# One write


class SiteFolder:
    """The site's folder while we hold it: what lies there, and one write. See `open_site`."""

    def __init__(self, out: Path, exchange: bool, spare_from: int) -> None:
        self.out = out
        self.record = _read_record(out) if out.is_dir() else None
        self.tree = _walk(out, self.record) if out.is_dir() else _Tree()
        self.may_exchange = exchange and os.name == "posix" and not self.tree.is_crowded
        self.spare_from = spare_from
        self.stage: Path | None = None  # made when the first file turns out to be new
        self.spare: dict[str, int] = {}  # links that are there already, to which inode
        self.staged: list[str] = []
        self.stage_folders: set[str] = set()
        self.checked: set[str] = set()

    @property
    def own(self) -> Mapping[str, Stamp]:
        """The tool's own files that lie there, by name."""
        return self.tree.own

    def write(self, files: Files, keep: Callable[[str], bool] = _nothing) -> Written:
        """As `write_site`, which see."""
        pairs = files.items() if isinstance(files, Mapping) else files
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
            self.drop()
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
        if name in self.spare:
            place.unlink()
            del self.spare[name]
        mode = None
        if name in self.tree.own:
            mode = stat.S_IMODE((self.out / name).lstat().st_mode)
        write_new(place, data, mode=mode, flush=False)
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
        self.stage = beside  # from here on it is ours to remove, also when we are stopped
        try:
            _make_cache(beside.parent)
            if spare.is_dir():
                spare.rename(beside)
                self.spare, self.stage_folders = _links_in(beside)
            else:
                beside.mkdir()
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
            self.spare, self.stage_folders = {}, set()
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
                    write_new(self.out / RECORD, _record_text(()), flush=True)
                write_new(stage / RECORD, record, flush=False)
                self._flush(stage, [*self.staged, RECORD])
                self._exchange(stage)
                is_new = True
            except OSError:
                is_new = False  # replaced one by one below; whatever is really wrong shows there
                with contextlib.suppress(FileNotFoundError):
                    (stage / RECORD).unlink()
            if is_new:
                with contextlib.suppress(OSError):  # the site is whole; the next run cleans up
                    _settle(stage, self.out, self.tree)
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
        stays = {name: stamp for name, stamp in own.items() if name in ours and name not in new}
        stays |= foreign
        for name, inode in self.spare.items():
            if name not in stays or stays[name].inode != inode:
                (stage / name).unlink()
        needed = {folder for name in ours for folder in _parents(name)}
        needed |= self._others_folders()
        for folder in sorted(self.stage_folders - needed, reverse=True):
            (stage / folder).rmdir()
            self.stage_folders.discard(folder)
        for folder in sorted(needed - self.stage_folders):
            self._make_folder(stage, folder)
        for name, stamp in stays.items():
            if self.spare.get(name) != stamp.inode:
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
            flush_folder(stage / folder)

    def _exchange(self, stage: Path) -> None:
        if self.out.exists():
            _exchange_folders(stage, self.out)
            flush_folder(stage.parent)
        else:
            stage.rename(self.out)
        flush_folder(self.out.parent)

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

    def drop(self) -> None:
        """Let go of what was put together for a site that will not be."""
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
        write_new(cache / ".gitignore", b"*\n", flush=False)


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


def _settle(stage: Path, out: Path, seen: _Tree | None = None) -> None:
    """Save what others put into the old site while the new one was made, and let go the rest.

    A stage with a record is the old site, or a whole new one that never took its place. What is
    ours there can go, and what is others' is linked in the site as well, unless it came late.
    ``seen`` is the old site as it lay there before: what has not changed since is not looked at.
    """
    try:
        record = _read_record(stage)
    except Refused:
        record = None  # the power went before it was on the disk, so this never was the site
    if record is None:
        return
    others = _walk(stage, record).foreign if seen is None else _others_since(stage, seen)
    for name in others:
        place = out / name
        old = stage / name
        with contextlib.suppress(FileNotFoundError, NotADirectoryError):
            if place.lstat().st_ino == old.lstat().st_ino:
                continue
        _move_aside(old, place)
    (stage / RECORD).unlink()


def _others_since(top: Path, seen: _Tree) -> Iterator[str]:
    """Files of others in those folders whose lists of names are not surely as they were seen."""
    folders = {"": seen.top_ns} | {f"{name}/": ns for name, ns in seen.folders.items()}
    for prefix, changed_ns in folders.items():
        path = f"{top}/{prefix}"
        with contextlib.suppress(FileNotFoundError):
            now_ns = os.lstat(path).st_mtime_ns
            if now_ns == changed_ns and lasting((0, now_ns, 0), seen.noted_ns):
                continue
            for name in os.listdir(path):  # noqa: PTH208
                within = prefix + name
                if within in seen.own or within in seen.folders or within in _RESERVED:
                    continue
                new = top / within
                if new.is_dir() and not new.is_symlink():
                    yield from (f"{within}/{inner}" for inner in _walk(new, None).foreign)
                else:
                    yield within


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
    write_new(beside, json.dumps(steps).encode("ascii"), flush=True)
    beside.rename(stage / _STEPS)
    flush_folder(stage)


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
    write_new(beside, record.encode("ascii"), flush=True)
    beside.replace(out / RECORD)
    if len(touched) <= _FLUSH_ONE_BY_ONE or not _flush_disk(out):
        for place in touched:
            if place.is_dir():
                flush_folder(place)
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
    """Let one build at a time write here."""
    with contextlib.ExitStack() as held:
        try:
            held.enter_context(locked(out.parent, patience))
        except TimeoutError:
            raise Refused(
                f"another sitegen is writing {out}; try again when it has finished"
            ) from None
        yield
