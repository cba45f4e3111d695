"""Coming back by steps: gate, dose, waiting for the log, and back a step where it hurts."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from generated import runner
from portal_builder import make_drills
from sitegen.checkins.words import entry_words
from sitegen.coach.words import weeks_table
from sitegen.model.case import Case
from sitegen.model.plan import Plan
from sitegen.model.problem import Problem
from sitegen.model.ways import Way
from sitegen.plan.drilling import QUICK_DRILLS, with_drills
from sitegen.plan.fold import expand
from sitegen.practice.returns import way_back, way_of
from sitegen.world import read_returns
from support import case_of

WAYS = {name: way_of(name, data) for name, data in read_returns().items()}
NAMED = ("after-illness", "calf", "achilles", "kneecap-pain", "bone-stress", "birth",
         "long-absence")  # fmt: skip
MONDAY = date(2027, 1, 4)


def case(name: str, log: str = "[]", more: str = "") -> Case:
    found = case_of(runner(more=f"return: {{after: {name}{more}}}"), log)
    return replace(found, way_back=WAYS[name])


def plan(name: str, log: str = "[]", as_of: str = "2027-01-04", more: str = "") -> Plan:
    if not more and WAYS[name].gate == "clinician":
        more = ", cleared_on: 2027-01-02, by: a doctor"
    return expand(case(name, log, more), date.fromisoformat(as_of))


def test_a_week_of_the_way_is_told_by_the_way_alone() -> None:
    """No room for so many minutes, no share of the longest run, no ladder of other runners."""
    found = plan("calf", log_of(3), "2027-01-11")
    rules = {d.rule for w in found.weeks for d in w.decisions}

    assert rules == {"returning"}
    assert {w.kind for w in found.weeks} == {"return"}


def test_weeks_that_wait_for_the_same_are_told_in_one_line_with_what_they_wait_for() -> None:
    table = weeks_table(plan("calf"))
    rows = [line for line in table.splitlines() if line[:4].strip().isdecimal()]

    assert [row.split()[0] for row in rows] == ["1"] and "40w" in rows[0]
    assert "are the same for now: Coming back, step 1 of 5." in " ".join(table.split())
    assert len(weeks_table(plan("calf", log_of(3), "2027-01-11")).splitlines()) > 12


def test_walks_of_the_own_ladder_that_are_longer_than_the_step_are_explained() -> None:
    """The kneecap's second step walks one minute, the usual ladder's first rung two."""
    week = plan("kneecap-pain", log_of(3), "2027-01-11").weeks[-1]
    said = [str(d.says) for d in week.decisions]

    assert stage(plan("kneecap-pain", log_of(3), "2027-01-11")) == "2 of 5"
    assert any("walk 2 min" in one and "your own ladder" in one for one in said)
    assert {p.minutes for s in week.sessions for p in s.parts if p.kind == "walk"} == {2}


def log_of(count: int, pain: int = 0) -> str:
    told = (
        f"{{on: {MONDAY + timedelta(2 * n)}, ran: 10 min, effort: 2, pain: {{during: {pain}}}}}"
        for n in range(count)
    )
    return f"[{', '.join(told)}]"


def stage(found: Plan) -> str:
    """What the last week of the plan says of the step."""
    says = [d.says for d in found.weeks[-1].decisions if d.rule == "returning"]
    return f"{says[0].values['step']} of {says[0].values['steps']}" if says else "over"


def test_all_that_are_asked_for_are_there_with_a_source_and_steps() -> None:
    assert set(NAMED) <= set(WAYS)
    for name, way in WAYS.items():
        assert len(way.steps) >= 3 and way.source and way.most_pain <= 2, name
        assert "no source" in way.source, f"{name}: the steps themselves are common practice"
        running = [step.run_minutes for step in way.steps]
        stretches = [step.run.minutes for step in way.steps if step.run]
        assert running == sorted(running) or max(running) <= 21, name
        assert stretches == sorted(stretches), name
        assert all((step.run is None) == (step.minutes is None) for step in way.steps), name
        assert all(step.walk is not None for step in way.steps), name


@pytest.mark.parametrize("name", ["bone-stress", "birth"])
def test_none_for_bone_or_birth_begins_without_a_clinicians_date(name: str) -> None:
    assert WAYS[name].gate == "clinician"
    for more in (", by: a doctor", ", cleared_on: 2027-01-02"):
        found = plan(name, more=more)
        assert found.sessions == () and found.status == "referred"
        assert "First a clinician" in str(found.decisions[0].says)
    dated = expand(case(name, more=", cleared_on: 2027-01-13, by: a doctor"), MONDAY)
    assert dated.sessions and all(s.on >= date(2027, 1, 13) for s in dated.sessions)
    assert plan(name).status == "active" and plan(name).sessions


@pytest.mark.parametrize("name", NAMED)
def test_the_dose_of_the_first_step_stands_in_the_plan_on_the_eve(name: str) -> None:
    found = plan(name, as_of="2027-01-03")
    first = WAYS[name].steps[0]

    for week in found.weeks:
        runs = [s for s in week.sessions if s.is_run]
        assert 0 < len(runs) <= WAYS[name].runs
        assert all(s.run_minutes <= first.run_minutes for s in runs)
        assert not any(s.hard for s in runs) and week.kind in ("return", "ease")
    assert stage(found) == f"1 of {len(WAYS[name].steps)}", "no later step is shown"


@pytest.mark.parametrize("name", NAMED)
def test_each_step_waits_for_its_sessions_and_ends_at_the_last(name: str) -> None:
    way, done = WAYS[name], 0
    for number, step in enumerate(way.steps, 1):
        for _ in range(step.sessions):
            as_of = MONDAY + timedelta(2 * done)
            assert (
                stage(plan(name, log_of(done), as_of.isoformat()))
                == f"{number} of {len(way.steps)}"
            )
            done += 1
    as_of = MONDAY + timedelta(2 * done)
    assert stage(plan(name, log_of(done), as_of.isoformat())) == "over"


def test_a_step_of_walking_alone_is_walked_and_told_so() -> None:
    """What was walked takes a step up, and is no run; no drill of the day asks to run."""
    log = log_of(2).replace("ran: 10 min, effort: 2, pain: {during: 0}", "walked: 30 min")
    entry = case("kneecap-pain", log).log[0]
    assert entry_words(entry) == "walked 30 min" and not entry.is_run
    assert stage(plan("kneecap-pain", log, "2027-01-08")) == "2 of 5"

    stages = ("first_steps", "building", "step_rate", "sharpening", "easing")
    drills = [drill._replace(stages=stages) for drill in make_drills()]
    walks, runs = (
        with_drills(case("kneecap-pain"), plan("kneecap-pain", logged, day), drills).sessions
        for logged, day in (("[]", "2027-01-04"), (log, "2027-01-08"))
    )
    assert all(s.is_walk and s.walk_minutes == 30 and s.drills == () for s in walks)
    runs = tuple(s for s in runs if s.on > date(2027, 1, 8))
    assert not any(s.is_walk for s in runs) and all(s.drills for s in runs if s.is_run)


@pytest.mark.parametrize("id", sorted(QUICK_DRILLS))
def test_nothing_quick_stands_beside_a_return_or_short_stretches(id: str) -> None:
    stages = ("first_steps", "building", "step_rate", "sharpening", "easing", "strength")
    drills = [make_drills()[0]._replace(id=id, stages=stages, where="on_the_run")]
    day = date(2027, 1, 4)
    usual = with_drills(case_of(runner()), expand(case_of(runner()), day), drills)
    back = with_drills(case("kneecap-pain"), plan("kneecap-pain"), drills)
    few = runner(baseline="{on: 2027-01-04, cadence: 160 spm, week: 40 min, continuous: 5 min}")
    short = with_drills(case_of(few), expand(case_of(few), day), drills)
    sore = "[{on: 2027-01-05, ran: 40 min, effort: 3, pain: {during: 3, site: left knee}}]"
    held = case_of(runner(), sore)
    hold = with_drills(held, expand(held, date(2027, 1, 6)), drills).weeks[0]

    assert any(id in s.drills for s in usual.sessions)
    assert back.sessions and not any(id in s.drills for s in back.sessions)
    first = [s for s in short.weeks[0].sessions if s.is_run]
    assert first and not any(id in s.drills for s in first)
    assert hold.kind in ("hold", "back") and not any(
        id in s.drills for s in hold.sessions if s.on > date(2027, 1, 5)
    )


def test_pain_goes_back_a_step() -> None:
    up = plan("calf", log_of(3), "2027-01-11")
    hurt = log_of(3)[:-1] + ", {on: 2027-01-10, ran: 10 min, pain: {during: 3}}]"
    assert stage(up) == "2 of 5"
    assert stage(plan("calf", hurt, "2027-01-18")) == "1 of 5"


def test_a_session_left_out_or_a_word_alone_moves_nothing() -> None:
    log = "[{on: 2027-01-05, skipped: time}, {on: 2027-01-06, said: All well.}]"
    assert stage(plan("long-absence", log, "2027-01-11")) == "1 of 5"


def test_a_way_that_is_not_there_is_told_with_its_place() -> None:
    found = way_back(case_of(runner(more="return: {after: calfs}"), "[]"), read_returns())
    assert isinstance(found, Problem)
    assert found.code == "return-unknown" and found.hint.startswith("did you mean calf?")


def test_after_the_way_the_plan_goes_on_from_its_last_dose() -> None:
    way: Way = WAYS["long-absence"]
    total = sum(step.sessions for step in way.steps)
    as_of = MONDAY + timedelta(2 * total)
    found = plan("long-absence", log_of(total), as_of.isoformat())
    week = next(w for w in found.weeks if w.start > as_of)
    last = way.steps[-1].run_minutes * way.runs

    assert week.kind == "build" and week.run_minutes <= last * 1.1 + 10


@pytest.mark.parametrize("name", ["birth", "bone-stress", "calf"])
def test_after_the_way_who_brought_no_running_goes_on_from_its_last_dose_too(name: str) -> None:
    """The first talk writes a week of 0 min for them: from 63 min a week they fell to 10."""
    gate = ", cleared_on: 2027-01-02, by: a doctor" if WAYS[name].gate == "clinician" else ""
    raw = runner(
        baseline="{on: 2027-01-04, cadence: 160 spm, week: 0 min}",
        plan="{from: 2027-01-04, weeks: 16}",
        more=f"return: {{after: {name}{gate}}}",
    )
    log: list[str] = []
    weeks = []
    for number in range(12):
        lived = replace(case_of(raw, f"[{', '.join(log)}]"), way_back=WAYS[name])
        week = expand(lived, MONDAY + timedelta(7 * number)).weeks[number]
        weeks.append(week)
        for s in week.sessions:
            ran = f"ran: {s.run_minutes:.0f} min" if s.run_minutes else "walked: 30 min"
            log.append(f"{{on: {s.on}, {ran}, pain: {{during: 0, after: 0, next_morning: 0}}}}")
    first = next(n for n, week in enumerate(weeks) if week.kind == "build")
    last = max(week.run_minutes for week in weeks[:first])

    assert last >= 45 and all(0.6 * last <= w.run_minutes for w in weeks[first:])
    assert weeks[first].run_minutes <= last * 1.1 + 10


def test_weeks_before_the_way_begins_stay_as_they_were() -> None:
    """It begins on Wednesday 20 January: that week is the way's, the two before are not."""
    found = plan("calf", more=", cleared_on: 2027-01-20")
    usual = expand(case_of(runner(), "[]"), MONDAY)

    assert found.weeks[:2] == usual.weeks[:2]
    assert all(w.kind == "return" for w in found.weeks[2:])
