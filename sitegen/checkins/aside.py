"""What waits in ``clients/.aside/``: check-ins that could be placed in no log, and whose they are.

`read_aside` looks at the disk; the rest is pure, also `aside_of`, the text with which one waits.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Collection, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from sitegen.care.signs import sign_words, urgency
from sitegen.checkins.letters import Block, Letter, blocks
from sitegen.checkins.limits import entry_signs, opened_apart, spoken_signs
from sitegen.checkins.posting import Posted
from sitegen.model.problem import Origin, Problem
from sitegen.practice.waits import ASIDE as ASIDE
from sitegen.practice.waits import alarm_key
from sitegen.seal.addresses import checkin_code
from sitegen.seal.keys import Keys
from sitegen.terminal.output import harmless

STANDARD_INPUT = "standard input"
PASTED = "pasted.txt"  # what was put into the desk's page
NAMELESS = (STANDARD_INPUT, PASTED)
_KEPT_FROM = re.compile(r"# Kept aside on \S+, from (.*?)(?:; it is in no log\.|: a message )")


@dataclass(frozen=True, slots=True)
class Waiting:
    """One file that waits. ``ids`` are clients whose codes stand in it; "" is for nobody's.
    ``is_message`` where no check-in is in it, so that its signs are by its words alone."""

    name: str
    ids: frozenset[str]
    signs: tuple[str, ...]
    is_message: bool = False

    @property
    def id(self) -> str:
        """The one client whose it surely is; empty where that is not known."""
        return next(iter(self.ids)) if len(self.ids) == 1 else ""


def codes_of(keys: Keys | None) -> dict[str, str]:
    """Client ids by the code that their portals write."""
    return {checkin_code(link): id for id, link in keys.links.items()} if keys else {}


def whose(block: Block, codes: Mapping[str, str], ids: Collection[str]) -> str:
    """Whose a block aside is: by its code, or by the id that the coach put in its place."""
    name = block.code.lower()
    return codes.get(block.code, name if name in ids else "")


def urgent_words(clients: Path) -> tuple[str, ...]:
    """The coach's own urgent words, also where her file has an error elsewhere."""
    from sitegen.practice.lenient import lenient_practice

    try:
        data = (clients / "practice.yaml").read_bytes()
    except OSError:
        return ()
    return tuple(lenient_practice(data).urgent_words)


def waiting_of(
    letter: Letter, codes: Mapping[str, str], ids: Collection[str], own: Sequence[str] = ()
) -> Waiting:
    found = blocks(letter)
    owners = frozenset(whose(block, codes, ids) for block in found) or frozenset({""})
    is_message = bool(letter.unread) or ": a message " in letter.text.partition("\n")[0]
    text = "" if is_message else "\n".join(block.text for block in found)
    signs = entry_signs(text, own) if text else spoken_signs(uncommented(letter.text), own)
    return Waiting(Path(letter.name).name, owners, signs, not text)


def uncommented(text: str) -> str:
    """Without the reasons on top, which name signs in their hints."""
    return "\n".join(line for line in text.splitlines() if not line.startswith("# "))


def read_aside(
    clients: Path, codes: Mapping[str, str], ids: Collection[str]
) -> tuple[Waiting, ...]:
    """All that waits, by name; what can't be read is nobody's."""
    found: list[Waiting] = []
    own: tuple[str, ...] | None = None
    with suppress(OSError):
        for path in sorted((clients / ASIDE).iterdir()):
            if path.name.startswith(".") or not path.is_file():
                continue
            own = urgent_words(clients) if own is None else own
            data = b""
            with suppress(OSError):
                data = path.read_bytes()
            found.append(waiting_of(opened_apart(path.name, data, True), codes, ids, own))
    return tuple(found)


def waiting_words(waiting: Sequence[Waiting]) -> str:
    """How many wait, of whom, and of what they tell; urgent signs first.

    ``URGENT: chest pain (mara); 2 files wait in .aside, of mara and somebody unknown``.
    Where all are of the same people they are named once.
    """
    all_owners = _owners(waiting)
    loud: list[str] = []
    for one in waiting:
        if signs := [sign for sign in one.signs if urgency(sign) == "now"]:
            of = f" ({', '.join(owners)})" if (owners := _owners([one])) != all_owners else ""
            loud.append(f"{', '.join(map(sign_words, signs))}{of}")
    many = "1 file waits" if len(waiting) == 1 else f"{len(waiting)} files wait"
    says = f"{many} in {ASIDE}, of {' and '.join(all_owners)}"
    return f"URGENT: {'; '.join(dict.fromkeys(loud))}; {says}" if loud else says


def _owners(waiting: Sequence[Waiting]) -> list[str]:
    ids = {id for one in waiting for id in one.ids}
    return [*sorted(ids - {""}), *(["somebody unknown"] if "" in ids else [])]


# --- kept aside -------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Aside:
    """A check-in that could not be taken: the file's name and text, and its problems there."""

    name: str
    text: str
    problems: tuple[Problem, ...]
    told: tuple[str, ...]


def aside_of(
    posted: Posted,
    problems: Sequence[Problem],
    folder: str,
    day: date,
    own: Sequence[str] = (),
) -> Aside:
    """The file in which a check-in waits, with the reason on top and each place within it."""
    block = posted.block
    head = len(problems) + 4
    lines = {number: head + 1 + at for at, (number, _) in enumerate(block.lines)}
    name = f"{day}-{fingerprint(block)}.txt"
    file = f"{folder}/{ASIDE}/{name}"
    moved = tuple(
        p._replace(origin=p.origin._replace(file=file, line=lines.get(p.origin.line, head)))
        if p.origin.file == posted.letter.name
        else p._replace(origin=Origin(file, head))
        for p in problems
    )
    why = [f"# Line {p.origin.line}: {p.message}{f' ({p.hint})' if p.hint else ''}." for p in moved]
    text = "\n".join(
        [
            f"# Kept aside on {day}, from {posted.letter.name}; it is in no log.",
            *(" ".join(line.split()) for line in why),
            f"# Mend it here, then: sitegen receive {file}",
            "",
            block.text,
        ]
    )
    return Aside(name, harmless(text), moved, entry_signs(block.text, own))


def place_aside(
    folder: Path, name: str, letter: str, waits: Collection[str], written: date | None
) -> tuple[Path, bool]:
    """Where a text waits, and whether it does already.

    A text that was answered since waits anew: on the day of the answer by a name of its own, so
    that its alarm has one. The same file received again tells nothing new; what was pasted has no
    name of its own, so each paste is a telling.

    Args:
        folder: ``clients/.aside``.
        name: The file's name by its day and its words.
        letter: Where the text came from.
        waits: Names there whose alarm nobody has answered.
        written: When it was written; None where nobody knows.
    """
    for path in sorted(folder.glob(f"*-{name[11:19]}*.txt")):
        since = alarm_key(path.name)[1]
        is_same = _came_from(path, letter) and path.name[:10] == name[:10]
        is_older = written is not None and (
            written < since or (written == since and path.name[:10] != name[:10])
        )
        if path.name in waits or is_same or is_older:
            return path, True
    path, turn = folder / name, 1
    while path.exists():
        turn += 1
        path = folder / f"{name[:19]}-{turn}.txt"
    return path, False


def _came_from(path: Path, letter: str) -> bool:
    """Whether a file aside was made of a letter of this name, wherever that lay."""
    own = Path(letter).name
    with suppress(OSError):
        first = path.read_text("utf-8", "replace").partition("\n")[0]
        source = _KEPT_FROM.match(first)
        return own not in NAMELESS and source is not None and Path(source[1]).name == own
    return False


def fingerprint(block: Block) -> str:
    return hashlib.sha256(block.text.encode("utf-8")).hexdigest()[:8]
