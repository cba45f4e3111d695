"""What clients send, as it arrives: what goes into which log, and what the coach reads."""

from __future__ import annotations

from pathlib import Path

import pytest

from receive_case_files import CASES, CODES, Case, again, case_files, run, says
from sitegen.practice.records import read_log

CASE_FILES = case_files()


def log_before(id: str) -> bytes:
    path = CASES / "clients" / f"{id}.log.yaml"
    return path.read_bytes() if path.exists() else b""


@pytest.mark.parametrize("case", CASE_FILES, ids=lambda case: case.title)
def test_a_check_in_arrives(case: Case, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each log's old part stays byte for byte; the new part and the words are as in the file."""
    monkeypatch.chdir(tmp_path)
    result = run(case, tmp_path)

    logs = {id: tmp_path / "clients" / f"{id}.log.yaml" for id in CODES}
    for id, path in logs.items():
        now = path.read_bytes() if path.exists() else b""
        old = log_before(id)
        added = case.adds.get(id, "")
        assert now == old + (f"{added}\n".encode() if added else b"")
        assert [p for p in read_log(now, id).problems if p.level == "error"] == []
    assert says(result) == list(case.says)
    assert result.status == (1 if any(": error: " in line for line in case.says) else 0)


@pytest.mark.parametrize("case", CASE_FILES, ids=lambda case: case.title)
def test_the_same_again_changes_nothing(
    case: Case, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    first = run(case, tmp_path)
    before = {p: p.read_bytes() for p in (tmp_path / "clients").rglob("*") if p.is_file()}
    second = again(case)

    assert {p: p.read_bytes() for p in (tmp_path / "clients").rglob("*") if p.is_file()} == before
    assert second.told["taken"] == []
    assert second.told["aside"] == first.told["aside"]
    assert second.problems == first.problems


def test_there_are_at_least_texts_enough_of_each_sort() -> None:
    titles = [case.title for case in CASE_FILES]

    assert len(titles) == len(set(titles)) >= 45
    assert sum(bool(case.adds) for case in CASE_FILES) >= 25
    assert sum("kept aside" in "".join(case.says) for case in CASE_FILES) >= 12
