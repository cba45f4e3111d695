"""Signs that stop the plan: some urgently, others until the coach lifts the pause."""

from __future__ import annotations

import pytest

from generated import OTHER, URGENT, runner
from support import plan_of

LIFT = "changes: [{on: 2027-01-13, rest: no, because: seen and cleared}]"


@pytest.mark.parametrize("sign", URGENT)
def test_an_urgent_sign_stops_and_refers(sign: str) -> None:
    plan = plan_of(runner(), f"[{{on: 2027-01-05, ran: 10 min, signs: [{sign}]}}]", "2027-01-05")
    words = [str(d.says) for w in plan.weeks for d in w.decisions if d.rule == "signs"]

    assert plan.status == "referred"
    assert [s.id for s in plan.sessions if s.on.isoformat() > "2027-01-05"] == []
    assert words and all("Stop." in w and "Do not run" in w for w in words)


@pytest.mark.parametrize("sign", OTHER)
def test_any_other_sign_pauses(sign: str) -> None:
    plan = plan_of(runner(), f"[{{on: 2027-01-05, ran: 10 min, signs: [{sign}]}}]", "2027-01-06")

    assert plan.status == "paused"
    assert [s.id for s in plan.sessions if s.on.isoformat() > "2027-01-05"] == []


@pytest.mark.parametrize("sign", OTHER)
def test_the_coach_lifts_the_pause(sign: str) -> None:
    """Nothing before the day of the lift, sessions from that day on."""
    log = f"[{{on: 2027-01-05, ran: 10 min, signs: [{sign}]}}]"
    plan = plan_of(runner(more=LIFT), log, "2027-01-13")
    between = [s for s in plan.sessions if "2027-01-05" < s.on.isoformat() < "2027-01-13"]

    assert plan.status == "active"
    assert between == []
    assert any(s.on.isoformat() >= "2027-01-13" for s in plan.weeks[1].sessions)


@pytest.mark.parametrize("sign", URGENT)
def test_the_coach_does_not_lift_an_urgent_stop(sign: str) -> None:
    """That takes a clinician: a later `cleared_on`."""
    log = f"[{{on: 2027-01-05, ran: 10 min, signs: [{sign}]}}]"
    plan = plan_of(runner(more=LIFT), log, "2027-01-14")

    assert plan.status == "referred"
    assert [s.id for s in plan.sessions if s.on.isoformat() > "2027-01-05"] == []


def test_a_clearance_after_the_sign_ends_an_urgent_stop() -> None:
    screening = (
        "{on: 2026-12-01, regular_exercise: yes, known_disease: no, symptoms: no, "
        "cleared_on: 2027-01-12}"
    )
    log = "[{on: 2027-01-05, ran: 10 min, signs: [chest_pain]}]"
    plan = plan_of(runner(screening=screening), log, "2027-01-13")

    assert plan.status == "active"
    assert any(s.on.isoformat() > "2027-01-12" for s in plan.sessions)
    assert not any("2027-01-05" < s.on.isoformat() < "2027-01-12" for s in plan.sessions)


def test_a_lift_before_the_sign_lifts_nothing() -> None:
    log = "[{on: 2027-01-14, ran: 10 min, signs: [swelling]}]"

    assert plan_of(runner(more=LIFT), log, "2027-01-15").status == "paused"


def test_a_second_sign_after_the_lift_pauses_again() -> None:
    log = """
    - {on: 2027-01-05, ran: 10 min, signs: [limp]}
    - {on: 2027-01-16, ran: 10 min, signs: [limp]}
    """

    assert plan_of(runner(more=LIFT), log, "2027-01-17").status == "paused"


def test_a_sign_with_a_skipped_session_counts_too() -> None:
    log = "[{on: 2027-01-05, skipped: pain, signs: [night_pain]}]"

    assert plan_of(runner(), log, "2027-01-06").status == "paused"


def test_a_sign_that_is_not_yet_logged_on_the_day_of_looking_stops_nothing() -> None:
    log = "[{on: 2027-01-12, ran: 10 min, signs: [chest_pain]}]"

    assert plan_of(runner(), log, "2027-01-06").status == "active"
