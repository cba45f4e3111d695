"""An event that the limits cannot reach by its date: what they reach, and from when they would."""

from __future__ import annotations

import re
from datetime import date
from typing import Any

import pytest

from generated import runner
from sitegen.model.problem import Problem
from sitegen.plan import fold, reach
from support import plan_of

BASE = "{on: 2027-01-04, cadence: 175 spm, pace: 6:00 /km, week: 150 min, longest: 50 min, runs: 4}"
DAYS = "{mon: {}, wed: {}, fri: {}, sun: {}, long: sun}"


LOG = "[{on: 2027-01-06, ran: 35 min, distance: 6 km, cadence: 171 spm, pain: {during: 1}}]"


def warning(
    distance: str, on: str, weeks: int, days: str = DAYS, log: str = "[]", as_of: str = "2027-01-01"
) -> Problem | None:
    text = runner(
        baseline=BASE,
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


@pytest.mark.parametrize(("distance", "weeks"), [("5 km", 4), ("10 km", 10)])
def test_an_event_within_reach_is_not(distance: str, weeks: int) -> None:
    on = date.fromordinal(date(2027, 1, 3).toordinal() + 7 * weeks).isoformat()

    assert warning(distance, on, weeks) is None


def test_where_the_days_never_allow_it_no_date_is_named() -> None:
    told = warning("marathon", "2027-02-28", 8, "{wed: {up_to: 45 min}, sun: {up_to: 45 min}}")

    assert told is not None
    assert not re.search(r"\d{4}-\d\d-\d\d", told.hint)
    assert "never" in told.hint


def test_while_pain_holds_the_plan_no_date_is_looked_for_among_weeks_that_are_all_alike(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """It would cost eight whole plans; weeks that are over are not drawn again for any date."""
    drawn: list[int] = []
    week = fold._week

    def counted(*args: Any) -> Any:
        drawn.append(args[3])
        return week(*args)

    monkeypatch.setattr(fold, "_week", counted)
    sore = "[{on: 2027-01-12, ran: 35 min, pain: {during: 4}}]"
    told = warning("half marathon", "2027-03-07", 9, log=sore, as_of="2027-01-20")

    assert told is not None and "never reach it" in told.hint
    assert len(drawn) <= 9 + 1 + reach.HELD_WEEKS
    assert drawn.count(1) == 1
