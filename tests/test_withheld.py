"""The one gate: from the hour at which a stop is known, nothing is offered; what was run stays."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generated import DAY, MONDAY, OTHER, URGENT, runner
from support import plan_of


def on_day(log: str, as_of: str) -> list[str]:
    return [s.id for s in plan_of(runner(), log, as_of).sessions if s.on.isoformat() == as_of]


def run_days() -> list[str]:
    plan = plan_of(runner(), "[]", "2026-12-31")
    return [s.on.isoformat() for s in plan.sessions if s.is_run][:6]


def test_on_the_day_of_a_sign_that_evenings_run_is_gone() -> None:
    day = run_days()[0]

    assert on_day("[]", day) != []
    assert on_day(f"[{{on: {day}, signs: [chest_pain]}}]", day) == []


def test_the_session_that_the_sign_came_with_stays_as_done() -> None:
    day = run_days()[0]

    assert len(on_day(f"[{{on: {day}, ran: 10 min, signs: [chest_pain]}}]", day)) == 1


@pytest.mark.parametrize("change", ["minutes: 30 min", "kind: tempo, minutes: 30 min"])
def test_a_change_puts_no_session_into_a_stop(change: str) -> None:
    more = f"changes: [{{on: 2027-01-08, {change}, because: she wants to}}]"
    plan = plan_of(runner(more=more), "[{on: 2027-01-05, signs: [chest_pain]}]", "2027-01-05")

    assert [s for s in plan.sessions if s.on >= date(2027, 1, 5)] == []


def test_a_session_moved_into_a_stop_is_not_offered() -> None:
    days = run_days()
    more = f"changes: [{{on: {days[0]}, move_to: 2027-01-10, because: a wedding}}]"
    plan = plan_of(runner(more=more), f"[{{on: {days[0]}, signs: [limp]}}]", days[0])

    assert [s for s in plan.sessions if s.on.isoformat() >= days[0]] == []


@settings(deadline=None)
@given(
    sign=st.sampled_from((*URGENT, *OTHER)),
    told=st.integers(0, 40),
    looked=st.integers(0, 30),
    ran=st.booleans(),
    others=st.lists(st.integers(0, 60), max_size=6),
)
def test_after_a_sign_nothing_is_offered_whenever_one_looks(
    sign: str, told: int, looked: int, ran: bool, others: list[int]
) -> None:
    day, as_of = MONDAY + DAY * told, MONDAY + DAY * (told + looked)
    done = "ran: 10 min, " if ran else ""
    lines = [f"- {{on: {MONDAY + DAY * n}, ran: 12 min, pain: {{during: 1}}}}" for n in others]
    log = "\n".join([*lines, f"- {{on: {day}, {done}signs: [{sign}]}}"])
    plan = plan_of(runner(), log, as_of.isoformat())
    logged = {MONDAY + DAY * n for n in others if MONDAY + DAY * n <= as_of}

    assert plan.status == "referred"
    assert [s for s in plan.sessions if s.on > day] == []
    kept = [s for s in plan.sessions if s.on == day]
    assert len(kept) <= (1 if ran else 0) + (1 if day in logged else 0)
    assert all(s.is_run for s in kept)
