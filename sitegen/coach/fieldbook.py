"""The field book: every field of a practice's files, made from the table that reads them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from sitegen.model.checkin import CheckIn
from sitegen.model.client import DAYS, Client
from sitegen.model.kinds import MAX_TEXT, Kind, one_of
from sitegen.model.practice import Group, Practice
from sitegen.model.record import Record, Row, all_rows
from sitegen.model.values import Mass
from sitegen.model.workout import WorkoutFile
from sitegen.practice import kept_fields
from sitegen.rules import RULES

FIELD_BOOK_HEAD = """\
# Every field

Made from the table of fields by `python -m sitegen.coach.fieldbook`; do not edit.

A value wears its unit: `45 min`, not `45`. What is not marked *needed* may be left out; then its
default holds. Some fields are needed only beside others: their row says when. Where a field is a
map, the fields within it follow: `baseline.week` is `week:` one step in under `baseline:`. A
*list* stands in `[ ]` with commas, or each entry on a line after `-`.

What a rule does with a value, and which numbers rest on what, is in [the rule book](rules.md).
"""

_DAYS = tuple(f"week.{day}" for day in DAYS)


class Book(NamedTuple):
    """One file of a practice."""

    file: str
    says: str
    record: type[Record]


BOOKS: tuple[Book, ...] = (
    Book(
        "practice.yaml",
        "Your own settings. They hold for every client whose file does not say otherwise.",
        Practice,
    ),
    Book(
        "A group in practice.yaml",
        "What some clients share: it stands under `groups:` and a name, and a client's file says\n"
        "`group:` and that name. The client's own file goes before it, the practice's settings\n"
        "come after.",
        Group,
    ),
    Book(
        "ID.yaml",
        "One client. The file's name is the client's id: small letters, digits and hyphens.",
        Client,
    ),
    Book(
        "ID.log.yaml",
        "That client's check-ins, a list, newest last. `sitegen receive` writes them; so may you.",
        CheckIn,
    ),
    Book(
        "sessions/NAME.yaml",
        "A kind of session of your own; one with the name of a shipped one takes its place. See\n"
        "[sessions](sessions.md).",
        WorkoutFile,
    ),
)


KEPT = (
    (
        "ID.told.yaml",
        "What a client was shown, day by day; sitegen writes it. Under `weeks` stands a line a\n"
        "week, and below it one for each of its sessions. See [the ledger](ledger.md).",
        (kept_fields.TOLD_KEPT, *kept_fields.WEEK_KEPT, *kept_fields.SESSION_KEPT),
    ),
    (
        "ID.alarms.yaml",
        "What you answered to alarms, a list; `sitegen answer` writes it. See [alarms](alarms.md).",
        kept_fields.ANSWER_KEPT,
    ),
)


def field_book() -> str:
    """Markdown, the same for the same version."""
    books = (line for book in BOOKS for line in _book(book))
    return "\n".join([FIELD_BOOK_HEAD, *_kinds(), *books, *_kept()])


def _kinds() -> Iterator[str]:
    shown: dict[str, Kind] = {}
    for book in BOOKS:
        for _, row in all_rows(book.record):
            if row.value is not None and row.value.form:
                shown.setdefault(row.value.noun, row.value)
    yield from ("## Kinds of value", "", "| kind | written | bounds |", "| --- | --- | --- |")
    for kind in sorted(shown.values(), key=lambda kind: kind.noun):
        yield _row(kind.noun, kind.form, kind.bounds)
    yield ""


def _book(book: Book) -> Iterator[str]:
    yield from (f"## {book.file}", "", book.says, "")
    yield "| field | meaning | what to write | default | example |"
    yield "| --- | --- | --- | --- | --- |"
    for path, row in all_rows(book.record):
        name = ".".join(path)
        if name.startswith(_DAYS[1:]):  # one weekday for all seven
            continue
        is_day = name == _DAYS[0]
        meaning = "what a day offers, `mon` to `sun`" if is_day else row.meaning
        default = "rest" if is_day else _default(path, row)
        name = name.replace(_DAYS[0], "week.DAY")
        yield _row(f"`{name}`", meaning, _written(name, row), default, f"`{row.example}`")
    yield ""


def _kept() -> Iterator[str]:
    """The files that sitegen writes and a coach only reads."""
    head = ("| field | meaning | what is written | example |", "| --- | --- | --- | --- |")
    for file, says, fields in KEPT:
        yield from (f"## {file}", "", says, "", *head)
        for one in fields:
            yield _row(f"`{one.name}`", one.meaning, one.written, f"`{one.example}`")
        yield ""


def _row(*cells: str) -> str:
    return f"| {' | '.join(cell.replace('|', chr(92) + '|') for cell in cells)} |"


def _written(name: str, row: Row) -> str:
    if row.many == "by name":
        return "a map"
    what = _kind_words(row.value) if row.value else _no_value(name)
    return f"list: {what}" if "list" in row.many else what


def _no_value(name: str) -> str:
    return "`rest`, `yes`, or a map" if name == "week.DAY" else "a map"


def _kind_words(kind: Kind) -> str:
    """What to write, with the bounds where they are not those of the kind everywhere."""
    if kind.noun == "one word":
        return one_of(tuple(f"`{word}`" for word in kind.schema["enum"]))
    if kind.noun == "a text":
        what = "a text on one line" if kind.schema["maxLength"] == MAX_TEXT else "a text, Markdown"
        return f"{what}, at most {kind.schema['maxLength']} characters"
    if kind.noun == "a colour":
        return "a colour, like `'#9c3d1e'`"
    if "minimum" in kind.schema and kind.example.startswith("from "):
        return f"{kind.noun}, {kind.example}"
    return f"{kind.noun}, {kind.bounds}" if kind.bounds and not kind.form else kind.noun


def _default(path: tuple[str, ...], row: Row) -> str:
    if row.needed:
        return "*needed*" if len(path) == 1 else f"*needed in {path[-2]}*"
    if row.needs:
        return f"*{row.needs}*"
    for rule in RULES:
        for parameter, of_client in rule.client_fields.items():
            if of_client == path:
                return _shown(rule.parameters.ROWS[parameter].fresh()) or row.usual
    return _shown(row.fresh()) or row.usual


def _shown(value: Any) -> str:
    if value is None or isinstance(value, (Record, dict)) or value == []:
        return ""
    if isinstance(value, Mass):
        return f"{value.grams:g} g" if value.mg >= 1000 else f"{value.mg:g} mg"
    return ", ".join(map(str, value)) if isinstance(value, list) else str(value)


if __name__ == "__main__":
    print(field_book(), end="")
