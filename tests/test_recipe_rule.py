"""Adding a rule, as DEVELOPERS.md says, in a temporary copy: a file, its name in one other, a test.

The copy is then used as a coach would: the rule's warning reaches the client's page, its parameter
is refused outside the rule's own bounds.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from commands import PAGES
from recipe import Copy

RULE = '''\
"""An invented rule: hot weeks are shorter."""

from __future__ import annotations

from sitegen.model.case import Case
from sitegen.model.kinds import percent
from sitegen.model.record import row
from sitegen.model.sentence import say
from sitegen.model.values import Percent
from sitegen.rules.draft import Draft, Past
from sitegen.rules.rule import Lived, Memory, Parameters, Rule


class HeatParameters(Parameters):
    """How much shorter."""

    by: Percent = row(percent(0, 5), "5 %", "how much shorter", default=Percent(5))


def _after(before: int, lived: Lived) -> int:
    return before + 1


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Shorten every week after the first."""
    if draft.stop is not None or RULE.remembered(past) == 0:
        return draft
    after = draft.minutes * (1 - RULE.values(case).by.fraction)
    says = say("Mind the heat: drink before you are thirsty.")
    return draft.decide("heat", says, before=draft.minutes, after=after, warns=True, minutes=after)


RULE = Rule(
    name="heat",
    promise="Every week after the first is shorter by `by`.",
    reason="Heat is a load of its own.",
    source="invented for a test",
    evidence="judgement",
    apply=apply,
    parameters=HeatParameters,
    needs=("volume",),
    memory=Memory(lambda case, monday, number, before: 0, _after),
    review="Set week 2 against week 1.",
)
'''
TEST = """\
from generated import runner
from support import plan_of


def test_hot_weeks_warn():
    first, second, *_ = plan_of(runner()).weeks
    assert "heat" not in {d.rule for d in first.decisions}
    (told,) = [d for d in second.decisions if d.rule == "heat"]
    assert told.warns and told.after < told.before
"""
CLIENT = """\
name: Rosa Lind
screening: {on: 2027-01-01, regular_exercise: yes, known_disease: no, symptoms: no}
baseline: {on: 2027-01-02, cadence: 156 spm, pace: "6:30 /km", week: 90 min,
  longest: 40 min, runs: 3}
week: {tue: {at: "18:30"}, thu: {at: "18:30"}, sun: {at: "9:00"}}
plan: {from: 2027-01-04, weeks: 6}
"""
PRACTICE = """\
name: Harbour Running
contact: coach@example.org
timezone: Europe/Lisbon
privacy: open
"""


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Copy:
    """The project, its tests with it, and the new rule in it."""
    copy = Copy(tmp_path_factory.mktemp("copy"), "tests", "docs")
    copy.write("sitegen/rules/heat.py", RULE)
    copy.write("tests/test_rule_heat.py", TEST)
    copy.replace("sitegen/rules/__init__.py", "    hard,\n", "    hard,\n    heat,\n")
    last = "    feasible.RULE,\n"
    copy.replace("sitegen/rules/__init__.py", last, f"    heat.RULE,\n{last}")
    return copy


def test_a_rule_is_a_file_a_name_in_another_and_a_test(copy: Copy) -> None:
    assert copy.touched() == [
        "sitegen/rules/__init__.py",
        "sitegen/rules/heat.py",
        "tests/test_rule_heat.py",
    ]
    done = copy.run(
        "-m", "pytest", "-q", "-p", "no:cacheprovider",
        "tests/test_rule_heat.py",
        "tests/test_rule_volume.py::test_a_growth_of_nothing_never_grows",
        "tests/test_imports.py::test_imports_go_one_way",
        "tests/test_rules.py::test_each_rule_stands_after_those_that_it_builds_on",
    )  # fmt: skip
    assert done.returncode == 0, done.stdout[-2000:]


def practice(copy: Copy, name: str, more: str = "") -> Path:
    copy.write(f"{name}/clients/practice.yaml", PRACTICE)
    copy.write(f"{name}/clients/rosa.yaml", CLIENT + more)
    return copy.root / name


def test_its_warning_reaches_the_client(copy: Copy) -> None:
    at = practice(copy, "warned")
    done = copy.run("-c", f"import os, sitegen.cli as c; os.chdir({str(at)!r}); "
                    "c.main(['build', '--as-of', '2027-01-05'])")  # fmt: skip
    assert done.returncode == 0, done.stderr
    (page,) = (at / "public").glob(PAGES)
    assert "Mind the heat: drink before you are thirsty." in page.read_text(encoding="utf-8")


def test_a_value_outside_its_bounds_is_refused_at_its_line(copy: Copy) -> None:
    at = practice(copy, "refused", "rules:\n  heat:\n    by: 25 %\n")
    done = copy.run("-c", f"import os, sitegen.cli as c; os.chdir({str(at)!r}); "
                    "c.main(['check', '--as-of', '2027-01-05'])")  # fmt: skip
    assert done.returncode == 1
    assert 'clients/rosa.yaml:9:9: error: "25 %" is out of range (write 0 to 5 %)' in done.stderr
