"""What would give weeks a run more: another day, days that lie apart, or the number written."""

from __future__ import annotations

from collections.abc import Sequence

from sitegen.model.case import Case
from sitegen.model.client import DAYS
from sitegen.model.plan import Week
from sitegen.rules import spacing
from sitegen.rules.days import most_runs, offers

MOST_RUNS_APART = len(DAYS) // 2  # runs of a week of which no two are on neighbouring days


def one_run_more(case: Case, weeks: Sequence[Week]) -> str:
    """``offer one more running day``, ``write runs: 3``, or both; empty where neither the days nor
    the coach's number is what keeps these weeks from one."""
    runs = most_in_a_week(weeks)
    offered = offers(case, weeks[0].start)
    is_apart = any(map(is_spaced, weeks))
    if runs >= (MOST_RUNS_APART if is_apart else len(DAYS)):
        return ""
    number = case.client.plan.runs
    ways = []
    if most_runs(offered, is_apart, least=1) <= runs:
        apart = ", apart from the others" if is_apart else ""
        ways.append(f"offer one more running day{apart}")
    if number is not None and number <= runs:
        ways.append(f"write runs: {runs + 1}")
    return " and ".join(ways)


def most_in_a_week(weeks: Sequence[Week]) -> int:
    return max(sum(session.is_run for session in week.sessions) for week in weeks)


def is_spaced(week: Week) -> bool:
    """True where the rule of days between says that one lies between runs."""
    return any(d.says.template in spacing.DAY_BETWEEN for d in week.decisions)
