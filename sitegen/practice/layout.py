"""How a file of YAML is laid out: where each node stands in the text, and where a line ends.

An index counts characters of the text from 0, as PyYAML's marks do.
"""

from __future__ import annotations

import re
from typing import TypeAlias

import yaml

Node: TypeAlias = "yaml.Node"

_BREAK = re.compile(r"\r\n|\r|\n")
EMPTY = frozenset({"", "~", "null", "Null", "NULL"})
"""What stands for nothing, written without quotes."""


def root_of_text(text: str) -> Node | None:
    """The file's tree of nodes; None where nothing is written.

    Raises:
        yaml.YAMLError: It is no YAML; the reader tells so in a coach's words.
    """
    return yaml.compose(text, Loader=yaml.CSafeLoader)


def child(node: Node, key: str) -> tuple[Node, Node] | None:
    """The nodes of a map's key and its value; None where it is not written."""
    if not isinstance(node, yaml.MappingNode):
        return None
    return next((pair for pair in node.value if pair[0].value == key), None)


def is_nothing(node: Node) -> bool:
    """Whether a key has no value."""
    return isinstance(node, yaml.ScalarNode) and not node.style and node.value in EMPTY


def is_block(node: Node) -> bool:
    """Whether a map or a list stands on lines of its own, without brackets."""
    return isinstance(node, yaml.CollectionNode) and not node.flow_style


def end_of(node: Node, text: str) -> int:
    """The index behind the last character of what is written in a node.

    A block's own mark lies behind the comments that follow it, so its last value is asked.
    """
    if is_block(node):
        last = node.value[-1]
        return end_of(last[1] if isinstance(node, yaml.MappingNode) else last, text)
    end: int = node.end_mark.index
    if isinstance(node, yaml.ScalarNode) and node.style in ("|", ">"):
        end = len(text[:end].rstrip())
    return max(end, node.start_mark.index)


def line_end(text: str, at: int) -> int:
    """The index of the line break, or of the end, that ends the line of ``at``."""
    found = _BREAK.search(text, at)
    return found.start() if found else len(text)


def line_start(text: str, at: int) -> int:
    """The index of the first character of the line of ``at``."""
    return max(text.rfind("\n", 0, at), text.rfind("\r", 0, at)) + 1


def line_break(text: str, at: int) -> str:
    """How the line of ``at`` ends, or the one before it where it is the last."""
    found = _BREAK.search(text, at)
    if found:
        return found[0]
    before = _BREAK.findall(text, 0, at)
    return before[-1] if before else "\n"


def indent_of(text: str, at: int) -> str:
    """The spaces with which the line of ``at`` begins."""
    start = line_start(text, at)
    return text[start : start + len(text[start:]) - len(text[start:].lstrip(" "))]


def begins_line(text: str, at: int) -> bool:
    """Whether nothing but space stands before ``at`` in its line."""
    return not text[line_start(text, at) : at].strip()
