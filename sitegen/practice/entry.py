"""An entry written into a coach's file, and nothing else of the file changed.

The text is never parsed and written anew: an entry is put in at a place that the layout gives, so
every other byte stays. What comes out is read again and must be the old file with the entry, and
nothing else; where it is not, the file is left alone and the coach is told what to write by hand.

Pure: bytes in, bytes out.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

import yaml

from sitegen.model.problem import Origin, Problem
from sitegen.model.record import Path
from sitegen.practice.layout import (
    Node,
    begins_line,
    child,
    end_of,
    indent_of,
    is_block,
    is_nothing,
    line_break,
    line_end,
    line_start,
    root_of_text,
)
from sitegen.practice.writing import in_line, map_lines
from sitegen.practice.yaml_text import MAX_BYTES, Tree, YamlText, read_yaml

BOM = b"\xef\xbb\xbf"
_STEP = "  "  # of indentation, where the file shows none of its own


class Entry(NamedTuple):
    """What a coach could write: a value at ``path``, or a further one at the end of its list.

    ``("changes",)`` with ``adds`` is a list; ``("plan", "growth")`` is a field.
    """

    path: Path
    value: Tree
    adds: bool = False

    def __str__(self) -> str:
        written = in_line(self.value)
        if self.adds:
            return f"{self.path[-1]}: - {written}"
        return f"{'.'.join(map(str, self.path))}: {written}"


class Splice(NamedTuple):
    """A piece of the text, from ``start`` up to ``end``, that gives way to another."""

    start: int
    end: int
    new: str


class EntryWritten(NamedTuple):
    """A file with an entry, and the places where it stands in it."""

    data: bytes
    places: tuple[Origin, ...]


def with_entries(data: bytes, file: str, entries: Sequence[Entry]) -> EntryWritten | Problem:
    """The file with ``entries``, one after the other.

    Args:
        data: What the file holds, without an error but for lists and fields left empty.
        file: Its name, for places.
        entries: What to write; a map as value sets each of its keys where a map stands already.

    Returns:
        The new file and a place for each entry, or why it can't be, with what to write by hand.
    """
    places: list[Origin] = []
    is_more = not all(_stands_there(data, file, entry) for entry in entries)
    for entry in entries:
        stands_at: tuple[Origin, ...] = ()
        if is_more and (there := _stands_there(data, file, entry)):
            places.append(there)
            continue
        for part in _laid_open(data, file, entry):
            done = _with_entry(data, file, part)
            if isinstance(done, Problem):
                return done
            data = done.data
            stands_at = stands_at or done.places
        places += stands_at
    return EntryWritten(data, tuple(places))


def _stands_there(data: bytes, file: str, entry: Entry) -> Origin | None:
    """Where a setting has the value wanted already; None where it hasn't, or for an addition."""
    read = read_yaml(data, file)
    is_there = not entry.adds and not read.problems and _at(read.tree, entry.path) == entry.value
    return read.origins.value(*entry.path) if is_there else None


def with_lists_begun(data: bytes, keys: Sequence[str]) -> bytes:
    """The file with ``[]`` for each of these keys behind which nothing is written."""
    text = data.decode("utf-8", "replace")
    try:
        root = root_of_text(text.removeprefix("\ufeff"))
    except yaml.YAMLError:
        return data
    text = text.removeprefix("\ufeff")
    found = [pair for key in keys if root is not None and (pair := child(root, key))]
    splices = [next(_filled(text, *pair, [], False))[0] for pair in found if is_nothing(pair[1])]
    return _spliced(text, splices).encode("utf-8")


def _laid_open(data: bytes, file: str, entry: Entry) -> Iterator[Entry]:
    """The entry; of a map to be set where one stands, each key that is otherwise there."""
    there = _at(read_yaml(data, file).tree, entry.path)
    value = entry.value
    if entry.adds or not isinstance(value, dict) or not isinstance(there, dict) or not there:
        yield entry
        return
    changed = {key: one for key, one in value.items() if there.get(key) != one}
    for key, one in (changed or value).items():
        yield from _laid_open(data, file, Entry((*entry.path, key), one))


def _with_entry(data: bytes, file: str, entry: Entry) -> EntryWritten | Problem:
    before = read_yaml(data, file)
    marked = BOM if data.startswith(BOM) else b""
    text = data[len(marked) :].decode("utf-8", "replace")
    if before.problems or not isinstance(before.tree, dict):
        return _by_hand(file, before, entry)
    wanted = _expected(before.tree, entry)
    root = root_of_text(text)
    if root is None or wanted is None or _at(before.tree, entry.path) == entry.value:
        return _by_hand(file, before, entry)
    for splices in _ways(text, root, entry):
        new = _spliced(text, splices)
        encoded = marked + new.encode("utf-8")
        after = read_yaml(encoded, file)
        is_whole = after.tree is not None and _as_read(after.tree) == _as_read(wanted)
        if not after.problems and is_whole and len(encoded) <= MAX_BYTES:
            return EntryWritten(encoded, (_place(after, entry),))
    return _by_hand(file, before, entry)


def _place(read: YamlText, entry: Entry) -> Origin:
    there = _at(read.tree, entry.path)
    if entry.adds and isinstance(there, list):
        return read.origins.value(*entry.path, len(there) - 1)
    return read.origins.at(*entry.path)


def _by_hand(file: str, read: YamlText, entry: Entry) -> Problem:
    if read.problems:
        return read.problems[0]
    if not entry.adds and _at(read.tree, entry.path) == entry.value:
        origin = read.origins.value(*entry.path)
        return Problem(origin, f"{entry} stands here already", "nothing is to be done", "entry")
    place = read.origins.at(*entry.path) if entry.path else Origin(file)
    what = ".".join(map(str, entry.path))
    if entry.adds:
        what = f"a further entry under {what}"
    return Problem(
        place,
        f"{what} can't be put in here without touching what stands around it",
        f"write it by hand: {entry}",
        "entry",
    )


# --- what it must read as ---------------------------------------------------------------------


def _as_read(tree: Tree) -> Tree:
    """Texts as fields take them: without the line break that a block of text may end with."""
    if isinstance(tree, dict):
        return {key: _as_read(value) for key, value in tree.items()}
    if isinstance(tree, list):
        return [_as_read(value) for value in tree]
    return tree.rstrip("\n")


def _at(tree: Tree | None, path: Path) -> Tree | None:
    for step in path:
        if not isinstance(tree, dict) or step not in tree:
            return None
        tree = tree[str(step)]
    return tree


def _expected(tree: Tree, entry: Entry) -> Tree | None:
    """The file's tree with the entry in it; None where something else stands in its way."""
    new = copy.deepcopy(tree)
    here = new
    for step in entry.path[:-1]:
        if not isinstance(here, dict):
            return None
        below = here.get(str(step))
        if below is None or (isinstance(below, str) and below == ""):
            below = here[str(step)] = {}
        here = below
    key = str(entry.path[-1])
    if not isinstance(here, dict):
        return None
    if not entry.adds:
        here[key] = entry.value
        return new
    there = here.get(key, [])
    if isinstance(there, str) and there in ("", "~", "null", "Null", "NULL"):
        there = []
    if not isinstance(there, list):
        return None
    here[key] = [*there, entry.value]
    return new


# --- where it can stand -----------------------------------------------------------------------


def _spliced(text: str, splices: Sequence[Splice]) -> str:
    for splice in sorted(splices, reverse=True):
        text = text[: splice.start] + splice.new + text[splice.end :]
    return text


def _ways(text: str, root: Node, entry: Entry) -> Iterator[list[Splice]]:
    """Ways to put the entry in, the best first; not each of them need be one."""
    here = root
    for depth, step in enumerate(entry.path):
        found = child(here, str(step))
        rest = entry.path[depth + 1 :]
        if found is None:
            yield from _new_key(text, root, here, str(step), _nested(rest, entry))
            return
        key, value = found
        if is_nothing(value) and (rest or value.value == "" or entry.adds):
            yield from _filled(text, key, value, _nested(rest, entry), entry.adds and not rest)
            return
        here = value
    if entry.adds:
        if isinstance(here, yaml.SequenceNode) and isinstance(entry.value, dict):
            yield from _appended(text, here, entry.value)
    elif not is_block(here) and getattr(here, "style", None) not in ("|", ">"):
        yield [Splice(here.start_mark.index, end_of(here, text), in_line(entry.value))]


def _nested(rest: Path, entry: Entry) -> Tree:
    """The entry's value with the keys around it that are missing, too."""
    value: Tree = [entry.value] if entry.adds else entry.value
    for step in reversed(rest):
        value = {str(step): value}
    return value


def _lines_of(key: str, value: Tree, indent: str) -> list[str]:
    """A key with its value, a list on lines of its own."""
    if isinstance(value, list) and value and all(isinstance(one, dict) for one in value):
        lines = [f"{indent}{key}:"]
        for one in value:
            lines += _item_lines(one, indent + _STEP, " ")
        return lines
    return [f"{indent}{key}: {in_line(value)}"]


def _item_lines(value: Tree, indent: str, gap: str, as_block: bool = False) -> list[str]:
    """An entry of a list: in braces, or where it has lines of its own, a line a key."""
    is_long = isinstance(value, dict) and any("\n" in str(one) for one in value.values())
    if not isinstance(value, dict) or not (as_block or is_long):
        return [f"{indent}-{gap}{in_line(value)}"]
    inner = " " * (1 + len(gap))
    return [
        f"{indent}{f'-{gap}' if not at else inner if line else ''}{line}".rstrip()
        for at, line in enumerate(map_lines(value))
    ]


def _new_key(text: str, root: Node, parent: Node, key: str, value: Tree) -> Iterator[list[Splice]]:
    """A key that a map does not have yet."""
    if not isinstance(parent, yaml.MappingNode):
        return
    if parent.flow_style:
        written = f"{key}: {in_line(value)}"
        starts = [found for found, _ in parent.value]
        last = parent.value[-1][1] if starts else None
        yield from _into_brackets(text, parent, starts, last, written)
        return
    if not parent.value:
        return
    indent = " " * parent.value[0][0].start_mark.column
    lines = _lines_of(key, value, indent)
    if parent is root:
        at = len(text)
        nl = line_break(text, at)
        is_ended = not text or text[-1] in "\r\n"
        block = nl.join(lines)
        yield [Splice(at, at, block + nl if is_ended else nl + block)]
    end = end_of(parent.value[-1][1], text)
    yield [_below(text, max(end, parent.value[-1][0].end_mark.index), lines)]
    first = line_start(text, parent.value[-1][0].start_mark.index)
    nl = line_break(text, first)
    yield [Splice(first, first, nl.join(lines) + nl)]


def _below(text: str, at: int, lines: Sequence[str]) -> Splice:
    """Lines below the line of ``at``."""
    end = line_end(text, at)
    nl = line_break(text, at)
    return Splice(end, end, "".join(f"{nl}{line}" for line in lines))


def _filled(text: str, key: Node, value: Node, new: Tree, is_list: bool) -> Iterator[list[Splice]]:
    """A key behind which nothing stands, or a word for nothing."""
    start, end = value.start_mark.index, value.end_mark.index
    if value.value:
        yield [Splice(start, end, in_line(new))]
        return
    after = key.end_mark.index
    colon = text.find(":", after) + 1
    if is_list and isinstance(new, list):
        indent = " " * key.start_mark.column + _STEP
        lines = [line for one in new for line in _item_lines(one, indent, " ")]
        yield [_below(text, colon, lines)]
    yield [Splice(colon, colon, f" {in_line(new)}")]


def _appended(
    text: str, node: yaml.SequenceNode, value: Mapping[str, Tree]
) -> Iterator[list[Splice]]:
    """A further entry of a list that is there."""
    if node.flow_style:
        last = node.value[-1] if node.value else None
        yield from _into_brackets(text, node, node.value, last, in_line(dict(value)))
        return
    last = node.value[-1]
    indent = " " * node.start_mark.column
    as_block = is_block(last)
    gap = " " * max(last.start_mark.column - node.start_mark.column - 1, 1) if as_block else " "
    end = end_of(last, text)
    lines = _item_lines(dict(value), indent, gap, as_block)
    yield [_below(text, end, lines)]
    yield [_below(text, end, [f"{indent}- {in_line(dict(value))}"])]
    nl = line_break(text, last.end_mark.index)  # below what a text keeps of empty lines
    at = last.end_mark.index
    yield [Splice(at, at, "".join(f"{line}{nl}" for line in lines))]


def _into_brackets(
    text: str, node: Node, starts: Sequence[Node], last: Node | None, written: str
) -> Iterator[list[Splice]]:
    """A further entry within brackets or braces, on a line of its own where the last one has.

    ``starts`` are the nodes with which entries begin, ``last`` is the one with which they end.
    """
    close = node.end_mark.index - 1
    if last is None:
        start = node.start_mark.index + 1
        yield [Splice(start, start, written)]
        return
    end = end_of(last, text)
    comma = _comma_between(text, end, close)
    begins = starts[-1].start_mark.index
    if begins_line(text, begins):
        stop = line_end(text, end)
        new = f"{line_break(text, begins)}{indent_of(text, begins)}{written}"
        if comma is not None:
            yield [Splice(stop, stop, f"{new},")]
        elif stop < close:
            yield [Splice(end, end, ","), Splice(stop, stop, new)]
    if comma is not None:
        yield [Splice(comma + 1, comma + 1, f" {written}")]
    yield [Splice(end, end, f", {written}")]


def _comma_between(text: str, start: int, end: int) -> int | None:
    """The index of a comma behind the last entry; those in comments are none."""
    at = start
    while at < end:
        if text[at] == ",":
            return at
        if text[at] == "#":
            at = line_end(text, at)
        at += 1
    return None
