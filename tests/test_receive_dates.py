"""Check-ins with a day or a length that is more often a slip than true are asked, not taken."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest

from receive_case_files import CODES, practice
from sitegen.checkins.receive import Received, receive

TODAY = date(2027, 2, 10)
LOG = Path("clients/mara.log.yaml")


@pytest.fixture(autouse=True)
def _practice(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    practice(tmp_path)
    LOG.unlink()


def sent(on: date, ran: str = "31 min", more: str = "", as_of: date = TODAY) -> Received:
    """From Mara, as the coach says."""
    text = f"Check-in {CODES['mara']}\n- on: {on}\n  ran: {ran}\n{more}"
    return receive([], text, Path("clients"), as_of, "mara")


@pytest.mark.parametrize(
    ("on", "ran", "code", "says"),
    [
        (date(2026, 2, 10), "31 min", "checkin-date", "2026-02-10 is 365 days ago"),
        (TODAY - timedelta(181), "31 min", "checkin-date", "is 181 days ago"),
        (TODAY + timedelta(2), "31 min", "checkin-date", "has not come yet"),
        (date(2028, 2, 9), "31 min", "checkin-date", "has not come yet"),
        (date(2027, 2, 9), "24 h", "checkin-length", "a run of 24 h is over 12 hours"),
        (date(2027, 2, 9), "721 min", "checkin-length", "over 12 hours"),
    ],
)
def test_it_is_asked_and_waits_aside(on: date, ran: str, code: str, says: str) -> None:
    result = sent(on, ran)

    assert [p.code for p in result.problems] == [code]
    assert says in result.problems[0].message
    assert result.status == 1 and not LOG.exists()
    assert len(list(Path("clients/.aside").iterdir())) == 1


@pytest.mark.parametrize(
    ("on", "ran"), [(TODAY - timedelta(180), "31 min"), (TODAY + timedelta(1), "12 h")]
)
def test_what_is_within_the_bounds_is_taken(on: date, ran: str) -> None:
    assert sent(on, ran).status == 0 and LOG.exists()


def test_an_old_one_that_the_log_has_is_no_question() -> None:
    """A coach who receives a year's folder once more."""
    sent(date(2026, 7, 1), as_of=date(2026, 7, 2))
    before = LOG.read_bytes()
    result = sent(date(2026, 7, 1))

    assert (result.status, result.problems, LOG.read_bytes()) == (0, (), before)


def test_danger_under_a_day_of_last_year_stops_the_plan_now() -> None:
    result = sent(date(2026, 2, 9), more="  said: chest pain\n")

    assert any("URGENT" in line for line in result.lines)
    assert f"- on: {TODAY}\n" in LOG.read_text("utf-8")
    assert "signs: [chest_pain]" in LOG.read_text("utf-8")


def test_a_year_that_is_not_this_one_is_told() -> None:
    result = sent(date(2026, 12, 30), more="  signs: [swelling]\n")

    told = "\n".join(result.lines)
    assert "mara: taken, not signed: Wednesday 30 December 2026: ran 31 min" in told
    assert any("swelling was told on Wednesday 30 December 2026" in one for one in result.lines)
    assert "2027" not in "\n".join(sent(date(2027, 2, 9)).lines)
