"""Words of the pelvic floor in a check-in of who has given birth: for the coach to ask about.

The sentences are invented, and our own judgement of what a coach should hear of.
"""

from __future__ import annotations

import pytest

from generated import MONDAY, runner
from sitegen.care.pelvic import pelvic_said
from sitegen.plan.fold import expand
from support import case_of

SAID = (
    "A feeling of heaviness down below in the last minutes.",
    "Pressure in my pelvis after 5 minutes",
    "I leaked a bit on the downhill",
    "Leaking again when I run",
    "Some bleeding since the run",
    "Lost a little urine",
    "Noto pesadez ahí abajo al correr",
    "Se me escapa un poco de pis",
    "Al final notaba un peso abajo, como si se me saliera algo.",
    "It felt as if something was falling out.",
    "A bit of leaking in the last minutes.",
    "Felt heavy below at the end",
    "Some leakage when I jumped",
    "Me hago pis al saltar",
)
NOT_SAID = (
    "No leaking, no heaviness.",
    "Heavy legs today",
    "My bottle leaked in the bag.",
    "A bleeding toe, new shoes.",
    "Legs heavy, down the hill it went better",
    "My sister leaked a bit after her birth",
    "Piernas pesadas, cuesta abajo mejor",
    "Pesadez en las piernas cuesta abajo",
    "Mi peso abajo de los 60 kilos, por fin",
    "My keys were falling out of my pocket",
    "Some leaking shoes, and rain",
    "Heavy rain below the bridge",
    "No leakage this time",
)


def test_it_is_heard_and_what_is_like_it_is_not() -> None:
    assert [text for text in SAID if not pelvic_said(text)] == []
    assert [text for text in NOT_SAID if pelvic_said(text)] == []


@pytest.mark.parametrize(
    ("history", "is_asked"),
    [("history: {gave_birth: 2026-06-01}", True), ("", False)],
)
def test_after_a_birth_it_is_a_question_and_holds_the_plan(history: str, is_asked: bool) -> None:
    log = f'[{{on: {MONDAY.replace(day=5)}, ran: 30 min, said: "{SAID[0]}"}}]'
    plan = expand(case_of(runner(more=history), log), MONDAY.replace(day=6))
    asked = [one for one in plan.alarms if one.matter == "told_pelvic_floor"]

    assert bool(asked) is is_asked
    assert all(one.kind == "ask" and "pelvic-health physiotherapist" in one.says for one in asked)
    assert (plan.weeks[1].kind == "hold") is is_asked
