"""What is being done, how far it is, and about how long the rest takes."""

from __future__ import annotations

import io
import os
import pty
import re
import subprocess
import sys
from pathlib import Path

import pytest

from sitegen.terminal.progress import (
    CLEARED,
    ProgressLine,
    left,
    line_of,
    progress_line,
    roughly,
    silent,
)
from test_stopping import BUILD, MANY, Command, home  # noqa: F401, a fixture


@pytest.mark.parametrize(
    ("done", "total", "elapsed_s", "seconds"),
    [(10, 100, 2.0, 18.0), (50, 100, 5.0, 5.0), (1, 3, 60.0, 120.0)],
)
def test_the_rest_takes_as_long_a_piece_as_what_is_done(
    done: int, total: int, elapsed_s: float, seconds: float
) -> None:
    assert left(done, total, elapsed_s) == pytest.approx(seconds)


@pytest.mark.parametrize(
    ("done", "total", "elapsed_s"), [(10, 100, 0.9), (0, 100, 30.0), (100, 100, 30.0), (5, 0, 9.0)]
)
def test_nothing_is_guessed_from_nothing(done: int, total: int, elapsed_s: float) -> None:
    assert left(done, total, elapsed_s) is None


def test_the_rest_is_guessed_from_the_share_of_the_work_where_things_are_not_alike() -> None:
    """After 20 s one file of a hundred is sent, and it was half of all bytes."""
    clock, to = [0.0], io.StringIO()
    line = ProgressLine(to, lambda: clock[0])
    line(0, 100, "sending", 0.0)
    clock[0] = 20.0
    line(1, 100, "sending", 0.5)

    assert to.getvalue().endswith("sending: 1 of 100, about 20 s left")


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (0.2, "a few seconds"),
        (4.9, "a few seconds"),
        (5, "about 5 s"),
        (38, "about 40 s"),
        (57, "about 55 s"),
        (59, "about 1 min"),
        (95, "about 1.5 min"),
        (240, "about 4 min"),
        (610, "about 10 min"),
        (3590, "about 1 h"),
        (4810, "about 1 h 20 min"),
    ],
)
def test_an_estimate_is_rounded_to_what_it_is_worth(seconds: float, words: str) -> None:
    assert roughly(seconds) == words


def test_rounding_is_never_off_by_more_than_a_third_from_ten_seconds_on() -> None:
    for seconds in range(10, 20_000):
        number = {"s": 1, "min": 60, "h": 3600}
        found = re.findall(r"([\d.]+) (s|min|h)", roughly(seconds))
        told = sum(float(n) * number[unit] for n, unit in found)
        assert 2 / 3 <= told / seconds <= 4 / 3, (seconds, roughly(seconds))


def test_the_line_says_what_how_much_and_how_long() -> None:
    assert line_of(120, 1000, "building", 38.0) == "building: 120 of 1000, about 40 s left"
    assert line_of(3, 1000, "building") == "building: 3 of 1000"
    assert line_of(0, 0, "writing the site") == "writing the site …"


class Clock:
    """Seconds, as the test sets them."""

    now = 0.0

    def __call__(self) -> float:
        return self.now


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def terminal() -> Terminal:
    return Terminal()


def drawn(terminal: Terminal) -> list[str]:
    return [text for text in terminal.getvalue().split(CLEARED) if text]


def test_what_had_not_changed_does_not_count_as_quick_work(
    clock: Clock, terminal: Terminal
) -> None:
    """900 of 1000 lay there already; then ten took two seconds, so ninety take eighteen."""
    line = ProgressLine(terminal, clock)
    line(900, 1000, "building")
    clock.now = 2.0
    line(910, 1000, "building")
    assert drawn(terminal)[-1] == "building: 910 of 1000, about 20 s left"


def test_each_thing_done_has_a_time_of_its_own(clock: Clock, terminal: Terminal) -> None:
    line = ProgressLine(terminal, clock)
    line(0, 100, "reading")
    clock.now = 50.0
    line(0, 100, "drawing up plans")
    clock.now = 52.0
    line(50, 100, "drawing up plans")
    assert drawn(terminal)[-1] == "drawing up plans: 50 of 100, a few seconds left"


def test_few_things_are_shown_only_where_they_take_a_while(
    clock: Clock, terminal: Terminal
) -> None:
    line = ProgressLine(terminal, clock)
    for done in range(3):
        line(done, 6, "reading")
        clock.now += 0.1
    assert drawn(terminal) == []
    clock.now = 0.7
    line(3, 6, "reading")
    assert drawn(terminal) == ["reading: 3 of 6"]


def test_a_quick_count_does_not_flood_the_terminal(clock: Clock, terminal: Terminal) -> None:
    line = ProgressLine(terminal, clock)
    for done in range(1000):
        clock.now = done / 1000
        line(done, 1000, "reading")
    assert 2 <= len(drawn(terminal)) <= 12


def test_a_narrow_terminal_gets_one_line_all_the_same(clock: Clock, terminal: Terminal) -> None:
    ProgressLine(terminal, clock, width=12)(30, 1000, "building")
    assert drawn(terminal) == ["building: 3"]


def test_it_is_gone_when_it_is_done_and_when_it_fails(terminal: Terminal) -> None:
    with pytest.raises(ValueError, match="broken"), progress_line(terminal) as show:
        show(0, 0, "looking at the host")
        raise ValueError("broken")
    assert terminal.getvalue() == f"{CLEARED}looking at the host …{CLEARED}"


def test_where_nobody_looks_nothing_is_shown() -> None:
    pipe = io.StringIO()
    with progress_line(pipe) as show:
        assert show is silent
        show(0, 1000, "building")
    assert pipe.getvalue() == ""


# --- on a real terminal -----------------------------------------------------------------------

SHOWN = {
    BUILD: ("building", "writing the site"),
    ("check", "--as-of", "2027-02-10"): ("reading", "checking"),
    ("roster", "--as-of", "2027-02-10"): ("reading", "drawing up plans"),
    ("desk", "--to", "desk", "--as-of", "2027-02-10"): ("reading", "drawing up plans"),
}


@pytest.mark.skipif(not Path("/proc/locks").exists(), reason="needs what test_stopping needs")
@pytest.mark.parametrize("words", SHOWN, ids=lambda words: words[0])
def test_a_terminal_shows_it_and_a_pipe_does_not(home: Path, words: tuple[str, ...]) -> None:  # noqa: F811
    command = Command(home, *words)
    status, out, last = command.ends()
    assert status == 0
    for what in SHOWN[words]:
        assert what in command.told
    assert not any(f"{what}:" in out for what in SHOWN[words]), "results stand alone"
    assert not any(f"{what}:" in last for what in SHOWN[words]), "the last one is wiped"

    piped = subprocess.run(
        [sys.executable, "-m", "sitegen", *words], cwd=home, capture_output=True, text=True,
        check=False,
    )  # fmt: skip
    assert piped.returncode == 0
    assert piped.stderr == "" or "\r" not in piped.stderr
    assert not any(f"{what}:" in piped.stderr for what in SHOWN[words])


def test_output_that_goes_into_a_file_is_not_mixed_up(home: Path) -> None:  # noqa: F811
    """Results into a file, the line on the terminal: as with `sitegen roster > list.txt`."""
    ours, theirs = pty.openpty()
    with (home / "list.txt").open("wb") as to:
        subprocess.run(
            [sys.executable, "-m", "sitegen", "roster", "--as-of", "2027-02-10"],
            cwd=home, stdout=to, stderr=theirs, check=True,
        )  # fmt: skip
    os.close(theirs)
    os.close(ours)
    text = (home / "list.txt").read_text()
    assert text.count("\n") == MANY and "\r" not in text and "reading" not in text
