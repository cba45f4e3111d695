"""The fold: week by week, from what was planned and what was logged.

Week *n* follows from week *n - 1* as planned and as logged up to ``as_of``. Weeks ahead assume
that the plan is followed. Inside a week every session is drawn from what was known on the
morning of its day, so that a check-in changes the rest of its own week.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from typing import NamedTuple

from sitegen.model.case import Case
from sitegen.model.plan import Decision, Plan, Session, Status, Week
from sitegen.model.problem import Origin
from sitegen.model.sentence import say
from sitegen.plan import changes, reach, telling
from sitegen.plan.condition import History, backs_in, condition, history, stop_now
from sitegen.plan.drafting import Placed, offers, place_week
from sitegen.plan.placing import most_runs
from sitegen.rules import RULES, cadence, run_walk, screening, signs, spacing
from sitegen.rules.draft import Condition, Draft, Past, Rung, Stop
from sitegen.rules.log import Logged, Run
from sitegen.rules.pain import BACK_SHARE

DAY = timedelta(days=1)
WEEK = timedelta(days=7)
USUAL_RUNS = 3
OVERRUN = 1.10
STEADY_WEEKS = 4
# How far back rules look at runs and check-ins: the thirty days of `longest`, and room for more.
RECENT = timedelta(days=70)


class Memory(NamedTuple):
    """What one week hands on to the next."""

    reference: float
    reference_because: Origin | None
    known_longest: float
    planned_runs: tuple[Run, ...]
    rung: int | None
    aim: int
    last_rise: int | None
    peak: float
    run_count: int
    hard_weeks: int = 0
    steady_until: int = 0
    previous: Week | None = None


def expand(case: Case, as_of: date) -> Plan:
    """The whole plan of one client, as of one day."""
    past = history(case, as_of)
    weeks = tuple(changes.moved_between_weeks(case, tuple(_folded(case, past))))
    standing = _standing(case, past)
    unreached = None if standing else reach.problem(case, weeks, as_of, unroll)
    problems = [
        *telling.told(case, past, weeks, standing),
        *([unreached] if unreached else []),
    ]
    return Plan(
        client=case.id,
        as_of=as_of,
        status=_status(case, past),
        weeks=weeks,
        decisions=standing,
        problems=tuple(sorted(problems)),
    )


def unroll(case: Case, as_of: date) -> Iterator[Week]:
    """The plan's weeks as they are asked for, before sessions move from one to another."""
    return _folded(case, history(case, as_of))


def _folded(case: Case, log: History) -> Iterator[Week]:
    """Week after week, each from what the one before it left behind."""
    memory = _start(case, case.first_monday)
    for number in range(1, case.client.plan.weeks + 1):
        start = case.first_monday + WEEK * (number - 1)
        if _baseline_in(case, start):
            memory = _start(case, start)._replace(
                steady_until=number + STEADY_WEEKS,
                previous=memory.previous,
                peak=memory.peak,
                hard_weeks=memory.hard_weeks,
            )
        week, memory = _week(case, log, memory, number, start)
        yield week


def _start(case: Case, monday: date) -> Memory:
    """Where the baseline puts the runner, for the week that begins on ``monday``."""
    baseline = case.client.baseline
    longest = baseline.longest.minutes if baseline.longest else 0.0
    continuous = baseline.continuous.minutes if baseline.continuous else longest
    values = run_walk.RULE.values(case)
    ran_on = min(baseline.on, monday - timedelta(days=1))  # some day in the 30 before it
    first = (Run(ran_on, longest),) if longest > 0 else ()
    return Memory(
        reference=baseline.week.minutes,
        reference_because=case.origins.at("baseline", "week"),
        known_longest=longest,
        planned_runs=first,
        rung=run_walk.starting_rung(run_walk.rungs(values), continuous),
        aim=baseline.cadence.spm,
        last_rise=None,
        peak=0.0,
        run_count=baseline.runs or USUAL_RUNS,
    )


def _baseline_in(case: Case, start: date) -> bool:
    """True in the first week that starts on or after a baseline taken inside the plan."""
    on = case.client.baseline.on
    return case.first_monday < on and start - WEEK < on <= start


def _week(
    case: Case, log: History, memory: Memory, number: int, start: date
) -> tuple[Week, Memory]:
    """One week, and what it leaves behind."""
    past = _past(log, memory, number, start)
    on_monday = condition(log, start, start, memory.previous)
    base = _draft(case, past._replace(condition=on_monday), log.ladder)
    last = place_week(case, base, past)
    found = last.sessions
    if log.bears_on(start):
        last, found = _day_by_day(case, log, memory, past, {on_monday: last})
    week = _assembled(case, base, last, found, number, start)
    week = changes.obey(case, week, last.draft, past)
    is_cut = base.stop is not None or last.draft.stop is not None
    return week, _after(case, log, memory, week, last.draft, is_cut)


def _day_by_day(
    case: Case, log: History, memory: Memory, past: Past, drawn: dict[Condition, Placed]
) -> tuple[Placed, tuple[Session, ...]]:
    """The week as its last day knows it, and each day's sessions as that day knew it.

    ``drawn`` holds Monday's week. A condition that comes back leads to the same week.
    """
    start = past.start
    (last,) = drawn.values()
    was_open = last.draft.stop is None
    pattern = last.pattern if was_open else None
    used = {s.on for s in last.sessions} | {past.end}
    found = [s for s in last.sessions if s.on == start]
    for day in (start + DAY * i for i in range(1, 7)):
        if was_open and day not in used:
            continue  # nothing stands there; the last day tells how the week ended
        known = condition(log, day, start, memory.previous)
        if known not in drawn:
            draft = _draft(case, past._replace(condition=known), log.ladder)
            opens = day if pattern is None else None
            drawn[known] = place_week(case, draft, past, pattern, opens, day.weekday())
            if draft.stop is None:  # the days stay, also where Monday's plan had none
                pattern = drawn[known].pattern
        last = drawn[known]
        found += [s for s in last.sessions if s.on == day]
    return last, tuple(found)


def _past(log: History, memory: Memory, number: int, start: date) -> Past:
    first = start - RECENT
    recent = log.between(first, start)
    ahead = [r for r in memory.planned_runs if r.on < start]
    ran = log.runs_between(first, start)
    return Past(
        number=number,
        start=start,
        as_of=log.as_of,
        reference=memory.reference,
        reference_because=memory.reference_because,
        runs=tuple(sorted((*ran, *ahead))) if ahead else ran,
        known_longest=memory.known_longest,
        rung=memory.rung,
        aim=memory.aim,
        last_rise=memory.last_rise,
        peak=memory.peak,
        previous=memory.previous,
        hard_weeks=memory.hard_weeks,
        run_count=memory.run_count,
        steady_until=memory.steady_until,
        recent=recent,
    )


def _draft(case: Case, past: Past, ladder: tuple[Rung, ...]) -> Draft:
    """The week as the rules leave it, before days are chosen."""
    novice = spacing.is_novice(case, past.number)
    draft = Draft(
        number=past.number,
        start=past.start,
        kind="build",
        minutes=past.reference,
        longest=float("inf"),
        runs=min(past.run_count, most_runs(offers(case), novice)),
        band=cadence.band(past.aim),
        rung=past.rung,
        ladder=ladder,
    )
    if case.client.status != "active" and past.end >= past.as_of:
        return _not_active(case, draft)
    for rule in RULES:
        draft = rule.apply(draft, past, case)
        draft = changes.override(case, draft, past) if rule.name == "taper" else draft
    return changes.override_cadence(case, draft)


def _not_active(case: Case, draft: Draft) -> Draft:
    ended = case.client.status == "ended"
    because = case.origins.at("status")
    return draft.decide(
        "status",
        say("This plan has ended.") if ended else say("This plan is paused."),
        because=because,
        source="the coach's decision",
        kind="pause",
        minutes=0.0,
        stop=Stop("ended" if ended else "paused", None, because),
    )


def _assembled(
    case: Case,
    base: Draft,
    last: Placed,
    found: Sequence[Session],
    number: int,
    start: date,
) -> Week:
    """One week from sessions that may stem from several drafts."""
    begin = case.client.plan.from_
    kept = tuple(sorted((s for s in found if s.on >= begin), key=lambda s: (s.on, s.id)))
    draft = last.draft
    decisions = _joined(base.decisions, draft.decisions) + last.decisions
    kind = draft.kind
    if base.stop is not None and draft.stop is None and kind == "build":
        kind = "hold"  # lifted during the week: what is left of it is no week to build on
    return Week(
        number=number,
        start=start,
        kind=kind,
        cadence=draft.band,
        sessions=kept,
        decisions=decisions,
        steps=changes.steps(kept, case.client.baseline.cadence.spm),
        rung=None if draft.rung is None else draft.rung + 1,
    )


def _joined(first: Sequence[Decision], later: Sequence[Decision]) -> tuple[Decision, ...]:
    """Decisions of the week's last state, after those of its Monday that it no longer has."""
    if first == later:
        return tuple(later)
    seen = set(later)
    lost = [d for d in first if d not in seen and d.rule not in {x.rule for x in later}]
    return (*lost, *later)


def _after(
    case: Case, log: History, memory: Memory, week: Week, draft: Draft, is_cut: bool
) -> Memory:
    """What this week leaves behind, as logged where it is past, else as planned.

    A week that the plan began or was stopped in (``is_cut``) is not one to build on.
    """
    as_of = log.as_of
    end = week.start + WEEK
    is_past = end <= as_of
    mine = log.between(week.start, end)
    done = [s for s in mine if s.is_run]
    logged_minutes = sum(s.minutes for s in done)
    counts = is_past and bool(mine)
    training = sum(s.run_minutes for s in week.sessions if s.kind != "event")
    reference, because = memory.reference, memory.reference_because
    is_part = is_cut or week.start < case.client.plan.from_
    builds = week.kind in ("build", "hold", "return") and not is_part
    if builds and (not is_past or counts) and training > 0:
        achieved = min(logged_minutes, training * OVERRUN) if counts else training
        if achieved > 0:
            if week.kind != "build":
                achieved = min(achieved, memory.reference)
            reference = achieved
            if counts and done:
                because = done[0].origin
    known = log.pain_before(end)
    backs = backs_in(known, week.start)
    if backs or week.kind == "back":
        left = min(memory.reference, logged_minutes) if counts and logged_minutes else reference
        reference = min(memory.reference, left) * BACK_SHARE**backs
        because = known.because or because
    planned = tuple(
        Run(s.on, s.run_minutes)
        for s in week.sessions
        if s.is_run and s.run_minutes > 0 and s.on >= as_of and not _logged_on(done, s.on)
    )
    ran = [r.minutes for r in planned] + [s.minutes for s in done]
    rose = week.cadence.aim > memory.aim
    keeps_count = draft.stop is None and draft.event_on is None
    rung = _rung_after(memory, draft, week, done, is_past, counts)
    if draft.stop is not None and rung is not None:
        rung = max(rung - backs, 0)
    return Memory(
        reference=reference,
        reference_because=because,
        known_longest=max(ran, default=memory.known_longest),
        planned_runs=_recent(memory.planned_runs, end) + planned,
        rung=rung,
        aim=max(week.cadence.aim, memory.aim),
        last_rise=week.number if rose else memory.last_rise,
        peak=max(memory.peak, training) if week.kind in ("build", "hold") else memory.peak,
        run_count=memory.run_count if is_part or not keeps_count else max(draft.runs, 1),
        steady_until=memory.steady_until,
        hard_weeks=memory.hard_weeks + sum(1 for s in week.sessions if s.hard),
        previous=week,
    )


def _recent(planned: tuple[Run, ...], end: date) -> tuple[Run, ...]:
    return tuple(r for r in planned if r.on >= end - RECENT)


def _logged_on(done: Sequence[Logged], day: date) -> bool:
    return any(s.on == day for s in done)


def _rung_after(
    memory: Memory,
    draft: Draft,
    week: Week,
    done: Sequence[Logged],
    is_past: bool,
    counts: bool,
) -> int | None:
    """The rung reached; None once the last one, thirty minutes, was run or is planned."""
    if draft.stop is not None or (is_past and not counts):
        return memory.rung
    if draft.rung is None:
        return None
    top = draft.ladder[draft.rung]
    if top.walk > 0 or top.run < run_walk.CONTINUOUS_MIN:
        return draft.rung
    ran = max((s.minutes for s in done), default=0.0) if counts else week.longest_minutes
    return None if ran >= run_walk.CONTINUOUS_MIN * run_walk.DONE_SHARE else draft.rung


def _status(case: Case, log: History) -> Status:
    """What the client's state is on ``as_of``, today's check-ins counted."""
    if case.client.status == "ended":
        return "ended"
    found = stop_now(log)
    if found is not None and found.reason in ("screening", "urgent", "pain"):
        return "referred"
    return "paused" if found is not None or case.client.status == "paused" else "active"


def _standing(case: Case, log: History) -> tuple[Decision, ...]:
    """Why nothing is planned on ``as_of``, where nothing is."""
    found = stop_now(log)
    if found is None:
        if case.client.status == "active":
            return ()
        return _not_active(case, _draft_of_nothing(case)).decisions
    if found.reason == "screening":
        words, source = screening.words(found), screening.SOURCE
    else:
        words, source = signs.words(found), signs.SOURCE
    rule = {"screening": "screening", "pain": "pain"}.get(found.reason, "signs")
    return (Decision(rule, words, found.because, source, warns=True),)


def _draft_of_nothing(case: Case) -> Draft:
    own = cadence.band(case.client.baseline.cadence.spm)
    return Draft(0, case.first_monday, "pause", 0.0, 0.0, 0, own)
