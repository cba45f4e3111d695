"""What the first talk found out: whom a clinician sees first, and what frees it."""

from __future__ import annotations

import pytest

from generated import runner
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
     "missed_periods: yes"],
)  # fmt: skip
def test_some_answers_let_weeks_grow_half_as_fast(told: str) -> None:
    plan = "{from: 2027-01-04, weeks: 3}"
    usual = plan_of(runner(plan=plan), "[]", "2027-01-04")
    slow = plan_of(runner(plan=plan, more=f"history: {{{told}}}"), "[]", "2027-01-04")
    grown = [week.run_minutes for week in usual.weeks]
    told_minutes = [week.run_minutes for week in slow.weeks]

    assert told_minutes[0] < grown[0] and told_minutes[2] < grown[2]
    assert told_minutes == sorted(told_minutes) and told_minutes[2] > told_minutes[0]
    assert any(d.rule == "history" for d in slow.weeks[0].decisions)
