"""No week far above what is really run."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from sitegen.model.case import Case
from sitegen.model.sentence import say
from sitegen.rules.draft import Draft, Past, whole_minutes
from sitegen.rules.rule import Lived, Memory, Rule
from sitegen.rules.told import ToldRun
from sitegen.rules.volume import Level

SOURCE = "common practice, no source"
MOST_OVER = 1.5
MEASURED_WEEKS = 4
FEWEST_KNOWN = 3
# Below this no week is cut: a plan never sinks to nothing by itself.
LEAST_MIN = 30.0
MEASURED = ("build", "hold", "ease")


class Measured(NamedTuple):
    """Minutes that were really run in a week, of those that were told.

    ``ran`` has a run of which nothing was heard as told; ``known`` has it as not run.
    """

    ran: float
    told: float
    known: float = 0.0


def _start(case: Case, monday: date, number: int, before: object) -> tuple[Measured, ...]:
    return ()


def _after(before: tuple[Measured, ...], lived: Lived) -> tuple[Measured, ...]:
    """What was run in the last weeks that say something of it, in minutes, newest last.

    Of a week that was told and heard of, runs count up to what was told; a run of which nothing
    was heard counts as told. An easier week counts as the building week that it stands for.
    """
    week, runs = lived.week, lived.on_monday
    level: Level = lived.memory["volume"]
    told = sum(run.minutes for run in runs)
    heard = [run for run in runs if run.fate != "unknown"]
    is_measured = week.began in MEASURED and not week.by_coach and week.runs > 0
    if not is_measured or told <= 0 or not heard or any(run.fate == "ill" for run in runs):
        return before
    share, known = (sum(_ran(run) for run in them) / told for them in (runs, heard))
    whole = told
    if week.began == "ease":
        whole = min(week.worth or told, before[-1].told) if before else max(level.minutes, told)
    return (*before, Measured(whole * share, whole, whole * known))[-MEASURED_WEEKS:]


def _ran(run: ToldRun) -> float:
    """Minutes that were run of what was told; all of it where nothing was heard."""
    if run.fate == "done":
        return min(run.ran, run.minutes)
    return 0.0 if run.fate == "missed" else run.minutes


def most_by_runs(past: Past, case: Case) -> float:
    """Most minutes of a building week by what was really run; no bound where too little is known.

    Weeks that are not known yet count as the baseline.
    """
    known: tuple[Measured, ...] = RULE.remembered(past)
    if len(known) < FEWEST_KNOWN:
        return float("inf")
    if len(known) < MEASURED_WEEKS and all(week.ran >= week.told - 1 for week in known):
        return float("inf")  # all was run: a baseline from before would only hold it back
    fill = [case.client.baseline.week.minutes] * (MEASURED_WEEKS - len(known))
    return max(
        MOST_OVER * (sum(week.ran for week in known) + sum(fill)) / MEASURED_WEEKS, LEAST_MIN
    )


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Cut a building week that is far above what was really run."""
    if draft.stop is not None or draft.kind != "build":
        return draft
    bound = most_by_runs(past, case)
    if draft.minutes <= bound:
        return draft
    bound = float(whole_minutes(bound))
    return draft.decide(
        RULE.name,
        say(
            "{after} min this week: half as much again as was really run in the last weeks, and "
            "no more.",
            after=bound,
        ),
        because=case.origins.at("baseline", "week"),
        source=SOURCE,
        before=draft.minutes,
        after=bound,
        minutes=bound,
    )


RULE = Rule(
    name="guard",
    promise=(
        "A building week is at most one and a half times the mean of what was really run in the "
        "last four weeks that were heard of, once three are known; never cut below 30 min."
    ),
    reason="A plan far above what somebody runs is a jump on the first good week.",
    source=SOURCE,
    evidence="judgement",
    apply=apply,
    needs=("volume",),
    memory=Memory(_start, _after),
    review="Take the mean of the last four heard weeks of the log; half as much again is the most.",
)
