"""What silence does: a week repeats, then the plan asks, then it waits."""

from __future__ import annotations

import pytest

from generated import NEW_TO_EXERCISE, NOTHING, runner, training
from support import plan_of


def test_after_a_silent_week_the_next_repeats_it() -> None:
    plan = plan_of(runner(), "[]", "2027-01-11")

    assert training(plan.weeks[0]) > 120
    assert training(plan.weeks[1]) == training(plan.weeks[0])


def test_after_two_silent_weeks_the_next_seven_days_are_easier_and_ask() -> None:
    plan = plan_of(runner(), "[]", "2027-01-18")
    asked = [d for d in plan.weeks[2].decisions if d.rule == "silence"]

    assert training(plan.weeks[2]) == 96  # 80 % of 120, the level
    assert ["how are you" in str(d.says) for d in asked] == [True] and asked[0].warns
    assert training(plan.weeks[4]) >= 120  # later weeks assume that a word comes


def test_a_silent_beginner_has_a_part_of_the_first_step_and_not_of_nothing() -> None:
    plan = plan_of(runner(baseline=NOTHING, screening=NEW_TO_EXERCISE), "[]", "2027-01-24")

    for week in plan.weeks[2:4]:
        assert any(d.rule == "silence" for d in week.decisions)
        assert 0 < training(week) <= 8  # 80 % of the first ten minutes
        assert week.sessions and training(week) <= training(plan.weeks[1])


def test_where_nothing_is_planned_silence_does_not_call_it_an_easier_week() -> None:
    text = runner(baseline=NOTHING, plan="{from: 2027-01-04, weeks: 6, growth: 0 %}")
    said = [
        str(d.says)
        for d in plan_of(text, "[]", "2027-01-20").weeks[2].decisions
        if d.rule == "silence"
    ]

    assert len(said) == 1 and "Nothing is planned" in said[0] and "easier" not in said[0]


def test_after_four_nothing_is_planned_until_the_first_word() -> None:
    plan = plan_of(runner(), "[]", "2027-02-01")

    assert plan.status == "paused" and not [s for s in plan.sessions if s.on >= plan.as_of]
    assert "waits for a word" in str(plan.decisions[0].says)
    word = plan_of(runner(), "[{on: 2027-02-02, said: I am back.}]", "2027-02-03")
    assert word.status == "active" and [s for s in word.sessions if s.on >= word.as_of]


def test_the_first_word_after_two_weeks_brings_the_level_back() -> None:
    plan = plan_of(runner(), "[{on: 2027-01-18, ran: 40 min}]", "2027-01-19")

    assert training(plan.weeks[3]) == 84  # the easier week, 70 % of a level of 120
    assert plan.weeks[2].kind == "hold" and training(plan.weeks[2]) > 96  # as it was asked at 80 %


def test_a_week_that_is_not_over_is_not_yet_silent() -> None:
    plan = plan_of(runner(), "[]", "2027-01-10")

    assert plan.weeks[1].kind == "build"


def test_one_check_in_breaks_the_silence() -> None:
    plan = plan_of(runner(), "[{on: 2027-01-05, ran: 42 min}]", "2027-01-11")

    assert plan.weeks[1].kind == "build"


def test_a_skipped_session_is_a_check_in() -> None:
    plan = plan_of(runner(), "[{on: 2027-01-05, skipped: ill}]", "2027-01-11")

    assert not any(d.rule == "silence" for d in plan.weeks[1].decisions)


def test_silence_never_grows() -> None:
    plan = plan_of(runner(), "[]", "2027-02-01")

    assert max(training(w) for w in plan.weeks[:5]) == 132


def test_two_silent_weeks_are_told_to_the_coach_and_one_check_in_ends_it() -> None:
    def told(log: str, as_of: str) -> list[str]:
        return [p.message for p in plan_of(runner(), log, as_of).problems if p.code == "unheard"]

    assert told("[]", "2027-01-11") == []
    assert ["last 2 weeks" in m for m in told("[]", "2027-01-18")] == [True]
    assert told("[{on: 2027-01-26, skipped: ill}]", "2027-02-01") == []


def test_who_never_checks_in_by_agreement_goes_on_at_the_level() -> None:
    """For ten weeks: neither easier nor asked, and growth waits; only changes move it."""
    quiet = runner(plan="{from: 2027-01-04, weeks: 12}", more="checkins: none")
    plan = plan_of(quiet, "[]", "2027-03-15")
    built = [training(w) for w in plan.weeks[:10] if w.kind == "build"]

    assert plan.status == "active" and not [p for p in plan.problems if "silence" in p.code]
    assert len(built) >= 7 and min(built) >= 120 and max(built) == min(built)
    ahead = [training(w) for w in plan_of(quiet, "[]", "2027-01-04").weeks if w.kind == "build"]
    assert set(ahead) == set(built), "no week ahead shows growth that nobody would be heard to earn"


def test_two_silent_weeks_lower_what_is_shown_and_not_the_level() -> None:
    """With the first word the next week has the level; the one after it grows from there."""
    heard = ", ".join(f"{{on: 2027-01-{day}, ran: 40 min}}" for day in ("05", "07", "09"))
    before = plan_of(runner(), f"[{heard}]", "2027-01-11")
    silent = plan_of(runner(), f"[{heard}]", "2027-01-25")
    word = plan_of(runner(), f"[{heard}, {{on: 2027-01-29, said: Back.}}]", "2027-02-01")

    assert any(d.rule == "silence" for d in silent.weeks[3].decisions)
    assert before.weeks[1].kind == "build" and before.weeks[1].worth == pytest.approx(145.2)
    assert word.weeks[4].kind == "hold" and 0.9 * 132 < training(word.weeks[4]) <= 132
    assert word.weeks[5].worth == pytest.approx(145.2)


LONG_SILENCE = ["05", "07", "09", "12", "14", "16"]  # all runs of two weeks, then nothing


@pytest.mark.parametrize("word", ["said: Back.", "ran: 2 min", "ran: 40 min"])
def test_the_first_week_after_a_silence_does_not_grow(word: str) -> None:
    """One word of a week is no week done, however long the run that it tells of."""
    heard = ", ".join(f"{{on: 2027-01-{day}, ran: 45 min}}" for day in LONG_SILENCE)
    plan = plan_of(runner(), f"[{heard}, {{on: 2027-02-06, {word}}}]", "2027-02-08")

    known = max(training(week) for week in plan.weeks[:2])
    assert training(plan.weeks[5]) <= known and plan.weeks[5].kind in ("hold", "return")


def test_a_try_of_two_minutes_after_seven_weeks_neither_ends_the_absence_nor_locks_the_plan() -> (
    None
):
    """Otherwise the 30-day limit would hold each run at 3 min, for months."""
    heard = ", ".join(f"{{on: 2027-01-{day}, ran: 45 min}}" for day in LONG_SILENCE)
    plan = plan_of(
        runner(plan="{from: 2027-01-04, weeks: 16}"),
        f"[{heard}, {{on: 2027-03-07, ran: 2 min}}]",
        "2027-03-08",
    )

    assert plan.weeks[9].kind == "return" and training(plan.weeks[9]) >= 0.4 * 132
    assert min(training(week) for week in plan.weeks[9:]) >= 0.4 * 132


def test_a_check_in_in_the_week_under_way_ends_the_words_of_silence() -> None:
    """Heard on Tuesday: neither the weeks before nor the week's easier Monday are told any more."""
    heard = "[{on: 2027-01-05, ran: 40 min}, {on: 2027-01-26, ran: 20 min}]"
    codes = {p.code for p in plan_of(runner(), heard, "2027-01-27").problems}
    assert not codes & {"unheard", "plan-silence"}
    before = {p.code for p in plan_of(runner(), heard[:30] + "]", "2027-01-26").problems}
    assert before & {"unheard", "plan-silence"}


@pytest.mark.parametrize(
    "word", ["signs: [bone_point_pain]", "pain: {during: 8}", "pain: {during: 6}"]
)
def test_a_first_word_of_danger_is_not_greeted(word: str) -> None:
    """ "Good to hear from you" above "stop running" would be deaf."""
    plan = plan_of(runner(), f"[{{on: 2027-01-20, ran: 20 min, {word}}}]", "2027-01-21")
    said = [str(d.says) for w in plan.weeks for d in w.decisions if d.rule == "silence"]

    assert plan.status in ("referred", "paused")
    assert not any("Good to hear" in text for text in said)
    greeted = plan_of(runner(), "[{on: 2027-01-20, ran: 20 min}]", "2027-01-21")
    assert any("Good to hear" in str(d.says) for d in greeted.weeks[2].decisions)


@pytest.mark.parametrize(
    ("told", "rule"),
    [("skipped: ill, signs: [fever]", "illness"), ("signs: [limp]", "signs")],
)
def test_a_week_that_a_stop_empties_is_not_told_as_one_of_silence(told: str, rule: str) -> None:
    """At 80 %, and easier, was told of weeks with nothing in them."""
    plan = plan_of(runner(), f"[{{on: 2027-01-08, {told}}}]", "2027-01-24")
    for week in plan.weeks[2:5]:
        assert week.kind == "pause" and not week.sessions
        assert [d.rule for d in week.decisions] == [rule]
    assert not [p for p in plan.problems if p.code == "plan-silence"]
