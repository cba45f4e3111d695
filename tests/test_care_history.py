"""What is known of health: each answer has its sentence to the coach and, where it must, an effect.

Which effect is judgement, but where `sitegen/care/history.py` names a source. The page for a
clinician is made from the same tables.
"""

from __future__ import annotations

import runpy
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from generated import runner
from sitegen.care.history import HISTORY, MEDICINE_ASKS, Asks
from sitegen.cli import main
from sitegen.model.client import MEDICINES as NAMES
from sitegen.model.client import History
from sitegen.model.plan import Plan
from sitegen.model.problem import Problem
from sitegen.practice.records import read_client
from sitegen.world import read_returns
from support import plan_of

ROOT = Path(__file__).resolve().parent.parent
TOLD = {
    "pain_now": "right heel in the morning",
    "injury": "left shin in autumn",
    "bone_stress": "2019",
    "surgery": "2026-11-01",
    "concussion": "2026-11-01",
    "gave_birth": "2026-11-01",
    "other_sport": "lifts on Mondays",
    "heat": "ill in the sun once",
}
ANSWERS = {name: TOLD.get(name, "yes") for name in HISTORY} | {
    f"medicines {name}": name for name in MEDICINE_ASKS
}
ASKED = "on: 2026-12-01, regular_exercise: yes, symptoms: no"
CLEARED = f"{{{ASKED}, known_disease: no, cleared_on: 2026-12-20, cleared_by: a doctor}}"


def written(history: str, more: str = "") -> str:
    return f"history: {{on: 2026-12-01, {history}}}\n{more}"


def field(name: str) -> str:
    return f"medicines: [{ANSWERS[name]}]" if " " in name else f"{name}: {ANSWERS[name]}"


def plan(history: str, **more: str) -> Plan:
    weeks = "{from: 2027-01-04, weeks: 3}"
    return plan_of(runner(plan=weeks, more=written(history), **more), "[]", "2027-01-04")


def told(history: str, more: str = "", **other: str) -> list[Problem]:
    read = read_client(runner(more=written(history, more), **other).encode(), "clients/runner.yaml")
    return [p for p in read.problems if p.code.startswith(("history", "fuel"))]


def asks_of(name: str) -> Asks:
    return MEDICINE_ASKS[ANSWERS[name]] if " " in name else HISTORY[name]


def test_every_answer_that_a_file_can_give_stands_in_the_tables() -> None:
    assert {*HISTORY} == {*History.ROWS} - {"on", "medicines"}
    assert {*MEDICINE_ASKS} == {*NAMES}


@pytest.mark.parametrize("name", ANSWERS)
def test_every_known_answer_is_told_to_the_coach_with_what_to_do(name: str) -> None:
    found = [p for p in told(field(name)) if p.code == "history"]

    assert [(p.level, p.message, p.hint) for p in found] == [
        ("warning", asks_of(name).why, asks_of(name).do)
    ]
    assert found[0].origin.line is not None


def test_an_injury_names_all_ways_back_that_are_shipped(tmp_path: Path) -> None:
    shutil.copy(ROOT / "clients" / "practice.yaml", tmp_path)
    (tmp_path / "sam.yaml").write_text(runner(more=written("injury: left knee")), "utf-8")
    said = CliRunner().invoke(main, ["check", "sam", "--clients", str(tmp_path)]).output
    (line,) = [line for line in said.splitlines() if "[history]" in line]
    assert f"NAME one of {', '.join(sorted(read_returns()))})" in line and "kneecap" in line


@pytest.mark.parametrize(
    ("way", "is_told"),
    [
        ("", True),
        ("return: {after: kneecap-pain}", False),
        ("return: {after: kneecap-pain, cleared_on: 2026-10-01, by: a doctor}", False),
        ("return: {after: birth, cleared_on: 2024-10-01, by: a doctor}", True),
    ],
)
def test_an_injury_is_told_until_a_way_back_is_written_after_it(way: str, is_told: bool) -> None:
    assert bool(told("injury: left knee", f"{way}\n")) is is_told


@pytest.mark.parametrize("name", ANSWERS)
def test_every_known_answer_does_what_the_table_says(name: str) -> None:
    usual, found = plan("heat: fine"), plan(field(name))
    minutes = [[w.run_minutes for w in each.weeks] for each in (usual, found)]

    match asks_of(name).effect:
        case "clinician":
            assert found.sessions == () and found.status == "referred"
        case "slower":
            assert found.sessions and minutes[1][2] < minutes[0][2]
        case "none":
            assert minutes[1] == minutes[0]


@pytest.mark.parametrize("name", [n for n in ANSWERS if asks_of(n).effect == "clinician"])
def test_a_word_frees_what_asks_for_one(name: str) -> None:
    assert plan(field(name), screening=CLEARED).sessions


@pytest.mark.parametrize(
    ("pain", "sign"),
    [("tight across the chest on stairs", "chest pain"),
     ("pain in the groin that grows with running", ""), ("right heel in the morning", None),
     ("a bit swollen", "swelling"), ("pie hinchado", "swelling"), ("no swelling any more", None),
     ("a bit swollen; heart pounding on hills", "swelling")],
)  # fmt: skip
def test_present_pain_in_words_of_danger_waits_for_a_clinician(pain: str, sign: str | None) -> None:
    signs = [p.message for p in told(f"pain_now: {pain}") if p.code == "history-sign"]

    assert bool(signs) is (sign is not None) is (not plan(f"pain_now: {pain}").sessions)
    assert sign is None or (sign in signs[0] and "nothing is planned" in signs[0])


def test_beside_a_clearance_no_word_of_danger_says_that_nothing_is_planned() -> None:
    pain = "pain_now: tight across the chest on stairs"
    (says,) = [p.message for p in told(pain, screening=CLEARED) if p.code == "history-sign"]

    assert plan(pain, screening=CLEARED).sessions
    assert says == "this tells of chest pain, so what is planned hangs on the clearance alone"


@pytest.mark.parametrize(
    ("pain", "score"),
    [("left knee, 6 of 10", 6), ("5-6/10 in the shin", 6), ("pain 7 in the hip", 7),
     ("rodilla, 8 de 10", 8), ("dolor 6", 6), ("knee, 5 of 10", 5), ("shin 0/10", 0),
     ("pain 7 years ago", None), ("hip pain for 6 months", None), ("after 10 km", None)],
)  # fmt: skip
def test_present_pain_of_six_and_more_waits_for_a_clinician(pain: str, score: int | None) -> None:
    much = score is not None and score >= 6
    codes = [p.message for p in told(f'pain_now: "{pain}"') if p.code == "history-much-pain"]

    assert bool(codes) is much is (not plan(f'pain_now: "{pain}"').sessions)
    assert not much or codes[0].startswith(f"pain of {score} of 10")
    assert not much or plan(f'pain_now: "{pain}"', screening=CLEARED).sessions


LOW = ("low_energy: yes", "weight_loss: yes", "missed_periods: yes", "bone_stress: 2019")


@pytest.mark.parametrize("first", LOW)
@pytest.mark.parametrize("second", LOW)
def test_two_signs_of_too_little_energy_ask_for_a_clinician_one_goes_slowly(
    first: str, second: str
) -> None:
    history = ", ".join(dict.fromkeys((first, second)))
    found = plan(history)

    assert (found.status == "referred") is (first != second) is (not found.sessions)
    assert any(p.code == "history-low-energy" for p in told(history)) is (first != second)


@pytest.mark.parametrize("disease", ["yes", "no"])
def test_insulin_is_for_a_disease_whatever_the_screening_says(disease: str) -> None:
    screening = f"{{{ASKED}, known_disease: {disease}}}"

    assert bool(plan("medicines: [insulin]", screening=screening).sessions) is (disease == "yes")
    codes = [p.code for p in told("medicines: [insulin]", screening=screening)]
    assert ("history-disease" in codes) is (disease == "no") and "history" in codes


@pytest.mark.parametrize("against", ["pregnant: yes", "medicines: [blood_thinner]"])
def test_collagen_is_told_against_where_a_caution_holds(against: str) -> None:
    fuel = "fuel: {asked_on: 2027-01-01}"

    assert "fuel-caution" in [p.code for p in told(against, fuel)]
    assert "fuel-caution" not in [p.code for p in told("heat: fine", fuel)]


def test_the_page_for_a_clinician_is_fresh() -> None:
    made = runpy.run_path(str(ROOT / "tools" / "returns"))["page"]()

    assert (ROOT / "docs" / "returns.md").read_text("utf-8") == made
    assert all(f"`{name}`" in made for name in HISTORY)


@pytest.mark.parametrize("medicine", ["heart_rate", "blood_thinner"])
def test_a_medicine_of_the_heart_asks_whether_its_disease_was_told(medicine: str) -> None:
    """The screening turns on a known disease, and who takes one of these often has it."""
    assert "known_disease" in MEDICINE_ASKS[medicine].do
