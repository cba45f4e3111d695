"""Pain in a session and on its next morning: go on, hold, go back, pause and refer."""

from __future__ import annotations

import pytest

from generated import NEW_TO_EXERCISE, runner, training
from sitegen.model.plan import Plan
from support import plan_of

KNEE = "rules: {pain: {profile: knee}}"
TUESDAY = "2027-01-05"


def after(pain: str, profile: str = "") -> Plan:
    """The plan on Wednesday of week 1, after Tuesday's run with ``pain``."""
    log = f"[{{on: {TUESDAY}, ran: 36 min, pain: {{{pain}}}}}]"
    return plan_of(runner(more=profile), log, "2027-01-06")


def later_minutes(plan: Plan) -> float:
    """Running minutes of week 1 after Tuesday."""
    return sum(s.run_minutes for s in plan.weeks[0].sessions if s.on.day > 5)


@pytest.mark.parametrize("score", [0, 1, 2])
@pytest.mark.parametrize("profile", ["", KNEE])
def test_up_to_two_and_settled_the_plan_goes_on(score: int, profile: str) -> None:
    plan = after(f"during: {score}, next_morning: {score}", profile)

    assert plan.weeks[1].kind == "build"
    assert training(plan.weeks[1]) > 120


@pytest.mark.parametrize("score", [3, 4, 5])
@pytest.mark.parametrize("when", ["during", "after", "next_morning"])
@pytest.mark.parametrize("profile", ["", KNEE])
def test_three_to_five_holds(score: int, when: str, profile: str) -> None:
    """No growth of any kind: minutes, longest run, step rate."""
    told = f"{when}: {score}" if when != "next_morning" else f"during: {score}, {when}: {score}"
    plan = after(told, profile)

    assert plan.weeks[1].kind == "hold"
    assert training(plan.weeks[1]) <= 120
    assert plan.weeks[1].longest_minutes <= 45
    assert plan.weeks[1].cadence.aim == 160


@pytest.mark.parametrize("score", [6, 10])
@pytest.mark.parametrize("profile", ["", KNEE])
def test_over_five_goes_back_by_a_fifth(score: int, profile: str) -> None:
    plan = after(f"during: {score}", profile)

    assert plan.weeks[1].kind == "back"
    assert 120 * 0.8 - 4 <= training(plan.weeks[1]) <= 120 * 0.8


def test_worse_next_morning_goes_back() -> None:
    plan = after("during: 1, next_morning: 2")

    assert plan.weeks[1].kind == "back"
    assert training(plan.weeks[1]) <= 96


def test_worse_next_morning_holds_a_knee() -> None:
    plan = after("during: 1, next_morning: 2", KNEE)

    assert plan.weeks[1].kind == "hold"
    assert training(plan.weeks[1]) <= 120


def test_the_next_morning_told_in_a_check_in_of_its_own_belongs_to_its_session() -> None:
    log = f"""
    - {{on: {TUESDAY}, ran: 36 min, pain: {{during: 1}}}}
    - {{on: {TUESDAY}, pain: {{next_morning: 2}}}}
    """

    assert plan_of(runner(), log, "2027-01-06").weeks[1].kind == "back"


@pytest.mark.parametrize("profile", ["", KNEE])
def test_two_sessions_of_three_to_five_in_a_row_go_back(profile: str) -> None:
    log = """
    - {on: 2027-01-05, ran: 36 min, pain: {during: 3}}
    - {on: 2027-01-07, ran: 36 min, pain: {during: 5}}
    """

    assert plan_of(runner(more=profile), log, "2027-01-08").weeks[1].kind == "back"


def test_two_sessions_of_three_to_five_with_a_calm_one_between_hold() -> None:
    log = """
    - {on: 2027-01-05, ran: 36 min, pain: {during: 3}}
    - {on: 2027-01-07, ran: 36 min, pain: {during: 2}}
    - {on: 2027-01-09, ran: 36 min, pain: {during: 3}}
    """

    assert plan_of(runner(), log, "2027-01-10").weeks[1].kind == "hold"


@pytest.mark.parametrize(
    ("scores", "kind"),
    [((3, 2, 2), "build"), ((5, 0, 0), "build"), ((3, 2), "hold"), ((3, 0, 3, 0), "hold")],
)
def test_two_calm_sessions_in_a_row_release_the_hold(scores: tuple[int, ...], kind: str) -> None:
    days = (5, 7, 9, 10)
    log = [
        {"on": f"2027-01-{d:02}", "ran": "30 min", "pain": {"during": str(s)}}
        for d, s in zip(days, scores, strict=False)
    ]

    assert plan_of(runner(), log, "2027-01-11").weeks[1].kind == kind


def test_sessions_without_a_score_release_nothing() -> None:
    log = """
    - {on: 2027-01-05, ran: 36 min, pain: {during: 4}}
    - {on: 2027-01-07, ran: 36 min}
    - {on: 2027-01-09, ran: 36 min}
    """

    assert plan_of(runner(), log, "2027-01-11").weeks[1].kind == "hold"


def test_going_back_shortens_the_rest_of_the_same_week() -> None:
    """Pain on Tuesday: Tuesday stands as it was, the later runs lose a fifth or more."""
    calm, sore = after("during: 0"), after("during: 6")

    assert sore.weeks[0].sessions[0] == calm.weeks[0].sessions[0]
    assert later_minutes(sore) <= later_minutes(calm) * 0.8


def test_a_hold_stops_growth_in_the_rest_of_the_same_week() -> None:
    calm, sore = after("during: 0"), after("during: 4")

    assert later_minutes(sore) < later_minutes(calm)
    assert not any(s.hard for s in sore.weeks[0].sessions if s.on.day > 5)


def test_going_back_takes_one_rung_from_a_run_walk_week() -> None:
    text = runner(
        baseline="{on: 2027-01-04, cadence: 160 spm, pace: 7:00 /km, week: 60 min, "
        "longest: 25 min, continuous: 5 min, runs: 3}",
        screening=NEW_TO_EXERCISE,
    )
    calm = plan_of(text, "[{on: 2027-01-05, ran: 20 min, pain: {during: 0}}]", "2027-01-06")
    sore = plan_of(text, "[{on: 2027-01-05, ran: 20 min, pain: {during: 7}}]", "2027-01-06")

    assert calm.weeks[1].rung == calm.weeks[0].rung + 1
    assert sore.weeks[1].rung == plan_of(text).weeks[0].rung - 1


@pytest.mark.parametrize(
    ("second", "status"), [("2027-01-19", "referred"), ("2027-01-20", "active")]
)
def test_two_backs_within_fourteen_days_pause_and_refer(second: str, status: str) -> None:
    """The second on day 14 after the first refers; on day 15 it does not."""
    log = f"""
    - {{on: 2027-01-05, ran: 30 min, pain: {{during: 6}}}}
    - {{on: 2027-01-09, ran: 30 min, pain: {{during: 0}}}}
    - {{on: 2027-01-14, ran: 30 min, pain: {{during: 0}}}}
    - {{on: {second}, ran: 30 min, pain: {{during: 6}}}}
    """
    plan = plan_of(runner(), log, "2027-01-21")
    later = [s for s in plan.sessions if s.on.isoformat() > second]

    assert plan.status == status
    assert (later == []) is (status == "referred")


def test_after_a_referral_is_lifted_the_plan_goes_on_lower_than_before_the_pain() -> None:
    """The backs still count: the week after the lift is not over what was left by them."""
    log = """
    - {on: 2027-01-05, ran: 36 min, pain: {during: 6}}
    - {on: 2027-01-07, ran: 30 min, pain: {during: 6}}
    """
    lifted = "changes: [{on: 2027-01-11, rest: no, because: seen by a physiotherapist}]"
    plan = plan_of(runner(more=lifted), log, "2027-01-11")

    assert plan.status != "referred"
    assert 0 < training(plan.weeks[1]) <= 120 * 0.8


def test_pain_on_the_day_of_looking_acts_on_the_next_day() -> None:
    """As of Tuesday evening Thursday's run is already shorter."""
    log = f"[{{on: {TUESDAY}, ran: 36 min, pain: {{during: 8}}}}]"
    plan = plan_of(runner(), log, TUESDAY)

    assert later_minutes(plan) < later_minutes(plan_of(runner(), "[]", TUESDAY))
