"""What is left beside or in the site's folder by a run, killed or not, and how it is finished.

Where folders can't change names, the new files lie ready and a list of steps beside them; done
again from any step on, they come to the same.
"""

from __future__ import annotations

import contextlib
import json
import os
from collections.abc import Iterable, Iterator
from pathlib import Path

from sitegen.site.memory import lasting
from sitegen.site.owned import (
    CACHE,
    INSIDE,
    RECORD,
    RESERVED,
    STEPS,
    FolderSeen,
    check_name,
    mark_of,
    parents_of,
    read_record,
    walk,
)
from sitegen.site.system import FLUSH_ONE_BY_ONE, flush_disk, make_folder
from sitegen.world import Refused, flush_folder, replace_file, write_new


def stage_beside(out: Path) -> Path:
    return out.parent / CACHE / f"next-{out.name}"


def spare_beside(out: Path) -> Path:
    return out.parent / CACHE / f"spare-{out.name}"


def make_cache(cache: Path) -> None:
    """Private portals lie here too, so it is closed to others, and git must not take it along."""
    cache.mkdir(mode=0o700, exist_ok=True)
    with contextlib.suppress(FileExistsError):
        write_new(cache / ".gitignore", b"*\n", flush=False)


def forget_cache(cache: Path) -> None:
    """Remove the folder beside the site if nothing is left in it."""
    with contextlib.suppress(OSError):
        if os.listdir(cache) == [".gitignore"]:  # noqa: PTH208
            (cache / ".gitignore").unlink()
            cache.rmdir()


def finish(out: Path) -> None:
    """Finish or clean up what an earlier run left."""
    for stage in (stage_beside(out), out / INSIDE):
        if not stage.is_dir() or stage.is_symlink():
            continue
        if out.is_dir():
            if (stage / STEPS).exists():
                do_steps(stage, out)
                continue
            settle(stage, out)
        remove_tree(stage)
        forget_cache(stage_beside(out).parent)


def settle(stage: Path, out: Path, seen: FolderSeen | None = None) -> None:
    """Save what others put into the old site while the new one was made, and let go the rest.

    A stage with a record is the old site, or a whole new one that never took its place. What is
    ours there can go, and what is others' is linked in the site as well, unless it came late.
    ``seen`` is the old site as it lay there before: what has not changed since is not looked at.
    """
    try:
        record = read_record(stage)
    except Refused:
        record = None  # the power went before it was on the disk, so this never was the site
    if record is None:
        return
    others = walk(stage, record).foreign if seen is None else others_since(stage, seen)
    for name in others:
        place = out / name
        old = stage / name
        with contextlib.suppress(FileNotFoundError, NotADirectoryError):
            if place.lstat().st_ino == old.lstat().st_ino:
                continue
        move_aside(old, place)
    (stage / RECORD).unlink()


def others_since(top: Path, seen: FolderSeen) -> Iterator[str]:
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
                if within in seen.own or within in seen.folders or within in RESERVED:
                    continue
                new = top / within
                if new.is_dir() and not new.is_symlink():
                    yield from (f"{within}/{inner}" for inner in walk(new, None).foreign)
                else:
                    yield within


def move_aside(old: Path, place: Path) -> None:
    """Move a file of others to its place, or beside it if that is taken."""
    place.parent.mkdir(parents=True, exist_ok=True)
    aside, count = place, 0
    while os.path.lexists(aside):
        count += 1
        aside = place.with_name(f"{place.name}.kept-{count}")
    old.rename(aside)


def write_steps(stage: Path, put: list[str], remove: list[str], record: bytes) -> None:
    """Write the list of steps. From here on the new site counts."""
    steps = {"put": put, "remove": remove, "record": record.decode("ascii")}
    beside = stage / (STEPS + ".new")
    with contextlib.suppress(FileNotFoundError):
        beside.unlink()
    write_new(beside, json.dumps(steps).encode("ascii"), flush=True)
    beside.rename(stage / STEPS)
    flush_folder(stage)


def do_steps(stage: Path, out: Path) -> None:
    """Do the steps that are left, and then forget them; may be killed and begun again anywhere."""
    try:
        steps = json.loads((stage / STEPS).read_bytes())
        put: list[str] = steps["put"]
        remove: list[str] = steps["remove"]
        record: str = steps["record"]
        for name in (*put, *remove):
            check_name(name)
    except (ValueError, KeyError, TypeError):
        raise Refused(
            f"{stage / STEPS} is damaged; remove the folder {stage} and build again"
        ) from None
    before = read_record(out) or frozenset()
    is_ours = before | frozenset(record.split("\n"))
    touched: set[Path] = {out}
    for name in put:
        new, place = stage / name, out / name
        if not new.exists():
            continue  # done before the run was killed
        for folder in sorted(parents_of(name)):
            if not (out / folder).is_dir():
                make_folder(out / folder)
                touched.add((out / folder).parent)
        if mark_of(name) not in before and os.path.lexists(place):
            move_aside(place, place)  # came after the steps were written
        replace_file(new, place)
        touched.add(place.parent)
    for name in remove:
        if mark_of(name) in is_ours:
            with contextlib.suppress(FileNotFoundError):
                (out / name).unlink()
                touched.add((out / name).parent)
    remove_empty(out, remove)
    beside = stage / (RECORD + ".new")
    with contextlib.suppress(FileNotFoundError):
        beside.unlink()
    write_new(beside, record.encode("ascii"), flush=True)
    replace_file(beside, out / RECORD)
    if len(touched) <= FLUSH_ONE_BY_ONE or not flush_disk(out):
        for place in touched:
            if place.is_dir():
                flush_folder(place)
    (stage / STEPS).unlink()
    with contextlib.suppress(OSError):
        remove_tree(stage)
        forget_cache(stage_beside(out).parent)


def remove_empty(top: Path, names: Iterable[str]) -> None:
    """Remove the folders that these files lay in, if nothing is left there."""
    folders = {folder for name in names for folder in parents_of(name)}
    for folder in sorted(folders, key=len, reverse=True):
        with contextlib.suppress(OSError):
            (top / folder).rmdir()


def remove_tree(top: Path) -> None:
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
