"""A run less each week, for weeks, is a habit and no string of accidents: the coach is asked.

Source: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import timedelta

from sitegen.model.case import Case
from sitegen.model.plan import Week
from sitegen.model.problem import Problem
from sitegen.rules.log import Log
from sitegen.rules.told import fates

WEEK = timedelta(days=7)
HABIT_WEEKS = 4  # so many weeks in a row make a habit
FEWEST_IN_HABIT = 3  # below, a run less would be a run a week
COUNTED = ("build", "hold", "ease")


def fewer_runs(case: Case, log: Log, weeks: Sequence[Week]) -> Iterator[Problem]:
    """A proposal of fewer runs for who has left out one, and told so, in each of four weeks."""
    over = [w for w in weeks if w.start + WEEK <= log.as_of and w.began in COUNTED][-HABIT_WEEKS:]
    done: list[int] = []
    for week in over:
        runs = fates(week.sessions, log, week.start)
        kept = sum(run.fate == "done" for run in runs)
        is_one_less = kept == len(runs) - 1 and any(run.fate == "missed" for run in runs)
        if len(runs) < FEWEST_IN_HABIT or not is_one_less or week.by_coach:
            return
        done.append(kept)
    if len(done) < HABIT_WEEKS or len(set(done)) > 1:
        return
    yield Problem(
        case.origins.at("plan", "runs"),
        f"{done[0]} of {done[0] + 1} runs were done in each of the last {HABIT_WEEKS} weeks: a "
        "habit, it seems, and the plan repeats its week as long as one is missed",
        f"ask, and if it suits both of you write runs: {done[0]} under plan",
        "habit-runs",
        "warning",
    )
