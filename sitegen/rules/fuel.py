"""Collagen with vitamin C before a run: only where the coach went through the cautions."""

from __future__ import annotations

from sitegen.model.case import Case
from sitegen.model.kinds import duration_between
from sitegen.model.record import row
from sitegen.model.sentence import say
from sitegen.model.values import Duration
from sitegen.rules.draft import Draft, Past
from sitegen.rules.rule import Parameters, Rule

SOURCE = (
    "Shaw G et al., Am J Clin Nutr 2017;105(1):136-143 (8 men, a blood marker); Lis DM, Baar K, "
    "Int J Sport Nutr Exerc Metab 2019;29(5):526-531 (10 men, not significant)"
)


class FuelParameters(Parameters):
    """How long before the run."""

    before: Duration = row(
        duration_between(30, 60), "", "how long before the run", default=Duration(45 * 60)
    )


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Put a reminder before each run but the event."""
    if draft.stop is not None or case.client.fuel is None:
        return draft
    before = int(RULE.values(case).before.minutes)
    return draft.decide(
        RULE.name,
        say(
            "A reminder {before} min before each run. This is common practice on weak evidence: "
            "two small trials of a blood marker, one of them without effect.",
            before=before,
        ),
        because=case.origins.at("fuel"),
        source=SOURCE,
        after=float(before),
        fuel_before=before,
    )


RULE = Rule(
    name="fuel",
    promise="Each run but the event has a reminder `before` minutes ahead of its start.",
    reason="Optional and unproven; off unless the coach asked the client about the cautions.",
    source=SOURCE,
    evidence="weak",
    apply=apply,
    moves_minutes=False,
    parameters=FuelParameters,
    review="Off without a line `fuel` in the file; else a reminder stands before each run.",
    client_fields={"before": ("fuel", "before")},
)
