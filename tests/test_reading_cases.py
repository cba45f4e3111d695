"""Each slip that a coach can make in a file, and the exact lines that she reads about it."""

from __future__ import annotations

import re

import pytest

from reading_case_files import CASES, CaseFile, case_files
from reading_rules import DRILL_IDS, RULES, TEXT_IDS
from sitegen.model.problem import Problem
from sitegen.practice.case import read_case
from sitegen.practice.drills import read_drill
from sitegen.practice.records import read_practice
from sitegen.practice.texts import read_text

CASE_FILES = case_files()


def read(case: CaseFile) -> tuple[Problem, ...]:
    """What is said of a case's file, beside the other files of the sound practice."""
    data = case.text.encode()
    if case.file == "clients/practice.yaml":
        return read_practice(data, case.file, RULES, DRILL_IDS, TEXT_IDS).problems
    if case.file.startswith("clients/texts/"):
        return read_text("shoes", data, case.file)[1]
    if case.file.endswith(".md"):
        return read_drill("hill-walk", data, case.file, own=True)[1]
    good = CASES / "good"
    practice = read_practice((good / "practice.yaml").read_bytes(), "clients/practice.yaml")
    assert practice.value is not None
    is_log = case.file.endswith(".log.yaml")
    return read_case(
        "mara",
        (good / "mara.yaml").read_bytes() if is_log else data,
        "clients/mara.yaml" if is_log else case.file,
        data if is_log else None,
        "clients/mara.log.yaml",
        practice.value,
        practice.origins,
        RULES,
        DRILL_IDS,
        TEXT_IDS,
    )[1]


@pytest.mark.parametrize("case", CASE_FILES, ids=lambda case: case.title)
def test_the_coach_reads_exactly_this(case: CaseFile) -> None:
    assert [str(problem) for problem in read(case)] == list(case.says)


def test_there_are_at_least_a_hundred_slips_and_no_title_is_used_twice() -> None:
    titles = [case.title for case in CASE_FILES]

    assert len([case for case in CASE_FILES if case.says]) >= 100
    assert len(set(titles)) == len(titles)


@pytest.mark.parametrize("case", CASE_FILES, ids=lambda case: case.title)
def test_no_line_speaks_a_programmers_words(case: CaseFile) -> None:
    """Each problem names a place inside the file and a mend, and none of the tools beneath."""
    last = case.text.count("\n") + 1
    for problem in read(case):
        assert problem.origin.file == case.file
        assert 1 <= problem.origin.line <= last
        assert problem.message and problem.hint
        assert re.fullmatch(r"[a-z][a-z-]*", problem.code)
        assert not re.search(
            r"(?i)pydantic|yaml\.|scalar|mapping|dictionary|input should|https://errors|token",
            f"{problem.message} {problem.hint}",
        )
