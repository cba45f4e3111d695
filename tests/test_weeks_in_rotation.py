"""Weeks that alternate, and odd ones: on their own days, and no measurement of the others."""

from __future__ import annotations

from itertools import pairwise

import pytest

from generated import NEW_TO_EXERCISE, NOTHING, runner, training
from sitegen.practice.records import read_client
from support import plan_of

ROTA = "[{tue: {}, sat: {}}, {wed: {}, fri: {at: 7:00}, sun: {}, long: sun}]"
ODD = "weeks_on: {2027-01-18: {mon: {}, fri: {}}}\n"


def days(text: str, number: int) -> set[int]:
    week = plan_of(text, "[]", "2027-01-04").weeks[number - 1]
    return {s.on.weekday() for s in week.sessions if s.is_run}


def test_weeks_in_rotation_follow_one_another_from_the_first():
    text = runner(week=ROTA)
    for number in range(1, 7):
        assert days(text, number) <= ({1, 5} if number % 2 else {2, 4, 6})
        assert days(text, number)


def test_a_session_begins_at_the_time_of_its_own_week():
    plan = plan_of(runner(week=ROTA), "[]", "2027-01-04")
    times = {s.on.weekday(): s.at for s in plan.weeks[1].sessions if s.is_run}
    assert str(times[4]) == "07:00:00" and times[6] is None


def test_an_odd_week_has_its_own_days_and_the_next_is_as_usual():
    odd, usual = runner() + ODD, runner()
    assert days(odd, 3) == {0, 4}
    assert days(odd, 5) == days(usual, 5)
    after, before = (training(plan_of(t, "[]", "2027-01-04").weeks[4]) for t in (odd, usual))
    assert after >= 0.9 * before  # one growth step at most: two days hold less of week 3


@pytest.mark.parametrize(
    ("week", "read_as"),
    [
        ("\n  - tue: {at: 18:15, up_to: 1 h}\n  - thu: yes", "2 weeks in rotation"),
        ("[{tue: yes}, {thu: yes}, {sun: yes}]", "3 weeks in rotation"),
        ("[{tue: yes}, {thu: yes, long: thu}]", "2 weeks in rotation"),
        ("[{tue: yes, thu: rest}, {thu: yes}]", ""),
        ("[{tue: yes, sat: yes}, {thu: yes}]", ""),
        ("[{tue: yes}]", ""),
        ("{tue: yes, thu: yes}", ""),
        (ROTA, ""),
    ],
)
def test_days_with_a_hyphen_each_are_told_to_be_read_as_weeks(week, read_as):
    reading = read_client(runner(week=week).encode(), "clients/sam.yaml")
    told = [p for p in reading.problems if p.code == "days-as-weeks"]
    assert len(told) == bool(read_as)
    assert not told or (read_as in told[0].message and "hyphens" in told[0].hint)


@pytest.mark.parametrize(
    ("week", "more", "code", "place"),
    [
        ("[{tue: {}}, {wed: rest}]", "", "no-run-day", "week"),
        ("[]", "", "no-run-day", "week"),
        ("[{tue: {}}, {wed: {}, long: sun}]", "", "long-day", "week"),
        ("{tue: {}}", "weeks_on: {2027-01-18: {mon: rest}}\n", "no-run-day", "weeks_on"),
    ],
)
def test_a_week_without_a_run_is_told_where_it_stands(week, more, code, place):
    text = runner(week=week) + more
    reading = read_client(text.encode(), "clients/sam.yaml")
    (problem,) = [p for p in reading.problems if p.level == "error"]
    assert problem.code == code and problem.hint
    line = text.splitlines()[problem.origin.line - 1]
    assert line.startswith(f"{place}:") and problem.origin.column > 0


def test_a_new_runner_has_a_day_between_runs_across_the_weekend_too():
    """A run of Monday, after Sunday's, is left out down to two runs a week."""
    rota = "[{mon: {}, tue: {}, fri: {}, sun: {}}, {mon: {}, thu: {}, sat: {}, sun: {}}]"
    plan = plan_of(
        runner(baseline=NOTHING, week=rota, screening=NEW_TO_EXERCISE), "[]", "2027-01-04"
    )
    on = [s.on for s in plan.sessions if s.is_run]
    assert len(on) >= 2 * len(plan.weeks)
    assert all((after - before).days > 1 for before, after in pairwise(on))
