"""What `check` refuses for one field alone, the schema refuses: over faults made from the table.

Judge of the schema: jsonschema, an independent reader of schemas (draft 2020-12). Judge of what is
wrong: the reader itself. YAML 1.1 is PyYAML's own loader, which types as the 1.1 standard says
(yaml.org/type): ``on`` is true, ``18:30`` is 1110.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import date
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator

from reading_case_files import CASES
from sitegen.model.checkin import CheckIn
from sitegen.model.client import Client
from sitegen.model.practice import Group, Practice
from sitegen.model.record import Record, Row
from sitegen.practice.records import read_client, read_log, read_practice
from sitegen.practice.schema import client_schema, log_schema, practice_schema
from sitegen.rules import RULES
from test_reading import CLIENTS, EditorLoader

WRONG: dict[str, tuple[str, ...]] = {
    "a duration": ("45", "25 h", "1500 min", "an hour", "1:30", "-5 min", "45 minutes", "1,5 h"),
    "a distance": ("5", "201 km", "0 km", "130 mi", "5 miles", "21,1 km"),
    "a race time": ("31:61", "25:00:00", "0:00", "31 min", "1:75:00"),
    "a pace": ("6:45", "2:29 /km", "20:01 /km", "3:59 /mi", "33:00 /mi", "6.45 /km", "6:75 /km"),
    "a cadence": ("158", "99 spm", "241 spm", "158.5 spm", "fast"),
    "a cadence or keep": ("158", "99 spm", "leave"),
    "a percentage": ("8", "0.08", "101 %", "8 percent", "8,5 %"),
    "a height": ("171", "99 cm", "231 cm", "2.4 m", "2 ft", "7 ft 8 in", "tall"),
    "a mass": ("15", "999 g", "15 grams"),
    "a date": ("18.1.2027", "2027-02-30", "1899-12-31", "2200-01-01", "tomorrow", "2027-1-8",
               "2027-02-29", "2027-13-01"),
    "a year or a date": ("84", "1899", "2101", "1984-13-01", "May 1984"),
    "a time of day": ("25:00", "18:60", "8 pm", "18.30", "24:00"),
    "yes or no": ("maybe", "y", "1", "sometimes"),
    "one word": ("nonsense", "3"),
    "a time zone": ("Lisbon time", "Europe/Lisbon, summer", "Europe/Lisbn"),
    "a language tag": ("english!", "e", "en_GB"),
    "an e-mail address or a phone number": ("call me", "coach@home"),
    "an https address": ("http://example.org/", "example.org"),
    "a colour": ("red", "#12", "#12345g", "#ffff00"),
    "the name of a picture": ("logo.svg", "pictures/logo.png", "logo"),
    "an id": ("Upper Case", "under_score", "-begins", "a" * 41),
    "a sign and a date": ("limp", "limp yesterday", "limp 2027-02-30"),
    "a number of decibels": ("loud", "-61", "3,5"),
}  # fmt: skip


def parsed(text: str) -> Any:
    return yaml.load(text, Loader=yaml.BaseLoader)


def sound(record: type[Record]) -> dict[str, Any]:
    """A file with the example of each field that a sound file needs."""
    return {
        key: sound(row.record) if row.record else parsed(row.example)
        for key, row in record.ROWS.items()
        if row.needed
    }


def bad_values(row: Row) -> Iterator[Any]:
    """Values that no reader may take for this field."""
    if row.many == "":
        yield ["one", "two"]
    if row.record is not None or row.many == "by name":
        yield "some text"
    elif row.many == "" and row.kind is not None:
        yield {"key": "value"}
    yield ""
    kind = row.value
    if kind is None:
        return
    wrong: list[Any] = list(WRONG.get(kind.noun, ()))
    if "minimum" in kind.schema and "integer" in kind.schema["type"] and not wrong:
        wrong = [kind.schema["minimum"] - 1, kind.schema["maximum"] + 1, "several", "2.5"]
    if kind.noun == "a text":
        wrong = ["x" * (kind.schema["maxLength"] + 1)]
    for one in wrong:
        if row.many == "by name":
            yield {"name": str(one)}
        else:
            yield str(one) if row.many != "list" else [str(one)]


def faults(record: type[Record], at: tuple[str, ...] = ()) -> Iterator[tuple[str, dict[str, Any]]]:
    """One-field faults of a record: what is wrong, and the record with it as a tree."""
    base = sound(record)
    yield "unknown key", {**base, "wobble": "3"}
    for key, row in record.ROWS.items():
        if row.needed:
            yield f"{key} missing", {k: v for k, v in base.items() if k != key}
        for bad in bad_values(row):
            yield f"{key}: {bad!r:.40}", {**base, key: bad}
        if row.record is not None:
            for what, inner in faults(row.record, (*at, key)):
                tree: Any = [inner] if row.many == "list" else inner
                tree = (
                    {"2027-03-01" if row.names else "beginners": inner}
                    if row.many == "by name"
                    else tree
                )
                yield f"{key}.{what}", {**base, key: tree}


def of_rules() -> Iterator[tuple[str, dict[str, Any]]]:
    for rule in RULES:
        for what, tree in faults(rule.parameters):
            if tree or "missing" not in what:
                yield f"rules.{rule.name}.{what}", {**sound(Client), "rules": {rule.name: tree}}


def written(tree: Any) -> str:
    """A tree as a coach writes it: plain text wherever YAML allows it."""
    return _Plain.dump(tree)


class _Plain(yaml.CSafeDumper):
    """Writes every scalar plain that a coach would write plain."""

    @classmethod
    def dump(cls, tree: Any) -> str:
        return yaml.dump(tree, Dumper=cls, allow_unicode=True, sort_keys=False, width=10**6)


def _plain(dumper: yaml.CSafeDumper, text: str) -> yaml.Node:
    if text == "":
        return dumper.represent_scalar("tag:yaml.org,2002:null", "")
    style = "'" if text[:1] in "-#'\"&*!%@`{[|>" or ": " in text or " #" in text else None
    tag = EditorLoader("").resolve(yaml.ScalarNode, text, (True, False))
    return dumper.represent_scalar(tag if style is None else "tag:yaml.org,2002:str", text, style)


_Plain.add_representer(str, _plain)
_Plain.yaml_implicit_resolvers = EditorLoader.yaml_implicit_resolvers


def read_a_log(data: bytes, file: str, rules: Any) -> Any:
    """A log by the signature of the others; no rule has a say in it."""
    return read_log(data, file)


CORPUS = [
    *((read_client, client_schema, f"client: {what}", tree) for what, tree in faults(Client)),
    *((read_client, client_schema, f"client: {what}", tree) for what, tree in of_rules()),
    *((read_practice, practice_schema, f"practice: {what}", t) for what, t in faults(Practice)),
    *((read_a_log, log_schema, f"log: {what}", [tree]) for what, tree in faults(CheckIn)),
]


def test_the_schema_refuses_what_one_field_shows() -> None:
    makes = (client_schema, practice_schema, log_schema)
    judges = {make: Draft202012Validator(make()) for make in makes}
    refused, passed = 0, []
    for read, make, what, tree in CORPUS:
        text = written(tree)
        problems = read(text.encode(), "f.yaml", rules=RULES).problems
        codes = {p.code for p in problems if p.level == "error"} - SEVERAL_FIELDS
        if not codes:
            continue
        refused += 1
        if judges[make].is_valid(yaml.load(text, Loader=EditorLoader)):
            passed.append(f"{what} {sorted(codes)}")
    share = len(passed) / refused
    print(f"{len(passed)} of {refused} faults pass the schema, {share:.1%}")
    assert refused >= 300
    assert share <= 0.02, "\n".join(passed)


# What only two fields show together; no schema is asked for it.
SEVERAL_FIELDS = {
    "no-run-day", "baseline-incomplete", "baseline-continuous", "change-when", "change-nothing",
    "change-rest", "change-move", "change-kind", "event-before-plan", "born-late",
    "aim-below-baseline", "long-day", "note-dates", "away-dates", "change-lifts", "group-name",
    "week-monday", "log-skipped-ran",
}  # fmt: skip


def as_json(tree: Any) -> Any:
    """What an editor hands to a schema: keys are text, dates too."""
    if isinstance(tree, dict):
        return {json.loads(json.dumps({key: 0}, default=str)).popitem()[0]
                if not isinstance(key, date) else str(key): as_json(value)
                for key, value in tree.items()}  # fmt: skip
    if isinstance(tree, list):
        return [as_json(value) for value in tree]
    return str(tree) if isinstance(tree, date) else tree


GOOD = [*CLIENTS, *(CASES / "good").glob("[mt]*[!g].yaml")]


@pytest.mark.parametrize("path", GOOD, ids=lambda p: p.name)
def test_an_editor_with_yaml_1_1_takes_a_good_file(path: Any) -> None:
    tree = yaml.load(path.read_text("utf-8"), Loader=yaml.SafeLoader)
    errors = Draft202012Validator(client_schema()).iter_errors(as_json(tree))

    assert [f"{list(e.absolute_path)}: {e.message}" for e in errors] == []


def test_a_log_as_the_tool_writes_it_passes_its_schema() -> None:
    judge = Draft202012Validator(log_schema())
    Draft202012Validator.check_schema(log_schema())
    logs = [*CLIENTS[0].parent.glob("*.log.yaml"), *(CASES / "good").glob("*.log.yaml")]
    assert logs
    for path in logs:
        for loader in (EditorLoader, yaml.SafeLoader):
            tree = as_json(yaml.load(path.read_text("utf-8"), Loader=loader))
            assert [e.message for e in judge.iter_errors(tree)] == [], path.name


@pytest.mark.parametrize("record", [Client, Practice, Group])
def test_examples_pass_the_schema_in_both_yamls(record: type[Record]) -> None:
    whole = client_schema() if record is Client else practice_schema()
    part = whole if record is not Group else {**whole["$defs"]["Group"], "$defs": whole["$defs"]}
    for key, row in record.ROWS.items():
        judge = Draft202012Validator({**part["properties"][key], "$defs": whole["$defs"]})
        for loader in (EditorLoader, yaml.SafeLoader):
            value = as_json(yaml.load(f"{key}: {row.example}", Loader=loader)[key])
            assert [e.message for e in judge.iter_errors(value)] == [], f"{key}: {row.example}"


def test_what_yaml_1_1_reads_into_words_of_a_coach_is_taken() -> None:
    text = (CASES / "good" / "mara.yaml").read_text("utf-8")
    tree = yaml.load(text, Loader=yaml.SafeLoader)
    assert True in tree["screening"], "the key on: is read as true"
    assert isinstance(tree["week"]["tue"]["at"], int), "18:30 is read as 1110"
    wrong = as_json(tree)
    wrong["week"]["tue"]["at"] = 1440  # 24:00
    assert not Draft202012Validator(client_schema()).is_valid(wrong)
