"""From an age on weeks grow more slowly, and a day lies between runs, unless the coach says other.

Source: common practice, no source. No trial of slower growth in older runners was found.
"""

from __future__ import annotations

from datetime import date

from sitegen.model.case import Case
from sitegen.model.kinds import YES_NO, percent, whole
from sitegen.model.record import row
from sitegen.model.sentence import say
from sitegen.model.values import Percent
from sitegen.rules.draft import Draft, Past
from sitegen.rules.rule import Parameters, Rule

SOURCE = "common practice, no source"


class AgeParameters(Parameters):
    """From which age, and what then holds where the coach does not say otherwise."""

    from_age: int = row(
        whole(40, 120, "years, a whole number"), "", "age from which it holds", default=65
    )
    growth: Percent = row(
        percent(0, 10),
        "",
        "most that a week grows, where the client's file and group say no growth",
        default=Percent(5),
    )
    day_between: bool = row(
        YES_NO, "", "a day between runs, where the plan says no number of runs", default=True
    )


def is_older(case: Case, on: date) -> bool:
    """True from the age on which this holds; of a year alone, from its first day."""
    born = case.client.born
    if born is None:
        return False
    if isinstance(born, int):
        age = on.year - born
    else:
        age = on.year - born.year - ((on.month, on.day) < (born.month, born.day))
    return bool(age >= RULE.values(case).from_age)


def growth(case: Case, on: date) -> Percent | None:
    """The growth that age asks for; None where it asks for none."""
    found: Percent = RULE.values(case).growth
    return found if is_older(case, on) else None


def has_day_between(case: Case, on: date) -> bool:
    """True where age asks for a day between runs, and the coach not for so many runs."""
    is_free = case.client.plan.runs is None
    return is_free and bool(RULE.values(case).day_between) and is_older(case, on)


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Say in the first week what age does."""
    if draft.stop is not None or past.previous is not None or not is_older(case, draft.start):
        return draft
    return draft.decide(
        RULE.name,
        say(
            "From {age} years on weeks grow by {growth} at most, short ones by a few minutes more, "
            "and a day lies between runs, where your coach has not said otherwise.",
            age=RULE.values(case).from_age,
            growth=str(RULE.values(case).growth),
        ),
        because=case.origins.at("born"),
        source=SOURCE,
    )


RULE = Rule(
    name="age",
    promise=(
        "From 65 years on a week grows by 5 % at most (under 100 min by 5 min where that is more) "
        "where the client's file and group say no growth, or by less where the practice's own rule "
        "is slower, and a day lies between runs where the plan says no number of runs."
    ),
    reason="Older tissue takes longer to answer; how much longer is not known.",
    source=SOURCE,
    evidence="judgement",
    apply=apply,
    parameters=AgeParameters,
    review="Of a client over 65: no building week is over that, and no two runs are neighbours.",
)
