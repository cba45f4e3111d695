"""One question of the first talk: what it asks, how an answer is read, and where it goes.

What is asked, how an answer is written and its bounds come from the table of fields
(`sitegen.model.record.Row`); `sitegen.coach.questions` says in which order, and after which
answers.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from sitegen.model.client import Client
from sitegen.model.kinds import Kind, Unfit
from sitegen.model.record import Row, row_at

_UNKNOWN = re.compile(
    r"(?:i )?(?:don.?t|do not) know|not known|unknown|dunno|no (?:lo )?s[eé]|\?|-|", re.IGNORECASE
)
_NONE = re.compile(r"no|none|never|nothing|nada|nunca|ningun[oa]", re.IGNORECASE)
_YES = re.compile(r"s[ií]", re.IGNORECASE)
_NUMBER = re.compile(r"[0-9]+(?:\.[0-9]+)?")


@dataclass(frozen=True, slots=True)
class Answer:
    """What was answered: as it was written, and what it means.

    Without a meaning it is "don't know", or "none" where something was written. ``is_usual``
    where nothing was typed and the usual answer was taken.
    """

    text: str
    value: Any = None
    is_usual: bool = field(default=False, compare=False)

    @property
    def known(self) -> bool:
        return self.value is not None

    @property
    def is_open(self) -> bool:
        return self.value is None and not self.text


Answers = Mapping[str, Answer]


@dataclass(frozen=True, slots=True)
class NoAnswer:
    """Why an answer can't be taken, and what to write instead."""

    message: str
    hint: str
    code: str

    def __str__(self) -> str:
        return f"{self.message} ({self.hint})" if self.hint else self.message


def always_asked(answers: Answers) -> bool:
    return True


def anything_fits(value: Any, answers: Answers, today: date) -> NoAnswer | None:
    return None


def nothing_usual(answers: Answers, today: date) -> str:
    return ""


def may_be_open(answers: Answers) -> bool:
    return True


@dataclass(frozen=True, slots=True)
class Question:
    """One question.

    Args:
        key: Its name in a file of answers.
        section: The part of the talk.
        asks: The question; ``{called}`` is the client.
        how: Kind, example and bounds of an answer.
        example: An answer that is taken.
        field: Dotted path in the client's file; empty where the answer goes in another way.
        reads: Text to value, in place of the field's own kind.
        assumed: What is taken where nobody knows; empty: the answer is needed.
        usual: The answer that is taken where none is given, written as a coach would.
        when: Whether it is asked, after these answers.
        check: What the answer says together with those before it.
        needs: Keys that ``when`` and ``check`` look at.
        later: Not asked of who is referred, as it is of use once there is a clearance.
        may_be_none: ``no`` and ``none`` leave the field out.
        optional: Whether nobody need know it, after these answers, where something is assumed.
        unit: What a bare number is counted in, where a coach types it.
        sheet: The same for the client's own pen; empty: not on the sheet.
    """

    key: str
    section: str
    asks: str
    how: str
    example: str
    field: str = ""
    reads: Callable[[str], Any] | None = None
    assumed: str = ""
    usual: Callable[[Answers, date], str] = nothing_usual
    when: Callable[[Answers], bool] = always_asked
    check: Callable[[Any, Answers, date], NoAnswer | None] = anything_fits
    needs: tuple[str, ...] = ()
    later: bool = False
    may_be_none: bool = False
    optional: Callable[[Answers], bool] = may_be_open
    unit: str = ""
    sheet: str = ""

    def spoken(self, typed: str) -> str:
        """What a coach types at the table, with the unit that nobody says there."""
        typed = typed.strip()
        bare = "0" if self.unit == "min" else _NUMBER  # 2 is hours to one, and minutes to another
        return f"{typed} {self.unit}" if self.unit and re.fullmatch(bare, typed) else typed

    def read(
        self, text: str, answers: Answers, today: date, *, alone: bool = False
    ) -> Answer | NoAnswer:
        """An answer, or what is wrong with it. ``alone`` leaves earlier answers out of it."""
        text = text.strip()
        is_usual = _UNKNOWN.fullmatch(text) is not None
        if is_usual:
            text = self.usual(answers, today) if not alone else ""
            if not text and self.assumed and (alone or self.optional(answers)):
                return Answer("")
            if not text:
                return NoAnswer("this answer is needed", f"write {self.how}", "answer-needed")
        if self.may_be_none and _NONE.fullmatch(text):
            return Answer(text)
        if self.how.startswith("yes or no") and _YES.fullmatch(text):
            text = "yes"
        try:
            value = (self.reads or reader_of(field_row(self.field)))(text)
        except Unfit as unfit:
            return NoAnswer(unfit.message, unfit.hint, unfit.code)
        wrong = None if alone else self.check(value, answers, today)
        return wrong or Answer(text, value, is_usual)


# --- what the table says ----------------------------------------------------------------------


def field_row(path: str) -> Row:
    """The row of a field of the client's file, by its dotted path.

    Raises:
        KeyError: The table has no such field.
    """
    found = row_at(Client, tuple(path.split(".")))
    if found is None:
        raise KeyError(path)
    return found


def reader_of(row: Row) -> Callable[[str], Any]:
    """Text to value, as the field's kind reads it; a list is typed with commas.

    Raises:
        KeyError: The field is a map.
    """
    kind = row.value
    if kind is None:
        raise KeyError(row.key)
    return (
        (lambda text: [kind.validate(one) for one in typed_list(text)])
        if row.many
        else (kind.validate)
    )


def typed_list(text: str) -> list[str]:
    """``a, b c`` or ``[a, b_c]``, one by one, each in one word."""
    return ["_".join(one.split()) for one in re.split("[,;]", text.strip("[] ")) if one.strip()]


def asked(path: str, section: str, key: str = "", bounds: str = "", **more: Any) -> Question:
    """The question of a field, by the table.

    Args:
        path: Dotted path in the client's file.
        section: The part of the talk.
        key: Its name in a file of answers; empty: the last step of the path.
        bounds: What may be answered, where earlier answers narrow it.
        more: As `Question`; ``assumed`` is the table's own where it is left out.
    """
    row = field_row(path)
    is_needed = row.needed or bool(row.needs)
    more.setdefault("assumed", "" if is_needed else row.usual or "not known")
    return Question(
        key or path.rpartition(".")[2],
        section,
        row.asks,
        how_to_write(row, bounds),
        row.example.strip("[]").replace("_", " "),
        path,
        sheet="" if row.private else row.pen,
        **more,
    )


def how_to_write(row: Row, bounds: str = "") -> str:
    """``a cadence, like 158 spm; between 100 and 240 spm``: kind, example, bounds, and a word."""
    kind = row.value
    if kind is None:
        return row.how
    told = [_form(kind, row.example.strip("[]"), bool(row.many))]
    own = kind.bounds or (kind.example if kind.example.startswith("from ") else "")
    told += [bounds or own.removeprefix("lies "), row.how]
    return "; ".join(filter(None, told))


def _form(kind: Kind, example: str, is_list: bool) -> str:
    if kind.noun == "yes or no":
        return kind.noun
    if kind.noun == "one word":
        words = kind.example.replace("_", " ")
        return f"{words}, several with commas" if is_list else kind.example
    where = "" if kind.example.startswith(("like ", "from ")) else f", {kind.example}"
    where = where.replace(", on ", " on ")
    return f"{kind.noun}{where}, like {example}"


def described(path: str) -> str:
    """What the table says of a field."""
    found = row_at(Client, tuple(path.split(".")))
    return found.told if found is not None else ""
