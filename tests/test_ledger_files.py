"""The ledger from outside: what `build` and `publish` write down, and what `weeks` says then.

The clock is moved by hand; everything else is what a coach does.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import stat
import zipfile
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from commands import PAGES
from sitegen import world
from sitegen.cli import main
from sitegen.site.notes import SHOWN_FILE, Notes

PRACTICE = """
name: Harbour Running
contact: coach@harbour.example
timezone: Europe/Lisbon
"""
CLIENT = """
name: Ada Holm
screening: {on: 2027-01-01, regular_exercise: yes, known_disease: no, symptoms: no}
baseline: {on: 2027-01-02, cadence: 160 spm, pace: 6:30 /km, week: 90 min, longest: 40 min, runs: 3}
week: {mon: {for: [strength]}, tue: {at: "18:30"}, thu: {}, sun: {}, long: sun}
plan: {from: 2027-01-04, weeks: 12, hard: {from_week: 2, per_week: 1}}
"""
MONDAY = date(2027, 1, 4)
# Nothing of this redraws a day that is over: the file, or the log, with one thing changed.
CHANGES: dict[str, Callable[[str, str], tuple[str, str]]] = {
    "growth": lambda client, log: (client.replace("weeks: 12,", "weeks: 12, growth: 0 %,"), log),
    "days": lambda client, log: (client.replace("thu:", "wed:"), log),
    "the hour": lambda client, log: (client.replace("18:30", "07:15"), log),
    "step rate": lambda client, log: (client.replace("160 spm", "151 spm"), log),
    "a race": lambda client, log: (
        client.replace("runs: 3}", "runs: 3, race: {distance: 5 km, time: 24:10, on: 2026-12-01}}"),
        log,
    ),
    "drills": lambda client, log: (f"{client}drills: [quiet-landing]\n", log),
    "a new baseline": lambda client, log: (
        client.replace("{on: 2027-01-02", "{on: 2027-01-16").replace("90 min", "60 min"),
        log,
    ),
    "a change of a day over": lambda client, log: (
        f"{client}changes: [{{on: 2027-01-12, minutes: 20 min, because: late}}]\n",
        log,
    ),
    "late pain": lambda client, log: (
        client,
        f"{log}- {{on: 2027-01-06, ran: 20 min, pain: {{during: 6}}}}\n",
    ),
    "a late sign": lambda client, log: (client, f"{log}- {{on: 2027-01-10, signs: [limp]}}\n"),
    "a pause": lambda client, log: (f"{client}status: paused\n", log),
    "away": lambda client, log: (
        f"{client}away: [{{from: 2027-01-11, to: 2027-01-24, because: x}}]\n",
        log,
    ),
}


class Coach:
    """A coach at her desk on a day that the test sets."""

    def __init__(
        self, home: Path, monkeypatch: pytest.MonkeyPatch, lived: tuple[Path, date] | None = None
    ) -> None:
        """``lived``: another coach's home, to go on from as it was on that day."""
        self.home, self.day = home, MONDAY
        self.clients, self.out = home / "clients", home / "public"
        if lived:
            self.day = lived[1]
            shutil.copytree(lived[0], home)
        else:
            self.clients.mkdir(parents=True)
            self.write("practice.yaml", PRACTICE)
            self.write("ada.yaml", CLIENT)
            self.write("ada.log.yaml", "")
        monkeypatch.setattr(world, "now_utc", self.now)
        monkeypatch.setattr(world, "today", lambda zone: self.day)

    def now(self) -> datetime:
        return datetime(self.day.year, self.day.month, self.day.day, 9, tzinfo=UTC)

    def write(self, name: str, text: str) -> None:
        (self.clients / name).write_text(text, encoding="utf-8")

    def read(self, name: str) -> str:
        return (self.clients / name).read_text(encoding="utf-8")

    def run(self, *words: str, status: int = 0) -> str:
        places = ["--clients", str(self.clients)]
        if words[0] in ("build", "publish"):
            places += ["--out", str(self.out)]
        done = CliRunner().invoke(main, [*words, *places], catch_exceptions=False)
        assert done.exit_code == status, done.output
        return done.stdout

    def weeks(self) -> list[dict[str, Any]]:
        return list(json.loads(self.run("weeks", "ada", "--json"))["weeks"])

    def past(self) -> list[dict[str, Any]]:
        """Sessions of days over, without what became of them."""
        found = [s for w in self.weeks() for s in w["sessions"] if s["on"] < str(self.day)]
        return [{k: v for k, v in s.items() if k not in ("told", "done")} for s in found]

    def lives(self, days: int, *doing: str) -> None:
        """Days go by: ``doing`` each Monday and Thursday, and every run is done and logged."""
        for _ in range(days):
            if doing and self.day.weekday() in (0, 3):
                self.run(*doing)
            for week in self.weeks():
                for session in week["sessions"]:
                    if session["on"] == str(self.day) and session["kind"] != "strength":
                        ran = (
                            f"- {{on: {self.day}, ran: {session['run_minutes']:g} min, effort: 3}}"
                        )
                        self.write("ada.log.yaml", f"{self.read('ada.log.yaml')}{ran}\n")
            self.day += timedelta(days=1)


@pytest.fixture
def coach(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Coach:
    return Coach(tmp_path / "home", monkeypatch)


@pytest.fixture(scope="module")
def two_weeks(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, date]:
    """Built twice a week without a target, lived once for all; now it is a Wednesday."""
    with pytest.MonkeyPatch.context() as monkeypatch:
        coach = Coach(tmp_path_factory.mktemp("lived") / "home", monkeypatch)
        coach.lives(16, "build")
    return coach.home, coach.day


@pytest.fixture
def after_two_weeks(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, two_weeks: tuple[Path, date]
) -> Coach:
    return Coach(tmp_path / "home", monkeypatch, two_weeks)


@pytest.mark.parametrize("change", CHANGES)
def test_nothing_redraws_a_day_that_is_over(after_two_weeks: Coach, change: str) -> None:
    coach = after_two_weeks
    before, log = coach.past(), coach.read("ada.log.yaml")
    assert len(before) > 6
    client, log = CHANGES[change](CLIENT, log)
    assert (client, log) != (CLIENT, coach.read("ada.log.yaml"))
    coach.write("ada.yaml", client)
    coach.write("ada.log.yaml", log)
    assert coach.past() == before
    coach.run("build")
    assert coach.past() == before


def test_without_the_ledger_the_past_is_worked_out_and_says_so(after_two_weeks: Coach) -> None:
    coach = after_two_weeks
    told = [s for w in coach.weeks() for s in w["sessions"] if s["on"] < str(coach.day)]
    assert {s["told"] for s in told} == {True}
    assert all(s["done"] == s["run_minutes"] for s in told if s["kind"] != "strength")
    ahead = [s for w in coach.weeks() for s in w["sessions"] if s["on"] > str(coach.day)]
    assert {(s["told"], s["done"]) for s in ahead} == {(None, None)}
    (coach.clients / "ada.told.yaml").unlink()
    anew = [s for w in coach.weeks() for s in w["sessions"] if s["on"] < str(coach.day)]
    assert {s["told"] for s in anew} == {False}
    assert [s["id"] for s in anew] == [s["id"] for s in told], "nothing had changed"


def test_a_line_is_only_added_and_only_its_owner_reads_it(coach: Coach) -> None:
    coach.run("build")
    file = coach.clients / "ada.told.yaml"
    assert os.name != "posix" or stat.S_IMODE(file.stat().st_mode) == 0o600
    texts = [coach.read("ada.told.yaml")]
    for _ in range(4):
        coach.lives(3, "build")
        texts.append(coach.read("ada.told.yaml"))
    assert all(now.startswith(before) for before, now in pairwise(texts))
    assert texts[-1] != texts[0]


def test_building_twice_adds_nothing_and_draws_nothing_again(coach: Coach) -> None:
    coach.lives(9, "build")
    coach.run("build")
    told = coach.read("ada.told.yaml")
    page = {p: p.read_bytes() for p in coach.out.glob(PAGES)}
    assert "0 files written" in coach.run("build")
    coach.write("practice.yaml", f"{PRACTICE}# touched\n")
    coach.run("build")
    assert coach.read("ada.told.yaml") == told
    assert {p: p.read_bytes() for p in coach.out.glob(PAGES)}.keys() == page.keys()


def test_a_look_at_another_day_tells_nobody_anything(coach: Coach) -> None:
    coach.lives(7, "build")
    told = coach.read("ada.told.yaml")
    coach.run("build", "--as-of", "2027-01-04")
    coach.run("build", "--as-of", "2027-03-01")
    assert coach.read("ada.told.yaml") == told


def test_a_clock_that_ran_ahead_hides_no_day_that_is_told_after_it(coach: Coach) -> None:
    coach.lives(8, "build")
    right, coach.day = coach.day, coach.day + timedelta(days=20)
    coach.run("build")
    coach.day = right
    said = json.loads(coach.run("build", "--json"))["problems"]
    (about,) = [p for p in said if p["code"] == "told"]
    lines = coach.read("ada.told.yaml").splitlines()
    assert lines[about["line"] - 1] == f"- told: {right + timedelta(days=20)}"
    assert "a day to come" in about["message"] and about["level"] == "warning"
    coach.write("ada.yaml", CLIENT.replace("weeks: 12", "weeks: 12, enough: 60 min"))
    coach.run("build")
    shown = [s for w in coach.weeks() for s in w["sessions"] if s["on"] == str(right)]
    coach.day += timedelta(days=1)
    coach.write("ada.yaml", CLIENT)
    assert shown and coach.past()[-len(shown) :] == [
        {k: v for k, v in s.items() if k not in ("told", "done")} for s in shown
    ]


def test_with_a_target_only_what_was_published_was_told(coach: Coach) -> None:
    coach.write("practice.yaml", f"{PRACTICE}targets:\n  host: ./host\n")
    coach.run("build")
    assert not (coach.clients / "ada.told.yaml").exists()
    coach.run("publish", "--dry-run")
    assert not (coach.clients / "ada.told.yaml").exists()
    coach.run("publish")
    told = coach.read("ada.told.yaml")
    assert told.count("- told: 2027-01-04") == 1
    coach.run("publish")
    assert coach.read("ada.told.yaml") == told
    coach.write("ada.yaml", CLIENT.replace("tue:", "wed:"))
    coach.run("build")  # a draft, thrown away
    coach.write("ada.yaml", CLIENT)
    coach.run("build")
    coach.run("publish")
    assert coach.read("ada.told.yaml") == told


def test_what_is_published_later_was_told_later(coach: Coach) -> None:
    coach.write("practice.yaml", f"{PRACTICE}targets:\n  host: ./host\n")
    coach.run("build")
    coach.day += timedelta(days=2)
    coach.run("publish")
    told = coach.read("ada.told.yaml")
    assert "- told: 2027-01-06" in told and "on: 2027-01-05" not in told


def test_a_publish_that_failed_told_nobody(coach: Coach) -> None:
    coach.write("practice.yaml", f"{PRACTICE}targets:\n  host: ./host\n")
    coach.run("build")
    (coach.home / "host").write_text("a file in the way")
    coach.run("publish", status=1)
    assert not (coach.clients / "ada.told.yaml").exists()


def test_a_publish_of_pages_that_nobody_knows_says_that_nothing_is_noted(coach: Coach) -> None:
    coach.write("practice.yaml", f"{PRACTICE}targets:\n  host: ./host\n")
    coach.run("build")
    (coach.clients / SHOWN_FILE).unlink()
    found = json.loads(coach.run("publish", "--json"))
    [told] = found["problems"]
    assert told["code"] == "told" and told["hint"] == "run sitegen build, then publish again"
    assert not (coach.clients / "ada.told.yaml").exists()
    coach.run("build")  # of the same day, and nothing was changed
    assert json.loads(coach.run("publish", "--json"))["problems"] == []
    assert "- told: 2027-01-04" in coach.read("ada.told.yaml")


def test_what_could_not_be_noted_of_a_page_is_noted_by_the_next_build(coach: Coach) -> None:
    coach.write("practice.yaml", f"{PRACTICE}targets:\n  host: ./host\n")
    file = coach.clients / SHOWN_FILE
    coach.run("build")
    old = file.read_bytes()
    coach.write("ada.yaml", f'{CLIENT}changes: [{{on: 2027-01-07, rest: yes, because: "Away"}}]\n')
    file.unlink()
    file.mkdir()
    found = json.loads(coach.run("build", "--json"))
    [told] = [p for p in found["problems"] if p["code"] == "told"]
    assert "can't be written" in told["message"]
    file.rmdir()
    file.write_bytes(old)  # which has the plan of before
    coach.run("build")
    assert json.loads(coach.run("publish", "--json"))["problems"] == []
    told = coach.read("ada.told.yaml")
    assert "on: 2027-01-05" in told and "on: 2027-01-07" not in told


def test_what_a_damaged_file_said_of_pages_is_found_again_by_a_build(coach: Coach) -> None:
    coach.write("practice.yaml", f"{PRACTICE}targets:\n  host: ./host\n")
    coach.write("bo.yaml", CLIENT.replace("Ada", "Bo"))
    coach.run("build")
    data = (coach.clients / SHOWN_FILE).read_bytes()
    (coach.clients / SHOWN_FILE).write_bytes(data[: len(data) // 2])
    found = json.loads(coach.run("publish", "--json"))
    assert {p["code"] for p in found["problems"]} == {"told"}
    found = json.loads(coach.run("build", "--json"))
    assert "was damaged" in next(p["message"] for p in found["problems"] if p["code"] == "told")
    assert json.loads(coach.run("publish", "--json"))["problems"] == []
    assert all(coach.read(f"{id}.told.yaml").count("- told: 2027") == 1 for id in ("ada", "bo"))


def test_who_is_held_back_is_told_nothing_new(after_two_weeks: Coach) -> None:
    coach = after_two_weeks
    told = coach.read("ada.told.yaml")
    coach.write("ada.yaml", CLIENT.replace("growth", "grwth").replace("weeks: 12", "weeks: many"))
    coach.run("build", status=1)
    assert coach.read("ada.told.yaml") == told


def test_a_slip_is_told_with_its_place_and_costs_its_week_alone(after_two_weeks: Coach) -> None:
    coach = after_two_weeks
    before = coach.past()
    lines = coach.read("ada.told.yaml").split("\n")
    at = next(i for i, line in enumerate(lines) if "on: 2027-01-12" in line)
    lines[at] = lines[at].replace("effort: ", "efort: ")
    coach.write("ada.told.yaml", "\n".join(lines))
    [slip] = [p for p in json.loads(coach.run("check", "--json")) if p["code"] == "told"]
    assert (slip["line"], slip["level"]) == (at + 1, "warning")
    assert slip["column"] == lines[at].index("efort") + 1
    assert "did you mean effort?" in slip["hint"] and "worked out anew" in slip["hint"]
    weeks = coach.weeks()
    assert {s["told"] for s in weeks[0]["sessions"]} == {True}
    assert {s["told"] for s in weeks[1]["sessions"]} == {False}
    assert coach.past() == before, "nothing had changed, so it comes out the same"


def test_a_ledger_of_two_computers_is_both_put_together(after_two_weeks: Coach) -> None:
    coach = after_two_weeks
    before = coach.past()
    entries = coach.read("ada.told.yaml").split("- told:")
    assert len(entries) > 3
    coach.write("ada.told.yaml", "- told:".join([entries[0], *reversed(entries[1:])]))
    assert coach.past() == before


def test_export_hands_it_over_and_erase_takes_it_away(after_two_weeks: Coach) -> None:
    coach = after_two_weeks
    told = coach.read("ada.told.yaml")
    to = coach.home / "ada.zip"
    coach.run("export", "ada", "--to", str(to))
    with zipfile.ZipFile(to) as archive:
        assert archive.read("ada.told.yaml").decode() == told
        assert "ada.told.yaml" in archive.read("read-me.txt").decode()
    coach.write("practice.yaml", f"{PRACTICE}targets:\n  host: ./host\n")
    coach.run("build")
    with Notes(coach.clients, SHOWN_FILE) as shown:
        assert "ada" in shown.everyone()
    CliRunner().invoke(main, ["erase", "ada", "--clients", str(coach.clients)], input="ada\n")
    assert not (coach.clients / "ada.told.yaml").exists()
    assert b"ada" not in (coach.clients / SHOWN_FILE).read_bytes()


def test_a_build_says_what_is_otherwise_than_the_client_last_saw(coach: Coach) -> None:
    coach.write("practice.yaml", f"{PRACTICE}targets:\n  host: ./host\n")
    assert json.loads(coach.run("build", "--json"))["changes"] == {"ada": None}
    coach.run("publish")
    coach.lives(2)
    coach.run("build")  # nobody saw this one
    change = "changes: [{on: 2027-01-07, minutes: 15 min, because: a long day}]\n"
    coach.write("ada.yaml", CLIENT + change)
    for _ in range(2):  # built, and then unchanged
        found = json.loads(coach.run("build", "--json"))["changes"]["ada"]
        assert found["seen_on"] == "2027-01-04"
        [one] = [s for s in found["sessions"] if s["before"] and s["before"]["on"] == "2027-01-07"]
        assert one["after"]["minutes"] < one["before"]["minutes"]
        assert one["why"] == ["Your coach changed this session: a long day"]
        assert found["minutes"]["after"] < found["minutes"]["before"]
    coach.run("publish")
    coach.day += timedelta(days=1)
    found = json.loads(coach.run("build", "--json"))["changes"]["ada"]
    assert found["seen_on"] == "2027-01-06"
    assert not [s for s in found["sessions"] if s["id"] == one["id"]]


def test_a_run_told_for_a_day_on_which_a_stop_stood_is_not_asked_for(coach: Coach) -> None:
    """The coach heard of the sign later: the day's run stays as shown, and nobody asks for it."""
    open_page = f"{CLIENT}privacy: open\n"
    coach.write("ada.yaml", open_page)
    coach.run("build")
    coach.day = date(2027, 1, 6)

    def not_asked() -> list[str]:
        coach.run("build")
        (page,) = coach.out.glob(PAGES)
        data = re.search(r'id="portal-data">(.*?)</script>', page.read_text())
        assert data is not None
        return list(json.loads(data[1])["logged"]["stopped"])

    assert not_asked() == []
    coach.write("ada.log.yaml", "- {on: 2027-01-04, signs: [limp]}\n")
    lift = "{on: 2027-01-06, lifts: limp 2027-01-04, seen_by: Dr Elm, because: It was a shoe.}"
    coach.write("ada.yaml", f"{open_page}changes: [{lift}]\n")
    assert not_asked() == ["2027-01-04", "2027-01-05"]
    assert "2027-01-05" in [s["on"] for s in coach.weeks()[0]["sessions"]]
