"""No slip of the keyboard is a traceback: every truncation, and thousands of changed bytes.

Each client file and log of the repository is cut at every eleventh byte, and changed at 250 places
drawn with a fixed seed; by night at every byte, and at 5,000 places. What comes back is a sound
value, or problems with places inside the file.
"""

from __future__ import annotations

import random
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from nightly import IS_NIGHTLY
from reading_case_files import CASES
from sitegen.checkins.limits import limited
from sitegen.practice.drills import read_drill
from sitegen.practice.records import read_client, read_log, read_practice
from sitegen.practice.yaml_text import read_yaml
from sitegen.rules import RULES

CHANGES = 5_000 if IS_NIGHTLY else 250
STEP = 1 if IS_NIGHTLY else 11  # bytes from cut to cut
LONGEST_READ_S = 1.0
CLIENTS = Path(__file__).parent.parent / "clients"
FILES = sorted({*CLIENTS.glob("[!.]*.yaml"), *(CASES / "good").glob("*.yaml")})
DRILLS = sorted({*(CLIENTS / "drills").glob("*.md"), *(CASES / "good/drills").glob("*.md")})
LIBRARY = Path(__file__).parent.parent / "sitegen/library/drills"
DRILL_IDS = {path.stem for path in [*LIBRARY.glob("*.md"), *DRILLS]}


def truncations(data: bytes) -> Iterator[bytes]:
    return (data[:end] for end in range(0, len(data), STEP))


def changes(data: bytes) -> Iterator[bytes]:
    """One byte replaced, put in, or taken out."""
    draw = random.Random(2027)
    for _ in range(CHANGES):
        at, byte = draw.randrange(len(data)), bytes([draw.randrange(256)])
        kept = draw.choice((at, at + 1))
        yield data[:at] + draw.choice((byte, byte, b"")) + data[kept:]


def says_well(data: bytes, file: str) -> bool:
    """Reads one file and holds the answer against the promise; True where it gave a value."""
    value: object
    started = time.process_time()
    if file.endswith(".md"):
        value, problems = read_drill("hill-walk", data, file, own=True)
    elif file.endswith(".log.yaml"):
        value, _, problems, _ = read_log(data, file)
    elif file.endswith("practice.yaml"):
        value, _, problems, _ = read_practice(data, file, RULES)
    else:
        value, _, problems, _ = read_client(data, file, DRILL_IDS, RULES)
    assert time.process_time() - started < LONGEST_READ_S
    errors = [problem for problem in problems if problem.level == "error"]
    assert value is not None or errors
    assert file.endswith(".log.yaml") or (value is None) == bool(errors)
    last = data.replace(b"\r\n", b"\n").replace(b"\r", b"\n").count(b"\n") + 1
    for problem in problems:
        assert problem.origin.file == file
        assert 1 <= problem.origin.line <= last, str(problem)
        assert problem.origin.column >= 1
        assert problem.message and problem.hint and problem.code
        assert "pydantic" not in str(problem)
    assert list(problems) == sorted(problems)
    return not errors


@pytest.mark.parametrize("path", [*FILES, *DRILLS], ids=lambda path: path.name)
def test_a_truncation_is_a_value_or_a_problem_with_a_place(
    path: Path, record_property: Callable[[str, object], None]
) -> None:
    outcomes = [says_well(cut, path.name) for cut in truncations(path.read_bytes())]
    record_property("trials", len(outcomes))

    assert False in outcomes or path.name.endswith(".log.yaml")


@pytest.mark.parametrize("path", [*FILES, *DRILLS], ids=lambda path: path.name)
def test_a_changed_byte_is_a_value_or_a_problem_with_a_place(
    path: Path, record_property: Callable[[str, object], None]
) -> None:
    record_property("trials", CHANGES)
    outcomes = [says_well(changed, path.name) for changed in changes(path.read_bytes())]

    assert len(outcomes) == CHANGES
    assert set(outcomes) == {True, False}


@pytest.mark.parametrize(
    "line", ["name: a: b" + " " * 60_000 + "x", f'said: "{"_" * 60_000}" x'], ids=["blank", "word"]
)
def test_a_slip_in_a_long_line_is_explained_in_a_time_that_grows_with_the_line(line: str) -> None:
    with limited():
        (problem,) = read_yaml(line.encode(), "x.yaml").problems
    assert problem.code in ("colon-in-text", "quote-inside")
