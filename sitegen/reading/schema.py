"""JSON Schema for a coach's files, so that an editor completes and checks while she writes.

An editor reads YAML with types: ``weeks: 16`` is a number to it and ``no`` may be false. So the
schema takes numbers and booleans where the reader takes text. It is a help, not the judge: it
passes what is written as the guide says, and lets through what only `cross.py` sees.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import yaml
from pydantic import BaseModel
from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue
from pydantic_core import core_schema

from sitegen.model.client import DAYS, Client
from sitegen.model.practice import Practice
from sitegen.reading import guide

DIALECT = "https://json-schema.org/draft/2020-12/schema"


class _Plain(GenerateJsonSchema):
    """Without null (nothing written is a slip) and without titles that only echo the key."""

    schema_dialect = DIALECT

    def nullable_schema(self, schema: core_schema.NullableSchema) -> JsonSchemaValue:
        return self.generate_inner(schema["schema"])

    def default_schema(self, schema: core_schema.WithDefaultSchema) -> JsonSchemaValue:
        inner = self.generate_inner(schema["schema"])
        default = schema.get("default")
        return {**inner, "default": default} if isinstance(default, str) else inner

    def field_title_should_be_set(self, schema: Any) -> bool:
        return False


def client_schema() -> dict[str, Any]:
    """The schema of ``ID.yaml``."""
    schema = _schema(Client, "a client's file", guide.CLIENT)
    parts = schema["$defs"]
    day = {"$ref": "#/$defs/Day"}
    words = {"enum": ["rest", "no", "yes", False, True], "description": "rest, or a run any time"}
    for name in DAYS:
        about = f"what {name} offers; left out is rest"
        parts["WeekDays"]["properties"][name] = {
            "anyOf": [words, day],
            "description": about,
            "examples": ["rest", _read(guide.CLIENT[f"week.{name}"])],
        }
    uses = parts["Day"]["properties"]["for"]
    one = uses["items"]
    parts["Day"]["properties"]["for"] = {
        "description": uses.get("description", ""),
        "anyOf": [one, {"type": "array", "items": one, "minItems": 1}],
        "examples": ["run", ["run", "strength"]],
    }
    return schema


def practice_schema() -> dict[str, Any]:
    """The schema of ``practice.yaml``."""
    return _schema(Practice, "the practice's own settings", guide.PRACTICE)


def _schema(model: type[BaseModel], title: str, examples: Mapping[str, str]) -> dict[str, Any]:
    schema = model.model_json_schema(by_alias=True, schema_generator=_Plain)
    schema = {"$schema": DIALECT, **schema, "title": title}
    for part in schema.get("$defs", {}).values():
        part.pop("title", None)
    for path, written in examples.items():
        place = _field(schema, path.split("."))
        if place is not None and "$ref" not in place:
            place.setdefault("examples", [_read(written)])
    return schema


def _field(schema: dict[str, Any], path: list[str]) -> dict[str, Any] | None:
    """The schema of the field at ``path``, through references and lists."""
    here: dict[str, Any] | None = schema
    for step in path:
        here = _target(schema, here) if here else None
        here = here.get("properties", {}).get(step) if here else None
    return here


def _target(schema: dict[str, Any], here: dict[str, Any]) -> dict[str, Any]:
    here = here.get("items", here)
    name = here.get("$ref", "").rsplit("/", 1)[-1]
    found: dict[str, Any] = schema.get("$defs", {}).get(name, here)
    return found


def _read(written: str) -> Any:
    """An example as an editor sees it: numbers are numbers, the rest is text."""
    tree = yaml.load(written, Loader=yaml.CBaseLoader)
    return _typed(tree)


def _typed(tree: Any) -> Any:
    if isinstance(tree, dict):
        return {key: _typed(value) for key, value in tree.items()}
    if isinstance(tree, list):
        return [_typed(value) for value in tree]
    return int(tree) if str(tree).isdecimal() else tree
