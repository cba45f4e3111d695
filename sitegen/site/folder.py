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
import os
import stat
import time
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from sitegen.locking import locked
from sitegen.site.owned import (
    INSIDE,
    RECORD,
    STEPS,
    FolderSeen,
    check_name,
    links_in,
    mark_of,
    parents_of,
    read_record,
    record_text,
    walk,
)
from sitegen.site.recovery import (
    do_steps,
    finish,
    forget_cache,
    make_cache,
    remove_empty,
    remove_tree,
    settle,
    spare_beside,
    stage_beside,
    write_steps,
)
from sitegen.site.system import (
    FLUSH_ONE_BY_ONE,
    copy_mode,
    exchange_folders,
    flush_disk,
    is_mount,
    make_folder,
    make_readable,
)
from sitegen.world import Refused, Stamp, flush_folder, why_refused, write_new

SPARE_FROM = 400
"""From this many files on, the folder of links is kept for the next build, which then makes
only the links that are missing: five pages of 2,000 files are written in 0.2 s instead of 3. It
holds nothing that the site itself does not hold."""

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

    Args:
        out: The folder, made if it is not there. A link to a folder is followed.
        exchange: False replaces files one by one, as where folders can't change names.
        patience: Seconds to wait for another build that is writing into the same folder.
        spare_from: From how many files on the folder of links is kept for the next build.

    Raises:
        Refused: Something of others is in the way, or the folder can't be written; also at
            anything that is done while it is held. The site is as it was.
    """
    out = _real_folder(out)
    try:
        out.parent.mkdir(parents=True, exist_ok=True)
        with _alone(out, patience):
            finish(out)
            site = SiteFolder(out, exchange, spare_from)
            try:
                yield site
            except BaseException:
                site.drop()
                raise
    except OSError as error:
        about = f" ({error.filename})" if error.filename else ""
        why = why_refused(error)
        raise Refused(f"the site can't be written into {out}: {why}{about}") from error


def finish_site(out: Path, patience: float = 60.0) -> None:
    """Finish what a killed run began, if one did; before anything else reads the folder.

    ``patience`` are the seconds to wait for another build that is writing there.

    Raises:
        Refused: The folder can't be written, or another build is at it.
    """
    if not out.is_dir():
        return
    out = _real_folder(out)
    try:
        with _alone(out, patience):
            finish(out)
    except OSError as error:
        raise Refused(f"the site in {out} can't be finished: {error.strerror}") from error


def site_files(out: Path) -> dict[str, Stamp]:
    """The tool's own files that lie in the folder now, sorted by name. Others' are left out."""
    return dict(sorted(walk(out, read_record(out)).own.items())) if out.is_dir() else {}


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


class SiteFolder:
    """The site's folder while we hold it: what lies there, and one write. See `open_site`."""

    def __init__(self, out: Path, exchange: bool, spare_from: int) -> None:
        self.out = out
        self.record = read_record(out) if out.is_dir() else None
        self.tree = walk(out, self.record) if out.is_dir() else FolderSeen()
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
        """Bring the folder to hold these files of ours, all or nothing.

        Args:
            files: Name below the folder, with ``/``, and bytes; pairs are written as they come.
            keep: Whether a file of ours that is not given stays; called with its name.

        Raises:
            Refused: Something of others is in the way. The site is as it was.
            ValueError: A name that leaves the folder, or one given twice.
        """
        pairs = files.items() if isinstance(files, Mapping) else files
        own = self.tree.own
        given: set[str] = set()
        adopted: set[str] = set()  # lay there already with these very bytes, whoever wrote them
        in_the_way: set[str] = set()
        try:
            for name, data in pairs:
                check_name(name)
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
        for folder in parents_of(name):
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
        if mode is None:
            make_readable(place)
        self.staged.append(name)

    def _make_folders(self, stage: Path, name: str) -> None:
        missing: list[str] = []
        for folder in parents_of(name):
            if folder in self.stage_folders:
                break
            missing.append(folder)
        for folder in reversed(missing):
            self._make_folder(stage, folder)

    def _make_folder(self, stage: Path, folder: str) -> None:
        place = stage / folder
        make_folder(place)
        self.stage_folders.add(folder)
        if folder in self.tree.folders:
            copy_mode(self.out / folder, place)

    def _make_stage(self) -> Path:
        """A folder for the new site: beside the old one if the file system lets us."""
        beside, spare = stage_beside(self.out), spare_beside(self.out)
        self.stage = beside  # from here on it is ours to remove, also when we are stopped
        try:
            make_cache(beside.parent)
            if spare.is_dir():
                spare.rename(beside)
                self.spare, self.stage_folders = links_in(beside)
            else:
                make_folder(beside)
            if self.out.is_dir():
                copy_mode(self.out, beside)
                if is_mount(self.out):
                    raise OSError(errno.EXDEV, "nothing moves across a mount point")
        except OSError:
            if not self.out.is_dir():
                raise
            with contextlib.suppress(OSError):
                remove_tree(beside)
            self.may_exchange = False
            self.spare, self.stage_folders = {}, set()
            self.stage = self.out / INSIDE
            self.stage.mkdir()
        return self.stage

    def _bring(self, ours: set[str], removed: set[str]) -> str:
        """Make the staged files the site.

        All get one time: written client by client, a portal and a feed of the same rank would
        belong together.
        """
        stage = self.stage or self._make_stage()
        now_ns = time.time_ns()
        for name in self.staged:
            os.utime(stage / name, ns=(now_ns, now_ns))
        record = record_text(ours)
        if self.may_exchange:
            try:
                self._link_what_stays(stage, ours)
                if self.record is None and self.out.is_dir():
                    write_new(self.out / RECORD, record_text(()), flush=True)
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
                    settle(stage, self.out, self.tree)
                    self._keep_spare(stage, len(ours), removed)
                return "exchange"
        if not self.out.exists():
            make_folder(self.out)
        self._flush(stage, self.staged)
        order = sorted(self.staged, key=lambda name: (name.endswith(".html"), name))
        write_steps(stage, order, sorted(removed), record)
        do_steps(stage, self.out)
        return "one by one"

    def _link_what_stays(self, stage: Path, ours: set[str]) -> None:
        new = set(self.staged)
        own, foreign = self.tree.own, self.tree.foreign
        stays = {name: stamp for name, stamp in own.items() if name in ours and name not in new}
        stays |= foreign
        for name, inode in self.spare.items():
            if name not in stays or stays[name].inode != inode:
                (stage / name).unlink()
        needed = {folder for name in ours for folder in parents_of(name)}
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
        folders = {folder for folder in self.tree.folders if mark_of(folder + "/") not in marks}
        folders.update(folder for name in self.tree.foreign for folder in parents_of(name))
        folders.update([parent for folder in folders for parent in parents_of(folder)])
        return folders

    def _flush(self, stage: Path, names: list[str]) -> None:
        """Put new files on the disk, with the folders that hold them."""
        if len(names) > FLUSH_ONE_BY_ONE and flush_disk(stage):
            return
        folders = {"": None} | {folder: None for name in names for folder in parents_of(name)}
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
            exchange_folders(stage, self.out)
            flush_folder(stage.parent)
        else:
            stage.rename(self.out)
        flush_folder(self.out.parent)

    def _keep_spare(self, stage: Path, count: int, removed: set[str]) -> None:
        """Leave only links to what the site holds, or nothing where that is quickly made again."""
        if count < self.spare_from or not stage.exists():
            remove_tree(stage)
            forget_cache(stage.parent)
            return
        for name in {*self.staged, *removed}:
            with contextlib.suppress(FileNotFoundError):
                (stage / name).unlink()
        remove_empty(stage, removed)
        stage.rename(spare_beside(self.out))

    def drop(self) -> None:
        """Let go of what was put together for a site that will not be."""
        if self.stage is not None:
            with contextlib.suppress(OSError):
                if not any((self.stage / mark).exists() for mark in (STEPS, RECORD)):
                    remove_tree(self.stage)
                    forget_cache(stage_beside(self.out).parent)


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
