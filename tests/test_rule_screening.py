"""Who may start, who sees a clinician first, and who may do nothing hard yet."""

from __future__ import annotations

from datetime import date

import pytest

from generated import runner
from sitegen.model.plan import Session
from sitegen.plan.ahead import ahead
from support import case_of, plan_of

HARD = "{from: 2027-01-04, weeks: 8, hard: {from_week: 1, per_week: 1}}"
RUNS = "{on: 2027-01-04, cadence: 160 spm, pace: 6:30 /km, week: 240 min, longest: 70 min, runs: 4}"
DAYS = "{mon: {}, tue: {}, wed: {}, thu: {}, fri: {}, sat: {}, sun: {}}"


def screened(active: str, disease: str, symptoms: str, more: str = "") -> str:
    answers = (
        f"{{on: 2026-12-01, regular_exercise: {active}, known_disease: {disease}, "
        f"symptoms: {symptoms}{more}}}"
    )
    return runner(screening=answers, plan=HARD, baseline=RUNS, week=DAYS)


# The decision table after Riebe D et al., Med Sci Sports Exerc 2015;47(11):2473-2479; its details
# are quoted from memory.
@pytest.mark.parametrize(
    ("active", "disease", "symptoms", "outcome"),
    [
        ("yes", "no", "no", "hard"),
        ("no", "no", "no", "runs"),
        ("yes", "yes", "no", "easy"),
        ("no", "yes", "no", "referred"),
        ("yes", "no", "yes", "referred"),
        ("no", "no", "yes", "referred"),
        ("yes", "yes", "yes", "referred"),
        ("no", "yes", "yes", "referred"),
    ],
)
def test_the_three_questions_decide(active: str, disease: str, symptoms: str, outcome: str) -> None:
    plan = plan_of(screened(active, disease, symptoms))

    assert (plan.status == "referred") is (outcome == "referred")
    assert bool(plan.sessions) is (outcome != "referred")
    if outcome == "hard":
        assert any(s.hard for s in plan.sessions)
    if outcome == "easy":
        assert not any(s.hard for s in plan.sessions)


def test_a_referred_plan_says_why_in_every_week() -> None:
    plan = plan_of(screened("no", "yes", "no"))

    assert all(any(d.rule == "screening" for d in w.decisions) for w in plan.weeks)


@pytest.mark.parametrize(("symptoms", "disease"), [("yes", "no"), ("no", "yes")])
def test_a_clearance_opens_the_plan_from_its_day_on(symptoms: str, disease: str) -> None:
    cleared = ", cleared_on: 2027-01-13, cleared_by: a doctor, cleared_for: all"
    plan = plan_of(screened("no", disease, symptoms, cleared), as_of="2027-01-14")
    days = [s.on.isoformat() for s in plan.sessions]

    assert plan.status == "active"
    assert min(days) >= "2027-01-13"
    assert min(days) <= "2027-01-17"


def test_before_the_day_of_clearance_the_status_is_referred() -> None:
    text = screened(
        "no", "yes", "no", ", cleared_on: 2027-01-13, cleared_by: a doctor, cleared_for: all"
    )

    assert plan_of(text, as_of="2027-01-12").status == "referred"


def test_cleared_and_active_hard_sessions_are_allowed() -> None:
    plan = plan_of(
        screened(
            "yes", "yes", "no", ", cleared_on: 2026-12-20, cleared_by: a doctor, cleared_for: all"
        )
    )

    assert any(s.hard for s in plan.sessions)


def test_an_event_without_clearance_is_an_easy_run() -> None:
    goal = "goal: {event: {on: 2027-02-20, distance: 5 km}}"

    def event(cleared: str) -> Session:
        plan = plan_of(screened("yes", "yes", "no", cleared) + goal)
        return next(s for s in plan.sessions if s.kind == "event")

    held, free = (
        event(""),
        event(", cleared_on: 2026-12-20, cleared_by: a doctor, cleared_for: all"),
    )
    assert (held.effort_low, held.effort_high) == (2, 3)
    assert any("until a clinician" in str(p.text) for p in held.parts)
    assert free.effort_high > 5
    assert not any("clinician" in str(p.text) for p in free.parts)


def test_a_clearance_that_still_lies_ahead_is_told() -> None:
    """An appointment is no clearance; runs from that day on are planned all the same."""
    case = case_of(
        screened(
            "no", "no", "yes", ", cleared_on: 2027-01-20, cleared_by: a doctor, cleared_for: all"
        )
    )

    told = list(ahead(case, date(2027, 1, 13)))
    assert [(p.code, p.level) for p in told] == [("cleared-ahead", "warning")]
    assert list(ahead(case, date(2027, 1, 20))) == []


def test_a_sign_dated_ahead_asks_to_speak_to_the_client_now() -> None:
    log = "- {on: 2027-01-14, signs: [chest_pain]}\n- {on: 2027-01-15, ran: 20 min}\n"
    case = case_of(screened("yes", "no", "no"), log)

    told = [p for p in ahead(case, date(2027, 1, 13)) if "chest pain" in p.message]
    assert len(told) == 1 and "speak to the client now" in told[0].hint


def test_no_change_puts_a_session_into_a_stop() -> None:
    changes = "[{on: 2027-01-07, minutes: 40 min, because: she asked}]"
    client = screened("no", "no", "yes").replace("plan:", f"changes: {changes}\nplan:", 1)

    plan = plan_of(client)
    assert plan.status == "referred" and plan.sessions == ()
    assert any("not carried out" in str(d.says) for d in plan.weeks[0].decisions if d.warns)
