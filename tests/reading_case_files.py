"""Case files of `tests/cases/bad`: a slip, and the exact lines that a coach reads.

A file holds several cases, each under a line ``=== what went wrong``. A case either changes one
piece of the sound file that it names (``in good/mara.yaml, instead of:`` and ``write:``) or gives
a whole file (``the file clients/mara.yaml:``). After ``it says:`` come the lines, or ``nothing``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

CASES = Path(__file__).parent / "cases"
_INSTEAD = re.compile(r"in good/(?P<name>\S+), instead of:\n(?P<old>.*?)^write:\n", re.S | re.M)
_WHOLE = re.compile(r"the file clients/(?P<name>\S+):\n", re.M)


@dataclass(frozen=True)
class CaseFile:
    """One case: what is written, in which file, and what is said about it."""

    title: str
    file: str
    text: str
    says: tuple[str, ...]


def case_files() -> list[CaseFile]:
    """All cases, in the order of their files."""
    return [
        case
        for path in sorted((CASES / "bad").glob("*.txt"))
        for block in re.split(r"^=== ", path.read_text("utf-8"), flags=re.M)[1:]
        for case in [_case(block)]
    ]


def _case(block: str) -> CaseFile:
    title, rest = block.split("\n", 1)
    written, says = rest.split("\nit says:\n")
    written = written.strip("\n") + "\n"
    lines = tuple(line for line in says.strip().splitlines() if line.strip() != "nothing")
    if found := _INSTEAD.match(written):
        sound = (CASES / "good" / found["name"]).read_text("utf-8")
        old, new = found["old"], written[found.end() :]
        if sound.count(old) != 1:
            raise ValueError(f"{title!r}: the old text stands {sound.count(old)} times in the file")
        return CaseFile(title, f"clients/{found['name']}", sound.replace(old, new), lines)
    whole = _WHOLE.match(written)
    if not whole:
        raise ValueError(f"{title!r}: neither a change nor a whole file")
    return CaseFile(title, f"clients/{whole['name']}", written[whole.end() :], lines)
