"""Publishing while things break: at every step, in every way, on a host made of memory."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import PurePosixPath
from typing import Any

import pytest

from hosts.breaking import BreakingStore, Disk, Killed
from hosts.sites import Site, a_site, broken_portals, portal, seen
from sitegen.publish import Report, TransferStep
from sitegen.publish.fault import FIRST_DELAY_S, LONGEST_DELAY_S, delay_s
from sitegen.publish.host import publish_into
from sitegen.publish.lock import STALE_S, TICKET, owner_mark
from sitegen.publish.manifest import MANIFEST, name_of
from sitegen.publish.settings import Settings

OLD, NEW = a_site("v1", "abc"), a_site("v2", "abd")
TOKEN = "0123456789abcdef"

QUIET = Settings(
    adopt=False,
    dry_run=False,
    retries=0,
    sleep=lambda seconds: None,
    now=lambda: 1_000_000.0,
    chance=lambda: 0.5,
    environ={},
)


def send(disk: Disk, site: Site, trouble: Callable[..., None] | None = None, **more: Any) -> Report:
    swaps = bool(more.pop("swaps", False))
    store = BreakingStore(disk, trouble or (lambda *step: None), replaces_whole=swaps)
    settings = replace(QUIET, **more)
    return publish_into(lambda: store, site, "the host", settings)


def steps_of(old: Site | None, new: Site, *, swaps: bool) -> list[tuple[str, str]]:
    disk = Disk()
    if old is not None:
        assert send(disk, old, swaps=swaps).ok
    steps: list[tuple[str, str]] = []
    assert send(disk, new, lambda number, what, path: steps.append((what, path)), swaps=swaps).ok
    return steps


@pytest.mark.parametrize("swaps", [False, True], ids=["renames", "swaps"])
@pytest.mark.parametrize("old", [None, OLD], ids=["first", "later"])
def test_the_power_may_go_at_any_step(
    old: Site | None, swaps: bool, record_property: Callable[[str, object], None]
) -> None:
    """Killed before each single step: every portal is whole, and the next run finishes."""
    count = len(steps_of(old, NEW, swaps=swaps))
    assert count > 30
    record_property("trials", count)
    for last in range(1, count + 1):
        disk = Disk()
        if old is not None:
            assert send(disk, old, swaps=swaps).ok

        def dies(number: int, what: str, path: str, last: int = last) -> None:
            if number >= last:
                raise Killed

        with pytest.raises(Killed):
            send(disk, NEW, dies, swaps=swaps)
        assert (last, broken_portals(disk.files, old or {}, NEW)) == (last, [])

        finished = send(disk, NEW, swaps=swaps)
        assert (last, finished.problems) == (last, ())
        assert seen(disk.files) == NEW
        # A run killed as it gave its lock back left nothing else to do; the next change tidies up.
        assert send(disk, OLD, swaps=swaps).ok
        assert seen(disk.files) == OLD
        assert [path for path in disk.files if ".sitegen-" in path] == [MANIFEST]


@pytest.mark.parametrize("swaps", [False, True], ids=["renames", "swaps"])
def test_the_line_may_break_at_any_step_and_is_taken_up_again(
    swaps: bool, record_property: Callable[[str, object], None]
) -> None:
    """One cut, at each single step, with one retry: the same run ends well."""
    count = len(steps_of(OLD, NEW, swaps=swaps))
    record_property("trials", count)
    for broken in range(1, count + 1):
        disk = Disk()
        assert send(disk, OLD, swaps=swaps).ok

        def cuts(number: int, what: str, path: str, broken: int = broken) -> None:
            if number == broken:
                raise ConnectionResetError("cut")

        report = send(disk, NEW, cuts, swaps=swaps, retries=1)
        assert (broken, report.problems) == (broken, ())
        assert seen(disk.files) == NEW


def test_no_portal_goes_before_its_assets_and_no_asset_before_its_portals() -> None:
    steps = [step for step in steps_of(OLD, NEW, swaps=True) if step[0] in ("write", "remove")]
    sent = [path for what, path in steps if what == "write" and ".sitegen-" not in path]
    gone = [path for what, path in steps if what == "remove" and ".sitegen-" not in path]

    assert sent == [
        "assets/page.v2.css",
        "assets/page.v2.js",
        portal("a"),
        portal("b"),
        portal("d"),
        f"feeds/{'a' * 32}.ics",
        f"feeds/{'b' * 32}.ics",
        f"feeds/{'d' * 32}.ics",
        "index.html",
    ]
    assert gone == [
        portal("c"), f"feeds/{'c' * 32}.ics", "assets/page.v1.css", "assets/page.v1.js",
    ]  # fmt: skip
    assert steps.index(("remove", gone[0])) > steps.index(("write", sent[-1]))


@pytest.mark.parametrize("room", range(80_000, 140_000, 4_000))
def test_a_full_disk_leaves_whole_portals(room: int) -> None:
    disk = Disk()
    assert send(disk, OLD).ok
    disk.room = room - 30_000
    full = send(disk, NEW)
    assert broken_portals(disk.files, OLD, NEW) == []
    if not full.ok:
        assert full.problems[0].code == "publish-full"
        assert "free some space" in full.problems[0].hint

    disk.room = None
    assert send(disk, NEW).problems == ()
    assert seen(disk.files) == NEW


def test_one_file_that_is_refused_does_not_hold_up_the_others_but_withdrawals_wait() -> None:
    disk = Disk()
    assert send(disk, OLD).ok

    def refuses(number: int, what: str, path: str) -> None:
        if what == "rename" and path == portal("a"):
            raise PermissionError(13, "Permission denied")

    report = send(disk, NEW, refuses)

    assert [(p.code, p.path) for p in report.problems] == [
        ("publish-denied", portal("a")),
        ("publish-left", ""),
    ]
    assert report.problems[1].message.startswith("4 withdrawn files are still on the host")
    assert disk.files[portal("a")] == OLD[portal("a")]
    assert disk.files[portal("b")] == NEW[portal("b")]
    assert broken_portals(disk.files, OLD, NEW) == []
    assert portal("c") in report.skipped
    assert send(disk, NEW).ok
    assert seen(disk.files) == NEW


def test_a_refused_asset_keeps_the_portals_that_need_it_back() -> None:
    disk = Disk()
    assert send(disk, OLD).ok

    def refuses(number: int, what: str, path: str) -> None:
        if what == "rename" and path == "assets/page.v2.js":
            raise PermissionError(13, "Permission denied")

    report = send(disk, NEW, refuses)

    assert report.uploaded == ("assets/page.v2.css",)
    assert broken_portals(disk.files, OLD, NEW) == []


@pytest.mark.parametrize("swaps", [False, True], ids=["renames", "swaps"])
def test_a_host_that_alters_files_is_found_out(swaps: bool) -> None:
    class Minifier(BreakingStore):
        def write(self, path: str, data: bytes) -> None:
            super().write(
                path, data.replace(b"  ", b" ") if path.endswith("html") or "part" in path else data
            )

    store = Minifier(Disk(), replaces_whole=swaps)
    report = publish_into(lambda: store, OLD, "the host", QUIET)

    assert "publish-altered" in {problem.code for problem in report.problems}
    assert "minifying" in report.problems[0].hint
    if not swaps:
        assert portal("a") not in store.disk.files  # it was never given its name


def test_the_same_site_twice_writes_nothing() -> None:
    disk = Disk()
    assert send(disk, OLD).ok
    steps: list[str] = []
    report = send(disk, OLD, lambda number, what, path: steps.append(what))

    assert report.uploaded == report.removed == ()
    assert steps == ["read", "files"]


def test_a_dry_run_writes_nothing_and_tells_all() -> None:
    disk = Disk()
    assert send(disk, OLD).ok
    before = dict(disk.files)
    report = send(disk, NEW, dry_run=True)

    assert disk.files == before
    assert report.dry_run
    assert set(report.uploaded) == {path for path in NEW if OLD.get(path) != NEW[path]}
    assert set(report.removed) == set(OLD) - set(NEW)


def test_the_manifest_names_nobody() -> None:
    """Who finds it learns no portal's address; who knows one can find its line."""
    disk = Disk()
    assert send(disk, OLD).ok
    text = disk.files[MANIFEST].decode()

    for path in OLD:
        for part in PurePosixPath(path).parts:
            assert part not in text
        assert name_of(path) in text
    assert set(json.loads(text)) == {"about", "format", "files"}


def test_a_file_that_was_cut_short_on_the_host_is_sent_again() -> None:
    disk = Disk()
    assert send(disk, OLD).ok
    disk.set(portal("a"), OLD[portal("a")][:100])
    report = send(disk, OLD)

    assert report.uploaded == (portal("a"),)
    assert report.notes == (f"someone had changed {portal('a')} on the host; sent again",)


def test_a_withdrawn_file_that_somebody_changed_is_not_removed() -> None:
    disk = Disk()
    assert send(disk, OLD).ok
    disk.set(portal("c"), b"somebody's work")
    report = send(disk, NEW)

    assert disk.files[portal("c")] == b"somebody's work"
    assert [(p.code, p.path) for p in report.problems] == [("publish-changed", portal("c"))]
    assert report.skipped == (portal("c"),)


def test_a_foreign_file_under_our_name_is_left_alone_until_adopted() -> None:
    disk = Disk()
    assert send(disk, OLD).ok
    disk.set(portal("d"), b"somebody's work")
    left = send(disk, NEW)

    assert [(p.code, p.path) for p in left.problems] == [("publish-conflict", portal("d"))]
    assert disk.files[portal("d")] == b"somebody's work"
    assert send(disk, NEW, adopt=True).ok
    assert seen(disk.files) == NEW


@pytest.mark.parametrize(
    "data", [b"", b"{", b"[]", b'{"format": 2, "files": {}}', b'{"format": 1, "files": {"a": 1}}',
             b'{"format": 1, "files": {"a": []}}', b"\xff\xfe", b"[" * 100_000],
)  # fmt: skip
def test_a_damaged_manifest_is_never_believed(data: bytes) -> None:
    disk = Disk()
    assert send(disk, OLD).ok
    disk.set(MANIFEST, data)
    before = dict(disk.files)
    refused = send(disk, NEW)

    assert [problem.code for problem in refused.problems] == ["target-manifest"]
    assert disk.files == before
    adopted = send(disk, NEW, adopt=True)
    assert adopted.ok
    assert set(adopted.kept) == set(OLD) - set(NEW)


def ticket(disk: Disk, *, age_s: float, owner: str = "someone else", process: int = 1) -> None:
    disk.set(TICKET + TOKEN, json.dumps({"owner": owner, "process": process, "seen": 0}).encode())
    disk.clock += age_s


def test_a_live_lock_is_waited_for_and_then_told() -> None:
    disk = Disk()
    ticket(disk, age_s=10.0)
    pauses: list[float] = []
    report = send(disk, NEW, retries=3, sleep=pauses.append)

    assert [problem.code for problem in report.problems] == ["publish-locked"]
    assert pauses == [0.75, 1.5, 3.0]
    assert seen(disk.files) == {}
    assert [path for path in disk.files if path.startswith(TICKET)] == [TICKET + TOKEN]


def test_a_lock_that_goes_away_lets_the_next_one_in() -> None:
    disk = Disk()
    ticket(disk, age_s=10.0)
    report = send(disk, NEW, retries=1, sleep=lambda s: disk.files.pop(TICKET + TOKEN, None))

    assert report.problems == ()
    assert seen(disk.files) == NEW


@pytest.mark.parametrize("our_clock", [0.0, 1_000_000.0, 9_999_999_999.0])
def test_a_stale_lock_is_taken_over_by_the_hosts_clock_and_told(our_clock: float) -> None:
    """A clock that is years off on the coach's machine neither helps nor harms."""
    disk = Disk()
    ticket(disk, age_s=STALE_S)
    report = send(disk, NEW, now=lambda: our_clock)

    assert report.problems == ()
    assert report.notes == ("took over the lock of a publish that was cut off earlier",)
    fresh = Disk()
    ticket(fresh, age_s=STALE_S - 60.0)
    assert [p.code for p in send(fresh, NEW, now=lambda: our_clock).problems] == ["publish-locked"]


def test_ones_own_lock_is_taken_over_at_once_when_its_process_is_gone() -> None:
    child = os.fork() if hasattr(os, "fork") else pytest.skip("this system has no fork")
    if child == 0:
        os._exit(0)
    os.waitpid(child, 0)
    disk = Disk()
    ticket(disk, age_s=1.0, owner=owner_mark(), process=child)
    assert send(disk, NEW).problems == ()

    alive = Disk()
    ticket(alive, age_s=1.0, owner=owner_mark(), process=os.getppid())
    assert [p.code for p in send(alive, NEW).problems] == ["publish-locked"]


def test_who_was_overtaken_stops_and_leaves_the_manifest_alone() -> None:
    disk = Disk()
    assert send(disk, OLD).ok
    clock = [0.0]

    def sleeps(number: int, what: str, path: str) -> None:
        clock[0] += 20.0
        if what == "rename" and path == portal("b"):
            for name in [name for name in disk.files if name.startswith(TICKET)]:
                del disk.files[name]

    report = send(disk, NEW, sleeps, now=lambda: clock[0])

    assert [problem.code for problem in report.problems] == ["publish-overtaken"]
    assert broken_portals(disk.files, OLD, NEW) == []
    assert send(disk, NEW).ok
    assert seen(disk.files) == NEW


def test_a_long_publish_shows_life() -> None:
    disk = Disk()
    clock = [0.0]
    writes: list[str] = []

    def watch(number: int, what: str, path: str) -> None:
        clock[0] += 5.0
        if what == "rename" and path.startswith(TICKET):
            writes.append(path)

    assert send(disk, NEW, watch, now=lambda: clock[0]).ok
    assert len(writes) > 3
    assert len(set(writes)) == 1


def test_a_host_that_hides_dot_files_is_told() -> None:
    class Hiding(BreakingStore):
        def top(self):  # type: ignore[no-untyped-def]
            files, folders = super().top()
            return {p: e for p, e in files.items() if not p.startswith(".")}, folders

    store = Hiding(Disk())
    report = publish_into(lambda: store, OLD, "the host", QUIET)

    assert report.ok
    assert "hides files" in report.notes[0]


def test_a_site_built_anew_while_it_is_published_is_told() -> None:
    class Moving(dict[str, bytes]):
        reads = 0

        def __getitem__(self, path: str) -> bytes:
            Moving.reads += path == portal("b")
            return (
                b"newer" if path == portal("b") and Moving.reads > 1 else super().__getitem__(path)
            )

    report = send(Disk(), Moving(OLD))

    assert [problem.code for problem in report.problems] == ["site-moved"]


def test_pauses_double_up_to_half_a_minute() -> None:
    assert [delay_s(n, 0.0) for n in range(8)] == [0.5, 1.0, 2.0, 4.0, 8.0, 16.0, 30.0, 30.0]
    assert delay_s(0, 1.0) == FIRST_DELAY_S / 2
    assert delay_s(10_000, 0.0) == LONGEST_DELAY_S


def test_progress_counts_to_the_end() -> None:
    disk = Disk()
    assert send(disk, OLD).ok
    seen_steps: list[tuple[int, int]] = []
    assert send(disk, NEW, progress=lambda step: seen_steps.append((step.done, step.total))).ok

    assert seen_steps == [(n, 13) for n in range(1, 14)]


def test_progress_weighs_files_by_their_bytes_and_their_trips() -> None:
    """A large portal is more of the work than a small feed, and a feed is not nothing."""
    shares: dict[str, float] = {}
    before = 0.0

    def show(step: TransferStep) -> None:
        nonlocal before
        if step.doing == "send":
            assert step.share is not None
            shares[step.path], before = step.share - before, step.share

    assert send(Disk(), OLD, progress=show).ok
    page, feed = shares[portal("a")], shares[f"feeds/{'a' * 32}.ics"]
    assert sum(shares.values()) == pytest.approx(1.0) and before == pytest.approx(1.0)
    assert 1.5 < page / feed < 2.5, "a portal of 16 KiB, beside trips that cost as much"
