"""What `check` remembers of clients: never another word than without it."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from commands import sitegen
from noted import note, noted
from sitegen.site import checked
from sitegen.site.notes import CHECK_FILE

ROOT = Path(__file__).resolve().parent.parent
AS_OF = ("--as-of", "2027-03-18")
WORDS = "of hard running"  # of a warning that Bram's plan has, and no other
OTHER = "of something remembered"


@pytest.fixture(scope="module")
def checked_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo practice, which `check` has seen; no test changes it."""
    home = tmp_path_factory.mktemp("checked")
    shutil.copytree(ROOT / "clients", home / "clients")
    assert WORDS in told(home)
    return home


@pytest.fixture
def practice(checked_once: Path, tmp_path: Path) -> Path:
    shutil.copytree(checked_once / "clients", tmp_path / "clients")
    return tmp_path


def told(home: Path, *words: str) -> str:
    done = sitegen("check", *words, *([] if "--as-of" in words else AS_OF), cwd=home)
    return f"{done.returncode}\n{done.stdout}\n{done.stderr}"


def falsify(home: Path) -> None:
    """Let the memory say what no check would: whoever says it has remembered."""
    before = noted(home / "clients", CHECK_FILE)
    assert WORDS in "".join(before.values())
    after = {id: text.replace(WORDS, OTHER) for id, text in before.items()}
    note(home / "clients", CHECK_FILE, after)


def test_who_is_as_before_is_remembered_and_told_in_the_same_words(practice: Path) -> None:
    again = told(practice)
    (practice / "clients" / CHECK_FILE).unlink()
    assert again == told(practice)
    falsify(practice)
    assert OTHER in told(practice) and WORDS not in told(practice, "bram")


def edit(name: str, more: str) -> Callable[[Path], None]:
    def change(home: Path) -> None:
        with (home / "clients" / name).open("a") as file:
            file.write(more)

    return change


@pytest.mark.parametrize(
    "change",
    [
        edit("bram.yaml", "private: x\n"),
        edit("bram.log.yaml", "# a word\n"),
        edit("bram.told.yaml", "# a word\n"),
        edit("bram.log.yml", "- {on: 2027-03-01, ran: 10 min}\n"),
        edit("practice.yaml", "# a word\n"),
    ],
)
def test_what_a_client_is_judged_by_may_not_be_another(
    practice: Path, change: Callable[[Path], None]
) -> None:
    falsify(practice)
    change(practice)
    assert OTHER not in told(practice)


def test_another_day_and_another_tool_judge_anew(
    practice: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    falsify(practice)
    assert OTHER not in told(practice, "--as-of", "2027-03-19")
    falsify(practice)
    monkeypatch.setattr(checked, "tool", lambda: "another")
    assert OTHER not in told(practice, "--as-of", "2027-03-19")


def test_errors_are_remembered_too_and_a_slip_of_the_practice_forgets_nothing(
    practice: Path,
) -> None:
    edit("ayla.yaml", "born: never\n")(practice)
    first = told(practice)
    assert first.startswith("1\n") and "ayla.yaml" in first
    assert told(practice) == first
    memory = (practice / "clients" / CHECK_FILE).read_bytes()
    edit("practice.yaml", "colour: red\n")(practice)  # now nobody can be judged whole
    assert "colour" in told(practice)
    assert (practice / "clients" / CHECK_FILE).read_bytes() == memory


@pytest.mark.parametrize("text", ["", "{", "[1]", "[1, {}, 2]"])
def test_a_memory_that_is_lost_or_damaged_is_made_again(practice: Path, text: str) -> None:
    first = told(practice, "bram")
    note(practice / "clients", CHECK_FILE, {"bram": text or "gone"})
    if not text:
        (practice / "clients" / CHECK_FILE).write_text("lost")
    assert told(practice, "bram") == first


def test_the_memory_is_its_owners_alone_and_nothing_stays_of_who_left(practice: Path) -> None:
    notes = practice / "clients" / CHECK_FILE
    told(practice)
    assert notes.stat().st_mode & 0o077 == 0 and b"tomas" in notes.read_bytes()
    sitegen("erase", "tomas", "--yes", cwd=practice)
    assert b"tomas" not in notes.read_bytes()
    for file in (practice / "clients").glob("mirela.*"):
        file.unlink()
    assert CHECK_FILE not in told(practice), "what it lets go of itself is no news"
    assert b"mirela" not in notes.read_bytes()
