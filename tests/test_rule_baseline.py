"""A new baseline in the middle of the plan."""

from __future__ import annotations

from itertools import pairwise

from generated import NEW_TO_EXERCISE, runner, training
from support import plan_of

OLD = "{on: 2027-01-04, cadence: 160 spm, pace: 6:30 /km, week: 120 min, longest: 45 min, runs: 3}"
NEW = "{on: 2027-02-10, cadence: 164 spm, pace: 6:20 /km, week: 200 min, longest: 70 min, runs: 4}"
PLAN = "{from: 2027-01-04, weeks: 14}"


def test_the_first_week_after_it_builds_on_the_new_baseline() -> None:
    """Taken on Wednesday of week 6: week 7 is at most a tenth over 200 min."""
    plan = plan_of(runner(baseline=NEW, plan=PLAN), as_of="2027-02-15")

    assert 150 < training(plan.weeks[6]) <= 220
    assert plan.weeks[6].longest_minutes <= 77


def test_a_lower_one_brings_the_plan_down() -> None:
    low = NEW.replace("week: 200 min, longest: 70 min", "week: 60 min, longest: 30 min")
    plan = plan_of(runner(baseline=low, plan=PLAN), as_of="2027-02-15")

    assert training(plan.weeks[6]) <= 70


def test_one_from_run_and_walk_puts_the_runner_on_its_rung() -> None:
    base = NEW.replace("longest: 70 min", "longest: 70 min, continuous: 10 min")
    plan = plan_of(runner(baseline=base, plan=PLAN, screening=NEW_TO_EXERCISE), as_of="2027-02-15")

    assert plan.weeks[6].rung == 7


def test_the_step_rate_waits_four_weeks_after_a_new_baseline() -> None:
    """A new baseline is held for four weeks before the aim rises over it."""
    plan = plan_of(runner(baseline=NEW, plan=PLAN), as_of="2027-02-15")
    after = [w.cadence.aim for w in plan.weeks[6:10]]

    assert set(after) == {164}


def test_the_step_rate_never_falls_in_a_plan_with_a_new_baseline() -> None:
    plan = plan_of(runner(baseline=NEW, plan=PLAN), as_of="2027-02-15")
    aims = [w.cadence.aim for w in plan.weeks[6:]]

    assert aims[-1] > aims[0]
    assert all(above >= below for below, above in pairwise(aims))


def test_a_new_baseline_on_a_monday_counts_for_its_own_week() -> None:
    monday = NEW.replace("2027-02-10", "2027-02-15")
    plan = plan_of(runner(baseline=monday, plan=PLAN), as_of="2027-02-15")

    assert 150 < training(plan.weeks[6]) <= 220


def test_it_ends_a_long_absence() -> None:
    """Eight weeks away: a new baseline was asked for, and once it is there the plan goes on."""
    log = "[{on: 2026-12-12, ran: 40 min}]"
    away = runner(baseline=OLD.replace("2027-01-04", "2026-12-12"), plan=PLAN)
    back = runner(baseline=NEW, plan=PLAN)

    assert not plan_of(away, log, "2027-02-15").weeks[6].sessions
    assert plan_of(back, log, "2027-02-15").weeks[6].sessions


def test_sessions_keep_their_ids() -> None:
    log, day = "[{on: 2027-01-20, said: All well.}, {on: 2027-02-14, said: Still.}]", "2027-02-15"
    before = plan_of(runner(baseline=OLD, plan=PLAN), log, day)
    after = plan_of(runner(baseline=NEW.replace("runs: 4", "runs: 3"), plan=PLAN), log, day)
    shared = {s.id for s in before.sessions} & {s.id for s in after.sessions}

    assert len(shared) > 30
