"""The last days before an event, and the first after it."""

from __future__ import annotations

from datetime import timedelta
from statistics import median

import pytest

from event_plans import EventPlan, sweep
from generated import runner
from sitegen.model.client import DAYS as DAYS_OF_WEEK
from support import plan_of, tree


@pytest.fixture(scope="module")
def plans() -> list[EventPlan]:
    return list(sweep(weeks=(60, 120, 240), limits=("4 h",)))


def test_near_the_event_every_run_is_short(plans: list[EventPlan]) -> None:
    """Four days: 40 min or 60 % of the usual run, whichever is less; two days: 20 min."""
    for found in plans:
        built = [w for w in found.plan.weeks if w.kind == "build"][-4:]
        usual = median(s.run_minutes for w in built for s in w.sessions if s.is_run)
        for run in found.runs:
            left = (found.on - run.on).days
            if left <= 4:
                assert run.run_minutes <= min(40, 0.6 * usual), (found[:5], run.on)
            if left <= 2:
                assert run.run_minutes <= 20, (found[:5], run.on)


def test_the_number_of_runs_stays_at_four_fifths_or_more_the_event_counted(
    plans: list[EventPlan],
) -> None:
    """Frequency is kept in a taper: Bosquet L et al., Med Sci Sports Exerc 2007;39(8):1358-1365."""
    for found in plans:
        built = [w for w in found.plan.weeks if w.kind == "build"][-4:]
        usual = median(sum(s.is_run for s in w.sessions) for w in built)
        for week in found.plan.weeks:
            if week.kind in ("taper", "event"):
                assert sum(s.is_run for s in week.sessions) >= 0.8 * usual, (found[:5], week.number)


@pytest.mark.parametrize(
    ("distance", "rest", "easy"),
    [("5 km", 1, 3), ("10 km", 2, 5), ("half marathon", 3, 10), ("marathon", 7, 21)],
)
def test_after_it_rest_and_then_short_runs_by_distance(distance: str, rest: int, easy: int) -> None:
    text = runner(
        baseline="{on: 2027-01-04, cadence: 172 spm, pace: 6:30 /km, week: 240 min, "
        "longest: 80 min, runs: 5}",
        week="{mon: {}, tue: {}, wed: {}, thu: {}, fri: {}, sat: {}, sun: {}}",
        plan="{from: 2027-01-04, weeks: 16, hard: {from_week: 2, per_week: 2}}",
        more=f"goal: {{event: {{on: 2027-03-28, distance: {distance}}}}}",
    )
    plan = plan_of(text)
    event = next(s.on for s in plan.sessions if s.kind == "event")
    after = [s for s in plan.sessions if s.is_run and s.on > event]

    assert after
    assert min(s.on for s in after) > event + timedelta(days=rest)
    soon = [s for s in after if s.on <= event + timedelta(days=easy)]
    assert all(s.run_minutes <= 40 and not s.hard for s in soon)
    assert max(s.run_minutes for s in after) > 40 or distance == "marathon"


@pytest.mark.parametrize("distance", ["5 km", "10 km", "half marathon"])
@pytest.mark.parametrize("days", ["tue thu sun", "tue wed fri", "mon wed sat sun"])
def test_days_of_rest_after_it_take_no_other_run_with_them(distance: str, days: str) -> None:
    """The other days have their runs, also where they are fewer than usual."""
    week = "{" + ", ".join(f"{day}: {{}}" for day in days.split()) + "}"
    plan = plan_of(
        runner(
            baseline="{on: 2027-01-04, cadence: 172 spm, pace: 6:30 /km, week: 120 min, "
            "longest: 50 min, runs: 3}",
            week=week,
            plan="{from: 2027-01-04, weeks: 8}",
            more=f"goal: {{event: {{on: 2027-02-07, distance: {distance}}}}}",
        )
    )
    (after,) = (w for w in plan.weeks if w.number == 6)
    rest = {"5 km": 1, "10 km": 2, "half marathon": 3}[distance]
    left = [day for day in days.split() if DAYS_OF_WEEK.index(day) >= rest]

    assert len([s for s in after.sessions if s.is_run and s.run_minutes >= 10]) == min(len(left), 3)
    assert {s.kind for s in after.sessions if s.is_run} <= {"easy", "long"}  # and none to the beat


def test_on_each_of_the_two_days_before_it_no_run_is_over_twenty_minutes() -> None:
    """Fridays too, where every day is offered; on the days before those up to 40 min."""
    plan = plan_of(
        runner(
            baseline="{on: 2027-01-04, cadence: 172 spm, pace: 6:30 /km, week: 300 min, "
            "longest: 80 min, runs: 6}",
            week="{mon: {}, tue: {}, wed: {}, thu: {}, fri: {}, sat: {}, sun: {}}",
            plan="{from: 2027-01-04, weeks: 8, runs: 6}",
            more="goal: {event: {on: 2027-02-28, distance: 10 km}}",
        )
    )
    left = {28 - s.on.day: s.run_minutes for s in plan.weeks[7].sessions if s.kind != "event"}

    assert max(left.get(1, 0), left.get(2, 0)) <= 20 < max(left.get(3, 0), left.get(4, 0)) <= 40
    assert left.get(2)


@pytest.mark.parametrize(
    ("log", "held"),
    [
        ("", False),
        (", {on: 2027-02-02, ran: 20 min, pain: {during: 4, site: shin}}", True),
        (
            ", {on: 2027-02-01, ran: 20 min, pain: {during: 4, site: shin}}"
            ", {on: 2027-02-02, ran: 20 min, pain: {during: 0}}"
            ", {on: 2027-02-04, ran: 20 min, pain: {during: 0}}",
            False,  # two runs in a row at 0 to 2: it goes on
        ),
        (", {on: 2027-01-19, ran: 40 min, pain: {during: 4, site: shin}}"
         ", {on: 2027-01-21, ran: 40 min, pain: {during: 0}}"
         ", {on: 2027-01-24, ran: 40 min, pain: {during: 0}}", False),
    ],
)  # fmt: skip
def test_an_event_while_pain_holds_the_plan_is_easy_and_for_the_coach_to_say(
    log: str, held: bool
) -> None:
    """Nothing hard while the plan is held, and an event is hard."""
    text = runner(
        plan="{from: 2027-01-04, weeks: 6}",
        more="goal: {event: {on: 2027-02-07, distance: 10 km, name: Harbour Ten}}",
    )
    ran = "[{on: 2027-01-12, ran: 40 min}, {on: 2027-01-30, ran: 30 min}"
    entries = tree(f"{ran}{log}]")
    plan = plan_of(text, sorted(entries, key=lambda entry: entry["on"]), "2027-02-05")
    (event,) = (s for s in plan.sessions if s.kind == "event")

    assert ("ask your coach" in " ".join(str(p.text) for p in event.parts)) is held
    assert (event.effort_high <= 3) is held


@pytest.mark.parametrize(("days", "is_near"), [("thu sat", False), ("thu sun", True)])
def test_only_a_week_with_a_day_near_the_event_is_told_to_be_near_it(
    days: str, is_near: bool
) -> None:
    """The event is on a Thursday: of the week before it Sunday alone is within four days."""
    plan = plan_of(
        runner(
            week="{" + ", ".join(f"{day}: {{}}" for day in days.split()) + "}",
            plan="{from: 2027-01-04, weeks: 8}",
            more="goal: {event: {on: 2027-02-25, distance: 10 km}}",
        )
    )
    says = [str(d.says) for d in plan.weeks[6].decisions if d.rule == "event_days"]

    assert bool(says) is is_near


HARD = ", hard: {from_week: 3}"


@pytest.mark.parametrize(
    ("distance", "race", "hard", "effort"),
    [
        ("5 km", "", HARD, (6, 9)),  # 32 min
        ("10 km", "", HARD, (6, 8)),
        ("half marathon", "", HARD, (5, 7)),
        ("marathon", "", HARD, (4, 5)),  # 4 h 34 min: "you can't talk" stood there
        ("5 km", "", "", (4, 5)),  # nothing hard was practised, nor raced before
        ("5 km", "race: {distance: 5 km, time: 31:00}, ", "", (6, 9)),
    ],
)
def test_the_longer_an_event_the_more_even_its_effort(
    distance: str, race: str, hard: str, effort: tuple[int, int]
) -> None:
    text = runner(
        baseline="{on: 2027-01-04, cadence: 160 spm, pace: 6:30 /km, week: 120 min, "
        f"longest: 45 min, {race}runs: 3}}",
        plan=f"{{from: 2027-01-04, weeks: 16{hard}}}",
        more=f"goal: {{event: {{on: 2027-04-18, distance: {distance}}}}}",
    )
    (event,) = (s for s in plan_of(text).sessions if s.kind == "event")

    assert (event.effort_low, event.effort_high) == effort


def test_after_a_marathon_days_off_come_before_short_runs_and_nothing_is_quick() -> None:
    """Five runs of 17 min stood in the second week after it, the first of them to the beat."""
    text = runner(
        baseline="{on: 2027-01-04, cadence: 166 spm, pace: 5:50 /km, week: 240 min, "
        "longest: 100 min, runs: 5}",
        week="{tue: {}, wed: {}, thu: {}, sat: {}, sun: {}, long: sun}",
        plan="{from: 2027-01-04, weeks: 24, hard: {from_week: 4}}",
        more="goal: {event: {on: 2027-06-06, distance: marathon}}",
    )
    back = plan_of(text).weeks[22:24]
    runs = [[s for s in w.sessions if s.is_run] for w in back]

    assert sum(map(len, runs)) >= 3
    assert all(len(found) <= 4 for found in runs)
    assert all(s.run_minutes >= 20 for found in runs for s in found), runs
    assert not any(s.hard or s.kind == "beat" for found in runs for s in found)


@pytest.mark.parametrize("cleared", ["easy", "all"])
def test_an_event_of_other_minutes_is_no_harder(cleared: str) -> None:
    """The coach's "4 h" on its day made a marathon one of 6 to 9 of 10, also for who is cleared
    for easy running alone."""
    asked = (
        "{on: 2027-01-01, regular_exercise: yes, known_disease: yes, symptoms: no, "
        f"cleared_on: 2027-01-04, cleared_for: {cleared}, cleared_by: the family doctor}}"
    )
    more = "goal: {event: {on: 2027-06-06, distance: marathon}}"
    change = "changes: [{on: 2027-06-06, minutes: 4 h, because: Only a part of it.}]"
    plan = "{from: 2027-01-04, weeks: 22, hard: {from_week: 8}}"
    usual, changed = (
        next(s for s in plan_of(text).sessions if s.kind == "event")
        for text in (
            runner(screening=asked, plan=plan, more=more),
            runner(screening=asked, plan=plan, more=f"{more}\n{change}"),
        )
    )

    assert changed.run_minutes == 240 != usual.run_minutes
    assert (changed.effort_low, changed.effort_high) == (usual.effort_low, usual.effort_high)
    assert changed.effort_high == (3 if cleared == "easy" else 5)
