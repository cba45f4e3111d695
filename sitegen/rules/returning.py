"""Coming back step by step: each step waits for what the last one brought."""

from __future__ import annotations

from datetime import date, timedelta
from typing import NamedTuple

from sitegen.care import sentences
from sitegen.model.case import Case
from sitegen.model.sentence import say
from sitegen.model.ways import Way, WayStep
from sitegen.rules import pain
from sitegen.rules.draft import Draft, Past, Stop
from sitegen.rules.lifts import names_nobody_else
from sitegen.rules.log import Log, Logged
from sitegen.rules.rule import Morning, Rule
from sitegen.rules.run_walk import starting_rung

SOURCE = "each way back names its own; see sitegen/library/returns"
WALKED_AS_MIN = 10.0  # stands for a walked session while days are chosen; nothing is run in it


class Stage(NamedTuple):
    """Where somebody stands: the step, from 0, and its sessions without trouble so far."""

    step: int = 0
    sessions: int = 0


class Stages(NamedTuple):
    """Where somebody stood after each session of the log, oldest first; the day of each."""

    days: tuple[date, ...] = ()
    after: tuple[Stage, ...] = ()


def begins(case: Case) -> date:
    """The day from which sessions count: that of the clinician's word, else the plan's first."""
    asked = case.client.return_
    return (asked.cleared_on if asked else None) or case.client.plan.from_


def gate_is_open(case: Case, day: date) -> bool:
    """Whether the way may be gone on ``day``: its gate is open, or it has none."""
    way, asked = case.way_back, case.client.return_
    if way is None or asked is None or way.gate == "none":
        return True
    if asked.cleared_on is None or not asked.by or names_nobody_else(case, asked.by):
        return False
    return asked.cleared_on <= day


def next_stage(now: Stage, session: Logged, way: Way, profile: str) -> Stage:
    """Where a session leads: on, back a step where it hurt, or nowhere where it was left out."""
    if now.step >= len(way.steps) or session.entry.skipped is not None:
        return now
    worst = session.pain.worst if session.pain is not None else None
    if (
        session.pain is not None
        and worst is not None
        and (worst > way.most_pain or not pain.is_settled(session.pain, profile))
    ):
        return Stage(max(now.step - 1, 0))
    if not session.entry.is_run_or_walk and session.entry.effort is None and worst is None:
        return now
    done = now.sessions + 1
    return Stage(now.step + 1) if done >= way.steps[now.step].sessions else Stage(now.step, done)


def _read(case: Case, log: Log) -> Stages:
    way = case.way_back
    if way is None:
        return Stages()
    profile = pain.RULE.values(case).profile
    first, now = begins(case), Stage()
    days, after = [], []
    for session in log.logged:
        if session.on < first:
            continue
        now = next_stage(now, session, way, profile)
        days.append(session.on)
        after.append(now)
    return Stages(tuple(days), tuple(after))


def _knows(log: Log, morning: Morning) -> Stage | None:
    """The stage on a morning; None without a way back, before it and at its end.

    A week still to come in which it begins is one of the way from its Monday on.
    """
    way = log.case.way_back
    if way is None:
        return None
    first = begins(log.case)
    if morning.week_start > log.as_of:
        first = min(first, first - timedelta(days=first.weekday()))
    if morning.day < first:
        return None
    course: Stages = log.read[RULE.name]
    known = [stage for on, stage in zip(*course, strict=True) if on < morning.day]
    stage = known[-1] if known else Stage()
    return stage if stage.step < len(way.steps) else None


def is_under_way(past: Past) -> bool:
    """Whether the week belongs to a way back."""
    return past.condition.known.get(RULE.name) is not None


def _may_stop(log: Log) -> bool:
    return log.case.way_back is not None


def _stops(log: Log, before: date, day: date) -> Stop | None:
    if gate_is_open(log.case, day):
        return None
    because = log.case.origins.at("return")
    says = say(sentences.LINE_RETURN_FIRST)
    return Stop("screening", None, because, "", RULE.name, says, SOURCE, refers=True)


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """The step's dose and no more; what pain has already cut stays so."""
    stop = past.stop
    if draft.stop is None and stop is not None and stop.rule == RULE.name:
        return draft.stopped(stop)
    way, stage = case.way_back, past.condition.known.get(RULE.name)
    if draft.stop is not None or way is None or not isinstance(stage, Stage):
        return draft
    if draft.kind == "back":
        return draft
    step = way.steps[stage.step]
    runs = max(min(draft.runs, way.runs), 1)
    is_last = stage.step == len(way.steps) - 1
    each = step.run_minutes or WALKED_AS_MIN
    rung = _rung(draft, step)
    own = draft.ladder[rung] if step.run is not None and rung is not None else None
    draft = draft.decide(
        RULE.name,
        say(
            sentences.LINE_RETURN,
            step=stage.step + 1,
            steps=len(way.steps),
            sessions=step.sessions,
            most=way.most_pain,
        ),
        because=case.origins.at("return"),
        source=way.source,
        before=draft.minutes,
        after=step.run_minutes * runs,
        minutes=each * runs,
        longest=each,
        runs=runs,
        rung=rung,
        walks=0 if step.run else _walk_minutes(step),
        kind="return",
        may_grow=False,
        worth=each * runs if is_last and step.run else 0.0,
    )
    if own is None or step.run is None or step.walk is None:
        return draft
    if (own.run, own.walk) == (step.run.minutes, step.walk.minutes):
        return draft
    return draft.decide(
        RULE.name,
        say(
            "Run {run} min, walk {walk} min, in turn: from your own ladder, on which stretches are "
            "no longer than this step's {most} min.",
            run=own.run,
            walk=own.walk,
            most=step.run.minutes,
        ),
        because=case.origins.at("return"),
        source=way.source,
    )


def _walk_minutes(step: WayStep) -> int:
    return int(step.walk.minutes) if step.walk else 0


def _rung(draft: Draft, step: WayStep) -> int | None:
    """The runner's own rung with stretches no longer than the step's; none without a walk."""
    if step.run is None or step.walk is None:
        return draft.rung if step.run is None else None
    return starting_rung(draft.ladder, step.run.minutes)


RULE = Rule(
    name="returning",
    promise=(
        "With `return` in a client's file: the step's dose and no more, and the next step only "
        "after the last one's sessions were logged, each at no more than the way's pain and "
        "settled by the next morning; more pain goes back a step. After it weeks go on from what "
        "was run of its last step. A way with a clinician's gate plans nothing before `cleared_on` "
        "and `by`."
    ),
    reason="What was hurt or has rested comes back by steps, and each answers for the next.",
    source=SOURCE,
    evidence="judgement",
    apply=apply,
    needs=("volume", "absence", "pain"),
    reads=_read,
    knows=_knows,
    stops=_stops,
    may_stop=_may_stop,
    review="Count the logged sessions of each step; the plan ahead never shows a later one.",
)
