"""A reminder before each run but the event: off unless the coach asked."""

from __future__ import annotations

import pytest

from generated import runner
from support import plan_of

WEEK = (
    "{tue: {at: '18:30'}, thu: {at: '06:15'}, fri: {for: strength, at: '09:00'}, "
    "sun: {at: '10:00'}}"
)


def fuelled(
    fuel: str, week: str = WEEK, more: str = ""
) -> list[tuple[str, str | None, str | None]]:
    plan = plan_of(runner(week=week, more=(f"fuel: {fuel}\n" if fuel else "") + more))
    return [
        (s.kind, s.at and f"{s.at:%H:%M}", s.fuel_at and f"{s.fuel_at:%H:%M}")
        for s in plan.weeks[0].sessions
    ]


def test_off_unless_the_coach_wrote_it() -> None:
    assert {fuel for _, _, fuel in fuelled("")} == {None}


@pytest.mark.parametrize(
    ("before", "times"),
    [
        ("", {"17:45", "05:30", "09:15"}),
        ("30 min", {"18:00", "05:45", "09:30"}),
        ("1 h", {"17:30", "05:15", "09:00"}),
    ],
)
def test_as_long_before_each_run_as_the_file_says(before: str, times: set[str]) -> None:
    found = fuelled("{asked_on: 2027-01-02" + (f", before: {before}" if before else "") + "}")

    assert {fuel for kind, _, fuel in found if kind != "strength"} == times
    assert {fuel for kind, _, fuel in found if kind == "strength"} == {None}


def test_not_before_the_event() -> None:
    found = fuelled(
        "{asked_on: 2027-01-02}", more="goal: {event: {on: 2027-01-10, distance: 10 km}}"
    )

    assert [fuel for kind, _, fuel in found if kind == "event"] == [None]
    assert any(fuel for kind, _, fuel in found if kind != "event")


def test_a_run_soon_after_midnight_has_no_reminder_on_the_day_before() -> None:
    assert fuelled("{asked_on: 2027-01-02}", week="{tue: {at: '00:30'}}")[0][2] is None


def test_a_moved_run_takes_its_reminder_along() -> None:
    plan = plan_of(
        runner(
            week=WEEK,
            more="fuel: {asked_on: 2027-01-02}\n"
            "changes: [{on: 2027-01-05, move_to: 2027-01-07, because: a late meeting}]",
        )
    )
    moved = next(s for s in plan.sessions if s.moved_from)

    assert f"{moved.at:%H:%M}" == "06:15"
    assert f"{moved.fuel_at:%H:%M}" == "05:30"


def test_the_weak_evidence_is_said() -> None:
    plan = plan_of(runner(more="fuel: {asked_on: 2027-01-02}"))
    words = [str(d.says) for d in plan.weeks[0].decisions if d.rule == "fuel"]

    assert words and "weak evidence" in words[0]
