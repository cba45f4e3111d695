"""A rule's own bounds hold wherever its value was written: client, group or practice."""

from __future__ import annotations

from reading_rules import _rule
from sitegen.model.kinds import percent, whole
from sitegen.model.record import row
from sitegen.model.values import Percent
from sitegen.practice.records import read_client, read_practice
from sitegen.rules.rule import Parameters
from test_reading import BEGINNER, good


class Gentle(Parameters):
    growth: Percent = row(percent(0, 5), default=Percent(5))
    weeks: int = row(whole(2, 10, "weeks, a whole number"), default=4)


RULES = (_rule("gentle", Gentle, growth=("plan", "growth"), weeks=("plan", "ease", "every")),)


def client_says(plan: str, more: str = "") -> list[str]:
    text = BEGINNER.replace("weeks: 12}", f"weeks: 12, {plan}}}") + more
    return [str(p) for p in read_client(text.encode(), "theo.yaml", rules=RULES).problems]


def test_a_clients_own_field_is_held_to_the_rules_bounds() -> None:
    assert client_says("growth: 25 %") == [
        'theo.yaml:5:45: error: "25 %" is out of range (write 0 to 5 %) [percent-range]'
    ]
    assert client_says("growth: 5 %") == []


def test_a_slip_elsewhere_hides_nothing() -> None:
    assert client_says("growth: 25 %", "status: sleepy\n") == [
        'theo.yaml:5:45: error: "25 %" is out of range (write 0 to 5 %) [percent-range]',
        'theo.yaml:6:9: error: "sleepy" is not one of the words that can stand here '
        "(write active, paused or ended) [choice]",
    ]


def test_a_value_under_rules_is_held_too() -> None:
    assert client_says("runs: 3", "rules: {gentle: {growth: 25 %}}\n") == [
        'theo.yaml:6:26: error: "25 %" is out of range (write 0 to 5 %) [percent-range]'
    ]


def test_a_groups_field_is_held_where_the_group_is_written() -> None:
    text = good("practice.yaml").decode().replace("rules:", "#", 1)
    assert text.count("beginners: {plan: {growth: 6 %}") == 1
    told = read_practice(good("practice.yaml"), "practice.yaml", RULES).problems
    line = next(n for n, one in enumerate(text.splitlines(), 1) if "growth: 6 %" in one)
    assert (line, '"6 %" is out of range', "percent-range") in [
        (p.origin.line, p.message, p.code) for p in told
    ]
