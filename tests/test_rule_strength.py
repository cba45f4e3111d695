"""Strength work: two a week where days allow, never before a long or hard day."""

from __future__ import annotations

from datetime import timedelta
from itertools import combinations

import pytest

from generated import runner
from sitegen.model.client import DAYS
from sitegen.model.plan import Plan
from support import plan_of

BOTH = "{for: [run, strength]}"


def strength_days(plan: Plan, week: int = 0) -> list[str]:
    return [DAYS[s.on.weekday()] for s in plan.weeks[week].sessions if s.kind == "strength"]


def test_two_a_week_on_days_for_strength() -> None:
    plan = plan_of(
        runner(week="{tue: {}, thu: {}, sun: {}, wed: {for: strength}, fri: {for: strength}}")
    )

    assert strength_days(plan) == ["wed", "fri"]
    assert strength_days(plan, 5) == ["wed", "fri"]


def test_never_the_day_before_the_long_run() -> None:
    plan = plan_of(
        runner(
            week="{tue: {}, thu: {}, sun: {}, sat: {for: strength}, mon: {for: strength}, "
            "long: sun}"
        )
    )

    assert strength_days(plan) == ["mon"]


def test_none_where_no_day_is_for_strength() -> None:
    assert not any(s.kind == "strength" for s in plan_of(runner()).sessions)


def test_for_every_choice_of_days_and_never_before_long_or_hard() -> None:
    wrong = []
    for count in range(1, 8):
        for days in combinations(DAYS, count):
            text = runner(
                baseline="{on: 2027-01-04, cadence: 175 spm, pace: 6:00 /km, week: 240 min, "
                f"longest: 70 min, runs: {count}}}",
                week="{" + ", ".join(f"{d}: {BOTH}" for d in days) + "}",
                plan="{from: 2027-01-04, weeks: 3, hard: {from_week: 1, per_week: 1}}",
            )
            plan = plan_of(text)
            heavy = {s.on for s in plan.sessions if s.hard or s.kind == "long"}
            work = [s for s in plan.sessions if s.kind == "strength"]
            wrong += [(days, s.id) for s in work if {s.on, s.on + timedelta(1)} & heavy]
            wrong += [
                (days, w.number) for w in plan.weeks if len(strength_days(plan, w.number - 1)) > 2
            ]

    assert wrong == []


def test_no_two_days_in_a_row_where_a_run_stands_on_one() -> None:
    """Two days in a row only where the coach keeps both for strength alone."""
    shared = runner(week=f"{{mon: {BOTH}, tue: {BOTH}, fri: {{}}, sat: {{}}}}")
    alone = runner(week="{mon: {for: strength}, tue: {for: strength}, thu: {}, sun: {}}")
    plan = plan_of(shared)

    for week in plan.weeks:
        days = [s.on for s in week.sessions if s.kind == "strength"]
        assert len(days) == 1 or days[1] - days[0] > timedelta(1), days
    assert strength_days(plan_of(alone)) == ["mon", "tue"]


def test_what_is_quick_before_an_event_goes_before_strength() -> None:
    """Monday follows a long Sunday, Wednesday strength, and Friday is too near: strength yields."""
    text = runner(
        baseline="{on: 2027-01-04, cadence: 172 spm, pace: 6:15 /km, week: 170 min, "
        "longest: 60 min, runs: 4}",
        week="{mon: {}, tue: {for: strength}, wed: {}, fri: {}, sun: {}}",
        plan="{from: 2027-01-04, weeks: 8, hard: {from_week: 2}}",
        more="goal: {event: {on: 2027-02-28, distance: 5 km}}",
    )
    for week in plan_of(text).weeks:
        if week.kind in ("taper", "event"):
            assert any(s.hard for s in week.sessions), week.number


def test_after_the_run_on_a_day_with_both_and_within_the_day() -> None:
    plan = plan_of(
        runner(
            week="{tue: {for: [run, strength], at: '18:00', up_to: 1 h 30 min}, thu: {}, "
            "sun: {}, long: sun}"
        )
    )
    tuesday = [s for s in plan.weeks[0].sessions if s.on.weekday() == 1]
    run, work = sorted(tuesday, key=lambda s: s.kind == "strength")

    assert run.total_minutes + work.total_minutes <= 90
    assert work.at is not None and run.at is not None
    assert (work.at.hour * 60 + work.at.minute) - 18 * 60 == run.total_minutes


@pytest.mark.parametrize("score", [0, 4])
def test_strength_work_has_no_running_minutes(score: int) -> None:
    log = f"[{{on: 2027-01-05, ran: 30 min, pain: {{during: {score}}}}}]"
    plan = plan_of(runner(week="{tue: {}, thu: {}, fri: {for: strength}}"), log, "2027-01-06")
    work = [s for s in plan.sessions if s.kind == "strength"]

    assert work
    assert {s.run_minutes for s in work} == {0}
    assert all(s.total_minutes > 0 for s in work)


def test_a_plan_from_saturday_has_no_strength_on_sunday_before_mondays_long_run() -> None:
    text = runner(
        baseline="{on: 2026-12-28, cadence: 162 spm, pace: 6:45 /km, week: 563 min, "
        "longest: 97 min, runs: 7}",
        week="{mon: {for: [run, strength], up_to: 1 h}, tue: {up_to: 1 h}, wed: {up_to: 1 h}, "
        "thu: {}, sat: {up_to: 25 min}, sun: {for: strength}, long: mon}",
        plan="{from: 2027-01-09, weeks: 3}",
    )
    plan = plan_of(text)
    heavy = {s.on for s in plan.sessions if s.hard or s.kind == "long"}

    assert not {s.on + timedelta(1) for s in plan.sessions if s.kind == "strength"} & heavy


def test_strength_takes_no_run_its_minutes_where_another_day_is_free() -> None:
    """A run of 30 min stood on the 45 min of Wednesday, and had 20 beside the strength work, with
    four days free of any limit."""
    plan = plan_of(
        runner(
            baseline="{on: 2027-01-04, cadence: 175 spm, pace: 5:30 /km, week: 60 min, "
            "longest: 40 min, runs: 2}",
            week="{mon: {}, tue: {}, wed: {up_to: 45 min, for: [run, strength]}, thu: {}, "
            "sat: {}, sun: {}}",
            plan="{from: 2027-01-04, weeks: 3, runs: 2, growth: 0 %}",
        )
    )

    for week in plan.weeks:
        assert sum(s.run_minutes for s in week.sessions) == 60
        assert [s.on.weekday() for s in week.sessions if s.kind == "strength"] == [2]
