"""A first talk becomes a file: three kinds of client, slips at the table, a form with mistakes."""

from __future__ import annotations

import json
import re
import shlex
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta
from pathlib import Path

import pytest
import yaml

from commands import sitegen
from sitegen import world
from sitegen.coach.client_file import BASELINE_LATER, SCHEMA, client_text, left_open
from sitegen.coach.form import read_form
from sitegen.coach.intake import intake
from sitegen.coach.interview import Prompt, interview
from sitegen.coach.question import Answer, Answers, NoAnswer, Question
from sitegen.coach.question_sheet import printed_sheet, sheet, sheet_parts
from sitegen.coach.questions import QUESTIONS, questions_for
from sitegen.model.client import DAYS, History
from sitegen.model.practice import Practice
from sitegen.practice.records import read_client
from sitegen.practice.schema import client_schema
from sitegen.rules import RULES
from support import plan_of

TODAY = date(2027, 1, 13)  # a Wednesday

BEGINNER = {
    "name": "Nia Sandoval",
    "goal": "half an hour without a stop",
    "born": "1985",
    "regular_exercise": "no",
    "known_disease": "no",
    "symptoms": "no",
    "cadence": "152 spm",
    "week": "0 min",
    "tue": "18:30, 50 min",
    "thu": "18:30, 50 min",
    "sat": "yes",
}
RACER = {
    "name": "Bram O'Konjo: the second",
    "called": "Bram",
    "goal": "A half marathon, #1",
    "event_on": "2027-05-16",
    "event_distance": "half marathon",
    "event_name": 'the "Lagoon" half',
    "born": "1983-02-28",
    "height": "5 ft 9 in",
    "regular_exercise": "yes",
    "known_disease": "no",
    "symptoms": "no",
    "cadence": "166 spm",
    "week": "2 h 50 min",
    "pace": "9:20 /mi",
    "longest": "1 h 10 min",
    "continuous": "1 h",
    "runs": "4",
    "race_distance": "10 km",
    "race_time": "54:10",
    "race_on": "2026-10-11",
    "mon": "20:00, 40 min, strength",
    "tue": "18:30, 1 h 10 min",
    "wed": "6:45",
    "thu": "1 h 10 min",
    "sun": "from 8:30 up to 2 h 30 min",
    "strength": "wed and thursday",
    "long": "Sunday",
    "growth": "8 %",
    "aim": "keep",
    "fuel": "yes",
    "fuel_cautions": "yes",
    "before": "40 min",
}
REFERRED = {
    "name": "Jonas Ferreira",
    "regular_exercise": "no",
    "known_disease": "yes",
    "symptoms": "yes",
    "knee": "yes",
    "mon": "yes",
    "fri": "yes",
}
CLIENTS = {"a beginner": BEGINNER, "a racer": RACER, "one to be seen first": REFERRED}


def talk(typed: Mapping[str, str]) -> tuple[Answers, dict[str, str]]:
    """An interview driven whole: the answers, and what was shown at each question."""
    conversation = interview(TODAY)
    shown: dict[str, str] = {}
    ask = next(conversation)
    try:
        while True:
            shown[ask.key] = "\n".join(ask.lines)
            ask = conversation.send(typed.get(ask.key, ""))
    except StopIteration as end:
        return end.value, shown


def after(*typed: str) -> Prompt:
    """What is asked once these were typed, one after the other."""
    conversation = interview(TODAY)
    ask = next(conversation)
    for one in typed:
        ask = conversation.send(one)
    return ask


# --- three kinds of client --------------------------------------------------------------------


@pytest.mark.parametrize("typed", CLIENTS.values(), ids=CLIENTS.keys())
def test_the_file_is_read_without_an_error_and_is_short(typed: Mapping[str, str]) -> None:
    answers, shown = talk(typed)
    text = client_text("runner", answers, TODAY)

    reading = read_client(text.encode(), "runner.yaml", frozenset(), RULES)
    assert [p for p in reading.problems if p.level == "error"] == []
    assert reading.value is not None and reading.value.name == typed["name"]
    assert len(text.splitlines()) <= 40
    assert set(typed) <= set(shown), "an answer was never asked for"


@pytest.mark.parametrize("typed", CLIENTS.values(), ids=CLIENTS.keys())
def test_each_field_has_a_comment_beside_it(typed: Mapping[str, str]) -> None:
    text = client_text("runner", talk(typed)[0], TODAY)

    first, *rest = text.splitlines()
    assert first == "# yaml-language-server: $schema=.schema.json"
    for line in rest:
        assert line.startswith("# ") or " # " in line


def test_a_beginner_is_not_asked_how_fast_and_how_far() -> None:
    answers, shown = talk(BEGINNER)

    assert not {"pace", "longest", "runs", "race_distance", "event_name", "cleared_on"} & set(shown)
    plan = plan_of(client_text("nia", answers, TODAY))
    assert plan.status == "active" and plan.weeks[0].number == 1
    assert plan.weeks[0].start == date(2027, 1, 18), "the next Monday"
    assert {s.on.weekday() for s in plan.sessions if s.is_run} <= {1, 3, 5}


def test_what_the_racer_said_is_what_the_file_says() -> None:
    client = yaml.load(client_text("bram", talk(RACER)[0], TODAY), Loader=yaml.BaseLoader)

    assert client["goal"] == {
        "text": "A half marathon, #1",
        "event": {"on": "2027-05-16", "distance": "half marathon", "name": 'the "Lagoon" half'},
    }
    assert client["week"] == {
        "mon": {"at": "20:00", "up_to": "40 min", "for": "strength"},
        "tue": {"at": "18:30", "up_to": "1 h 10 min"},
        "wed": {"at": "6:45", "for": ["run", "strength"]},
        "thu": {"up_to": "1 h 10 min", "for": ["run", "strength"]},
        "sun": {"at": "8:30", "up_to": "2 h 30 min"},
        "long": "sun",
    }
    assert client["plan"] == {"from": "2027-01-18", "weeks": "17", "growth": "8 %"}
    assert client["fuel"] == {"before": "40 min", "asked_on": "2027-01-13"}
    assert client["baseline"]["race"]["time"] == "54:10"


def test_the_plan_reaches_the_event_unless_told_otherwise() -> None:
    """Week 17 of a plan from 18 January ends on Sunday 16 May, the day of the event."""
    plan = plan_of(client_text("bram", talk(RACER)[0], TODAY))

    assert [s.on for s in plan.sessions if s.kind == "event"] == [date(2027, 5, 16)]


# --- the screening ----------------------------------------------------------------------------


def test_a_referral_is_said_at_once_and_the_file_is_written_all_the_same() -> None:
    answers, shown = talk(REFERRED)

    assert "SCREENING: REFERRED" in shown["knee"], "the question right after the screening"
    assert "call the emergency number" in shown["knee"]
    plan = plan_of(client_text("jonas", answers, TODAY), as_of="2027-02-01")
    assert plan.status == "referred" and plan.sessions == ()


def test_who_is_referred_is_not_asked_what_can_wait() -> None:
    """No step rate, no kilometres, no collagen: a baseline is taken after the clearance."""
    answers, shown = talk(REFERRED)
    text = client_text("jonas", answers, TODAY)

    assert not {"counted_on", "cadence", "week", "growth", "aim", "fuel"} & shown.keys()
    assert re.search(r"cadence: 160 spm +# stands in: taken after the clearance\n", text)
    assert re.search(r"aim: keep +# until a step rate is counted\n", text)
    assert text.endswith(f"# {BASELINE_LATER}\n")
    cleared = talk(
        {
            **BEGINNER,
            "symptoms": "yes",
            "cleared_on": "2027-01-13",
            "cleared_by": "a doctor",
            "cleared_for": "all",
        }
    )[1]
    assert {"cadence", "week", "fuel"} <= cleared.keys()


@pytest.mark.parametrize(
    ("told", "now"),
    [({"pain_now": "tight across the chest on stairs"}, True),
     ({"pain_now": "heel 7 of 10"}, False),
     ({"pregnant": "yes"}, False), ({"fainted": "yes"}, False), ({"medicines": "insulin"}, False)],
)  # fmt: skip
def test_what_came_before_refers_as_the_three_questions_do(told: dict[str, str], now: bool) -> None:
    """Whoever it sends to a clinician is asked no minutes; nothing calm stands above that."""
    typed = {key: text for key, text in BEGINNER.items() if key not in ("cadence", "week")}
    answers, shown = talk({**typed, **told})
    said = "\n".join(shown.values()).split("SCREENING: ")

    assert said[-1].startswith("REFERRED") and ("can't wait" in said[-1]) is now
    assert ("nothing in these" in said[1]) is ("pain_now" not in told)  # as far as asked by then
    assert not {"counted_on", "cadence", "week", "growth", "aim", "fuel"} & shown.keys()
    assert client_text("nia", answers, TODAY).endswith(f"# {BASELINE_LATER}\n")


def test_who_is_cleared_of_what_came_before_is_asked_for_a_baseline() -> None:
    cleared = {"cleared_on": "2027-01-13", "cleared_by": "a doctor", "cleared_for": "easy"}
    shown = talk({**BEGINNER, "pregnant": "yes", **cleared})[1]

    assert {"cadence", "week"} <= shown.keys()
    assert "SCREENING: easy running only" in "\n".join(shown.values())


def test_what_is_known_of_a_referred_runner_is_taken_from_a_form() -> None:
    known = {"cadence": "156 spm", "week": "40 min", "pace": "7:10 /km", "longest": "20 min",
             "runs": "2"}  # fmt: skip
    answers = read_form(form({**REFERRED, **known}).encode(), "form.yaml", TODAY)

    assert isinstance(answers, Mapping)
    text = client_text("jonas", answers, TODAY)
    assert "cadence: 156 spm" in text and "week: 40 min" in text
    assert text.count("stands in") == 1, "the day alone was not said"


@pytest.mark.parametrize(
    ("exercise", "disease", "symptoms", "cleared", "says"),
    [
        ("no", "no", "no", "", "nothing in these three answers stands against a start"),
        ("yes", "no", "no", "", "nothing in these three answers stands against a start"),
        ("yes", "yes", "no", "", "easy running only"),
        ("no", "yes", "no", "", "REFERRED"),
        ("yes", "no", "yes", "", "REFERRED"),
        ("no", "yes", "yes", "2027-01-13", "nothing in these three answers stands against a start"),
    ],
)
def test_the_screening_follows_the_three_questions(
    exercise: str, disease: str, symptoms: str, cleared: str, says: str
) -> None:
    """The table of the rule `screening`, after Riebe et al. 2015."""
    typed = {**BEGINNER, "regular_exercise": exercise, "known_disease": disease,
             "symptoms": symptoms, "cleared_on": cleared,
             "cleared_by": "a doctor", "cleared_for": "all"}  # fmt: skip

    assert says in talk(typed)[1]["knee"]


def test_nobody_may_say_that_the_three_questions_are_not_known() -> None:
    ask = after("Nia", "", "", "", "", "", "", "", "", "don't know")

    assert ask.key == "regular_exercise"
    assert ask.lines[0] == "  this answer is needed"
    assert "\n".join(ask.lines).count("yes or no; in doubt, no") == 1, "the hint stands once"


# --- at the table -----------------------------------------------------------------------------


def test_a_slip_is_told_at_once_with_its_mend() -> None:
    ask = after("Nia", "", "", "", "16.5.2027")

    assert ask.key == "event_on"
    assert '"16.5.2027" is not a date (write year-month-day, like 2027-01-18)' in ask.lines[0]


def test_back_goes_one_question_back() -> None:
    assert after("Nia", "").key == "language"
    assert after("Nia", "", "back").key == "called"
    assert after("Nia", "", "back", "back").key == "name"
    assert "first question" in after("back").lines[0]


def test_a_changed_answer_changes_what_is_asked_next() -> None:
    assert after("Nia", "", "", "", "2027-05-16").key == "event_distance"
    assert after("Nia", "", "", "", "2027-05-16", "back", "none at all").key == "event_on"
    assert after("Nia", "", "", "", "2027-05-16", "back", "no").key == "pain_now"
    assert after("Nia", "", "", "", "2027-05-16", "back", "don't know").key == "pain_now"


@pytest.mark.parametrize(
    "word", ["don't know", "don’t know", "Do not know", "?", "-", "", "not known"]
)
def test_what_is_optional_takes_dont_know(word: str) -> None:
    born = next(q for q in QUESTIONS if q.key == "born")

    assert born.read(word, {}, TODAY) == Answer("")


def slips(question: str, typed: str, **earlier: str) -> str:
    """What is said to an answer, after these earlier ones."""
    answers: dict[str, Answer] = {}
    for q in QUESTIONS:
        if q.key == question:
            found = q.read(typed, answers, TODAY)
            return str(found) if isinstance(found, NoAnswer) else ""
        if q.key in earlier:
            read = q.read(earlier[q.key], answers, TODAY)
            assert isinstance(read, Answer), read
            answers[q.key] = read
    raise AssertionError(question)


def test_an_answer_is_held_against_those_before_it() -> None:
    assert "is past" in slips("event_on", "2026-05-16")
    assert "over the longest run, 30 min" in slips("continuous", "40 min", longest="30 min")
    assert "somebody who runs" in slips("longest", "0 min", week="30 min")
    assert "the event is before that" in slips("from", "2027-06-01", event_on="2027-05-16")
    assert "below the client's own" in slips("aim", "150 spm", cadence="160 spm")
    assert "no day of the week is for running" in slips("sun", "rest", sat="30 min, strength")
    assert "no run can be on Monday (write tue or sun)" in slips(
        "long", "mon", tue="yes", sun="yes"
    )
    assert "Friday is no running day" in slips("strength", "fri", tue="yes")
    assert "has not come yet" in slips("counted_on", "2027-01-14")
    assert slips("before", "20 min") == '"20 min" is out of range (write 30 min to 60 min)'
    assert "double it" in slips("cadence", "79 spm")
    assert "30 s, take it times 4" in slips("cadence", "39 spm"), "as the question sheet asks"


@pytest.mark.parametrize(
    ("typed", "file"),
    [
        ("18:30, 45 min", "{at: 18:30, up_to: 45 min}"),
        ("18:30 45 min", "{at: 18:30, up_to: 45 min}"),
        ("from 6:00", "{at: 6:00}"),
        ("up to 1 h 30 min", "{up_to: 1 h 30 min}"),
        ("45 min strength", "{up_to: 45 min, for: strength}"),
        ("strength", "{for: strength}"),
        ("yes", "yes"),
        ("rest", None),
        ("", None),
        ("don't know", None),
    ],
)
def test_a_day_is_said_in_few_words(typed: str, file: str | None) -> None:
    answers, _ = talk({**BEGINNER, "mon": typed})
    rows = client_text("nia", answers, TODAY).splitlines()

    assert [r.split(" # ")[0].strip() for r in rows if r.startswith("  mon:")] == (
        [f"mon: {file}"] if file else []
    )


@pytest.mark.parametrize("typed", ["18.30", "45", "25:00", "evening", "18:30, 45", "18:30 both"])
def test_a_day_that_can_mean_two_things_is_asked_again(typed: str) -> None:
    assert slips("mon", typed)


# --- what is said at a table, and not written in a form ---------------------------------------


def test_a_number_without_its_unit_is_taken_where_there_is_one_unit_alone() -> None:
    answers, _ = talk({**BEGINNER, "week": "0", "cadence": "152", "growth": "8", "aim": "160"})

    assert {k: answers[k].text for k in ("week", "cadence", "growth", "aim")} == {
        "week": "0 min", "cadence": "152 spm", "growth": "8 %", "aim": "160 spm",
    }  # fmt: skip
    conversation = interview(TODAY)
    ask = next(conversation)
    while ask.key != "week":
        ask = conversation.send(BEGINNER.get(ask.key, ""))
    assert conversation.send("2").key == "week", "hours to one, minutes to another"


def test_who_never_ran_knows_no_step_rate_and_nothing_is_built_on_one() -> None:
    answers, shown = talk({**BEGINNER, "cadence": "don't know"})
    text = client_text("nia", answers, TODAY)

    assert "aim" not in shown
    assert re.search(r"cadence: 160 spm +# stands in: common practice, no source", text)
    assert re.search(r"aim: keep +# until a step rate is counted\n", text)
    plan = plan_of(text)
    assert plan.status == "active" and {week.cadence.aim for week in plan.weeks} == {160}
    assert slips("cadence", "don't know", week="40 min").startswith("this answer is needed")


@pytest.mark.parametrize("word", ["sí", "si", "Sí"])
def test_a_yes_may_be_spanish(word: str) -> None:
    answers, _ = talk({**BEGINNER, "language": "es", "regular_exercise": word})

    assert answers["regular_exercise"].value is True
    assert "regular_exercise: yes" in client_text("nia", answers, TODAY)


def test_a_year_is_no_name() -> None:
    assert slips("called", "1985") == '"1985" is no name (write it with letters, like Mara)'
    assert after("Nia", "").key == "language"


def test_what_there_is_not_is_an_answer_and_not_left_open() -> None:
    typed = {**BEGINNER, "pain_now": "no", "height": "don't know", "goal": "none"}
    answers, _ = talk(typed)

    assert not {"pain_now", "goal"} & set(left_open(answers)) and "height" in left_open(answers)
    assert "goal:" not in client_text("nia", answers, TODAY)


@pytest.mark.parametrize(("born", "asked"), [("1966-12-31", False), ("1968", True), ("", True)])
def test_at_sixty_nobody_is_asked_about_births(born: str, asked: bool) -> None:
    """60 years: common practice, no source."""
    answers, shown = talk({**BEGINNER, "born": born})

    assert ({"pregnant", "gave_birth", "missed_periods"} <= shown.keys()) is asked
    assert ("pregnant" in left_open(answers)) is asked


def test_medicines_may_be_named_as_they_are_said() -> None:
    answers, shown = talk({**BEGINNER, "medicines": "heart rate, blood_thinner"})

    assert "blood pressure, heart rate" in shown["medicines"]
    text = client_text("nia", answers, TODAY)
    assert "medicines: [heart_rate, blood_thinner]" in text


# --- what came before -------------------------------------------------------------------------


def test_the_health_history_is_asked_and_what_does_not_apply_is_left_out() -> None:
    """Each field of ``history`` is asked for right after the screening, and none is guessed."""
    typed = {**BEGINNER, "injury": "left shin, in autumn", "pain_now": "no", "surgery": "none",
             "medicines": "insulin, steroids", "pregnant": "no"}  # fmt: skip
    answers, shown = talk(typed)
    text = client_text("nia", answers, TODAY)
    client = yaml.load(text, Loader=yaml.BaseLoader)

    assert set(History.ROWS) - {"on"} <= shown.keys()
    assert client["history"] == {
        "on": "2027-01-13",
        "injury": "left shin, in autumn",
        "pregnant": "no",
        "medicines": ["insulin", "steroids"],
    }
    assert "history" not in talk(BEGINNER)[0]
    assert "history:" not in client_text("nia", talk(BEGINNER)[0], TODAY)
    assert "write blood_pressure, heart_rate" in slips("medicines", "insulin, zinc")


def test_the_talk_on_health_begins_with_what_hurts_now() -> None:
    health = [q.key for q in QUESTIONS if q.section == "Before anything else: health"]

    assert health[0] == "pain_now"


def test_a_child_a_heart_and_a_pregnancy_are_never_passed_over() -> None:
    """Who does not know them is told so by name, in the file and at the end of the talk."""
    matter = ("born", "pregnant", "fainted", "sudden_death_in_family")
    known = {**BEGINNER, "born": "1984", "pregnant": "no", "fainted": "no"}
    for answered in (BEGINNER, known):
        answers, _ = talk(answered)
        unknown = [key for key in matter if not answers[key].known]

        assert [key for key in left_open(answers) if key in matter] == unknown
        assert unknown[-1] == "sudden_death_in_family"


def test_what_is_private_is_asked_of_the_coach_alone() -> None:
    private = next(q for q in QUESTIONS if q.key == "private")
    text = client_text("nia", talk({**BEGINNER, "private": "works nights"})[0], TODAY)

    assert private.asks and not private.sheet
    assert re.search(r"private: works nights +# your own notes; never shown", text)


# --- fuel -------------------------------------------------------------------------------------


def test_the_cautions_stand_on_the_screen_of_the_question() -> None:
    _, shown = talk(RACER)

    for caution in ("kidney", "iron", "pregnant", "under 18", "blood thinners", "allergy",
                    "phenylketonuria", "tested sport", "Weak evidence"):  # fmt: skip
        assert caution in shown["fuel_cautions"]
    assert "fuel_cautions" not in talk(BEGINNER)[1], "not wanted, not shown"


@pytest.mark.parametrize("word", ["", "don't know"])
def test_the_cautions_take_nothing_but_a_word(word: str) -> None:
    """Enter is no consent."""
    assert "this answer is needed" in slips("fuel_cautions", word)


def test_fuel_stays_off_where_a_caution_holds() -> None:
    answers, _ = talk({**RACER, "fuel_cautions": "no"})

    assert "fuel:" not in client_text("bram", answers, TODAY)


# --- the questions themselves -----------------------------------------------------------------


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda q: q.key)
def test_each_example_is_an_answer_that_is_taken(question: Question) -> None:
    read = question.read(question.example, {}, TODAY, alone=True)

    assert isinstance(read, Answer) and read.known
    assert question.example in question.how or question.how.startswith(("yes or no", "year-month"))


def test_each_measure_tells_its_unit_and_bounds() -> None:
    for question in QUESTIONS:
        if question.example[0].isdigit() and question.key not in DAYS:
            assert any(c.isdigit() for c in question.how), question.key
            bounds = ("from", "between", "at most", "%", "to ", "not after", "up to")
            assert any(word in question.how for word in bounds), question.key


# --- a file of answers ------------------------------------------------------------------------


def form(answers: Mapping[str, str]) -> str:
    return "".join(f"{key}: {json.dumps(text)}\n" for key, text in answers.items())


@pytest.mark.parametrize("typed", CLIENTS.values(), ids=CLIENTS.keys())
def test_a_form_gives_the_same_file_as_the_talk(typed: Mapping[str, str]) -> None:
    answers = read_form(form(typed).encode(), "form.yaml", TODAY)

    assert isinstance(answers, Mapping)
    assert client_text("x", answers, TODAY) == client_text("x", talk(typed)[0], TODAY)


def test_a_remark_beside_a_day_says_no_hour_again() -> None:
    """`set` changes the field alone, and the remark would then tell the hour of before."""
    days = [line for line in client_text("x", talk(RACER)[0], TODAY).splitlines() if "at: " in line]

    assert days and not any(re.search(r"\d", line.partition("#")[2]) for line in days), days


def test_lists_and_maps_are_taken_as_they_would_be_typed() -> None:
    text = form({k: v for k, v in RACER.items() if k not in ("strength", "tue")})
    text += "strength: [wed, thu]\ntue: {at: 18:30, up_to: 1 h 10 min}\n"

    answers = read_form(text.encode(), "form.yaml", TODAY)

    assert isinstance(answers, Mapping)
    assert client_text("x", answers, TODAY) == client_text("x", talk(RACER)[0], TODAY)


def test_five_mistakes_have_five_places() -> None:
    text = """\
name: Mara Quist
borne: 1984
regular_exercise: yes
known_disease: perhaps
symptoms: no
cadence: 158
week: 70 min
pace: 6:45 /km
longest: 32 min
continuous: 40 min
runs: 3
tue: 18:30, 45 min
sun: 9.00
"""
    problems = read_form(text.encode(), "mara-form.yaml", TODAY)

    assert isinstance(problems, tuple)
    assert [str(p) for p in problems] == [
        'mara-form.yaml:2:1: error: there is no question "borne" (did you mean born?) '
        "[unknown-key]",
        'mara-form.yaml:4:16: error: "perhaps" is not yes or no (write yes or no) [yes-no-form]',
        'mara-form.yaml:6:10: error: "158" is not a cadence (write the unit too, like 158 spm) '
        "[cadence-form]",
        "mara-form.yaml:10:13: error: 40 min is over the longest run, 32 min (the longest run "
        "without a walk is at most that) [baseline-continuous]",
        'mara-form.yaml:13:6: error: "9.00" is not a duration (write the unit too, like 9.00 min) '
        "[duration-form]",
    ]


def test_what_is_missing_is_told_with_what_to_add() -> None:
    problems = read_form(b"name: Mara Quist\nsymptoms: no\n", "form.yaml", TODAY)

    assert isinstance(problems, tuple)
    missing = {p.hint for p in problems if p.code == "missing"}
    assert missing == {
        "add regular_exercise: yes, or regular_exercise: no",
        "add known_disease: yes, or known_disease: no",
        "add week: 60 min",
    }
    assert all(p.origin.line == 1 for p in problems if p.code == "missing")
    listed = {k: v for k, v in RACER.items() if k != "symptoms"}
    unasked = read_form(form(listed).encode(), "form.yaml", TODAY)
    assert isinstance(unasked, tuple)
    assert [p.message for p in unasked] == ['"symptoms" is missing: any of these, now or lately?']
    left_empty = read_form(form({**BEGINNER, "known_disease": ""}).encode(), "form.yaml", TODAY)
    assert isinstance(left_empty, tuple)
    assert [str(p) for p in left_empty] == [
        "form.yaml:5:16: error: this answer is needed (write yes or no; in doubt, yes) "
        "[answer-needed]"
    ]
    assert "no-run-day" in {p.code for p in problems}


@pytest.mark.parametrize("text", ["", "- name: Mara", "name: [", "\tname: x", "name: *a"])
def test_a_form_that_is_none_is_a_problem_with_a_place(text: str) -> None:
    problems = read_form(text.encode(), "form.yaml", TODAY)

    assert isinstance(problems, tuple) and problems
    assert all(p.origin.file == "form.yaml" for p in problems)


def test_an_answer_to_a_question_that_is_not_asked_is_told() -> None:
    problems = read_form(form({**BEGINNER, "pace": "6:45 /km"}).encode(), "form.yaml", TODAY)

    assert isinstance(problems, tuple)
    assert [p.code for p in problems] == ["answer-unasked"]


# --- on disk ----------------------------------------------------------------------------------


@pytest.fixture
def clients(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    folder = Path("clients")
    folder.mkdir()
    (folder / "practice.yaml").write_text(
        "{name: Lane Four Running, contact: coach@example.org, timezone: Europe/Lisbon}\n"
    )
    return folder


def files(folder: Path) -> dict[str, bytes]:
    return {p.name: p.read_bytes() for p in folder.iterdir()}


def never(text: str) -> str:
    raise AssertionError("nothing may be asked")


def typing(typed: Mapping[str, str], questions: Sequence[Question] = QUESTIONS) -> Iterator[str]:
    """What a coach types, question by question, at a keyboard that does not see the questions."""
    conversation = interview(TODAY, questions)
    ask = next(conversation)
    while True:
        answer = typed.get(ask.key, "")
        yield answer
        try:
            ask = conversation.send(answer)
        except StopIteration:
            return


def test_a_whole_talk_writes_the_file_and_the_schema(clients: Path) -> None:
    keys = typing(RACER)
    said: list[str] = []
    done = intake("bram", clients, ask=lambda _: next(keys), say=said.append, as_of=TODAY)

    assert (done.status, [p for p in done.problems if p.level == "error"]) == (0, [])
    assert done.lines[0] == "clients/bram.yaml is written."
    says = "Next: sitegen check bram, then sitegen build, and sitegen link bram for the link."
    assert done.lines[-1] == says
    assert any(line.startswith("SCREENING: nothing") for line in done.lines)
    text = (clients / "bram.yaml").read_text()
    assert text == client_text("bram", talk(RACER)[0], TODAY)
    assert json.loads((clients / SCHEMA).read_text()) == client_schema()
    assert max(map(len, said)) <= 80, "fits a terminal"


def test_each_date_that_nobody_typed_is_told_at_the_end(clients: Path) -> None:
    keys = typing(BEGINNER)
    done = intake("nia", clients, ask=lambda _: next(keys), say=lambda _: None, as_of=TODAY)

    assumed = [line for line in done.lines if line.startswith("Assumed: ")]
    for line in (
        "Assumed: screened_on: 2027-01-13",
        "Assumed: counted_on: 2027-01-13",
        "Assumed: from: 2027-01-18",
    ):
        assert line in assumed
    unknown = "pregnant, fainted, sudden_death_in_family"
    assert f"Not known, and it decides who sees a clinician first: {unknown}." in done.lines
    keys = typing({**BEGINNER, "screened_on": "2027-01-11", "from": "2027-01-25"})
    typed = intake("mara", clients, ask=lambda _: next(keys), say=lambda _: None, as_of=TODAY)
    told = "\n".join(typed.lines)
    assert "screened_on" not in told and "Assumed: from" not in told


def test_a_group_is_asked_for_where_the_practice_has_some(clients: Path) -> None:
    house = clients / "practice.yaml"
    house.write_text(house.read_text().replace("}", ", groups: {spring-half: {}, new: {}}}"))
    questions = questions_for(("spring-half", "new"))
    keys, said = typing({**BEGINNER, "group": "new"}, questions), list[str]()
    done = intake("nia", clients, ask=lambda _: next(keys), say=said.append, as_of=TODAY)

    assert done.status == 0, done.problems
    assert "  spring-half or new" in said
    assert "group: new " in (clients / "nia.yaml").read_text()
    assert "group" not in {q.key for q in questions_for(())}

    wrong = Path("form.yaml")
    wrong.write_text(form({**BEGINNER, "group": "old"}))
    refused = intake("mara", clients, ask=never, say=print, answers_file=wrong, as_of=TODAY)
    (problem,) = refused.problems
    assert refused.status == 1 and "spring-half or new" in problem.hint


def test_a_file_that_is_there_is_never_overwritten(clients: Path) -> None:
    (clients / "bram.yaml").write_text("mine\n")
    before = files(clients)

    done = intake("bram", clients, ask=never, say=print, as_of=TODAY)

    assert done.status == 1
    assert [str(p) for p in done.problems] == [
        "clients/bram.yaml:1:1: error: this file is there already, and is left as it is "
        "(change it in an editor, or take another id) [client-there]"
    ]
    assert files(clients) == before


def test_nor_where_it_comes_while_the_talk_goes_on(clients: Path) -> None:
    keys = typing(BEGINNER)

    def ask(_: str) -> str:
        (clients / "nia.yaml").write_text("somebody else's\n")
        return next(keys)

    done = intake("nia", clients, ask=ask, say=lambda _: None, as_of=TODAY)

    assert done.status == 1
    assert (clients / "nia.yaml").read_text() == "somebody else's\n"


@pytest.mark.parametrize("broken_off", [KeyboardInterrupt, EOFError])
def test_a_talk_broken_off_writes_nothing(clients: Path, broken_off: type[BaseException]) -> None:
    keys = typing(RACER)
    left = iter(range(12))
    before = files(clients)

    def ask(_: str) -> str:
        if next(left, None) is None:
            raise broken_off
        return next(keys)

    done = intake("bram", clients, ask=ask, say=lambda _: None, as_of=TODAY)

    assert (done.status, done.lines, done.problems) == (1, ("Nothing was written.",), ())
    assert files(clients) == before


def test_a_form_with_a_mistake_writes_nothing(clients: Path) -> None:
    Path("form.yaml").write_text(form({**BEGINNER, "cadence": "152 km"}))
    before = files(clients)

    done = intake("nia", clients, ask=never, say=print, answers_file=Path("form.yaml"), as_of=TODAY)

    assert done.status == 1
    assert [p.origin.file for p in done.problems] == ["form.yaml"]
    assert files(clients) == before


def test_a_form_is_enough(clients: Path) -> None:
    Path("form.yaml").write_text(form(BEGINNER))

    done = intake("nia", clients, ask=never, say=print, answers_file=Path("form.yaml"), as_of=TODAY)

    assert done.status == 0, done.problems
    assert (clients / "nia.yaml").exists()


def test_an_answer_after_the_screening_that_stops_is_said_at_the_end(clients: Path) -> None:
    Path("form.yaml").write_text(form({**BEGINNER, "pain_now": "tight across the chest on stairs"}))

    done = intake("nia", clients, ask=never, say=print, answers_file=Path("form.yaml"), as_of=TODAY)

    assert (clients / "nia.yaml").exists()
    assert any(line.startswith("NOT YET: nothing is planned for nia, ") for line in done.lines)
    how = done.lines[-1]
    assert how.startswith("Once one has said so: ")
    words = shlex.split(how.partition("sitegen ")[2].replace("DATE", str(TODAY)))
    here = clients.resolve().parent
    assert sitegen(*words, "--yes", "--as-of", str(TODAY), cwd=here).returncode == 0
    plan = sitegen("weeks", "nia", "--as-of", str(TODAY), "--json", cwd=here)
    assert json.loads(plan.stdout)["status"] == "active", "the command that is named mends it"
    Path("form.yaml").write_text(form(BEGINNER))
    calm = intake("mia", clients, ask=never, say=print, answers_file=Path("form.yaml"), as_of=TODAY)
    assert calm.status == 0 and not any("NOT YET" in line for line in calm.lines)


@pytest.mark.parametrize(
    ("told", "is_asked"),
    [
        ({"gave_birth": str(TODAY - timedelta(weeks=6))}, True),
        ({"gave_birth": str(TODAY - timedelta(weeks=60))}, False),
        ({"concussion": str(TODAY - timedelta(weeks=6))}, True),
        ({"medicines": "insulin"}, True),
        ({"injury": "left shin"}, False),
    ],
)
def test_a_clearance_is_asked_for_after_what_asks_for_a_clinician(
    told: dict[str, str], is_asked: bool
) -> None:
    """The rule `history`: what it stops for, and nothing else."""
    word = {"cleared_on": str(TODAY), "cleared_by": "her doctor", "cleared_for": "easy"}
    assert (word.keys() <= talk({**BEGINNER, **told, **word})[1].keys()) is is_asked
    answers = read_form(form({**BEGINNER, **told, **word}).encode(), "form.yaml", TODAY)
    if is_asked:
        assert isinstance(answers, Mapping) and word.keys() <= answers.keys()
        assert f"cleared_on: {TODAY}" in client_text("nia", answers, TODAY)
    else:
        assert isinstance(answers, tuple) and {p.code for p in answers} == {"answer-unasked"}


def test_after_a_recent_birth_the_way_back_is_named_beside_the_clearance(clients: Path) -> None:
    """With the clearance alone she would begin as any new runner does, and not by its steps."""
    born = str(TODAY - timedelta(weeks=6))
    Path("form.yaml").write_text(form({**BEGINNER, "gave_birth": born}))
    done = intake("nia", clients, ask=never, say=print, answers_file=Path("form.yaml"), as_of=TODAY)
    way = done.lines[-1].partition("nia.yaml: ")[2]
    assert way == "return: {after: birth, cleared_on: DATE, by: WHO}"

    with (clients / "nia.yaml").open("a") as file:
        file.write(way.replace("DATE", str(TODAY)).replace("WHO", "her doctor") + "\n")
    here = clients.resolve().parent
    plan = sitegen("weeks", "nia", "--as-of", str(TODAY), "--json", cwd=here)
    assert json.loads(plan.stdout)["weeks"][0]["kind"] == "return"


def test_the_language_is_asked_for_and_is_the_practices_where_nothing_is_typed() -> None:
    asked = after("Nia Sandoval", "")
    assert asked.key == "language" and "[the practice's]" in "\n".join(asked.lines)
    spanish, usual = (talk(BEGINNER | {"language": typed})[0] for typed in ("es", ""))

    assert yaml.load(client_text("nia", spanish, TODAY), yaml.BaseLoader)["language"] == "es"
    assert "language" not in yaml.load(client_text("nia", usual, TODAY), yaml.BaseLoader)


def test_a_start_long_past_is_told_in_words_for_the_coach(clients: Path) -> None:
    began = {"screened_on": "2026-10-01", "counted_on": "2026-10-01", "from": "2026-10-05"}
    Path("form.yaml").write_text(form({**BEGINNER, **began, "regular_exercise": "yes"}))
    how = ("--clients", "clients", "--answers", "form.yaml", "--as-of")

    done = sitegen("intake", "nia", *how, "2027-01-13", cwd=Path.cwd())
    assert done.returncode == 0, done.stderr
    assert "the plan began on 2026-10-05, and no check-in since is in nia.log.yaml" in done.stdout
    assert "a word from you" not in done.stdout + done.stderr, "that is said to a client"
    first = sitegen("intake", "mia", *how, "2026-10-04", cwd=Path.cwd())
    assert first.returncode == 0 and "NOT YET" not in first.stdout


@pytest.mark.parametrize("id", ["practice", "Mara", "mara.q", "", "../mara", "a" * 41, "con"])
def test_an_id_that_can_be_none_is_wrong_usage(clients: Path, id: str) -> None:
    done = intake(id, clients, ask=never, say=print, as_of=TODAY)

    assert done.status == 2
    assert [p.code for p in done.problems] == ["client-id"]


def test_without_a_folder_nothing_begins(tmp_path: Path) -> None:
    done = intake("mara", tmp_path / "nowhere", ask=never, say=print, as_of=TODAY)

    assert done.status == 1
    assert "there is no folder" in done.problems[0].message


# --- the sheet --------------------------------------------------------------------------------


def test_the_sheet_asks_what_a_client_can_answer_and_loads_nothing() -> None:
    practice = Practice.of_tree(
        {
            "name": "Lane & Four",
            "contact": "coach@example.org",
            "timezone": "UTC",
            "emergency": "112",
        }
    )
    page = sheet(practice, world.read_templates())

    for question in QUESTIONS:
        if question.sheet:
            assert question.sheet.split("'")[0].split("(")[0].strip() in page
    assert "Lane &amp; Four" in page and "112" in page
    assert "<script" not in page and "http" not in page and "url(" not in page
    assert "collagen" not in page.lower(), "only face to face, with its cautions"
    assert page.startswith("<!doctype html>\n<html lang=")


def test_the_sheet_speaks_the_clients_language_or_says_which_there_are(clients: Path) -> None:
    page = printed_sheet(clients, "es-MX")
    assert '<html lang="es">' in page and "¿Estás embarazada?" in page and "Miércoles" in page
    english = printed_sheet(clients)
    assert {part.heading for part in sheet_parts() if part.heading in page} == set()
    assert [q.key for q in QUESTIONS if q.sheet in english and q.sheet and q.sheet in page] == []
    house = clients / "practice.yaml"
    house.write_text(house.read_text().replace("{", "{language: es, "))
    assert printed_sheet(clients) == page and printed_sheet(clients, "en") == english
    with pytest.raises(world.Refused, match="there are en, es"):
        printed_sheet(clients, "fr")


def test_the_sheet_carries_the_practices_name(clients: Path) -> None:
    assert "Lane Four Running, coach@example.org" in printed_sheet(clients)
