"""Case files of `tests/cases/receive`: what came in, what it adds to a log, what the coach reads.

A file holds several cases, each under a line ``=== what happened to the check-in``. What came in
stands under ``the file NAME:`` or ``on standard input:``; what it adds to the end of a log under
``it adds to ID:``; what is printed under ``it says:``. What changes in the plan is not in these
files: `test_receive_changes.py` looks at that.

Mara's portal has the code PWFU-YQPY, Theo's NCYO-ZVY2. The day is Wednesday 10 February 2027.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from unittest.mock import patch

import pytest

from sitegen.checkins.receive import Received, receive
from sitegen.seal.addresses import checkin_code
from sitegen.seal.keys import Keys, ensure
from sitegen.seal.keys_file import KEYS_FILE, write_keys

CASES = Path(__file__).parent / "cases" / "receive"
TODAY = date(2027, 2, 10)
CODES = {"mara": "PWFU-YQPY", "theo": "NCYO-ZVY2"}
_PART = re.compile(r"^(the file (\S+)|on standard input|it adds to (\w+)|it says):\n", re.M)


@dataclass(frozen=True)
class Case:
    title: str
    files: Mapping[str, str]  # by name; "" is standard input
    adds: Mapping[str, str]
    says: tuple[str, ...]


def case_files() -> list[Case]:
    return [
        _case(block)
        for path in sorted(CASES.glob("*.txt"))
        for block in re.split(r"^=== ", path.read_text("utf-8"), flags=re.M)[1:]
    ]


def _case(block: str) -> Case:
    title, rest = block.split("\n", 1)
    files: dict[str, str] = {}
    adds: dict[str, str] = {}
    says: tuple[str, ...] = ()
    pieces = _PART.split(rest)[1:]
    for what, file, id, text in zip(*(pieces[n::4] for n in range(4)), strict=True):
        text = text.removesuffix("\n")
        if id:
            adds[id] = text
        elif what == "it says":
            says = tuple(text.splitlines())
        else:
            files[file or ""] = text
    return Case(title, files, adds, says)


def practice(folder: Path) -> Path:
    """A practice of two, with links, so that the codes of the case files are theirs."""
    clients = folder / "clients"
    shutil.copytree(CASES / "clients", clients)
    drawn = iter(range(1, 100))
    keys = ensure(Keys(), ["mara"], lambda size: bytes([next(drawn)]) * size)
    keys = ensure(keys, ["theo"], lambda size: bytes([next(drawn)]) * size)
    write_keys(clients / KEYS_FILE, keys)
    assert {id: checkin_code(link) for id, link in keys.links.items()} == CODES
    return clients


def practice_with_mail(folder: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The practice of two, seen from its folder, beside an empty one for mail."""
    monkeypatch.chdir(folder)
    practice(folder)
    Path("mail").mkdir()
    return Path("clients")


def run(case: Case, folder: Path) -> Received:
    """Receive a case's files in a practice of its own, as if from within ``folder``."""
    practice(folder)
    for name, text in case.files.items():
        if name:
            (folder / name).write_bytes(text.encode("utf-8"))
    return again(case)


def again(case: Case) -> Received:
    """The same once more, where `run` has laid everything out."""
    paths = [Path(name) for name in case.files if name]
    # What waits as nobody signed it is in test_receive_signed.py; here it is how a text is read.
    with patch("sitegen.checkins.easing.eases", return_value=False):
        return receive(paths, case.files.get(""), Path("clients"), TODAY)


def says(result: Received) -> list[str]:
    """What is printed but for the plan's changes."""
    about_plan = re.compile(
        r"\w+: (?:(?:Mon|Tues|Wednes|Thurs|Fri|Satur|Sun)day|weeks? |the p(?!lan STOPS)|noth)"
    )
    lines = [line for line in result.lines if not about_plan.match(line)]
    return [*lines, *map(str, result.problems)]
