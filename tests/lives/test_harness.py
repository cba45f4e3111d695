"""The simulated lives themselves: the same for the same seed, and as their kinds say."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from nightly import by_night

from .figures import longest_ran, needed_minutes, undisturbed, week_steps
from .living import DAY, live, read, runs_of, training
from .runners import RUNNERS, Runner
from .tissue import Tissue

STEADY = next(r for r in RUNNERS if r.name == "steady")


def named(name: str) -> Runner:
    return next(r for r in RUNNERS if r.name == name)


def test_a_life_is_the_same_for_the_same_seed() -> None:
    one, same, other = (live(named("busy"), seed, until=6) for seed in (1, 1, 2))
    assert [e.checkin for e in one.log] == [e.checkin for e in same.log]
    assert [training(t.week) for t in one.weeks] == [training(t.week) for t in same.weeks]
    assert [e.checkin for e in one.log] != [e.checkin for e in other.log]


@pytest.mark.parametrize("runner", RUNNERS, ids=lambda r: r.name)
def test_each_kind_is_read_without_a_problem_and_lives(runner: Runner) -> None:
    assert read(runner.text).client.name == "Sam Vale"
    life = live(runner, 3, until=2)
    assert len(life.weeks) == 2
    assert all(len(t.fates) == len(runs_of(t.week)) or t.changed for t in life.weeks)


@pytest.mark.parametrize("name", ["busy", "late", "winter"])
def test_a_week_is_the_same_whether_or_not_others_come_after_it(name: str) -> None:
    """So a life asks for a week's plan up to that week, where no event lies ahead."""
    life = live(replace(named(name), event=""), 5, until=7)
    for told in life.weeks[1::2]:
        start, number = told.week.start, told.week.number
        whole = life.plan_on(start + DAY * 2).weeks
        assert len(whole) > number
        assert life.plan_on(start + DAY * 2, number).weeks == whole[:number]


def test_nobody_knows_what_has_not_been_told_yet() -> None:
    life = live(named("late"), 4, until=5)
    for told in life.weeks:
        known = life.known(told.week.start).log
        assert all(e.on < told.week.start for e in known)
    late = [e for e in life.log if e.came > e.checkin.on]
    assert late, "somebody who tells late told nothing late"
    for item in late:
        assert item.checkin not in life.known(item.came).log


def test_shares_are_those_of_the_kind() -> None:
    runs = [f for seed in range(6) for t in live(named("busy"), seed).weeks for f in t.fates]
    assert 0.74 < runs.count("done") / len(runs) < 0.86
    assert "unknown" not in runs  # the busy one tells of what was missed
    silent = [f for seed in range(3) for t in live(named("silent"), seed).weeks for f in t.fates]
    assert 0.35 < silent.count("unknown") / len(silent) < 0.65


def test_the_undisturbed_runner_runs_all_that_was_told() -> None:
    life = undisturbed(STEADY)
    assert {f for t in life.weeks for f in t.fates} == {"done"}
    assert set(life.pains) <= {0, 1}
    for told in life.weeks:
        ran = sum(minutes for _, minutes in told.ran)
        event = sum(s.run_minutes for s in told.week.sessions if s.kind == "event")
        assert ran == training(told.week) + event


def test_a_missed_run_is_missed_whatever_chance_says() -> None:
    life = undisturbed(STEADY, {(2, 0), (3, -1)})
    assert [t.fates.count("missed") for t in life.weeks[:4]] == [0, 1, 1, 0]
    third = life.weeks[2]
    longest = max(runs_of(third.week), key=lambda s: s.run_minutes)
    assert longest.on not in {on for on, _ in third.ran}


def test_the_tissue_hurts_after_too_much_and_heals() -> None:
    chance = random.Random(1)
    fresh = Tissue(bears=60)
    assert fresh.run(30, False, chance) <= 1
    assert Tissue(bears=60).run(90, False, chance) >= 3
    assert Tissue(bears=60).run(50, True, chance) > Tissue(bears=60).run(50, False, chance)
    tired = Tissue(bears=60)
    tired.run(90, False, chance)
    before = tired.strain
    tired.sleep()
    assert tired.strain < before


@by_night
def test_who_runs_too_much_hurts_more_often_than_who_does_not() -> None:
    hurt = {
        name: sum(p >= 3 for seed in range(3) for p in live(named(name), seed).pains)
        for name in ("steady", "eager")
    }
    assert hurt["eager"] > 2 * hurt["steady"]


def test_figures_are_what_they_say() -> None:
    life = undisturbed(replace(STEADY, event=""))
    assert longest_ran(life) == max(m for t in life.weeks for _, m in t.ran)
    minutes = [training(t.week) for t in life.weeks]
    assert next(iter(week_steps(life))) == minutes[1] / minutes[0]
    assert needed_minutes(STEADY) == pytest.approx(75.0)  # 15 km at 6:30 is more: the cap
    assert needed_minutes(named("half")) == pytest.approx(0.8 * 21.0975 * 37 / 6, rel=1e-4)
    assert needed_minutes(named("marathon")) == pytest.approx(25 * 35 / 6)
