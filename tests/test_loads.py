"""Session load, monotony, strain.

No worked week with numbers was found in readable print, so the weeks below are computed by hand
from Foster's formulas (Med Sci Sports Exerc 1998;30(7):1164-1168), with both standard
deviations. The single loads are arithmetic after Foster et al., J Strength Cond Res
2001;15(1):109-115. Smoothing: Williams et al., Br J Sports Med 2017;51(3):209-210.
"""

from __future__ import annotations

import statistics
from datetime import date
from math import sqrt

import pytest

from sitegen.coach.loads import daily, monotony, session_load, smoothed, strain, week_load
from sitegen.practice.case import read_case
from sitegen.rules.log import sessions
from support import case_of

CLIENT = """
name: Ada Holm
screening: {on: 2027-01-01, regular_exercise: yes, known_disease: no, symptoms: no}
baseline: {on: 2027-01-02, cadence: 160 spm, pace: 6:30 /km, week: 90 min, longest: 40 min, runs: 3}
week: {tue: {}, thu: {}, sun: {}}
plan: {from: 2027-01-04, weeks: 8}
"""
MONDAY = date(2027, 1, 4)
AFTER = date(2027, 1, 11)

MIXED = (0, 300, 0, 450, 240, 0, 600)
SIX_ALIKE = (300, 300, 300, 300, 300, 300, 0)
ONE_DAY = (700, 0, 0, 0, 0, 0, 0)


def logged(log: str):
    return sessions(case_of(CLIENT, log), AFTER)


@pytest.mark.parametrize(("effort", "minutes", "load"), [(7, 60, 420), (5, 180, 900)])
def test_a_sessions_load_is_effort_times_minutes(effort, minutes, load):
    assert session_load(effort, minutes) == load


@pytest.mark.parametrize(
    ("days", "sample", "population"),
    [(MIXED, 0.9419, 1.0174), (SIX_ALIKE, 2.2678, 2.4495), (ONE_DAY, 0.3780, 0.4082)],
)
def test_monotony_is_mean_over_standard_deviation(days, sample, population):
    """Ours is the sample's, n - 1; the other is computed too, so that a change is noticed."""
    assert monotony(days) == pytest.approx(sample, abs=5e-5)
    assert monotony(days, statistics.stdev) == monotony(days)
    assert monotony(days, statistics.pstdev) == pytest.approx(population, abs=5e-5)


@pytest.mark.parametrize(
    ("days", "sample", "population"),
    [(MIXED, 1497.6, 1617.6), (SIX_ALIKE, 4082.0, 4409.1), (ONE_DAY, 264.6, 285.8)],
)
def test_strain_is_load_times_monotony(days, sample, population):
    assert strain(days) == pytest.approx(sample, abs=0.05)
    assert strain(days, statistics.pstdev) == pytest.approx(population, abs=0.05)


@pytest.mark.parametrize("load", [0, 300])
def test_without_any_spread_both_are_undefined(load):
    assert monotony((load,) * 7) is None
    assert strain((load,) * 7) is None


def test_twice_the_load_is_twice_the_strain_and_the_same_monotony():
    doubled = tuple(2 * load for load in MIXED)
    assert monotony(doubled) == pytest.approx(monotony(MIXED))
    assert strain(doubled) == pytest.approx(2 * strain(MIXED))


def test_the_order_of_the_days_does_not_matter():
    assert monotony(MIXED[::-1]) == monotony(MIXED)
    assert strain(MIXED[3:] + MIXED[:3]) == strain(MIXED)


@pytest.mark.parametrize("load", [1, 90, 700])
def test_one_training_day_in_seven_always_has_the_same_monotony(load):
    days = (0, 0, load, 0, 0, 0, 0)
    assert monotony(days) == pytest.approx(1 / sqrt(7))
    assert monotony(days, statistics.pstdev) == pytest.approx(1 / sqrt(6))


def test_two_sessions_of_a_day_are_summed_and_rest_counts_nothing():
    week = week_load(
        logged(
            "[{on: 2027-01-05, ran: 30 min, effort: 3}, {on: 2027-01-05, ran: 20 min, effort: 5},"
            " {on: 2027-01-07, skipped: ill}, {on: 2027-01-10, ran: 1 h, effort: 4}]"
        ),
        MONDAY,
        AFTER,
    )
    assert week.days == (0, 190, 0, 0, 0, 0, 240)
    assert (week.total, week.rated, week.unrated) == (430, 2 + 1, 0)
    assert week.monotony == monotony(week.days)
    assert week.strain == pytest.approx(430 * week.monotony)


@pytest.mark.parametrize(
    "entry",
    [
        "{on: 2027-01-07, ran: 30 min}",
        "{on: 2027-01-07, effort: 4}",
        "{on: 2027-01-07, distance: 5 km, effort: 4}",
    ],
)
def test_a_session_without_minutes_or_effort_leaves_the_week_unknown(entry):
    """Its load is only a lower bound, and monotony of half a week is no number."""
    week = week_load(
        logged(f"[{{on: 2027-01-05, ran: 30 min, effort: 3}}, {entry}]"), MONDAY, AFTER
    )
    assert (week.total, week.rated, week.unrated) == (90, 1, 1)
    assert week.monotony is None and week.strain is None


def test_a_next_mornings_score_or_a_sign_alone_is_no_session():
    week = week_load(
        logged("[{on: 2027-01-06, pain: {next_morning: 2}}, {on: 2027-01-08, signs: [limp]}]"),
        MONDAY,
        AFTER,
    )
    assert (week.total, week.rated, week.unrated) == (0, 0, 0)


def test_a_week_that_still_has_days_to_come_has_no_monotony():
    entries = "[{on: 2027-01-05, ran: 30 min, effort: 3}]"
    assert week_load(logged(entries), MONDAY, date(2027, 1, 10)).monotony is None
    assert week_load(logged(entries), MONDAY, AFTER).monotony == pytest.approx(1 / sqrt(7))


def test_an_effort_of_another_scale_never_becomes_a_load():
    """60 min at 12 of 6-20 would be 720: the reader refuses it, with its place."""
    case = case_of(CLIENT)
    log = b"- on: 2027-01-05\n  ran: 60 min\n  effort: 12\n"
    read, problems = read_case(
        "ada", CLIENT.encode(), "ada.yaml", log, "ada.log.yaml", case.practice,
        case.practice_origins, (), frozenset(),
    )  # fmt: skip
    errors = [p for p in problems if p.level == "error"]
    assert [(p.origin.file, p.origin.line) for p in errors] == [("ada.log.yaml", 3)]
    assert read is None or not any(e.effort == 12 for e in read.log)


def test_smoothing_weighs_the_latest_days_most():
    """Williams et al. print 1.43 and 1.25 for flat and smoothed: this series gives both."""
    days = (6,) * 21 + (10,) * 7
    assert smoothed(days, 7) == pytest.approx(9.466064, abs=5e-7)
    assert smoothed(days, 28) == pytest.approx(7.574393, abs=5e-7)
    assert smoothed(days, 7) / smoothed(days, 28) == pytest.approx(1.249746, abs=5e-7)
    assert sum(days[-7:]) / 7 / (sum(days) / 28) == pytest.approx(1.43, abs=0.005)


def test_a_constant_load_is_its_own_smoothed_load():
    assert smoothed((100,) * 40, 7) == pytest.approx(100)
    assert smoothed((100,) * 27 + (200,), 7) == pytest.approx(125)
    assert smoothed((100,) * 27 + (200,), 28) == pytest.approx(106.896552, abs=5e-7)


def test_daily_loads_run_over_the_borders_of_weeks():
    found = daily(
        logged(
            "[{on: 2027-01-03, ran: 10 min, effort: 2}, {on: 2027-01-04, ran: 10 min, effort: 3}]"
        ),
        date(2027, 1, 2),
        date(2027, 1, 5),
    )
    assert found == (0, 20, 30, 0)
