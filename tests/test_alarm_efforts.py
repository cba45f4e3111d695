"""Easy runs that feel very hard for weeks: the coach is asked, once, until it is answered."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from generated import DAY, MONDAY, runner
from sitegen.care.efforts import Effort, very_hard_weeks
from sitegen.model.alarm import Alarm, AlarmAnswer
from sitegen.model.case import Case
from sitegen.plan.fold import expand
from support import case_of

RUN_DAYS = (1, 3, 6)  # Tuesday, Thursday, Sunday
MATTER = "easy_runs_very_hard"
HARD = "{from: 2027-01-04, weeks: 12, hard: {from_week: 1, per_week: 1}}"


@pytest.mark.parametrize(
    ("weeks", "meant_hard", "since"),
    [
        ([(9, 9, 9), (10, 9, 9), (9,)], 0, 15),
        ([(7, 3), (7, 3), (3, 7)], 0, 17),  # half of them, and the word stands at 7
        ([(6, 6, 6), (6, 6, 6), (6, 6, 6)], 0, None),
        ([(9, 3, 3), (9, 9, 9), (9, 9, 9)], 0, None),  # less than half of one week
        ([(9, 9, 9), (9, 9, 9)], 0, None),
        ([(9, 9, 9), (9, 9, 9), (), (9, 9, 9)], 0, None),  # a week unheard
        ([(9, 3, 3), (3, 9, 3), (3, 3, 9)], 1, None),  # the hard session of each week
        ([(9, 3), (9, 3), (9, 3)], 1, None),
        ([(9, 9, 3), (9, 9, 3), (9, 3, 9)], 1, 20),
        ([(9, 9, 9), (9, 9, 9), (9, 2, 2)], 0, 15),  # an easier run later takes nothing back
    ],
)
def test_half_or_more_of_three_weeks_in_a_row(
    weeks: list[tuple[int, ...]], meant_hard: int, since: int | None
) -> None:
    """Common practice, no source; ``since`` counts days from the first Monday."""
    told = [
        Effort(MONDAY + DAY * (7 * n + day), effort)
        for n, week in enumerate(weeks)
        for day, effort in zip(RUN_DAYS, week, strict=False)
    ]
    found = [one.since for one in very_hard_weeks(told, meant_hard)]

    assert found == ([] if since is None else [MONDAY + DAY * since])


def log_of(weeks: int, effort: int) -> list[dict[str, object]]:
    days = (MONDAY + DAY * (7 * week + day) for week in range(weeks) for day in RUN_DAYS)
    return [{"on": f"{day}", "ran": "30 min", "effort": f"{effort}"} for day in days]


def asked(case: Case, weeks: int) -> list[Alarm]:
    found = expand(case, MONDAY + DAY * 7 * weeks).alarms
    return [alarm for alarm in found if alarm.matter == MATTER]


def test_it_is_one_question_with_its_last_day_until_it_is_answered() -> None:
    case = case_of(runner(), log_of(6, 9))
    (one,) = asked(case, 6)

    assert one.kind == "ask" and one.is_open and len(one.members) == 2
    assert "last on 2027-02-09" in one.says and "send to a clinician" in one.says
    assert {"asks"} <= {d.rule for d in expand(case, MONDAY + DAY * 42).weeks[6].decisions}

    given = [AlarmAnswer(MATTER, each.since, date(2027, 2, 15), "slower") for each in one.members]
    assert [alarm.is_open for alarm in asked(replace(case, answers=tuple(given)), 6)] == [False]


def test_runs_that_are_meant_hard_ask_nothing() -> None:
    """The event, and what the coach made hard; easy ones of the same effort would."""
    log = [e for e in log_of(3, 9) if date.fromisoformat(str(e["on"])).weekday() == 1]
    days = [date.fromisoformat(str(entry["on"])) for entry in log]
    two = [f"{{on: {day}, kind: tempo, because: asked for}}" for day in days[:2]]
    event = f"{{event: {{on: {days[2]}, distance: 5 km}}}}"

    assert asked(case_of(runner(), log), 3)
    assert not asked(case_of(runner(more=f"changes: [{', '.join(two)}]"), log), 3)
    assert not asked(case_of(runner(more=f"goal: {event}"), log), 3)
    assert not asked(case_of(runner(plan=HARD), log), 3)
