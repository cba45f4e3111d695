"""One client on one line of time, each line from where it is kept."""

from __future__ import annotations

import json
from datetime import timedelta
from pathlib import Path

import pytest

from commands import sitegen
from test_ledger_files import CLIENT, PRACTICE, Coach


@pytest.fixture
def coach(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Coach:
    """Monday: told. Tuesday: run. Wednesday: the coach rests Thursday, and a limp is told."""
    found = Coach(tmp_path / "home", monkeypatch)
    found.write("practice.yaml", PRACTICE)
    found.write("bo.yaml", CLIENT.replace("Ada Holm", "Bo Lind"))
    found.run("build")
    found.day += timedelta(days=1)
    found.write("ada.log.yaml", "- {on: 2027-01-05, ran: 30 min, effort: 3, said: Windy.}\n")
    found.day += timedelta(days=1)
    found.run("rest", "ada", "thu", "--because", "You travel.", "--yes")
    found.run("word", "bo", "Well done.", "--yes")
    found.run("house", "volume: {growth: 9 %}", "--yes")
    found.run("undo", "--yes")
    found.write("ada.log.yaml", found.read("ada.log.yaml") + "- {on: 2027-01-06, signs: [limp]}\n")
    found.run("answer", "ada", "1", "--because", "called her")
    found.run("build")
    return found


def lines(coach: Coach, *words: str) -> list[tuple[str, str, str]]:
    told = json.loads(coach.run("history", "ada", "--json", *words))
    assert all(set(one) == {"on", "kind", "says"} for one in told)
    return [(one["on"], one["kind"], one["says"]) for one in told]


def test_all_of_it_stands_in_the_order_of_days(coach: Coach) -> None:
    found = lines(coach)
    days = [on for on, _, _ in found]

    assert days == sorted(days)
    assert ("2027-01-05", "done", 'ran 30 min, effort 3, "Windy."') in found
    assert ("2027-01-06", "done", "SIGN: limp") in found
    assert ("2027-01-06", "coach", "rest: Thu 7 Jan is a day of rest") in found
    assert ("2027-01-07", "decided", "rest: You travel.") in found
    assert ("2027-01-06", "answer", "alarm 1: called her") in found
    assert ("2027-01-06", "coach", "house, for all: rules.volume.growth: 9 % (taken back)") in found
    told = [says for on, kind, says in found if (on, kind) == ("2027-01-04", "told")]
    assert len(told) == 1 and told[0].startswith("week 1 from 4 Jan, build: ")
    assert any(kind == "told" and on == "2027-01-06" for on, kind, _ in found)
    alarms = [says for _, kind, says in found if kind == "alarm"]
    assert alarms == ["TODAY 1: limp was told on 2027-01-06"]
    assert ("2027-01-02", "file", "the baseline: 90 min a week, 160 spm") in found


def test_nothing_of_another_client_is_in_it(coach: Coach) -> None:
    assert not [one for one in lines(coach) if "Well done." in one[2] or "word" in one[2]]


def test_it_can_be_cut_to_days_and_kinds(coach: Coach) -> None:
    assert {on for on, _, _ in lines(coach, "--since", "2027-01-06")} <= {
        "2027-01-06",
        "2027-01-07",
    }
    assert {kind for _, kind, _ in lines(coach, "--only", "done", "--only", "told")} == {
        "done", "told",
    }  # fmt: skip
    shown = coach.run("history", "ada", "--since", "2027-01-05", "--only", "done")
    assert shown.splitlines() == [
        '2027-01-05 Tue  done     ran 30 min, effort 3, "Windy."',
        "2027-01-06 Wed  done     SIGN: limp",
    ]
    assert coach.run("history", "ada", "--since", "2031-01-01") == (
        "Nothing is known of these days.\n"
    )


def test_a_slip_is_told(coach: Coach) -> None:
    for words, says in (
        (("adda",), "Did you mean ada?"),
        (("ada", "--since", "soon"), "is no day"),
    ):
        done = sitegen("history", *words, "--clients", str(coach.clients), cwd=coach.home)
        assert done.returncode == 2 and says in done.stderr
