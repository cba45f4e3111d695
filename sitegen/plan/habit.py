"""As many runs less each week, for weeks, is a habit and no accident: the coach is asked.

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
FEWEST_LEFT = 2  # a run a week is not proposed
COUNTED = ("build", "hold", "ease")


def fewer_runs(case: Case, log: Log, weeks: Sequence[Week]) -> Iterator[Problem]:
    """A proposal of fewer runs for who left out as many, and told so, in each of four weeks."""
    over = [w for w in weeks if w.start + WEEK <= log.as_of and w.began in COUNTED][-HABIT_WEEKS:]
    done: set[tuple[int, int]] = set()
    for week in over:
        runs = fates(week.sessions, log, week.start)
        kept = sum(run.fate == "done" for run in runs)
        missed = sum(run.fate == "missed" for run in runs)
        if kept < FEWEST_LEFT or not missed or kept + missed < len(runs) or week.by_coach:
            return
        done.add((kept, len(runs)))
    if len(over) < HABIT_WEEKS or len(done) > 1:
        return
    ((kept, told),) = done
    yield Problem(
        case.origins.at("plan", "runs"),
        f"{kept} of {told} runs were done in each of the last {HABIT_WEEKS} weeks: a habit, it "
        "seems, and the plan repeats its week as long as one is missed",
        f"ask, and if it suits both of you write runs: {kept} under plan",
        "habit-runs",
        "warning",
    )
