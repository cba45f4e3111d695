"""A build that remembers leaves alone what is unchanged, and never makes another site for it."""

from __future__ import annotations

import concurrent.futures
import os
import random
import shutil
import subprocess
import sys
import zlib
from collections.abc import Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from datetime import UTC, date, datetime, timedelta
from multiprocessing import get_context
from pathlib import Path
from typing import Any

import pytest

from commands import PAGES
from nightly import IS_NIGHTLY
from sitegen import world
from sitegen.seal import keys
from sitegen.seal.keys_file import KEYS_FILE, load_keys, update_keys
from sitegen.seal.keys_yaml import read_keys
from sitegen.site import client as build
from sitegen.site import owned, remember, spread
from sitegen.site.building import Built, build_site

ROOT = Path(__file__).resolve().parent.parent
DAY = date(2027, 2, 10)
TOOL = remember.tool

PRACTICE = """\
name: Harbour Running
contact: coach@example.org
timezone: Europe/Lisbon
emergency: "112"
"""

CLIENT = """\
name: Runner {number}
screening: {{on: 2027-01-01, regular_exercise: yes, known_disease: no, symptoms: no}}
baseline: {{on: 2027-01-02, cadence: 15{number} spm, pace: "6:30 /km", week: 90 min,
  longest: 40 min, runs: 3}}
week:
  tue: {{at: "18:30", up_to: 1 h}}
  thu: {{at: "18:30", up_to: 1 h}}
  sun: {{at: "9:00", up_to: 2 h}}
plan: {{from: 2027-01-04, weeks: 6}}
"""

LOG = """\
- on: 2027-01-05
  ran: 30 min
  cadence: 156 spm
  pain: {during: 1, after: 0}
"""


@pytest.fixture(autouse=True)
def shared_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Compiled templates go to a folder that all tests here share."""
    monkeypatch.delenv("LOCALAPPDATA", raising=False)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path.parent / "compiled"))
    monkeypatch.setattr(remember, "tool", lambda: "this tool")  # whoever edits it meanwhile


@pytest.fixture
def own_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "user"))


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[datetime]]:
    """The moment of the build, the first of the list; the feed's stamps come from it."""
    now = [datetime(2027, 2, 10, 8, tzinfo=UTC)]
    monkeypatch.setattr(world, "now_utc", lambda: now[0])
    yield now


@pytest.fixture
def clients(tmp_path: Path) -> Path:
    folder = tmp_path / "clients"
    write_practice(folder, 3)
    return folder


def write_practice(folder: Path, count: int) -> None:
    folder.mkdir()
    (folder / "practice.yaml").write_text(PRACTICE)
    for number in range(count):
        (folder / f"runner-{number}.yaml").write_text(CLIENT.format(number=number % 10))
        (folder / f"runner-{number}.log.yaml").write_text(LOG)
    settle(folder)


def settle(folder: Path, seconds: float = 60) -> None:
    """As if the files had been written a while ago, each at its own time."""
    for at, path in enumerate(sorted(folder.rglob("*"))):
        if path.is_file() and path.stat().st_mtime > datetime.now().timestamp() - seconds / 2:
            past = path.stat().st_mtime_ns - int(seconds * 1e9) - at - 1
            os.utime(path, ns=(past, past))


def tree(out: Path) -> dict[str, bytes]:
    return {
        p.relative_to(out).as_posix(): p.read_bytes() for p in sorted(out.rglob("*")) if p.is_file()
    }


class Counting(Executor):
    """Builds where it is asked, and counts the clients that it was given."""

    def __init__(self) -> None:
        self.ids: list[str] = []

    def submit(self, function: Any, /, *given: Any, **named: Any) -> Future[Any]:
        future: Future[Any] = Future()
        self.ids += [job.id for job in given[1]]
        future.set_result(function(*given, **named))
        return future


def built_ids(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Who is built from now on: the list grows as they are."""
    ids: list[str] = []
    real = spread.build_clients

    def noted(kit: build.Kit, jobs: list[build.Job]) -> list[build.Done]:
        ids.extend(job.id for job in jobs)
        return real(kit, jobs)

    monkeypatch.setattr(spread, "build_clients", noted)
    return ids


opened: set[str] = set()  # names of files that were opened, as the interpreter tells


def _note(event: str, about: tuple[Any, ...]) -> None:
    if event == "open" and isinstance(about[0], str | Path):
        opened.add(Path(about[0]).name)


sys.addaudithook(_note)


def right(built: Built) -> Built:
    assert built.done, [str(p) for p in built.problems]
    return built


def edit(path: Path, old: str, new: str) -> None:
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new))


# --- only what changed ------------------------------------------------------------------------


def test_what_is_unchanged_is_not_built_again(clients, monkeypatch):
    out = clients.parent / "public"
    right(build_site(clients, out, (), DAY))
    ids = built_ids(monkeypatch)
    again = right(build_site(clients, out, (), DAY))
    assert ids == []
    assert again.summary.endswith("0 files written, 0 removed")
    edit(clients / "runner-1.yaml", "Runner 1", "Rosa")
    right(build_site(clients, out, (), DAY))
    assert ids == ["runner-1"]


def test_what_is_unchanged_is_not_even_read(clients):
    out = clients.parent / "public"
    right(build_site(clients, out, (), DAY))
    opened.clear()
    right(build_site(clients, out, (), DAY))
    assert "practice.yaml" in opened
    assert not opened & {path.name for path in clients.glob("runner-*.yaml")}


@pytest.mark.parametrize("name", ["runner-1.yaml", "runner-1.log.yaml"])
def test_a_file_only_touched_is_read_and_not_built(clients, monkeypatch, name):
    out = clients.parent / "public"
    right(build_site(clients, out, (), DAY))
    (clients / name).touch()
    ids = built_ids(monkeypatch)
    right(build_site(clients, out, (), DAY))
    assert ids == []


def test_an_edit_of_the_same_size_within_one_tick_of_the_clock_is_seen(clients):
    """The file's stamp is the same to the nanosecond; it was too young to be trusted."""
    out, file = clients.parent / "public", clients / "runner-1.yaml"
    file.write_text(CLIENT.format(number=1))
    stamp = file.stat()
    right(build_site(clients, out, (), DAY))
    before = tree(out)
    with file.open("r+") as same:
        same.write(CLIENT.format(number=1).replace("18:30", "07:15"))
    os.utime(file, ns=(stamp.st_atime_ns, stamp.st_mtime_ns))
    assert file.stat().st_ino == stamp.st_ino and file.stat().st_size == stamp.st_size
    right(build_site(clients, out, (), DAY))
    assert tree(out) != before


@pytest.mark.parametrize(
    "change",
    [
        lambda c: edit(c / "practice.yaml", "Harbour Running", "Quay Running"),
        lambda c: (c / "practice.yaml").write_text(PRACTICE + "accent: '#1f5f6b'\n"),
        lambda c: (
            (c / "drills").mkdir(),
            (c / "drills" / "hops.md").write_text("---\ntitle: Hops\n---\n"),
        ),
        lambda c: (
            (c / "practice.yaml").write_text(PRACTICE + "logo: mark.png\n"),
            (c / "mark.png").write_bytes(a_png(2, 90)),
        ),
        lambda c: ((c / "texts").mkdir(), (c / "texts" / "shoes.md").write_text("# Shoes\n\nYes.")),
        lambda c: (c / "practice.yaml").write_text(PRACTICE + "groups: {slow: {units: mi}}\n"),
    ],
    ids=["its name", "its colour", "a drill", "a logo", "a text", "a group"],
)
def test_a_change_of_the_house_builds_everybody(clients, monkeypatch, change):
    out = clients.parent / "public"
    right(build_site(clients, out, (), DAY))
    change(clients)
    ids = built_ids(monkeypatch)
    right(build_site(clients, out, (), DAY))
    assert ids == ["runner-0", "runner-1", "runner-2"]


def test_the_next_day_everybody_is_built_since_a_page_tells_its_day(clients, monkeypatch):
    out = clients.parent / "public"
    right(build_site(clients, out, (), DAY))
    ids = built_ids(monkeypatch)
    right(build_site(clients, out, (), DAY + timedelta(days=1)))
    assert ids == ["runner-0", "runner-1", "runner-2"]


def test_without_a_day_it_is_today_where_each_client_is(clients, clock, monkeypatch):
    """At half past ten in the evening it is tomorrow already on Kiritimati, not in Lisbon."""
    out = clients.parent / "public"
    with (clients / "runner-1.yaml").open("a") as file:
        file.write("timezone: Pacific/Kiritimati\n")
    clock[0] = datetime(2027, 2, 10, 9, tzinfo=UTC)
    right(build_site(clients, out))
    ids = built_ids(monkeypatch)
    clock[0] = datetime(2027, 2, 10, 22, 30, tzinfo=UTC)
    right(build_site(clients, out))
    assert ids == ["runner-1"]


def test_a_renewed_link_builds_its_client_alone(clients, monkeypatch):
    out = clients.parent / "public"
    old = right(build_site(clients, out, (), DAY)).links
    update_keys(clients / KEYS_FILE, lambda k: keys.renew(k, "runner-2", world.draw_bytes))
    ids = built_ids(monkeypatch)
    new = right(build_site(clients, out, (), DAY)).links
    assert ids == ["runner-2"]
    assert new[:2] == old[:2] and new[2] != old[2]


def test_another_tool_builds_everybody(clients, monkeypatch):
    out = clients.parent / "public"
    right(build_site(clients, out, (), DAY))
    monkeypatch.setattr(remember, "tool", lambda: "a newer one")
    ids = built_ids(monkeypatch)
    right(build_site(clients, out, (), DAY))
    assert len(ids) == 3


def test_the_tools_name_changes_with_its_own_files(tmp_path, monkeypatch):
    package = tmp_path / "package"
    package.mkdir()
    (package / "rule.py").write_text("STEP = 1\n")
    monkeypatch.setattr(remember, "PACKAGE", package)
    before = TOOL()
    assert TOOL() == before
    (package / "rule.py").write_text("STEP = 10\n")
    assert TOOL() != before


def test_a_plan_that_stays_keeps_its_feed_without_drawing_it(clients, clock, monkeypatch):
    import sitegen.feed.feed as feed_module

    out = clients.parent / "public"
    right(build_site(clients, out, (), DAY, tells=True))
    before = tree(out)
    clock[0] += timedelta(hours=1)

    def never(*_: Any, **__: Any) -> bytes:
        raise AssertionError("the feed was drawn again")

    monkeypatch.setattr(feed_module, "feed", never)
    edit(clients / "runner-1.yaml", "Runner 1", "Rosa")
    right(build_site(clients, out, (), DAY, tells=True))
    after = tree(out)
    changed = [name for name in after if after[name] != before.get(name)]
    assert len(changed) == 1 and changed[0].endswith("/index.html")


# --- what lies in the site --------------------------------------------------------------------


@pytest.mark.parametrize("which", [PAGES, ".webmanifest", ".ics", "robots.txt", ".css"])
def test_what_is_lost_from_the_site_is_made_again(clients, clock, which):
    out = clients.parent / "public"
    right(build_site(clients, out, (), DAY))
    before = tree(out)
    next(out / name for name in before if Path(name).match(f"*{which}")).unlink()
    right(build_site(clients, out, (), DAY))
    assert tree(out) == before


@pytest.mark.parametrize("which", [PAGES, ".webmanifest", "robots.txt", ".css"])
def test_what_is_damaged_in_the_site_is_made_again(clients, clock, which):
    out = clients.parent / "public"
    right(build_site(clients, out, (), DAY))
    before = tree(out)
    file = next(out / name for name in before if Path(name).match(f"*{which}"))
    data = bytearray(file.read_bytes())
    data[len(data) // 2] ^= 1
    file.write_bytes(data)
    right(build_site(clients, out, (), DAY))
    assert tree(out) == before


def test_a_site_that_is_gone_is_made_again(clients, clock):
    out = clients.parent / "public"
    right(build_site(clients, out, (), DAY))
    before = tree(out)
    shutil.rmtree(out)
    right(build_site(clients, out, (), DAY))
    assert tree(out) == before


def test_with_one_client_named_the_others_stay(clients, clock, monkeypatch):
    out = clients.parent / "public"
    right(build_site(clients, out, (), DAY))
    before = tree(out)
    edit(clients / "runner-0.yaml", "Runner 0", "Rosa")
    edit(clients / "runner-1.yaml", "Runner 1", "Theo")
    ids = built_ids(monkeypatch)
    right(build_site(clients, out, ("runner-1",), DAY))
    after = tree(out)
    assert ids == ["runner-1"]
    assert sum(after[name] != before[name] for name in before) == 1
    right(build_site(clients, out, (), DAY))
    assert ids == ["runner-1", "runner-0"]


# --- problems ---------------------------------------------------------------------------------


def test_warnings_of_who_is_unchanged_are_told_again(clients):
    out = clients.parent / "public"
    fuel = "fuel: {collagen: 15 g, vitamin_c: 300 mg, asked_on: 2027-01-01}\n"
    with (clients / "runner-1.yaml").open("a") as file:
        file.write(fuel)
    first = right(build_site(clients, out, (), DAY)).problems
    assert {p.code for p in first} == {"fuel-vitamin-c", "stopped-silence"}
    assert right(build_site(clients, out, (), DAY)).problems == first


def test_a_client_with_an_error_keeps_the_page_of_before_and_hinders_nobody(clients, monkeypatch):
    out = clients.parent / "public"
    links = dict(line.split(": ") for line in right(build_site(clients, out, (), DAY)).links)
    page = out / links["runner-1"].partition("#")[0] / "index.html"
    feeds = set((out / "feeds").iterdir())
    before = page.read_bytes()
    edit(clients / "runner-1.yaml", "151 spm", "151 km")
    (clients / "runner-9.yaml").write_text(CLIENT.format(number=9))
    ids = built_ids(monkeypatch)
    built = build_site(clients, out, (), DAY)
    assert built.done and built.held == ("runner-1",) and built.count == len(links)
    assert [p.code for p in built.problems if p.level == "error"] == ["cadence-form"]
    assert ids == ["runner-1", "runner-9"] and page.read_bytes() == before
    assert set((out / "feeds").iterdir()) > feeds
    edit(clients / "runner-1.yaml", "151 km", "151 spm")
    ids.clear()
    assert right(build_site(clients, out, (), DAY)).held == () and ids == []
    assert page.read_bytes() == before


def test_a_client_whose_file_was_renamed_keeps_page_and_link(clients):
    out = clients.parent / "public"
    first = right(build_site(clients, out, (), DAY)).urls
    page = out / first["runner-1"].partition("#")[0] / "index.html"
    (clients / "runner-1.yaml").rename(clients / "Runner 1.yml")
    built = build_site(clients, out, (), DAY)
    assert [str(p) for p in built.problems if p.level == "error"] == [
        f"{clients}/Runner 1.yml:1:1: error: this file is not read under this name "
        "(rename it to runner-1.yaml) [client-id]"
    ]
    assert built.done and page.exists()
    (clients / "Runner 1.yml").rename(clients / "runner-1.yaml")
    assert right(build_site(clients, out, (), DAY)).urls == first


def test_after_an_error_nothing_is_written_and_the_memory_still_serves(clients, monkeypatch):
    out = clients.parent / "public"
    right(build_site(clients, out, (), DAY))
    before = tree(clients.parent)
    good = (clients / "practice.yaml").read_bytes()
    edit(clients / "practice.yaml", "timezone:", "timezoen:")
    (clients / "runner-9.yaml").write_text(CLIENT.format(number=9))
    failed = build_site(clients, out, (), DAY)
    assert not failed.done and "unknown-key" in {
        p.code for p in failed.problems if p.level == "error"
    }
    (clients / "practice.yaml").write_bytes(good)
    (clients / "runner-9.yaml").unlink()
    assert tree(clients.parent) == before
    ids = built_ids(monkeypatch)
    right(build_site(clients, out, (), DAY))
    assert ids == []


# --- the memory itself ------------------------------------------------------------------------


def memory_of(out: Path) -> Path:
    (found,) = (out.parent / owned.CACHE).glob("build-*.json")
    return found


def test_the_memory_is_closed_to_others_and_holds_no_key(clients):
    out = clients.parent / "public"
    right(build_site(clients, out, (), DAY))
    file = memory_of(out)
    known, _ = load_keys(clients / KEYS_FILE)
    assert known is not None and len(known.links) == 3
    text = file.read_text("ascii")
    assert not any(link.key_text in text or link.key.hex() in text for link in known.links.values())
    assert "Runner" not in text
    if os.name == "posix":
        assert file.stat().st_mode & 0o077 == 0


@pytest.mark.skipif(os.name != "posix", reason="modes of files are POSIX's")
def test_a_memory_that_others_may_write_counts_for_nothing(clients, monkeypatch):
    out = clients.parent / "public"
    right(build_site(clients, out, (), DAY))
    memory_of(out).chmod(0o666)
    ids = built_ids(monkeypatch)
    right(build_site(clients, out, (), DAY))
    assert len(ids) == 3


def test_without_a_memory_nothing_is_left_beside_the_site(clients):
    out = clients.parent / "public"
    right(build_site(clients, out, (), DAY, remembers=False))
    assert not list((out.parent).glob(f"{owned.CACHE}/build-*"))


def test_with_and_without_a_memory_edits_in_a_row_give_the_same_bytes(clients, clock):
    """Two sites of one practice side by side, one built from memory, the other from nothing."""
    chance = random.Random(20270210)
    one, other = clients.parent / "one" / "site", clients.parent / "other" / "site"
    day = DAY
    failures = 0
    rounds = 7 if IS_NIGHTLY else 1
    for step, kind in enumerate(k for _ in range(rounds) for k in chance.sample(EDITS, len(EDITS))):
        day += timedelta(days=make_edit(kind, clients, (one, other), chance))
        if chance.random() < 0.5:
            settle(clients.parent)
        clock[0] += timedelta(minutes=7)
        named = tuple(chance.sample(present(clients), 1)) if chance.random() < 0.1 else ()
        with_memory = build_site(clients, one, named, day)
        without = build_site(clients, other, named, day, remembers=False)
        assert with_memory.problems == without.problems, (step, kind)
        assert with_memory.done == without.done
        assert with_memory.links == without.links
        failures += not with_memory.done
        assert tree(one) == tree(other), (step, kind)
    assert 0 < failures < step / 2


def test_a_log_that_goes_right_after_it_was_written_is_missed(clients, clock):
    """Its stamp was too young to be remembered, and that must not look like no log."""
    one, other = clients.parent / "one" / "site", clients.parent / "other" / "site"

    def both() -> list[Built]:
        sites = ((one, True), (other, False))
        return [right(build_site(clients, out, (), DAY, remembers=how)) for out, how in sites]

    both()
    log = clients / "runner-1.log.yaml"
    log.write_text(LOG + "- on: 2027-02-08\n  ran: 20 min\n")  # and not settled
    both()
    log.unlink()
    with_memory, without = both()

    assert with_memory.problems == without.problems
    assert tree(one) == tree(other)


EDITS = (
    "name", "note", "week", "plan", "log", "no log", "touch", "status", "renew", "privacy",
    "calendar", "zone", "new", "gone", "practice", "drill", "day", "damage", "lose", "memory",
    "no memory", "error", "nothing", "logo", "no logo", "group", "in a group", "note to all",
    "text", "plain practice", "plain practice",
)  # fmt: skip


def a_png(side: int, grey: int) -> bytes:
    """A grey square."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        sized = len(data).to_bytes(4, "big") + kind + data
        return sized + zlib.crc32(kind + data).to_bytes(4, "big")

    head = side.to_bytes(4, "big") * 2 + bytes((8, 0, 0, 0, 0))
    rows = zlib.compress((b"\0" + bytes([grey]) * side) * side)
    parts = ((b"IHDR", head), (b"IDAT", rows), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(chunk(*part) for part in parts)


def present(clients: Path) -> list[str]:
    return sorted(p.stem for p in clients.glob("runner-?.yaml"))


def make_edit(kind: str, clients: Path, sites: tuple[Path, Path], chance: random.Random) -> int:
    """Change something as a coach, or an accident, would. Gives the days that pass."""
    number = chance.choice(present(clients)).removeprefix("runner-")
    file, log = clients / f"runner-{number}.yaml", clients / f"runner-{number}.log.yaml"
    fresh = CLIENT.format(number=number)
    match kind:
        case "name":
            file.write_text(fresh.replace("Runner", chance.choice(("Rosa", "Theo", "Runner"))))
        case "note":
            file.write_text(fresh + f"notes: [{{week: 5, text: Turn {chance.randint(1, 9)}}}]\n")
        case "week":
            file.write_text(fresh.replace("18:30", chance.choice(("18:30", "07:15"))))
        case "plan":
            file.write_text(fresh.replace("weeks: 6", f"weeks: {chance.randint(4, 8)}"))
        case "log":
            on = DAY - timedelta(days=chance.randint(0, 30))
            log.write_text(
                LOG + f"- on: {on}\n  ran: {chance.randint(20, 50)} min\n"
                f"  pain: {{during: {chance.randint(0, 4)}}}\n"
            )
        case "no log":
            log.unlink(missing_ok=True)
        case "touch":
            file.touch()
        case "status":
            file.write_text(fresh + f"status: {chance.choice(('active', 'paused', 'ended'))}\n")
        case "renew":
            known, _ = load_keys(clients / KEYS_FILE)
            if known is not None and f"runner-{number}" in known.links:
                update_keys(
                    clients / KEYS_FILE,
                    lambda k: keys.renew(k, f"runner-{number}", world.draw_bytes),
                )
        case "privacy":
            file.write_text(fresh + f"privacy: {chance.choice(('open', 'sealed'))}\n")
        case "calendar":
            file.write_text(fresh + f"calendar: {chance.choice(('full', 'off', 'discreet'))}\n")
        case "zone":
            zone = chance.choice(("America/Lima", "Pacific/Kiritimati"))
            file.write_text(fresh + f"timezone: {zone}\n")
        case "new":
            added = chance.randint(3, 5)
            (clients / f"runner-{added}.yaml").write_text(CLIENT.format(number=added))
        case "gone":
            if len(present(clients)) > 2:
                file.unlink()
                log.unlink(missing_ok=True)
        case "practice":
            more = chance.choice(("", "coach: Ines\n", "accent: '#1f5f6b'\n", "units: mi\n"))
            (clients / "practice.yaml").write_text(PRACTICE + more)
        case "logo":
            side = chance.randint(1, 3)
            (clients / "logo.png").write_bytes(a_png(side, chance.randint(0, 255)))
            (clients / "practice.yaml").write_text(f"{PRACTICE}logo: logo.png\n")
        case "no logo":
            (clients / "logo.png").unlink(missing_ok=True)
        case "group":
            growth, until = chance.randint(0, 12), DAY + timedelta(days=chance.randint(0, 40))
            (clients / "practice.yaml").write_text(
                f"{PRACTICE}groups:\n  slow:\n    plan: {{growth: {growth} %}}\n"
                f"    notes: [{{from: {DAY}, until: {until}, text: Slowly}}]\n"
            )
        case "in a group":
            file.write_text(fresh + "group: slow\n")
        case "note to all":
            (clients / "practice.yaml").write_text(
                f"{PRACTICE}groups: {{slow: {{units: mi}}}}\nnotes:\n  - {{from: {DAY}, until: "
                f"{DAY + timedelta(days=20)}, text: Turn {chance.randint(1, 9)}, read: shoes}}\n"
            )
        case "text":
            (clients / "texts").mkdir(exist_ok=True)
            title = chance.choice(("Shoes", "Old shoes"))
            (clients / "texts" / "shoes.md").write_text(f"# {title}\n\nWear them.\n")
        case "plain practice":
            (clients / "practice.yaml").write_text(PRACTICE)
            for other in present(clients):
                number = other.removeprefix("runner-")
                if "group:" in (clients / f"{other}.yaml").read_text():
                    (clients / f"{other}.yaml").write_text(CLIENT.format(number=number))
        case "drill":
            (clients / "drills").mkdir(exist_ok=True)
            title = chance.choice(("Hops", "Small hops"))
            (clients / "drills" / "soft-hops.md").write_text(f"---\ntitle: {title}\n---\nTry.\n")
        case "day":
            return chance.randint(1, 3)
        case "damage" | "lose":
            names = (
                sorted(n for n in tree(sites[0]) if n != owned.RECORD) if sites[0].is_dir() else []
            )
            if names:
                name, at = chance.choice(names), chance.random()
                for site in sites:
                    data = bytearray((site / name).read_bytes()) or bytearray(b"x")
                    data[int(at * len(data))] ^= 4
                    (site / name).unlink()
                    if kind == "damage":
                        (site / name).write_bytes(data)
        case "memory":
            for found in sites[0].parent.glob(f"{owned.CACHE}/build-*.json"):
                raw = bytearray(found.read_bytes())
                raw[chance.randrange(len(raw))] ^= 1 << chance.randrange(8)
                found.write_bytes(raw)
        case "no memory":
            shutil.rmtree(sites[0].parent / owned.CACHE, ignore_errors=True)
        case "error":
            file.write_text(fresh.replace("spm", "km") if chance.random() < 0.5 else fresh)
    return 0


def test_two_builds_at_once_leave_one_whole_site(clients):
    """Two processes build again and again while the practice changes; then one more build."""
    out = clients.parent / "public"
    right(build_site(clients, out, (), DAY))
    script = (
        "import sys\nfrom datetime import date\nfrom pathlib import Path\n"
        "from sitegen.site.building import build_site\n"
        "for turn in range(6):\n"
        f"    built = build_site(Path({str(clients)!r}), Path({str(out)!r}), (),"
        f" date({DAY.year}, {DAY.month}, {DAY.day} + (turn + int(sys.argv[1])) % 2))\n"
        "    assert built.done, built.problems\n"
    )
    running = [
        subprocess.Popen([sys.executable, "-c", script, who], stderr=subprocess.PIPE)
        for who in ("0", "1")
    ]
    for process in running:
        _, told = process.communicate(timeout=120)
        assert process.returncode == 0, told.decode()
    right(build_site(clients, out, (), DAY))
    other = clients.parent / "other" / "site"
    right(build_site(clients, other, (), DAY, remembers=False))
    pages, others = tree(out), tree(other)
    assert pages.keys() == others.keys()
    assert all(pages[n] == others[n] for n in pages if not n.endswith(".ics"))  # those have stamps


# --- files that can't be read, and links ------------------------------------------------------


@pytest.mark.parametrize("name", ["runner-1.yaml", "runner-1.log.yaml"])
def test_a_file_that_cannot_be_read_is_told_once_whether_or_not_one_remembers(clients, name):
    out = clients.parent / "public"
    right(build_site(clients, out, (), DAY))
    (clients / name).unlink()
    (clients / name).symlink_to(clients / "practice.yaml")
    told = build_site(clients, out, (), DAY)
    errors = [p for p in told.problems if p.level == "error"]
    assert [(p.code, Path(p.origin.file).name) for p in errors] == [("unreadable", name)]
    assert build_site(clients, out, (), DAY, remembers=False).problems == told.problems


def test_links_read_quickly_are_the_links_read_with_care(tmp_path):
    file = tmp_path / KEYS_FILE
    kept = keys.ensure(keys.Keys(), [f"runner-{n}" for n in range(30)], world.draw_bytes)
    kept = keys.retire(kept, "runner-7")
    for known in (keys.Keys(), kept):
        file.write_text(keys.keys_text(known))
        file.chmod(0o600)
        assert keys.keys_as_written(keys.keys_text(known)) == known
        assert load_keys(file) == (read_keys(keys.keys_text(known), KEYS_FILE), ()) == (known, ())


def test_links_with_anything_unusual_are_read_with_care(tmp_path):
    """Each byte of the file changed in turn: never links that the careful reader would not give."""
    kept = keys.ensure(keys.Keys(), ["ines", "mara"], world.draw_bytes)
    text = keys.keys_text(keys.retire(kept, "ines"))
    taken = 0
    for at in range(len(text)):
        for other in 'A"- 0\n#':
            changed = text[:at] + other + text[at + 1 :]
            quick = keys.keys_as_written(changed)
            if quick is not None:
                taken += 1
                assert quick == read_keys(changed, KEYS_FILE), (at, other)
    assert taken >= 6  # a letter of an id or a key may well be another one


# --- compiled templates -----------------------------------------------------------------------


def test_templates_are_compiled_once_and_then_remembered(clients, own_cache, monkeypatch):
    out = clients.parent / "public"
    right(build_site(clients, out, (), DAY))
    file = remember.compiled_file()
    assert file is not None and file.is_file() and file.is_relative_to(clients.parent / "user")
    build._made.clear()
    from jinja2 import Environment

    def never(*_: Any, **__: Any) -> Any:
        raise AssertionError("a template was compiled again")

    monkeypatch.setattr(Environment, "compile", never)
    right(build_site(clients, out, (), DAY, remembers=False))


def test_a_damaged_store_of_compiled_templates_is_made_again(clients, own_cache):
    out = clients.parent / "public"
    right(build_site(clients, out, (), DAY))
    file = remember.compiled_file()
    assert file is not None
    good = file.read_bytes()
    file.write_bytes(good[:-1] + bytes([good[-1] ^ 1]))
    build._made.clear()
    before = tree(out)
    right(build_site(clients, out, (), DAY, remembers=False))
    assert tree(out) == before
    assert file.read_bytes()[:60] == good[:60]


# --- many clients, many processes -------------------------------------------------------------


@pytest.fixture
def many(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "clients"
    write_practice(folder, 20)
    monkeypatch.setattr(spread, "CHUNK", 4)
    return folder


@pytest.mark.parametrize("way", ["fork", "spawn"])
def test_processes_build_the_same_site_however_they_are_started(many, clock, way):
    if way == "fork" and sys.platform != "linux":
        pytest.skip("processes are not forked here")
    here, there = many.parent / "here" / "site", many.parent / "there" / "site"
    right(build_site(many, here, (), DAY, executor=Counting()))
    with ProcessPoolExecutor(2, mp_context=get_context(way)) as pool:
        right(build_site(many, there, (), DAY, executor=pool))
    assert tree(there) == tree(here)


def test_any_executor_will_do(many, clock):
    here, there = many.parent / "here" / "site", many.parent / "there" / "site"
    counting = Counting()
    right(build_site(many, here, (), DAY, executor=counting))
    assert len(counting.ids) == 19 and len(set(counting.ids)) == 19  # the first is built here
    with ThreadPoolExecutor(2) as pool:
        right(build_site(many, there, (), DAY, executor=pool))
    assert tree(there) == tree(here)


def test_many_clients_are_spread_without_being_asked(many, clock, monkeypatch):
    if remember.processors() < 2:
        pytest.skip("one processor")
    started: list[Executor] = []

    class Noted(ProcessPoolExecutor):
        def __init__(self, *how: Any, **more: Any) -> None:
            started.append(self)
            super().__init__(*how, **more)

    monkeypatch.setattr(concurrent.futures, "ProcessPoolExecutor", Noted)
    here, there = many.parent / "here" / "site", many.parent / "there" / "site"
    right(build_site(many, here, (), DAY))
    assert len(started) == 1
    right(build_site(many, there, (), DAY, executor=Counting()))
    assert tree(there) == tree(here)


class Dying(Executor):
    """A pool of which a process is killed half-way, so that it takes and gives no more."""

    def __init__(self) -> None:
        self.taken = 0

    def submit(self, function: Any, /, *given: Any, **named: Any) -> Future[Any]:
        from concurrent.futures.process import BrokenProcessPool

        self.taken += 1
        future: Future[Any] = Future()
        if self.taken == 1:
            future.set_result(function(*given, **named))
        elif self.taken == 2:
            future.set_exception(BrokenProcessPool("a process was killed"))
        else:
            raise BrokenProcessPool("a process was killed")
        return future


def test_a_killed_process_costs_time_and_nothing_else(many, clock):
    here, there = many.parent / "here" / "site", many.parent / "there" / "site"
    right(build_site(many, here, (), DAY, executor=Counting()))
    dying = Dying()
    right(build_site(many, there, (), DAY, executor=dying))
    assert dying.taken > 2
    assert tree(there) == tree(here)


def test_progress_counts_every_client_once(many):
    told: list[tuple[int, int]] = []
    out = many.parent / "public"
    right(build_site(many, out, (), DAY, lambda done, total, _: told.append((done, total))))
    assert told == [*((n, 20) for n in range(1, 21)), (0, 0)]  # and at last it is written
    told.clear()
    edit(many / "runner-3.yaml", "Runner 3", "Rosa")
    right(build_site(many, out, (), DAY, lambda done, total, _: told.append((done, total))))
    assert told == [(19, 20), (20, 20), (0, 0)]
