"""What is noted beside the keys: whole or not at all, and let go of."""

from __future__ import annotations

import os
import sqlite3
import stat
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest

from noted import note, noted
from sitegen import locking
from sitegen.site.left_over import damaged
from sitegen.site.notes import (
    FEEDS_FILE,
    NOTE_FILES,
    SEEN_FILE,
    SEEN_STATES,
    Notes,
    forget_notes,
)
from sitegen.world import Refused


def test_a_state_becomes_the_one_before(tmp_path: Path) -> None:
    for text in ("first", "second", "third"):
        with Notes(tmp_path, SEEN_STATES, "last here") as last:
            last.note("ada", text)
            last.replace("before here")
    note(tmp_path, SEEN_STATES, {"ada": "there"}, part="last there")
    parts = ("last here", "before here", "last there")
    shown = [noted(tmp_path, SEEN_STATES, part)["ada"] for part in parts]
    assert shown == ["third", "second", "there"]


def test_what_is_let_go_of_is_in_no_byte_of_the_folder(tmp_path: Path) -> None:
    for name in NOTE_FILES:
        note(tmp_path, name, {"ada": "a long run " * 2000, "bo": "rest"})
        note(tmp_path, name, {"ada": "a shorter one"}, ("ada", "bo"))
        assert not any(b"a long run" in p.read_bytes() for p in tmp_path.iterdir())
    forget_notes(tmp_path, "ada")
    assert sorted(p.name for p in tmp_path.iterdir()) == sorted(NOTE_FILES)
    assert not any(b"a shorter one" in p.read_bytes() for p in tmp_path.iterdir())


def test_the_file_is_its_owners_alone_and_the_same_leaves_it_untouched(tmp_path: Path) -> None:
    umask = os.umask(0)
    try:
        note(tmp_path, SEEN_FILE, {"ada": "seen"})
    finally:
        os.umask(umask)
    status = (tmp_path / SEEN_FILE).stat()
    assert stat.S_IMODE(status.st_mode) == 0o600
    note(tmp_path, SEEN_FILE, {"ada": "seen"})
    after = (tmp_path / SEEN_FILE).stat()
    assert (after.st_mtime_ns, after.st_ino) == (status.st_mtime_ns, status.st_ino)


def test_nothing_is_written_before_it_is_to_be_kept(tmp_path: Path) -> None:
    with Notes(tmp_path, SEEN_FILE) as file:
        file.note("ada", "new")
        assert file.get("ada") == "" and list(tmp_path.iterdir()) == []


def _of_another_shape(file: Path) -> None:
    with closing(sqlite3.connect(file)) as db:
        db.execute("CREATE TABLE notes (id TEXT, text TEXT, on_day TEXT)")


def _cut(file: Path) -> None:
    note(file.parent, file.name, {f"runner-{number}": "a long run " * 99 for number in range(9)})
    file.write_bytes(file.read_bytes()[:6000])


def _no_text(file: Path) -> None:
    note(file.parent, file.name, {"ada": "seen"})
    file.write_bytes(file.read_bytes().replace(b"ada", b"a\xffa"))


@pytest.mark.parametrize(
    "spoil",
    [
        lambda file: file.write_bytes(b"{}"),
        lambda file: file.write_bytes(b"SQLite format 3\0" + b"\xff" * 5000),
        _of_another_shape,
        _cut,
        _no_text,
    ],
)
def test_a_damaged_file_is_begun_anew_and_who_noted_in_it_says_so(
    tmp_path: Path, spoil: Callable[[Path], object]
) -> None:
    spoil(tmp_path / SEEN_FILE)
    [told] = damaged(tmp_path)
    assert "is damaged" in told.message and told.origin.file.endswith(SEEN_FILE)
    with Notes(tmp_path, SEEN_FILE) as file:
        assert file.get("ada") == ""
        file.note("ada", "seen anew")
        [told] = file.or_warn(lambda: file.keep(["ada"]), "seen", "this follows")
    assert "was damaged" in told.message and "this follows" in told.message
    with Notes(tmp_path, SEEN_FILE) as file:
        assert (file.get("ada"), file.everyone()) == ("seen anew", ["ada"])
        assert file.or_warn(lambda: file.keep(["ada"]), "seen", "this follows") == ()
    assert [*damaged(tmp_path)] == []


def test_an_erased_client_goes_out_of_a_damaged_file_too(tmp_path: Path) -> None:
    note(tmp_path, FEEDS_FILE, {"ada": "her runs", "bo": "x" * 9000})
    data = (tmp_path / FEEDS_FILE).read_bytes()
    (tmp_path / FEEDS_FILE).write_bytes(data[:100] + b"\xff" * 8 + data[108:])
    [told] = forget_notes(tmp_path, "ada")
    assert told.origin.file.endswith(FEEDS_FILE) and "went whole" in told.message
    assert not any(b"her runs" in p.read_bytes() for p in tmp_path.iterdir())


@pytest.fixture
def held(tmp_path: Path) -> Iterator[sqlite3.Connection]:
    """Another program that has the file to itself."""
    note(tmp_path, FEEDS_FILE, {"ada": "her runs"})
    with closing(sqlite3.connect(tmp_path / FEEDS_FILE, isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        yield other


def test_a_file_that_another_program_holds_is_waited_for(
    tmp_path: Path, held: sqlite3.Connection, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[str] = []

    def lets_go(words: str) -> None:
        told.append(words)
        held.execute("ROLLBACK")

    monkeypatch.setattr(locking, "TOLD_AFTER_S", 0.0)
    monkeypatch.setattr(locking, "tell_waiting", lets_go)
    assert noted(tmp_path, FEEDS_FILE) == {"ada": "her runs"}
    assert len(told) == 1 and f"another program holds {tmp_path / FEEDS_FILE}" in told[0]

    with Notes(tmp_path, FEEDS_FILE) as file:
        file.note("ada", "newer")
        held.execute("BEGIN IMMEDIATE")  # it can be read still
        assert file.get("ada") == "her runs"
        file.keep(["ada"])
    assert noted(tmp_path, FEEDS_FILE) == {"ada": "newer"} and len(told) == 2


def test_one_that_stays_held_is_not_taken_for_an_empty_one(
    tmp_path: Path, held: sqlite3.Connection, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Else calendars would get all their runs as new ones, or an erased client's stay."""
    monkeypatch.setattr("sitegen.site.notes.PATIENCE_S", 0.0)
    with Notes(tmp_path, FEEDS_FILE) as file:
        for asks in (lambda: file.get("ada"), file.ids, lambda: forget_notes(tmp_path, "ada")):
            with pytest.raises(Refused, match=r"another program holds .* close that program"):
                asks()
        held.execute("ROLLBACK")
        assert file.get("ada") == "her runs"


def test_what_can_be_done_without_is_not_waited_for(
    tmp_path: Path, held: sqlite3.Connection, monkeypatch: pytest.MonkeyPatch
) -> None:
    waits: list[float] = []
    monkeypatch.setattr("sitegen.site.notes.TOLD_AFTER_S", 0.0)
    monkeypatch.setattr("sitegen.locking.time.sleep", waits.append)
    with Notes(tmp_path, FEEDS_FILE, is_spare=True) as file:
        assert (file.get("ada"), file.ids(), file.damage) == ("", [], "")
    assert waits == [] and held.in_transaction


def test_where_one_change_fails_none_is_made(tmp_path: Path) -> None:
    note(tmp_path, SEEN_FILE, {"ada": "seen"})
    with Notes(tmp_path, SEEN_FILE) as file:
        file.note("ada", "newer")
        (tmp_path / SEEN_FILE).unlink()
        (tmp_path / SEEN_FILE).mkdir()
        with pytest.raises(Refused, match="can't be written"):
            file.keep(["ada"])


WRITES = """
import os, sqlite3, sys
db = sqlite3.connect(sys.argv[1], isolation_level=None)
db.execute("PRAGMA cache_size = 1")
db.execute("BEGIN")
db.execute("UPDATE notes SET text = 'half'")
db.executemany("INSERT INTO notes VALUES ('', ?, ?)", [(f"r{n}", "x" * 900) for n in range(500)])
os._exit(9)
"""


def test_who_was_killed_while_writing_has_changed_nothing(tmp_path: Path) -> None:
    note(tmp_path, FEEDS_FILE, {"ada": "her runs"})
    before = (tmp_path / FEEDS_FILE).read_bytes()
    file = str(tmp_path / FEEDS_FILE)
    assert subprocess.run([sys.executable, "-c", WRITES, file], check=False).returncode == 9
    assert (tmp_path / FEEDS_FILE).read_bytes() != before, "some of it lies there"

    assert noted(tmp_path, FEEDS_FILE) == {"ada": "her runs"}
    assert (tmp_path / FEEDS_FILE).read_bytes() == before


def test_a_folder_that_can_only_be_read_is_read(tmp_path: Path) -> None:
    note(tmp_path, SEEN_FILE, {"ada": "seen"})
    (tmp_path / SEEN_FILE).chmod(0o400)
    tmp_path.chmod(0o500)
    try:
        assert noted(tmp_path, SEEN_FILE) == {"ada": "seen"}
    finally:
        tmp_path.chmod(0o700)
