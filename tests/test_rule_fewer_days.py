"""Weeks of a rota, and odd ones, whose days hold fewer runs than usual."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from generated import runner, training
from sitegen.model.plan import Week
from sitegen.plan import ledger
from sitegen.plan.fold import expand
from support import case_of, plan_of

BASE = "{on: 2027-01-04, cadence: 172 spm, pace: 6:00 /km, week: 300 min, longest: 90 min, runs: 5}"
FIVE = "{mon: {}, tue: {}, thu: {}, sat: {}, sun: {}, long: sun}"
TWO = "{mon: {}, wed: {}, long: wed}"
PLAN = "{from: 2027-01-04, weeks: 12}"


def lengths(week: Week) -> list[float]:
    return sorted(s.run_minutes for s in week.sessions if s.is_run and s.kind != "event")


@pytest.mark.parametrize("goal", ["", "goal: {event: {on: 2027-03-28, distance: marathon}}"])
def test_in_weeks_of_two_days_no_run_but_the_long_one_is_longer_than_in_those_of_five(
    goal: str,
) -> None:
    """Two runs in three days had grown to 2 h 30 min each, in place of five."""
    weeks = plan_of(runner(baseline=BASE, week=f"[{FIVE}, {TWO}]", plan=PLAN, more=goal)).weeks
    for five, two in zip(weeks[::2], weeks[1::2], strict=True):
        if "event" in (five.kind, two.kind):
            continue
        assert len(lengths(two)) == 2
        assert lengths(two)[0] <= max(lengths(w)[-2] for w in weeks[::2] if w.kind == "build") + 2
        assert lengths(two)[1] <= 1.1 * max(90, *(lengths(w)[-1] for w in weeks[::2]))
    assert training(weeks[2]) >= 300  # the weeks of five go on as they would


def test_the_first_week_of_a_plan_goes_by_the_baseline() -> None:
    """300 min in five runs are an hour each."""
    first = plan_of(runner(baseline=BASE, week=f"[{TWO}, {FIVE}]", plan=PLAN)).weeks[0]

    assert lengths(first) == [60, 60]
    (said,) = (d for d in first.decisions if d.rule == "fewer_days")
    assert "2 of 5 runs" in str(said.says) and said.after == 120


@pytest.mark.parametrize(("days", "runs"), [("{wed: {}}", 1), ("{wed: {}, sat: {}}", 2)])
def test_an_odd_week_has_the_runs_that_fit_and_the_next_is_as_it_would_be(
    days: str, runs: int
) -> None:
    odd = f"weeks_on: {{2027-01-18: {days}}}"
    weeks = plan_of(runner(baseline=BASE, week=FIVE, plan=PLAN, more=odd)).weeks
    usual = plan_of(runner(baseline=BASE, week=FIVE, plan=PLAN)).weeks

    assert len(lengths(weeks[2])) == runs
    assert lengths(weeks[2])[-1] <= lengths(usual[1])[-1]
    assert all(one <= lengths(usual[1])[-2] for one in lengths(weeks[2])[:-1])
    assert training(weeks[4]) >= training(usual[2])


def test_a_week_of_as_many_or_more_days_is_as_it_was() -> None:
    odd = f"weeks_on: {{2027-01-18: {FIVE.replace('mon', 'fri')}}}"
    weeks = plan_of(runner(baseline=BASE, week=FIVE, plan=PLAN, more=odd)).weeks
    usual = plan_of(runner(baseline=BASE, week=FIVE, plan=PLAN)).weeks

    assert training(weeks[2]) >= training(usual[2]) - 10


@pytest.mark.parametrize("every", [3, 4, 6])
def test_an_easier_week_of_fewer_days_is_not_shortened_twice(every: int) -> None:
    """Of 181 min in three runs the easier week had 76 in two, and the week after it 199."""
    three = "{wed: {}, fri: {}, sun: {}, long: sun}"
    text = runner(
        baseline="{on: 2027-01-04, cadence: 172 spm, pace: 6:00 /km, week: 150 min, "
        "longest: 60 min, runs: 3}",
        week=f"[{three}, {{tue: {{}}, sat: {{}}}}]",
        plan=f"{{from: 2027-01-04, weeks: 16, enough: 5 h, ease: {{every: {every}, by: 30 %}}}}",
    )
    weeks = plan_of(text).weeks
    eased = [n for n in range(1, 15) if weeks[n].kind == "ease" and len(lengths(weeks[n])) == 2]
    assert eased
    for n in eased:
        large = max(training(week) for week in weeks[:n])
        assert training(weeks[n]) <= 0.7 * large
        assert training(weeks[n + 1]) <= 2 * training(weeks[n])


THREE = "{tue: {}, thu: {}, sun: {}, long: sun}"
OF_TWO = {"runs: 2": (THREE, ", runs: 2"), "a day less": ("{tue: {}, sun: {}, long: sun}", "")}


def began(week: str, more: str) -> str:
    base = "{on: 2027-01-03, cadence: 172 spm, week: 120 min, longest: 50 min, runs: 3}"
    plan = f"{{from: 2027-01-04, weeks: 14, growth: 10 %, enough: 300 min{more}}}"
    return runner(baseline=base, week=week, plan=plan)


@pytest.mark.parametrize("change", OF_TWO)
def test_one_running_day_fewer_for_good_makes_no_run_much_longer_at_once(change: str) -> None:
    """Of 120 min in three runs the week went on as two of 60, where the runner knew 40."""
    day = date(2027, 2, 15)
    before = expand(case_of(began(THREE, ""), []), day)
    log = [
        {"on": f"{s.on}", "ran": f"{s.run_minutes:.0f} min", "pain": {"during": "0"}}
        for s in before.sessions
        if s.is_run and s.on < day
    ]
    before = expand(case_of(began(THREE, ""), log), day)
    told = ledger.past_of(before)
    usual = max(lengths(w)[-2] for w in before.weeks if w.start < day and w.kind == "build")
    weeks = expand(replace(case_of(began(*OF_TWO[change]), log), told=told), day).weeks
    ahead = [week for week in weeks if week.start >= day and week.kind == "build"]

    for week in ahead[:3]:
        assert len(lengths(week)) == 2
        assert lengths(week)[0] <= 1.1 * usual + 1
        usual = max(usual, lengths(week)[0])
    assert "fewer_days" in {d.rule for d in ahead[0].decisions}
    assert training(ahead[-1]) > training(ahead[0]) + 20  # and it comes back, step by step
