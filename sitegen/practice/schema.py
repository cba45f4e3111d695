"""JSON Schema for a coach's files, so that an editor completes and checks while she writes.

An editor reads YAML with types: ``weeks: 16`` is a number to it and ``no`` may be false. So the
schema takes numbers and booleans where the reader takes text. It is a help, not the judge: it
passes what is written as the guide says, and lets through what only `cross.py` sees.

``errorMessage`` and ``defaultSnippets`` are no part of the standard. Editors that know them show
our words in place of a pattern, and offer ``yes`` in place of ``"yes"``; others pass them over.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, get_args

import yaml
from pydantic import BaseModel
from pydantic.fields import FieldInfo
from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue
from pydantic_core import PydanticCustomError, core_schema

from sitegen.model.client import DAYS, Client
from sitegen.model.kinds import Kind
from sitegen.model.practice import Group, Practice
from sitegen.practice import guide
from sitegen.rules import RULES, Rule

DIALECT = "https://json-schema.org/draft/2020-12/schema"


# --- the fields of a file ---------------------------------------------------------------------


@dataclass(frozen=True)
class FileField:
    """One field of a file, and how its value is read.

    ``kind`` is None for a map. ``is_list`` is true where there may be several.
    """

    path: tuple[str, ...]
    info: FieldInfo
    kind: Kind | None
    model: type[BaseModel] | None
    is_list: bool

    @property
    def name(self) -> str:
        """``baseline.cadence``, as the guide names it."""
        return ".".join(self.path)


def fields(model: type[BaseModel], above: tuple[str, ...] = ()) -> Iterator[FileField]:
    """Every field of a file in the order of its model, each map before what is in it.

    Maps with names of the coach's own, as groups are, have a list of fields of their own.
    """
    for name, info in model.model_fields.items():
        parts = [*_parts(info.annotation), *info.metadata]
        inner = next((p for p in parts if isinstance(p, type) and issubclass(p, BaseModel)), None)
        kind = next((p for p in parts if isinstance(p, Kind)), None)
        path = (*above, info.alias or name)
        is_map = inner is not None or dict in parts
        yield FileField(path, info, None if is_map else kind, inner, list in parts)
        if inner is not None and dict not in parts:
            yield from fields(inner, path)


def _parts(annotation: Any) -> Iterator[Any]:
    origin = getattr(annotation, "__origin__", None)
    yield origin if origin in (list, dict) else annotation
    yield from getattr(annotation, "__metadata__", ())
    for part in get_args(annotation):
        yield from _parts(part)


# --- schemas ----------------------------------------------------------------------------------


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
    schema = _schema(Client, "a client's file", guide.CLIENT, guide.ABOUT_CLIENT)
    _add_rules(schema, RULES)
    parts = schema["$defs"]
    days = parts["WeekDays"]["properties"]
    example = guide.CLIENT["week.tue"]
    words = _words("rest", "yes", "no", else_say=f"write rest, yes or a map, like {example}")
    for name in DAYS:
        days[name] = {
            "anyOf": [words, {"$ref": "#/$defs/Day"}],
            "description": guide.ABOUT_CLIENT[f"week.{name}"],
            "defaultSnippets": [_snippet("rest"), _snippet("yes"), _snippet(example)],
        }
    _one_or_many(parts["Day"], "for", "[run, strength]")
    _one_or_many(parts["Note"], "read", guide.CLIENT["notes.read"])
    return schema


def _one_or_many(part: dict[str, Any], name: str, snippet: str) -> None:
    """A list that may be written as one word alone."""
    many = part["properties"][name]
    one = many["items"]
    part["properties"][name] = {
        "description": many.get("description", ""),
        "anyOf": [one, {"type": "array", "items": one, "minItems": 1}],
        "defaultSnippets": [_snippet(snippet)],
    }


def practice_schema() -> dict[str, Any]:
    """The schema of ``practice.yaml``."""
    schema = _schema(Practice, "the practice's own settings", guide.PRACTICE, guide.ABOUT_PRACTICE)
    _add_rules(schema, RULES)
    group = schema["$defs"]["Group"]
    _describe(schema, Group, guide.GROUP, guide.ABOUT_GROUP, group)
    _one_or_many(schema["$defs"]["Notice"], "read", guide.GROUP["notes.read"])
    group["properties"]["rules"] |= {
        "properties": schema["properties"]["rules"]["properties"],
        "additionalProperties": False,
    }
    return schema


def _schema(
    model: type[BaseModel], title: str, examples: Mapping[str, str], about: Mapping[str, str]
) -> dict[str, Any]:
    schema = _of_model(model)
    schema = {"$schema": DIALECT, **schema, "title": title}
    _describe(schema, model, examples, about, schema)
    return schema


def _describe(
    schema: dict[str, Any],
    model: type[BaseModel],
    examples: Mapping[str, str],
    about: Mapping[str, str],
    part: dict[str, Any],
) -> None:
    """Meanings and examples for the fields of ``part``, which is ``schema`` or one in it."""
    for field in fields(model):
        place = _field({**part, "$defs": schema.get("$defs", {})}, field.path)
        if place is None:
            continue
        if field.name in about:
            place["description"] = about[field.name]
        if field.name in examples and "$ref" not in place:
            place["examples"] = [_read(examples[field.name])]
        if field.kind is not None:
            _explain(_one(place), field.kind)


def _of_model(model: type[BaseModel]) -> dict[str, Any]:
    schema = model.model_json_schema(by_alias=True, schema_generator=_Plain)
    for part in (schema, *schema.get("$defs", {}).values()):
        part.pop("title", None)
    return schema


def _add_rules(schema: dict[str, Any], rules: Iterable[Rule]) -> None:
    """The parameters that ``rules:`` may set, rule by rule."""
    known: dict[str, Any] = {}
    for rule in rules:
        if not rule.parameters.model_fields:
            continue
        part = _of_model(rule.parameters)
        schema.setdefault("$defs", {}).update(part.pop("$defs", {}))
        part["description"] = rule.promise
        known[rule.name] = part
        for field in fields(rule.parameters):
            place = _field({**part, "$defs": schema["$defs"]}, field.path)
            if place is not None and field.kind is not None:
                _explain(_one(place), field.kind)
    schema["properties"]["rules"] |= {"properties": known, "additionalProperties": False}


def _explain(place: dict[str, Any], kind: Kind) -> None:
    """What to write in our words, the bounds that the reader holds, and yes without quotes."""
    if not place.get("examples", True):
        del place["examples"]
    if kind.noun == "yes or no":
        del place["enum"]
        place.pop("examples", None)
        place |= _words("yes", "no", else_say="write yes or no")
        place["defaultSnippets"] = [_snippet("yes"), _snippet("no")]
    elif "enum" not in place:
        place["errorMessage"] = f"write {kind.noun}, {kind.example}"
    if kind.noun == "a percentage":
        place["pattern"] = _numbers(kind.validate, range(101), "%")


def _words(*words: str, else_say: str) -> dict[str, Any]:
    """One of a few words. An older editor reads a bare ``yes`` or ``no`` as true or false.

    No ``enum``, and no type "boolean": editors would offer ``"yes"`` and ``true`` beside ``yes``.
    """
    any_case = ("".join(f"[{c.upper()}{c}]" for c in word) for word in (*words, "true", "false"))
    return {
        "pattern": f"^({'|'.join(any_case)})$",
        "not": {"type": ["number", "array", "object"]},
        "errorMessage": else_say,
    }


def _numbers(takes: Callable[[object], object], numbers: range, unit: str) -> str:
    """A pattern of the numbers that the reader takes with a unit: asked one by one."""

    def is_taken(text: str) -> bool:
        try:
            takes(f"{text} {unit}")
        except PydanticCustomError:
            return False
        return True

    taken = [rf"{n}(\.0+)?" for n in numbers if is_taken(f"{n}")]
    taken += [rf"{n}\.\d+" for n in numbers if is_taken(f"{n}.5")]
    return rf"^\s*({'|'.join(taken)})\s*{unit}\s*$"


def _snippet(written: str) -> dict[str, str]:
    """An offer of the editor that is put in as it stands here."""
    return {"label": written, "bodyText": written}


def _field(schema: dict[str, Any], path: Iterable[str]) -> dict[str, Any] | None:
    """The schema of the field at ``path``, through references and lists."""
    here: dict[str, Any] | None = schema
    for step in path:
        here = _target(schema, here) if here else None
        here = here.get("properties", {}).get(step) if here else None
    return here


def _one(place: dict[str, Any]) -> dict[str, Any]:
    """The schema of one value where there may be several."""
    found: dict[str, Any] = place.get("items", place)
    return found


def _target(schema: dict[str, Any], here: dict[str, Any]) -> dict[str, Any]:
    here = _one(here)
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
