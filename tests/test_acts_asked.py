"""What a coach is asked before an act, and what is shown of one: at a terminal, and without one."""

from __future__ import annotations

import contextlib
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from commands import sitegen

ROOT = Path(__file__).resolve().parent.parent
DAY = "2027-02-14"  # a Sunday
SAID = ("--because", "a hard week: at work")


@pytest.fixture
def practice(tmp_path: Path) -> Path:
    shutil.copytree(ROOT / "clients", tmp_path / "clients")
    return tmp_path


def file_of(home: Path) -> bytes:
    return (home / "clients" / "bram.yaml").read_bytes()


@pytest.mark.skipif(sys.platform == "win32", reason="no terminal can be made there")
@pytest.mark.parametrize(("typed", "is_written"), [("y\n", True), ("\n", False)])
def test_it_asks_for_the_reason_and_for_a_yes(practice: Path, typed: str, is_written: bool) -> None:
    status, said = at_a_terminal("rest", "bram", "tue", "--as-of", DAY, cwd=practice, typed=typed)

    assert "Why? Your client reads it" in said
    assert ("rest: yes" in file_of(practice).decode()) is is_written
    assert status == (0 if is_written else 1)


def at_a_terminal(*words: str, cwd: Path, typed: str) -> tuple[int, str]:
    """Run a command at a terminal where a reason is typed and then ``typed``; what was shown."""
    import pty

    ours, theirs = pty.openpty()
    with subprocess.Popen(
        [sys.executable, "-m", "sitegen", *words],
        cwd=cwd, stdin=theirs, stdout=theirs, stderr=theirs, start_new_session=True,
    ) as process:  # fmt: skip
        os.close(theirs)
        os.write(ours, f"travels\n{typed}".encode())
        said = b""
        with contextlib.suppress(OSError):  # Linux says so where nobody holds the other end
            while piece := os.read(ours, 4096):
                said += piece
    os.close(ours)
    return process.returncode, said.decode()


@pytest.mark.parametrize("act", ["keep", "lighter", "same"])
def test_where_nobody_can_be_asked_the_option_for_the_reason_is_named_at_once(
    practice: Path, act: str
) -> None:
    done = sitegen(act, "bram", "--as-of", DAY, cwd=practice, typed="travels\ny\n")

    assert done.returncode == 2 and 'say why, like --because "you travel' in done.stderr
    assert done.stdout == ""


def test_where_nobody_says_yes_the_option_for_it_is_named(practice: Path) -> None:
    done = sitegen("rest", "bram", "tue", *SAID, "--as-of", DAY, cwd=practice)

    assert done.returncode == 1 and "With --yes it does not ask." in done.stdout
    assert file_of(practice) == (ROOT / "clients" / "bram.yaml").read_bytes()


def test_what_is_only_shown_needs_no_reason_and_says_that_it_is_only_shown(practice: Path) -> None:
    done = sitegen("rest", "bram", "tue", "--dry-run", "--as-of", DAY, cwd=practice)

    assert done.returncode == 0, done.stderr
    assert 'because: "(your reason)"' in done.stdout
    assert done.stdout.endswith(
        "Only shown: nothing was written. Without --dry-run it asks, and writes after a yes.\n"
    )


REFERRED = "symptoms: yes"


def test_a_clearance_is_shown_with_what_it_comes_to(practice: Path) -> None:
    path = practice / "clients" / "bram.yaml"
    path.write_text(re.sub(r"symptoms: no\b", REFERRED, path.read_text()))
    (practice / "clients" / "bram.log.yaml").unlink()
    clears = ("cleared_on: 2027-02-12", "cleared_for: easy")
    how = ("--dry-run", "--as-of", DAY)

    for by, counts in (("cleared_by: a cardiologist", True), ("cleared_by: me", False)):
        shown = sitegen("set", "bram", *clears, by, *how, cwd=practice).stdout
        assert ("the plan is active, and was referred" in shown) is counts
        assert ("the plan stays referred; the portal says" in shown) is not counts
        assert f"screening.{by}" in shown
        assert "warning: alarm 1, ask: the clearance of 2027-02-12" in shown or counts
    assert REFERRED in path.read_text() and "cleared_on" not in path.read_text()


def test_a_plan_that_ends_shows_no_portal_that_says_anything(practice: Path) -> None:
    """The page goes with the plan: whoever was stopped reads nothing there any more."""
    log = practice / "clients" / "bram.log.yaml"
    log.write_text("- {on: 2027-02-13, ran: 20 min, signs: [limp]}\n")
    ended = sitegen("set", "bram", "status: ended", "--yes", "--as-of", DAY, cwd=practice)
    checked = sitegen("check", "bram", "--as-of", DAY, cwd=practice)

    assert "the portal and the feed go at the next publish" in ended.stdout
    assert "portal says" not in ended.stdout
    assert "its page goes, which showed this; tell the client yourself" in checked.stderr
    assert "the portal shows this" not in checked.stderr


def test_a_lift_that_leaves_the_plan_stopped_says_what_it_still_waits_for(practice: Path) -> None:
    log = practice / "clients" / "bram.log.yaml"
    log.write_text("- {on: 2027-02-13, skipped: ill, signs: [fever, limp]}\n")
    words = ("lift", "bram", "1", "limp", "--seen-by", "a physio", "--dry-run", "--as-of", DAY)
    done = sitegen(*words, cwd=practice)

    assert 'portal says "Ill: nothing is planned until you say that it is over' in done.stdout
