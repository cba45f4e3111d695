"""What `undo` would silence is named, and goes on ringing aside."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from commands import sitegen
from receive_case_files import CODES, TODAY, practice
from sitegen.practice.waits import alarm_number

LOG_BEFORE = (Path(__file__).parent / "cases/receive/clients/mara.log.yaml").read_bytes()
DAY = ("--as-of", str(TODAY))


@pytest.fixture
def home(tmp_path: Path) -> Path:
    practice(tmp_path)
    return tmp_path


def log(home: Path) -> Path:
    return home / "clients" / "mara.log.yaml"


def alarms(home: Path) -> list[str]:
    return sitegen("alarms", *DAY, cwd=home).stdout.splitlines()[:-1]


def test_a_check_in_of_danger_taken_back_rings_aside_until_it_is_received_again(
    home: Path,
) -> None:
    calm, bad = TODAY - timedelta(2), TODAY - timedelta(1)
    (home / "note.txt").write_text(
        f"Check-in {CODES['mara']}\n- on: {calm}\n  ran: 31 min\n"
        f"- on: {bad}\n  signs: [chest_pain]\n  said: in the night\n"
    )
    sitegen("receive", "note.txt", *DAY, cwd=home)
    assert alarms(home)[0].startswith(f"NOW mara 1: chest pain was told on {bad}")

    shown = sitegen("undo", "--dry-run", *DAY, cwd=home).stdout
    assert f"an open alarm goes: NOW mara: chest pain was told on {bad}" in shown
    sitegen("undo", "--yes", *DAY, cwd=home)

    (kept,) = (home / "clients" / ".aside").iterdir()
    assert "in the night" in kept.read_text() and "31 min" not in kept.read_text()
    assert log(home).read_bytes() == LOG_BEFORE
    (line,) = alarms(home)
    assert line.startswith(f"NOW practice {alarm_number(kept.name)}: a message waits in .aside/")
    file = kept.relative_to(home).as_posix()
    done = sitegen("receive", file, "--for", "mara", *DAY, cwd=home)
    assert done.returncode == 0 and not kept.exists(), done.stderr
    assert alarms(home)[0].startswith(f"NOW mara 1: chest pain was told on {bad}")


@pytest.mark.parametrize("is_taken", [True, False])
def test_a_message_of_danger_stays_or_comes_back(home: Path, is_taken: bool) -> None:
    sitegen("receive", *DAY, cwd=home, typed="I fainted on the run.\n")
    (kept,) = (home / "clients" / ".aside").iterdir()
    text = kept.read_bytes()
    if is_taken:
        file = kept.relative_to(home).as_posix()
        sitegen("receive", file, "--for", "mara", *DAY, cwd=home)
        assert not kept.exists() and log(home).read_bytes() != LOG_BEFORE

    sitegen("undo", "--yes", *DAY, cwd=home)

    assert [p.read_bytes() for p in (home / "clients" / ".aside").iterdir()] == [text]
    assert log(home).read_bytes() == LOG_BEFORE
    assert [line[:17] for line in alarms(home)] == [f"NOW practice {alarm_number(kept.name)}"]


def test_what_tells_of_no_danger_goes_as_before(home: Path) -> None:
    (home / "note.txt").write_text(f"Check-in {CODES['mara']}\n- on: {TODAY}\n  ran: 31 min\n")
    sitegen("receive", "note.txt", *DAY, cwd=home)
    shown = sitegen("undo", "--yes", *DAY, cwd=home).stdout
    assert "alarm" not in shown and not (home / "clients" / ".aside").exists()
    assert log(home).read_bytes() == LOG_BEFORE


@pytest.mark.parametrize(
    ("told", "sign"),
    [
        ("pain: {during: 9, after: 9}", "pain of 8 or more"),
        ("said: had a jellyfish sting", "one of your urgent words"),
    ],
)
def test_a_score_and_the_coachs_own_words_taken_back_ring_aside(
    home: Path, told: str, sign: str
) -> None:
    with (home / "clients" / "practice.yaml").open("a") as file:
        file.write("urgent_words: [jellyfish sting]\n")
    text = f"Check-in {CODES['mara']}\n- on: {TODAY}\n  ran: 31 min\n  {told}\n"
    (home / "note.txt").write_text(text)
    sitegen("receive", "note.txt", *DAY, cwd=home)
    urgent = alarms(home)[0].split()[0]
    sitegen("undo", "--yes", *DAY, cwd=home)

    (kept,) = (home / "clients" / ".aside").iterdir()
    assert told in kept.read_text() and log(home).read_bytes() == LOG_BEFORE
    (line,) = alarms(home)
    assert (
        line.startswith(f"{urgent} practice {alarm_number(kept.name)}: a message") and sign in line
    )
    sitegen("receive", str(kept), "--for", "mara", *DAY, cwd=home)
    assert alarms(home)[0].startswith(f"{urgent} mara 1: {sign}")


def test_a_message_of_the_coachs_own_word_stays(home: Path) -> None:
    with (home / "clients" / "practice.yaml").open("a") as file:
        file.write("urgent_words: [jellyfish sting]\n")
    sitegen("receive", *DAY, cwd=home, typed="I had a jellyfish sting.\n")
    rang = alarms(home)
    assert "the file stays" in sitegen("undo", "--yes", *DAY, cwd=home).stdout
    assert alarms(home) == rang and rang[0].startswith("NOW practice ")
