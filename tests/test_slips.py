"""Slips as a new coach makes them, and exactly what is said: `tests/cases/slips.txt`."""

from __future__ import annotations

import re
from typing import NamedTuple

import pytest

from reading_case_files import CASES
from sitegen.practice.checks.there import missing_group
from sitegen.practice.records import read_client
from sitegen.rules import RULES

HEAD, *BLOCKS = (CASES / "slips.txt").read_text("utf-8").split("\n=== instead of\n")
FILE = HEAD.split("\n\n", 1)[1].rstrip("\n") + "\n"


class SlipCase(NamedTuple):
    """A piece of the file, what stands there in its place, and what is said."""

    old: str
    new: str
    says: list[str]


def slip(block: str) -> SlipCase:
    old, rest = block.split("\n--- she writes\n")
    new, says = rest.split("\n--- it says\n")
    lines = says.strip().splitlines()
    return SlipCase(old, new, [] if lines == ["nothing"] else lines)


SLIPS = [slip(block) for block in BLOCKS]
HARMLESS = {"week: 1h", "week: 60min", "week: 60 min #rough"}


def test_the_file_itself_has_no_slip() -> None:
    assert read_client(FILE.encode(), "mara.yaml", {"quiet-landing"}, RULES).problems == ()
    assert len(SLIPS) >= 76


@pytest.mark.parametrize("case", SLIPS, ids=lambda case: case.new[:40])
def test_each_slip_is_told_with_its_mend(case: SlipCase) -> None:
    assert FILE.count(case.old) >= 1
    text = FILE.replace(case.old, case.new, 1)
    problems = read_client(text.encode(), "mara.yaml", {"quiet-landing"}, RULES).problems

    assert [str(p) for p in problems] == case.says
    assert all(p.hint for p in problems)


def test_only_what_can_be_read_as_it_was_meant_goes_unsaid() -> None:
    silent = {case.new for case in SLIPS if not case.says}
    assert all(
        new in HARMLESS or new.startswith("\ufeff") or re.match(r"name: Mara .*Quist", new)
        for new in silent
    )


def test_a_group_whose_name_can_not_be_is_not_offered() -> None:
    text = FILE.replace("name: Mara Quist", "name: Mara Quist\ngroup: new")
    read = read_client(text.encode(), "mara.yaml", {"quiet-landing"}, RULES)
    assert read.value is not None

    (told,) = missing_group(read.value, read.origins, ("Not new", "news"))

    assert told.hint == "did you mean news? write news"
