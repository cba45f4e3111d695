"""What a careful clinician would not have signed: lives of invented runners, told a few weeks long.

Each was lived through the plan and found wanting; each is judgement, common practice, no source.
"""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from generated import runner
from sitegen.model.plan import Plan, Session
from support import plan_of

DAY = timedelta(days=1)
NEW = {
    "baseline": "{on: 2027-01-03, cadence: 158 spm, week: 0 min}",
    "screening": "{on: 2027-01-02, regular_exercise: no, known_disease: no, symptoms: no}",
    "week": "{tue: {}, thu: {}, sun: {}}",
}


def ahead(plan: Plan) -> list[Session]:
    return [s for s in plan.sessions if s.on >= plan.as_of]


def told(plan: Plan, code: str) -> list[str]:
    return [f"{p.message} ({p.hint})" for p in plan.problems if p.code == code]


def open_alarms(plan: Plan) -> set[str]:
    return {a.matter for a in plan.alarms if a.is_open}


def notices(plan: Plan) -> dict[str, str]:
    return {a.matter: a.says for a in plan.alarms if a.kind == "notice"}


# --- who hurts ----------------------------------------------------------------------------------


@pytest.mark.parametrize("lifted", ["", "pain 2027-01-14", "limp 2027-01-14"])
def test_a_lift_of_what_was_not_told_says_that_it_lifts_nothing(lifted: str) -> None:
    lift = f"lifts: {lifted}, seen_by: a physio" if lifted else "rest: yes"
    more = f"changes: [{{on: 2027-01-20, {lift}, because: fine}}]"
    log = "[{on: 2027-01-14, ran: 30 min, signs: [limp]}]"
    plan = plan_of(runner(more=more), log, "2027-01-20")

    wrong = told(plan, "lifts-nothing")
    if lifted.startswith("pain"):
        assert wrong == [
            "this lifts nothing: pain was not told on 2027-01-14 (what stands is limp 2027-01-14)"
        ]
        assert ahead(plan) == []
    else:
        assert wrong == []


def test_a_lift_beside_a_lost_log_is_not_to_be_taken_out_unasked() -> None:
    more = "changes: [{on: 2027-01-20, lifts: limp 2027-01-14, seen_by: a physio, because: fine}]"
    (wrong,) = told(plan_of(runner(more=more), "[]", "2027-01-20"), "lifts-nothing")

    assert "(is a log gone, or does it lie under another name, bring it back" in wrong


@pytest.mark.parametrize(("again", "is_referred"), [(28, True), (29, False)])
def test_severe_again_within_28_days_is_for_a_clinician_also_after_a_lift(
    again: int, is_referred: bool
) -> None:
    """6 twice, seen and lifted; 7 some days after the second, whatever the lift said."""
    second = date(2027, 1, 14)
    log = [
        {"on": "2027-01-05", "ran": "30 min", "pain": {"during": "6", "next_morning": "0"}},
        {"on": "2027-01-09", "pain": {"walking": "0"}},
        {"on": f"{second}", "ran": "20 min", "pain": {"during": "6", "next_morning": "0"}},
        *(
            {"on": f"{second + DAY * n}", "ran": "15 min", "pain": {"during": "0"}}
            for n in (8, 11, 15, 18, 22)
        ),
        {"on": f"{second + DAY * again}", "ran": "20 min", "pain": {"during": "7"}},
    ]
    lift = f"changes: [{{on: 2027-01-20, lifts: pain {second}, seen_by: a physio, because: ok}}]"
    as_of = second + DAY * (again + 1)
    plan = plan_of(runner(more=lift), log, f"{as_of}")

    assert (plan.status == "referred") is is_referred
    assert not (is_referred and ahead(plan))
    assert ("pain" in open_alarms(plan)) is is_referred


@pytest.mark.parametrize(("days", "asks"), [(1, True), (2, False), (3, False)])
def test_a_run_in_the_two_days_of_rest_is_a_run_while_stopped(days: int, asks: bool) -> None:
    log = [
        {"on": "2027-01-12", "ran": "30 min", "pain": {"during": "6", "next_morning": "1"}},
        {"on": f"{date(2027, 1, 12) + DAY * days}", "ran": "20 min", "pain": {"during": "0"}},
    ]

    assert ("ran_while_stopped" in open_alarms(plan_of(runner(), log, "2027-01-16"))) is asks


@pytest.mark.parametrize("weeks", range(1, 9))
def test_a_beginner_who_hurts_on_walks_has_always_something_to_walk(weeks: int) -> None:
    """Two runs of 3 and 4, then walks that are not calm: the plan never ends at nothing."""
    days = [date(2027, 1, 4) + DAY * (7 * week + d) for week in range(weeks) for d in (1, 3, 6)]
    log = [
        {"on": f"{day}", "effort": "2", "pain": {"during": f"{3 if n % 3 else 2}", "site": "knee"}}
        | ({"ran": "3 min"} if n < 2 else {})
        for n, day in enumerate(days)
    ]
    plan = plan_of(runner(**NEW), log, f"{days[-1] + DAY}")

    assert plan.status == "referred" or ahead(plan), "walking at least"


@pytest.mark.parametrize(
    "told",
    [("during: 3", "during: 4, next_morning: 2"), ("during: 0", "during: 0"), ("during: 0",)],
)
@pytest.mark.parametrize("days", range(1, 38, 6))
def test_a_beginner_who_comes_back_after_some_weeks_finds_the_first_step(
    told: tuple[str, ...], days: int
) -> None:
    """Also in weeks that are only looked ahead to; after 56 days a new baseline is asked for."""
    runs = [
        {"on": f"2027-01-0{5 + 2 * n}", "ran": "3 min", "pain": f"{{{pain}}}"}
        for n, pain in enumerate(told)
    ]
    last = date(2027, 1, 5 + 2 * (len(told) - 1))
    skips = [{"on": f"{last + DAY * n}", "skipped": "travel"} for n in range(2, days + 1, 2)]
    log = ", ".join(
        "{" + ", ".join(f"{key}: {value}" for key, value in entry.items()) + "}"
        for entry in (*runs, *skips)
    )
    plan = plan_of(runner(**NEW), f"[{log}]", f"{last + DAY * days}")
    later = [w for w in plan.weeks if w.start > plan.as_of][:2]

    assert len(later) == 2 and any(w.sessions for w in later)
    assert all(w.sessions or w.kind == "ease" for w in later), [w.kind for w in plan.weeks]


# --- who overdoes it ----------------------------------------------------------------------------


def test_a_month_of_overdoing_is_one_notice_of_each_kind_as_long_as_it_lasts() -> None:
    told = plan_of(runner(), "[]", "2027-01-04").sessions
    days = [s.on for s in told if s.is_run and not s.hard][:16]
    log = [{"on": f"{day}", "ran": "90 min", "effort": "7"} for day in days]
    plan = plan_of(runner(), log, f"{days[-1]}")
    found = [a for a in plan.alarms if a.kind == "notice"]

    assert [a.matter for a in found] == [*{a.matter: 0 for a in found}] and len(found) == 2
    assert int(notices(plan)["over_effort"].partition(" easy runs in a row")[0]) > 10
    assert notices(plan)["over_minutes"].endswith("such days in two weeks")


# --- who falls ill ------------------------------------------------------------------------------


@pytest.mark.parametrize(("weeks", "share"), [(1, 1.0), (4, 0.5)])
def test_an_illness_that_is_told_only_once_it_is_over_was_one(weeks: int, share: float) -> None:
    """Silence, then "well again": what nobody told of was no running."""
    last = date(2027, 1, 17)
    over = last + timedelta(weeks=weeks)
    runs = [s for s in plan_of(runner(), "[]", "2027-01-04").sessions if s.on <= last and s.is_run]
    log = [{"on": f"{s.on}", "ran": f"{round(s.run_minutes)} min"} for s in runs]
    plan = plan_of(runner(), [*log, {"on": f"{over}", "well_again": "yes"}], f"{over + DAY}")

    assert not [s for s in plan.sessions if over <= s.on <= over + DAY], "a day more"
    next_week = next(w for w in plan.weeks if w.start > over)
    assert next_week.run_minutes <= share * max(w.run_minutes for w in plan.weeks[:2]) + 1
    assert next_week.kind == "return" or weeks == 1
