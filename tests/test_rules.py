"""What holds for every rule: order, memory, words for review; and that the fold names none."""

from __future__ import annotations

import inspect
import re
from datetime import date
from pathlib import Path
from typing import get_args

import pytest

from generated import NOTHING, runner
from sitegen.model.plan import WEEK_KIND_WORDS, WeekKind
from sitegen.plan.fold import REMEMBERING, expand
from sitegen.rules import FILLING, RULES, SIZING
from support import case_of

ROOT = Path(__file__).resolve().parent.parent


def test_each_rule_stands_after_those_that_it_builds_on():
    names = [rule.name for rule in RULES]
    assert len(set(names)) == len(names)
    assert sum(len(rule.needs) for rule in RULES) > 10, "nothing is declared; is the test blind?"
    for index, rule in enumerate(RULES):
        assert set(rule.needs) <= set(names[:index]), rule.name


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_each_rule_says_what_it_is_and_how_to_see_that_it_holds(rule):
    for words in (rule.promise, rule.reason, rule.source, rule.review):
        assert len(words.split()) >= 3
    assert rule.review.endswith(".")


def test_no_rule_that_fills_a_week_changes_what_it_is():
    """The fold asks those alone that size a week what became of one that is over."""
    decides = re.compile(r"\b(?:kind|stop)=|\.stopped\(")
    found = {
        rule.name: bool(decides.search(inspect.getsource(inspect.getmodule(rule.apply))))
        for rule in RULES
    }
    assert {rule.name for rule in FILLING if found[rule.name]} == set()
    assert sum(found[rule.name] for rule in SIZING) > 10, "is the test blind?"


@pytest.mark.parametrize("file", ["fold.py", "condition.py"])
def test_the_fold_knows_no_rule_by_name(file):
    """Not in imports and not in words; files of `sitegen.rules` without a rule are no matter, nor
    is a field of a week or of a baseline with the name of a rule.
    """
    text = (ROOT / "sitegen" / "plan" / file).read_text(encoding="utf-8")
    code = re.sub(r'""".*?"""|#[^\n]*', "", text, flags=re.DOTALL)
    # ``changes`` is also the module that carries out the coach's changes.
    rules = {rule.name for rule in RULES} - {"changes"}
    assert len(rules) > 15
    assert {name for name in rules if re.search(rf"(?<!\.)\b{name}\b(?!=)", code)} == set()
    modules = set(re.findall(r"from sitegen\.rules\.(\w+) import", code))
    assert modules and modules <= {"rule", "draft", "log", "told", "days"}


def test_every_kind_of_week_is_told_in_one_place():
    assert set(WEEK_KIND_WORDS) == set(get_args(WeekKind))
    book = (ROOT / "docs" / "rules.md").read_text(encoding="utf-8")
    for kind, means in WEEK_KIND_WORDS.items():
        assert f"| `{kind}` | {means} |" in book


def test_what_is_remembered_is_the_rules_own():
    """Each memory starts from the file alone; a plan of one week needs no more."""
    case = case_of(runner(baseline=NOTHING, plan="{from: 2027-01-04, weeks: 1}"))
    started = {name: memory.start(case, case.first_monday, 1, None) for name, memory in REMEMBERING}
    assert started["run_walk"].rung == 0 and started["cadence"].spm == 160
    assert len(expand(case, date(2027, 1, 1)).weeks) == 1
