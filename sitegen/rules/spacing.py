"""Days between: hard and long apart, and for new runners a day off after each run."""

from __future__ import annotations

from datetime import date

from sitegen.model.case import Case
from sitegen.model.sentence import say
from sitegen.rules import age, run_walk
from sitegen.rules.days import most_runs, offers
from sitegen.rules.draft import Draft, Past
from sitegen.rules.rule import Lived, Memory, Rule
from sitegen.rules.run_walk import CONTINUOUS_MIN

SOURCE = (
    "common practice, no source for runners; a day off between runs: Table 1 of the protocol in "
    "Trials 2023;24 (doi 10.1186/s13063-023-07502-x)"
)
REGULAR_WEEKS = 12
USUAL_RUNS = 3


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


def _start(case: Case, monday: date, number: int, before: int | None) -> int:
    return case.client.baseline.runs or USUAL_RUNS


def _after(before: int, lived: Lived) -> int:
    """How many runs a week holds: a cut week, or an event's, says nothing of it."""
    return lived.week.runs or before


def _opens(draft: Draft, past: Past, case: Case) -> Draft:
    apart = is_novice(case, past.number) or _off_between(case, past)
    apart = apart or age.has_day_between(case, past.start)
    most = most_runs(offers(case, past.start), apart)
    return draft.but(runs=min(case.client.plan.runs or RULE.remembered(past), most))


def _off_between(case: Case, past: Past) -> bool:
    """True on a walk-run ladder that asks for days off between runs."""
    return run_walk.on_ladder(past) and run_walk.RULE.values(case).rest_days > 0


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Mark a new runner, so that placing leaves a day off between runs."""
    if draft.stop is not None:
        return draft
    if not is_novice(case, past.number) and age.has_day_between(case, past.start):
        return draft.decide(
            RULE.name,
            say("A day without running after each run: from an age on it takes longer to answer."),
            because=case.origins.at("born"),
            source=age.SOURCE,
            novice=True,
        )
    is_new = is_novice(case, past.number)
    if not (draft.novice or is_new):
        return draft
    says = say("A day without running after each run, as running is still new.")
    if not is_new:  # on the ladder after pain or weeks away
        says = say("A day without running after each run, as long as you run and walk in turn.")
    return draft.decide(
        RULE.name,
        says,
        because=case.origins.at("screening", "regular_exercise"),
        source=SOURCE,
        novice=True,
    )


RULE = Rule(
    name="spacing",
    promise=(
        "Hard sessions and the long run never on neighbouring days; under 12 weeks of regular "
        "running, never two running days in a row unless the week offers no other choice. Where "
        "the file gives hours, 12 h lie between two runs, or a run and strength, of neighbouring "
        "days, unless the days offer no other choice: then it is told (common practice, no source)."
    ),
    reason="Tissue that was loaded gets a day to answer.",
    source=SOURCE,
    evidence="judgement",
    apply=apply,
    audience="coach",
    opens=_opens,
    memory=Memory(_start, _after),
    review="Mark hard sessions and the long run on a calendar: no two stand side by side.",
)
