"""Which drills go with the runs of a week: they change from run to run, and suit the run."""

from __future__ import annotations

from datetime import date
from functools import cache
from itertools import pairwise

import pytest

from generated import runner
from sitegen import world
from sitegen.model.drill import Drill
from sitegen.model.plan import Plan, Session, Week
from sitegen.plan.drilling import with_drills
from sitegen.plan.fold import expand
from sitegen.practice.drills import read_drill
from support import case_of

START = date(2027, 1, 4)
FOUR_DAYS = "{tue: yes, thu: yes, sat: yes, sun: yes}"
BASELINE = (
    "{on: 2027-01-04, cadence: 160 spm, pace: 6:00 /km, week: 160 min, longest: 60 min, runs: 4}"
)
HARD = "{from: 2027-01-04, weeks: 12, hard: {from_week: 3, per_week: 1}}"
LONG = "{from: 2027-01-04, weeks: 24}"


@cache
def shipped() -> tuple[Drill, ...]:
    read = (
        read_drill(id, data, f"{id}.md", own=False, figure=figure)[0]
        for id, (data, figure) in sorted(world.read_library().items())
    )
    return tuple(drill for drill in read if drill is not None)


def drilled(client: str) -> Plan:
    case = case_of(client)
    return with_drills(case, expand(case, START), shipped())


def hard_weeks(plan: Plan) -> list[Week]:
    return [week for week in plan.weeks if any(s.hard for s in week.sessions)]


def test_no_two_runs_in_a_row_have_the_same_drills() -> None:
    """Also where days lie two apart, and in the weeks with hard running."""
    plan = drilled(runner(week=FOUR_DAYS, baseline=BASELINE, plan=HARD))
    assert len(hard_weeks(plan)) >= 6
    for week in plan.weeks:
        runs = [s.drills for s in week.sessions if s.is_run]
        assert all(before != after for before, after in pairwise(runs)), week


def test_weeks_with_hard_running_have_more_than_two_drills_for_each_place() -> None:
    plan = drilled(runner(week=FOUR_DAYS, baseline=BASELINE, plan=HARD))
    places = {drill.id: drill.where for drill in shipped()}
    met = {id for week in hard_weeks(plan) for s in week.sessions for id in s.drills}
    for place in ("warm_up", "on_the_run", "after"):
        assert sum(places[id] == place for id in met) >= 3, (place, met)


def has(session: Session, id: str) -> bool:
    return id in session.drills


def test_strides_stand_beside_neither_a_hard_run_nor_the_long_one() -> None:
    plan = drilled(runner(week=FOUR_DAYS, baseline=BASELINE, plan=HARD))
    with_strides = [s for s in plan.sessions if has(s, "gentle-strides")]
    assert with_strides
    assert not [s for s in with_strides if s.hard or s.kind == "long"]


def test_what_is_run_to_the_beat_is_the_run_to_the_beat() -> None:
    plan = drilled(runner(week=FOUR_DAYS, baseline=BASELINE, plan=HARD))
    assert {s.kind for s in plan.sessions if has(s, "beat-runs")} == {"beat"}
    assert all(has(s, "beat-runs") for s in plan.sessions if s.kind == "beat")


@pytest.mark.parametrize(("cleared", "found"), [("easy", False), ("all", True)])
def test_nothing_quick_for_whom_nothing_hard_is_cleared(cleared: str, found: bool) -> None:
    asked = (
        "{on: 2027-01-04, regular_exercise: yes, known_disease: yes, symptoms: no, "
        f"cleared_on: 2027-01-04, cleared_for: {cleared}, cleared_by: the family doctor}}"
    )
    plan = drilled(runner(week=FOUR_DAYS, baseline=BASELINE, plan=LONG, screening=asked))
    runs = [s for s in plan.sessions if s.is_run]
    assert runs and any(has(s, "gentle-strides") for s in runs) == found


@pytest.mark.parametrize(("cleared", "found"), [("", False), (", cleared_for: all", True)])
def test_nothing_quick_after_chest_pain_until_what_is_hard_is_cleared(
    cleared: str, found: bool
) -> None:
    """Who looked and lifted the stop has not cleared hard running with it."""
    asked = "{on: 2026-12-01, regular_exercise: yes, known_disease: no, symptoms: no"
    if cleared:
        asked += f", cleared_on: 2027-01-13, cleared_by: the cardiologist{cleared}"
    lifted = (
        "changes: [{on: 2027-01-14, lifts: chest_pain 2027-01-07, seen_by: the cardiologist, "
        "because: Nothing was found.}]"
    )
    text = runner(week=FOUR_DAYS, baseline=BASELINE, plan=LONG, screening=asked + "}", more=lifted)
    case = case_of(text, "[{on: 2027-01-07, ran: 20 min, signs: [chest_pain]}]")
    plan = with_drills(case, expand(case, date(2027, 1, 20)), shipped())
    runs = [s for s in plan.sessions if s.is_run and s.on > date(2027, 1, 20)]

    assert runs and any(has(s, "gentle-strides") for s in runs) == found
