"""What pain in a session and on its next morning does to the plan."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Annotated, Literal, NamedTuple

from pydantic import Field

from sitegen.model.case import Case
from sitegen.model.checkin import Pain
from sitegen.model.kinds import choice
from sitegen.model.problem import Origin
from sitegen.model.sentence import say
from sitegen.rules.draft import Draft, PainLevel, Past, whole_minutes
from sitegen.rules.log import Logged
from sitegen.rules.rule import Parameters, Rule

SOURCE = (
    "after Silbernagel KG et al., Am J Sports Med 2007;35(6):897-906 (limits quoted from memory; "
    "supervised patients with a diagnosis); knee profile after Esculier JF et al., Br J Sports "
    "Med 2018;52(10):659-666 (rule read second-hand)"
)
CALM_UP_TO = 2
HOLD_UP_TO = 5
BACK_SHARE = 0.8
CALM_SESSIONS = 2
REFER_WITHIN_DAYS = 14

Grade = Literal["calm", "hold", "back"]


class PainParameters(Parameters):
    """Which profile a client's pain is read by."""

    profile: Annotated[str, choice("standard", "knee")] = Field(
        "standard", description="how scores are read; choose knee together with a clinician"
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


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Hold, or step back, or leave as it is."""
    known = past.condition
    if draft.stop is not None:
        return draft
    if known.pain == "go" and not known.backs:
        return draft
    level = min(draft.minutes, past.reference)
    longest = min(draft.longest, past.longest_before(past.start))
    if known.backs or known.recent_back:
        share = BACK_SHARE**known.backs
        longest *= BACK_SHARE if known.recent_back else 1.0
        minutes = float(whole_minutes(level * share))
        rung = draft.rung if draft.rung is None else max(draft.rung - known.backs, 0)
        return draft.decide(
            RULE.name,
            say("Pain of {score}/10 was logged: the plan goes back a step.", score=known.pain_score)
            if known.backs
            else say(
                "Pain of {score}/10 was logged: the plan stays a step back until two sessions in "
                "a row are at 0 to 2.",
                score=known.pain_score,
            ),
            because=known.pain_because,
            source=SOURCE,
            before=draft.minutes,
            after=minutes,
            minutes=minutes,
            longest=longest * share,
            rung=rung,
            kind=draft.kind if draft.kind in ("ease", "return") and not known.backs else "back",
            may_grow=False,
        )
    return draft.decide(
        RULE.name,
        say(
            "Pain of {score}/10 was logged: nothing grows until two sessions in a row are at 0 "
            "to 2.",
            score=known.pain_score,
        ),
        because=known.pain_because,
        source=SOURCE,
        before=draft.minutes,
        after=level,
        minutes=level,
        longest=longest,
        kind="hold" if draft.kind == "build" else draft.kind,
        may_grow=False,
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
)
