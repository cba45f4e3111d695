"""Dated holidays, a fixed number of runs, and a week that is large enough."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from generated import NEW_TO_EXERCISE, NOTHING, runner, training
from support import plan_of

AWAY = "away: [{from: 2027-01-20, to: 2027-01-24, because: skiing}]"


def test_nothing_stands_on_the_days_away_and_the_rest_of_the_week_is_its_part() -> None:
    plan, usual = plan_of(runner(more=AWAY)), plan_of(runner())
    week = plan.weeks[2]

    assert not [s for s in plan.sessions if date(2027, 1, 20) <= s.on <= date(2027, 1, 24)]
    assert 0 < training(week) <= training(usual.weeks[2]) / 3
    assert week.kind == "hold" and "skiing" in str(
        next(d.says for d in week.decisions if d.rule == "away")
    )
    assert training(plan.weeks[4]) == training(usual.weeks[2])  # goes on from the level before


@pytest.mark.parametrize("who", ["regular", "new"])
def test_the_runs_before_and_after_days_away_are_no_scraps_of_what_they_were(who: str) -> None:
    """Eight days over two weeks: a run left of three is a third of the week, not 40 % of that, and
    after them 80 % of it."""
    new = {"baseline": NOTHING, "screening": NEW_TO_EXERCISE} if who == "new" else {}
    whole = "{from: 2027-01-04, weeks: 8, ease: {every: 8}}"
    gone = "away: [{from: 2027-01-20, to: 2027-01-27, because: skiing}]"
    weeks = plan_of(runner(plan=whole, more=gone, **new)).weeks
    before = [s.run_minutes for s in weeks[1].sessions if s.is_run]
    around = [s.run_minutes for w in weeks[2:4] for s in w.sessions if s.is_run]

    least = 0.8 * min(before) * 2 / 3
    assert around and all(least <= one <= max(before) for one in around), around


@pytest.mark.parametrize("days", [3, 4, 6])
@pytest.mark.parametrize("gone", [("01-31", "02-02"), ("01-25", "01-27"), ("01-29", "01-31")])
def test_no_run_beside_days_away_is_longer_than_that_week_would_have_had(
    days: int, gone: tuple[str, str]
) -> None:
    """Of 300 min a week the runs left were 44 min where 39 are usual: the long run's share."""
    offered = ("tue", "thu", "sun", "sat", "mon", "fri")[:days]
    week = f"{{{', '.join(f'{day}: {{}}' for day in offered)}, long: sun}}"
    base = "{on: 2027-01-04, cadence: 172 spm, pace: 6:00 /km, week: 300 min, longest: 75 min}"
    away = f"away: [{{from: 2027-{gone[0]}, to: 2027-{gone[1]}, because: x}}]"
    found = plan_of(runner(baseline=base, week=week, more=away)).weeks
    usual = plan_of(runner(baseline=base, week=week)).weeks
    looked = 0
    for one, other in zip(found[3:5], usual[3:5], strict=True):
        runs = sorted(s.run_minutes for s in one.sessions if s.is_run)
        most = sorted(s.run_minutes for s in other.sessions if s.is_run)
        if runs and len(runs) < len(most):
            looked += 1
            assert all(a <= b + 2 for a, b in zip(runs[-2::-1], most[-2::-1], strict=False)), runs
            assert runs[-1] <= most[-1]
    assert looked


def test_an_easier_week_with_days_away_is_a_part_of_the_easier_one() -> None:
    gone = "away: [{from: 2027-01-25, to: 2027-01-26, because: a wedding}]"
    usual, week = plan_of(runner()).weeks[3], plan_of(runner(more=gone)).weeks[3]

    assert week.kind == "ease" and 0 < training(week) <= 0.75 * training(usual)


def test_a_week_away_is_come_back_to_as_after_any_days_without_a_run() -> None:
    plan = plan_of(runner(more="away: [{from: 2027-01-18, to: 2027-01-24, because: skiing}]"))

    assert plan.weeks[2].kind == "pause" and not plan.weeks[2].sessions
    assert plan.weeks[3].kind in ("return", "ease")
    assert training(plan.weeks[3]) <= 0.8 * training(plan.weeks[1])


def test_who_is_away_is_not_silent() -> None:
    away = "away: [{from: 2027-01-11, to: 2027-02-14, because: at sea}]"

    assert plan_of(runner(more=away), "[]", "2027-02-15").status == "active"
    assert plan_of(runner(), "[]", "2027-02-15").status == "paused"


def test_a_fixed_number_of_runs_is_kept_however_the_week_grows() -> None:
    text = runner(plan="{from: 2027-01-04, weeks: 12, enough: 5 h, growth: 15 %, runs: 2}")
    free = runner(plan="{from: 2027-01-04, weeks: 12, enough: 5 h, growth: 15 %}")

    assert {sum(s.is_run for s in w.sessions) for w in plan_of(text).weeks} == {2}
    assert max(sum(s.is_run for s in w.sessions) for w in plan_of(free).weeks) > 3


def test_enough_ends_the_growth() -> None:
    text = runner(plan="{from: 2027-01-04, weeks: 14, enough: 150 min}")

    weeks = [training(w) for w in plan_of(text).weeks if w.kind == "build"]
    assert weeks[-1] == 150 == max(weeks)


@pytest.mark.parametrize(("until", "share"), [("01-26", 0.8), ("01-27", 0.8), ("02-03", 0.6)])
@pytest.mark.parametrize("log", ["no word", "all run"])
def test_after_a_week_away_and_more_a_run_before_monday_is_no_way_round_the_return(
    until: str, share: float, log: str
) -> None:
    """Seven days, eight and fifteen, over in mid week: the first whole week after it
    had grown over the weeks before them."""
    text = runner(
        week="{tue: {}, thu: {}, sat: {}, sun: {}}",
        plan="{from: 2027-01-04, weeks: 7, ease: {every: 8}, growth: 10 %}",
        more=f"away: [{{from: 2027-01-20, to: 2027-{until}, because: work}}]",
    )
    ahead = plan_of(text)
    back = date.fromisoformat(f"2027-{until}")
    monday = back + timedelta(days=7 - back.weekday())
    done = [{"on": str(s.on), "ran": f"{s.run_minutes:g} min"} for s in ahead.sessions if s.is_run]
    told = [entry for entry in done if entry["on"] < str(monday)] if log == "all run" else []
    plan = plan_of(text, told, str(monday)) if told else ahead
    before = max(training(w) for w in plan.weeks[:2])
    (cut,), (whole, after) = (
        [w for w in plan.weeks if w.start == monday - timedelta(days=7)],
        [w for w in plan.weeks if monday <= w.start < monday + timedelta(days=14)],
    )

    assert any(s.is_run for s in cut.sessions) and cut.kind == whole.kind == "return"
    assert 0.9 * share * before <= training(whole) <= share * before * 1.01
    assert training(after) <= (1.1 if share == 0.8 else 1.1 * share) * before * 1.05
    assert "days away" in str(next(d.says for d in whole.decisions if d.rule == "absence"))


def test_a_run_on_a_day_away_counts() -> None:
    text = runner(more="away: [{from: 2027-01-20, to: 2027-01-28, because: work}]")
    runs = [f"{{on: 2027-01-{day}, ran: 40 min}}" for day in ("05", "12", "19", "24", "30")]

    assert plan_of(text, f"[{', '.join(runs)}]", "2027-02-01").weeks[4].kind == "build"


def test_no_run_stands_on_a_day_away_at_the_beginning_of_a_week() -> None:
    text = runner(
        week="{mon: {}, tue: {}, wed: {}, sat: {}, sun: {}}",
        more="away: [{from: 2027-01-18, to: 2027-01-20, because: work}]",
    )
    runs = [s.on.day for s in plan_of(text).weeks[2].sessions if s.is_run]

    assert runs and min(runs) >= 23


def test_what_a_holiday_leaves_of_one_week_makes_no_run_after_it_shorter() -> None:
    """Half a week before three away left 24 min of runs of 35; after them 14 were told, and the
    weeks grew from that by a minute each."""
    days = "{mon: {up_to: 45 min}, sun: {up_to: 45 min}}"
    base = "{on: 2027-01-04, cadence: 160 spm, pace: 6:30 /km, week: 150 min, longest: 75 min, "
    gone = "away: [{from: 2027-02-09, to: 2027-03-01, because: sailing}]"
    plan = "{from: 2027-01-04, weeks: 12, ease: {every: 8}}"
    weeks = plan_of(runner(baseline=f"{base}runs: 2}}", week=days, plan=plan, more=gone)).weeks
    before, back = ([s.run_minutes for s in weeks[n].sessions if s.is_run] for n in (4, 8))

    assert weeks[8].kind == "return" and len(back) == 1
    assert back[0] >= 0.6 * min(before) - 1, (before, back)  # 60 % of what it was
