"""The fold: week by week, from what was planned and what was logged.

Week *n* follows from week *n - 1* as planned and as logged up to ``as_of``. Weeks ahead assume
that the plan is followed. How one week is drawn is told in `sitegen.plan.mornings`.

No rule is known here by name: each is asked for what it remembers, what it knows, what stops the
plan in its eyes, and then for the week.

Days that are over and stand in the ledger (`sitegen.plan.ledger`) are not drawn anew: what was
told, and what the log says became of it, is all that the weeks ahead are made from.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta
from functools import cache
from itertools import chain
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

from sitegen.model.case import Case
from sitegen.model.plan import Decision, Plan, Session, Status, Week
from sitegen.model.problem import Problem
from sitegen.plan import changes, colliding, ledger, reach, telling
from sitegen.plan.alarms import alarms, open_first
from sitegen.plan.alarms import problems as alarm_problems
from sitegen.plan.condition import (
    as_planned,
    backs,
    condition,
    log_with_readings,
    minutes_alone,
    runs_alone,
    stop_now,
    stop_on,
)
from sitegen.plan.freed import told_as_past
from sitegen.plan.mornings import by_morning, known_as
from sitegen.plan.sizing import filled, not_active, sized
from sitegen.plan.still_true import what_holds
from sitegen.plan.wall_clock import clock_changes, on_real_hours
from sitegen.plan.withheld import withheld
from sitegen.rules import RULES
from sitegen.rules.draft import Condition, Draft, Past
from sitegen.rules.log import RECENT, Log, Run
from sitegen.rules.rule import Lived
from sitegen.rules.told import ToldRun, fates

DAY = timedelta(days=1)
WEEK = timedelta(days=7)
HEARD_WITHIN = timedelta(days=30)
REMEMBERING = tuple((rule.name, rule.memory) for rule in RULES if rule.memory)


class Trail(NamedTuple):
    """What one week hands on to the next: the runs, the week itself, and each rule's memory.

    ``planned`` are the runs of weeks ahead, ``known_longest`` is the longest run that is known at
    all, in minutes.
    """

    planned: tuple[Run, ...]
    known_longest: float
    memory: Mapping[str, Any]
    previous: Week | None = None


def expand(case: Case, as_of: date) -> Plan:
    """The whole plan of one client, as of one day."""
    case = as_planned(case)
    log = log_with_readings(case, as_of)
    known = ledger.merged(case.told, as_of)
    drawn = tuple(_folded(case, log, known))
    weeks = tuple(changes.moved_between_weeks(case, tuple(one.week for one in drawn)))
    told = ledger.told_ids(case, known, as_of, _ran_today(log))
    weeks = what_holds(told_as_past(case, log, withheld(case, log, weeks, told)))
    standing = _standing(case, log)
    is_on = case.client.status == "active"
    unreached = _out_of_reach(case, log, known, weeks, drawn) if is_on else None
    found = alarms(case, log, weeks)
    problems = [
        *alarm_problems(found, case),
        *telling.plan_warnings(case, log, weeks, standing),
        *colliding.colliding(case, weeks, as_of),
        *clock_changes(case, weeks, as_of),
        *([unreached] if unreached else []),
    ]
    return Plan(
        client=case.id,
        as_of=as_of,
        status=_status(case, log),
        weeks=on_real_hours(weeks, ZoneInfo(case.timezone)),
        decisions=standing,
        problems=tuple(sorted(problems)),
        alarms=open_first(found),
        told=told,
        unasked=case.client.unasked,
    )


def minutes_done(case: Case, plan: Plan) -> dict[str, float]:
    """Minutes really run of each run of the plan that was done, by the session's id."""
    log = log_with_readings(case, plan.as_of)
    found: dict[str, float] = {}
    for week in plan.weeks:
        runs = [s for s in week.sessions if s.is_run and s.run_minutes > 0]
        for session, fate in zip(runs, fates(week.sessions, log, week.start), strict=True):
            if fate.fate == "done":
                found[session.id] = fate.ran + fate.beside
    return found


def _out_of_reach(
    case: Case,
    log: Log,
    known: Mapping[date, ledger.KnownWeek],
    weeks: Sequence[Week],
    drawn: Sequence[Drawn],
) -> Problem | None:
    """A warning where the plan can't reach its event.

    With a later one, what was logged is the same, and so are the weeks that are over by now.
    """
    over = [one for one in drawn if one.week.start + WEEK <= log.as_of]
    start = case.first_monday + WEEK * len(over)
    trail = over[-1].trail if over else _start(case, start, 1)
    alone = cache(lambda: runs_alone(log))

    def unroll(case: Case, eased: bool = False) -> Iterator[Week]:
        heard = minutes_alone(alone() if eased else log)._replace(case=case)
        ahead = _folded(case, heard, known, over[-1] if over else None)
        return (one.week for one in chain(over, ahead))

    past = _past(log, trail, len(over) + 1, start, Condition())
    return reach.out_of_reach(case, weeks, past, unroll)


class Drawn(NamedTuple):
    """A week, and what it and all before it leave behind."""

    week: Week
    trail: Trail


def _folded(
    case: Case,
    log: Log,
    told: Mapping[date, ledger.KnownWeek],
    since: Drawn | None = None,
) -> Iterator[Drawn]:
    """Week after week, each from what the one before it left behind, those after ``since``.

    They are worked out as they are asked for, and before sessions move from one to another.
    """
    monday = case.first_monday
    begun = _start(case, monday, 1)
    at_ease = condition(log, monday, monday, begun.memory) if told else Condition()
    first, trail = (since.week.number + 1, since.trail) if since is not None else (1, begun)
    for number in range(first, case.client.plan.weeks + 1):
        start = monday + WEEK * (number - 1)
        if _baseline_in(case, start):
            trail = _start(case, start, number, trail)
        known = told.get(start)
        if known is not None and known.is_whole and start + WEEK <= log.as_of:
            week = ledger.week_as_told(case, known, number, log.as_of)
            ended = _as_it_ended(case, log, trail, week, at_ease)
            trail = _after(case, log, trail, ended, _told_on_monday(known, ended))
        else:
            week, at_first = _week(case, log, trail, number, start, told)
            trail = _after(case, log, trail, week, at_first)
        yield Drawn(week, trail)


def _start(case: Case, monday: date, number: int, before: Trail | None = None) -> Trail:
    """Where the baseline puts the runner, for the week that begins on ``monday``.

    ``before`` is what the weeks so far left, where the baseline is a new one inside the plan.
    """
    baseline = case.client.baseline
    most = baseline.longest.minutes if baseline.longest else 0.0
    ran_on = min(baseline.on, monday - timedelta(days=1))  # some day in the 30 before it
    return Trail(
        planned=(Run(ran_on, most),) if most > 0 else (),
        known_longest=most,
        memory={
            name: memory.start(case, monday, number, before.memory[name] if before else None)
            for name, memory in REMEMBERING
        },
        previous=before.previous if before else None,
    )


def _baseline_in(case: Case, start: date) -> bool:
    """True in the first week that starts on or after a baseline taken inside the plan."""
    on = case.client.baseline.on
    return case.first_monday < on and start - WEEK < on <= start


def _as_it_ended(case: Case, log: Log, trail: Trail, week: Week, at_ease: Condition) -> Week:
    """A told week as one to build on: growth that was told is not earned where pain or a stop
    came, or was known, that nobody was told of. Settings have no say in it.

    ``at_ease`` is a condition of which nothing was heard yet.
    """
    if week.kind != "build" or week.worth <= 0:
        return week
    last = condition(log, week.start + 6 * DAY, week.start, trail.memory)
    if known_as(last) == known_as(at_ease):
        return week
    past = _past(log, trail, week.number, week.start, last)
    ended = sized(case, past)
    if ended.stop is None and ended.kind not in ("hold", "back"):
        return week
    if ended.stop is not None:
        return week._replace(worth=0.0, runs=0)
    usual = sized(case, past._replace(condition=at_ease._replace(stop=None)))
    if ended.kind in ("hold", "back") and usual.kind not in ("hold", "back"):
        return week._replace(kind=ended.kind)
    return week


def _week(
    case: Case,
    log: Log,
    trail: Trail,
    number: int,
    start: date,
    told: Mapping[date, ledger.KnownWeek],
) -> tuple[Week, tuple[Session, ...]]:
    """One week, and its sessions as Monday has them; ``told`` is what was told of all."""
    on_monday = condition(log, start, start, trail.memory)
    past = _past(log, trail, number, start, on_monday)
    base = filled(case, log, past, sized(case, past))
    week, monday = by_morning(case, log, past, base, None)
    known = told.get(start)
    if known is None:
        return week, monday
    ran_today = _ran_today(log)
    is_begun = start < log.as_of or (start == log.as_of and ran_today > 0)
    if is_begun:
        for opens in known.openings(log.as_of):
            if ledger.fits(known, week, log.as_of, opens):
                break
            week, monday = by_morning(case, log, past, base, opens)
    week = ledger.with_days_over(case, told, week, log.as_of, ran_today)
    if is_begun and known.is_whole:
        monday = _told_on_monday(known, week)
    return week, monday


def _ran_today(log: Log) -> int:
    """How many runs are logged of the plan's day that may have been told: none where the plan was
    stopped before it."""
    if stop_on(log, log.as_of) is not None:
        return 0
    return sum(s.is_run for s in log.between(log.as_of, log.as_of + DAY))


def _told_on_monday(known: ledger.KnownWeek, week: Week) -> tuple[Session, ...]:
    """A week's sessions as they were told on its Monday, but where the coach has changed it."""
    is_one = len(known.days) == 1 or week.by_coach
    return week.sessions if is_one else known.monday


def _past(log: Log, trail: Trail, number: int, start: date, known: Condition) -> Past:
    ahead = [r for r in trail.planned if r.on < start]
    ran = log.runs_between(start - RECENT, start)
    return Past(
        number=number,
        start=start,
        as_of=log.as_of,
        runs=tuple(sorted((*ran, *ahead))) if ahead else ran,
        known_longest=trail.known_longest,
        previous=trail.previous,
        recent=log.recent(start),
        memory=trail.memory,
        read=log.read,
        condition=known,
    )


def _after(case: Case, log: Log, trail: Trail, week: Week, monday: tuple[Session, ...]) -> Trail:
    """What this week leaves behind: what was told, and what became of it as far as is known.

    ``monday`` are its sessions as they were told on its Monday.
    """
    end = week.start + WEEK
    logged = log.between(week.start, end)
    back = backs(log, end, week.start)
    told, at_first = ([s for s in found if s.is_run] for found in (week.sessions, monday))
    runs = _fates(case, log, told, week.start)
    lived = Lived(
        case=case,
        week=week,
        runs=runs,
        on_monday=runs if at_first == told else _fates(case, log, at_first, week.start),
        logged=logged,
        backs=back.times,
        back_because=back.because,
        memory=trail.memory,
        read=log.read,
        training=sum([s.run_minutes for s in week.sessions if s.kind != "event"]),
    )
    ahead = [Run(run.on, run.minutes) for run in lived.runs if run.fate == "ahead"]
    # A run of which nothing was heard repeats the longest that was heard of; it is no new high.
    is_agreed = case.client.checkins == "none"
    unheard = [
        Run(run.on, min(run.minutes, _longest_heard(log, trail, run.on)), heard=is_agreed)
        for run in lived.runs
        if run.fate == "unknown"
    ]
    planned = tuple(sorted(ahead + unheard))
    heard = [r.minutes for r in ahead] + [s.minutes for s in log.runs_between(week.start, end)]
    ran = heard + [r.minutes for r in unheard] if heard else []
    return Trail(
        planned=tuple(r for r in trail.planned if r.on >= end - RECENT) + planned,
        known_longest=max(ran, default=trail.known_longest),
        memory={name: memory.after(trail.memory[name], lived) for name, memory in REMEMBERING},
        previous=week,
    )


def _fates(case: Case, log: Log, told: Sequence[Session], monday: date) -> tuple[ToldRun, ...]:
    """What became of a week's runs. Of who never logs by agreement nothing will be heard of those
    ahead either: a plan that counted on it would take back each Sunday what it had shown."""
    found = fates(told, log, monday)
    if case.client.checkins != "none":
        return found
    return tuple(r._replace(fate="unknown") if r.fate == "ahead" else r for r in found)


def _longest_heard(log: Log, trail: Trail, day: date) -> float:
    """The longest run told in the 30 days before, in minutes; else the longest known before."""
    told = log.runs_between(day - HEARD_WITHIN, day)
    return max((run.minutes for run in told), default=trail.known_longest)


def _status(case: Case, log: Log) -> Status:
    """What the client's state is on ``as_of``, today's check-ins counted."""
    if case.client.status == "ended":
        return "ended"
    found = stop_now(log)
    if found is not None and found.refers:
        return "referred"
    return "paused" if found is not None or case.client.status == "paused" else "active"


def _standing(case: Case, log: Log) -> tuple[Decision, ...]:
    """Why nothing is planned on ``as_of``, where nothing is."""
    found = stop_now(log)
    if found is not None:
        return (Decision(found.rule, found.says, found.because, found.source, warns=True),)
    if case.client.status == "active":
        return ()
    return not_active(case, Draft(0, case.first_monday)).decisions
