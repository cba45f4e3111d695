"""What is used again: a newcomer's file like another's, blocks of weeks, the list of sessions."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest
import yaml

from commands import sitegen
from odd_files import odd_file
from sitegen.acts.templates import LENT, lent
from sitegen.model.client import Baseline, Client, Goal, History, Screening
from sitegen.model.problem import Problem
from sitegen.practice.entry import with_entries
from sitegen.practice.yaml_text import read_yaml
from sitegen.rules import RULES
from test_entry_bytes import FILES, kept, plain
from test_versions import form

ROOT = Path(__file__).resolve().parent.parent
DAY = ("--as-of", "2027-02-14")
SAID = ("--because", "a block before the race", "--yes", *DAY)
# What another client's file may say that is theirs alone; a profile of pain says it of a knee.
OTHER = """
name: Theo Marsh
called: Tee
group: coming-back
born: 1961
height: 181 cm
timezone: Europe/Madrid
screening: {on: 2027-01-02, regular_exercise: yes, known_disease: yes, symptoms: no}
baseline: {on: 2027-01-03, cadence: 152 spm, pace: 7:10 /km, week: 45 min, longest: 20 min, runs: 2}
goal: {text: a secret wish}
week: {mon: {at: 6:15}, wed: {}, sat: {}}
plan: {from: 2027-01-11, weeks: 9, growth: 6 %, runs: 3, ease: {every: 3}, hard: {from_week: 7}}
cadence: {aim: 160 spm, step: 2 %, hold: 3}
drills: [quiet-landing, tall-posture]
history: {injury: a left shin}
fuel: {asked_on: 2027-01-02}
private: never lend this
checkins: none
rules: {pain: {profile: knee}, strength: {per_week: 1}}
notes: [{week: 2, text: a word to Theo}]
changes: [{week: 2, minutes: 40 min, because: a shin}]
away: [{from: 2027-03-01, to: 2027-03-05, because: a wedding}]
"""


@pytest.fixture
def practice(tmp_path: Path) -> Path:
    shutil.copytree(ROOT / "clients", tmp_path / "clients")
    (tmp_path / "clients" / "theo.yaml").write_text(OTHER)
    return tmp_path


# --- like another --------------------------------------------------------------------------------


def test_settings_go_over_and_nothing_of_the_person(practice: Path) -> None:
    form(practice)
    assert sitegen("intake", "plain", "--answers", "form.yaml", cwd=practice).returncode == 0
    done = sitegen("intake", "newcomer", "--answers", "form.yaml", "--like", "theo", cwd=practice)
    alone, mine = (
        (practice / "clients" / f"{id}.yaml").read_text() for id in ("plain", "newcomer")
    )
    before, after = plain(alone.encode()), plain(mine.encode())
    taken = {key for key in after if before.get(key) != after[key]}

    assert done.returncode == 0, done.stderr
    assert (
        taken <= {"group", "plan", "cadence", "drills", "rules"} and after["group"] == "coming-back"
    )
    assert after["rules"] == {"strength": {"per_week": "1"}}
    assert after["plan"]["ease"] == {"every": "3"} and after["plan"]["runs"] == "3"
    assert {k: after["plan"][k] for k in ("from", "weeks")} == {
        k: before["plan"][k] for k in ("from", "weeks")
    }
    assert after["cadence"].get("aim") == before.get("cadence", {}).get("aim")
    assert "As in theo: group: coming-back, " in done.stdout and "rules.strength: " in done.stdout
    for word in ("Theo", "theo", "Tee", "1961", "secret", "shin", "knee", "wedding", "lend", "152",
                 "181", "Madrid", "6:15", "none", "known_disease: yes"):  # fmt: skip
        assert word not in mine.replace("newcomer", ""), word
    assert sitegen("undo", "--yes", cwd=practice).returncode == 0
    assert not (practice / "clients" / "newcomer.yaml").exists()


def test_an_answer_goes_before_what_is_lent(practice: Path) -> None:
    form(practice)
    answers = (practice / "form.yaml").read_text() + "\ngrowth: 4 %\n"
    (practice / "form.yaml").write_text(answers)
    done = sitegen("intake", "newcomer", "--answers", "form.yaml", "--like", "theo", cwd=practice)
    after = plain((practice / "clients" / "newcomer.yaml").read_bytes())

    if done.returncode == 0:  # the form may have the answer in it already
        assert after["plan"]["growth"] == "4 %"
    else:
        assert "growth" in done.stderr


def test_nobody_and_a_broken_file_lend_nothing(practice: Path) -> None:
    form(practice)
    nobody = sitegen("intake", "n", "--answers", "form.yaml", "--like", "teo", cwd=practice)
    assert nobody.returncode == 2 and "Did you mean theo?" in nobody.stderr
    (practice / "clients" / "theo.yaml").write_text("name: [Theo\n")
    broken = sitegen("intake", "n", "--answers", "form.yaml", "--like", "theo", cwd=practice)
    assert broken.returncode == 1 and "theo.yaml" in broken.stderr
    assert not (practice / "clients" / "n.yaml").exists()


def test_what_may_be_lent_is_never_about_a_body() -> None:
    """By the table of fields: no record of health is among them, and each rule is one that is."""
    tops = {path[0] for path in LENT}
    for record in (Screening, Baseline, History, Goal):
        keys = {key for key, row in Client.ROWS.items() if row.kind is record}
        assert keys and not keys & tops
    own = {"name", "called", "born", "height", "away", "private", "notes", "changes", "return",
           "fuel", "status", "week", "weeks_on", "checkins", "emergency", "timezone"}  # fmt: skip
    assert own <= set(Client.ROWS) and not own & tops
    names = {path[1] for path in LENT if path[0] == "rules"}
    assert names <= {rule.name for rule in RULES}
    assert not names & {"pain", "screening", "signs", "illness", "returning", "age", "history"}


def test_over_odd_files_only_what_is_lent_is_added() -> None:
    other = read_yaml(OTHER.encode(), "theo.yaml").tree
    assert other is not None
    for number in range(0, FILES, 2):
        file = odd_file(number)
        mine = read_yaml(file.data, "m.yaml").tree
        assert mine is not None
        entries = lent(other, mine)
        done = with_entries(file.data, "m.yaml", entries)
        assert not isinstance(done, Problem), (number, str(done))
        before: Any = plain(file.data)
        for entry in entries:
            there = before
            for step in entry.path[:-1]:
                there = there.setdefault(step, {})
            there[entry.path[-1]] = entry.value
        assert plain(done.data) == before, number
        comments = [[line for line in data.splitlines() if line.strip()[:1] == b"#"]
                    for data in (file.data, done.data)]  # fmt: skip
        assert comments[0] == comments[1], number


# --- blocks of weeks -----------------------------------------------------------------------------


def week_of(home: Path, id: str, number: int) -> dict[str, Any]:
    weeks = json.loads(sitegen("weeks", id, "--json", *DAY, cwd=home).stdout)["weeks"]
    return dict(weeks[number - 1])


def runs(week: dict[str, Any]) -> list[tuple[int, str, float]]:
    start = int(week["start"].replace("-", ""))
    return [(int(s["on"].replace("-", "")) - start, s["kind"], s["run_minutes"])
            for s in week["sessions"] if s["kind"] != "strength"]  # fmt: skip


def test_the_runs_of_a_block_stand_on_the_same_days(practice: Path) -> None:
    theirs = week_of(practice, "ayla", 3)
    old = (practice / "clients" / "bram.yaml").read_bytes()
    done = sitegen("copy", "ayla", "bram", "--weeks", "3", "--at", "8", *SAID, cwd=practice)
    mine = week_of(practice, "bram", 8)

    assert done.returncode == 0, done.stderr
    assert [day for day, _, _ in runs(mine)] == [day for day, _, _ in runs(theirs)]
    assert [kind for _, kind, _ in runs(mine)] == [kind for _, kind, _ in runs(theirs)]
    assert [m for *_, m in runs(mine)] == pytest.approx([m for *_, m in runs(theirs)], abs=1)
    text = (practice / "clients" / "bram.yaml").read_bytes()
    assert b"ayla" not in text.lower(), "nobody's name goes over"
    assert kept(old, text) == b""
    assert sitegen("undo", "--yes", cwd=practice).returncode == 0
    assert (practice / "clients" / "bram.yaml").read_bytes() == old


def test_a_share_of_it_and_several_weeks(practice: Path) -> None:
    whole = [week_of(practice, "ayla", n)["run_minutes"] for n in (3, 4)]
    words = ("copy", "ayla", "bram", "--weeks", "3-4", "--at", "8", "--share", "50")
    assert sitegen(*words, *SAID, cwd=practice).returncode == 0
    half = [week_of(practice, "bram", n)["run_minutes"] for n in (8, 9)]

    assert half == pytest.approx([minutes / 2 for minutes in whole], abs=4)


def test_the_name_of_who_lends_is_in_no_version(practice: Path) -> None:
    sitegen("copy", "ayla", "bram", "--weeks", "3", "--at", "8", *SAID, cwd=practice)
    for path in (practice / "clients" / ".versions").rglob("*"):
        assert not path.is_file() or b"ayla" not in path.read_bytes().lower()


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (
            ("ayla", "bram", "--weeks", "3-99"),
            "ayla has no weeks 3-99 (that plan has",
        ),
        (("ayla", "bram", "--weeks", "x"), '"x" names no weeks (write them like 5-8, or 6)'),
        (("ayla", "bram", "--weeks", "4-3"), "ayla has no weeks 4-3"),
        (("ayla", "bram", "--weeks", "3-6", "--at", "13"), "the plan of bram ends with week 14"),
        (("ayla", "bram", "--weeks", "3", "--at", "2"), "week 2 is over"),
        (("ayla", "bram", "--weeks", "3", "--share", "900"), '--share: "900 %" is out of range'),
    ],
)
def test_what_can_t_be_copied_is_told(practice: Path, words: tuple[str, ...], says: str) -> None:
    done = sitegen("copy", *words, *SAID, cwd=practice)

    assert done.returncode == 1 and says in done.stderr
    assert (practice / "clients" / "bram.yaml").read_bytes() == (
        ROOT / "clients" / "bram.yaml").read_bytes()  # fmt: skip


# --- sessions ------------------------------------------------------------------------------------


def test_own_sessions_are_listed_first_and_can_be_put(practice: Path) -> None:
    (practice / "clients" / "sessions").mkdir()
    page = (ROOT / "docs" / "sessions.md").read_text()
    own = page.split("clients/sessions/stairs.yaml`.\n\n```\n", 1)[1].split("```", 1)[0]
    assert yaml.safe_load(own)["title"] == "Stairs"
    (practice / "clients" / "sessions" / "stairs.yaml").write_text(own)
    lines = sitegen("sessions", cwd=practice).stdout.splitlines()
    told = json.loads(sitegen("sessions", "--json", cwd=practice).stdout)

    assert lines[0].split("  ")[0] == "stairs" and "(yours, hard)" in lines[0]
    assert len(lines) == len(told) > 15
    assert [one["session"] for one in told if one["own"]] == ["stairs"]
    put = sitegen("put", "bram", "thu", "stairs", *SAID, cwd=practice)
    assert put.returncode == 0 and 'Thu "Stairs"' in put.stdout
