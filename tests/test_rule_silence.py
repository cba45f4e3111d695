"""A past week without a check-in is not assumed done."""

from __future__ import annotations

from generated import runner, training
from support import plan_of


def test_after_a_silent_week_the_next_does_not_grow() -> None:
    plan = plan_of(runner(), "[]", "2027-01-11")

    assert training(plan.weeks[0]) > 120
    assert plan.weeks[1].kind == "hold"
    assert training(plan.weeks[1]) <= 120


def test_a_week_that_is_not_over_is_not_yet_silent() -> None:
    plan = plan_of(runner(), "[]", "2027-01-10")

    assert plan.weeks[1].kind == "build"


def test_one_check_in_breaks_the_silence() -> None:
    plan = plan_of(runner(), "[{on: 2027-01-05, ran: 42 min}]", "2027-01-11")

    assert plan.weeks[1].kind == "build"


def test_a_skipped_session_is_a_check_in() -> None:
    plan = plan_of(runner(), "[{on: 2027-01-05, skipped: ill}]", "2027-01-11")

    assert not any(d.rule == "silence" for d in plan.weeks[1].decisions)


def test_silence_of_many_weeks_never_grows() -> None:
    plan = plan_of(runner(), "[]", "2027-02-01")

    assert max(training(w) for w in plan.weeks[1:5]) <= 120


def test_two_silent_weeks_are_told_to_the_coach_and_one_check_in_ends_it() -> None:
    def told(log: str, as_of: str) -> list[str]:
        return [p.message for p in plan_of(runner(), log, as_of).problems if p.code == "unheard"]

    assert told("[]", "2027-01-11") == []
    assert ["last 2 weeks" in m for m in told("[]", "2027-01-18")] == [True]
    assert ["last 4 weeks" in m for m in told("[]", "2027-02-01")] == [True]
    assert told("[{on: 2027-01-26, skipped: ill}]", "2027-02-01") == []


def test_weeks_after_the_held_one_grow_again() -> None:
    plan = plan_of(runner(), "[]", "2027-01-11")

    assert plan.weeks[2].kind == "build"
    assert training(plan.weeks[2]) > training(plan.weeks[1])
