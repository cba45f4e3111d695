"""What a warning tells a coach to write instead: written, it does what it says."""

from __future__ import annotations

import re
from datetime import date

import pytest

from generated import NEW_TO_EXERCISE, runner
from sitegen.model.plan import Plan
from sitegen.model.problem import Problem
from support import plan_of

BASELINE = "{{on: 2027-01-04, cadence: 165 spm, pace: 6:00 /km, week: {}, longest: {}, runs: {}}}"
FOUR_DAYS = "{mon: {}, wed: {}, fri: {}, sun: {}}"


def told(plan: Plan, words: str) -> list[Problem]:
    return [problem for problem in plan.problems if words in problem.message]


def minutes(plan: Plan) -> float:
    return sum(week.run_minutes for week in plan.weeks)


def of(week: str, plan: str, baseline: tuple[str, str, int], more: str = "") -> Plan:
    written = f"{{from: 2027-01-04, weeks: 12, {plan}}}"
    return plan_of(runner(baseline=BASELINE.format(*baseline), week=week, plan=written, more=more))


@pytest.mark.parametrize(
    ("days", "number", "hint", "better"),
    [
        (FOUR_DAYS, "runs: 2", "write runs: 3, or", (FOUR_DAYS, "runs: 3")),
        ("{wed: {}, sun: {}}", "", "offer one more running day, or", (FOUR_DAYS, "")),
        (
            "{wed: {}, sun: {}}",
            "runs: 2",
            "offer one more running day and write runs: 3, or",
            (FOUR_DAYS, "runs: 3"),
        ),
    ],
)
def test_one_run_more_is_offered_as_what_keeps_a_week_from_it(
    days: str, number: str, hint: str, better: tuple[str, str]
) -> None:
    """ "Offer one more running day" stood where four were offered and two were written."""
    baseline = ("400 min", "100 min", 4)
    plan = of(days, number, baseline)

    (problem,) = told(plan, "hold less running")

    assert problem.hint.startswith(hint)
    assert minutes(of(*better, baseline)) > minutes(plan)


@pytest.mark.parametrize(("before", "is_of_use"), [("120 min", False), ("60 min", True)])
def test_a_smaller_growth_is_proposed_where_the_week_of_before_has_room(
    before: str, is_of_use: bool
) -> None:
    days = "{tue: {up_to: 45 min}, sat: {up_to: 45 min}}"
    plan = of(days, "", (before, "35 min", 2))
    (problem,) = told(plan, "hold less running")

    assert ("write a smaller growth" in problem.hint) == is_of_use
    assert bool(told(of(days, "growth: 0 %", (before, "35 min", 2)), "hold less")) != is_of_use


@pytest.mark.parametrize(
    ("days", "runs", "hint"),
    [
        (FOUR_DAYS, "runs: 1", "write runs: 2, or leave hard out"),
        ("{wed: {}}", "runs: 1", "offer one more running day and write runs: 2, or leave hard out"),
        ("{wed: {}}", "", "offer one more running day, or leave hard out"),
    ],
)
def test_a_single_run_gets_a_second_by_what_is_told(days: str, runs: str, hint: str) -> None:
    """ "Offer a day for a second run or write runs: 2": neither alone did where one day was
    offered and one run was written."""
    hard = f"hard: {{from_week: 2}}, {runs}"

    (problem,) = told(of(days, hard, ("90 min", "60 min", 2)), "a single run a week")

    assert problem.hint == hint


def test_the_reason_for_fewer_runs_is_the_one_there_is() -> None:
    """ "As days are offered for 3", stood over two runs; and "offer other days" over one day."""
    new = runner(
        baseline=BASELINE.format("60 min", "20 min", 3),
        week="{mon: {}, wed: {}, thu: {}}",
        screening=NEW_TO_EXERCISE,
        plan="{from: 2027-01-04, weeks: 8, runs: 4}",
    )
    (between,) = told(plan_of(new), "where 4 are written")
    (offered,) = told(of("{wed: {}}", "runs: 2", ("60 min", "40 min", 2)), "where 2 are written")

    assert between.message.endswith(
        "2 runs at most, where 4 are written, as a day lies between two"
    )
    assert between.hint == "write runs: 2"  # of four there are always two on neighbouring days
    assert "1 run at most" in offered.message
    assert offered.hint == "offer one more running day, or write runs: 1"


def test_no_day_is_said_to_keep_runs_short_that_has_room_for_each_of_them() -> None:
    """ "Its room for 65 min would keep the others as short": none of them was over 63."""
    plan = plan_of(
        runner(
            baseline=BASELINE.format("159 min", "60 min", 4),
            week="{mon: {}, wed: {}, fri: {up_to: 75 min}, sat: {}, sun: {up_to: 40 min}, "
            "long: sun}",
            screening=NEW_TO_EXERCISE,
            plan="{from: 2027-01-04, weeks: 8}",
        )
    )

    assert {s.on.weekday() for s in plan.sessions if s.is_run} == {0, 2, 5}
    assert max(week.longest_minutes for week in plan.weeks) <= 65
    assert told(plan, "No run on") == []


def test_a_second_hard_run_is_proposed_only_where_a_week_has_days_for_it() -> None:
    """Written for three runs a week, or where two hard ones stood already, it changed nothing."""
    hard = "hard: {{from_week: 1, per_week: {}}}"
    two = of("{tue: {}, fri: {up_to: 50 min}, sun: {}}", hard.format(2), ("240 min", "90 min", 3))
    six = "{mon: {}, tue: {}, wed: {}, thu: {}, sat: {}, sun: {}}"
    one = of(six, hard.format(1), ("280 min", "90 min", 6))

    assert [p.hint for p in told(two, "hold no more") if "per_week" in p.hint] == []
    (problem,) = told(one, "hold no more")
    assert problem.hint.startswith("write hard: {per_week: 2}, or write the share")


EVENT = "goal: {{event: {{on: {}, distance: {}}}}}"


def to_event(runs: str, on: str, distance: str, weeks: int = 11) -> Plan:
    return plan_of(
        runner(
            baseline=BASELINE.format("94 min", "40 min", 3),
            week="{tue: {up_to: 2 h}, wed: {}, fri: {}, sun: {}}",
            plan=f"{{from: 2027-01-04, weeks: {weeks}, growth: 3 %, {runs}}}",
            more=EVENT.format(on, distance),
        )
    )


def test_a_date_is_named_where_the_coach_wrote_fewer_runs_and_it_does() -> None:
    """ "They never reach it", by the share that a long run has of as many runs as days: in 13
    plans of 400, a later date reached it."""
    (out,) = told(to_event("runs: 2", "2027-03-21", "half marathon"), "the event asks for")
    named = re.search(r"an event on (\S+) or later would", out.hint)

    assert named
    weeks = (date.fromisoformat(named[1]) - date(2027, 1, 4)).days // 7 + 1
    assert told(to_event("runs: 2", named[1], "half marathon", weeks), "the event asks for") == []


def test_a_date_that_no_plan_reaches_from_here_is_one_of_a_later_plan() -> None:
    """Written as the event's, it is outside the 52 weeks that a plan may have."""
    plan = to_event("runs: 3, enough: 600 min", "2027-03-21", "marathon")
    (out,) = told(plan, "the event asks for")
    named = re.search(r"an event on (\S+) or later, in a plan that begins later, would", out.hint)

    assert named
    assert (date.fromisoformat(named[1]) - date(2027, 1, 4)).days >= 52 * 7


def test_a_longer_run_of_long_before_is_not_denied() -> None:
    """ "The longest run before this event will be 36 min" stood in a plan that had one of 39."""
    plan = plan_of(
        runner(
            baseline=BASELINE.format("45 min", "30 min", 2),
            week="{wed: {up_to: 40 min}, thu: {up_to: 1 h}, sat: {}, long: sat}",
            plan="{from: 2027-01-04, weeks: 14, enough: 120 min}",
            more=EVENT.format("2027-04-11", "10 km") + "\naway: "
            "[{from: 2027-02-02, to: 2027-02-21, because: a holiday}]",
        )
    )
    (out,) = told(plan, "the event asks for")
    said = re.match(r"the longest run (.*) will be (\d+) min", out.message)
    runs = [s.run_minutes for s in plan.sessions if s.is_run and s.kind != "event"]

    assert said
    assert max(runs) > int(said[2])
    assert said[1] == "near enough to this event to count"
