"""What the log says of a runner on the morning of a day."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from sitegen.model.case import Case
from sitegen.model.plan import Week
from sitegen.rules import pain, screening, signs
from sitegen.rules.draft import Condition, Stop, days_between, latest
from sitegen.rules.log import Logged

DAY = timedelta(days=1)
WEEK = timedelta(days=7)


def condition(
    case: Case,
    logged: Sequence[Logged],
    day: date,
    week_start: date,
    previous: Week | None,
    as_of: date,
) -> Condition:
    """The runner's condition on ``day`` of the week that starts on ``week_start``.

    Only what was logged before ``day`` counts. ``logged`` is the whole log up to ``as_of``.
    """
    known = [s for s in logged if s.on < day]
    profile = pain.RULE.values(case).profile
    lifts = [d for d in signs.lifted_on(case) if d <= day]
    state = pain.state(known, profile, lifts)
    week_end = week_start + WEEK
    backs = sum(1 for d in state.backs if week_start <= d < week_end)
    recent = any(week_start - WEEK <= d < week_start for d in state.backs)
    return Condition(
        pain=state.level,
        pain_because=state.because,
        pain_score=state.score,
        backs=backs,
        recent_back=recent and state.level != "go",
        stop=_stop(case, known, day, state),
        away_days=_away(case, known, day, week_start, as_of, previous),
        silent=_silent(logged, previous, as_of),
    )


def _stop(case: Case, known: Sequence[Logged], day: date, state: pain.PainState) -> Stop | None:
    found = screening.stop(case, day) or signs.stop(case, known, day)
    if found is None and state.level == "refer":
        return Stop("pain", state.backs[-1] if state.backs else None, state.because)
    return found


def _away(
    case: Case,
    known: Sequence[Logged],
    day: date,
    week_start: date,
    as_of: date,
    previous: Week | None,
) -> int | None:
    """Days since the last logged run, counted to the week's Monday, or to today in this week.

    A new baseline counts as a run: it was taken from running. A day of the current week that is
    still ahead is judged by what is known today.
    """
    last = latest([s.on for s in known if s.is_run])
    if last is None:
        return None
    if case.client.baseline.week.seconds > 0 and case.client.baseline.on <= day:
        last = max(last, case.client.baseline.on)
    in_this_week = week_start <= as_of < week_start + WEEK
    count_to = as_of if in_this_week and day >= as_of else week_start
    away = days_between(last, count_to) if count_to <= as_of else 0
    if in_this_week and day >= as_of and previous is not None:
        missed = any(last < s.on < as_of for s in previous.sessions if s.is_run)
        if not missed and days_between(last, week_start) < 7:
            return days_between(last, week_start)
    return max(away, 0)


def _silent(logged: Sequence[Logged], previous: Week | None, as_of: date) -> bool:
    """True where the week before is past, had sessions, and nothing was logged in it."""
    if previous is None or not previous.sessions:
        return False
    end = previous.start + WEEK
    if end > as_of:
        return False
    return not any(previous.start <= s.on < end for s in logged)
