"""JSON Schema for a coach's files, so that an editor completes and checks while she writes.

It is made of the table of fields: what `check` refuses for one field alone, the schema refuses.
An editor reads YAML with types, and by YAML 1.1 with more of them: ``weeks: 16`` is a number to
it, ``no`` is false, the key ``on`` is true, and ``18:30`` is 1110. So the schema takes each value
as the text that was written, and as what YAML 1.1 or 1.2 makes of that text.

``errorMessage`` and ``defaultSnippets`` are no part of the standard. Editors that know them show
our words in place of a pattern, and offer ``yes`` in place of ``"yes"``; others pass them over.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import yaml

from sitegen.model.checkin import CheckIn
from sitegen.model.client import Client, Day
from sitegen.model.kinds import Kind
from sitegen.model.practice import Practice
from sitegen.model.record import Record, Row
from sitegen.model.workout import WorkoutFile
from sitegen.rules import RULES, Rule

DIALECT = "https://json-schema.org/draft/2020-12/schema"
Schema = dict[str, Any]

# What YAML 1.1 reads as true and false (yaml.org/type/bool.html, as PyYAML has it: no y and n).
_TRUE, _FALSE = ("yes", "on", "true"), ("no", "off", "false")


def client_schema() -> Schema:
    """The schema of ``ID.yaml``."""
    return _whole(Client, "a client's file")


def practice_schema() -> Schema:
    """The schema of ``practice.yaml``."""
    return _whole(Practice, "the practice's own settings")


def log_schema() -> Schema:
    """The schema of ``ID.log.yaml``: a list of check-ins."""
    parts: dict[str, Schema] = {}
    entry = _map(CheckIn, parts)
    schema: Schema = {
        "$schema": DIALECT,
        "title": "a client's check-ins",
        "type": ["array", "null"],  # an empty file is a log without a check-in
        "items": entry,
    }
    return {**schema, "$defs": parts} if parts else schema


def session_schema() -> Schema:
    """The schema of ``sessions/NAME.yaml``."""
    return _whole(WorkoutFile, "a kind of session")


def _whole(record: type[Record], title: str) -> Schema:
    parts: dict[str, Schema] = {}
    schema = {"$schema": DIALECT, "title": title, **_map(record, parts)}
    return {**schema, "$defs": parts} if parts else schema


def _map(record: type[Record], parts: dict[str, Schema]) -> Schema:
    """The schema of a map: its fields, those that it needs, and no other."""
    fields = {key: _field(key, row, parts) for key, row in record.ROWS.items()}
    schema: Schema = {
        "type": "object",
        "description": _first_line(record),
        "properties": fields,
        "additionalProperties": False,
    }
    needed = [key for key, row in record.ROWS.items() if row.needed or row.in_schema]
    if "on" in fields:  # an editor with YAML 1.1 reads this key as true
        schema["patternProperties"] = {"^true$": {**fields["on"], "doNotSuggest": True}}
    if "on" in needed:
        needed.remove("on")
        either = [{"required": ["on"]}, {"required": ["true"]}]
        schema["anyOf"] = either
    return {**schema, "required": needed} if needed else schema


def _first_line(record: type[Record]) -> str:
    return (record.__doc__ or "").strip().split("\n")[0]


def _field(key: str, row: Row, parts: dict[str, Schema]) -> Schema:
    if key == "rules" and row.kind is None:
        return {**_rules(RULES, parts), "description": row.meaning}
    one = _value(row, parts)
    about: Schema = {"description": row.told} if row.meaning else {}
    if row.many == "by name":
        names = {"propertyNames": {"pattern": row.names.schema["pattern"]}} if row.names else {}
        return {"type": "object", "additionalProperties": one, **names, **about}
    many = {"type": "array", "items": one}
    if row.many == "one or list":
        snippets = {"defaultSnippets": [_snippet(row.example)]} if row.example else {}
        several = {**many, "minItems": 1}
        if row.record is not None:  # so that an editor shows a slip where it stands
            return {"if": {"type": "array"}, "then": several, "else": one, **about, **snippets}
        return {"anyOf": [one, several], **about, **snippets}
    schema = many if row.many else one
    shown = schema.get("examples", [""])
    if row.example not in shown and row.record is None and "defaultSnippets" not in schema:
        about["examples"] = [_read(row.example)]
    return {**schema, **about}


def _value(row: Row, parts: dict[str, Schema]) -> Schema:
    if row.kind is None:
        return {}
    if isinstance(row.kind, Kind):
        return kind_schema(row.kind)
    name = row.kind.__name__
    if name not in parts:
        parts[name] = {}  # so that a map within itself ends
        parts[name] = _map(row.kind, parts)
    reference = {"$ref": f"#/$defs/{name}"}
    if row.kind is not Day:
        return reference
    words = _words(("rest", "yes", "no"), f"write rest, yes or a map, like {row.example}")
    snippets = [_snippet("rest"), _snippet("yes"), _snippet(row.example)]
    return {"anyOf": [words, reference], "defaultSnippets": snippets}


def kind_schema(kind: Kind) -> Schema:
    """What a kind takes: as text, and as an editor's YAML may read that text."""
    schema = dict(kind.schema)
    say = f"write {kind.noun}, {kind.example}"
    if kind.noun == "yes or no":
        return {
            **_words(("yes", "no"), "write yes or no"),
            "defaultSnippets": [_snippet("yes"), _snippet("no")],
        }
    if not schema.get("examples", True):
        del schema["examples"]
    if "enum" not in schema:
        schema["errorMessage"] = say
    words = ((_TRUE, True), (_FALSE, False))
    booleans = [read_as for said, read_as in words if any(kind.takes(word) for word in said)]
    if not booleans:
        return schema
    if "enum" in schema:
        schema["enum"] = [*schema["enum"], *booleans]
        del schema["type"]
        return schema
    types = schema["type"] if isinstance(schema["type"], list) else [schema["type"]]
    if len(booleans) == 2:
        return {**schema, "type": [*types, "boolean"]}
    return {"anyOf": [schema, {"const": booleans[0]}]}


def _rules(rules: Iterable[Rule], parts: dict[str, Schema]) -> Schema:
    """The parameters that ``rules:`` may set, rule by rule."""
    known = {
        rule.name: {**_map(rule.parameters, parts), "description": rule.promise}
        for rule in rules
        if rule.parameters.ROWS
    }
    return {"type": "object", "properties": known, "additionalProperties": False}


def _words(words: Iterable[str], else_say: str) -> Schema:
    """One of a few words. An editor may read a bare ``yes`` or ``no`` as true or false.

    No ``enum``, and no type "boolean": editors would offer ``"yes"`` and ``true`` beside ``yes``.
    """
    any_case = ("".join(f"[{c.upper()}{c}]" for c in word) for word in (*words, "true", "false"))
    return {
        "pattern": f"^({'|'.join(any_case)})$",
        "not": {"type": ["number", "array", "object", "null"]},
        "errorMessage": else_say,
    }


def _snippet(written: str) -> dict[str, str]:
    """An offer of the editor that is put in as it stands here."""
    return {"label": written, "bodyText": written}


def _read(written: str) -> Any:
    """An example as an editor sees it: numbers are numbers, the rest is text."""
    return _typed(yaml.load(written, Loader=yaml.CBaseLoader))


def _typed(tree: Any) -> Any:
    if isinstance(tree, dict):
        return {key: _typed(value) for key, value in tree.items()}
    if isinstance(tree, list):
        return [_typed(value) for value in tree]
    return int(tree) if str(tree).isdecimal() else tree
