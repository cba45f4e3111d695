"""Not too many alarms: generated ordinary years of a runner with a niggle now and then.

The years are our own model, common practice, no source: three runs a week; every five weeks on
average a niggle begins at one of three places and lasts for up to two weeks; a run in it is scored
1 or 2, one in twelve 3, and the morning after no more than that; all other runs 0.
"""

from __future__ import annotations

from datetime import timedelta
from random import Random

import pytest

from generated import DAY, MONDAY, runner
from sitegen.care.trends import trends
from sitegen.plan.alarms import alarms
from sitegen.plan.condition import log_with_readings
from sitegen.rules.asks import scores_of
from sitegen.rules.log import Log
from support import case_of

YEARS = 200
WEEKS_BETWEEN = 5
PLACES = ("left shin", "right knee", "left heel")


def year(chance: Random, worse: float = 1 / 12) -> Log:
    """The log of one ordinary year; ``worse`` is how often a niggle scores 3."""
    entries, ends, place = [], MONDAY - DAY, ""
    for week in range(52):
        for offset in (1, 3, 6):
            on = MONDAY + timedelta(weeks=week, days=offset)
            if on > ends and chance.random() < 1 / (3 * WEEKS_BETWEEN):
                ends, place = on + DAY * chance.randrange(1, 15), chance.choice(PLACES)
            entry: dict[str, object] = {"on": on.isoformat(), "ran": "30 min", "effort": "3"}
            if on <= ends:
                score = 3 if chance.random() < worse else chance.choice((1, 1, 2))
                morning = chance.randrange(0, min(score, 1) + 1)
                entry["pain"] = {
                    "during": str(score), "after": str(max(score - 1, 0)),
                    "next_morning": str(morning), "site": place,
                }  # fmt: skip
            else:
                entry["pain"] = {"during": "0", "after": "0", "next_morning": "0"}
            entries.append(entry)
    case = case_of(runner(plan="{from: 2027-01-04, weeks: 52}"), entries)
    return log_with_readings(case, MONDAY + timedelta(weeks=52))


@pytest.fixture(scope="module")
def figures() -> tuple[float, float]:
    """Notices and alarms a year, over all of them."""
    chance = Random(27)
    notices = asked = 0
    for _ in range(YEARS):
        log = year(chance)
        notices += sum(trend.kind == "notice" for trend in trends(scores_of(log)))
        asked += sum(alarm.kind != "notice" for alarm in alarms(log.case, log))
    return notices / YEARS, asked / YEARS


def test_an_ordinary_runner_meets_a_notice_about_once_a_year(figures: tuple[float, float]) -> None:
    assert 0.3 <= figures[0] <= 1.5


def test_an_ordinary_runner_meets_an_alarm_less_than_once_in_two_years(
    figures: tuple[float, float],
) -> None:
    assert figures[1] < 0.5


def test_the_measure_would_see_too_many() -> None:
    """A runner whose niggles are a 3 every time meets far more."""
    chance = Random(27)
    found = [year(chance, worse=1.0) for _ in range(20)]
    assert sum(len([a for a in alarms(log.case, log) if a.kind != "notice"]) for log in found) > 20
