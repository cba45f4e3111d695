"""Stand-ins for the rules: reading is given them, and knows only their parameters."""

from __future__ import annotations

from sitegen.model.case import Case
from sitegen.model.kinds import choice, percent, whole
from sitegen.model.record import row
from sitegen.model.values import Percent
from sitegen.rules.draft import Draft, Past
from sitegen.rules.rule import NoParameters, Parameters, Rule


class Volume(Parameters):
    growth: Percent = row(percent(0, 30), default=Percent(10))


class Ease(Parameters):
    every: int = row(whole(2, 8, "weeks, a whole number"), default=4)
    by: Percent = row(percent(10, 50), default=Percent(30))


class Pain(Parameters):
    profile: str = row(choice("standard", "knee"), default="standard")


def _as_it_was(draft: Draft, past: Past, case: Case) -> Draft:
    return draft


def _rule(name: str, parameters: type[Parameters], **client_fields: tuple[str, ...]) -> Rule:
    return Rule(
        name=name,
        promise="",
        reason="",
        source="",
        evidence="arithmetic",
        apply=_as_it_was,
        parameters=parameters,
        client_fields=client_fields,
    )


RULES = (
    _rule("volume", Volume, growth=("plan", "growth")),
    _rule("ease", Ease, every=("plan", "ease", "every"), by=("plan", "ease", "by")),
    _rule("pain", Pain),
    _rule("silence", NoParameters),
)
DRILL_IDS = ("quiet-landing", "tall-posture", "beat-runs")
TEXT_IDS = ("shoes", "first-week")
