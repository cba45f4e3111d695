"""A run in the night of a clock change: told by check, and at one hour in plan and feed."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from icalendar import Calendar

from sitegen.feed.feed import feed, rounded_minutes
from sitegen.model.case import Case
from sitegen.model.plan import Plan
from sitegen.plan.fold import expand
from sitegen.practice.house import Texts, case_of, read_house
from test_seen import CLIENT, PRACTICE

# Source: the law of the European Union since 1996, last Sundays of March and October at 01:00
# UTC (2000/84/EC), from memory. Lisbon: 28 March 2027 01:00 to 02:00; 31 October 02:00 to 01:00.
FORWARD, BACK = date(2027, 3, 28), date(2027, 10, 31)


def planned(at: str, begins: str, as_of: date) -> tuple[Case, Plan]:
    client = CLIENT.replace("sun: {}", f'sun: {{at: "{at}"}}').replace("2027-01-04", begins)
    texts = Texts(PRACTICE.encode(), "p", {"ada": client.encode()}, {}, "clients")
    house, _ = read_house(texts)
    assert house is not None
    case, problems = case_of(texts, house, "ada")
    assert case is not None, problems
    return case, expand(case, as_of)


def told(plan: Plan) -> list[str]:
    return [str(p) for p in plan.problems if p.code == "clock-change"]


@pytest.mark.parametrize(
    ("at", "begins", "on", "real", "words"),
    [
        (
            "01:30",
            "2027-03-15",
            FORWARD,
            "02:30",
            "the clocks go forward over 01:30: this session stands at 02:30",
        ),
        (
            "01:30",
            "2027-10-18",
            BACK,
            "01:30",
            "the clocks go back, and 01:30 comes twice: the first is meant",
        ),
    ],
)
def test_an_hour_that_is_left_out_or_comes_twice_is_told_and_shown_alike(
    at: str, begins: str, on: date, real: str, words: str
) -> None:
    case, plan = planned(at, begins, date.fromisoformat(begins))

    [line] = told(plan)
    assert line.startswith("clients/ada.yaml:5:")
    assert f"on {on}, in Europe/Lisbon, {words} (leave it, or write another time" in line
    [session] = [s for s in plan.sessions if s.on == on]
    assert f"{session.at:%H:%M}" == real
    made = feed(case, plan, feed_id="x", mode="discreet")
    [(start, end)] = [
        (moment.astimezone(ZoneInfo("Europe/Lisbon")), event["DTEND"].dt.astimezone(UTC))
        for event in Calendar.from_ical(made.text).events
        if isinstance(moment := event["DTSTART"].dt, datetime)
        and moment.astimezone(ZoneInfo("Europe/Lisbon")).date() == on
    ]
    assert f"{start:%H:%M}" == real and start.fold == 0
    assert end - start == timedelta(minutes=rounded_minutes(session.total_minutes))


def test_another_hour_of_that_night_and_a_night_that_is_over_are_told_nothing() -> None:
    assert told(planned("02:00", "2027-03-15", date(2027, 3, 15))[1]) == []
    _, over = planned("01:30", "2027-03-15", FORWARD + timedelta(days=1))
    assert told(over) == []
