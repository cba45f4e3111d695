"""An event far beyond the runs before it: its day is an easy one, and its runner hears so."""

from __future__ import annotations

import pytest

from generated import runner
from sitegen.model.plan import Plan, Session
from support import plan_of

DAYS = "{tue: {}, thu: {}, sun: {}, long: sun}"
SMALL = "{on: 2027-01-04, cadence: 168 spm, pace: 7:10 /km, week: 40 min, longest: 20 min, runs: 3}"
READY = "{on: 2027-01-04, cadence: 168 spm, pace: 6:00 /km, week: 240 min, longest: 95 min}"


def plan(baseline: str, distance: str, weeks: int = 10, on: str = "2027-03-14") -> Plan:
    return plan_of(
        runner(
            baseline=baseline,
            week=DAYS,
            plan=f"{{from: 2027-01-04, weeks: {weeks}}}",
            more=f"goal: {{event: {{on: {on}, distance: {distance}}}}}",
        )
    )


def event_of(plan: Plan) -> Session:
    return next(s for week in plan.weeks for s in week.sessions if s.kind == "event")


def told(plan: Plan) -> list[int]:
    """The weeks in which the runner hears of it."""
    return [w.number for w in plan.weeks if any(d.rule == "beyond" for d in w.decisions)]


def test_a_marathon_ten_weeks_after_runs_of_twenty_minutes_is_no_day_to_race() -> None:
    """It stood as 302 min at effort 6 to 9, with no word that it was out of reach."""
    made = plan(SMALL, "marathon")
    event = event_of(made)
    words = str(event.parts[1].text)
    longest = max(
        s.run_minutes for w in made.weeks for s in w.sessions if s.is_run and s.kind != "event"
    )

    assert (event.effort_low, event.effort_high) == (2, 3)
    assert f"none was over {longest:.0f} min" in words and "Speak to your coach" in words
    assert told(made) == [9, 10]


def test_an_event_tomorrow_is_told_of_too() -> None:
    assert told(plan(SMALL, "100 km", weeks=1, on="2027-01-05")) == [1]


@pytest.mark.parametrize(("baseline", "distance"), [(READY, "half marathon"), (SMALL, "5 km")])
def test_an_event_that_the_runs_come_near_to_is_run_as_one(baseline: str, distance: str) -> None:
    made = plan(baseline, distance)

    assert told(made) == [] and event_of(made).effort_high > 3
    assert "coach" not in str(event_of(made).parts[1].text)


def test_pain_that_holds_the_plan_says_its_own() -> None:
    text = runner(
        baseline=SMALL,
        week=DAYS,
        plan="{from: 2027-01-04, weeks: 10}",
        more="goal: {event: {on: 2027-03-14, distance: marathon}}",
    )
    log = "[{on: 2027-03-09, ran: 20 min, pain: {during: 4, site: knee}}]"
    event = event_of(plan_of(text, log, "2027-03-11"))

    assert event.effort_high <= 3
    assert "far longer" not in str(event.parts[1].text)
