"""Alarms: what opens one, what frees it, what an answer does, and where each stands."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generated import DAY, MONDAY, runner
from sitegen.care.trends import Score, trends
from sitegen.model.alarm import Alarm, AlarmAnswer
from sitegen.model.case import Case
from sitegen.plan import ledger
from sitegen.plan.alarms import alarms, open_first
from sitegen.plan.condition import log_with_readings
from sitegen.plan.fold import expand
from sitegen.practice.records import read_log
from sitegen.practice.returns import way_of
from sitegen.rules.asks import STILL_HURTS, trend_words
from sitegen.world import read_returns
from support import case_of


def of(case: Case, as_of: str) -> list[Alarm]:
    return list(alarms(case, log_with_readings(case, date.fromisoformat(as_of))))


def told(log: str, as_of: str = "2027-02-01", more: str = "") -> list[tuple[str, str, bool]]:
    return [(a.kind, a.matter, a.is_open) for a in of(case_of(runner(more=more), log), as_of)]


LIFT = "changes: [{on: 2027-01-12, lifts: limp 2027-01-05, seen_by: a doctor, because: seen}]"


@pytest.mark.parametrize(
    ("entry", "opens"),
    [
        ("ran: 20 min, signs: [chest_pain]", ("now", "chest_pain")),
        ("ran: 20 min, signs: [limp]", ("today", "limp")),
        ("ran: 20 min, pain: {during: 8}", ("today", "severe_pain")),
        ("said: I fainted after the run.", ("now", "fainting")),
        ("said: I do not want to live any more.", ("today", "self_harm")),
    ],
)
def test_signs_words_and_scores_open_alarms(entry: str, opens: tuple[str, str]) -> None:
    log = f"[{{on: 2027-01-05, {entry}}}, {{on: 2027-01-06, said: fine again}}]"

    assert told(log, "2027-01-08") == [(*opens, True)]


def test_an_alarm_is_never_closed_by_time_nor_by_fine_again() -> None:
    log = "[{on: 2027-01-05, signs: [limp]}, {on: 2027-01-06, said: all fine, effort: 2}]"

    assert ("today", "limp", True) in told(log, "2027-12-01")


def test_a_lift_that_names_it_closes_it() -> None:
    assert told("[{on: 2027-01-05, signs: [limp]}]", "2027-01-12", LIFT)[0][2] is False
    assert told("[{on: 2027-01-05, signs: [limp]}]", "2027-01-11", LIFT)[0][2] is True


def answered(case: Case, matter: str, since: str, on: str) -> Case:
    days = date.fromisoformat(since), date.fromisoformat(on)
    return replace(case, answers=(*case.answers, AlarmAnswer(matter, *days, "spoken with her")))


def test_an_answer_acknowledges_and_does_not_free_a_stop() -> None:
    case = case_of(runner(), "[{on: 2027-01-05, signs: [limp]}]")
    after = answered(case, "limp", "2027-01-05", "2027-01-06")
    (one,) = [a for a in of(after, "2027-01-08") if a.matter == "limp"]

    assert not one.is_open and one.is_standing
    assert expand(after, date(2027, 1, 8)).status == "referred"


RAN = "[{on: 2027-01-05, ran: 10 min, signs: [limp]}, {on: 2027-01-09, ran: 30 min}]"


def test_a_run_while_stopped_comes_first_and_withholds_runs_until_it_is_answered() -> None:
    case = case_of(runner(more=LIFT), RAN)
    found = open_first(tuple(of(case, "2027-01-13")))
    plan = expand(case, date(2027, 1, 13))

    assert (found[0].matter, found[0].is_open) == ("ran_while_stopped", True)
    assert plan.status == "paused" and [s for s in plan.sessions if s.on >= plan.as_of] == []
    after = answered(case, "ran_while_stopped", "2027-01-09", "2027-01-13")
    assert any(s.on >= date(2027, 1, 13) for s in expand(after, date(2027, 1, 13)).sessions)


def test_runs_through_one_stop_are_one_question_and_the_next_run_asks_again() -> None:
    days = (9, 11, 13)
    more = [f"{{on: 2027-01-{day:02}, ran: 30 min}}" for day in days]
    case = case_of(runner(), f"[{{on: 2027-01-05, ran: 9 min, signs: [limp]}}, {', '.join(more)}]")
    (one,) = [a for a in of(case, "2027-01-14") if a.matter == "ran_while_stopped"]

    assert [each.since.day for each in one.members] == [*days] and one.is_open
    assert "on 3 days, the first on 2027-01-09 and the last on 2027-01-13" in one.says
    for day in days[:2]:
        case = answered(case, "ran_while_stopped", f"2027-01-{day:02}", "2027-01-12")
    found = [a for a in of(case, "2027-01-14") if a.matter == "ran_while_stopped"]
    assert [(len(a.all), a.is_open) for a in found] == [(2, False), (1, True)]


def test_runs_through_two_stops_are_two_questions() -> None:
    first = "{on: 2027-01-05, ran: 9 min, signs: [limp]}, {on: 2027-01-09, ran: 30 min}"
    then = "{on: 2027-01-14, ran: 9 min, signs: [locking]}, {on: 2027-01-16, ran: 30 min}"
    found = of(case_of(runner(more=LIFT), f"[{first}, {then}]"), "2027-01-17")

    assert [a.since.day for a in found if a.matter == "ran_while_stopped"] == [9, 16]


RUNS = "[{on: 2027-01-05, ran: 30 min}, {on: 2027-01-07, ran: 30 min}]"
BONE = way_of("bone-stress", read_returns()["bone-stress"])
SHUT = ("history: {on: 2026-12-01, surgery: 2026-11-01}", "return: {after: bone-stress}")


def waiting(more: str, log: str = RUNS) -> Case:
    return replace(case_of(runner(more=more), log), way_back=BONE if "return" in more else None)


@pytest.mark.parametrize("more", SHUT)
def test_a_run_before_a_clinicians_word_asks_once_and_again_with_the_next(more: str) -> None:
    case = waiting(more)
    (one,) = of(case, "2027-01-08")
    assert (one.matter, one.since, one.is_open) == ("ran_while_stopped", date(2027, 1, 7), True)
    assert expand(case, date(2027, 1, 8)).status == "referred"

    def once_answered(case: Case) -> Case:
        return answered(case, "ran_while_stopped", "2027-01-07", "2027-01-08")

    assert [a.is_open for a in of(once_answered(case), "2027-01-08")] == [False]
    again = once_answered(waiting(more, f"{RUNS[:-1]}, {{on: 2027-01-09, ran: 9 min}}]"))
    found = [(a.since.day, a.is_open) for a in of(again, "2027-01-10")]
    assert found == [(7, False), (9, True)]


def test_runs_before_the_talk_or_the_word_and_runs_that_were_told_ask_nothing() -> None:
    assert of(waiting("history: {on: 2027-01-07, surgery: 2026-11-01}"), "2027-01-08") == []
    way = "return: {after: bone-stress, cleared_on: 2027-01-08, by: a doctor}"
    assert of(waiting(way), "2027-01-08") == []

    shown = expand(case_of(runner(), RUNS), date(2027, 1, 4))
    assert any(s.on == date(2027, 1, 7) and s.is_run for s in shown.sessions)
    told_so = replace(waiting(SHUT[1]), told=(ledger.shown(shown),))
    assert of(told_so, "2027-01-08") == [] and of(waiting(SHUT[1]), "2027-01-08") != []


WEEKS = """
- {on: 2027-01-05, ran: 30 min, pain: {during: 3, site: left shin}}
- {on: 2027-01-07, ran: 30 min, pain: {during: 0, site: left shin}}
- {on: 2027-01-12, ran: 30 min, pain: {during: 3, site: Left shin}}
- {on: 2027-01-14, ran: 30 min, pain: {during: 0, site: left shin}}
- {on: 2027-01-19, ran: 30 min, pain: {during: 3, site: left  shin}}
- {on: 2027-01-21, ran: 30 min, pain: {during: 0, site: left shin}}
- {on: 2027-01-23, ran: 30 min, pain: {during: 0, site: left shin}}
"""


def test_a_place_at_three_in_three_weeks_in_a_row_asks_and_holds_growth_until_answered() -> None:
    case = case_of(runner(), WEEKS)
    (ask,) = [a for a in of(case, "2027-01-24") if a.kind == "ask"]

    assert (ask.matter, ask.since, ask.is_open) == (
        "pain_weeks_left_shin",
        date(2027, 1, 19),
        True,
    )
    held = expand(case, date(2027, 1, 24)).weeks[3]
    free = expand(answered(case, "pain_weeks", "2027-01-19", "2027-01-24"), date(2027, 1, 24))
    assert "asks" in {d.rule for d in held.decisions} and held.kind != "build"
    assert "asks" not in {d.rule for d in free.weeks[3].decisions}


def test_an_answer_about_one_place_answers_no_other() -> None:
    """One as it was written before, without a place, counts for each that has one."""

    def asked(case: Case) -> list[str]:
        found = of(case, "2027-01-24")
        return [a.matter for a in found if a.matter.startswith("pain_") and a.is_open]

    def open_after(case: Case, matter: str) -> list[str]:
        return asked(answered(case, matter, "2027-01-19", "2027-01-24"))

    both = case_of(runner(), WEEKS + re.sub("[Ll]eft +shin", "right knee (in)", WEEKS))
    shin, knee = asked(both)
    assert shin == "pain_weeks_left_shin"
    assert re.fullmatch(r"pain_weeks_right_knee_in_\w{6}", knee), "no quotes are needed to write it"
    assert open_after(both, shin) == [knee]
    assert open_after(both, knee) == [shin]
    assert open_after(both, "pain_weeks") == []

    nowhere = case_of(runner(), WEEKS + re.sub(", site: [Ll]eft +shin", "", WEEKS))
    assert open_after(nowhere, "pain_weeks") == [shin], "the other has no place"


def hurting(weeks: int, last: int) -> str:
    """45 min on Tuesday and Thursday, pain of 3 at one place on Tuesdays of the first."""
    told = []
    for week in range(weeks):
        monday, score = MONDAY + 7 * week * DAY, 3 if week < last else 0
        told.append(f"{{on: {monday + DAY}, ran: 45 min, pain: {{during: {score}, site: shin}}}}")
        told.append(f"{{on: {monday + 3 * DAY}, ran: 45 min, pain: {{during: 0, site: shin}}}}")
    return f"[{', '.join(told)}]"


def test_no_step_back_for_weeks_in_which_nobody_told_of_pain() -> None:
    """Runs without a score: the plan is held and the coach asked; 105 min had become 54."""
    text = runner(plan="{from: 2027-01-04, weeks: 14, ease: {every: 8}}")
    runs = [
        f"{{on: {MONDAY + (7 * n + day) * DAY}, ran: 45 min}}"
        for n in (4, 5, 6, 7, 8)
        for day in (1, 3)
    ]
    log = f"{hurting(4, 4).removesuffix(']')}, {', '.join(runs)}]"

    def ahead(log: str, weeks: int) -> float:
        return expand(case_of(text, log), MONDAY + 7 * weeks * DAY).weeks[weeks + 1].run_minutes

    assert ahead(log, 9) >= ahead(hurting(4, 4), 5) * 0.95
    assert ahead(hurting(9, 9), 9) < ahead(hurting(4, 4), 5) * 0.7


def test_a_question_of_pain_that_nobody_answers_takes_the_plan_a_step_back_while_it_hurts() -> None:
    """Asked in week 3; each two weeks that it waits cost a fifth, and no time to come does."""
    text = runner(plan="{from: 2027-01-04, weeks: 14, ease: {every: 8}}")

    def level(weeks: int, last: int, answer: str = "") -> float:
        case = case_of(text, hurting(weeks, last))
        case = answered(case, "pain_weeks", "2027-01-19", answer) if answer else case
        plan = expand(case, MONDAY + 7 * weeks * DAY)
        ahead = [w.run_minutes for w in plan.weeks[weeks:] if w.kind == "hold"]
        assert len({*ahead[1:]}) == 1, "what is due by tomorrow, and none after it"
        return ahead[0]

    before = level(4, 4)
    assert [round(level(n, n) / before, 1) for n in (5, 6, 7)] == [0.8, 0.8, 0.6]
    assert level(7, 3) == pytest.approx(before, abs=3), "calm again: held, and not lowered"
    assert level(5, 5, "2027-01-25") == pytest.approx(before, abs=3), "the coach has answered"


def test_a_step_back_is_told_where_one_was_taken() -> None:
    """3 of 10 on each third run, and calm when the two weeks were over: weeks that told of a step
    back were as large as before."""
    text = runner(plan="{from: 2027-01-04, weeks: 14, ease: {every: 8}}")
    runs = [MONDAY + DAY * (7 * week + day) for week in range(8) for day in (1, 3, 5, 6)]
    log = [
        {"on": str(on), "ran": "30 min", "pain": {"during": "3" if n % 3 == 2 else "0"}}
        for n, on in enumerate(runs)
    ]
    told = []
    for monday in (MONDAY + 7 * weeks * DAY for weeks in (5, 6, 7)):
        before = [entry for entry in log if entry["on"] < str(monday)]
        week = next(w for w in expand(case_of(text, before), monday).weeks if w.start == monday)
        told.append(STILL_HURTS in {decision.says.template for decision in week.decisions})

    assert told == [False, False, True]


@pytest.mark.parametrize(
    ("scores", "kind", "how"),
    [
        ([(0, 3), (7, 3), (14, 3)], "ask", "weeks"),
        ([(0, 2), (7, 2), (14, 2)], "notice", "weeks"),
        ([(0, 0), (2, 1), (4, 2), (6, 4)], "ask", "rise"),  # wherever among the runs it begins
        ([(0, 1), (2, 2), (4, 4)], "ask", "rise"),
        ([(0, 1), (2, 2), (4, 3)], "notice", "rise"),
        ([(0, 3), (14, 3), (21, 3)], "notice", "again"),  # a week between
        ([(6, 3), (14, 3), (21, 3)], "notice", "again"),  # Sunday, and two weeks on
        ([(0, 3), (21, 3), (55, 3)], "notice", "again"),  # the last day of eight weeks
        ([(0, 3), (21, 3), (56, 3)], None, ""),  # the day after
        ([(0, 2), (14, 3), (21, 3)], None, ""),
        ([(0, 3), (2, 3), (4, 3)], None, ""),  # one week
        ([(0, 2), (2, 2), (4, 4)], None, ""),  # not rising each time
    ],
)
def test_trends_by_the_table(scores: list[tuple[int, int]], kind: str | None, how: str) -> None:
    found = trends([Score(MONDAY + DAY * day, score, "shin") for day, score in scores])

    assert [(t.kind, t.how) for t in found] == ([(kind, how)] if kind else [])
    told = tuple(score for _, score in scores[-3:])
    assert all(t.scores == told for t in found), "the three that it is made of"


def test_pain_that_comes_and_goes_for_months_is_told_though_no_three_weeks_follow_each_other() -> (
    None
):
    """3 of 10 at one place on each fifth of three runs a week, for half a year."""
    runs = [MONDAY + DAY * (7 * week + day) for week in range(26) for day in (1, 3, 6)]
    scores = [
        Score(on, 0 if n % 5 else 3, "shin" if n % 5 == 0 else "") for n, on in enumerate(runs)
    ]
    told = [t for t in trends(scores) if t.how == "again"]

    assert len(told) >= 4 and {t.kind for t in told} == {"notice"}
    assert max((b.since - a.since).days for a, b in pairwise(told)) <= 8 * 7
    assert "three weeks of 8" in trend_words(told[0])


def test_pain_that_goes_on_is_one_question_until_it_is_answered_and_then_another() -> None:
    """3 of 10 at the shin, once a week for nine weeks: it asks in each third of them."""
    days = [MONDAY + DAY * 7 * week for week in range(9)]
    log = ", ".join(
        f"{{on: {day}, ran: 30 min, pain: {{during: 3, site: left shin}}}}" for day in days
    )
    case = case_of(runner(), f"[{log}]")
    matter, asks_on, day = "pain_weeks_left_shin", days[2::3], str(days[-1])
    (one,) = [a for a in of(case, day) if a.matter == matter]

    assert [each.since for each in one.members] == asks_on and one.is_open
    assert one.says == (
        f"pain at left shin in three weeks in a row, last on {days[8]}: 3, 3, 3 of 10; "
        f"asked 3 times since {days[2]}"
    )
    for since in asks_on[:2]:
        case = answered(case, matter, str(since), str(days[6]))
    found = [a for a in of(case, day) if a.matter == matter]
    assert [(len(a.all), a.is_open) for a in found] == [(2, False), (1, True)]


def test_two_places_are_two_matters() -> None:
    scores = [
        Score(MONDAY + DAY * 7 * n, 3, site) for n, site in enumerate(("shin", "hip", "shin"))
    ]

    assert trends(scores) == ()


@pytest.mark.parametrize(
    ("screening", "why"),
    [
        ("cleared_on: 2027-01-02", "by whom"),
        ("cleared_on: 2026-10-01, cleared_by: a doctor", "older than the screening"),
    ],
)
def test_a_clearance_that_does_not_hold_asks(screening: str, why: str) -> None:
    asked = "on: 2026-12-01, regular_exercise: yes, known_disease: no, symptoms: no"
    case = case_of(runner(screening=f"{{{asked}, {screening}}}"), "[]")
    (one,) = of(case, "2027-01-04")

    assert (one.kind, one.matter) == ("ask", "clearance") and why in one.says


def test_silence_after_a_stop_asks_after_a_week() -> None:
    log = "[{on: 2027-01-05, signs: [limp]}]"

    assert "silent_since_stop" not in {m for _, m, _ in told(log, "2027-01-11")}
    assert ("ask", "silent_since_stop", True) in told(log, "2027-01-12")


PAIN_THEN = "{on: 2027-01-05, ran: 20 min, pain: {during: %s, site: shin}}"


@pytest.mark.parametrize(
    ("entry", "says"),
    [
        (PAIN_THEN % 3, "nothing was heard since pain 3/10 on 2027-01-05"),
        (PAIN_THEN % 7, "nothing was heard since pain 7/10 on 2027-01-05"),
        (
            "{on: 2027-01-05, skipped: pain}",
            "nothing was heard since a session left out for pain on 2027-01-05",
        ),
    ],
)
def test_pain_and_then_silence_asks_after_a_week_until_answered_or_heard(
    entry: str, says: str
) -> None:
    matter = "silent_since_pain"
    hurt = case_of(runner(), f"[{entry}]")
    assert of(hurt, "2027-01-11") == []
    for day in ("2027-01-12", "2027-02-12", "2027-06-12"):
        (one,) = of(hurt, day)
        assert (one.kind, one.matter, one.says, one.is_open) == ("ask", matter, says, True)

    answer = AlarmAnswer(matter, date(2027, 1, 12), date(2027, 1, 13), "phoned")
    assert not any(a.is_open for a in of(replace(hurt, answers=(answer,)), "2027-02-12"))

    heard = case_of(runner(), f"- {entry}\n- {{on: 2027-01-14, skipped: travel}}")
    assert of(heard, "2027-01-20") == []
    (one,) = of(heard, "2027-02-12")
    assert one.since == date(2027, 1, 21)
    assert one.says == says.replace("since ", "since 2027-01-14, after ")


def test_runs_without_a_score_are_no_word_about_the_pain() -> None:
    """They held the plan for thirteen weeks, and nobody was asked."""
    runs = ", ".join(f"{{on: 2027-01-{day:02}, ran: 20 min}}" for day in (7, 10, 12, 14))
    (one,) = of(case_of(runner(), f"[{PAIN_THEN % 4}, {runs}]"), "2027-01-14")

    assert (one.matter, one.since) == ("silent_since_pain", date(2027, 1, 12))
    assert one.says == "runs were logged without a score since pain 4/10 on 2027-01-05"
    calm = "{on: 2027-01-13, ran: 20 min, pain: {during: 1}}"
    assert of(case_of(runner(), f"[{PAIN_THEN % 4}, {runs}, {calm}]"), "2027-01-14") == []


def test_an_illness_with_fever_and_then_silence_asks_after_a_week() -> None:
    ill = "{on: 2027-01-05, skipped: ill, signs: [fever]}"
    matter, case = "silent_since_illness", case_of(runner(), f"[{ill}]")

    assert [a for a in of(case, "2027-01-11") if a.matter == matter] == []
    for day in ("2027-01-12", "2027-04-05"):
        (one,) = [a for a in of(case, day) if a.matter == matter]
        assert one.is_open
        assert one.says == "nothing was heard since an illness that was told on 2027-01-05"
    well = case_of(runner(), f"[{ill}, {{on: 2027-01-20, well_again: yes}}]")
    assert [a for a in of(well, "2027-04-05") if a.matter == matter] == []


@pytest.mark.parametrize(
    ("hurt", "gravest"),
    [
        (PAIN_THEN % 4, "silent_since_illness"),
        ("{on: 2027-01-05, pain: {during: 4}, signs: [limp]}", "silent_since_illness"),
        ("{on: 2027-01-07, pain: {during: 4}, signs: [limp]}", "silent_since_stop"),
    ],
)
def test_of_several_silences_the_gravest_alone_is_asked_about(hurt: str, gravest: str) -> None:
    """One call answers them all; answered, no lesser one takes its place."""
    ill = "{on: 2027-01-07, skipped: ill, signs: [fever]}"
    case = case_of(runner(), f"[{hurt}, {ill}]")
    (one,) = [a for a in of(case, "2027-01-20") if a.matter.startswith("silent")]
    assert (one.matter, one.is_open) == (gravest, True)

    answer = AlarmAnswer(gravest, one.since, date(2027, 1, 16), "phoned")
    answered = of(replace(case, answers=(answer,)), "2027-01-20")
    assert not [a for a in answered if a.matter.startswith("silent") and a.is_open]


@pytest.mark.parametrize(
    ("log", "more"),
    [
        (f"[{PAIN_THEN % 2}]", ""),
        (f"[{PAIN_THEN % 4}]", "away: [{from: 2027-01-10, to: 2027-01-30, because: skiing}]"),
        (f"[{PAIN_THEN % 4}]", "status: ended"),
        (
            f"[{PAIN_THEN % 4}, {{on: 2027-01-07, ran: 20 min, pain: {{during: 1}}}}, "
            "{on: 2027-01-09, ran: 20 min, pain: {during: 1}}]",
            "",
        ),
    ],
    ids=["a niggle", "away", "ended", "calm again"],
)
def test_nobody_is_asked_about_a_silence_that_is_known_or_follows_no_pain(
    log: str, more: str
) -> None:
    assert told(log, "2027-02-05", more) == []


AGAIN = "[{on: 2027-01-05, received: 2027-01-05, signs: [limp]}, %s]"


@pytest.mark.parametrize(
    ("second", "tellings", "opens"),
    [
        ("{on: 2027-01-05, received: 2027-01-06, signs: [limp]}", 1, True),  # on the answer's day
        ("{on: 2027-01-05, received: 2027-01-06, said: I was limping}", 1, True),
        ("{on: 2027-01-05, received: 2027-01-06, signs: [limp]}", 2, False),
        ("{on: 2027-01-05, received: 2027-01-06, signs: [limp]}", None, False),
        ("{on: 2027-01-05, received: 2027-01-08, signs: [limp]}", None, True),
        ("{on: 2027-01-05, received: 2027-01-06, signs: [night_pain]}", 1, True),
        ("{on: 2027-01-05, received: 2027-01-06, said: all fine}", 1, False),
    ],
)
def test_told_once_more_after_the_answer_is_news(
    second: str, tellings: int | None, opens: bool
) -> None:
    """``tellings`` is how many the answer knew; one of before that was kept does not say it."""
    answer = AlarmAnswer("limp", date(2027, 1, 5), date(2027, 1, 6), "rang", tellings=tellings)
    case = replace(case_of(runner(), AGAIN % second), answers=(answer,))

    assert any(a.is_open for a in of(case, "2027-01-09")) is opens


def test_numbers_stay_while_the_log_only_grows() -> None:
    first = case_of(runner(), RAN)
    later = case_of(runner(), RAN[:-1] + ", {on: 2027-01-15, signs: [fainting]}]")
    old = {a.number: a.key for a in of(first, "2027-01-10")}
    new = {a.number: a.key for a in of(later, "2027-01-15") if a.matter != "silent_since_stop"}

    assert old.items() <= new.items() and len(new) == 3


def test_a_next_morning_told_late_moves_no_number_of_what_came_before_it() -> None:
    runs = [
        "{on: 2027-01-05, ran: 20 min, pain: {during: 2}}",
        "{on: 2027-01-07, ran: 20 min, pain: {during: 3}}",
        "{on: 2027-01-09, ran: 20 min, pain: {during: 3}}",
        "{on: 2027-01-10, signs: [limp]}",
        "{on: 2027-01-09, pain: {next_morning: 5}}",
        "{on: 2027-01-09, pain: {next_morning: 6}}",
    ]

    def numbers(runs: list[str]) -> dict[int, str]:
        read = read_log("".join(f"- {one}\n" for one in runs).encode(), "mara.log.yaml")
        case = replace(case_of(runner()), log=read.value or (), log_origins=read.origins)
        return {a.number: a.matter for a in of(case, "2027-01-12")}

    assert numbers(runs[:4]) == {1: "limp"}
    assert numbers(runs[:5]) == {1: "limp", 2: "pain_rise"}
    high = [*runs[:2], runs[2].replace("3}", "4}"), *runs[3:]]
    assert numbers(high[:4]) == numbers(high) == {1: "pain_rise", 2: "limp"}


def test_each_open_alarm_is_a_warning_of_the_plan_and_never_an_error() -> None:
    plan = expand(case_of(runner(), RAN), date(2027, 1, 13))
    codes = [p.level for p in plan.problems if p.code == "alarm"]

    assert codes == ["warning"] * len([a for a in plan.alarms if a.is_open]) != []


@settings(deadline=None)
@given(
    st.lists(
        st.tuples(st.integers(1, 4), st.integers(0, 10), st.sampled_from(["shin", "hip", ""])),
        max_size=20,
    )
)
def test_a_score_of_three_or_more_three_weeks_running_is_never_missed(
    told: list[tuple[int, int, str]],
) -> None:
    day, scores = MONDAY, []
    for gap, score, site in told:
        day += DAY * gap
        scores.append(Score(day, score, site))
    found = {t.site for t in trends(scores) if t.kind == "ask" and t.how == "weeks"}
    for site in ("shin", "hip", ""):
        weeks = {(s.on - MONDAY).days // 7 for s in scores if s.site == site and s.score >= 3}
        if any({n, n + 1, n + 2} <= weeks for n in weeks):
            assert site in found


@pytest.mark.parametrize(
    ("matter", "log", "as_of", "tells"),
    [
        ("limp", "[{on: 2027-01-05, ran: 20 min}]", "2027-01-10", True),
        ("limp", "[{on: 2027-01-05, ran: 20 min, signs: [limp]}]", "2027-01-10", False),
        ("limp", "[{on: 2027-01-05, ran: 20 min, signs: [limp]}]", "2027-01-04", False),
        ("fainting", "[{on: 2027-01-05, said: I fainted.}]", "2027-01-10", False),
        ("silent_since_stop", "[]", "2027-01-10", False),
    ],
)
def test_a_sign_that_was_answered_and_is_taken_out_of_the_log_is_told(
    matter: str, log: str, as_of: str, tells: bool
) -> None:
    answer = AlarmAnswer(matter, date(2027, 1, 5), date(2027, 1, 6), "rang")
    case = replace(case_of(runner(), log), answers=(answer,))

    found = [p for p in expand(case, date.fromisoformat(as_of)).problems if "gone" in p.code]

    assert [(p.code, p.level) for p in found] == [("answered-gone", "warning")] * tells
