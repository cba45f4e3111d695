"""Entries that can be read are read, whatever stands beside them: a stop waits for no mend."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sitegen.checkins.letters import Letter
from sitegen.checkins.salvage import kept_message, stop_entries
from sitegen.coach.roster import roster
from sitegen.coach.sheet import evening_sheet
from sitegen.model.alarm import AlarmAnswer
from sitegen.model.practice import Practice
from sitegen.plan.fold import expand
from sitegen.practice.answers import read_answers, with_answers
from sitegen.practice.lenient import lenient_case, lenient_log, lenient_practice
from sitegen.site.checking import check
from sitegen.site.plans import open_plans
from support import PRACTICE, tree

HOUSE = Practice.of_tree(tree(PRACTICE))
GOOD = b"""\
name: Mara Quist
screening: {on: 2026-12-01, regular_exercise: yes, known_disease: no, symptoms: no}
baseline: {on: 2027-01-01, cadence: 160 spm, week: 90 min, longest: 30 min}
week: {tue: {}, thu: {}, sun: {}}
plan: {from: 2027-01-04, weeks: 12}
"""
TODAY = date(2027, 1, 12)
SIGN = "- {on: 2027-01-11, ran: 20 min, signs: [chest_pain]}"


def status(log: str, client: bytes = GOOD, as_of: date = TODAY) -> str:
    case = lenient_case("mara", client, log.encode(), None, HOUSE, "clients")
    plan = expand(case, as_of)
    if plan.status == "referred":
        assert [s for s in plan.sessions if s.on >= as_of] == []
    return plan.status


@pytest.mark.parametrize(
    "log",
    [
        "- {on: 2027-01-11, ran: 30 minuts, said: I had blue lips.}",
        "said: I had blue lips.\n- {on: 2027-01-11",
        "- {on: 2027-01-11, ran: 30 minuts, said: " + "All well. " * 250 + "I had blue lips.}",
    ],
)
def test_the_coachs_own_words_beside_a_slip_stop(log: str) -> None:
    house = HOUSE.but(urgent_words=["blue lips"])
    case = lenient_case("mara", GOOD, log.encode(), None, house, "clients")

    assert expand(case, TODAY).status == "referred"


@pytest.mark.parametrize(
    "beside",
    [
        "- {on: 2027-13-40, ran: 20 min}",  # no date
        "- {on: 2027-01-05, ran: 20 miles}",
        "- {on: 2027-01-05, run: 20 min}",
        "- {on: 2027-01-05, pain: {during: 11}}",
        "- nothing at all",
    ],
)
@pytest.mark.parametrize("order", [0, 1])
def test_a_sign_beside_a_slip_stops(beside: str, order: int) -> None:
    lines = [beside, SIGN][:: 1 if order else -1]

    assert status("\n".join(lines)) == "referred"


@pytest.mark.parametrize(
    "entry",
    [
        "- {on: 2027-01-11, ran: 20 miles, signs: [chest_pain]}",
        "- {on: 11.1.2027, signs: [chest_pain]}",
        "- {on: 2027-01-11, signs: chest_pian}",
        "- {on: 2027-01-11, sings: [x], said: I passed out.}",
        "- {on: 2027-01-11, mood: bad, pain: {during: 9}}",
        "- {on: 2027-01-11, pain: 9/10}",
        "- on: 2027-01-11\n  signs: [chest_pain",  # no YAML at all
        "on: 2027-01-11, I had chest pain",
        "- {on: 2028-01-11, ran: 20 km, signs: [chest_pain]}",  # ahead, with a slip
    ],
)
def test_a_sign_in_an_entry_with_a_slip_stops(entry: str) -> None:
    assert status(entry) == "referred"


@pytest.mark.parametrize("client", [b"", b"name: [", b"nam: Mara\nplan: soon\n", b"- a list"])
def test_a_client_file_with_errors_stops_all_the_same(client: bytes) -> None:
    assert status(SIGN, client) == "referred"


def test_a_lift_that_can_be_read_still_lifts_and_no_sign_stops_nobody() -> None:
    lift = b"changes: [{on: 2027-01-12, lifts: chest_pain 2027-01-11, seen_by: X, because: y}]\n"

    assert status(SIGN, GOOD + lift + b"nonsense: 1\n") != "referred"
    assert status("- {on: 2027-01-11, ran: 20 miles}") != "referred"


LIFT = """\
changes:
  - {on: 2027-01-12, lifts: chest_pain 2027-01-11, seen_by: a cardiologist, because: ECG fine}
  - {week: 3, rest: yes, because: A fair}
"""


@pytest.mark.parametrize(
    "client",
    [
        GOOD.decode().replace("week: {tue", "\tweek: {tue") + LIFT,
        GOOD.decode() + LIFT.replace("  - {week", "\t- {week"),
        GOOD.decode() + LIFT + 'goal: {text: "never closed}\n',
        GOOD.decode().replace("symptoms: no}", "symptoms: no") + LIFT,  # a clinician's counts
    ],
)
def test_a_lift_that_is_sound_still_lifts_in_a_file_that_is_no_yaml(client: str) -> None:
    assert status(SIGN, client.encode()) != "referred"


@pytest.mark.parametrize(
    "client",
    [
        GOOD.decode() + LIFT.replace("  - {on", "\t- {on"),
        GOOD.decode() + LIFT.replace("because: ECG fine}", "because: ECG fine"),
        GOOD.decode() + LIFT.replace("  - {on", "  # - {on") + "\tx: 1\n",
        GOOD.decode() + "<<<<<<< ours\n" + LIFT + "=======\nchanges: []\n>>>>>>> theirs\n",
        GOOD.decode().replace("symptoms: no}", "symptoms: no") + LIFT.replace("a card", "me: card"),
    ],
)
def test_a_lift_of_which_it_cannot_be_told_lifts_nothing(client: str) -> None:
    assert status(SIGN, client.encode()) == "referred"


def test_of_an_unknown_screening_the_coachs_own_lift_lifts_nothing() -> None:
    lift = LIFT.replace("chest_pain", "limp").replace("a cardiologist", "me")
    limp = SIGN.replace("chest_pain", "limp")
    unread = GOOD.replace(b"symptoms: no}", b"symptoms: no")

    assert status(limp, unread + lift.encode()) == "referred"
    assert status(limp, GOOD + lift.encode() + b"\tx: 1\n") != "referred"


def test_a_slip_in_the_log_dates_no_old_sign_anew() -> None:
    log = f"{SIGN}\n- {{on: 2027-01-12, ran: 10 min}}\n\t- {{on: 2027-01-12, ran: 10 min}}\n"

    assert status(log, GOOD + LIFT.encode()) != "referred"
    assert status(log) == "referred"
    assert (
        status(log + '- {on: 2027-01-12, said: "I fainted}\n', GOOD + LIFT.encode()) == "referred"
    )


def test_check_says_which_lift_an_error_keeps_from_being_read(tmp_path: Path) -> None:
    (tmp_path / "practice.yaml").write_text(PRACTICE)
    (tmp_path / "mara.log.yaml").write_text(SIGN + "\n")
    client = GOOD.decode() + LIFT.replace("  - {on", "\t- {on")
    (tmp_path / "mara.yaml").write_text(client)

    told = check(tmp_path, (), TODAY, lambda *_: None)
    lift = next(p for p in told.problems if p.code == "lift-unread")

    assert lift.origin.line == 1 + client[: client.index("lifts:")].count("\n")
    assert lift.message == (
        "this lift of chest_pain can't be read for the errors of this file, so what it ended "
        "stops the plan again, and the page says so"
    )


SIGNS = st.sampled_from(["chest_pain", "limp", "fainting", "night_pain"])
SLIPS = st.sampled_from(
    [
        "- {on: yesterday, ran: 20 min}",
        "- {on: 2027-01-05, ran: lots}",
        "- {on: 2027-01-05, ran: 20 min, ran: 30 min}",
        "- {on: 2027-01-05, effort: 99}",
        "- on: [",
        "-",
        '- {on: 2027-01-05, said: "never closed}',
    ]
)


@settings(deadline=None)
@given(sign=SIGNS, slips=st.lists(SLIPS, max_size=4), at=st.integers(0, 4), day=st.integers(4, 11))
def test_one_entry_with_a_sign_among_slips_always_stops(
    sign: str, slips: list[str], at: int, day: int
) -> None:
    entry = f"- {{on: 2027-01-{day:02}, signs: [{sign}]}}"
    lines = [*slips[:at], entry, *slips[at:]]

    assert status("\n".join(lines)) == "referred"


@settings(deadline=None)
@given(st.binary(max_size=300))
def test_whatever_bytes_a_log_holds_reading_it_ends(data: bytes) -> None:
    lenient_log(data, "log")
    lenient_practice(data)


# --- what receive does with it ----------------------------------------------------------------


def test_what_stops_of_a_check_in_kept_aside_goes_into_the_log() -> None:
    ((entry, _),) = stop_entries("- on: 2027-01-11\n  ran: 3 miles\n  signs: [limp]\n", [], TODAY)

    assert (entry["on"], entry["signs"], entry["received"]) == (
        "2027-01-11",
        ["limp"],
        "2027-01-12",
    )
    assert stop_entries("- on: 2027-01-11\n  ran: 3 miles\n", [], TODAY) == ()


def test_a_sign_dated_ahead_counts_from_today() -> None:
    ((entry, _),) = stop_entries("- on: 2028-01-11\n  signs: [limp]\n", [], TODAY)

    assert entry["on"] == "2027-01-12"


def test_a_message_without_a_check_in_waits_under_its_day() -> None:
    name, text = kept_message(Letter("6.txt", ""), "I fainted", ("fainting",), TODAY)

    assert name.startswith("2027-01-12-") and text.endswith("\n\nI fainted\n")


# --- answers ----------------------------------------------------------------------------------

ANSWER = AlarmAnswer("chest_pain", date(2027, 1, 11), TODAY, 'She said: "fine", and #1', "Dr. Who")


def test_an_answer_is_written_below_what_is_there_and_read_back() -> None:
    first = with_answers(None, "a", [ANSWER])
    assert isinstance(first, str)
    second = with_answers(first, "a", [ANSWER._replace(because="again", seen_by=None)])
    assert isinstance(second, str) and second.startswith(first)
    found, problems = read_answers(second.encode(), "a")

    assert problems == ()
    assert [a[:5] for a in found] == [ANSWER[:5], (*ANSWER[:3], "again", None)]


@pytest.mark.parametrize(
    "text",
    [
        "- alarm: chest_pain",
        "a: b",
        "- x",
        "- {alarm: a 2027-01-01, on: soon, because: x}",
        "[",
        "- {alarm: a 2027-01-01, on: 2027-01-02, because: x, who: y}",
    ],
)
def test_a_slip_among_answers_is_a_warning_with_a_place(text: str) -> None:
    found, problems = read_answers(text.encode(), "clients/mara.alarms.yaml")

    assert found == () and problems
    assert {p.level for p in problems} == {"warning"}


@settings(deadline=None)
@given(st.text(max_size=80), st.text(max_size=40))
def test_any_words_of_an_answer_come_back_on_one_line(because: str, by: str) -> None:
    given = ANSWER._replace(because=f"x{because}", seen_by=f"y{by}")
    text = with_answers(None, "a", [given])
    assert isinstance(text, str)
    (found,) = read_answers(text.encode(), "a")[0]

    assert found.because.startswith("x") and "\n" not in found.because


SLIP = "- {on: 2027-01-11, ran: 30 min, effort: 44}\n"
IN_THE_LOG = (PRACTICE, f"{SIGN}\n{SLIP}")
IN_THE_PRACTICE = (f"{PRACTICE}accent: red\n", f"{SIGN}\n")


@pytest.mark.parametrize(("practice", "log"), [IN_THE_LOG, IN_THE_PRACTICE])
def test_beside_an_error_the_open_alarm_stands_first_in_check_roster_and_sheet(
    practice: str, log: str, tmp_path: Path
) -> None:
    (tmp_path / "practice.yaml").write_text(practice, "utf-8")
    (tmp_path / "mara.yaml").write_bytes(GOOD)
    (tmp_path / "mara.log.yaml").write_text(log, "utf-8")
    (tmp_path / "nils.yaml").write_bytes(GOOD.replace(b"Mara", b"Nils"))

    checked = check(tmp_path, (), TODAY, lambda *_: None).problems
    row = roster(open_plans(tmp_path, (), TODAY, lambda *_: None))[0]
    drawn = evening_sheet(tmp_path, TODAY).rows[0]

    assert checked[0].message == "alarm 1, now: chest pain was told on 2027-01-11"
    assert (row.id, row.reasons[0].kind) == ("mara", "urgent")
    assert (drawn.id, drawn.has_alarm) == ("mara", True)
    # Of somebody else who was asked for it says nothing.
    assert not [
        p for p in check(tmp_path, ("nils",), TODAY, lambda *_: None).problems if p.code == "alarm"
    ]
