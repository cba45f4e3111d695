"""Weeks of few minutes: fewer runs, and none of a few minutes each."""

from __future__ import annotations

from math import ceil
from statistics import median

import pytest

from generated import runner, runs_of, training
from sitegen.model.plan import Plan
from support import plan_of

LEAST = 10  # common practice, no source
DAYS = {
    3: "{tue: {}, thu: {}, sun: {}}",
    4: "{mon: {}, wed: {}, fri: {}, sun: {}}",
    5: "{mon: {}, tue: {}, thu: {}, fri: {}, sun: {}}",
}


def plan(week: int, runs: int, more: str = "", written: str = "", days: str = "") -> Plan:
    return plan_of(
        runner(
            baseline=f"{{on: 2027-01-04, cadence: 165 spm, pace: 6:40 /km, week: {week} min, "
            f"longest: 30 min, runs: {runs}}}",
            week=days or DAYS[runs],
            plan=f"{{from: 2027-01-04, weeks: 12{written}}}",
            more=more,
        )
    )


def event(distance: str, on: str = "2027-02-14") -> str:
    return f"goal: {{event: {{on: {on}, distance: {distance}}}}}"


@pytest.mark.parametrize("distance", ["", "5 km", "half marathon", "marathon"])
@pytest.mark.parametrize("runs", DAYS)
@pytest.mark.parametrize("week", [35, 50, 70])
def test_no_run_of_under_ten_minutes_but_the_last_ones_before_an_event(
    distance: str, runs: int, week: int
) -> None:
    """31 of 200 drawn plans of small weeks to an event had 69 weeks with runs of 4 to 9 min."""
    found = plan(week, runs, event(distance) if distance else "")
    usual = median(len(runs_of(w)) for w in found.weeks if w.kind == "build")

    for one in found.weeks:
        if one.kind in ("taper", "event"):  # where four of five are kept
            assert sum(s.is_run for s in one.sessions) >= ceil(0.8 * usual) - (one.kind == "event")
        else:
            assert all(s.run_minutes >= LEAST for s in runs_of(one)), one.number


def test_fewer_runs_are_told_and_are_not_the_usual_number() -> None:
    """An easier week of 28 min in two runs; the next has its three again."""
    found = plan(40, 3, written=", growth: 0 %")
    says = " ".join(str(d.says) for d in found.weeks[3].decisions)

    assert [len(runs_of(w)) for w in found.weeks[2:5]] == [3, 2, 3]
    assert "At most 2 runs this week: 28 min in 3 would leave some under 10 min." in says


def test_the_coachs_own_number_stays_where_the_plan_builds() -> None:
    built = [w for w in plan(50, 5, written=", runs: 5").weeks if w.kind == "build"]

    assert {len(runs_of(w)) for w in built} == {5}


def test_a_small_plan_still_grows_to_more_runs() -> None:
    """What was left out for want of minutes comes back with them."""
    found = [w for w in plan(35, 4).weeks if w.kind == "build"]

    assert len(runs_of(found[0])) < 4 == len(runs_of(found[-1]))
    assert training(found[0]) >= 40


def test_a_week_after_an_event_is_no_part_of_minutes_that_days_never_held() -> None:
    """240 min a week, of which days hold 40: ten days after it the week had 2 min in two runs."""
    found = plan_of(
        runner(
            baseline="{on: 2027-01-04, cadence: 162 spm, pace: 5:46 /km, week: 240 min, "
            "longest: 159 min, runs: 2}",
            week="{tue: {}, sat: {up_to: 30 min}, long: sat}",
            plan="{from: 2027-01-04, weeks: 12, growth: 0 %, runs: 2}",
            more=event("marathon", "2027-02-28"),
        )
    )
    after = [[s.run_minutes for s in runs_of(w)] for w in found.weeks[9:11]]

    assert all(runs and min(runs) >= LEAST for runs in after)
