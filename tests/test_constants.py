"""Every number that acts stands in the rule book: found in the code, and looked for in the page."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from generated import runner
from sitegen.coach.constants import NOT_ACTING, NUMBERS, numbers_table
from sitegen.coach.words import strength
from sitegen.rules import RULES
from support import plan_of

ROOT = Path(__file__).resolve().parent.parent
FILES = sorted((ROOT / "sitegen").glob("rules/*.py")) + sorted((ROOT / "sitegen").glob("plan/*.py"))
FILES += [ROOT / "sitegen" / "care" / f"{name}.py" for name in ("efforts", "history", "trends")]
# Inside functions: halves, wholes, seconds of an hour, what is nearly nothing.
PLAIN = {0.0, 0.5, 1.0, 60.0, 1e-9}


def numbers(tree: ast.AST) -> list[float]:
    return [
        float(node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and type(node.value) in (int, float)
    ]


def named(text: str) -> Iterator[str]:
    """Names in capitals at the top of a module whose value is made with a number."""
    for node in ast.parse(text).body:
        if isinstance(node, ast.Assign):
            targets = node.targets
        elif isinstance(node, ast.AnnAssign):
            targets = [node.target]
        else:
            continue
        if node.value is None or not numbers(node.value):
            continue
        for target in targets:
            for name in ast.walk(target):
                if isinstance(name, ast.Name) and name.id.isupper() and name.id not in CALLED:
                    yield name.id


# Made of values that are found by themselves, or of text with a number in it.
CALLED = {"RULE", "DEFAULT_LADDER"}


def nameless(text: str) -> Iterator[float]:
    """Numbers with a point inside functions."""
    for function in ast.walk(ast.parse(text)):
        if isinstance(function, ast.FunctionDef):
            for node in ast.walk(function):
                is_float = isinstance(node, ast.Constant) and type(node.value) is float
                if is_float and node.value not in PLAIN:
                    yield node.value


@pytest.mark.parametrize("file", FILES, ids=lambda f: f"{f.parent.name}/{f.name}")
def test_every_number_with_a_name_is_in_the_table_and_none_goes_without(file: Path):
    text = file.read_text(encoding="utf-8")
    listed = {n.name for n in NUMBERS if n.module == f"{file.parent.name}.{file.stem}"}

    assert set(named(text)) - NOT_ACTING == listed
    assert list(nameless(text)) == []


def test_the_finder_sees_numbers():
    """The check above is not blind: a number at the top, one typed, a pair, one in a function."""
    found = set(named("A_MIN = 3\nB: float = 2.5\nC = ((1, 2),)\nDO, UP = 4, 5\nx = 3\nD = 'a'\n"))
    assert found == {"A_MIN", "B", "C", "DO", "UP"}
    assert list(nameless("def f(x):\n    return x * 1.1 + 0.5\n")) == [1.1]


def test_the_page_has_each_with_its_value_and_what_it_rests_on():
    book = (ROOT / "docs" / "rules.md").read_text(encoding="utf-8")
    assert numbers_table() in book
    lines = [line.split(" | ") for line in numbers_table().splitlines() if line.startswith("| ")]
    assert len(lines) == len(NUMBERS) + 2 > 100
    assert all(len(cell) == 4 and all(part.strip() for part in cell) for cell in lines)
    for value in ("170 spm", "188 cm", "5.6 spm per m/s", "3, 4 runs", "28 days", "1.1 |", "5 min"):
        assert f"| {value}" in numbers_table(), value
    assert "| 50 min | mean of a week's runs" in numbers_table()


def test_a_decision_is_as_strong_as_what_it_rests_on():
    """The longest run by the thirty days is published; by its share of the week it is judgement."""
    weeks = plan_of(runner()).weeks
    shares = {strength(d) for w in weeks for d in w.decisions
              if d.rule == "longest" and "of the week" in str(d.says)}  # fmt: skip
    days = {strength(d) for w in weeks for d in w.decisions
            if d.rule == "longest" and "30 days" in str(d.says)}  # fmt: skip
    assert shares == {"judgement"} and days == {"published"}


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_what_is_called_published_names_a_publication(rule):
    if rule.evidence in ("published", "weak"):
        assert any(year in rule.source for year in ("20", "19")) and "et al." in rule.source
    if rule.evidence == "judgement":
        assert says_so(rule.source)


def says_so(source: str) -> bool:
    return any(
        w in source
        for w in ("common practice", "judgement", "coach's decision", "each way", "red flags")
    )
