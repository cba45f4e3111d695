"""Whose each check-in is, and what of it a log does not have yet. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from sitegen.checkins.letters import (
    Block,
    BlockRead,
    Letter,
    Sound,
    blocks,
    read_block,
)
from sitegen.checkins.logfile import New, what_is_new
from sitegen.model.checkin import CheckIn
from sitegen.model.kinds import quoted
from sitegen.model.problem import Origin, Problem


@dataclass(frozen=True, slots=True)
class Posted:
    """One block of one letter, and whose it is; ``id`` is empty where nobody's.

    ``coded`` is whose code it has, also where the block can't be taken for that client.
    """

    letter: Letter
    block: Block
    id: str
    read: BlockRead
    problems: tuple[Problem, ...]
    coded: str = ""

    @property
    def is_named(self) -> bool:
        """The coach has looked at it, and put the client's id in place of the code."""
        return self.letter.aside and self.id == self.block.code.lower()


def post(
    letters: Iterable[Letter], codes: Mapping[str, str], ids: Iterable[str], whose: str = ""
) -> list[Posted]:
    """Every block of every letter with its client.

    Args:
        letters: What came in.
        codes: Client ids by the code that their portals write.
        ids: All clients; a letter that was kept aside may name one instead of a code.
        whose: The client whose the coach says that these are. It stands in for a code that nobody
            has, and never against one that somebody has.
    """
    known = frozenset(ids)
    return [
        _posted(letter, block, codes, known, whose)
        for letter in letters
        for block in blocks(letter)
    ]


def _posted(
    letter: Letter, block: Block, codes: Mapping[str, str], ids: frozenset[str], whose: str
) -> Posted:
    id = codes.get(block.code, "")
    other = id if whose and id not in ("", whose) else ""
    id = id or whose
    if not id and letter.aside and block.code.lower() in ids:
        id = block.code.lower()
    read = read_block(block, letter.name)
    problems = [p for p in read.problems if p.level == "error"]
    if other:
        problems.insert(0, _another(letter, block, other, whose))
    elif not id or id not in ids:
        problems.insert(0, _foreign(letter, block, id))
    mine = "" if other or id not in ids else id
    return Posted(letter, block, mine, read, tuple(problems), other or id)


def _another(letter: Letter, block: Block, other: str, whose: str) -> Problem:
    wrong = f"this has the code of {other}, and you said that it is from {whose}"
    hint = f"if it is from {other}, receive it without --for"
    return Problem(Origin(letter.name, block.line), wrong, hint, "checkin-other")


def _foreign(letter: Letter, block: Block, id: str) -> Problem:
    origin = Origin(letter.name, block.line)
    put = "if you know whose it is, receive this file with --for and that client's id"
    if id:
        return Problem(origin, f"{id} has no file here", put, "checkin-foreign")
    if block.code == "?":
        wrong = "no line Check-in CODE stands above this"
        return Problem(origin, wrong, put, "checkin-foreign")
    wrong = f"no client here has the code {quoted(block.code)}"
    return Problem(origin, wrong, f"a renewed link has a new code; {put}", "checkin-foreign")


@dataclass(frozen=True, slots=True)
class Taken:
    """A check-in that the log did not have, or not all of."""

    entry: CheckIn
    new: New


def sift(entries: Sequence[Sound], logged: Sequence[CheckIn]) -> tuple[tuple[Taken, ...], int]:
    """What of these entries is new to a log, oldest first; and how many were there already."""
    known = list(logged)
    taken: list[Taken] = []
    for sound in sorted(entries, key=lambda s: s.entry.on):
        new = what_is_new(sound.entry, sound.tree, known)
        if new is not None:
            entry = CheckIn.of_tree(new.tree)
            taken.append(Taken(entry, new))
            known.append(entry)
    return tuple(taken), len(entries) - len(taken)


# Common practice, no source: what is past these is more often a slip than true, so it is asked.
DAYS_AHEAD = 1  # where the client is, tomorrow may have begun
DAYS_BACK = 180
LONGEST_HOURS = 12


def doubt(one: Posted, sound: Sound, day: date, logged: Sequence[CheckIn]) -> Problem | None:
    """Why an entry is asked about before it is taken; None where it is not, or stands there."""
    entry = sound.entry
    back = (day - entry.on).days
    that_day = [other for other in logged if other.on == entry.on and other.is_run]
    ask = "ask; if it is right, write it into the log yourself"
    if back < -DAYS_AHEAD:
        wrong, hint = f"{entry.on} has not come yet", "check the date"
    elif back > DAYS_BACK:
        wrong, hint = f"{entry.on} is {back} days ago", ask
    elif entry.ran and entry.ran.minutes > LONGEST_HOURS * 60:
        wrong, hint = f"a run of {entry.ran} is over {LONGEST_HOURS} hours", ask
    elif one.letter.runs and that_day:  # the client may have told of it, with what they felt
        wrong = f"the log has a run on {entry.on} already, of {that_day[0].ran or 'unknown length'}"
        hint = "if this is another one, receive the file that is kept aside; else take that away"
    else:
        return None
    if what_is_new(entry, sound.tree, list(logged)) is None:
        return None
    if one.letter.runs:  # what the file has on a line is not what was made of it
        return Problem(Origin(one.letter.name), wrong, hint, "checkin-run")
    line = next((n for n, text in one.block.lines if str(sound.tree["on"]) in text), one.block.line)
    code = "checkin-length" if -DAYS_AHEAD <= back <= DAYS_BACK else "checkin-date"
    return Problem(Origin(one.letter.name, line), wrong, hint, code)
