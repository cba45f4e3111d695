"""How much of what was told was run, as a coach reads it. Common practice, no source."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from sitegen.model.plan import Plan
from sitegen.rules.log import Log
from sitegen.rules.told import fates
from sitegen.rules.volume import LEAST_RUN_SHARE

DAY = timedelta(days=1)
WEEK = timedelta(days=7)
ADHERENCE_DAYS = 28
ADHERENCE_LEAST = 0.75  # of the runs planned
ADHERENCE_RUNS = 4  # with fewer planned than this, a share says little


@dataclass(frozen=True, slots=True)
class Runs:
    """Runs logged and planned in the last ``days``; ``weeks`` are those of the plan in them.
    ``is_before_today``: one that stands on the plan's day was not told yet, and is not counted."""

    logged: int
    planned: int
    days: int = ADHERENCE_DAYS
    weeks: int = ADHERENCE_DAYS // 7
    is_before_today: bool = False

    @property
    def says(self) -> str:
        when = f"in {self.weeks} week{'' if self.weeks == 1 else 's'}"
        when = f"before today, {when}" if self.is_before_today else when
        if self.logged > self.planned:
            runs = "run" if self.logged == 1 else "runs"
            return f"{self.logged} {runs} logged, {self.planned} planned, {when}"
        return f"{self.logged} of {self.planned} runs logged {when}"

    @property
    def are_few(self) -> bool:
        enough = self.planned >= ADHERENCE_RUNS
        return enough and self.logged < self.planned * ADHERENCE_LEAST


def runs_lately(plan: Plan, past: Log) -> Runs:
    """Runs of the four weeks before the plan's day; of that day too once one of it is logged."""
    first, as_of = plan.as_of - DAY * ADHERENCE_DAYS, plan.as_of
    today = [s for s in past.between(as_of, as_of + DAY) if s.entry.is_run_or_walk]
    end = as_of + DAY if today else as_of
    planned = [s for s in plan.sessions if s.is_run and first <= s.on < end]
    logged = [s for s in past.between(first, as_of) if s.entry.is_run_or_walk]
    begun = max([first, *(week.start for week in plan.weeks[:1])])
    weeks = max(1, -(-(as_of - begun).days // 7))
    is_left = not today and any(s.is_run and s.on == as_of for s in plan.sessions)
    return Runs(len(logged) + len(today), len(planned), weeks=weeks, is_before_today=is_left)


def much_shorter(plan: Plan, past: Log) -> tuple[str, float] | None:
    """Of the runs that were done clearly less than was told, in words; and the share not run.

    By the share under which a plan does not grow, in the last week or in the last four.
    """
    since: date = plan.as_of - DAY * ADHERENCE_DAYS
    weeks = [week for week in plan.weeks if since < week.start + WEEK and week.start <= plan.as_of]
    every = [run for week in weeks for run in fates(week.sessions, past, week.start)]
    for days, when in ((7, "7 days"), (ADHERENCE_DAYS, "4 weeks")):
        runs = [r for r in every if r.fate == "done" and (plan.as_of - r.on).days < days]
        told = sum(run.minutes for run in runs)
        ran = sum(run.counted for run in runs)
        if len(runs) > 1 and ran < LEAST_RUN_SHARE * told:
            says = f"{len(runs)} runs logged in {when}, with {ran:.0f} of the {told:.0f} min told"
            return says, 1 - ran / told
    return None
