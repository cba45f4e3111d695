"""Who may start, who sees a clinician first, and who may do nothing hard yet."""

from __future__ import annotations

from datetime import date

import pytest

from generated import runner
from sitegen.model.plan import Session
from sitegen.plan.ahead import ahead
from sitegen.practice.records import read_client
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


ASKS = (
    "fainted: yes", "concussion: 2026-10-20", "bone_stress: 2026-09-01", "gave_birth: 2026-10-01",
    "surgery: 2026-10-01", "pregnant: yes", "medicines: [insulin]", "sudden_death_in_family: yes",
    "pain_now: tight across the chest on stairs", "pain_now: heel 7 of 10",
    "low_energy: yes, weight_loss: yes",
)  # fmt: skip
WORD = ", cleared_on: 2026-12-20, cleared_by: a doctor"


def told_before(history: str, word: str, more: str = "") -> str:
    text = screened("yes", "no", "no", word)
    return f"{text}history: {{on: 2026-12-01, {history}}}\n{more}"


@pytest.mark.parametrize("asks", ASKS)
@pytest.mark.parametrize(
    ("cleared_for", "is_hard"),
    [("", False), (", cleared_for: easy", False), (", cleared_for: all", True)],
)
def test_whatever_asks_for_a_clearance_has_nothing_hard_by_one_for_easy_running(
    asks: str, cleared_for: str, is_hard: bool
) -> None:
    plan = plan_of(told_before(asks, WORD + cleared_for), "[]", "2027-01-04")

    assert plan.sessions and any(s.hard for s in plan.sessions) is is_hard


def test_a_word_on_the_way_back_is_for_easy_running() -> None:
    way = "return: {after: bone-stress, cleared_on: 2026-12-20, by: a doctor}\n"
    assert not any(
        s.hard for s in plan_of(told_before(ASKS[2], "", way), "[]", "2027-01-04").sessions
    )


def test_a_clearance_that_is_older_than_what_was_told_since_is_none_for_hard_running() -> None:
    """The word on a way back brings runs; the older one, for all, was on something else."""
    history = "history: {on: 2026-12-27, fainted: yes}\n"
    way = "return: {after: long-absence, cleared_on: 2026-12-28, by: a doctor}\n"
    plan = plan_of(screened("yes", "no", "no", f"{WORD}, cleared_for: all") + history + way)

    assert plan.sessions and not any(s.hard for s in plan.sessions)


def test_a_hard_session_that_is_put_there_waits_for_the_clearance_too() -> None:
    put = "changes: [{on: 2027-01-20, session: hills-short, because: she asked}]\n"
    plan = plan_of(
        told_before("pregnant: yes", f"{WORD}, cleared_for: easy", put), "[]", "2027-01-04"
    )

    assert not any(s.hard for s in plan.sessions)
    said = [str(d.says) for d in plan.weeks[2].decisions if d.warns]
    assert any("the day stays as it was" in one for one in said)
    assert "Nothing hard until a clinician has cleared it." in said


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (told_before(ASKS[0], WORD), "under fainted asks for a clearance, and that of 2026-12-20 "
         "does not say for what"),
        (told_before(ASKS[5], f"{WORD}, cleared_for: easy"), "under pregnant asks for a clearance, "
         "and that of 2026-12-20 is for easy running"),
        (told_before(ASKS[2], "", "return: {after: bone-stress, cleared_on: 2026-12-20, by: D}\n"),
         "under bone_stress asks for a clearance, and there is none for hard running"),
        (screened("yes", "yes", "no"), "disease asks for a clearance, and there is none"),
        (screened("yes", "yes", "no", f"{WORD}, cleared_for: easy"), "disease asks for a "
         "clearance, and that of 2026-12-20 is for easy running"),
        (screened("no", "no", "yes", f"{WORD}, cleared_for: easy"), "symptoms asks for a "
         "clearance, and that of 2026-12-20 is for easy running"),
        (told_before(ASKS[0], ""), ""),  # nothing at all is planned, which is told
        (told_before(ASKS[0], f"{WORD}, cleared_for: all"), ""),
        (told_before("heat: fine", f"{WORD}, cleared_for: easy"), ""),
    ],
)  # fmt: skip
def test_check_says_which_clearance_there_is_where_hard_running_has_none(
    text: str, says: str
) -> None:
    goal = "goal: {event: {on: 2027-02-20, distance: 5 km}}\n"
    read = read_client((text + goal).encode(), "clients/runner.yaml")
    told = {p.code: p.message for p in read.problems if p.code.endswith("-not-cleared")}

    assert set(told) == ({"hard-not-cleared", "event-not-cleared"} if says else set())
    assert all(says in message for message in told.values())
