"""An event that the limits cannot reach by its date: what they reach, and from when they would."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from generated import runner
from sitegen.model.problem import Problem
from sitegen.plan import fold, reach
from sitegen.plan.fold import expand
from sitegen.practice.returns import way_of
from sitegen.world import read_returns
from support import case_of, plan_of

BASE = "{on: 2027-01-04, cadence: 175 spm, pace: 6:00 /km, week: 150 min, longest: 50 min, runs: 4}"
DAYS = "{mon: {}, wed: {}, fri: {}, sun: {}, long: sun}"


LOG = "[{on: 2027-01-06, ran: 35 min, distance: 6 km, cadence: 171 spm, pain: {during: 1}}]"


def warning(
    distance: str,
    on: str,
    weeks: int,
    days: str = DAYS,
    log: str = "[]",
    as_of: str = "2027-01-01",
    baseline: str = BASE,
) -> Problem | None:
    text = runner(
        baseline=baseline,
        week=days,
        plan=f"{{from: 2027-01-04, weeks: {weeks}}}",
        more=f"goal: {{event: {{on: {on}, distance: {distance}}}}}",
    )
    problems = plan_of(text, log, as_of).problems
    return next((p for p in problems if p.code == "event-reach"), None)


def test_a_half_marathon_in_five_weeks_is_warned_about() -> None:
    """The longest run that the plan reaches, and a later Sunday, are both named."""
    told = warning("half marathon", "2027-02-07", 5)

    assert told is not None and told.level == "warning"
    assert re.search(r"\d+ min", told.message)
    later = re.search(r"\d{4}-\d\d-\d\d", told.hint)
    assert later and date.fromisoformat(later[0]) > date(2027, 2, 7)


@pytest.mark.parametrize(
    ("log", "as_of"), [("[]", "2027-01-01"), (LOG, "2027-01-08"), (LOG, "2027-01-20")]
)
def test_on_the_first_date_that_is_named_the_limits_suffice(log: str, as_of: str) -> None:
    """A file that names that date is read anew, log and all."""
    told = warning("half marathon", "2027-02-07", 5, log=log, as_of=as_of)
    assert told is not None
    named = re.search(r"\d{4}-\d\d-\d\d", told.hint)
    assert named
    first = date.fromisoformat(named[0])
    weeks = (first - date(2027, 1, 4)).days // 7 + 1
    week_before = date.fromordinal(first.toordinal() - 7)

    assert warning("half marathon", first.isoformat(), weeks, log=log, as_of=as_of) is None
    assert warning("half marathon", week_before.isoformat(), weeks, log=log, as_of=as_of)


# What a start lacks for a run of 75 min: a larger week, a longer run, in easier weeks too, or both.
STARTS = (
    "week: 60 min, longest: 58 min, runs: 3",
    "week: 240 min, longest: 40 min, runs: 4",
    "week: 200 min, longest: 20 min, runs: 3",
    "week: 60 min, longest: 30 min, runs: 3",
)


@pytest.mark.parametrize("start", STARTS)
def test_no_date_before_the_one_that_is_named_would_do_and_two_are_tried(
    start: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn: list[int] = []
    week = fold._week

    def counted(*args: Any) -> Any:
        drawn.append(args[3])
        return week(*args)

    baseline = f"{{on: 2027-01-04, cadence: 175 spm, pace: 6:00 /km, {start}}}"

    def told(weeks: int) -> Problem | None:
        on = date.fromordinal(date(2027, 1, 3).toordinal() + 7 * weeks)
        return warning("10 km", on.isoformat(), weeks, baseline=baseline)

    monkeypatch.setattr(fold, "_week", counted)
    first = told(6)
    tried = len(drawn) - 6
    assert first is not None
    named = re.search(r"\d{4}-\d\d-\d\d", first.hint)
    assert named
    weeks = (date.fromisoformat(named[0]) - date(2027, 1, 3)).days // 7

    assert [told(earlier) is not None for earlier in range(6, weeks + 1)] == [
        *[True] * (weeks - 6),
        False,
    ]
    assert tried <= 2 * weeks


@pytest.mark.parametrize(("distance", "weeks"), [("5 km", 4), ("10 km", 10)])
def test_an_event_within_reach_is_not(distance: str, weeks: int) -> None:
    on = date.fromordinal(date(2027, 1, 3).toordinal() + 7 * weeks).isoformat()

    assert warning(distance, on, weeks) is None


def test_where_the_days_never_allow_it_no_date_is_named() -> None:
    told = warning("marathon", "2027-02-28", 8, "{wed: {up_to: 45 min}, sun: {up_to: 45 min}}")

    assert told is not None
    assert not re.search(r"\d{4}-\d\d-\d\d", told.hint)
    assert "never" in told.hint


SORE = "[{on: 2027-01-12, ran: 35 min, pain: {during: 4}}]"
KNEE_SWELLS = "[{on: 2027-01-12, ran: 35 min, signs: [swelling]}]"


def test_what_holds_the_plan_is_named_before_days_and_limits_and_from_when_it_could_do() -> None:
    """A client whose pain holds the plan is told of the pain, and of a date once it is over; one
    without pain is told a date no later than that."""
    told = warning("half marathon", "2027-03-07", 9, log=SORE, as_of="2027-01-20")
    well = warning("half marathon", "2027-03-07", 9, log=SORE.replace("4", "0"), as_of="2027-01-20")

    assert told is not None and well is not None
    assert "something holds the plan: For now pain of 4/10 holds" in told.message
    assert told.hint.startswith("settle that first: were it over on 2027-01-20, an event on ")
    for words in ("limits as they are", "days have room", "does not grow"):
        assert words not in told.message + told.hint
    dates = re.compile(r"event on (\d{4}-\d\d-\d\d)")
    eased, free = (date.fromisoformat(dates.findall(one.hint)[0]) for one in (told, well))
    assert date(2027, 3, 7) <= free <= eased


def test_an_event_that_is_reached_once_what_holds_the_plan_is_over_need_not_be_moved() -> None:
    on, weeks = "2027-03-14", 10
    told = warning("10 km", on, weeks, log=SORE, as_of="2027-01-20")

    assert warning("10 km", on, weeks, log=SORE.replace("4", "0"), as_of="2027-01-20") is None
    assert told is not None
    assert told.hint == (
        "settle that first: were it over on 2027-01-20, it would be reached by the event's own day"
    )


def test_under_a_stop_the_event_is_named_and_no_date_to_hurry_for(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Nor is one looked for among weeks that are all alike: it would cost eight whole plans. Weeks
    that are over are drawn once."""
    drawn: list[int] = []
    week = fold._week

    def counted(*args: Any) -> Any:
        drawn.append(args[3])
        return week(*args)

    monkeypatch.setattr(fold, "_week", counted)
    told = warning("half marathon", "2027-03-07", 9, log=KNEE_SWELLS, as_of="2027-01-20")

    assert told is not None and "as nothing is planned: " in told.message
    assert "no date can be named before" in told.hint
    assert not re.search(r"\d{4}-\d\d-\d\d", told.hint)
    assert len(drawn) <= 9 + 1 + reach.HELD_WEEKS
    assert drawn.count(1) == 1


def test_a_way_back_is_named_where_it_stands_in_the_way() -> None:
    text = runner(
        baseline=BASE,
        week=DAYS,
        plan="{from: 2027-01-04, weeks: 9}",
        more="goal: {event: {on: 2027-03-07, distance: half marathon}}\n"
        "return: {after: calf, cleared_on: 2027-01-02, by: Dr. Vale}",
    )
    way = way_of("calf", read_returns()["calf"])
    plan = expand(replace(case_of(text), way_back=way), date(2027, 1, 4))
    told = next(p for p in plan.problems if p.code == "event-reach")

    assert "as something holds the plan: Coming back" in told.message
    assert "no date can be named while it lasts" in told.hint
