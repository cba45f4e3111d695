"""What the log says of a runner on the morning of a day."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from datetime import date, timedelta
from typing import NamedTuple

from sitegen.model.case import Case
from sitegen.model.plan import Week
from sitegen.rules import pain, run_walk, screening, signs
from sitegen.rules.draft import Condition, Rung, Stop
from sitegen.rules.log import Logged, Run, runs, sessions

DAY = timedelta(days=1)
WEEK = timedelta(days=7)
ABSENT_DAYS = 7


class History(NamedTuple):
    """A client's whole log up to ``as_of``, laid out so that any day is looked up quickly."""

    case: Case
    as_of: date
    logged: tuple[Logged, ...]
    days: tuple[date, ...]
    runs: tuple[Run, ...]
    run_days: tuple[date, ...]
    signed: tuple[Logged, ...]
    pains: tuple[pain.PainState, ...]
    lifts: tuple[date, ...]
    ladder: tuple[Rung, ...]

    def between(self, first: date, end: date) -> tuple[Logged, ...]:
        """Sessions from ``first`` up to the day before ``end``."""
        return self.logged[bisect_left(self.days, first) : bisect_left(self.days, end)]

    def runs_between(self, first: date, end: date) -> tuple[Run, ...]:
        """Runs from ``first`` up to the day before ``end``."""
        return self.runs[bisect_left(self.run_days, first) : bisect_left(self.run_days, end)]

    def pain_before(self, day: date, lifted_by: date | None = None) -> pain.PainState:
        """Where the scores before ``day`` have led, lifts up to ``lifted_by`` (or it) counted."""
        known = bisect_left(self.days, day)
        now = self.pains[known - 1] if known else pain.PainState()
        since = self.days[known - 1] if known else date.min
        for lifted in self.lifts:
            if since < lifted <= (lifted_by or day):
                now = pain.lift(now)
        return now

    def last_run_before(self, day: date) -> date | None:
        known = bisect_left(self.run_days, day)
        return self.run_days[known - 1] if known else None

    def bears_on(self, week_start: date) -> bool:
        """True where days of this week may differ from its Monday."""
        end = week_start + WEEK
        cleared = self.case.client.screening.cleared_on
        marks = (self.as_of, *self.lifts, *((cleared,) if cleared else ()))
        if any(week_start <= mark < end for mark in marks):
            return True
        return bool(self.between(week_start, end))


def history(case: Case, as_of: date) -> History:
    """Lay out the log up to ``as_of``."""
    logged = sessions(case, as_of)
    profile = pain.RULE.values(case).profile
    lifts = tuple(sorted(signs.lifted_on(case)))
    ran = runs(logged)
    return History(
        case=case,
        as_of=as_of,
        logged=logged,
        days=tuple(s.on for s in logged),
        runs=ran,
        run_days=tuple(r.on for r in ran),
        signed=tuple(s for s in logged if s.entry.signs),
        pains=pain.states(logged, profile, lifts),
        lifts=lifts,
        ladder=run_walk.rungs(run_walk.RULE.values(case)),
    )


def condition(past: History, day: date, week_start: date, previous: Week | None) -> Condition:
    """The runner's condition on ``day`` of the week that starts on ``week_start``.

    Only what was logged before ``day`` counts.
    """
    state = past.pain_before(day)
    backs = backs_in(state, week_start)
    recent = state.level != "go" and backs_in(state, week_start - WEEK) > 0
    return Condition(
        pain=state.level,
        pain_because=state.because,
        pain_score=state.score,
        backs=backs,
        recent_back=recent,
        stop=stop_on(past, day, state),
        away_days=_away(past, day, week_start, previous),
        silent=_silent(past, previous),
    )


def backs_in(state: pain.PainState, week_start: date) -> int:
    """How often pain sent the plan back in the week that starts on ``week_start``."""
    return sum([week_start <= day < week_start + WEEK for day in state.backs])


def stop_now(past: History) -> Stop | None:
    """Why nothing may be planned as of today, today's check-ins counted."""
    tomorrow = past.as_of + DAY
    signed = [s for s in past.signed if s.on < tomorrow]
    return _stop(past, past.as_of, signed, past.pain_before(tomorrow, past.as_of))


def stop_on(past: History, day: date, state: pain.PainState) -> Stop | None:
    """Why nothing may be planned on ``day``, as known that morning; None where nothing stops."""
    return _stop(past, day, [s for s in past.signed if s.on < day], state)


def _stop(past: History, day: date, signed: Sequence[Logged], state: pain.PainState) -> Stop | None:
    found = screening.stop(past.case, day) or signs.stop(past.case, signed, day)
    if found is None and state.level == "refer":
        return Stop("pain", state.backs[-1] if state.backs else None, state.because)
    return found


def _away(past: History, day: date, week_start: date, previous: Week | None) -> int | None:
    """Days since the last logged run, counted to the week's Monday, or to today in this week.

    A new baseline counts as a run: it was taken from running. A day of the current week that is
    still ahead is judged by what is known today: a run that was planned since and not logged was
    missed.
    """
    on_monday = _gap(past, week_start, week_start)
    if on_monday is None or week_start > past.as_of:
        return None if on_monday is None else 0
    if day < past.as_of or past.as_of >= week_start + WEEK:
        return on_monday  # a week that was come back to stays one, also after its first run
    now = _gap(past, day, past.as_of)
    last = past.last_run_before(day)
    planned = previous.sessions if previous else ()
    missed = any(last and last < s.on < past.as_of for s in planned if s.is_run)
    return max(on_monday, now or 0) if missed or on_monday >= ABSENT_DAYS else on_monday


def _gap(past: History, before: date, to: date) -> int | None:
    """Days from the last run logged before ``before``, or a newer baseline, up to ``to``."""
    last = past.last_run_before(before)
    if last is None:
        return None
    baseline = past.case.client.baseline
    if baseline.week.seconds > 0 and baseline.on <= before:
        last = max(last, baseline.on)
    return max((to - last).days, 0)


def _silent(past: History, previous: Week | None) -> bool:
    """True where the week before is past, had sessions, and nothing was logged in it."""
    if previous is None or not previous.sessions:
        return False
    end = previous.start + WEEK
    return end <= past.as_of and not past.between(previous.start, end)
