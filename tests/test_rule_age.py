"""From 65 on: slower growth and a day between runs, where the coach has not said otherwise."""

from __future__ import annotations

from datetime import date
from itertools import pairwise

import pytest

from generated import runner
from sitegen.model.plan import Plan
from sitegen.model.values import Percent
from sitegen.rules.age import is_older
from sitegen.rules.volume import growth_of
from support import PRACTICE, case_of, plan_of

BASE = "{on: 2027-01-04, cadence: 172 spm, pace: 7:00 /km, week: 150 min, longest: 50 min, runs: 5}"
DAYS = "{mon: {}, tue: {}, wed: {}, thu: {}, fri: {}, sun: {}}"


def plan(born: str, more: str = "", rules: str = "") -> Plan:
    text = runner(
        baseline=BASE,
        week=DAYS,
        plan=f"{{from: 2027-01-04, weeks: 3, enough: 5 h{more}}}",
        more=f"born: {born}\n{rules}",
    )
    return plan_of(text)


def growth(found: Plan) -> float:
    """What the first week is worth over the baseline's 150 min."""
    return found.weeks[0].worth / 150 - 1


def side_by_side(found: Plan) -> int:
    days = sorted(s.on for s in found.sessions if s.is_run)
    return sum((after - day).days == 1 for day, after in pairwise(days))


def test_at_66_weeks_grow_by_half_as_much_and_days_lie_between() -> None:
    old, young = plan("1960-05-01"), plan("1990-05-01")

    assert 0.04 < growth(old) <= 0.051 < growth(young) <= 0.101
    assert side_by_side(old) == 0 < side_by_side(young)


@pytest.mark.parametrize("kind", ["run and walk", "without a walk"])
def test_short_weeks_too_grow_by_half_as_many_minutes(kind: str) -> None:
    """Five in place of ten: also on the way up from running and walking in turn."""
    longest = 20 if kind == "run and walk" else 40
    base = (
        "{on: 2027-01-04, cadence: 160 spm, pace: 7:30 /km, week: 60 min, "
        f"longest: {longest} min, runs: 3}}"
    )
    old, young = (plan_of(runner(baseline=base, more=f"born: {born}")) for born in ("1958", "1990"))

    assert old.weeks[0].run_minutes <= 65 < young.weeks[0].run_minutes
    assert [w.kind for w in old.weeks[:3]] == ["build"] * 3
    assert old.weeks[2].run_minutes > old.weeks[0].run_minutes


def test_it_is_said_with_its_evidence() -> None:
    (said,) = (d for d in plan("1960-05-01").weeks[0].decisions if d.rule == "age")

    assert "65" in str(said.says) and said.source == "common practice, no source"


def test_what_the_coach_wrote_wins() -> None:
    assert growth(plan("1960-05-01", ", growth: 10 %")) > 0.08
    assert side_by_side(plan("1960-05-01", ", runs: 5")) > 0


@pytest.mark.parametrize(
    ("house", "own", "most"),
    [("8 %", "", 5), ("3 %", "", 3), ("8 %", "rules: {volume: {growth: 9 %}}", 9)],
)
def test_of_a_house_rule_for_all_and_of_age_the_slower_holds(
    house: str, own: str, most: int
) -> None:
    """Written to slow all down, 8 % made weeks of who is 68 grow faster, 5 % before."""
    practice = PRACTICE.replace("}", f", rules: {{volume: {{growth: {house}}}}}}}")
    case = case_of(runner(more=f"born: 1958\n{own}"), practice=practice)

    assert growth_of(case, date(2027, 1, 4)) == Percent(most)


def test_a_practice_sets_its_own_age() -> None:
    assert side_by_side(plan("1960-05-01", rules="rules: {age: {from_age: 70}}")) > 0


@pytest.mark.parametrize(
    ("born", "older"),
    [("1962-01-04", True), ("1962-01-05", False), ("1962", True), ("1963", False)],
)
def test_the_birthday_counts_and_of_a_year_alone_its_first_day(born: str, older: bool) -> None:
    case = case_of(runner(more=f"born: {born}"))

    assert is_older(case, date(2027, 1, 4)) is older


def test_an_age_that_is_not_known_does_nothing() -> None:
    assert not is_older(case_of(runner()), date(2027, 1, 4))


def test_the_sentence_says_that_short_weeks_grow_by_a_few_minutes_more() -> None:
    """60 min grow to 65, over 5 %: else rounding would lock them (the rule's own promise)."""
    short = BASE.replace("week: 150 min, longest: 50 min", "week: 60 min, longest: 30 min")
    text = runner(baseline=short, week=DAYS, more="born: 1950",
                  plan="{from: 2027-01-04, weeks: 3, enough: 5 h}")  # fmt: skip
    week = plan_of(text).weeks[0]
    [said] = [str(d.says) for d in week.decisions if d.rule == "age"]

    assert week.worth / 60 > 1.05
    assert "short ones by a few minutes more" in said


def test_the_long_run_has_its_share_of_as_many_runs_as_lie_apart() -> None:
    """Of five days in a row three lie apart: 40 % of three runs, not 35 % of five."""
    text = runner(
        baseline="{on: 2027-01-04, cadence: 172 spm, pace: 7:00 /km, week: 150 min, "
        "longest: 70 min, runs: 5}",
        week="{mon: {}, tue: {}, wed: {}, thu: {}, fri: {}}",
        plan="{from: 2027-01-04, weeks: 2}",
        more="born: 1958\n",
    )
    for week in plan_of(text).weeks:
        runs = [s.run_minutes for s in week.sessions if s.is_run]
        assert len(runs) == 3
        assert max(runs) / sum(runs) == pytest.approx(0.4, abs=0.01)
