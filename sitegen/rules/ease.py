"""Every few weeks an easier one, on which nothing is built."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from sitegen.model.case import Case
from sitegen.model.kinds import percent, whole
from sitegen.model.record import row
from sitegen.model.sentence import say
from sitegen.model.values import Percent
from sitegen.rules.draft import Draft, Past, whole_minutes
from sitegen.rules.rule import Lived, Memory, Parameters, Rule
from sitegen.rules.volume import cut_from

SOURCE = (
    "common practice, no source; easier weeks are an opinion of strength coaches (Bell L et al., "
    "Sports Med Open 2023;9:87), no trial in runners was found"
)


class EaseParameters(Parameters):
    """How often, and by how much."""

    every: int = row(
        whole(2, 8, "weeks, a whole number"), "", "each week with this number is easier", default=4
    )
    by: Percent = row(
        percent(10, 50), "", "how far it drops under the last building week", default=Percent(30)
    )


class EasedFrom(NamedTuple):
    """The last building week as it was shown: minutes of running, and in how many runs."""

    minutes: float
    runs: int


def _start(case: Case, monday: date, number: int, before: object) -> EasedFrom | None:
    return None


def _after(before: EasedFrom | None, lived: Lived) -> EasedFrom | None:
    week = lived.week
    is_usual = week.kind == "build" and week.runs > 0 and lived.training > 0
    return EasedFrom(lived.training, len(lived.runs)) if is_usual else before


def _whole(draft: Draft, past: Past) -> float:
    """Minutes that an easier week is cut from: the level, or the last building week as it was shown
    where something held that one under it (by more than whole minutes a run come to)."""
    whole = cut_from(draft, past)
    shown: EasedFrom | None = RULE.remembered(past)
    if shown is not None and shown.minutes + shown.runs < whole_minutes(whole):
        return shown.minutes
    return whole


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Lower every `every`-th week under the last building week."""
    values = RULE.values(case)
    if draft.stop is not None or draft.number % values.every != 0:
        return draft
    whole = _whole(draft, past)
    minutes = float(whole_minutes(whole * (1 - values.by.fraction)))
    says = say(
        "An easier week, {by} under a usual one; the next goes on from the usual ones, not from "
        "this.",
        by=values.by,
    )
    last = past.previous
    # One of which a part was left alone, worth nothing, says nothing of what a whole one holds.
    is_back = last is not None and last.kind == "return" and last.worth > 0
    if is_back and last is not None and last.run_minutes < minutes:
        minutes = last.run_minutes
        says = say("An easier week, no more than the one before it, on the way back.")
    because = case.setting_origin(RULE.name, "by", "plan", "ease", "by") or case.setting_origin(
        RULE.name, "every", "plan", "ease", "every"
    )
    return draft.decide(
        RULE.name,
        says,
        because=because,
        source=SOURCE,
        before=whole,
        after=minutes,
        kind="ease",
        minutes=minutes,
    )


RULE = Rule(
    name="ease",
    promise=(
        "Every `every`-th week drops by `by` under the last building week, under what was shown of "
        "it where the guard or a limit held it; the week after builds on the level, not on the "
        "easy one. Where nothing is built yet, it drops from the first 10 min; on the way back "
        "from days away it has no more than the week before."
    ),
    reason="A regular easier week leaves room to recover and to notice what speaks up.",
    source=SOURCE,
    evidence="judgement",
    apply=apply,
    parameters=EaseParameters,
    client_fields={"every": ("plan", "ease", "every"), "by": ("plan", "ease", "by")},
    needs=("volume",),
    memory=Memory(_start, _after),
    review="Weeks whose number `every` divides are `ease`, `by` under the building week before.",
)
