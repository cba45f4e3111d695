"""Two of three runs for four weeks: the coach is asked whether the plan should have two."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta

import pytest

import sundays
from generated import runner
from sitegen.model.plan import Session
from sitegen.model.problem import Problem
from sitegen.plan import ledger
from sitegen.plan.fold import expand
from support import case_of, plan_of

TEXT = runner(week="{tue: {}, thu: {}, sun: {}}")
AS_OF = date(2027, 2, 1)


def log(weeks: int, skipped: set[int], *, tell: bool = True, second: int = 0) -> str:
    """``weeks`` weeks as they were told, the second run left out in those of ``skipped``."""
    plan = plan_of(TEXT, "[]", "2027-01-04")
    lines = []
    for week in plan.weeks[:weeks]:
        runs = [s for s in week.sessions if s.is_run]
        for number, session in enumerate(runs):
            is_lost = (week.number in skipped and number == 1) or (
                week.number == second and number == 0
            )
            said = "skipped: time" if is_lost else f"ran: {session.run_minutes:.0f} min"
            if tell or not is_lost:
                lines.append(f"- {{on: {session.on}, {said}}}")
    return "\n".join(lines)


def asked(text: str) -> list[str]:
    plan = plan_of(TEXT, text, "2027-02-01")
    return [p.hint for p in plan.problems if p.code == "habit-runs"]


def test_two_of_three_for_four_weeks_is_asked_about():
    (hint,) = asked(log(4, {1, 2, 3, 4}))
    assert "runs: 2" in hint


def test_half_of_four_for_four_weeks_is_asked_about_too():
    """Runs on Tuesday and Thursday, none at the week's end: the plan shrank, and nobody asked."""
    text = runner(
        week="{tue: {}, thu: {}, sat: {}, sun: {}}", plan="{from: 2027-01-04, weeks: 8, runs: 4}"
    )
    told = [
        f"- {{on: {s.on}, {'skipped: time' if s.on.weekday() > 4 else 'ran: 30 min'}}}"
        for week in plan_of(text, "[]", "2027-01-04").weeks[:4]
        for s in week.sessions
        if s.is_run
    ]
    plan = plan_of(text, "\n".join(told), "2027-02-01")
    (found,) = [p for p in plan.problems if p.code == "habit-runs"]

    assert found.message.startswith("2 of 4 runs") and "runs: 2" in found.hint


@pytest.mark.parametrize("change", ["runs: 2", "week: {tue: {}, sun: {}}"])
def test_what_was_written_for_it_is_not_asked_again(change: str):
    """It stood there for four weeks more, with the very words that had been written."""
    entries = log(4, {1, 2, 3, 4})
    told = ledger.past_of(plan_of(TEXT, entries, "2027-02-01"))
    is_number = change.startswith("runs")
    mended = runner(
        week="{tue: {}, thu: {}, sun: {}}" if is_number else change.removeprefix("week: "),
        plan=f"{{from: 2027-01-04, weeks: 8, enough: 5 h{', runs: 2' if is_number else ''}}}",
    )
    codes = [
        {p.code for p in expand(replace(case_of(text, entries), told=told), AS_OF).problems}
        for text in (TEXT, mended)
    ]

    assert ["habit-runs" in found for found in codes] == [True, False]


@pytest.mark.parametrize(
    "text",
    [
        log(4, {1, 2, 4}),
        log(4, {2, 3, 4}),
        log(4, {1, 2, 3, 4}, second=3),
        log(4, {1, 2, 3, 4}, tell=False),
    ],
    ids=["a whole week between", "three weeks", "two missed in one", "nothing said of the missed"],
)
def test_anything_else_is_no_habit(text):
    assert asked(text) == []


def told(weeks: int, is_done: Callable[[Session, int], bool]) -> list[Problem]:
    """What the coach is asked after so many weeks, of which each run was done or left out."""
    log = [
        f"- {{on: {s.on}, {'ran: 30 min' if is_done(s, week.number) else 'skipped: time'}}}"
        for week in plan_of(TEXT, "[]", "2027-01-04").weeks[:weeks]
        for s in week.sessions
        if s.is_run
    ]
    day = date(2027, 1, 4) + timedelta(weeks=weeks)
    plan = plan_of(TEXT, "\n".join(log), str(day))
    return [p for p in plan.problems if (p.code or "").startswith("habit-")]


def test_the_long_run_alone_for_four_weeks_is_asked_about_and_one_run_a_week_not_proposed():
    (found,) = told(4, lambda run, week: run.on.weekday() == 6)

    assert found.message.startswith("1 of 3 runs was done") and "runs: 1" not in found.hint


@pytest.mark.parametrize("left_out", [0, 1])
def test_every_second_week_left_out_is_asked_about(left_out):
    (found,) = told(4, lambda run, week: week % 2 != left_out)

    assert found.code == "habit-weeks" and "rotation" in found.hint


@pytest.mark.parametrize("weeks", [{1, 2}, {1}, {1, 2, 3, 4}, set()])
def test_other_weeks_left_out_are_no_habit_of_every_second(weeks):
    found = told(4, lambda run, week: week not in weeks)

    assert [p for p in found if p.code != "habit-cut"] == []


def test_a_week_that_is_cut_to_less_than_half_is_asked_about():
    """A third of it, of which `why` alone spoke: nothing is done alike in each week."""
    (cut,) = told(4, lambda run, week: run.on.weekday() == (6 if week == 2 else 1) and week != 3)

    assert cut.code == "habit-cut" and "30 min, where 96 min would be due" in cut.message
    (habit,) = told(4, lambda run, week: run.on.weekday() != 1)
    assert habit.code == "habit-runs"


@pytest.mark.parametrize(
    ("share", "weeks", "is_asked"), [(2.0, 3, True), (2.0, 2, False), (1.1, 3, False)]
)
def test_far_more_than_was_told_for_three_weeks_is_asked_about(share, weeks, is_asked):
    log = [
        f"- {{on: {s.on}, ran: {s.run_minutes * share:.0f} min}}"
        for week in plan_of(TEXT, "[]", "2027-01-04").weeks[:3]
        for s in week.sessions
        if s.is_run and week.number > 3 - weeks
    ]
    plan = plan_of(TEXT, "\n".join(log), "2027-01-25")
    found = [p for p in plan.problems if p.code == "habit-more"]

    assert bool(found) is is_asked
    assert all("morning after" in p.hint for p in found)


def late(growth: str, days_later: int, publishes: int) -> list[Problem]:
    """What is asked after eight weeks of which all is run, Sunday's run told some days later."""

    def tells(session: Session) -> list[sundays.Told]:
        later = days_later if session.on.weekday() == 6 else 0
        return [sundays.Told(session.on + sundays.DAY * later, sundays.ran(session))]

    def text(day: date) -> str:
        grows = growth if day < date(2027, 2, 14) else "10 %"
        return sundays.CLIENT.replace("growth: 10 %", f"growth: {grows}")

    plans = sundays.lived(tells, 8, text, publishes=(publishes,)).plans
    return [p for p in plans[max(plans)].problems if (p.code or "").startswith("habit-")]


def test_weeks_repeated_for_a_run_told_after_the_publish_are_asked_about():
    """All was run, and twelve weeks came to 133 min where 189 were due: nothing told why."""
    (found,) = late("10 %", 2, publishes=0)

    assert found.code == "habit-late" and "weeks 2 and 6" in found.message


@pytest.mark.parametrize(
    ("growth", "days_later", "publishes"),
    [("10 %", 2, 6), ("10 %", 0, 0), ("0 %", 0, 0), ("0 %", 2, 0)],
    ids=["published on Sunday", "told on the day", "growth was 0 % until then", "both"],
)
def test_weeks_repeated_for_no_late_run_are_not(growth, days_later, publishes):
    assert late(growth, days_later, publishes) == []


def test_weeks_repeated_for_a_run_left_out_are_not():
    missed = {date(2027, 1, 14), date(2027, 2, 4)}

    def tells(session: Session) -> list[sundays.Told]:
        what = sundays.skipped if session.on in missed else sundays.ran
        return [sundays.Told(session.on, what(session))]

    plans = sundays.lived(tells, 8).plans
    assert [p.code for p in plans[max(plans)].problems if "habit" in (p.code or "")] == []
    weeks = plans[max(plans)].weeks
    assert [weeks[n].worth for n in (2, 5)] == [weeks[n].worth for n in (1, 4)]


@pytest.mark.parametrize(
    ("tuesday", "others", "weeks", "is_asked"),
    [
        ("skipped", "", 3, True),
        ("skipped", "", 2, False),
        ("skipped", "skipped", 3, False),  # all is known
        ("skipped", "ran", 3, False),
        ("ran", "", 3, False),
    ],
)
def test_weeks_of_which_one_run_left_out_is_all_that_was_heard_are_asked_about(
    tuesday: str, others: str, weeks: int, is_asked: bool
) -> None:
    """No silence, as a word came, and nobody asked: eight weeks later the plan stood still."""
    how = {"ran": sundays.ran, "skipped": sundays.skipped}

    def tells(session: Session) -> list[sundays.Told]:
        said = tuesday if session.on.weekday() == 1 else others
        return [sundays.Told(session.on, how[said](session))] if said else []

    plans = sundays.lived(tells, weeks + 1).plans  # the last one is of a Sunday, its week not over
    codes = {p.code for p in plans[max(plans)].problems}

    assert ("habit-none" in codes) is is_asked


def short(share: float, *, until: int = 8) -> list[Problem]:
    """All runs are run, each to ``share`` of its minutes; what is asked on the last Sunday."""

    def tells(session: Session) -> list[sundays.Told]:
        minutes = f"{session.run_minutes * share:.0f} min"
        return [sundays.Told(session.on, {**sundays.ran(session), "ran": minutes})]

    plans = sundays.lived(tells, until).plans
    return [p for p in plans[max(plans)].problems if (p.code or "").startswith("habit-")]


def test_runs_that_end_early_for_four_weeks_are_asked_about():
    """Of each 80 % was run: in 16 weeks the long run went from 49 to 28 min, and nobody asked."""
    (found,) = short(0.8)

    assert found.code == "habit-short"
    assert found.message.startswith("the runs of the last 4 weeks ended early, ")
    assert "what ends them early" in found.hint


@pytest.mark.parametrize(("share", "until"), [(0.95, 8), (0.8, 3), (1.0, 8)])
def test_a_minute_or_a_few_weeks_less_are_not_asked_about(share: float, until: int):
    assert short(share, until=until) == []
