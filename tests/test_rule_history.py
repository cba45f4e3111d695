"""What the first talk found out: whom a clinician sees first, and what frees it."""

from __future__ import annotations

import pytest

from generated import runner
from sitegen.rules.precedence import winner
from support import plan_of

ASKS = (
    "surgery: 2026-11-01", "concussion: 2026-08-01", "gave_birth: 2026-11-01", "pregnant: yes",
    "fainted: yes", "sudden_death_in_family: yes", "bone_stress: 2026-10-01", "bone_stress: 2026",
)  # fmt: skip
SCREENING = "on: 2026-12-01, regular_exercise: yes, known_disease: no, symptoms: no"


@pytest.mark.parametrize("told", ASKS)
def test_nothing_is_planned_without_a_clinicians_word(told: str) -> None:
    found = plan_of(runner(more=f"history: {{on: 2026-12-01, {told}}}"), "[]", "2027-01-04")

    assert found.sessions == () and found.status == "referred"
    assert "clinician's word" in str(found.decisions[0].says)


@pytest.mark.parametrize("told", ASKS)
def test_a_word_that_is_not_older_frees_it(told: str) -> None:
    asked = f"{{{SCREENING}, cleared_on: 2026-12-20, cleared_by: a doctor}}"
    more = f"history: {{on: 2026-12-01, {told}}}"
    assert plan_of(runner(screening=asked, more=more), "[]", "2027-01-04").sessions


@pytest.mark.parametrize(
    "told",
    ["surgery: 2026-06-01", "concussion: 2026-05-30", "gave_birth: 2026-09-01", "pregnant: no",
     "fainted: no", "bone_stress: 2026-05-30", "bone_stress: 2025",
     "injury: left shin in autumn", "missed_periods: yes"],
)  # fmt: skip
def test_what_is_long_ago_or_not_so_stops_nobody(told: str) -> None:
    more = f"history: {{on: 2026-12-01, {told}}}"
    assert plan_of(runner(more=more), "[]", "2027-01-04").sessions


@pytest.mark.parametrize(
    "told",
    ["injury: left shin in autumn", "bone_stress: 2019", "low_energy: yes", "weight_loss: yes",
     "missed_periods: yes", "on: 2027-01-02, gave_birth: 2026-04-01",
     "on: 2027-01-02, surgery: 2026-04-01"],
)  # fmt: skip
def test_some_answers_let_weeks_grow_half_as_fast(told: str) -> None:
    grows_half_as_fast(runner(plan=PLAN, more=f"history: {{{told}}}"))


@pytest.mark.parametrize("word", ["", ", cleared_on: 2026-12-10, cleared_by: a doctor"])
def test_a_known_disease_that_is_not_cleared_for_all_does_too(word: str) -> None:
    """A word for easy running is none for a tenth more of it each week."""
    asked = f"{SCREENING.replace('known_disease: no', 'known_disease: yes')}{word}"
    grows_half_as_fast(runner(plan=PLAN, screening=f"{{{asked}}}"))

    cleared = f"{asked.replace('a doctor', 'a doctor, cleared_for: all')}"
    weeks = plan_of(runner(plan=PLAN, screening=f"{{{cleared}}}"), "[]", "2027-01-04").weeks
    assert any(d.rule == "history" for d in weeks[0].decisions) is (not word)


@pytest.mark.parametrize("told", ["gave_birth: 2025-11-01", "surgery: 2025-11-01"])
def test_what_lies_a_year_back_slows_nothing(told: str) -> None:
    weeks = plan_of(runner(plan=PLAN, more=f"history: {{{told}}}"), "[]", "2027-01-04").weeks
    assert weeks == plan_of(runner(plan=PLAN), "[]", "2027-01-04").weeks


@pytest.mark.parametrize(
    ("words", "pain", "held"),
    [
        ("4/10, right heel", ["0", "1"], 1),
        ("right heel in the morning", ["0", "1"], 1),
        ("4/10, right heel", ["", ""], 2),  # a run without a score says nothing of it
        ("4/10, right heel", ["1", ""], 2),
        ("2/10, right heel", ["", ""], 0),
    ],
)
def test_pain_before_the_first_run_holds_until_two_runs_are_calm(
    words: str, pain: list[str], held: int
) -> None:
    """As pain of 3 and more in the log does; a sheet of the same pain at the start grew."""
    text = runner(
        plan="{from: 2027-01-04, weeks: 4, hard: {per_week: 1}}",
        more=f"history: {{on: 2027-01-02, pain_now: '{words}'}}",
    )
    first = plan_of(text, "[]", "2027-01-03").weeks[0]
    told = [
        {
            "on": str(s.on),
            "ran": f"{s.run_minutes:.0f} min",
            **({"pain": {"during": p}} if p else {}),
        }
        for s, p in zip([s for s in first.sessions if s.is_run], [*pain, "", ""], strict=False)
    ]
    for day in ("2027-01-10", "2027-01-11"):  # Sunday says what Monday does
        weeks = plan_of(text, told, day).weeks
        assert [week.kind for week in weeks[:2]].count("hold") == held
        assert all(week.run_minutes <= 120 for week in weeks[:held])
        won = [winner(week.kind, week.decisions) for week in weeks[:held]]
        assert [(one.claim, one.decision.rule) for one in won if one] == [
            ("floor", "history")
        ] * held
        assert not [s for week in weeks[:held] for s in week.sessions if s.hard]
        assert weeks[2].run_minutes > 120  # further ahead it is taken that they will be


PLAN = "{from: 2027-01-04, weeks: 3}"


def grows_half_as_fast(text: str) -> None:
    usual = plan_of(runner(plan=PLAN), "[]", "2027-01-04")
    slow = plan_of(text, "[]", "2027-01-04")
    grown = [week.run_minutes for week in usual.weeks]
    told_minutes = [week.run_minutes for week in slow.weeks]

    assert told_minutes[0] < grown[0] and told_minutes[2] < grown[2]
    assert told_minutes == sorted(told_minutes) and told_minutes[2] > told_minutes[0]
    assert any(d.rule == "history" for d in slow.weeks[0].decisions)
