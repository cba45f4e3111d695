"""`sitegen receive run.gpx --for ID`: shown, taken as an entry not signed, or asked about."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

import run_files as made
from receive_case_files import TODAY, practice
from run_files import gpx, points
from sitegen.checkins.receive import Received, receive

TUESDAY = datetime(2027, 2, 9, 18, 30, tzinfo=UTC)
RUN = list(points(made.RUN, 5.0))
TAKEN = "- on: 2027-02-09\n  ran: 20 min\n  distance: 3.48 km\n  cadence: 166 spm\n  signed: no\n"
SILENT = "mara: no file tells of pain, effort or signs: ask mara"


@pytest.fixture
def clients(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Mara's and Theo's practice; the day is Wednesday 10 February 2027."""
    monkeypatch.chdir(tmp_path)
    practice(tmp_path)
    return Path("clients")


def received(data: bytes, name: str = "run.gpx", whose: str | None = "mara") -> Received:
    Path(name).write_bytes(data)
    return receive([Path(name)], None, Path("clients"), TODAY, whose)


def log(id: str = "mara") -> str:
    path = Path("clients") / f"{id}.log.yaml"
    return path.read_text("utf-8") if path.exists() else ""


def test_a_run_is_shown_and_taken_and_what_no_file_tells_is_said(clients: Path) -> None:
    before = log()
    result = received(gpx(RUN, foot=1, start=TUESDAY))

    assert result.status == 0 and result.problems == ()
    assert result.lines[0] == (
        "run.gpx: 2027-02-09 18:30: 20.0 min moving of 20.0, 20.0 min of it running, by its steps, "
        "3.48 km, 5:45 /km, 166 spm. The file counts one foot (84 a minute), so the step rate is "
        "doubled."
    )
    assert result.lines[1] == SILENT
    assert result.lines[2].startswith("mara: taken, not signed: Tuesday 9 February: ran 20 min")
    assert log().removeprefix(before).endswith(TAKEN)
    assert result.as_json()["runs"] == [
        {
            "file": "run.gpx", "start": "2027-02-09T18:30:00", "moving_s": 1200,
            "elapsed_s": 1200, "metres": 3480, "pace_s": 345, "spm": 166, "steps": "doubled",
            "steps_raw": 84, "running_s": 1200, "notes": [], "asks": None,
        }
    ]  # fmt: skip
    once = log()
    again = received(gpx(RUN, foot=1, start=TUESDAY))
    assert log() == once and again.as_json()["again"] == 1


def test_standard_input_takes_a_run_too(clients: Path) -> None:
    data = gpx(RUN, start=TUESDAY)
    result = receive([], data, clients, TODAY, "mara")
    assert result.status == 0 and log().endswith(TAKEN)


def test_a_run_on_a_day_that_has_one_waits_and_can_be_taken_from_there(clients: Path) -> None:
    (clients / "mara.log.yaml").write_text("- {on: 2027-02-09, ran: 21 min, effort: 3}\n")
    result = received(gpx(RUN, start=TUESDAY))

    (problem,) = result.problems
    assert problem.message == "the log has a run on 2027-02-09 already, of 21 min"
    assert result.status == 1 and "20 min" not in log()
    (kept,) = result.as_json()["aside"]
    taken = receive([Path(kept)], None, clients, TODAY, "mara")
    assert taken.status == 0 and log().endswith(TAKEN)


def test_nobody_s_file_is_not_read(clients: Path) -> None:
    result = received(gpx(RUN, start=TUESDAY), whose=None)
    (problem,) = result.problems
    assert str(problem) == (
        "run.gpx:1:1: error: a run's file doesn't say whose it is (receive it with --for and that "
        "id) [checkin-foreign]"
    )
    assert result.status == 1 and not result.as_json()["runs"]


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("a ride", "run.gpx:1:1: error: the run of 2027-02-10: 2:13 a km is the speed of a ride "
                   "(ask; if it is right, write it into the log yourself) [checkin-run]"),
        ("billion laughs", "run.gpx:1:1: error: the file carries declarations that no run needs, "
                           "so it isn't read (export it again) [checkin-run]"),
        ("a tag closed by another", "run.gpx:3:1: error: the file is broken at line 3, perhaps cut "
                                    "off (export it again) [checkin-run]"),
        ("empty", "run.gpx:1:1: error: the file is empty [checkin-run]"),
        ("zip", "run.gpx:1:1: error: this is a packed file (unpack it, and choose the GPX or CSV "
                "file in it) [checkin-run]"),
    ],
)  # fmt: skip
def test_what_is_asked_or_wrong_is_told_with_its_place_and_not_taken(
    clients: Path, name: str, says: str
) -> None:
    before = log()
    result = received(made.ODD[name])
    assert [str(problem) for problem in result.problems] == [says]
    assert result.status == 1 and log() == before


def test_a_folder_may_hold_runs_and_messages(clients: Path) -> None:
    Path("in").mkdir()
    Path("in/a.csv").write_text("date;min;km\n2027-02-08;31;5,2\n2027-02-09;40;6,1\n")
    Path("in/b.gpx").write_bytes(made.ODD["no times"])
    result = receive([Path("in")], None, clients, TODAY, "mara")
    assert [one["on"] for one in result.as_json()["taken"]] == ["2027-02-08", "2027-02-09"]
    assert [problem.origin.file for problem in result.problems] == ["in/b.gpx"]


def test_a_run_without_a_day_or_of_tomorrow_is_not_taken(clients: Path) -> None:
    before = log()
    rows = "".join(f"{n};{n * 2.8:.1f}\n" for n in range(0, 601, 10))
    result = received(f"seconds;distance (m)\n{rows}".encode(), "run.csv")
    assert [p.message for p in result.problems] == ["the file doesn't say which day it was"]
    ahead = received(gpx(RUN, start=TUESDAY.replace(day=14)))
    assert [p.message for p in ahead.problems] == ["2027-02-14 has not come yet"]
    assert log() == before
