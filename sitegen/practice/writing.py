"""Values as YAML, written so that the reader takes back the same text."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping

from sitegen.practice.yaml_text import Tree

# What needs no quotes: it begins with a letter or digit, and holds nothing that YAML could take
# for a sign of its own. A colon only inside a word, as in 18:30.
_PLAIN = re.compile(r"[^\W_](?:[\w ./%+'-]|:(?=\w))*")
# Left as they are by JSON, but not allowed bare in YAML, or unseen by a reader of the file.
_ESCAPED = re.compile(r"[\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff]")
_NOT_LITERAL = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff]")


def scalar(text: str) -> str:
    """``text`` as YAML on one line: bare where that is safe, else in double quotes."""
    if _PLAIN.fullmatch(text) and text == text.strip():
        return text
    return quoted_scalar(text)


def quoted_scalar(text: str) -> str:
    """``text`` in double quotes, with JSON's escapes, which YAML reads the same."""
    written = json.dumps(text, ensure_ascii=False)
    return _ESCAPED.sub(lambda found: f"\\u{ord(found[0]):04x}", written)


def in_line(value: Tree) -> str:
    """A value as YAML on one line, maps in braces and lists in brackets."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{k}: {in_line(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(in_line(v) for v in value) + "]"
    return scalar(value)


def map_lines(entry: Mapping[str, Tree]) -> Iterator[str]:
    """A map as lines of YAML, each key on its own; a text of several lines as they are."""
    for key, value in entry.items():
        if isinstance(value, str) and _reads_as_lines(value):
            yield f"{key}: |-"
            yield from (f"  {line}" if line else "" for line in value.split("\n"))
        else:
            yield f"{key}: {in_line(value)}"


def _reads_as_lines(text: str) -> bool:
    """True for several lines that a literal block gives back the same."""
    lines = text.split("\n")
    return len(lines) > 1 and bool(lines[0] and lines[-1]) and all(map(_is_literal, lines))


def _is_literal(line: str) -> bool:
    return _NOT_LITERAL.search(line) is None and line == line.strip()
