"""Days between: hard and long apart, and a day off after each run for new runners."""

from __future__ import annotations

from datetime import timedelta
from itertools import combinations, pairwise

import pytest

from generated import NEW_TO_EXERCISE, NOTHING, runner, runs_of, training
from sitegen.model.client import DAYS
from support import plan_of

NOVICE = (
    "{on: 2027-01-04, cadence: 175 spm, pace: 7:00 /km, week: 60 min, longest: 20 min, "
    "continuous: 10 min, runs: 3}"
)
REGULAR = (
    "{on: 2027-01-04, cadence: 175 spm, pace: 6:00 /km, week: 240 min, longest: 70 min, runs: RUNS}"
)
FIRST_THURSDAYS = ("2027-01-07", "2027-01-14")
EVERY_CHOICE = [c for n in range(1, 8) for c in combinations(DAYS, n)]


def week_text(days: tuple[str, ...]) -> str:
    return "{" + ", ".join(f"{d}: {{for: [run, strength]}}" for d in days) + "}"


def test_hard_and_long_stand_apart_for_every_choice_of_days() -> None:
    """All 127 weeks from one free day to seven."""
    together = []
    for days in EVERY_CHOICE:
        text = runner(
            baseline=REGULAR.replace("RUNS", str(len(days))),
            week=week_text(days),
            plan="{from: 2027-01-04, weeks: 3, hard: {from_week: 1, per_week: 2}}",
        )
        demanding = sorted({s.on for s in plan_of(text).sessions if s.hard or s.kind == "long"})
        together += [(days, a, b) for a, b in pairwise(demanding) if (b - a).days == 1]

    assert together == []


def test_new_runners_have_a_day_off_between_runs_for_every_choice_of_days() -> None:
    """Two days in a row only where the week has no two days apart, and then with a warning."""
    wrong = []
    for days in EVERY_CHOICE:
        text = runner(
            baseline=NOVICE,
            screening=NEW_TO_EXERCISE,
            week=week_text(days),
            plan="{from: 2027-01-04, weeks: 3}",
        )
        plan = plan_of(text)
        runs = sorted({s.on for w in plan.weeks for s in runs_of(w)})
        in_a_row = any((b - a).days == 1 for a, b in pairwise(runs))
        places = [DAYS.index(d) for d in days]
        free = any((b - a) % 7 not in (1, 6) for a, b in combinations(places, 2))
        warned = any(p.code == "plan-spacing" for p in plan.problems)
        if in_a_row and (free or not warned):
            wrong.append(days)

    assert wrong == []


@pytest.mark.parametrize(("first", "last"), [("11", "13"), ("14", "17")])
def test_days_lost_put_no_runs_of_a_new_runner_side_by_side(first: str, last: str) -> None:
    """The week offers another choice than two days in a row: one run on what is left of it."""
    text = runner(
        baseline=NOVICE,
        screening=NEW_TO_EXERCISE,
        week=week_text(("mon", "tue", "thu", "fri")),
        plan="{from: 2027-01-04, weeks: 3}",
        more=f"away: [{{from: 2027-01-{first}, to: 2027-01-{last}, because: travels}}]",
    )

    assert [len(runs_of(week)) for week in plan_of(text).weeks] == [2, 1, 2]


def test_a_hard_session_is_placed_where_the_days_allow_one() -> None:
    text = runner(
        baseline=REGULAR.replace("RUNS", "4"),
        week=week_text(("mon", "tue", "thu", "sat")),
        plan="{from: 2027-01-04, weeks: 3, hard: {from_week: 1, per_week: 1}}",
    )

    assert any(s.hard for s in plan_of(text).sessions)


@pytest.mark.parametrize("day", DAYS)
def test_the_long_run_is_on_the_wanted_day(day: str) -> None:
    text = runner(
        baseline=REGULAR.replace("RUNS", "4"),
        week=week_text(DAYS)[:-1] + f", long: {day}}}",
    )
    on = {DAYS[s.on.weekday()] for s in plan_of(text).sessions if s.kind == "long"}

    assert on == {day}


def test_after_twelve_weeks_running_is_no_longer_new() -> None:
    text = runner(
        baseline=NOVICE,
        screening=NEW_TO_EXERCISE,
        week=week_text(("sat", "sun", "wed", "fri")),
        plan="{from: 2027-01-04, weeks: 13}",
    )
    weeks = plan_of(text).weeks

    assert any("still new" in str(d.says) for d in weeks[11].decisions)
    assert not any("still new" in str(d.says) for d in weeks[12].decisions)


@pytest.mark.parametrize(("score", "walks"), [(4, True), (0, False)])
def test_walking_alone_on_two_days_in_a_row_is_no_running(score: int, walks: bool) -> None:
    """The week was warned of two running days in a row, where nobody ran."""
    text = runner(
        baseline=NOTHING,
        screening=NEW_TO_EXERCISE,
        week=week_text(("thu", "fri")),
        plan="{from: 2027-01-04, weeks: 3, runs: 2}",
    )
    log = [f"{{on: {day}, ran: 6 min, pain: {{during: {score}}}}}" for day in FIRST_THURSDAYS]
    week = plan_of(text, f"[{', '.join(log)}]", "2027-01-18").weeks[2]

    assert [s.on.day for s in runs_of(week)] == [21, 22]
    assert (training(week) == 0) is walks
    assert any("Two running days in a row" in str(d.says) for d in week.decisions) is not walks


def test_one_day_less_moves_as_little_as_possible() -> None:
    """Friday falls away: the runs on the other days stay where they were."""
    with_friday = plan_of(runner(week="{tue: {}, thu: {}, sun: {}, fri: {}, long: sun}"))
    without = plan_of(runner(week="{tue: {}, thu: {}, sun: {}, long: sun}"))

    days = [{DAYS[s.on.weekday()] for s in p.weeks[0].sessions} for p in (with_friday, without)]
    assert len(days[0] & days[1]) >= 2


def test_a_first_week_begun_on_its_monday_has_as_many_runs_as_the_next() -> None:
    """Two neighbouring days and somebody of 66: one run of 75 min, then twice as much, before."""
    plan = plan_of(
        runner(
            baseline=REGULAR.replace("240", "150").replace("RUNS", "2"),
            week="{fri: {}, sat: {}}",
            plan="{from: 2027-01-04, weeks: 2}",
            more="born: 1961",
        )
    )

    assert [len(runs_of(week)) for week in plan.weeks] == [2, 2]
    assert training(plan.weeks[0]) >= 0.9 * training(plan.weeks[1])


def test_the_number_of_runs_that_the_coach_wrote_stays_however_long_they_get() -> None:
    """Over 50 min a run, on average, one more would come by itself."""
    week = week_text(("mon", "tue", "thu", "sat", "sun"))

    def counts(plan: str) -> set[int]:
        text = runner(baseline=REGULAR.replace("RUNS", "3"), week=week, plan=plan)
        return {len(runs_of(w)) for w in plan_of(text).weeks if w.kind == "build"}

    assert counts("{from: 2027-01-04, weeks: 8, enough: 6 h, runs: 3}") == {3}
    assert max(counts("{from: 2027-01-04, weeks: 8, enough: 6 h}")) > 3


@pytest.mark.parametrize("growth", [3, 5])
def test_a_minute_that_rounding_leaves_over_is_no_reason_for_a_third_run(growth: int) -> None:
    """Of 83 min two runs have 41 each: who grew slower had three runs, who grew by 8 % two."""
    text = runner(
        baseline="{on: 2027-01-03, cadence: 172 spm, pace: 6:00 /km, week: 80 min, "
        "longest: 50 min, runs: 2}",
        plan=f"{{from: 2027-01-04, weeks: 1, growth: {growth} %, enough: 300 min}}",
    )
    minutes = [s.run_minutes for s in plan_of(text).weeks[0].sessions if s.is_run]

    assert len(minutes) == 2 and max(minutes) == 80 * (100 + growth) // 100 // 2


def test_one_run_moved_to_a_sunday_costs_one_run_and_not_one_a_week() -> None:
    """With a day between runs Monday falls away once; two runs stood in each week after it."""
    week = week_text(("mon", "wed", "sat"))
    moved = "changes: [{on: 2027-01-16, move_to: 2027-01-17, because: she asked}]"
    plan = "{from: 2027-01-04, weeks: 8}"
    found = [
        [len(runs_of(w)) for w in plan_of(text).weeks]
        for text in (
            runner(baseline=NOTHING, screening=NEW_TO_EXERCISE, week=week, plan=plan, more=more)
            for more in ("", moved)
        )
    ]

    assert found == [[3] * 8, [3, 3, 2] + [3] * 5]


def test_five_runs_of_seven_days_leave_no_more_than_three_in_a_row() -> None:
    """Sunday's long run, Monday, Tuesday and Wednesday were four days in a row."""
    text = runner(
        baseline="{on: 2027-01-04, cadence: 160 spm, pace: 6:45 /km, week: 100 min, "
        "longest: 35 min, runs: 4}",
        week="{"
        + ", ".join(f"{day}: {{up_to: 35 min}}" for day in DAYS[:6])
        + ", sun: {up_to: 1 h}}",
        plan="{from: 2027-01-04, weeks: 8}",
    )
    days = sorted(s.on for s in plan_of(text).sessions if s.is_run)
    rows = [day for day in days if all(day + timedelta(n) in days for n in range(4))]

    assert max(len(w.sessions) for w in plan_of(text).weeks) == 5
    assert not rows
