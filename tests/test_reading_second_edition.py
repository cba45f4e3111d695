"""Fields of the second edition: read as they were written, and slips told with their place."""

from __future__ import annotations

from datetime import date, time

import pytest

from sitegen.model.client import Day
from sitegen.model.values import Duration
from sitegen.practice.records import read_log, read_practice
from test_reading import BEGINNER, client, good, said

SECOND = BEGINNER.replace("weeks: 12}", "weeks: 12, enough: 3 h, runs: 3}").replace(
    "symptoms: no}", "symptoms: no, cleared_for: easy, cleared_by: the family doctor}"
)


def test_fields_of_the_second_edition_are_read() -> None:
    theo = client(
        SECOND
        + "away: [{from: 2027-04-01, to: 2027-04-07, because: skiing}]\n"
        + "weeks_on: {2027-04-12: {mon: yes, sat: {at: 9:00}}}\n"
        + "history: {injury: left shin, medicines: blood_pressure, surgery: 2026-10-01}\n"
        + "return: {after: long-absence, cleared_on: 2027-03-01, by: the family doctor}\n"
        + "emergency: '112'\nprivate: Ask about work.\ncheckins: none\n"
        + "changes:\n- {on: 2027-03-20, session: hills-short, because: ready}\n"
        + "- {on: 2027-03-21, lifts: limp 2027-03-19, seen_by: a physiotherapist, because: seen}\n"
    )

    assert theo.plan.enough == Duration(3 * 3600)
    assert theo.plan.runs == 3
    assert (theo.screening.cleared_for, theo.screening.cleared_by) == ("easy", "the family doctor")
    assert [(a.from_, a.to, a.because) for a in theo.away] == [
        (date(2027, 4, 1), date(2027, 4, 7), "skiing")
    ]
    odd = theo.weeks_on[date(2027, 4, 12)]
    assert odd.mon == Day()
    assert odd.sat == Day(at=time(9, 0))
    assert odd.tue is None
    assert theo.history is not None
    assert (theo.history.injury, theo.history.medicines) == ("left shin", ["blood_pressure"])
    assert theo.return_ is not None
    assert theo.return_.after == "long-absence"
    assert (theo.emergency, theo.private, theo.checkins) == ("112", "Ask about work.", "none")
    assert theo.changes[0].session == "hills-short"
    assert str(theo.changes[1].lifts) == "limp 2027-03-19"


@pytest.mark.parametrize(
    ("line", "told"),
    [
        (
            "weeks_on: {2027-04-13: {mon: yes}}",
            "10:12: error: 2027-04-13 is no Monday "
            "(write the Monday of that week, 2027-04-12) [week-monday]",
        ),
        (
            "away: [{from: 2027-04-02, to: 2027-04-01, because: x}]",
            "10:31: error: this ends before it begins, 2027-04-02 "
            "(check both dates; to is the last day away) [away-dates]",
        ),
        (
            "away: [{from: 2027-04-01, to: 2027-04-18, because: x}]\n"
            "goal: {event: {on: 2027-04-18, distance: 10 km}}",
            "10:8: warning: the event of 2027-04-18 is on a day away: where that week has no "
            "running day left, no page shows the event (leave a running day of that week, or the "
            "event's, out of the days away) [event-away]",
        ),
        (
            "changes: [{on: 2027-03-21, lifts: limp 2027-03-22, seen_by: x, because: y}]",
            "10:16: error: this is not after the day of the sign, 2027-03-22 "
            "(check both dates; a lift lies after the day of the sign) "
            "[change-lifts]",
        ),
        (
            "changes: [{week: 2, lifts: limp 2027-03-20, seen_by: x, because: y}]",
            "10:21: error: a lift stands on a day, not in a week, so this lifts nothing "
            "(write on: and its date in place of week) [change-when]",
        ),
        (
            "changes: [{on: 2027-03-21, lifts: limp 2027-03-20, because: y}]",
            "10:28: error: seen_by is missing beside lifts "
            "(add seen_by: and who looked into the sign) [change-lifts]",
        ),
        (
            "changes: [{on: 2027-03-21, minutes: 20 min, false_alarm: yes, because: y}]",
            "10:45: error: false_alarm says nothing without lifts (add lifts: and the sign with "
            "its day, like chest_pain 2027-01-05, or take it out) [change-lifts]",
        ),
        (
            "changes: [{on: 2027-03-21, lifts: pain 2027-03-20, seen_by: x, false_alarm: yes, "
            "because: y}]",
            "10:64: error: scores of pain that sent the plan back are no false alarm "
            "(correct the scores in the log, or take this out) [change-lifts]",
        ),
        (
            "changes: [{on: 2027-03-21, lifts: limping, because: y}]",
            '10:35: error: "limping" is not a sign and a date '
            "(write the sign and the day on which it was told, like bone_point_pain "
            "2027-01-05) [lift-form]",
        ),
    ],
)
def test_slips_in_fields_of_the_second_edition(line: str, told: str) -> None:
    text = SECOND + "#\n" * (9 - SECOND.count("\n")) + line + "\n"
    assert said(text.encode()) == [f"clients/theo.yaml:{told}"]


def test_the_log_and_the_practice_of_the_second_edition_are_read() -> None:
    log = read_log(
        b"- on: 2027-03-10\n  ran: 20 min\n  well_again: yes\n  received: 2027-03-11\n"
        b"  pain: {before: 1, walking: 0, during: 1}\n  signs: [hot_joint, fever]\n"
        b"  heard:\n  - {part: quieter, spm: 158 spm, steps: 150, difference_db: -3.5, "
        b"snr_db: 12 dB, place: on the floor}\n",
        "theo.log.yaml",
    )
    assert log.problems == ()
    assert log.value is not None
    (entry,) = log.value
    assert entry.pain is not None
    assert (entry.pain.before, entry.pain.walking, entry.pain.worst) == (1, 0, 1)
    assert (entry.well_again, entry.received) == (True, date(2027, 3, 11))
    assert (entry.heard[0].difference_db, entry.heard[0].snr_db) == (-3.5, 12)
    house = read_practice(
        good("practice.yaml") + b"checkins: none\nurgent_words: [heart device]\n", "p"
    )
    assert house.value is not None
    assert (house.value.checkins, house.value.urgent_words) == ("none", ["heart device"])


@pytest.mark.parametrize(
    ("taken", "is_told"),
    [("2027-03-10", True), ("2027-04-04", True), ("2027-04-05", False), ("2027-05-30", False),
     ("2027-05-31", True)],
)  # fmt: skip
def test_a_baseline_taken_anew_within_the_plan_is_no_slip(taken: str, is_told: bool) -> None:
    """A new count or race belongs into `baseline` with its day; it was told as a slip for good."""
    text = BEGINNER.replace("on: 2027-03-06", f"on: {taken}")
    assert ("[plan-before-baseline]" in " ".join(said(text.encode()))) is is_told
