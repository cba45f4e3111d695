"""Schemas of the files that sitegen keeps: what it writes keeps them, and a slip does not.

Judge of a schema: jsonschema (draft 2020-12). Judge of a slip: the reader of the file itself.
"""

from __future__ import annotations

import json
from datetime import date
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator

from commands import sitegen
from generated import NEW_TO_EXERCISE, NOTHING, runner
from sitegen.coach.fieldbook import field_book
from sitegen.model.alarm import AlarmAnswer
from sitegen.plan import ledger
from sitegen.plan.fold import expand
from sitegen.practice import answers, told
from sitegen.practice.kept_fields import (
    ANSWER_KEPT,
    SESSION_KEPT,
    WEEK_KEPT,
    alarms_schema,
    told_schema,
)
from support import case_of
from test_reading import EditorLoader

DAY = date(2027, 1, 4)
TEXTS = {
    "easy weeks": runner(),
    "a ladder": runner(baseline=NOTHING, screening=NEW_TO_EXERCISE),
    "hard, to the beat, with fuel": runner(
        plan="{from: 2027-01-04, weeks: 8, hard: {from_week: 1, per_week: 1}}",
        more="fuel: {collagen: 15 g, vitamin_c: 50 mg, before: 45 min, asked_on: 2027-01-02}\n"
        "changes: [{on: 2027-01-09, move_to: 2027-01-08, because: a party}]",
    ),
    "nothing is told": runner(more="checkins: none"),
    "the coach's week": runner(more="changes: [{week: 1, minutes: 60 min, because: tired}]"),
}


def ledger_text(name: str) -> str:
    return ledger.text_of(ledger.shown(expand(case_of(TEXTS[name]), DAY)))


def errors(schema: dict[str, Any], text: str) -> list[str]:
    return [e.message for e in Draft202012Validator(schema).iter_errors(as_editor(text))]


def as_editor(text: str) -> Any:
    """As an editor's YAML has it; JSON has no dates, and no key but text."""
    return json.loads(json.dumps(yaml.load(text, Loader=EditorLoader), default=str))


def test_the_tables_are_what_the_readers_know():
    assert tuple(f.name for f in WEEK_KEPT) == told.WEEK_FIELDS
    assert tuple(f.name for f in SESSION_KEPT) == told.SESSION_FIELDS
    assert tuple(f.name for f in ANSWER_KEPT) == answers.ANSWER_KEYS


@pytest.mark.parametrize("name", TEXTS)
def test_what_is_written_keeps_the_schema(name: str):
    text = ledger_text(name)
    assert text.count("session:") > 3 and told.read_told(text.encode(), "x").problems == ()
    assert errors(told_schema(), text) == []


@pytest.mark.parametrize(
    ("was", "slip"),
    [
        ("told: 2027-01-04", "told: 4 January"), ("week: 1,", "week: 99,"),
        ("kind: build", "kind: bild"), ("160 spm", "160 beats"), ("worth: 132 min", "worth: 132"),
        ("effort: 2-3", "effort: easy"), ("run 42 min", "run 42"), ("steps:", "stepps:"),
        ("session: w01-run-1", "session: W01 run"), ('at: "18:30"', 'at: "25:30"'),
    ],
)  # fmt: skip
def test_what_the_reader_warns_of_the_schema_refuses(was: str, slip: str):
    text = ledger_text("easy weeks")
    assert was in text
    spoilt = text.replace(was, slip, 1)

    assert told.read_told(spoilt.encode(), "x").problems
    assert errors(told_schema(), spoilt)


def test_an_answer_keeps_the_schema_and_a_slip_does_not():
    answer = AlarmAnswer("chest_pain", DAY, DAY, "Seen: all clear", "the family doctor")
    text = answers.with_answers(None, "x", [answer])
    assert isinstance(text, str)
    assert errors(alarms_schema(), text) == []
    for was, slip in (("alarm:", "alert:"), ("chest_pain 2027-01-04", "chest_pain"),
                      ("because:", "becuase:")):  # fmt: skip
        spoilt = text.replace(was, slip)
        assert answers.read_answers(spoilt.encode(), "x")[1], slip
        assert errors(alarms_schema(), spoilt), slip


@pytest.mark.parametrize(("file", "schema"), [("told", told_schema), ("alarms", alarms_schema)])
def test_the_command_prints_it(file, schema, tmp_path):
    assert json.loads(sitegen("schema", file, cwd=tmp_path).stdout) == schema()
    Draft202012Validator.check_schema(schema())


def test_the_field_book_has_each_field():
    book = field_book()
    for title, fields in (
        ("ID.told.yaml", (*WEEK_KEPT, *SESSION_KEPT)),
        ("ID.alarms.yaml", ANSWER_KEPT),
    ):
        part = book.split(f"## {title}\n")[1].split("\n## ")[0]
        for one in fields:
            assert f"`{one.name}` | {one.meaning}" in part
