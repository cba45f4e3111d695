"""Moves that put sessions too near to each other are told, by the hour."""

from __future__ import annotations

import pytest

from generated import runner
from support import plan_of

WEEK = "{tue: {at: '%s'}, wed: {at: '%s'}, thu: {at: '%s'}, sun: {at: '%s'}}"
USUAL = WEEK % ("18:00", "18:00", "18:00", "09:00")


def told(week: str, *changes: str) -> list[str]:
    more = f"changes: [{', '.join(changes)}]"
    found = plan_of(runner(week=week, more=more), "[]", "2027-01-04")
    return [p.message for p in found.problems if p.code == "plan-collision"]


def move(on: str, to: str) -> str:
    return f"{{on: {on}, move_to: {to}, because: travels}}"


def days() -> list[str]:
    found = plan_of(runner(week=USUAL), "[]", "2027-01-04").weeks[0]
    return [s.on.isoformat() for s in found.sessions if s.is_run]


def test_two_runs_on_one_day_are_told() -> None:
    first, second = days()[:2]
    assert told(USUAL, move(first, second))[0] == f"two runs stand on {second}"


def test_what_no_change_touches_is_not_told() -> None:
    assert told(USUAL, f"{{on: {days()[0]}, rest: yes, because: travels}}") == []


@pytest.mark.parametrize(("starts", "is_told"), [("05:00", True), ("12:00", False)])
def test_less_than_a_night_between_two_is_told_and_counts_hours(starts: str, is_told: bool) -> None:
    """A late run moved to the evening before an early one."""
    week = WEEK % ("23:00", starts, starts, "09:00")
    found = plan_of(runner(week=week), "[]", "2027-01-04").weeks[0]
    wednesday = "2027-01-06"
    runs = [s.on.isoformat() for s in found.sessions if s.is_run and s.on.isoformat() != wednesday]
    source = next(day for day in runs if day not in ("2027-01-05", wednesday))
    said = told(
        week,
        "{on: 2027-01-06, minutes: 30 min, because: asked}",
        move(source, "2027-01-05") if "2027-01-05" not in runs else
        "{on: 2027-01-05, minutes: 30 min, because: asked}",
    )  # fmt: skip
    assert any("hours lie between" in line for line in said) is is_told
