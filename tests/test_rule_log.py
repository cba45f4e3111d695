"""What a log does to a plan: out of order, before and after it, in the middle of a week."""

from __future__ import annotations

import random
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generated import (
    DAY,
    MONDAY,
    WEEK,
    clients,
    entries,
    life_of,
    runner,
    training,
)
from sitegen.model.plan import Plan, Session
from sitegen.rules.log import sessions
from sitegen.rules.pain import pain_grade
from support import case_of, plan_of
from test_promises import EVERY_LIFE, EXAMPLES

FEWER = settings(EVERY_LIFE, max_examples=EXAMPLES // 5)


@FEWER
@given(
    client=clients(),
    log=st.lists(entries(MONDAY, MONDAY + WEEK * 8), max_size=12),
    seed=st.integers(0, 99),
)
def test_entries_out_of_order_give_the_same_plan(client: dict, log: list, seed: int) -> None:
    """Two on one date keep their order; else the order of the file says nothing.

    Of entries dated ahead it tells when they came: that is known by what stands above them.
    """
    as_of = (MONDAY + WEEK * 5).isoformat()
    log = list({e["on"]: e for e in log if e["on"] <= as_of}.values())
    mixed = random.Random(seed).sample(log, len(log))
    in_order = sorted(log, key=lambda e: e["on"])

    one, other = life_of(client, mixed, as_of).plan, life_of(client, in_order, as_of).plan
    assert one.sessions == other.sessions
    assert one.status == other.status
    assert [w.cadence for w in one.weeks] == [w.cadence for w in other.weeks]


@FEWER
@given(
    client=clients(),
    log=st.lists(entries(MONDAY, MONDAY + WEEK * 4), max_size=8),
    ahead=st.integers(0, 27),
    data=st.data(),
)
def test_a_check_in_never_changes_the_days_before_it(
    client: dict, log: list, ahead: int, data: st.DataObject
) -> None:
    """Nor its own day, as that session was done; only a stop takes what is left of the day."""
    day = MONDAY + DAY * ahead
    one_more = data.draw(entries(day, day))
    as_of = day.isoformat()
    known = [e for e in log if e["on"] <= as_of]
    before = life_of(client, known, as_of).plan
    after = life_of(client, [*known, one_more], as_of).plan

    def until(plan: Plan, last: date) -> list[Session]:
        return [session for session in plan.sessions if session.on <= last]

    assert until(after, day - DAY) == until(before, day - DAY)
    if after.status != "active":
        assert all(session in until(before, day) for session in until(after, day))
    else:
        assert until(after, day) == until(before, day)


def test_pain_told_on_the_day_of_an_event_takes_it_unless_it_was_run() -> None:
    """Pain of 6 stops the plan, and an event that is left out is no session that was done."""
    text = runner(more=f"goal: {{event: {{on: {MONDAY}, distance: 5 km}}}}")
    for said, left in (("skipped: ill", []), ("ran: 30 min", ["w01-event"])):
        log = f"[{{on: {MONDAY}, {said}, pain: {{during: 6}}}}]"
        plan = plan_of(text, log, str(MONDAY))
        assert plan.status == "paused"
        assert [s.id for s in plan.sessions if s.on == MONDAY] == left
    assert next(s.id for s in plan_of(text, "[]", str(MONDAY)).sessions) == "w01-event"


def test_an_entry_after_the_day_of_looking_is_not_known_yet() -> None:
    log = [{"on": "2027-01-12", "ran": "10 min", "pain": {"during": "4"}}]

    assert plan_of(runner(), log, "2027-01-06") == plan_of(runner(), "[]", "2027-01-06")


def test_entries_before_the_plan_count_for_pain_and_for_the_longest_run() -> None:
    sore = [{"on": "2027-01-02", "ran": "40 min", "pain": {"during": "4"}}]
    long = [{"on": "2026-12-30", "ran": "60 min"}]

    assert plan_of(runner(), sore, "2027-01-04").weeks[0].kind == "hold"
    base = runner(
        baseline="{on: 2026-12-20, cadence: 160 spm, pace: 6:30 /km, week: 200 min, "
        "longest: 45 min, runs: 4}"
    )
    assert plan_of(base, long, "2027-01-04").weeks[0].longest_minutes > 49.5


def test_entries_before_the_plan_are_no_weeks_of_it() -> None:
    long_ago = [{"on": "2026-12-31", "ran": "20 min"}]

    assert training(plan_of(runner(), long_ago, "2027-01-04").weeks[0]) > 120


def test_entries_after_the_end_of_the_plan_change_nothing_in_it() -> None:
    week = [
        {"on": s.on.isoformat(), "ran": f"{s.run_minutes:g} min"}
        for s in plan_of(runner()).sessions
    ]
    later = [*week, {"on": "2027-04-20", "ran": "200 min", "pain": {"during": "1"}}]

    assert (
        plan_of(runner(), later, "2027-05-01").sessions
        == plan_of(runner(), week, "2027-05-01").sessions
    )


def test_pain_after_the_end_of_the_plan_still_speaks_in_the_status() -> None:
    log = [{"on": "2027-04-20", "skipped": "pain", "signs": ["chest_pain"]}]

    assert plan_of(runner(), log, "2027-04-20").status == "referred"


def test_two_sessions_with_pain_on_one_day_are_two_in_a_row() -> None:
    log = [{"on": "2027-01-05", "ran": "20 min", "pain": {"during": "3"}}] * 2

    assert plan_of(runner(), log, "2027-01-06").weeks[1].kind == "back"


def test_two_calm_sessions_on_one_day_release_a_hold() -> None:
    log = [
        {"on": "2027-01-05", "ran": "20 min", "pain": {"during": "3"}},
        {"on": "2027-01-07", "ran": "20 min", "pain": {"during": "0"}},
        {"on": "2027-01-07", "ran": "10 min", "pain": {"during": "1"}},
    ]

    assert plan_of(runner(), log, "2027-01-08").weeks[1].kind == "build"


def test_a_later_entry_takes_no_bad_morning_back() -> None:
    """What it tells of before the run is not of that run: 2 the next morning is worse than 0."""
    ran = "{on: 2027-01-05, ran: 40 min, pain: {before: 0, during: 1, after: 1}}"
    later = "{on: 2027-01-05, pain: {before: 2, next_morning: 2}}"
    [session] = sessions(case_of(runner(), f"[{ran}, {later}]"), date(2027, 1, 6))

    assert session.pain is not None
    assert (session.pain.before, session.pain.next_morning) == (0, 2)
    assert pain_grade(session.pain, "standard") == "hold"


@pytest.mark.parametrize("order", ["heard ran", "ran heard", "morning heard ran"])
def test_what_a_phone_heard_belongs_to_the_run_of_its_day_in_any_order(order: str) -> None:
    entry = {
        "heard": "{on: 2027-01-05, heard: [{part: usual, spm: 164 spm}]}",
        "ran": "{on: 2027-01-05, ran: 40 min}",
        "morning": "{on: 2027-01-05, pain: {next_morning: 1}}",
    }
    log = f"[{', '.join(entry[name] for name in order.split())}]"
    found = sessions(case_of(runner(), log), date(2027, 1, 6))

    assert [len(s.entry.heard) for s in found if s.is_run] == [1]


def test_what_a_phone_heard_between_two_runs_of_a_day_belongs_to_the_first() -> None:
    ran, heard = "{on: 2027-01-05, ran: 40 min}", "{on: 2027-01-05, heard: [{part: usual}]}"
    found = sessions(case_of(runner(), f"[{ran}, {heard}, {ran}]"), date(2027, 1, 6))

    assert [len(s.entry.heard) for s in found] == [1, 0]


def test_a_log_that_follows_the_plan_to_the_letter_leaves_the_plan_as_it_was() -> None:
    ahead = plan_of(runner())
    log = [
        {"on": s.on.isoformat(), "ran": f"{s.run_minutes:g} min"}
        for s in ahead.sessions
        if s.on < date(2027, 2, 1)
    ]

    assert plan_of(runner(), log, "2027-02-01").sessions == ahead.sessions


@pytest.mark.parametrize("said", ["I slept badly.", "<script>alert(1)</script>"])
def test_words_alone_are_a_check_in_but_no_run(said: str) -> None:
    plan = plan_of(runner(), [{"on": "2027-01-05", "said": said}], "2027-01-11")

    assert not any(d.rule == "silence" for d in plan.weeks[1].decisions)
    assert training(plan.weeks[1]) <= 132


def test_sessions_keep_their_ids_when_the_log_changes_their_length() -> None:
    ahead = plan_of(runner())
    log = [{"on": "2027-01-05", "ran": "20 min", "pain": {"during": "4"}}]
    after = plan_of(runner(), log, "2027-01-06")

    by_day = {s.on: s.id for s in ahead.sessions}
    kept = [s for s in after.sessions if s.on in by_day]
    assert len(kept) > 10
    assert all(s.id == by_day[s.on] for s in kept)


def test_sessions_keep_their_ids_when_a_day_or_a_time_changes() -> None:
    """Saturday becomes Friday, Tuesday's run moves from morning to evening."""
    one = plan_of(runner(week="{tue: {at: '06:30'}, thu: {}, sat: {}, sun: {}, long: sun}"))
    other = plan_of(runner(week="{tue: {at: '18:30'}, thu: {}, fri: {}, sun: {}, long: sun}"))

    assert [s.id for s in one.sessions] == [s.id for s in other.sessions]


def test_sessions_keep_their_ids_when_minutes_change() -> None:
    """Slower growth: every session of it has the id that the quicker plan gave to that run."""
    one = plan_of(runner())
    other = plan_of(runner(plan="{from: 2027-01-04, weeks: 8, growth: 3 %}"))

    assert {s.id for s in other.sessions} <= {s.id for s in one.sessions}
    assert [s.id for s in one.sessions if s.kind == "long"] == [
        s.id for s in other.sessions if s.kind == "long"
    ]


def test_the_long_run_keeps_its_id_on_another_day() -> None:
    one = plan_of(runner(week="{tue: {}, thu: {}, sat: {}, sun: {}, long: sat}"))
    other = plan_of(runner(week="{tue: {}, thu: {}, sat: {}, sun: {}, long: sun}"))

    assert [s.id for s in one.sessions if s.kind == "long"] == [
        s.id for s in other.sessions if s.kind == "long"
    ]


def test_a_run_that_is_planned_shorter_than_any_minute_is_left_out_whole() -> None:
    """From nothing with seven days: ten minutes are not seven runs of one minute and a half."""
    text = runner(
        baseline="{on: 2027-01-04, cadence: 160 spm, week: 0 min, runs: 7}",
        week="{mon: {}, tue: {}, wed: {}, thu: {}, fri: {}, sat: {}, sun: {}}",
    )
    first = plan_of(text).weeks[0].sessions

    assert all(s.run_minutes == int(s.run_minutes) >= 1 for s in first)
    assert sum(s.run_minutes for s in first) <= 10


def test_days_before_the_plan_begins_have_no_session() -> None:
    plan = plan_of(runner(plan="{from: 2027-01-06, weeks: 2}"))

    assert plan.weeks[0].start == MONDAY
    assert min(s.on for s in plan.sessions) >= date(2027, 1, 6)
    assert plan.weeks[1].start == MONDAY + WEEK
