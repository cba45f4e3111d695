"""What a coach is told of a plan: one warning a client and matter, safety once and plainly."""

from __future__ import annotations

import pytest

from generated import NEW_TO_EXERCISE, runner
from sitegen.model.plan import Plan
from sitegen.plan.telling import weeks_named
from support import plan_of

TIGHT = "{tue: {up_to: 45 min}, thu: {up_to: 45 min}, sun: {up_to: 90 min}}"
BUSY = "{on: 2027-01-04, cadence: 175 spm, pace: 6:00 /km, week: 130 min, longest: 60 min, runs: 3}"
NEW = (
    "{on: 2027-01-04, cadence: 175 spm, pace: 7:00 /km, week: 60 min, longest: 20 min, "
    "continuous: 10 min, runs: 2}"
)


def tight(as_of: str = "2027-01-04", week: str = TIGHT) -> Plan:
    """Ten weeks from 130 min that grow beyond what three short days hold."""
    return plan_of(
        runner(baseline=BUSY, week=week, plan="{from: 2027-01-04, weeks: 10}"), "[]", as_of
    )


def told(plan: Plan, code: str) -> list[str]:
    return [p.message for p in plan.problems if p.code == code]


def held(plan: Plan) -> list[int]:
    """The weeks of which the engine decided that not all minutes fit."""
    return [
        w.number for w in plan.weeks if any(d.rule == "spacing" and d.warns for d in w.decisions)
    ]


def test_many_weeks_that_are_too_full_are_one_warning() -> None:
    plan = tight()
    (message,) = told(plan, "plan-spacing")

    assert len(held(plan)) > 3
    assert message.startswith(f"{weeks_named(held(plan))} hold less running than the plan asks for")
    assert "min fit in week" in message


def test_the_warning_says_what_would_make_room() -> None:
    (hint,) = [p.hint for p in tight().problems if p.code == "plan-spacing"]

    assert "write a larger up_to for tue" in hint
    assert "offer one more running day" in hint
    assert "growth" not in hint  # not even the week of before fits


def test_weeks_without_a_minute_of_running_are_told_of() -> None:
    (message,) = told(tight(week="{tue: {up_to: 4 min}}"), "plan-spacing")

    assert "0 of 143 min fit" in message


def test_strength_that_fills_a_running_day_is_named() -> None:
    day = "{up_to: 45 min, for: [run, strength]}"
    hints = [
        p.hint
        for p in tight(week=f"{{tue: {day}, fri: {day}}}").problems
        if p.code == "plan-spacing"
    ]

    assert any("write a larger up_to for tue" in hint for hint in hints), hints
    assert any("offer a day for strength alone" in hint for hint in hints), hints


def test_strength_that_keeps_a_second_hard_run_off_is_named() -> None:
    """Runs of 45 min on days of 75: Monday's strength keeps Tuesday from being hard."""
    text = runner(
        baseline="{on: 2027-01-04, cadence: 172 spm, pace: 5:50 /km, week: 280 min, "
        "longest: 100 min, runs: 5}",
        week="{mon: {for: strength}, tue: {up_to: 75 min}, wed: {up_to: 75 min}, "
        "thu: {up_to: 75 min}, sat: {}, sun: {}, long: sun}",
        plan="{from: 2027-01-04, weeks: 10, hard: {from_week: 2, per_week: 2}}",
    )
    (hint,) = (p.hint for p in plan_of(text).problems if p.code == "plan-sessions")

    assert "offer strength on a day before none of the hard runs" in hint
    assert "longer days" not in hint


def test_who_offers_every_day_is_not_asked_for_one_more() -> None:
    days = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
    plan = tight(week="{" + ", ".join(f"{d}: {{up_to: 25 min}}" for d in days) + "}")
    (hint,) = [p.hint for p in plan.problems if p.code == "plan-spacing"]

    assert "one more running day" not in hint and "up_to" in hint


def test_weeks_that_are_over_are_not_told_any_more() -> None:
    """As of the last week only that one is left; a day after the plan there is none."""
    last = held(tight())[-1]
    log = ", ".join(
        f"{{on: {day}, ran: 30 min}}" for day in ("2027-03-02", "2027-03-04", "2027-03-07")
    )
    text = runner(baseline=BUSY, week=TIGHT, plan="{from: 2027-01-04, weeks: 10}")

    assert last == 10
    assert told(plan_of(text, "[]", "2027-03-15"), "plan-spacing") == []
    for message in told(plan_of(text, f"[{log}]", "2027-03-08"), "plan-spacing"):
        assert message.startswith("week 10 holds")


def test_a_slip_in_a_change_is_told_also_when_its_week_is_over() -> None:
    change = "changes: [{on: 2027-01-06, minutes: 30 min, because: a slip of the month}]"
    text = runner(baseline=BUSY, week=TIGHT, plan="{from: 2027-01-04, weeks: 10}", more=change)

    assert len(told(plan_of(text, "[]", "2027-02-08"), "plan-changes")) == 1


def test_new_runners_on_neighbouring_days_are_told_of_once() -> None:
    plan = plan_of(
        runner(
            baseline=NEW,
            screening=NEW_TO_EXERCISE,
            week="{mon: {}, tue: {}}",
            plan="{from: 2027-01-04, weeks: 8}",
        )
    )

    crowded = [m for m in told(plan, "plan-spacing") if "Two running days in a row" in m]
    assert crowded == ["weeks 6 to 8: Two running days in a row: the week offers no other choice"]


@pytest.mark.parametrize(
    ("log", "code"),
    [
        ("[{on: 2027-01-05, ran: 20 min, signs: [limp]}]", "stopped-signs"),
        ("[{on: 2027-01-05, ran: 20 min, signs: [chest_pain]}]", "stopped-signs"),
        (
            "[{on: 2027-01-05, ran: 20 min, pain: {during: 7}}, "
            "{on: 2027-01-07, ran: 20 min, pain: {during: 7}}]",
            "stopped-pain",
        ),
    ],
)
def test_a_pause_is_told_once(log: str, code: str) -> None:
    """Never again for the weeks that it empties."""
    plan = plan_of(runner(), log, "2027-01-08")
    at_the_sign = [p for p in plan.problems if p.code.endswith(("-pain", "-signs"))]

    assert [p.code for p in at_the_sign] == [code]
    assert at_the_sign[0].hint == "the portal shows this, and no session"


@pytest.mark.parametrize(
    ("weeks", "words"),
    [
        ([9], "week 9"),
        ([3, 4], "weeks 3 and 4"),
        ([5, 6, 7, 9, 15], "weeks 5 to 7, 9 and 15"),
        ([1, 2, 3, 4], "weeks 1 to 4"),
        ([2, 1, 2], "weeks 1 and 2"),
        ([15, 17, 18, 19, 21, 22, 23, 25, 26], "9 of weeks 15 to 26"),
    ],
)
def test_weeks_are_named_as_one_would_say_them(weeks: list[int], words: str) -> None:
    assert weeks_named(weeks) == words


STILL = "{wed: {up_to: 60 min}, fri: {up_to: 40 min}, sun: {}}"
NEARLY = (
    "{on: 2027-01-04, cadence: 170 spm, pace: 6:30 /km, week: 90 min, longest: 48 min, runs: 3}"
)


def test_a_plan_that_days_hold_for_weeks_is_told_though_each_week_lacks_little() -> None:
    """A growth of 5 % a week lacks no more than that each week, which none of them tells."""

    def found(plan: str) -> list[str]:
        return told(
            plan_of(runner(baseline=NEARLY, week=STILL, plan=plan), as_of="2027-01-04"),
            "plan-spacing",
        )

    (message,) = found("{from: 2027-01-04, weeks: 16, growth: 5 %, enough: 4 h}")
    assert "stand still at 116 min" in message and "grow to 122" in message
    assert found("{from: 2027-01-04, weeks: 16, growth: 5 %, enough: 116 min}") == []
    assert found("{from: 2027-01-04, weeks: 16, growth: 0 %, enough: 4 h}") == []


def test_another_long_day_is_named_where_the_one_that_is_written_has_less_room() -> None:
    """30 min on the day of the long run held 54 of 129 min a week, with Friday and Sunday free."""
    week = "{mon: {}, tue: {up_to: 30 min}, fri: {up_to: 90 min}, sun: {}, long: tue}"
    hints = [
        [p.hint for p in tight(week=week.replace("tue}", f"{day}}}")).problems]
        for day in ("tue", "sun")
    ]

    assert "or write another day under long" in " ".join(hints[0])
    assert "under long" not in " ".join(hints[1])


def test_no_week_says_that_the_long_run_is_on_the_way_to_what_the_days_never_hold() -> None:
    """The client read "on the way to 75 min by week 14", and the coach that 65 is the most."""
    plan = plan_of(
        runner(
            baseline="{on: 2027-01-04, cadence: 160 spm, pace: 6:30 /km, week: 100 min, "
            "longest: 45 min, runs: 3}",
            week="{tue: {up_to: 50 min}, thu: {up_to: 35 min}, sun: {up_to: 1 h 30 min}}",
            plan="{from: 2027-01-04, weeks: 16}",
            more="goal: {event: {on: 2027-04-18, distance: 10 km}}",
        )
    )
    says = [str(d.says) for w in plan.weeks for d in w.decisions if d.rule == "long_run"]

    assert max(w.longest_minutes for w in plan.weeks[:14]) < 75
    assert any("asks for one of 75 min" in said for said in says)
    assert not any("on the way" in said for said in says)
