"""A client's log as text: what of a check-in is new, and how it goes below what is there.

The log is the coach's file as much as the tool's. What stands in it stays byte for byte, comments,
order and all; new check-ins are written at its end, with each value as the client wrote it.

Pure: text in, text out.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from sitegen.model.checkin import CheckIn
from sitegen.model.problem import Origin, Problem
from sitegen.practice.translate import names
from sitegen.practice.writing import map_lines
from sitegen.practice.yaml_text import MAX_BYTES, Tree, read_yaml

LOG_HEAD = "# Check-ins, newest last. A later entry adds to, and never rewrites, an earlier one.\n"

Fact = tuple[str, ...]
"""``("ran",)``, ``("pain", "during")``, ``("signs", "limp")``: one thing that a check-in tells."""

CORE: tuple[Fact, ...] = (("ran",), ("walked",), ("distance",), ("skipped",))
"""What makes an entry a run or a walk, done or skipped. Strength work done has none of these."""

UNTOLD = ("on", "id", "signed", "received")
"""What goes with an entry and tells nothing of a run or a runner."""

SESSION_ONLY = frozenset({("effort",), ("pain", "during"), ("pain", "after")})
"""What tells of a session itself, and so can't be the next morning's answer alone."""


# --- an entry as lines -------------------------------------------------------------------------


def entry_lines(entry: Mapping[str, Tree]) -> Iterator[str]:
    """One check-in as lines of YAML, fields in the order of the contract."""
    known = names(CheckIn)
    order = [*(k for k in known if k in entry), *(k for k in entry if k not in known)]
    for at, line in enumerate(map_lines({key: entry[key] for key in order})):
        yield f"{'  ' if at else '- '}{line}" if line else ""


# --- what is new ------------------------------------------------------------------------------

_CURLY = str.maketrans(dict.fromkeys("“”„‟«»", '"') | dict.fromkeys("‘’‚‛", "'"))


def facts(entry: CheckIn) -> dict[Fact, object]:
    """All that an entry tells, without `UNTOLD`. Words are compared without regard to quotes'
    shape and line breaks, which mail programs change on the way."""
    told: dict[Fact, object] = {}
    for name in names(CheckIn):
        value = getattr(entry, name)
        if name in UNTOLD or value is None or value == []:
            continue
        if name == "pain":
            scores = {part: getattr(value, part) for part in names(type(value))}
            told |= {("pain", k): _folded(v) for k, v in scores.items() if v is not None}
        elif name == "signs":
            told |= {("signs", sign): True for sign in value}
        else:
            told[(name,)] = _folded(value)
    return told


def _folded(value: object) -> object:
    return " ".join(value.translate(_CURLY).split()) if isinstance(value, str) else value


@dataclass(frozen=True, slots=True)
class New:
    """What of a check-in the log does not have yet, as it will stand there.

    ``adds`` is True where it completes a session of the log, ``second`` where the log has another
    session of that day already.
    """

    tree: dict[str, Tree]
    adds: bool = False
    second: bool = False


def what_is_new(entry: CheckIn, tree: Mapping[str, Tree], logged: Sequence[CheckIn]) -> New | None:
    """The part of a check-in that the log lacks; None where it has all of it.

    The same session sent again with more in it (the next morning's score, mostly) gives only what
    was added: written whole, it would count as a second session of that day. An id that the log
    lacks is added though all else is there: the device that sent it waits for it. A signed one
    whose id stands at a signed one is that message again, whatever became of the entry.

    Args:
        entry: The check-in.
        tree: The same as it was written.
        logged: The log's entries.
    """
    if entry.id and any(
        entry.id == one.id and entry.signed == one.signed == "yes" for one in logged
    ):
        return None
    found = _what_is_new(entry, tree, logged)
    if found is not None or entry.id is None or any(entry.id == one.id for one in logged):
        return found
    return New(_only(tree, ()), adds=True)


def _what_is_new(entry: CheckIn, tree: Mapping[str, Tree], logged: Sequence[CheckIn]) -> New | None:
    mine = facts(entry)
    days = [facts(other) for other in logged if other.on == entry.on]
    sessions = [other for other in days if any(fact in other for fact in CORE)]
    if not any(fact in mine for fact in CORE):
        adds = (
            bool(sessions) and ("pain", "next_morning") in mine and not mine.keys() & SESSION_ONLY
        )
        others = days if adds else [other for other in days if other not in sessions]
        if any(mine.items() <= other.items() if mine else not other for other in others):
            return None
        return New(dict(tree), adds=adds)
    if any(mine.items() <= other.items() for other in sessions):
        return None
    same = [other for other in sessions if other.items() <= mine.items()]
    if not same:
        return New(dict(tree), second=bool(sessions))
    known = [other for other in days if other not in sessions or other in same]
    told = [item for other in known for item in other.items()]
    left = [fact for fact, value in mine.items() if (fact, value) not in told]
    return New(_only(tree, left), adds=True) if left else None


def _only(tree: Mapping[str, Tree], kept: Sequence[Fact]) -> dict[str, Tree]:
    """`UNTOLD`, and of the rest only ``kept``."""
    found = {name: tree[name] for name in UNTOLD if name in tree}
    for name, value in tree.items():
        if isinstance(value, dict):
            part: Tree = {k: v for k, v in value.items() if (name, k) in kept}
        elif isinstance(value, list):
            part = (
                value if (name,) in kept else [v for v in value if (name, str(v).lower()) in kept]
            )
        else:
            part = value if (name,) in kept else ""
        if part:
            found[name] = part
    return found


# --- adding -----------------------------------------------------------------------------------

_EMPTY_LIST = re.compile(r"\[\s*\]")


def add(old: str | None, file: str, entries: Sequence[Mapping[str, Tree]]) -> str | Problem:
    """The log's text with ``entries`` below what is there.

    Args:
        old: What the log holds; None where there is none yet.
        file: Its name, for the place of a problem.
        entries: Check-ins as they were written, in the order in which they shall stand.

    Returns:
        The new text, which begins with the old one; or why nothing can be added to it.
    """
    before = read_yaml((old or "").encode("utf-8"), file)
    if any(p.level == "error" for p in before.problems):
        return before.problems[0]
    if before.tree is not None and not isinstance(before.tree, list):
        return _no_list(file)
    text = LOG_HEAD if old is None else old
    if before.tree == []:
        text = _EMPTY_LIST.sub("", text, count=1)
    end = "\r\n" if "\r\n" in text else "\n"
    if text and not text.endswith("\n"):
        text += end
    indent = " " * (before.origins.values[()][1] - 1) if before.tree else ""
    for entry in entries:
        text += "".join(f"{indent}{line}{end}" if line else end for line in entry_lines(entry))
    after = read_yaml(text.encode("utf-8"), file)
    if len(text.encode("utf-8")) > MAX_BYTES:
        return Problem(
            Origin(file),
            "the log would grow over 1 MiB",
            "move its oldest check-ins into a file of another name",
            "log-full",
        )
    if after.problems or after.tree != [*(before.tree or []), *map(dict, entries)]:
        return _no_list(file)
    return text


def _no_list(file: str) -> Problem:
    return Problem(
        Origin(file),
        "nothing can be added below what stands in this log",
        "write each check-in on lines of its own, the first beginning with - and a space",
        "log-shape",
    )
