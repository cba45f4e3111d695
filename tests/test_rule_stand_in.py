"""A baseline that only stands in plans nothing; a known disease, not active, begins as new."""

from __future__ import annotations

from generated import runner
from support import plan_of, tree

DISEASED = (
    "{on: 2026-12-01, regular_exercise: no, known_disease: yes, symptoms: no, "
    "cleared_on: 2026-12-10, cleared_by: a doctor}"
)


def test_numbers_that_stand_in_plan_nothing() -> None:
    raw = tree(runner()) if isinstance(runner(), str) else dict(runner())
    raw["baseline"] = {**raw["baseline"], "stands_in": "yes"}
    plan = plan_of(raw, "[]", "2027-01-04")

    assert plan.sessions == () and plan.status == "paused"
    assert "where you start from" in str(plan.decisions[0].says)


def test_a_known_disease_and_not_active_begins_as_new_once_cleared() -> None:
    """The file says 120 min a week; the plan starts as it would from none."""
    plan = plan_of(runner(screening=DISEASED), "[]", "2027-01-04")
    first = plan.weeks[0]

    assert plan.status == "active"
    assert 0 < first.run_minutes <= 15
    assert all(s.kind == "run_walk" for s in first.sessions if s.is_run)
    assert not any(s.hard for s in plan.sessions)


def test_active_with_a_known_disease_keeps_the_baseline() -> None:
    asked = DISEASED.replace("regular_exercise: no", "regular_exercise: yes")
    assert plan_of(runner(screening=asked), "[]", "2027-01-04").weeks[0].run_minutes > 60
