"""Slips on the command line and in few fields, each refused with what to write instead."""

from __future__ import annotations

from pathlib import Path

import pytest

from commands import process, sitegen
from receive_case_files import practice
from sitegen.model.kinds.amounts import parse_length


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    practice(tmp_path)
    return tmp_path


@pytest.mark.parametrize("day", ["2027-W11-4", "20270118", "2027W114", "2027-1-18", "2027-02-30"])
def test_a_day_has_one_form(folder: Path, day: str) -> None:
    done = sitegen("weeks", "mara", "--as-of", day, cwd=folder)

    assert done.returncode == 2
    assert "is not a date; write year-month-day, like 2027-01-18" in done.stderr


@pytest.mark.parametrize("day", ["0001-01-01", "9999-12-31"])
def test_a_day_of_no_life_is_refused_as_in_a_file(folder: Path, day: str) -> None:
    done = sitegen("weeks", "mara", "--as-of", day, cwd=folder)

    assert done.returncode == 2
    assert f"{day} is out of range; years go from 1900 to 2199" in done.stderr


@pytest.mark.parametrize("text", ["- Keep it easy", "-x", "--- No hills", "--week off"])
def test_a_text_that_begins_with_a_dash_is_told_how_it_is_written(folder: Path, text: str) -> None:
    slip = sitegen("word", "mara", text, cwd=folder)
    assert slip.returncode == 2
    assert f'A text that begins with a dash stands last, after --: -- "{text}"' in slip.stderr

    shown = sitegen("word", "mara", "--dry-run", "--", text, cwd=folder)
    assert shown.returncode == 0 and f"the client reads: {text}" in shown.stdout
    why = ("--dry-run", "--as-of", "2027-02-01", "--because", text)
    rests = sitegen("rest", "mara", "tue", *why, cwd=folder)
    assert rests.returncode == 0 and text in rests.stdout


def test_an_option_that_is_none_is_taken_for_no_text(folder: Path) -> None:
    assert "begins with a dash" not in sitegen("word", "mara", "--wek", "3", cwd=folder).stderr
    assert "begins with a dash" not in sitegen("build", "--lnks", cwd=folder).stderr


def test_a_foot_has_twelve_inches() -> None:
    with pytest.raises(Exception) as wrong:
        parse_length("5 ft 13 in")
    assert "a foot has 12 inches; write 6 ft 1 in" in str(vars(wrong.value) or wrong.value)
    assert (parse_length("6 ft 1 in").cm, parse_length("5 ft 11.5 in").cm) == (185.4, 181.6)


def test_half_a_link_is_no_picture(folder: Path) -> None:
    file = folder / "clients/practice.yaml"
    file.write_text("".join(
        line for line in file.read_text("utf-8").splitlines(True) if "address" not in line
    ))  # fmt: skip
    done = sitegen("link", "mara", "--png", "mara.png", cwd=folder)

    assert done.returncode == 1 and "would hold half of it" in done.stderr
    assert not (folder / "mara.png").exists()
    assert sitegen("link", "mara", cwd=folder).returncode == 0


def test_a_script_erases_without_a_question_and_a_person_is_asked_on_standard_error(
    folder: Path,
) -> None:
    asked = sitegen("erase", "mara", cwd=folder, typed="theo\n")
    assert asked.returncode == 1 and "Type mara to go on" in asked.stderr
    assert "Type mara" not in asked.stdout and (folder / "clients/mara.yaml").exists()

    done = sitegen("erase", "mara", "--yes", cwd=folder)
    assert (done.returncode, done.stderr) == (0, "")
    assert not (folder / "clients/mara.yaml").exists()


def test_a_passphrase_from_a_script_brings_no_line_of_code(folder: Path) -> None:
    words = "lane four, quiet feet\n" * 2
    done = process("link", "mara", "--passphrase", cwd=folder, typed=words)

    assert done.returncode == 0
    for word in ("GetPassWarning", ".py", "echoed"):
        assert word not in done.stdout + done.stderr
