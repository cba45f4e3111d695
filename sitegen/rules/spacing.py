"""Days between: hard and long apart, and for new runners a day off after each run."""

from __future__ import annotations

from functools import lru_cache

from sitegen.model.case import Case
from sitegen.model.sentence import say
from sitegen.rules.draft import Draft, Past
from sitegen.rules.rule import Rule
from sitegen.rules.run_walk import CONTINUOUS_MIN

SOURCE = (
    "common practice, no source for runners; a day off between runs: Table 1 of the protocol in "
    "Trials 2023;24 (doi 10.1186/s13063-023-07502-x)"
)
REGULAR_WEEKS = 12


def is_novice(case: Case, week_number: int) -> bool:
    """True for a runner under twelve weeks of regular running.

    Regular from the start is who exercises on three days a week for three months (the screening
    question) and already runs thirty minutes without a walk; anyone else is after twelve weeks.
    """
    baseline = case.client.baseline
    continuous = baseline.continuous or baseline.longest
    ready = continuous is not None and continuous.minutes >= CONTINUOUS_MIN
    if case.client.screening.regular_exercise and ready:
        return False
    return week_number <= REGULAR_WEEKS


@lru_cache(maxsize=512)  # a week has few sets of days, and placing asks for each many times
def neighbours(days: tuple[int, ...]) -> int:
    """How many pairs of neighbouring days there are, Sunday and Monday counted as neighbours."""
    chosen = set(days)
    if len(chosen) < 2:
        return 0
    return sum(1 for d in chosen if (d + 1) % 7 in chosen)


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Mark a new runner, so that placing leaves a day off between runs."""
    if draft.stop is not None or not is_novice(case, past.number):
        return draft
    return draft.decide(
        RULE.name,
        say("A day without running after each run, as running is still new."),
        because=case.origins.at("screening", "regular_exercise"),
        source=SOURCE,
        novice=True,
    )


RULE = Rule(
    name="spacing",
    promise=(
        "Hard sessions and the long run never on neighbouring days; under 12 weeks of regular "
        "running, never two running days in a row unless the week offers no other choice."
    ),
    reason="Tissue that was loaded gets a day to answer.",
    source=SOURCE,
    evidence="judgement",
    apply=apply,
)
