"""That the day which the coach wrote for the long run holds none, week after week."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from sitegen.model.case import Case
from sitegen.model.client import DAYS
from sitegen.model.plan import Week
from sitegen.model.problem import Problem
from sitegen.plan.running_days import is_long
from sitegen.plan.week_names import enumerated, weeks_named
from sitegen.rules import away
from sitegen.rules.days import week_days

FROM_WEEKS = 2  # one is a chance of the days round it; common practice, no source
SPACED = "spacing"


def passed_over(case: Case, weeks: Sequence[Week], as_of: date) -> Iterator[Problem]:
    """A warning where weeks ahead hold two runs or more, and the long one on another day."""
    found = [week for week in weeks if week.start >= as_of and _is_passed_over(case, week)]
    if len(found) < FROM_WEEKS:
        return
    first = found[0]
    day = week_days(case, first.start).long
    on = [DAYS[s.on.weekday()] for s in first.sessions if s.is_run]
    apart = any(d.rule == SPACED and d.before is None for d in first.decisions)
    why = ", a day apart" if apart and day not in on else ""
    yield Problem(
        case.origins.at("week", "long"),
        f"{weeks_named(week.number for week in found)}: no long run on {day}, the day that is "
        f"written for it; the runs are on {enumerated(on)}{why}",
        f"offer days that lie apart from {day}, or write another one as long",
        "plan-long-day",
        "warning",
    )


def _is_passed_over(case: Case, week: Week) -> bool:
    day = week_days(case, week.start).long
    runs = [s for s in week.sessions if s.is_run]
    if day is None or len(runs) < 2 or week.by_coach or week.kind == "event":
        return False
    if away.is_away_in(case, week.start) or not any(map(is_long, runs)):
        return False
    return all(DAYS[s.on.weekday()] != day for s in runs if is_long(s))
