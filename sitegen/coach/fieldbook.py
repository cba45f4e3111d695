"""The field book: every field of a practice's files, made from the models that read them.

Bounds are the reader's own words to a value that is out of them, so the book cannot say one
thing and the reader another.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel
from pydantic_core import PydanticCustomError

from sitegen.model.checkin import CheckIn
from sitegen.model.client import DAYS, Client
from sitegen.model.kinds import MAX_TEXT, Kind, one_of
from sitegen.model.practice import Group, Practice
from sitegen.model.values import Mass
from sitegen.practice import guide
from sitegen.practice.schema import FileField, fields
from sitegen.rules import RULES

HEAD = """\
# Every field

Made from the models by `python -m sitegen.coach.fieldbook`; do not edit.

A value wears its unit: `45 min`, not `45`. What is not marked *needed* may be left out; then its
default holds. Some fields are needed only beside others: their row says when. Where a field is a
map, the fields within it follow: `baseline.week` is `week:` one step in under `baseline:`. A
*list* stands in `[ ]` with commas, or each entry on a line after `-`.

What a rule does with a value, and which numbers rest on what, is in [the rule book](rules.md).
"""

# How a kind is written, and a value out of its bounds, so that the reader tells them.
_KINDS: Mapping[str, tuple[str, str]] = {
    "a duration": ("`45 min`, `1 h`, `1 h 10 min`, `90 s`", "99 h"),
    "a distance": ("`5 km`, `800 m`, `3.1 mi`, `half marathon`, `marathon`", "999 km"),
    "a race time": ("`31:20`, or with hours `1:52:08`", "99:59:59"),
    "a pace": ("`6:45 /km`, `10:50 /mi`", "0:01 /km"),
    "a cadence": ("`158 spm`: steps a minute, both feet", "999 spm"),
    "a height": ("`171 cm`, `5 ft 7 in`", "1 cm"),
    "a date": ("`2027-01-18`: year, month, day", "0001-01-01"),
    "a time of day": ("`18:30`, on the 24-hour clock", ""),
    "yes or no": ("`yes`, `no`, `true`, `false`", ""),
    "a time zone": ("its IANA name, like `Europe/Lisbon`", ""),
    "a language tag": ("`en`, `es`, `pt-BR` (BCP 47)", ""),
    "an e-mail address or a phone number": ("`coach@example.org`, `+351 210 000 000`", ""),
    "an https address": ("`https://plans.example.org/`", ""),
    "a year or a date": ("`1984`, `1984-05-20`", "0001-01-01"),
}
# Kinds whose bounds are each field's own.
_PROBES: Mapping[str, str] = {"a percentage": "999 %", "a mass": "999 g", "a cadence or keep": ""}

_DAYS = tuple(f"week.{day}" for day in DAYS)
_DEFAULT = re.compile(r"(?:; )?default:? (?P<default>[^;]+)$")


_RUNS = "*needed where week is over 0 min*"
_WHEN = "*needed: on or week, one of the two*"
_WHAT = "*needed: one of rest, minutes, move_to, kind and cadence*"
CLIENT_NEEDS: Mapping[str, str] = {
    "baseline.pace": _RUNS,
    "baseline.longest": _RUNS,
    "baseline.runs": _RUNS,
    "screening.cleared_on": "*needed before any session, where the answers refer*",
    "week": "*needed: one day for running at least*",
    "fuel.asked_on": "*needed in fuel*",
    "changes.on": f"{_WHEN}; *with move_to, on*",
    "changes.week": _WHEN,
    "changes.rest": _WHAT,
    "changes.minutes": _WHAT,
    "changes.move_to": _WHAT,
    "changes.kind": _WHAT,
    "changes.cadence": _WHAT,
}
"""Fields that the models let be left out, and that are needed all the same after the others: as
`sitegen.practice.cross` has it. Tests hold each against the reader."""


@dataclass(frozen=True, slots=True)
class Book:
    """One file of a practice, and where its fields' examples and meanings stand.

    ``needs`` says of fields that the model lets be left out when they are needed all the same.
    """

    file: str
    says: str
    model: type[BaseModel]
    examples: Mapping[str, str]
    about: Mapping[str, str]
    needs: Mapping[str, str]


BOOKS: tuple[Book, ...] = (
    Book(
        "practice.yaml",
        "Your own settings. They hold for every client whose file does not say otherwise.",
        Practice,
        guide.PRACTICE,
        guide.ABOUT_PRACTICE,
        {},
    ),
    Book(
        "A group in practice.yaml",
        "What some clients share: it stands under `groups:` and a name, and a client's file says\n"
        "`group:` and that name. The client's own file goes before it, the practice's settings\n"
        "come after.",
        Group,
        guide.GROUP,
        guide.ABOUT_GROUP,
        {},
    ),
    Book(
        "ID.yaml",
        "One client. The file's name is the client's id: small letters, digits and hyphens.",
        Client,
        guide.CLIENT,
        guide.ABOUT_CLIENT,
        CLIENT_NEEDS,
    ),
    Book(
        "ID.log.yaml",
        "That client's check-ins, a list, newest last. `sitegen receive` writes them; so may you.",
        CheckIn,
        guide.CHECK_IN,
        guide.ABOUT_CHECK_IN,
        {},
    ),
)


def field_book() -> str:
    """Markdown, the same for the same version."""
    return "\n".join([HEAD, *_kinds(), *(line for book in BOOKS for line in _book(book))])


def _kinds() -> Iterator[str]:
    found = {f.kind.noun: f.kind for book in BOOKS for f in fields(book.model) if f.kind}
    yield from ("## Kinds of value", "", "| kind | written | bounds |", "| --- | --- | --- |")
    for noun, (form, probe) in _KINDS.items():
        yield _row(noun, form, _bounds(found[noun], probe))
    yield ""


def _book(book: Book) -> Iterator[str]:
    yield from (f"## {book.file}", "", book.says, "")
    yield "| field | meaning | what to write | default | example |"
    yield "| --- | --- | --- | --- | --- |"
    for field in _told_once(book.model):
        meaning = about(book, field)
        name = field.name.replace(_DAYS[0], "week.DAY")
        found = _DEFAULT.search(meaning)
        default = book.needs.get(field.name) or _default(field)
        default = default or (found["default"] if found else "")
        meaning = meaning if found is None else meaning[: found.start()]
        yield _row(f"`{name}`", meaning, _written(field), default, f"`{example(book, field)}`")
    yield ""


def _told_once(model: type[BaseModel]) -> Iterator[FileField]:
    """The fields, but one weekday for all seven."""
    return (f for f in fields(model) if not f.name.startswith(_DAYS[1:]))


def _row(*cells: str) -> str:
    return f"| {' | '.join(cell.replace('|', chr(92) + '|') for cell in cells)} |"


def about(book: Book, field: FileField) -> str:
    """What a field means; empty where nobody has said it."""
    if field.name == _DAYS[0]:
        return "what a day offers, `mon` to `sun`; default: rest"
    return book.about.get(field.name) or field.info.description or ""


def example(book: Book, field: FileField) -> str:
    """A value that the reader takes; empty where there is none."""
    found = book.examples.get(field.name, "")
    if found or field.kind is None:
        return found
    told = field.kind.schema
    return str((told.get("examples") or told.get("enum") or [""])[0])


def _written(field: FileField) -> str:
    what = _kind_words(field.kind) if field.kind else _no_kind(field)
    return f"list: {what}" if field.is_list else what


def _no_kind(field: FileField) -> str:
    if field.name == _DAYS[0]:
        return "`rest`, `yes`, or a map"
    return "a colour, like `'#9c3d1e'`" if field.name == "accent" else "a map"


def _kind_words(kind: Kind) -> str:
    """What to write, with the bounds where they are not those of the kind everywhere."""
    if kind.noun == "one word":
        return one_of(tuple(f"`{word}`" for word in kind.schema["enum"]))
    if kind.noun == "a text":
        what = "a text on one line" if kind.schema["maxLength"] == MAX_TEXT else "a text, Markdown"
        return f"{what}, at most {kind.schema['maxLength']} characters"
    if "minimum" in kind.schema:
        return f"{kind.noun}, {kind.example}"
    if kind.noun in _PROBES:
        bounds = _bounds(kind, _PROBES[kind.noun])
        return f"{kind.noun}, {bounds}" if bounds else kind.noun
    if kind.noun == "a duration" and _takes(kind, "0 min"):
        return "a duration, `0 min` too"
    return kind.noun


def _takes(kind: Kind, text: str) -> bool:
    try:
        kind.validate(text)
    except PydanticCustomError:
        return False
    return True


def _bounds(kind: Kind, probe: str) -> str:
    """The bounds of a kind, as the reader tells them to ``probe``, a value out of them."""
    if not probe:
        return ""
    try:
        kind.validate(probe)
    except PydanticCustomError as error:
        hint = str((error.context or {})["hint"]).split(";")[0]
        return hint.removeprefix("write ").removeprefix(f"{kind.noun} ").removeprefix("is ")
    raise ValueError(f"{probe!r} is within the bounds of {kind.noun}")


def _default(field: FileField) -> str:
    if field.info.is_required():
        return "*needed*" if len(field.path) == 1 else f"*needed in {field.path[-2]}*"
    for rule in RULES:
        for parameter, path in rule.client_fields.items():
            if path == field.path:
                return _shown(rule.parameters.model_fields[parameter].default)
    return _shown(field.info.get_default(call_default_factory=True))


def _shown(value: Any) -> str:
    if value is None or isinstance(value, (BaseModel, dict)) or value == []:
        return ""
    if isinstance(value, Mass):
        return f"{value.grams:g} g" if value.mg >= 1000 else f"{value.mg:g} mg"
    return ", ".join(map(str, value)) if isinstance(value, list) else str(value)


if __name__ == "__main__":
    print(field_book(), end="")
