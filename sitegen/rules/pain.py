"""What pain in a session and on its next morning does to the plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Literal, NamedTuple

from sitegen.model.case import Case
from sitegen.model.checkin import Pain
from sitegen.model.kinds import choice
from sitegen.model.problem import Origin
from sitegen.model.record import row
from sitegen.model.sentence import N_, say
from sitegen.rules.draft import BACK_SHARE, Draft, Past, Stop, whole_minutes
from sitegen.rules.log import Log, Logged, lifted_on
from sitegen.rules.rule import Back, Morning, Parameters, Rule
from sitegen.rules.volume import level

SOURCE = (
    "after Silbernagel KG et al., Am J Sports Med 2007;35(6):897-906 (limits quoted from memory; "
    "supervised patients with a diagnosis); knee profile after Esculier JF et al., Br J Sports "
    "Med 2018;52(10):659-666 (rule read second-hand)"
)
CALM_UP_TO = 2
HOLD_UP_TO = 5
CALM_SESSIONS = 2
REFER_WITHIN_DAYS = 14

WEEK = timedelta(days=7)
REFERRED = N_(
    "Paused: pain sent the plan back twice within 14 days. Do not run; see a licensed clinician. "
    "The plan goes on when your coach lifts the pause."
)

PainLevel = Literal["go", "hold", "refer"]
Grade = Literal["calm", "hold", "back"]


class PainParameters(Parameters):
    """Which profile a client's pain is read by."""

    profile: str = row(
        choice("standard", "knee"),
        "",
        "how scores are read; choose knee together with a clinician",
        default="standard",
    )


class PainState(NamedTuple):
    """Where the scores so far have led.

    ``backs`` are the days on which the plan went back; of these the first ``lifted`` no longer
    count towards a referral, as the coach lifted the pause after them.
    """

    level: PainLevel = "go"
    calm: int = 0
    held_in_a_row: int = 0
    backs: tuple[date, ...] = ()
    lifted: int = 0
    because: Origin | None = None
    score: int | None = None


@dataclass(frozen=True, slots=True)
class Known:
    """What the log says of pain on a morning.

    ``backs`` counts the days of this week on which pain sent the plan back, ``recent_back`` is
    True where that happened in the seven days before the week. Which entry of several held it is
    not compared; the first is told.
    """

    level: PainLevel = "go"
    because: Origin | None = field(default=None, compare=False)
    score: int | None = field(default=None, compare=False)
    backs: int = 0
    recent_back: bool = False


def known(past: Past) -> Known:
    """What is known of pain on the morning that the week is drawn for."""
    found = past.condition.known[RULE.name]
    assert isinstance(found, Known)
    return found


def grade(pain: Pain, profile: str) -> Grade | None:
    """One session's scores: go on, hold, or back. None where no score was told."""
    worst = pain.worst
    if worst is None:
        return None
    if worst > HOLD_UP_TO:
        return "back"
    if pain.worse_next_morning:
        return "hold" if profile == "knee" else "back"
    return "hold" if worst > CALM_UP_TO else "calm"


def states(
    logged: Sequence[Logged], profile: str, lifted: Sequence[date] = ()
) -> tuple[PainState, ...]:
    """Where the scores have led after each session, oldest first.

    ``lifted`` are the days on which the coach lifted a pause; the plan then holds until two calm
    sessions.
    """
    now = PainState()
    lifts = sorted(lifted)
    found = []
    for session in logged:
        while lifts and lifts[0] <= session.on:
            now = lift(now)
            lifts.pop(0)
        read = grade(session.pain, profile) if session.pain else None
        if read is not None and session.pain is not None:
            now = _after(now, read, session, session.pain)
        found.append(now)
    return tuple(found)


def _after(now: PainState, found: Grade, session: Logged, pain: Pain) -> PainState:
    if found == "calm":
        calm = now.calm + 1
        level: PainLevel = "go" if now.level == "hold" and calm >= CALM_SESSIONS else now.level
        if level == "go":
            return PainState("go", calm, 0, now.backs, now.lifted)
        return now._replace(level=level, calm=calm, held_in_a_row=0)
    in_a_row = now.held_in_a_row + 1
    score = pain.worst
    if found == "back" or in_a_row >= 2:
        backs = (*now.backs, session.on)
        refer = now.level == "refer" or (
            len(backs) - now.lifted >= 2 and (backs[-1] - backs[-2]).days <= REFER_WITHIN_DAYS
        )
        level = "refer" if refer else "hold"
        return PainState(level, 0, 0, backs, now.lifted, session.origin, score)
    level = "refer" if now.level == "refer" else "hold"
    return PainState(level, 0, in_a_row, now.backs, now.lifted, session.origin, score)


def lift(now: PainState) -> PainState:
    """The coach's word ends a referral; the backs before it no longer count towards one."""
    if now.level != "refer":
        return now
    return now._replace(level="hold", calm=0, held_in_a_row=0, lifted=len(now.backs))


def _read(case: Case, log: Log) -> tuple[PainState, ...]:
    return states(log.logged, RULE.values(case).profile, lifted_on(case))


def state_before(log: Log, day: date, lifted_by: date | None = None) -> PainState:
    """Where the scores before ``day`` have led, lifts up to ``lifted_by`` (or it) counted."""
    count = log.known_before(day)
    now: PainState = log.read[RULE.name][count - 1] if count else PainState()
    since = log.days[count - 1] if count else date.min
    for lifted in sorted(lifted_on(log.case)):
        if since < lifted <= (lifted_by or day):
            now = lift(now)
    return now


def _backs_in(state: PainState, week_start: date) -> int:
    return sum([week_start <= day < week_start + WEEK for day in state.backs])


def _knows(log: Log, morning: Morning) -> Known:
    state = state_before(log, morning.day)
    recent = state.level != "go" and _backs_in(state, morning.week_start - WEEK) > 0
    return Known(
        state.level, state.because, state.score, _backs_in(state, morning.week_start), recent
    )


def _stops(log: Log, before: date, day: date) -> Stop | None:
    state = state_before(log, before, day)
    if state.level != "refer":
        return None
    since = state.backs[-1] if state.backs else None
    return Stop(
        "pain", since, state.because, "", RULE.name, say(REFERRED), RULE.source, refers=True
    )


def _backs(log: Log, before: date, week_start: date) -> Back:
    state = state_before(log, before)
    return Back(_backs_in(state, week_start), state.because)


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Hold, or step back, or plan nothing, or leave as it is."""
    draft = _held(draft, past, case)
    stop = past.stop
    if draft.stop is not None or stop is None or stop.rule != RULE.name:
        return draft
    return draft.stopped(stop)


def _held(draft: Draft, past: Past, case: Case) -> Draft:
    if draft.stop is not None:
        return draft
    now = known(past)
    if now.level == "go" and not now.backs:
        return draft
    whole = min(draft.minutes, level(past))
    longest = min(draft.longest, past.longest_before(past.start))
    if now.backs or now.recent_back:
        share = BACK_SHARE**now.backs
        longest *= BACK_SHARE if now.recent_back else 1.0
        minutes = float(whole_minutes(whole * share))
        rung = draft.rung if draft.rung is None else max(draft.rung - now.backs, 0)
        return draft.decide(
            RULE.name,
            say("Pain of {score}/10 was logged: the plan goes back a step.", score=now.score)
            if now.backs
            else say(
                "Pain of {score}/10 was logged: the plan stays a step back until two sessions in "
                "a row are at 0 to 2.",
                score=now.score,
            ),
            because=now.because,
            source=SOURCE,
            before=draft.minutes,
            after=minutes,
            minutes=minutes,
            longest=longest * share,
            rung=rung,
            kind=draft.kind if draft.kind in ("ease", "return") and not now.backs else "back",
            may_grow=False,
            worth=0.0,
        )
    return draft.decide(
        RULE.name,
        say(
            "Pain of {score}/10 was logged: nothing grows until two sessions in a row are at 0 "
            "to 2.",
            score=now.score,
        ),
        because=now.because,
        source=SOURCE,
        before=draft.minutes,
        after=whole,
        minutes=whole,
        longest=longest,
        kind="hold" if draft.kind == "build" else draft.kind,
        may_grow=False,
        worth=0.0,
    )


RULE = Rule(
    name="pain",
    promise=(
        "0-2 and settled: go on. 3-5: hold until two sessions in a row at 0-2. Over 5, worse next "
        "morning, or two 3-5 in a row: back by 20 % or one rung. Two backs within 14 days: pause "
        "and refer. Profile `knee`: over 2, or worse next morning, holds."
    ),
    reason="Some pain may be acceptable; more tomorrow than today was too much.",
    source=SOURCE,
    evidence="weak",
    apply=apply,
    parameters=PainParameters,
    needs=("volume",),
    reads=_read,
    knows=_knows,
    stops=_stops,
    backs=_backs,
    review="Read the log's scores downwards, and say for each: on, hold, or back; then the weeks.",
)
