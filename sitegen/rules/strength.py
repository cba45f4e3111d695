"""Strength work: two sessions a week where the days allow."""

from __future__ import annotations

from sitegen.model.case import Case
from sitegen.model.kinds import DURATION, whole
from sitegen.model.record import row
from sitegen.model.sentence import say_count
from sitegen.model.values import Duration
from sitegen.rules.days import offers
from sitegen.rules.draft import Draft, Past
from sitegen.rules.rule import Parameters, Rule

SOURCE = (
    "twice a week: World Health Organization guideline, Bull FC et al., Br J Sports Med "
    "2020;54(24):1451-1462 (from memory); in runners not shown to lower injuries (Wu H et al., "
    "Sports Med 2024;54(5):1249-1267)"
)


class StrengthParameters(Parameters):
    """How many and how long."""

    per_week: int = row(whole(0, 3, "sessions a week, a whole number"), default=2)
    minutes: Duration = row(DURATION, default=Duration(25 * 60))


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Ask for two sessions; placing decides which days can hold them."""
    if draft.stop is not None:
        return draft
    offered = sum(offer.strength for offer in offers(case, draft.start))
    if offered == 0:
        return draft
    values = RULE.values(case)
    count = min(values.per_week, offered)
    if draft.kind in ("event", "taper"):
        count = min(count, 1)
    return draft.decide(
        RULE.name,
        say_count(
            "Strength work on one day, never the day before the long run or a hard one.",
            "Strength work on up to {count} days, never the day before the long run or a hard one.",
            count=count,
        ),
        because=case.origins.at("week"),
        source=SOURCE,
        after=float(count),
        strength=count,
        strength_minutes=int(values.minutes.minutes),
    )


RULE = Rule(
    name="strength",
    promise=(
        "Two a week where days allow, on easy or strength days, never the day before the long run "
        "or a hard session, nor two days in a row where one of them holds a run. In a taper "
        "something quick goes before it."
    ),
    reason="Stronger legs carry more; in runners it is not shown to prevent injuries.",
    source=SOURCE,
    evidence="weak",
    apply=apply,
    parameters=StrengthParameters,
    review="The day after strength work holds neither the long run nor a hard session.",
)
