"""UTF-8 YAML to a tree of maps, lists and text, with the place of every key and value.

Nothing is constructed: each scalar stays the text that was written, so that its field can type
it. The tree is grown from libyaml's events, not from its nodes, because events still know
anchors and tags, and because reading them stops where a file goes too deep.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, NamedTuple, TypeAlias

import yaml

from sitegen.model.case import Origins
from sitegen.model.kinds import quoted
from sitegen.model.problem import Origin, Problem
from sitegen.model.record import Path

if not yaml.__with_libyaml__:
    raise ImportError(
        "PyYAML lacks libyaml here, and its slow reader gives other places and messages; "
        "install PyYAML from a binary wheel, or build it with libyaml"
    )

Tree: TypeAlias = "dict[str, Tree] | list[Tree] | str"

MAX_BYTES = 1024 * 1024
MAX_DEPTH = 20
MAX_CONTROL_PROBLEMS = 10

# What YAML 1.1 forbids unescaped, and what editors and YAML disagree on counting as a line's end.
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff]")
_UNSEEN = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x84\x86-\x9f\ufeff\ufffe\uffff]")
LINE_END = re.compile(r"\r\n|\r|\n")
_CURLY = re.compile(r"[“”„‟«‘’‚‛].*[“”„‟»‘’‚‛]", re.DOTALL)

# How files begin that an editor or a word processor saved in a format of its own, from memory.
_FORMATS = {
    b"{\\rtf": "formatted text (RTF)",
    b"PK\x03\x04": "a zip archive, as word processors and spreadsheets save it",
    b"\xd0\xcf\x11\xe0": "an old word processor's document",
    b"%PDF-": "a PDF",
    b"<!doctype html": "a web page (HTML)",
    b"<html": "a web page (HTML)",
}


class YamlText(NamedTuple):
    """What a file holds. ``tree`` is None where nothing is written or nothing can be read.

    ``spoiled`` are paths whose value could not be taken (an alias): what a later check says of
    them would only echo the problem already told. ``curly`` are paths of values that are written
    in curly quotes, which YAML takes for letters.
    """

    tree: Tree | None
    origins: Origins
    problems: tuple[Problem, ...] = ()
    spoiled: frozenset[Path] = frozenset()
    curly: frozenset[Path] = frozenset()


def read_yaml(data: bytes, file: str, skip_lines: int = 0) -> YamlText:
    """Read one file.

    Args:
        data: The file's bytes: UTF-8, with or without a byte order mark.
        file: The name that places are given in.
        skip_lines: Lines of the file that stand before ``data``.
    """
    if len(data) > MAX_BYTES:
        return _nothing(
            file,
            Problem(
                Origin(file),
                f"the file has {len(data) / MAX_BYTES:.1f} MiB",
                "a file may have at most 1 MiB; is this the right file?",
                "file-size",
            ),
        )
    text, problem = decoded(data, file)
    if problem:
        return _nothing(file, problem)
    text, problems = without_control(text, file, skip_lines)
    events = iter(yaml.CSafeLoader(text).get_event, None)  # `yaml.parse` in one step less
    grower = _Grower(file, skip_lines, events, problems)
    tree: Tree | None = None
    try:
        tree = grower.document()
    except yaml.YAMLError as error:
        from sitegen.practice.syntax import explain  # for who has to be told only

        problems.append(explain(error, text, file, skip_lines))
    except _TooDeep:
        pass
    return YamlText(
        tree,
        Origins(file, grower.keys, grower.values),
        tuple(sorted(problems)),
        frozenset(grower.spoiled),
        frozenset(grower.curly),
    )


def _nothing(file: str, problem: Problem) -> YamlText:
    return YamlText(None, Origins(file), (problem,))


def decoded(data: bytes, file: str) -> tuple[str, Problem | None]:
    """The text without its byte order mark, or what is wrong with its encoding or format."""
    start = data[:20].removeprefix(b"\xef\xbb\xbf").lstrip().lower()
    for begins, what in _FORMATS.items():
        if start.startswith(begins.lower()):
            return "", Problem(
                Origin(file),
                f"this is no plain text but {what}",
                "save it as plain text in UTF-8; look under Format or Save As in the editor",
                "not-text",
            )
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return "", Problem(
            Origin(file),
            "the file is saved as UTF-16",
            "save it as UTF-8; your editor's Save As offers the encoding",
            "encoding",
        )
    try:
        return data.decode("utf-8").removeprefix("\ufeff"), None
    except UnicodeDecodeError as error:
        before = data[: error.start].decode("utf-8").removeprefix("\ufeff")
        lines = LINE_END.split(before)
        return "", Problem(
            Origin(file, len(lines), len(lines[-1]) + 1),
            f"byte 0x{data[error.start]:02x} is not UTF-8",
            "save the file as UTF-8, or type this character again",
            "encoding",
        )


def one_line(text: str) -> str:
    """A text on one line, with a single space for what is no letter or sign that is seen."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())


def without_control(text: str, file: str, skip_lines: int) -> tuple[str, list[Problem]]:
    """The text with a blank for each invisible character, and a problem for the first of them."""
    problems: list[Problem] = []
    for found in _CONTROL.finditer(text):
        if len(problems) == MAX_CONTROL_PROBLEMS:
            break
        lines = LINE_END.split(text[: found.start()])
        problems.append(
            Problem(
                Origin(file, skip_lines + len(lines), len(lines[-1]) + 1),
                f"an invisible character (U+{ord(found[0]):04X}) stands here",
                "delete it; it is often pasted along from another program",
                "invisible",
            )
        )
    return (_CONTROL.sub(" ", text) if problems else text), problems


class _TooDeep(Exception):
    """The problem is told; the rest is not worth reading."""


_OPENS = (yaml.MappingStartEvent, yaml.SequenceStartEvent)
_CLOSES = (yaml.MappingEndEvent, yaml.SequenceEndEvent)


@dataclass(slots=True)
class _Grower:
    """Grows the tree from events, and notes what a coach's file may not have."""

    file: str
    skip_lines: int
    events: Iterator[Any]
    problems: list[Problem]
    keys: dict[Path, tuple[int, int]] = field(default_factory=dict)
    values: dict[Path, tuple[int, int]] = field(default_factory=dict)
    spoiled: set[Path] = field(default_factory=set)
    curly: set[Path] = field(default_factory=set)

    def document(self) -> Tree | None:
        """The only document of the file; None where nothing is written in it."""
        tree: Tree | None = None
        begun = False
        for event in self.events:
            if isinstance(event, yaml.DocumentStartEvent):
                if begun:
                    self._tell(
                        event,
                        "a second document begins here",
                        "a file holds one document; take this line out, or make a second file",
                        "second-document",
                    )
                    return None
                begun = True
                first = next(self.events)
                tree = self._node(first, ())
                if tree == "" and not self.spoiled and not first.style:
                    tree = None
        return tree

    def _node(self, event: Any, path: Path) -> Tree:
        """The value that begins with ``event``; depth is bounded, so recursion is."""
        mark = event.start_mark
        self.values[path] = mark.line + 1 + self.skip_lines, mark.column + 1
        if isinstance(event, yaml.AliasEvent):
            self._alias(event)
            self.spoiled.add(path)
            return ""
        if event.anchor is not None or event.tag is not None:
            self._marks(event)
        if isinstance(event, yaml.ScalarEvent):
            return self._scalar(event, path)
        if len(path) == MAX_DEPTH:
            self._tell(
                event,
                f"this is nested deeper than {MAX_DEPTH} levels",
                "no field goes as deep; is a bracket doubled here?",
                "too-deep",
            )
            raise _TooDeep
        return self._map(path) if isinstance(event, yaml.MappingStartEvent) else self._list(path)

    def _list(self, path: Path) -> list[Tree]:
        entries: list[Tree] = []
        while not isinstance(event := next(self.events), yaml.SequenceEndEvent):
            entries.append(self._node(event, (*path, len(entries))))
        return entries

    def _map(self, path: Path) -> dict[str, Tree]:
        entries: dict[str, Tree] = {}
        while not isinstance(event := next(self.events), yaml.MappingEndEvent):
            key = self._key(event, path, entries)
            if key is None:
                self._pass_over(next(self.events))
            else:
                at = (*path, key)
                self.keys[at] = self._place(event)
                entries[key] = self._node(next(self.events), at)
        return entries

    def _key(self, event: Any, path: Path, entries: dict[str, Tree]) -> str | None:
        """The key that begins with ``event``; None where it cannot be taken."""
        if isinstance(event, yaml.AliasEvent):
            self._alias(event)
            return None
        if event.anchor is not None or event.tag is not None:
            self._marks(event)
        if not isinstance(event, yaml.ScalarEvent):
            shape = "map" if isinstance(event, yaml.MappingStartEvent) else "list"
            self._tell(
                event,
                f"a {shape} stands where a key belongs",
                "a key is one word; put a text that begins with a bracket in quotes",
                "key-shape",
            )
            self._pass_over(event)
            return None
        key: str = event.value
        if key == "<<" and not event.style:
            self._tell(
                event, "<< merges in another part of the file", "write the keys out", "merge"
            )
            return None
        if key in entries:
            line = self.keys[(*path, key)][0]
            is_entry = bool(path) and isinstance(path[-1], int)
            self._tell(
                event,
                f"{quoted(key)} is given twice, in line {line} too",
                "keep one of the two" + "; a new entry of the list begins with -" * is_entry,
                "duplicate-key",
            )
            return None
        return key

    def _scalar(self, event: Any, path: Path) -> str:
        text: str = event.value
        if not event.style and not text.isascii() and _CURLY.fullmatch(text):
            self.curly.add(path)
        if event.style == '"' and (bad := _UNSEEN.search(text)):
            self._tell(
                event,
                f"an invisible character (U+{ord(bad[0]):04X}) is written in this text",
                "take its backslash code out",
                "invisible",
            )
        return text

    def _pass_over(self, event: Any) -> None:
        """Leave out the value that begins with ``event``."""
        depth = 0
        while True:
            depth += isinstance(event, _OPENS) - isinstance(event, _CLOSES)
            if depth == 0:
                return
            event = next(self.events)

    def _place(self, event: Any) -> tuple[int, int]:
        mark = event.start_mark
        return mark.line + 1 + self.skip_lines, mark.column + 1

    def _alias(self, event: Any) -> None:
        self._tell(
            event,
            f"{quoted('*' + event.anchor)} points at another part of the file",
            "write the value out; put a text that begins with * in quotes",
            "alias",
        )

    def _marks(self, event: Any) -> None:
        """Anchors and tags."""
        if event.anchor is not None:
            self._tell(
                event,
                f"{quoted('&' + event.anchor)} names this part for use elsewhere",
                "take it out; put a text that begins with & in quotes",
                "anchor",
            )
        if event.tag is not None:
            shown = event.tag.replace("tag:yaml.org,2002:", "!!")
            self._tell(
                event,
                f"{quoted(shown)} gives this value a type of its own",
                "take it out; put a text that begins with ! in quotes",
                "tag",
            )

    def _tell(self, event: Any, message: str, hint: str, code: str) -> None:
        self.problems.append(Problem(Origin(self.file, *self._place(event)), message, hint, code))
