"""Every few weeks an easier one, on which nothing is built."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise

import pytest

from generated import NEW_TO_EXERCISE, NOTHING, runner, training
from support import plan_of


def kinds(ease: str, weeks: int = 9) -> list[int]:
    text = runner(plan=f"{{from: 2027-01-04, weeks: {weeks}{ease}}}")
    return [w.number for w in plan_of(text).weeks if w.kind == "ease"]


def test_every_fourth_week_is_easier_unless_the_file_says_otherwise() -> None:
    assert kinds("") == [4, 8]


@pytest.mark.parametrize(
    ("every", "easier"), [(2, [2, 4, 6, 8]), (3, [3, 6, 9]), (5, [5]), (8, [8])]
)
def test_the_file_says_how_often(every: int, easier: list[int]) -> None:
    assert kinds(f", ease: {{every: {every}}}") == easier


@pytest.mark.parametrize(("by", "left"), [(10, 0.9), (30, 0.7), (50, 0.5)])
def test_an_easier_week_drops_under_the_last_building_week(by: int, left: float) -> None:
    text = runner(plan=f"{{from: 2027-01-04, weeks: 5, ease: {{by: {by} %}}}}")
    weeks = plan_of(text).weeks
    third, fourth = training(weeks[2]), training(weeks[3])

    assert third * left - 5 <= fourth <= third * left


def test_the_week_after_builds_on_the_last_building_week() -> None:
    weeks = plan_of(runner()).weeks
    third, fifth = training(weeks[2]), training(weeks[4])

    assert third < fifth <= third * 1.10


def test_an_easier_week_is_cut_from_the_building_week_as_it_was_shown() -> None:
    """Three weeks of ten minutes a run: what the guard left of week 4 is what week 5 eases."""
    days = [date(2027, 1, 5) + timedelta(7 * w + d) for w in range(3) for d in (0, 2, 5)]
    log = [{"on": day.isoformat(), "ran": "10 min"} for day in days]
    text = runner(plan="{from: 2027-01-04, weeks: 8, ease: {every: 5}}")
    plan = plan_of(text, log, "2027-01-25")
    shown, easier = (training(plan.weeks[n]) for n in (3, 4))
    assert plan.weeks[3].kind == "build" and plan.weeks[4].kind == "ease"
    assert easier <= 0.7 * shown


def test_what_was_run_in_an_easier_week_is_no_reference() -> None:
    """Fifty minutes in week 4: week 5 still builds on week 3."""
    planned = plan_of(runner()).sessions
    log = [
        {"on": s.on.isoformat(), "ran": f"{s.run_minutes:g} min"}
        for s in planned
        if s.on.isoformat() < "2027-01-25"
    ]
    log += [{"on": "2027-01-28", "ran": "25 min"}, {"on": "2027-01-30", "ran": "25 min"}]
    weeks = plan_of(runner(), log, "2027-02-01").weeks

    assert training(weeks[2]) < training(weeks[4]) <= training(weeks[2]) * 1.10


def test_an_easier_week_of_who_has_no_level_yet_is_cut_from_the_first_step() -> None:
    """From no running, with each week up to it made lighter: none of them raised the level."""
    lighter = ", ".join(f"{{week: {n}, minutes: 7 min, because: tired}}" for n in (1, 2, 3))
    text = runner(baseline=NOTHING, screening=NEW_TO_EXERCISE, more=f"changes: [{lighter}]")
    weeks = plan_of(text).weeks

    assert weeks[3].kind == "ease" and 0 < training(weeks[3]) <= 7
    assert training(weeks[3]) < training(weeks[4]) <= 10  # goes on from the level before: none


@pytest.mark.parametrize("days", [9, 16, 23, 29])
@pytest.mark.parametrize("week", [60, 90, 150])
@pytest.mark.parametrize("by", ["10 %", "30 %"])
def test_an_easier_week_on_the_way_back_is_no_more_than_the_one_before(
    days: int, week: int, by: str
) -> None:
    """9 min, and then an "easier" week of 36."""
    looked = 0
    for since in range(14, 42):
        first = date(2027, 1, 4) + timedelta(days=since)
        away = f"away: [{{from: {first}, to: {first + timedelta(days=days)}, because: a trip}}]"
        plan = plan_of(
            runner(
                baseline=f"{{on: 2027-01-04, cadence: 172 spm, pace: 6:00 /km, week: {week} min, "
                "longest: 30 min, runs: 4}",
                week="{mon: {}, wed: {}, fri: {}, sun: {}}",
                plan=f"{{from: 2027-01-04, weeks: 14, ease: {{by: {by}}}}}",
                more=away,
            )
        )
        for back, after in pairwise(plan.weeks):
            if back.kind == "return" and after.kind == "ease" and back.worth > 0:
                looked += 1
                assert training(after) <= training(back)
                assert training(after) > 0
    assert looked


@pytest.mark.parametrize("by", [20, 30, 50])
def test_the_long_run_of_an_easier_week_is_easier_too(by: int) -> None:
    """97 min of long run after 99 where the week fell by 30 %: six days leave its share that room.

    By as much as the week, from what a building week's may be: common practice, no source.
    """
    days = ", ".join(f"{day}: {{}}" for day in ("mon", "tue", "wed", "thu", "sat", "sun"))
    base = "{on: 2027-01-04, cadence: 166 spm, pace: 6:00 /km, week: 300 min, longest: 75 min}"
    plan = f"{{from: 2027-01-04, weeks: 8, enough: 400 min, ease: {{by: {by} %}}}}"
    weeks = plan_of(runner(baseline=base, week=f"{{{days}, long: sun}}", plan=plan)).weeks

    for easier in (3, 7):
        before = weeks[easier - 1].longest_minutes
        assert weeks[easier].longest_minutes <= before * 1.1 * (1 - by / 100)
        assert training(weeks[easier]) >= training(weeks[easier - 1]) * (1 - by / 100) - 1
