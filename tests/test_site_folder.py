"""The site's folder is written whole or not at all, and nothing of others' is ever lost."""

from __future__ import annotations

import contextlib
import os
import random
import signal
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from sitegen.site import owned, recovery
from sitegen.site.folder import Written, finish_site, site_files, write_site
from sitegen.world import Refused

ROOT = Path(__file__).resolve().parents[1]

# In one step, in one step with a spare folder kept, and file by file where that can't be.
WAYS: dict[str, dict[str, Any]] = {
    "exchange": {"exchange": True},
    "exchange with spare": {"exchange": True, "spare_from": 0},
    "one by one": {"exchange": False},
}
each_way = pytest.mark.parametrize("how", WAYS.values(), ids=WAYS.keys())


@pytest.fixture
def out(tmp_path: Path) -> Path:
    return tmp_path / "public"


def content(top: Path) -> dict[str, bytes]:
    """All files below a folder but the tool's own record."""
    return {
        path.relative_to(top).as_posix(): path.read_bytes()
        for path in sorted(top.rglob("*"))
        if path.is_file() and path.name != owned.RECORD
    }


def folders(top: Path) -> set[str]:
    return {path.relative_to(top).as_posix() for path in top.rglob("*") if path.is_dir()}


OLD = {"index.html": b"old", "assets/style.css": b"s", "p1/index.html": b"1", "f/1.ics": b"c"}
NEW = {"index.html": b"new", "assets/style.css": b"s", "p2/index.html": b"2", "f/1.ics": b"d"}


@each_way
def test_the_folder_holds_what_was_given_and_nothing_else(out: Path, how: dict[str, Any]) -> None:
    first = write_site(OLD, out, **how)
    second = write_site(NEW, out, **how)
    third = write_site(NEW, out, **how)

    assert content(out) == NEW
    assert folders(out) == {"assets", "p2", "f"}
    assert first.added == tuple(sorted(OLD))
    assert (second.added, second.changed) == (("p2/index.html",), ("f/1.ics", "index.html"))
    assert second.removed == ("p1/index.html",)
    assert second.way == ("one by one" if not how["exchange"] else "exchange")
    assert third == Written()


@each_way
def test_many_builds_in_a_row_end_where_one_from_nothing_does(
    tmp_path: Path, out: Path, how: dict[str, Any]
) -> None:
    """Whatever the spare folder remembers, it must never show."""
    chance = random.Random(7)
    for _ in range(40):
        names = chance.sample([f"p{n}/index.html" for n in range(8)] + ["a/b/c/d", "a/b/e"], 6)
        files = {name: bytes([chance.randrange(3)]) * 9 for name in names}
        write_site(files, out, **how)
        assert content(out) == files
        assert site_files(out).keys() == files.keys()
        assert folders(out) == {parent for name in files for parent in owned.parents_of(name)}


@each_way
def test_what_is_kept_stays_though_it_is_not_given(out: Path, how: dict[str, Any]) -> None:
    write_site(OLD, out, **how)

    done = write_site({"index.html": b"new"}, out, lambda name: name != "f/1.ics", **how)

    assert content(out) == {
        "index.html": b"new", "assets/style.css": b"s", "p1/index.html": b"1",
    }  # fmt: skip
    assert (done.added, done.changed, done.removed) == ((), ("index.html",), ("f/1.ics",))


@each_way
def test_the_same_bytes_leave_a_file_untouched(out: Path, how: dict[str, Any]) -> None:
    write_site(OLD, out, **how)
    before = site_files(out)

    write_site({**OLD, "index.html": b"new"}, out, **how)

    after = site_files(out)
    assert {name for name in before if before[name] != after[name]} == {"index.html"}


@each_way
def test_what_others_put_into_the_folder_survives(out: Path, how: dict[str, Any]) -> None:
    out.mkdir()
    (out / "README.md").write_text("ours")
    write_site(OLD, out, **how)
    (out / "CNAME").write_text("runs.example")
    (out / ".git/refs").mkdir(parents=True)
    (out / ".git/HEAD").write_text("ref")
    (out / "empty").mkdir()
    (out / "p1/.DS_Store").write_text("seen")
    (out / "link").symlink_to("/nowhere")
    inode = (out / "CNAME").stat().st_ino

    for files in (NEW, {}, OLD, NEW):
        write_site(files, out, **how)

    left = {".git/HEAD": b"ref", "CNAME": b"runs.example", "README.md": b"ours"}
    assert content(out) == {**NEW, **left, "p1/.DS_Store": b"seen"}
    assert folders(out) == {"assets", "p2", "f", "p1", "empty", ".git", ".git/refs"}
    assert (out / "link").readlink() == Path("/nowhere")
    assert (out / "CNAME").stat().st_ino == inode


@each_way
def test_a_file_of_others_in_the_way_stops_the_write(out: Path, how: dict[str, Any]) -> None:
    obstacles: dict[str, Callable[[Path], object]] = {
        "index.html": lambda path: path.write_bytes(b"mine"),
        "assets": lambda path: path.write_bytes(b"mine"),
        "p1": lambda path: path.symlink_to(out.parent),
        "f/1.ics": lambda path: path.mkdir(parents=True),
    }
    for name, lay in obstacles.items():
        out.mkdir()
        lay(out / name)
        before = content(out)

        with pytest.raises(Refused, match=name):
            write_site(OLD, out, **how)

        assert content(out) == before
        assert sorted(path.name for path in out.parent.iterdir()) == ["public"]
        recovery.remove_tree(out)


@each_way
def test_a_file_of_others_with_the_same_bytes_becomes_ours(out: Path, how: dict[str, Any]) -> None:
    out.mkdir()
    (out / "index.html").write_bytes(b"old")

    write_site({"index.html": b"old"}, out, **how)

    assert list(site_files(out)) == ["index.html"]
    assert write_site({}, out, **how).removed == ("index.html",)


@each_way
def test_a_reader_who_has_a_page_open_goes_on_reading_the_old_one(
    out: Path, how: dict[str, Any]
) -> None:
    """No write goes into a file that is there, so hard links can't carry it anywhere."""
    write_site(OLD, out, **how)
    linked = out.parent / "copy"
    os.link(out / "index.html", linked)
    with (out / "index.html").open("rb") as reader:
        for feed in (b"2", b"3", b"4"):  # so that a spare folder comes to hold the page as well
            write_site({**OLD, "f/1.ics": feed}, out, **how)
        for files in (NEW, OLD, {**OLD, "index.html": b"third"}):
            write_site(files, out, **how)

        assert reader.read() == b"old"
    assert linked.read_bytes() == b"old"
    assert (out / "index.html").read_bytes() == b"third"


@each_way
def test_files_that_come_one_at_a_time_change_nothing_until_the_last(
    out: Path, how: dict[str, Any]
) -> None:
    write_site(OLD, out, **how)

    def broken() -> Iterator[tuple[str, bytes]]:
        yield "index.html", b"new"
        yield "p9/index.html", b"9"
        raise RuntimeError("a client could not be rendered")

    with pytest.raises(RuntimeError):
        write_site(broken(), out, **how)

    assert content(out) == OLD
    assert write_site(iter(NEW.items()), out, **how).removed == ("p1/index.html",)
    assert content(out) == NEW


@each_way
def test_modes_of_folders_and_changed_files_stay(out: Path, how: dict[str, Any]) -> None:
    write_site(OLD, out, **how)
    out.chmod(0o2750)
    (out / "f").chmod(0o2770)
    (out / "f/1.ics").chmod(0o640)

    write_site(NEW, out, **how)

    assert [path.stat().st_mode & 0o7777 for path in (out, out / "f", out / "f/1.ics")] == [
        0o2750, 0o2770, 0o640,
    ]  # fmt: skip


@each_way
@pytest.mark.skipif(os.name != "posix", reason="modes are of POSIX")
def test_others_may_read_a_new_site_whatever_the_umask(out: Path, how: dict[str, Any]) -> None:
    """Who serves it is often another user; a group that shares it goes on writing there."""
    for umask, file, folder in ((0o077, 0o644, 0o755), (0o002, 0o664, 0o775)):
        site = out.with_name(f"site-{umask}")
        before = os.umask(umask)
        try:
            write_site(OLD, site, **how)
        finally:
            os.umask(before)
        modes = [path.stat().st_mode & 0o777 for path in (site, site / "f", site / "f/1.ics")]
        assert modes == [folder, folder, file]


def test_nothing_is_left_beside_a_small_site(out: Path) -> None:
    write_site(OLD, out)
    write_site(NEW, out)

    assert [path.name for path in out.parent.iterdir()] == ["public"]


def test_the_spare_folder_of_a_large_site_holds_nothing_that_the_site_does_not(out: Path) -> None:
    """An ended client's portal is gone from the disk, not only from the site."""
    write_site(OLD, out, spare_from=0)
    write_site(NEW, out, spare_from=0)

    cache = out.parent / owned.CACHE
    spare = content(cache / "spare-public")
    assert spare == {"assets/style.css": b"s"}
    assert (cache / ".gitignore").read_text() == "*\n"
    assert cache.stat().st_mode & 0o777 == 0o700


def test_the_record_tells_no_address(out: Path) -> None:
    write_site({"Zk3vJr0cQmWx9s1T5uYb2A/index.html": b"x"}, out)

    record = (out / owned.RECORD).read_text()
    assert "Zk3v" not in record
    assert "index" not in record


def test_without_its_record_the_tool_takes_nothing_for_its_own(out: Path) -> None:
    write_site(OLD, out)
    (out / owned.RECORD).unlink()

    with pytest.raises(Refused, match=r"index\.html"):
        write_site(NEW, out)
    assert content(out) == OLD

    (out / owned.RECORD).write_text("garbled")
    with pytest.raises(Refused, match="damaged"):
        write_site(NEW, out)
    assert content(out) == OLD


@pytest.mark.parametrize(
    "name",
    ["", "/etc/passwd", "../x", "a/../b", "a//b", "./a", "a\\b", "a/", "a\0", owned.RECORD],
)
def test_a_name_that_leads_elsewhere_is_a_developers_slip(out: Path, name: str) -> None:
    with pytest.raises(ValueError, match=r"a name that is kept|not the name of a file"):
        write_site({"index.html": b"x", name: b"x"}, out)
    assert not out.exists()


# Folders that can't be meant, or can't be exchanged


def test_slips_of_the_keyboard_are_refused(
    tmp_path: Path, out: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("x")
    (tmp_path / "nowhere").symlink_to(tmp_path / "gone")
    (tmp_path / "clients").mkdir()
    (tmp_path / "clients/practice.yaml").write_text("name: x")
    (tmp_path / "home/me").mkdir(parents=True)
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path / "clients")

    for folder, why in {
        tmp_path / "file": "is a file",
        tmp_path / "file/public": "can't be written",
        tmp_path / "nowhere": "leads nowhere",
        tmp_path / "clients": "the folder that you are in",
        tmp_path: "the folder that you are in, or one above it",
        Path("/"): "the folder that you are in, or one above it",
        tmp_path / "home": "your home folder",
    }.items():
        with pytest.raises(Refused, match=why):
            write_site(OLD, folder)
    monkeypatch.chdir("/")
    with pytest.raises(Refused, match="your clients' files"):
        write_site(OLD, tmp_path / "clients")


def test_a_link_to_a_folder_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "disk").mkdir()
    (tmp_path / "public").symlink_to(tmp_path / "disk")

    write_site(OLD, tmp_path / "public")
    done = write_site(NEW, tmp_path / "public")

    assert (tmp_path / "public").is_symlink()
    assert content(tmp_path / "disk") == NEW
    assert done.way == "exchange"


def test_a_folder_that_is_not_there_yet_is_made_with_those_above(tmp_path: Path) -> None:
    assert write_site(OLD, tmp_path / "a/b/public").way == "exchange"
    assert content(tmp_path / "a/b/public") == OLD


def test_a_folder_full_of_other_things_is_left_where_it_is(out: Path) -> None:
    """So many files are not worth linking; ours go between them one by one."""
    (out / "photos").mkdir(parents=True)
    for number in range(owned.MOST_FOREIGN + 1):
        (out / f"photos/{number}").write_bytes(b"")

    assert write_site(OLD, out).way == "one by one"
    assert write_site(NEW, out).way == "one by one"
    assert len(content(out)) == owned.MOST_FOREIGN + 1 + len(NEW)
    assert set(site_files(out)) == set(NEW)


as_root = pytest.mark.skipif(
    sys.platform != "linux" or os.geteuid() != 0, reason="needs to mount and to change user"
)


@as_root
@pytest.mark.parametrize("kind", [["-t", "tmpfs", "tmpfs"], ["--bind", "elsewhere"]])
def test_a_mount_point_is_written_file_by_file(tmp_path: Path, out: Path, kind: list[str]) -> None:
    (tmp_path / "elsewhere").mkdir()
    out.mkdir()
    mounted = subprocess.run(["mount", *kind, "public"], cwd=tmp_path, capture_output=True)
    if mounted.returncode:
        pytest.skip("mounting is not allowed here")
    try:
        ways = [write_site(files, out).way for files in (OLD, NEW)]
        here = content(out)
        left = {path.name for path in out.iterdir()} - {name.split("/")[0] for name in NEW}
    finally:
        subprocess.run(["umount", str(out)], check=True)

    assert ways == ["one by one", "one by one"]
    assert here == NEW
    assert left == {owned.RECORD}
    assert {path.name for path in tmp_path.iterdir()} == {"public", "elsewhere"}


@as_root
@pytest.mark.parametrize(
    ("above", "folder", "said"),
    [(0o555, 0o777, "one by one"), (0o777, 0o555, "may not be written into")],
)
def test_closed_folders_as_another_user(above: int, folder: int, said: str) -> None:
    top = Path(tempfile.mkdtemp(dir="/tmp"))  # pytest's own folders are closed to others
    out = top / "public"
    out.mkdir()
    out.chmod(folder)
    top.chmod(above)
    try:
        assert said in as_nobody(lambda: write_site(OLD, out).way)
        assert content(out) == (OLD if said == "one by one" else {})
    finally:
        recovery.remove_tree(top)


def as_nobody(act: Callable[[], str]) -> str:
    """Let another process without rights do it."""
    reading, writing = os.pipe()
    process = os.fork()
    if process == 0:
        try:
            os.chdir("/")
            os.setgid(65534)
            os.setuid(65534)
            said = act()
        except BaseException as error:
            said = str(error)
        os.write(writing, said.encode())
        os._exit(0)
    os.close(writing)
    os.waitpid(process, 0)
    with os.fdopen(reading) as pipe:
        return pipe.read()


# Killed, and two at once

WRITER = """
import sys, time
from pathlib import Path
from typing import Any
from sitegen.site.folder import write_site
out, exchange, spare = Path(sys.argv[1]), sys.argv[2] == "1", int(sys.argv[3])
def site(side):
    files = {f"p{n}/index.html": f"{side}{n}".encode() * 20000 for n in range(15)}
    files |= {f"f/{n}.ics": f"{side}{n}".encode() for n in range(15)}
    return files | {f"only-{side}/{n}": b"x" for n in range(8)} | {"same": b"same"}
print("ready", flush=True)
for turn in range("ab".index(sys.argv[4]), 100000):
    write_site(site("ab"[turn % 2]), out, exchange=exchange, spare_from=spare)
    if turn < 5:
        print("done", flush=True)
    time.sleep(0.05)  # a lock is looked at each 20 ms: without a pause the other waits by chance
"""


def site(side: str) -> dict[str, bytes]:
    files = {f"p{n}/index.html": f"{side}{n}".encode() * 20000 for n in range(15)}
    files |= {f"f/{n}.ics": f"{side}{n}".encode() for n in range(15)}
    return files | {f"only-{side}/{n}": b"x" for n in range(8)} | {"same": b"same"}


@contextlib.contextmanager
def writer(out: Path, how: dict[str, Any], first: str = "a") -> Iterator[subprocess.Popen[bytes]]:
    """A process that writes two sites in turn until it is killed."""
    arguments = [str(out), "01"[how["exchange"]], str(how.get("spare_from", 10**6)), first]
    process = subprocess.Popen(
        [sys.executable, "-c", WRITER, *arguments],
        cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip
    assert process.stdout is not None
    try:
        assert process.stdout.readline() == b"ready\n"
        yield process
    finally:
        process.kill()
        process.communicate()


def leftovers(out: Path) -> list[str]:
    cache = out.parent / owned.CACHE
    return (
        [path.name for path in cache.iterdir() if path.name.startswith("next-")]
        if (cache.is_dir())
        else []
    )


def write_once(out: Path, how: dict[str, Any], side: str, nth: int) -> int:
    """One write in another process, killed before its nth look at or change of the disk.

    Returns:
        How many of them a whole write took; 0 if it was killed.
    """
    reading, writing = os.pipe()
    process = os.fork()
    if process == 0:
        looks = 0

        def look(event: str, about: tuple[Any, ...]) -> None:
            nonlocal looks
            if event == "open" or event.startswith("os."):
                name = about[0] if about else ""
                if isinstance(name, str | Path) and str(name).startswith(str(out.parent)):
                    looks += 1
                    if looks == nth:
                        os.kill(os.getpid(), signal.SIGKILL)

        try:
            sys.addaudithook(look)
            write_site(site(side), out, **how)
            os.write(writing, b"%d" % looks)
        finally:
            os._exit(0)
    os.close(writing)
    os.waitpid(process, 0)
    with os.fdopen(reading) as pipe:
        return int(pipe.read() or 0)


@each_way
def test_killed_at_any_moment_a_whole_site_is_there(
    out: Path, how: dict[str, Any], record_property: Callable[[str, object], None]
) -> None:
    """40 kills. In one step: whole at once. One by one: each file whole, the site at next start."""
    record_property("trials", 40)
    sides = {side: site(side) for side in "ab"}
    foreign = {"README.md": b"mine", "p3/.DS_Store": b"seen"}
    write_site(sides["a"], out)
    for name, data in foreign.items():
        (out / name).write_bytes(data)
    looks = write_once(out, how, "b", 0)
    assert looks > 80
    cut_off = 0
    now, seen = "b", set()
    for kill in range(40):
        write_once(out, how, "b" if now == "a" else "a", 1 + (looks - 1) * kill // 39)
        cut_off += bool(leftovers(out))
        found = content(out)
        assert {name: found.pop(name) for name in foreign} == foreign
        if not how["exchange"]:
            for name, data in found.items():
                assert data in (sides["a"].get(name), sides["b"].get(name)), name
            finish_site(out)
            found = content(out)
            assert {name: found.pop(name) for name in foreign} == foreign
        whole = [side for side in "ab" if found == sides[side]]
        assert whole, "a mixture of two sites"
        now = whole[0]
        seen.add(now)
        finish_site(out)
        assert leftovers(out) == []
        assert set(site_files(out)) == set(sides[whole[0]])

    assert seen == {"a", "b"}
    assert cut_off >= 10, "the kills missed the writing, so this test showed nothing"


@pytest.mark.parametrize("how", [WAYS["exchange"], WAYS["exchange with spare"]])
def test_whoever_looks_while_it_is_written_never_sees_a_mixture(
    out: Path, how: dict[str, Any]
) -> None:
    """What stands at the site's place is one site, however many builds go on meanwhile.

    Who is held up after opening it may look into a folder that another one has replaced by then.
    """
    write_site(site("a"), out)
    mixed, changes, side = 0, 0, b"a"
    with writer(out, how):
        while changes < 6:
            before, side = side, (out / "p0/index.html").read_bytes()[:1]
            changes += side != before
            place = os.open(out, os.O_RDONLY)
            try:
                opened, names = os.fstat(place), os.listdir(place)  # noqa: PTH208, one look
                is_there = out.stat().st_ino == opened.st_ino
                is_there &= os.fstat(place).st_mtime_ns == opened.st_mtime_ns
            finally:
                os.close(place)
            mixed += is_there and ("only-a" in names) == ("only-b" in names)

    assert mixed == 0


@each_way
def test_two_builds_at_once_take_turns(out: Path, how: dict[str, Any]) -> None:
    with writer(out, how) as one, writer(out, how) as other:
        for process in (one, other):
            assert process.stdout is not None
            assert [process.stdout.readline() for _ in range(3)] == [b"done\n"] * 3
    finish_site(out)

    assert content(out) in (site("a"), site("b"))


def test_a_build_that_waits_too_long_says_so(out: Path) -> None:
    write_site(OLD, out)

    def slow() -> Iterator[tuple[str, bytes]]:
        with pytest.raises(Refused, match="another sitegen is writing"):
            write_site(OLD, out, patience=0.1)
        yield from NEW.items()

    write_site(slow(), out)

    assert content(out) == NEW


@each_way
def test_a_late_file_in_the_old_site_is_saved(
    tmp_path: Path, out: Path, how: dict[str, Any]
) -> None:
    write_site(OLD, out, **how)
    old = tmp_path / owned.CACHE / "next-public"
    old.parent.mkdir(exist_ok=True)
    recovery.remove_tree(old)
    out.rename(old)
    (old / "README.md").write_text("newer")
    (old / "photo.jpg").write_text("late")
    out.mkdir()
    (out / "README.md").write_text("older")
    (out / owned.RECORD).write_bytes(owned.record_text(()))

    write_site(NEW, out, **how)

    assert content(out) == {
        **NEW, "README.md": b"older", "README.md.kept-1": b"newer", "photo.jpg": b"late",
    }  # fmt: skip
    assert leftovers(out) == []


def test_a_full_disk_leaves_the_old_site(tmp_path: Path) -> None:
    """A file system of 1 MiB, and a site of 4 MiB."""
    small = tmp_path / "small"
    small.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", str(small)]
    if sys.platform != "linux" or os.geteuid() or subprocess.run(mount, check=False).returncode:
        pytest.skip("mounting is not allowed here")
    try:
        for how in WAYS.values():
            write_site(OLD, small / "public", **how)
            with pytest.raises(Refused, match="No space left on device"):
                write_site({**NEW, "large": b"x" * 2**22}, small / "public", **how)
            assert content(small / "public") == OLD
            assert [path.name for path in small.iterdir()] == ["public"]
    finally:
        subprocess.run(["umount", str(small)], check=True)
