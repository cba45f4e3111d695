"""The practice's folder as it lies on disk, with all that may be wrong with it."""

from __future__ import annotations

import os
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from sitegen import world
from sitegen.practice.naming import name_problems
from sitegen.world import Refused, Unreadable, list_folder, read_folder

pipes = pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no pipes")


def lay(folder: Path, *names: str) -> None:
    for name in names:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(f"text of {name}".encode())


def test_each_file_of_a_practice_is_read_as_what_it_is(tmp_path: Path) -> None:
    lay(tmp_path, "practice.yaml", "mara.yaml", "mara.log.yaml", "drills/hops.md")
    lay(tmp_path, "drills/hops.svg", "0-7.yaml")

    folder = read_folder(tmp_path)

    assert folder.practice == b"text of practice.yaml"
    assert folder.clients == {"0-7": b"text of 0-7.yaml", "mara": b"text of mara.yaml"}
    assert folder.logs == {"mara": b"text of mara.log.yaml"}
    assert folder.drills == {"hops": b"text of drills/hops.md"}
    assert folder.figures == {"hops": b"text of drills/hops.svg"}
    assert (folder.misnamed, folder.unreadable) == ((), ())


def test_a_name_that_is_no_client_id_is_told_and_not_dropped(tmp_path: Path) -> None:
    wrong: tuple[str, ...] = (
        "Mara.yaml",
        "anna b.yaml",
        "tom.yml",
        "tom.yaml.txt",
        "tom.yaml.docx",
        "-x.yaml",
        "ä.yaml",
    )
    wrong += ("practice.log.yaml", "drills/High Knees.md", "x" * 41 + ".yaml")
    lay(tmp_path, *wrong, "tom.yaml")

    folder = read_folder(tmp_path)

    assert set(folder.misnamed) == set(wrong)
    assert set(folder.clients) == {"tom"}


def test_a_client_saved_by_a_word_processor_is_told_with_the_mend(tmp_path: Path) -> None:
    rich = b"{\\rtf1 \\f0 name: Mara\\\nbaseline:\\\n  cadence: 158 spm}"
    (tmp_path / "mara.rtf").write_bytes(rich)
    (tmp_path / "menu.rtf").write_bytes(b"{\\rtf1 \\f0 Soup\\\nBread}")
    lay(tmp_path, "tom.yaml.docx")

    told = name_problems(read_folder(tmp_path), Path("clients"))

    assert [str(problem) for problem in sorted(told)] == [
        "clients/mara.rtf:1:1: error: this file is not read under this name "
        "(save it as plain text, under mara.yaml) [client-id]",
        "clients/tom.yaml.docx:1:1: error: this file is not read under this name "
        "(save it as plain text, under tom.yaml) [client-id]",
    ]


def test_what_is_nobodys_business_is_left_alone(tmp_path: Path) -> None:
    lay(
        tmp_path,
        "notes.md",
        "photo.jpg",
        ".keys.yaml",
        ".mara.yaml.swp",
        "mara.yaml~",
        "old/a.yaml",
    )

    folder = read_folder(tmp_path)

    assert folder == world.Folder(tmp_path)


@pipes
def test_pipes_links_and_folders_are_told_without_waiting_for_them(tmp_path: Path) -> None:
    lay(tmp_path, "elsewhere.txt")
    os.mkfifo(tmp_path / "pipe.yaml")
    (tmp_path / "link.yaml").symlink_to(tmp_path / "elsewhere.txt")
    (tmp_path / "loop.yaml").symlink_to(tmp_path / "loop.yaml")
    (tmp_path / "device.yaml").symlink_to("/dev/zero")
    (tmp_path / "folder.yaml").mkdir()

    folder = read_folder(tmp_path)

    link = "this is a link to a file; put the file itself here"
    odd = "this is not a plain file; move it out of this folder"
    assert folder.clients == {}
    assert set(folder.unreadable) == {
        Unreadable("pipe.yaml", odd),
        Unreadable("folder.yaml", odd),
        Unreadable("link.yaml", link),
        Unreadable("loop.yaml", link),
        Unreadable("device.yaml", link),
    }


def test_a_huge_file_is_read_only_until_it_is_known_to_be_too_long(tmp_path: Path) -> None:
    with (tmp_path / "huge.yaml").open("wb") as file:
        file.truncate(2**34)
    (tmp_path / "just.yaml").write_bytes(b"a" * 2**20)

    folder = read_folder(tmp_path)

    assert {name: len(data) for name, data in folder.clients.items()} == {
        "huge": 2**20 + 1,
        "just": 2**20,
    }


def test_only_the_wanted_files_are_read(tmp_path: Path) -> None:
    lay(tmp_path, "practice.yaml", "mara.yaml", "tom.yaml", "Tom.yaml")

    folder = read_folder(tmp_path, only={"tom.yaml"}.__contains__)

    assert (folder.practice, set(folder.clients)) == (None, {"tom"})
    assert folder.misnamed == ("Tom.yaml",)


def test_a_stamp_moves_when_a_file_is_saved_again(tmp_path: Path) -> None:
    lay(tmp_path, "mara.yaml", "tom.yaml", ".keys.yaml", "drills/hops.md")
    before = list_folder(tmp_path)

    world.write_text_atomic(tmp_path / "tom.yaml", "text of TOM.yaml")

    after = list_folder(tmp_path)
    assert list(before) == [".keys.yaml", "drills", "drills/hops.md", "mara.yaml", "tom.yaml"]
    assert {name for name in before if before[name] != after[name]} == {"tom.yaml"}


@pytest.mark.parametrize("what", ["missing", "file"])
def test_a_folder_that_is_not_there_is_a_plain_sentence(tmp_path: Path, what: str) -> None:
    lay(tmp_path, "file")

    with pytest.raises(Refused, match=r"name the one with practice\.yaml"):
        read_folder(tmp_path / what)


def test_what_we_ship_is_there() -> None:
    drills = world.read_library()
    templates = world.read_templates()

    assert templates
    assert all(text.strip() for text in templates.values())
    assert all(text and svg.lstrip().startswith("<svg") for text, svg in drills.values() if svg)


def test_today_is_the_clients_own_day() -> None:
    """The zones furthest apart are 26 hours apart, so it is never one date in both."""
    east, west = world.today("Pacific/Kiritimati"), world.today("Etc/GMT+12")

    assert east - west in (timedelta(days=1), timedelta(days=2))
    assert abs(world.now_utc() - datetime.now(UTC)) < timedelta(minutes=1)
    assert east == datetime.now(ZoneInfo("Pacific/Kiritimati")).date()


def test_chance_gives_as_many_bytes_as_asked_and_never_the_same() -> None:
    drawn = {world.draw_bytes(16) for _ in range(100)}

    assert len(drawn) == 100
    assert {len(each) for each in drawn} == {16}


def test_a_log_is_replaced_whole_and_keeps_its_mode(tmp_path: Path) -> None:
    log = tmp_path / "mara.log.yaml"

    assert world.write_text_atomic(log, "- on: 2026-11-02\n", mode=0o600)
    assert log.stat().st_mode & 0o777 == 0o600
    log.chmod(0o640)
    assert world.write_text_atomic(log, "- on: 2026-11-02\n- on: 2026-11-04 ü\n")

    assert log.read_bytes() == "- on: 2026-11-02\n- on: 2026-11-04 ü\n".encode()
    assert log.stat().st_mode & 0o777 == 0o640
    assert [path.name for path in tmp_path.iterdir()] == ["mara.log.yaml"]


def test_what_a_killed_run_left_goes_and_what_another_writes_now_stays(tmp_path: Path) -> None:
    left, being_written = (tmp_path / f".a.yaml.{letter * 8}.new" for letter in "ab")
    for path in (left, being_written):
        path.write_text("half")
    os.utime(left, (0, 0))
    world.write_text_atomic(tmp_path / "a.yaml", "whole")
    assert (left.exists(), being_written.exists()) == (False, True)


def test_the_same_text_leaves_a_file_untouched(tmp_path: Path) -> None:
    log = tmp_path / "mara.log.yaml"
    world.write_text_atomic(log, "a")
    before = log.stat()

    assert not world.write_text_atomic(log, "a")
    assert log.stat() == before


def test_a_link_to_a_log_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "real").write_text("old")
    (tmp_path / "link").symlink_to(tmp_path / "real")

    world.write_text_atomic(tmp_path / "link", "new")

    assert (tmp_path / "link").is_symlink()
    assert (tmp_path / "real").read_text() == "new"


def test_a_log_that_cannot_be_written_is_a_plain_sentence(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="can't be written: No such file or directory"):
        world.write_text_atomic(tmp_path / "gone" / "mara.log.yaml", "text")
