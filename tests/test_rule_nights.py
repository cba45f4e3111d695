"""A night lies between two sessions where the days allow it, and is told where they don't.

What a night is, is common practice, no source: twelve hours, so an evening and the morning after
it lie too near.
"""

from __future__ import annotations

from datetime import timedelta
from itertools import combinations, pairwise
from random import Random

import pytest

from generated import runner
from sitegen.model.client import DAYS
from sitegen.model.plan import Plan, Session
from support import plan_of

NIGHT = timedelta(hours=12)
HARD = "hard: {from_week: 1, per_week: 1}"
BASELINE = (
    "{on: 2027-01-04, cadence: 175 spm, pace: 6:00 /km, week: 120 min, longest: 50 min, runs: RUNS}"
)


def plan(week: str, runs: int = 3, hard: str = "", more: str = "") -> Plan:
    """Four weeks of so many runs."""
    baseline = BASELINE.replace("RUNS", str(runs))
    plan = f"{{from: 2027-01-04, weeks: 4, runs: {runs}{', ' if hard else ''}{hard}}}"
    return plan_of(runner(week=week, plan=plan, baseline=baseline, more=more), "[]", "2027-01-04")


def short_nights(plan: Plan) -> list[tuple[Session, Session]]:
    """Sessions of neighbouring days, a run among them, with less than a night between them."""
    found = []
    ordered = sorted(plan.sessions, key=lambda s: (s.on, s.at))
    for one, other in pairwise(ordered):
        assert one.starts and other.starts
        ends = one.starts + timedelta(minutes=one.total_minutes)
        is_near = one.on != other.on and other.starts - ends < NIGHT
        if is_near and (one.is_run or other.is_run):
            found.append((one, other))
    return found


def told(plan: Plan) -> list[str]:
    return [p.message for p in plan.problems if p.code == "plan-collision"]


def test_an_evening_and_the_morning_after_are_not_both_taken_where_there_is_a_third_day() -> None:
    """Wednesday morning follows Tuesday evening; Thursday evening would do."""
    found = plan("{tue: {at: '20:00'}, wed: {at: '6:00'}, thu: {at: '19:00'}}", runs=2)

    assert found.sessions and short_nights(found) == [] and told(found) == []


def test_where_the_days_allow_nothing_else_it_is_told_once_with_its_hours() -> None:
    found = plan("{tue: {at: '20:00'}, wed: {at: '6:00'}}", runs=2)

    assert short_nights(found)
    (line,) = told(found)
    assert "hours lie between" in line and line.endswith("and so 4 times in the plan")


@pytest.mark.parametrize(
    ("evening", "morning", "is_told"),
    [("18:00", "9:00", False), ("18:00", "7:30", False), ("18:00", "5:00", True)],
)
def test_it_is_hours_that_count_not_days(evening: str, morning: str, is_told: bool) -> None:
    found = plan(f"{{tue: {{at: '{evening}'}}, wed: {{at: '{morning}'}}}}", runs=2)

    assert bool(told(found)) is is_told is bool(short_nights(found))


def test_sunday_evening_and_monday_morning_are_a_night_too() -> None:
    week = "{mon: {at: '6:00'}, wed: {at: '18:00'}, fri: {at: '18:00'}, sun: {at: '20:00'}}"

    assert short_nights(plan(week, runs=3)) == []
    assert len(told(plan(week, runs=4))) == 1


def test_strength_work_stands_a_night_from_runs_where_a_day_allows_it() -> None:
    """Monday evening lies too near to Tuesday's run, Wednesday evening does not."""
    week = (
        "{mon: {at: '21:00', for: strength}, tue: {at: '6:00'}, wed: {at: '18:00', for: strength}, "
        "fri: {at: '6:00'}}"
    )
    one_day = "rules: {strength: {per_week: 1}}"
    strength = [s for s in plan(week, 2, more=one_day).sessions if s.kind == "strength"]

    assert {DAYS[s.on.weekday()] for s in strength} == {"wed"}


def test_strength_work_too_near_to_a_run_is_told() -> None:
    week = "{mon: {at: '21:00', for: strength}, tue: {at: '6:00'}, fri: {at: '6:00'}}"

    assert len(told(plan(week, 2))) == 1


def test_a_hard_run_is_not_put_into_a_short_night_that_an_easy_one_can_have() -> None:
    """All four days are needed; Tuesday's evening and Wednesday's morning are left for easy."""
    week = (
        "{tue: {at: '20:30'}, wed: {at: '6:00'}, fri: {at: '18:00'}, sun: {at: '9:00'}, long: sun}"
    )
    hard = {DAYS[s.on.weekday()] for s in plan(week, 4, HARD).sessions if s.hard}

    assert not hard & {"tue", "wed"}


def long_days(found: Plan) -> set[str]:
    """Weekdays of the runs that are longest by far in their week."""
    weeks = [[s for s in w.sessions if s.is_run] for w in found.weeks]
    return {DAYS[max(runs, key=lambda s: s.run_minutes).on.weekday()] for runs in weeks if runs}


def test_the_long_run_stays_on_the_day_that_is_written_and_the_short_night_is_told() -> None:
    """All four days are needed: Sunday's run is too near to Monday's, long or not."""
    week = (
        "{mon: {at: '7:00'}, wed: {at: '18:30', up_to: 75 min}, fri: {at: '18:00', up_to: 75 min}, "
        "sun: {at: '18:30', up_to: 2 h 30 min}, long: sun}"
    )
    found = plan(week, 4)

    assert long_days(found) == {"sun"} and len(told(found)) == 1


def test_a_long_run_that_an_event_asks_for_has_the_day_with_room_for_it() -> None:
    """Sunday alone has room for 75 min; no day was written for it."""
    week = (
        "{mon: {at: '7:00', up_to: 75 min}, wed: {at: '18:30', up_to: 75 min}, "
        "fri: {at: '18:00', up_to: 75 min}, sun: {at: '18:30', up_to: 2 h 30 min}}"
    )
    text = runner(
        week=week,
        plan="{from: 2027-01-04, weeks: 12}",
        baseline=BASELINE.replace("RUNS", "4").replace("120 min", "200 min"),
        more="goal: {text: Run, event: {on: 2027-03-28, distance: 10 km}}",
    )
    found = plan_of(text, "[]", "2027-01-04")
    longest = max((s for s in found.sessions if s.kind == "long"), key=lambda s: s.run_minutes)

    assert longest.run_minutes >= 74 and DAYS[longest.on.weekday()] == "sun"
    assert not [p for p in found.problems if p.code == "event-reach"]


def test_over_many_weeks_a_short_night_stands_only_where_every_choice_of_days_has_one() -> None:
    """Drawn days and hours, no limits: every choice of as many days is looked at."""
    chance, unavoidable, avoided = Random(12), 0, 0
    for _ in range(60):
        days = sorted(chance.sample(range(7), chance.randrange(3, 7)))
        at = {d: chance.choice(("5:00", "6:00", "12:00", "20:00", "21:30")) for d in days}
        runs = chance.randrange(2, len(days) + 1)
        week = "{" + ", ".join(f"{DAYS[d]}: {{at: '{at[d]}'}}" for d in days) + "}"
        found = plan(week, runs, more="rules: {strength: {per_week: 0}}")
        whole = found.weeks[1]  # neither cut short by the plan's beginning nor its end
        placed = sorted(s.on.weekday() for s in whole.sessions)
        lasts = max(s.total_minutes for s in whole.sessions)
        clear = any(not _is_tight(chosen, at, lasts) for chosen in combinations(days, len(placed)))
        is_told = bool(told(found))

        assert is_told is bool(short_nights(found)), week
        if clear:
            avoided += 1
            assert not is_told, f"{week}: {placed} with another choice"
        unavoidable += not clear

    assert avoided > 30 and unavoidable > 5, "both were seen"


def _is_tight(chosen: tuple[int, ...], at: dict[int, str], lasts: float) -> bool:
    """Whether two of the days, the week repeated, lie less than a night apart."""

    def minute(day: int) -> int:
        hours, minutes = at[day].split(":")
        return int(hours) * 60 + int(minutes)

    return any(
        (day + 1) % 7 in chosen
        and 24 * 60 + minute((day + 1) % 7) - minute(day) - lasts < NIGHT.seconds / 60
        for day in chosen
    )
