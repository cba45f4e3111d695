"""What a client tells, and what the plan does: a table that a clinician can read and dispute.

The table stands in tests/cases/care/scenarios.txt. What it expects is care's own rules, which are
judgement where docs/rules.md names no source.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import NamedTuple

import pytest

from generated import runner
from sitegen import world
from sitegen.care import sentences
from sitegen.model.plan import Plan
from sitegen.model.practice import Practice
from sitegen.plan.fold import expand
from sitegen.practice.lenient import lenient_log
from sitegen.practice.returns import way_back
from support import PRACTICE, case_of, tree

TABLE = Path(__file__).parent / "cases" / "care" / "scenarios.txt"
TODAY = date(2027, 1, 13)
SCREENING = "on: 2026-12-01, regular_exercise: yes, known_disease: no, symptoms: no"
LINES = {
    "call now": sentences.LINE_NOW,
    "clinician today": sentences.LINE_TODAY,
    "talk to somebody": sentences.LINE_SELF_HARM,
    "see a clinician": sentences.LINE_PAIN,
    "rest two days": sentences.LINE_REST,
    "rest while ill": sentences.LINE_ILL,
    "clinician first": sentences.LINE_HISTORY,
    "coach first": sentences.LINE_RAN,
}
GATES = {
    "clinician first": {sentences.LINE_HISTORY, sentences.LINE_RETURN_FIRST},
    "rest two days": set(sentences.RESTS.values()),
}
KINDS = {
    "holds": {"hold"}, "goes back": {"back", "return"}, "half, run and walk": {"back"},
    "step by step": {"return"},
}  # fmt: skip


class Scenario(NamedTuple):
    given: str
    then: str
    asks: bool
    log: str
    lift: str
    clear: str
    file: str


def scenarios() -> list[Scenario]:
    text = "\n".join(
        line for line in TABLE.read_text("utf-8").splitlines() if not line.startswith("#")
    )
    found = []
    for part in filter(None, (block.strip() for block in text.split("\n\n"))):
        head, *rest = part.splitlines()
        given, _, then = head.partition(" -> ")
        told = [line for line in rest if line.startswith("- ")]
        extra = dict(line.split(": ", 1) for line in rest if not line.startswith("- "))
        then, _, asks = then.partition("; ")
        found.append(
            Scenario(
                given, then, asks == "asks coach", "\n".join(told),
                extra.get("lift", ""), extra.get("clear", ""), extra.get("file", ""),
            )
        )  # fmt: skip
    return found


def plan_of(scenario: Scenario) -> Plan:
    screening = f"{{{SCREENING}{', ' if scenario.clear else ''}{scenario.clear}}}"
    more = f"changes: [{scenario.lift}]" if scenario.lift else scenario.file
    case = case_of(runner(screening=screening, more=more), "[]")
    case = replace(case, way_back=way_back(case, world.read_returns()))
    entries, origins = lenient_log(scenario.log.encode(), "runner.log.yaml")
    house = Practice.of_tree(tree(PRACTICE))
    return expand(replace(case, log=entries, log_origins=origins, practice=house), TODAY)


@pytest.mark.parametrize("scenario", scenarios(), ids=lambda scenario: scenario.given)
def test_given_what_was_told_then_the_plan_does_this(scenario: Scenario) -> None:
    plan = plan_of(scenario)
    said = [d.says.template for d in plan.decisions]
    ahead = [s for s in plan.sessions if s.on > TODAY]
    kind = plan.weeks[2].kind  # the week of the 18th

    assert any(a.kind == "ask" and a.is_open for a in plan.alarms) is scenario.asks
    if scenario.then in LINES:
        (line,) = said
        assert line in GATES.get(scenario.then, {LINES[scenario.then]})
        assert ahead == [] and plan.status in ("referred", "paused")
    elif scenario.then in KINDS:
        assert plan.status in ("active", "paused") and ahead
        assert kind in KINDS[scenario.then]
    else:
        assert scenario.then == "goes on"
        assert plan.status == "active" and ahead and "pain" not in {
            d.rule for d in plan.weeks[2].decisions
        }  # fmt: skip


def test_the_table_has_sixty_scenarios_and_every_outcome() -> None:
    found = scenarios()

    assert len(found) >= 60
    assert {s.then for s in found} == {*LINES, *KINDS, "goes on"}
