"""What a kind of value is, and how it tells a slip."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from typing import Any, NamedTuple

from sitegen.model.nearest import nearest_of

MAX_QUOTED = 40
MOST_TEXTS = 4096  # whose values are kept, of a kind that clients write alike


class Unfit(ValueError):
    """A text that a kind does not take: the problem's code, what is wrong, and the mend."""

    def __init__(self, code: str, message: str, hint: str) -> None:
        super().__init__(message)
        self.code, self.message, self.hint = code, message, hint


def slip(code: str, message: str, hint: str, **values: object) -> Unfit:
    """An error that carries its mend. ``message`` may name ``values`` in braces."""
    return Unfit(code, message.format(**values), hint)


def quoted(text: str) -> str:
    """The coach's own words in quotes, cut where they are long."""
    one_line = " ".join(text.split())
    return f'"{one_line[:MAX_QUOTED]}…"' if len(one_line) > MAX_QUOTED else f'"{one_line}"'


class Kind(NamedTuple):
    """A kind of value: reads text, and describes itself to a coach and to an editor.

    A value that already has one of ``types`` passes, so that tests and rules may build records
    directly. ``schema`` is what it takes as JSON Schema. A kind ``of_anything`` sees what stands
    there before it is known to be one text. ``form`` shows how it is written, ``bounds`` what it
    may be, in the words in which a slip is told; ``within`` holds a value to them that was
    read by another kind.
    """

    types: tuple[type, ...]
    parse: Callable[[Any], Any]
    noun: str
    example: str
    schema: Mapping[str, Any]
    of_anything: bool = False
    form: str = ""
    bounds: str = ""
    within: Callable[[Any, str], None] | None = None

    def takes(self, text: str) -> bool:
        """Whether a text means any value."""
        try:
            self.validate(text)
        except Unfit:
            return False
        return True

    def validate(self, value: object) -> Any:
        """The value that a text means.

        Raises:
            Unfit: It means none; the error says what to write.
        """
        if self.of_anything:
            return self.parse(value)
        if str not in self.types and isinstance(value, self.types):
            if self.within is not None:
                self.within(value, str(value))
            return value
        if not isinstance(value, str):
            raise slip(
                "one-value",
                "here {shape} stands where one value belongs",
                f"write {self.noun}, {self.example}",
                shape="a list" if isinstance(value, list) else "a map",
            )
        text = value.strip()
        if not text:
            hint = f"write {self.noun}, {self.example}, or take the line out"
            raise slip("empty", "nothing is written here", hint)
        return self.parse(text)


def schema_of(pattern: str, description: str, *examples: str) -> dict[str, Any]:
    return {
        "type": "string",
        "pattern": pattern,
        "description": description,
        "examples": list(examples),
    }


def schema_or_sixties(
    pattern: str, low: int, high: int, description: str, *examples: str
) -> dict[str, Any]:
    """A text with colons, which YAML 1.1 reads as a number to the base of sixty: 18:30 is 1110."""
    schema = schema_of(pattern, description, *examples)
    return schema | {"type": ["string", "integer"], "minimum": low, "maximum": high}


def wrong(code: str, text: str, noun: str, hint: str) -> Unfit:
    return slip(code, "{wrong} is not {noun}", hint, wrong=quoted(text), noun=noun)


NUMBER = r"[0-9]{1,6}(?:\.[0-9]{1,4})?"
_COMMA = re.compile(r"[0-9],[0-9]")


def hint_for(text: str, hint: str) -> str:
    """Says the likeliest slip first: a decimal comma."""
    return f"use a point for decimals; {hint}" if _COMMA.search(text) else hint


def with_unit(text: str, unit: str, hint: str) -> str:
    """Gives a bare number its likeliest unit back."""
    if re.fullmatch(NUMBER, text):
        return f"write the unit too, like {text} {unit}"
    return hint_for(text, hint)


def one_of(words: tuple[str, ...]) -> str:
    """``a, b or c``."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"


def out_of_range(code: str, text: str, hint: str) -> Unfit:
    """The slip of a value that is written well, and beyond its bounds."""
    return slip(code, "{wrong} is out of range", hint, wrong=quoted(text))


def nearest(text: str, words: Iterable[str]) -> str:
    """``did you mean X? `` or nothing."""
    found = nearest_of(text, words)
    return f"did you mean {found}? " if found else ""
