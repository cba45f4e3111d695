"""The reasons of one number of a week: `sitegen/coach/reasons.py`."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest

from event_plans import sweep
from generated import NEW_TO_EXERCISE, NOTHING, runner
from sitegen.coach.reasons import OF_LONGEST, OF_MINUTES, OF_RATE, OF_SESSION, reasons_of
from sitegen.model.plan import Plan
from sitegen.portal.reasons import source_as_read
from sitegen.rules import RULES
from sitegen.site.plans import open_plans
from support import plan_of
from test_promises import unfounded

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture(scope="module")
def plans() -> list[Plan]:
    return list(open_plans(ROOT / "clients", (), date(2027, 3, 18)).plans.values())


def test_every_rule_stands_behind_some_number() -> None:
    placed = OF_MINUTES | OF_LONGEST | OF_RATE | set(OF_SESSION)
    assert [rule.name for rule in RULES if rule.name not in placed] == []


def test_every_number_of_the_demo_has_a_reason_of_its_week(plans: list[Plan]) -> None:
    asked = 0
    for plan in plans:
        for week in plan.weeks:
            runs = [one.id for one in week.sessions if one.is_run]
            for of in ("minutes", "longest", "rate", *runs):
                found = reasons_of(week, of)
                assert found and found.decisions, (plan.client, week.number, of)
                assert set(found.decisions) <= set(week.decisions)
                assert len(set(found.decisions)) == len(found.decisions)
                asked += 1
    assert asked > 300


def test_a_week_has_no_number_of_another(plans: list[Plan]) -> None:
    assert reasons_of(plans[0].weeks[0], "w99-run-1") is None


def test_a_client_reads_a_source_without_a_word_of_how_we_know_it() -> None:
    """Every rule's; what stands in the coach's own pages keeps it."""
    read = {rule.name: source_as_read(rule.source).says for rule in RULES}

    assert [name for name, said in read.items() if "memory" in said or "second-hand" in said] == []
    assert any("from memory" in rule.source for rule in RULES)
    assert read["signs"].startswith("Usual red flags; bone: Knobloch AC et al.")
    assert "Riebe D et al. 2015; the list is not complete" in read["signs"]
    assert "906 (supervised patients with a diagnosis); knee" in read["pain"]


def test_no_reason_speaks_of_a_session_that_is_not_there() -> None:
    """In plans to an event with short days; `test_promises` looks at lives."""
    looked = 0
    for found in sweep(weeks=[60, 180], lengths=[12], limits=["1 h", "4 h"]):
        assert list(unfounded(found.plan)) == []
        looked += sum(d.rule in ("hard", "long_run") for w in found.plan.weeks for d in w.decisions)
    assert looked > 200


@pytest.mark.parametrize("days", ["{tue: {}, sun: {}}", "{tue: {}, thu: {}, sun: {}}"])
def test_no_rung_is_told_that_the_weeks_runs_are_too_short_for(days: str) -> None:
    """Run 15 min, walk 2 min, stood over runs of 11 min, and 20 min over runs of 15."""
    plan = plan_of(
        runner(
            baseline=NOTHING,
            week=days,
            screening=NEW_TO_EXERCISE,
            plan="{from: 2027-01-04, weeks: 16}",
        )
    )
    says = [str(d.says) for w in plan.weeks for d in w.decisions if d.rule == "run_walk"]
    assert list(unfounded(plan)) == []
    assert any("at a stretch" in one or "no walk within" in one for one in says)


def test_a_bound_of_a_run_is_told_as_a_bound() -> None:
    """No run of weeks ahead is over it: "the longest run is 44 min" stood over one of 29."""
    looked = 0
    for found in sweep(days=[2, 4], weeks=[90, 180], lengths=[12], limits=["1 h 30 min"]):
        for week in found.plan.weeks:
            runs = [s.run_minutes for s in week.sessions if s.is_run and s.kind != "event"]
            (said,) = [d for d in week.decisions if d.rule == "longest"]
            assert max(runs) <= (said.after or 0)
            assert str(said.says).startswith(f"No run is over {int(said.after or 0)} min")
            looked += 1
    assert looked > 50


def test_a_week_that_stopped_says_nothing_of_what_it_would_hold() -> None:
    """Its runs of the days before stand there; room for 133 min beside them is no reason."""
    log = "[{on: 2027-01-05, ran: 30 min, signs: [limp]}]"
    week = plan_of(runner(), log, "2027-01-07").weeks[0]

    assert week.kind == "pause" and week.run_minutes > 0
    assert {d.rule for d in week.decisions} == {"signs"}


def test_a_week_without_a_run_names_no_bound_of_one() -> None:
    """No run is over 180 min, stood over a week of rest after the event, as a warning."""
    plan = plan_of(
        runner(
            baseline="{on: 2027-01-04, cadence: 160 spm, pace: 5:30 /km, week: 606 min, "
            "longest: 101 min, runs: 6}",
            week="{mon: {up_to: 25 min}}",
            plan="{from: 2027-01-04, weeks: 3, ease: {by: 10 %, every: 2}}",
            more="goal: {event: {distance: marathon, on: 2027-01-04}}",
        )
    )
    bounds = [[d.rule for d in week.decisions].count("longest") for week in plan.weeks]

    assert [bool(week.run_minutes) for week in plan.weeks] == [True, False, True]
    assert bounds[1:] == [0, 1]


@pytest.mark.parametrize(
    ("change", "number", "gone"),
    [
        ("{on: 2027-02-07, minutes: 80 min, because: with friends}", 5, {"longest"}),
        ("{week: 5, minutes: 60 min, because: a cold office}", 5, {"longest", "hard", "volume"}),
        ("{week: 4, minutes: 200 min, because: camp}", 4, {"longest", "ease"}),
        ("{on: 2027-02-04, minutes: 44 min, because: a bus}", 5, set()),
    ],
)
def test_what_a_coach_wrote_leaves_no_bound_or_share_that_it_breaks(
    change: str, number: int, gone: set[str]
) -> None:
    """No run is over 60 min, stood over one of 80; an easier week, over one made twice as long."""
    text = runner(
        baseline="{on: 2027-01-04, cadence: 172 spm, pace: 6:00 /km, week: 120 min, "
        "longest: 45 min, runs: 3}",
        week="{tue: {}, thu: {}, sun: {}, long: sun}",
        plan="{from: 2027-01-04, weeks: 8, hard: {from_week: 5, per_week: 1}}",
    )
    usual, made = (plan_of(t).weeks[number - 1] for t in (text, f"{text}changes: [{change}]\n"))
    rules = [{decision.rule for decision in week.decisions} for week in (usual, made)]

    assert rules[0] - rules[1] == gone
    assert "changes" in rules[1]


@pytest.mark.parametrize(
    ("days", "says"),
    [
        (
            "{tue: {up_to: 40 min}, sun: {up_to: 50 min}}",
            r"No run is over 30 min: that is 50 % of.*",
        ),
        ("{tue: {up_to: 14 min}, sun: {}}", r"No run is over 60 min: what two runs would.*"),
    ],
)
def test_a_share_of_the_week_is_one_of_the_minutes_that_stand(days: str, says: str) -> None:
    """ "No run is over 66 min: that is 50 % of the week" stood over one run of 66, and over 70 min
    in two: in 113 weeks of 200 drawn plans."""
    plan = plan_of(
        runner(
            baseline="{on: 2027-01-04, cadence: 160 spm, pace: 6:30 /km, week: 120 min, "
            "longest: 70 min, runs: 2}",
            week=days,
            plan="{from: 2027-01-04, weeks: 3}",
        )
    )
    for week in plan.weeks:
        (said,) = [d for d in week.decisions if d.rule == "longest"]
        assert re.fullmatch(says, str(said.says))
        assert week.longest_minutes <= (said.after or 0)


def test_no_week_is_told_a_day_between_its_runs_and_two_in_a_row() -> None:
    """Both stood over a new runner's week on neighbouring days; 52 weeks of 300 drawn plans."""
    plan = plan_of(
        runner(
            baseline="{on: 2027-01-04, cadence: 160 spm, pace: 7:00 /km, week: 40 min, "
            "longest: 22 min, runs: 2}",
            week="{wed: {}, thu: {}}",
            screening=NEW_TO_EXERCISE,
            plan="{from: 2027-01-04, weeks: 8}",
        )
    )
    says = [" ".join(str(d.says) for d in week.decisions) for week in plan.weeks]
    in_a_row = [one for one in says if "Two running days in a row" in one]

    assert in_a_row
    assert not any("A day without running after each run" in one for one in in_a_row)


def test_the_last_rung_names_no_walk_of_no_minutes() -> None:
    """ "Run 30 min, walk 0 min, in turn" stood over weeks on the last rung."""
    plan = plan_of(
        runner(
            baseline="{on: 2027-01-04, cadence: 160 spm, pace: 6:18 /km, week: 80 min, "
            "longest: 28 min, continuous: 28 min, runs: 3}",
            week="{tue: {up_to: 30 min}, thu: {up_to: 30 min}, sat: {up_to: 30 min}}",
            plan="{from: 2027-01-04, weeks: 6}",
        )
    )
    says = [str(d.says) for w in plan.weeks for d in w.decisions if d.rule == "run_walk"]

    assert "Runs are up to 30 min long, without a walk." in says
    assert not any("walk 0 min" in one for one in says)
