"""The reasons of one number of a week: `sitegen/coach/reasons.py`."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from sitegen.coach.reasons import OF_LONGEST, OF_MINUTES, OF_RATE, OF_SESSION, reasons_of
from sitegen.model.plan import Plan
from sitegen.portal.reasons import source_as_read
from sitegen.rules import RULES
from sitegen.site.plans import open_plans

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture(scope="module")
def plans() -> list[Plan]:
    return list(open_plans(ROOT / "clients", (), date(2027, 3, 18)).plans.values())


def test_every_rule_stands_behind_some_number() -> None:
    placed = OF_MINUTES | OF_LONGEST | OF_RATE | set(OF_SESSION)
    assert [rule.name for rule in RULES if rule.name not in placed] == []


def test_every_number_of_the_demo_has_a_reason_of_its_week(plans: list[Plan]) -> None:
    asked = 0
    for plan in plans:
        for week in plan.weeks:
            runs = [one.id for one in week.sessions if one.is_run]
            for of in ("minutes", "longest", "rate", *runs):
                found = reasons_of(week, of)
                assert found and found.decisions, (plan.client, week.number, of)
                assert set(found.decisions) <= set(week.decisions)
                assert len(set(found.decisions)) == len(found.decisions)
                asked += 1
    assert asked > 300


def test_a_week_has_no_number_of_another(plans: list[Plan]) -> None:
    assert reasons_of(plans[0].weeks[0], "w99-run-1") is None


def test_a_client_reads_a_source_without_a_word_of_how_we_know_it() -> None:
    """Every rule's; what stands in the coach's own pages keeps it."""
    read = {rule.name: source_as_read(rule.source).says for rule in RULES}

    assert [name for name, said in read.items() if "memory" in said or "second-hand" in said] == []
    assert any("from memory" in rule.source for rule in RULES)
    assert read["signs"].startswith("Usual red flags; bone: Knobloch AC et al.")
    assert "Riebe D et al. 2015; the list is not complete" in read["signs"]
    assert "906 (supervised patients with a diagnosis); knee" in read["pain"]
