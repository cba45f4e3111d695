"""What became of each run that was told: matched one to one, the nearest of the same week first."""

from __future__ import annotations

from datetime import date

from generated import runner
from sitegen.plan.condition import log_with_readings
from sitegen.rules.told import ToldRun, fates
from support import case_of, plan_of

MONDAY = date(2027, 1, 11)
NEXT = date(2027, 1, 18)


def became(log: str, week: str) -> dict[str, ToldRun]:
    """Each told run of week 2 by its weekday, with the log as it is when that week is over."""
    text = runner(week=week)
    told = plan_of(text).weeks[1].sessions
    found = fates(told, log_with_readings(case_of(text, log), NEXT), MONDAY)
    return {f"{run.on:%a}": run for run in found}


def test_an_entry_is_that_of_its_own_day_before_that_of_a_neighbour() -> None:
    """Wednesday's run is Tuesday's a day late, as Thursday has one of its own."""
    found = became(
        "[{on: 2027-01-13, ran: 33 min}, {on: 2027-01-14, ran: 44 min}]",
        "{tue: {}, thu: {}, sat: {}}",
    )

    assert [(f.fate, f.ran) for f in found.values()] == [
        ("done", 33), ("done", 44), ("unknown", 0),
    ]  # fmt: skip


def test_one_run_is_not_two_told_ones() -> None:
    found = became("[{on: 2027-01-13, ran: 33 min}]", "{tue: {}, thu: {}, sat: {}}")

    assert sorted(f.fate for f in found.values()) == ["done", "unknown", "unknown"]


def test_an_entry_of_the_same_week_comes_before_one_of_the_next() -> None:
    """Sunday's run, with one on Saturday and one on the Monday after it."""
    log = "[{on: 2027-01-16, ran: 30 min}, {on: 2027-01-18, ran: 50 min}]"
    found = became(log, "{wed: {}, thu: {}, sun: {}}")

    assert (found["Sun"].fate, found["Sun"].ran) == ("done", 30)


def test_what_was_left_out_is_missed_but_ill_where_one_was_ill_or_hurt() -> None:
    log = (
        "[{on: 2027-01-12, skipped: time}, {on: 2027-01-14, skipped: pain}, "
        "{on: 2027-01-16, skipped: ill}]"
    )
    found = became(log, "{tue: {}, thu: {}, sat: {}}")

    assert [f.fate for f in found.values()] == ["missed", "ill", "ill"]


def test_nothing_heard_is_unknown_and_not_missed() -> None:
    found = became("[]", "{tue: {}, thu: {}, sat: {}}")

    assert {f.fate for f in found.values()} == {"unknown"}


def test_a_run_in_two_parts_of_one_day_is_one_told_run_and_both_its_parts_count() -> None:
    """To work and back: of 132 min all were run, and the plan said 66 and did not grow.
    What has a told run of its own, on another day, is no part of it."""
    found = became(
        "[{on: 2027-01-12, ran: 20 min}, {on: 2027-01-12, ran: 21 min}, "
        "{on: 2027-01-14, ran: 30 min}, {on: 2027-01-16, skipped: time}]",
        "{tue: {}, thu: {}, sat: {}}",
    )

    assert [(f.fate, f.ran, f.beside) for f in found.values()] == [
        ("done", 20, 21), ("done", 30, 0), ("missed", 0, 0),
    ]  # fmt: skip
    halves = [f"{{on: 2027-01-{d:02}, ran: 18 min}}" for d in (5, 7, 9, 10) for _ in "ab"]
    week = plan_of(runner(), f"[{', '.join(halves)}]", "2027-01-11").weeks[1]

    assert week.kind == "build" and week.run_minutes > plan_of(runner()).weeks[0].run_minutes
