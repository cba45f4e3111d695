"""What libyaml stumbles over, in a coach's words and at the place where the slip is.

libyaml says where it lost the thread, which is often a line or a page after the slip. Each
reader below knows one slip, looks at the text around that place, and either explains it or
passes. The first that explains is heard.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import NamedTuple

import yaml

from sitegen.model.kinds import quoted
from sitegen.model.problem import Origin, Problem
from sitegen.practice.yaml_text import LINE_END


class Stumble(NamedTuple):
    """Where libyaml stopped. Lines and columns count from 0.

    ``begun`` is where the part began in which it stopped; ``says`` and ``doing`` are its words.
    """

    lines: tuple[str, ...]
    says: str
    doing: str
    at: tuple[int, int]
    begun: tuple[int, int]

    def line(self, number: int) -> str:
        return self.lines[number] if 0 <= number < len(self.lines) else ""

    @property
    def here(self) -> str:
        """The line in which it stopped."""
        return self.line(self.at[0])

    @property
    def above(self) -> int:
        """Number of the nearest line above that is neither blank nor a comment; -1 if none."""
        for number in range(min(self.at[0], len(self.lines)) - 1, -1, -1):
            if self.lines[number].strip() and not self.lines[number].lstrip().startswith("#"):
                return number
        return -1


class Slip(NamedTuple):
    """A slip with its place, counting from 0, and its mend."""

    at: tuple[int, int]
    message: str
    hint: str
    code: str


SlipReader = Callable[[Stumble], Slip | None]

_GLUED = re.compile(r"\s*(?:- +)?(?P<key>[A-Za-z_][A-Za-z_-]*):(?=[^\s/:])(?!//)")
_GLUED_DASH = re.compile(r"\s*-(?=\{|[A-Za-z_][\w-]*:\s)")
_KEY_AND_TEXT = re.compile(r"\s*(?:- +)*(?P<key>[A-Za-z_][\w-]*):\s+(?P<text>\S.*)")
_KEY_LIKE = re.compile(r"\s*(?:- +)*[A-Za-z_][\w-]*:")
_CURLY_START = re.compile(r"(?:[:\-]\s+|[\[{,]\s*)(?P<quote>[“”„‟«‘’])")
_INDENT = re.compile(r"[ \t]*")


_ODD_SPACE = "\u00a0\u202f\u2007\u3000"
ODD_SPACE_SAYS = "a non-breaking space stands here, which is no space to YAML"
ODD_SPACE_HINT = "type plain spaces in its place; text from a web page brings them along"
_NEXT_KEY = re.compile(r"(?<=\s)([a-z_]+):(?=\s)")  # of a check-in that came as one line
_MARK = re.compile(r"\s*(?P<mark>[–—−•·*])\s+(?=\S)")
_NO_VALUE = re.compile(r"\b(?P<key>[A-Za-z_]\w*):(?=[}\],])")


def _around(s: Stumble) -> Iterator[int]:
    """Lines near the stumble: where it stopped, where the part began, and the one above."""
    yield from dict.fromkeys((s.at[0], s.begun[0], s.above))


def _odd_space(s: Stumble) -> Slip | None:
    """A space that is none to YAML, as web pages and word processors put it."""
    for number in _around(s):
        line = s.line(number)
        bare = line.lstrip(" \t" + _ODD_SPACE)
        indent = line[: len(line) - len(bare)]
        found = re.search(rf"[{_ODD_SPACE}]", indent) or re.search(
            rf"(?<=[:\-])[{_ODD_SPACE}]", line
        )
        if found:
            return Slip(
                (number, found.start()),
                ODD_SPACE_SAYS,
                ODD_SPACE_HINT,
                "odd-space",
            )
    return None


def _odd_mark(s: Stumble) -> Slip | None:
    """A long dash, a dot or a star as the mark of a list."""
    for number in _around(s):
        if found := _MARK.match(s.line(number)):
            return Slip(
                (number, found.start("mark")),
                f"{found['mark']} is no mark of a list",
                "begin each entry with - and a space, like - week: 3",
                "list-mark",
            )
    return None


def _no_value(s: Stumble) -> Slip | None:
    """``symptoms:}``: no value, and no space that would show it."""
    for number in _around(s):
        if found := _NO_VALUE.search(s.line(number)):
            return Slip(
                (number, found.start("key")),
                f"nothing is written after {found['key']}:",
                "write its value, after the colon and a space",
                "value-missing",
            )
    return None


def _tab(s: Stumble) -> Slip | None:
    """A tab where only spaces may stand."""
    for number in (s.at[0], s.begun[0]):
        indent = _INDENT.match(s.line(number))
        column = indent[0].find("\t") if indent else -1
        if column >= 0:
            return Slip(
                (number, column),
                "a tab stands at the start of this line",
                "indent with spaces, two for each step",
                "tab",
            )
    return None


def _curly_quotes(s: Stumble) -> Slip | None:
    """Quotes from a word processor, which hold nothing together."""
    found = _CURLY_START.search(s.here)
    if not found:
        return None
    return Slip(
        (s.at[0], found.start("quote")),
        "curly quotes do not hold a text together",
        "write straight quotes, like \"so\" or 'so'",
        "curly-quotes",
    )


def _open_quote(s: Stumble) -> Slip | None:
    """A quote without its partner."""
    if "quoted scalar" not in s.doing or not s.says.startswith("found unexpected"):
        return None
    quote = s.line(s.begun[0])[s.begun[1] : s.begun[1] + 1]
    return Slip(
        s.begun,
        f"this {quote} is never closed",
        f"write a second {quote} at the end of the text",
        "quote-open",
    )


def _escape(s: Stumble) -> Slip | None:
    """A backslash in double quotes."""
    if "quoted scalar" not in s.doing:
        return None
    return Slip(
        s.at,
        "a backslash in double quotes has a meaning of its own",
        "write the text in single quotes, 'so'",
        "escape",
    )


def _glued_colon(s: Stumble) -> Slip | None:
    """``name:Mara``, with no space after the colon."""
    if "values are not allowed" not in s.says and "expected ':'" not in s.says:
        return None
    for number in (s.begun[0], s.above, s.at[0]):
        found = _GLUED.match(s.line(number))
        if found:
            return Slip(
                (number, found.end() - 1),
                f"no space stands after the colon of {quoted(found['key'])}",
                "write a space after each colon, like name: Mara",
                "colon-space",
            )
    return None


def _glued_dash(s: Stumble) -> Slip | None:
    """``-week: 3`` or ``-{week: 3}``, with no space after the mark of a list."""
    for number in (s.at[0], s.above, s.begun[0]):
        found = _GLUED_DASH.match(s.line(number))
        if found:
            like = "- {on: 2027-01-19}" if s.line(number)[found.end()] == "{" else "- week: 3"
            return Slip(
                (number, found.end() - 1),
                "no space stands after the -",
                f"begin each entry of a list with - and a space, like {like}",
                "dash-space",
            )
    return None


def _second_colon(s: Stumble) -> Slip | None:
    """``text: Race: half``, a text with a colon and a space in it."""
    if "values are not allowed" not in s.says:
        return None
    found = _KEY_AND_TEXT.match(s.here[: s.at[1]])
    if not found:
        return None
    bare = re.split(r"\s#", s.here, maxsplit=1)[0]
    text = (_KEY_AND_TEXT.match(bare) or found)["text"].strip()
    if text[0] == "(" and text[-1] == ")":
        hint = f"keys stand in braces, like {found['key']}: {{{_cut(text[1:-1])}}}"
        return Slip(s.at, "round brackets hold no keys together", hint, "braces")
    hint = f'put a text in quotes, like {found["key"]}: "{_cut(text)}"'
    if found["key"] == "on" and (keys := _NEXT_KEY.findall(text)):
        hint = f"begin a line of its own with each of {', '.join(f'{key}:' for key in keys)}"
    if re.fullmatch(r"[a-z_]+\s*", found["text"]):
        hint += f"; put keys in braces, like {found['key']}: {{{_cut(text)}}}"
    return Slip(
        s.at,
        f"a second colon stands in the line of {quoted(found['key'])}",
        hint,
        "colon-in-text",
    )


def _deeper_than_text(s: Stumble) -> Slip | None:
    """A key that is indented under a line which already has its value."""
    above = s.line(s.above)
    if "values are not allowed" not in s.says or not _KEY_AND_TEXT.match(above):
        return None
    column = _indent(s.here)
    if column <= _indent(above):
        return None
    hint = f"start it in column {_key_column(above) + 1}, under the key above"
    if _key_column(s.line(s.above - 1)) == column:  # then it may be the line above that slipped
        hint += f"; or start the line above in column {column + 1}"
    return Slip(
        (s.at[0], column),
        "this line is further in than the one above it, which already has its value",
        hint,
        "indent",
    )


def _no_colon(s: Stumble) -> Slip | None:
    """A line without any colon."""
    if "expected ':'" in s.says:
        number = s.begun[0]
    elif "values are not allowed" in s.says and s.above >= 0 and ":" not in s.line(s.above):
        number = s.above
    else:
        return None
    line = s.line(number)
    if "：" in line:
        hint = "type a plain colon and a space in its place"
        return Slip((number, line.index("：")), "this wide ： is no colon", hint, "no-colon")
    hint = "write key: value; an entry of a list begins with -"
    if number and _KEY_AND_TEXT.match(s.line(number - 1)):
        hint += "; a text goes on further in than its key"
    return Slip((number, _indent(line)), "this line has no colon", hint, "no-colon")


def _after_quote(s: Stumble) -> Slip | None:
    """Text that goes on after a closing quote: ``'it's late'``."""
    before = s.here[: s.at[1]].rstrip()
    if "did not find expected" not in s.says or before[-1:] not in ("'", '"'):
        return None
    return Slip(
        s.at,
        f"the text goes on after its closing {before[-1]}",
        "put the whole text in quotes; within 'single' ones write '' for '",
        "quote-inside",
    )


def _after_bracket(s: Stumble) -> Slip | None:
    """Text that begins with a bracket: ``[link](https://…)``."""
    before = s.here[: s.at[1]].rstrip()
    if "expected key" not in s.says or before[-1:] not in ("]", "}"):
        return None
    if not s.here[s.at[1] :].strip(" ]}"):
        return Slip(s.at, f"this {s.here[s.at[1]]} closes nothing", "take it out", "bracket-open")
    return Slip(
        s.at,
        f"the text goes on after the closing {before[-1]}",
        "put a text that begins with a bracket in quotes",
        "bracket-text",
    )


def _open_bracket(s: Stumble) -> Slip | None:
    """A bracket that is not closed, or a comma left out."""
    ends = not s.here[s.at[1] :].strip() and not any(map(str.strip, s.lines[s.at[0] + 1 :]))
    if "expected ','" in s.says and s.at[0] == s.begun[0] and not ends:
        return Slip(
            s.at,
            "a comma is missing before this",
            "part the entries with commas, like {at: 18:30, up_to: 45 min}",
            "comma",
        )
    if "expected ','" in s.says or (ends and "node content" in s.says):
        opened = s.begun if "expected ','" in s.says else _last_open(s.lines)
        bracket = s.line(opened[0])[opened[1] : opened[1] + 1] if opened else ""
        if opened and bracket in _CLOSING:
            return Slip(
                opened,
                f"this {bracket} is never closed",
                f"write {_CLOSING[bracket]} after the last entry",
                "bracket-open",
            )
    return None


_CLOSING = {"[": "]", "{": "}"}


def _last_open(lines: tuple[str, ...]) -> tuple[int, int] | None:
    """The last bracket that nothing closes."""
    closed = 0
    for number in range(len(lines) - 1, -1, -1):
        for column in range(len(lines[number]) - 1, -1, -1):
            character = lines[number][column]
            if character in _CLOSING.values():
                closed += 1
            elif character in _CLOSING:
                if closed == 0:
                    return number, column
                closed -= 1
    return None


def _list_mark(s: Stumble) -> Slip | None:
    """A list that starts, or stops, where it cannot."""
    if "expected '-'" in s.says:
        return Slip(
            s.at,
            "this line stands in a list but does not begin with -",
            "begin each entry with -, or start the line further left",
            "list-mark",
        )
    if "sequence entries are not allowed" in s.says or (
        "expected key" in s.says and s.here[s.at[1] : s.at[1] + 2] in ("- ", "-")
    ):
        return Slip(
            s.at,
            "a list begins here, where a key or a text belongs",
            "start the list on the line below its key; put a text that begins with - in quotes",
            "list-mark",
        )
    return None


def _indentation(s: Stumble) -> Slip | None:
    """A line that lines up with nothing above it."""
    if "expected key" not in s.says or s.here[: s.at[1]].strip():
        return None
    columns = sorted({_key_column(line) for line in s.lines[: s.at[0]] if _KEY_LIKE.match(line)})
    near = min(columns, key=lambda c: (abs(c - s.at[1]), -c), default=0)
    return Slip(
        s.at,
        "this line does not line up with the lines above it",
        f"start it in column {near + 1}, in line with the keys beside it",
        "indent",
    )


def _first_character(s: Stumble) -> Slip | None:
    """A text that begins with a character that YAML keeps for itself."""
    starts = ("any token", "alphabetic or numeric", "mapping keys are not allowed")
    block = "scanning a block scalar" in s.doing
    if not block and not any(words in s.says for words in starts) and "tag" not in s.doing:
        return None
    at = s.at if "any token" in s.says or "mapping keys" in s.says else s.begun
    shown = s.line(at[0])[at[1] : at[1] + 1]
    if block:
        return Slip(
            at,
            f"text stands on the line of the {shown}",
            f"start the text on the line below, or put it in quotes without the {shown}",
            "first-character",
        )
    return Slip(
        at,
        f"a text cannot begin with {shown}",
        "put it in quotes",
        "first-character",
    )


def _value_missing(s: Stumble) -> Slip | None:
    if "node content" not in s.says:
        return None
    shown = s.here[s.at[1] : s.at[1] + 1]
    return Slip(
        s.at,
        f"{shown or 'the end of the file'} stands where a value belongs",
        "write the value, or take the comma, bracket or key out",
        "value-missing",
    )


def _directive(s: Stumble) -> Slip | None:
    if "directive" not in s.says + s.doing and "incompatible" not in s.says:
        return None
    return Slip(
        (s.at[0], 0),
        "a line cannot begin with %",
        "put a text that begins with % in quotes, or take the line out",
        "first-character",
    )


def _second_document(s: Stumble) -> Slip | None:
    if "document start" not in s.says:
        return None
    return Slip(
        s.at,
        "this stands after the end of the document",
        "a file holds one document; take out the line above that ends it",
        "second-document",
    )


SLIPS: tuple[SlipReader, ...] = (
    _tab,
    _odd_space,
    _odd_mark,
    _open_quote,
    _escape,
    _curly_quotes,
    _glued_colon,
    _glued_dash,
    _second_colon,
    _deeper_than_text,
    _no_value,
    _no_colon,
    _after_quote,
    _after_bracket,
    _open_bracket,
    _list_mark,
    _indentation,
    _first_character,
    _value_missing,
    _directive,
    _second_document,
)


def explain(error: yaml.YAMLError, text: str, file: str, skip_lines: int = 0) -> Problem:
    """The problem behind a libyaml error, never in libyaml's own words."""
    stumble = _stumble(error, text)
    told = (reader(stumble) for reader in SLIPS)
    slip = next((found for found in told if found), None) or Slip(
        stumble.at,
        "the file cannot be read from here on",
        "look at the colons, quotes and indentation of this line and the one above",
        "syntax",
    )
    line, column = slip.at
    if line >= len(stumble.lines):  # libyaml counts one line more at the end of a file
        line, column = len(stumble.lines) - 1, len(stumble.lines[-1])
    return Problem(
        Origin(file, line + 1 + skip_lines, column + 1), slip.message, slip.hint, slip.code
    )


def _stumble(error: yaml.YAMLError, text: str) -> Stumble:
    lines = tuple(LINE_END.split(text))
    if not isinstance(error, yaml.MarkedYAMLError):
        return Stumble(lines, "", "", (0, 0), (0, 0))
    stop = error.problem_mark or error.context_mark
    start = error.context_mark or error.problem_mark
    at = (stop.line, stop.column) if stop else (0, 0)
    begun = (start.line, start.column) if start else at
    return Stumble(lines, error.problem or "", error.context or "", at, begun)


def _indent(line: str) -> int:
    return len(line) - len(line.lstrip())


def _key_column(line: str) -> int:
    """Where the key of a line starts, behind the mark of a list."""
    found = re.match(r"\s*(?:- +)*", line)
    return found.end() if found else 0


def _cut(text: str) -> str:
    text = text.replace('"', "'")
    return text if len(text) <= 40 else f"{text[:40]}…"
