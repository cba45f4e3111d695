"""Days between: hard and long apart, and for new runners a day off after each run."""

from __future__ import annotations

from datetime import date
from math import ceil

from sitegen.model.case import Case
from sitegen.model.sentence import N_, say, say_count
from sitegen.rules import age, run_walk
from sitegen.rules.days import most_runs, offers
from sitegen.rules.draft import Draft, Past, event_share, share_of_week
from sitegen.rules.rule import Lived, Memory, Rule
from sitegen.rules.run_walk import CONTINUOUS_MIN

SOURCE = (
    "common practice, no source for runners; a day off between runs: Table 1 of the protocol in "
    "Trials 2023;24 (doi 10.1186/s13063-023-07502-x)"
)
BY_AGE = N_("A day without running after each run: from an age on it takes longer to answer.")
AS_NEW = N_("A day without running after each run, as running is still new.")
WHILE_IN_TURN = N_("A day without running after each run, as long as you run and walk in turn.")
DAY_BETWEEN = frozenset({BY_AGE, AS_NEW, WHILE_IN_TURN})
REGULAR_WEEKS = 12
USUAL_RUNS = 3
# Nobody goes out for less. Common practice, no source.
LEAST_RUN_MIN = 10
# After an event, down to so many runs: days off do more than short ones. Common practice, no
# source.
LEAST_AFTER_EVENT_MIN, RUNS_AFTER_EVENT = 20, 3
# Share of the usual number of runs that stays before an event. Bosquet L et al., Med Sci Sports
# Exerc 2007;39(8):1358-1365: frequency is kept; the figure is common practice, no source.
KEPT_RUNS = 0.8


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


def _shortest(draft: Draft, case: Case, runs: int) -> float:
    """Minutes of any run but the long one in a week of ``runs``."""
    if runs < 2 or draft.event_on is not None:
        return draft.minutes / runs
    to_event = draft.kind == "build" and case.client.goal.event is not None
    share = event_share(runs) if to_event else share_of_week(runs)
    return draft.minutes * (1 - share) / (runs - 1)


def _fewest(draft: Draft, case: Case) -> int:
    """How many runs a week keeps however short they are: four of five before an event, which is one
    of them, and the coach's own number but after it."""
    if draft.kind in ("taper", "event"):
        return max(ceil(draft.runs * KEPT_RUNS) - (draft.event_on is not None), 1)
    return 1 if draft.caps or case.client.plan.runs is None else draft.runs


def _least(draft: Draft, runs: int) -> int:
    """Minutes under which a run is not worth going out for, in a week of ``runs``."""
    is_after = draft.climbs_back and runs > RUNS_AFTER_EVENT
    return LEAST_AFTER_EVENT_MIN if is_after else LEAST_RUN_MIN


def _worth_going_out(draft: Draft, case: Case) -> Draft:
    """Fewer runs rather than some of a few minutes each."""
    if draft.is_run_walk or draft.walks or draft.minutes <= 0:
        return draft
    usual, fewest = draft.runs, _fewest(draft, case)
    runs, least = usual, _least(draft, usual)
    while runs > fewest and _shortest(draft, case, runs) < least:
        runs, least = runs - 1, _least(draft, runs - 1)
    if runs == usual:
        return draft
    return draft.decide(
        RULE.name,
        say_count(
            "One run this week: {minutes} min in {usual} would leave some under {least} min.",
            "At most {count} runs this week: {minutes} min in {usual} would leave some under "
            "{least} min.",
            count=runs,
            usual=usual,
            minutes=draft.minutes,
            least=_least(draft, usual),
        ),
        because=case.origins.at("week"),
        source=SOURCE,
        runs=runs,
        spared=usual - runs,
    )


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """As many runs as are worth going out for; a new runner is marked, so that placing leaves a day
    off between them."""
    if draft.stop is not None:
        return draft
    draft = _worth_going_out(draft, case)
    if not is_novice(case, past.number) and age.has_day_between(case, past.start):
        return draft.decide(
            RULE.name,
            say(BY_AGE),
            because=case.origins.at("born"),
            source=age.SOURCE,
            novice=True,
        )
    is_new = is_novice(case, past.number)
    if not (draft.novice or is_new):
        return draft
    says = say(AS_NEW)
    if not is_new:  # on the ladder after pain or weeks away
        says = say(WHILE_IN_TURN)
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
        "running, never two running days in a row unless the week offers no other choice. A week "
        "without walks has fewer runs rather than some of under 10 min, after an event down to "
        "three rather than some of under 20; the coach's own number "
        "stays but on days near an event, and four of five do before it. Where the file gives "
        "hours, 12 h lie between two runs, or a run and strength, of neighbouring days, unless the "
        "days offer no other choice: then it is told (common practice, no source)."
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
