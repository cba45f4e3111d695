"""What the client's device needs to act on its own check-ins before the coach has seen them.

The signs and numbers are those by which the engine itself acts; ``views/checkin/reacting.js``
interprets them.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any, NotRequired, TypedDict

from sitegen.care import illness
from sitegen.care.sentences import StopKind
from sitegen.care.signs import BY_THE_FILE, ILL, NOW
from sitegen.model.case import Case
from sitegen.rules.log import Logged, sessions
from sitegen.rules.pain import (
    CALM_SESSIONS,
    CALM_UP_TO,
    HOLD_SESSIONS,
    HOLD_UP_TO,
    KNEE_START,
    REFER_WITHIN_DAYS,
    REST_AGAIN_DAYS,
    REST_HOURS_DAYS,
    RULE,
    PainState,
    lifted,
    states,
    was_left_out,
)
from sitegen.rules.signs import INFECTION_DAYS, SEVERE, ToldSign, also_now, freed_on, signs_told

GRADES: tuple[StopKind, ...] = ("now", "self_harm", "today", "pain", "rest", "ill")
"""What a device stops for, the gravest first: keys of `sitegen.care.sentences.STOPS`."""


class Rules(TypedDict):
    """The engine's tables as a device reads them, ``portalParts.rules``: the same for all clients.

    ``now`` and ``ill`` are signs, any other is for a clinician today, as is pain from ``severe``
    on; from ``rest`` on two days without running. A racing heart within ``infection_days`` of an
    illness is *now*. The others are those of `sitegen.rules.pain`.
    """

    now: list[str]
    ill: list[str]
    severe: int
    rest: int
    infection_days: int
    calm: int
    calm_sessions: int
    hold_sessions: int
    knee_start: int
    refer_days: int
    rest_days: int
    rest_again_days: int


class Known(TypedDict):
    """What a build knows of a device's check-ins: ``reacts`` of the page's block of data.

    ``own`` are the coach's urgent words, ``also_now`` signs that are *now* for this client alone
    (left out where there are none), ``taken`` ids of those in the log, ``standing`` those of
    them with a sign of *now* that is not freed, ``infected`` the days of illnesses that the log
    tells of. ``profile`` says how pain is read, ``pain`` where it had led before the sessions of
    the last days, ``recent``: those may still get a next morning (shapes:
    ``views/checkin/holding.js``).
    """

    own: list[str]
    also_now: NotRequired[list[str]]
    taken: list[str]
    standing: list[str]
    infected: list[str]
    profile: str
    pain: dict[str, Any]
    recent: list[dict[str, Any]]


DEVICE_RULES: Rules = {
    "now": [sign for sign in NOW if sign not in BY_THE_FILE],
    "ill": list(ILL),
    "severe": SEVERE,
    "rest": HOLD_UP_TO + 1,
    "infection_days": INFECTION_DAYS,
    "calm": CALM_UP_TO,
    "calm_sessions": CALM_SESSIONS,
    "hold_sessions": HOLD_SESSIONS,
    "knee_start": KNEE_START,
    "refer_days": REFER_WITHIN_DAYS,
    "rest_days": REST_HOURS_DAYS,
    "rest_again_days": REST_AGAIN_DAYS,
}
STILL_TOLD_DAYS = 6  # sessions this old can still be told of on a device: DAYS_BACK of record.js
_SCORES = ("during", "after", "next_morning", "before", "walking")


def reacts(case: Case, as_of: date) -> Known:
    """What a device need not act on any more, and what it may not know by itself."""
    urgent = {
        one.entry
        for one in signs_told(case, as_of)
        if one.kind == "now" and not _is_free(case, one, as_of)
    }
    profile = RULE.values(case).profile
    start, recent = _pain(case, profile, as_of)
    known: Known = {
        "own": list(case.practice.urgent_words),
        "profile": profile,
        "pain": _shown(start, as_of),
        "recent": [
            {
                "on": one.on.isoformat(),
                "run": one.is_run,
                "pain": _scores(one),
                **({"walk": True} if not one.is_run and one.entry.is_run_or_walk else {}),
            }
            for one in recent
            if one.pain or was_left_out(one) or one.entry.is_run_or_walk
        ],
        "taken": [entry.id for entry in case.log if entry.id],
        "standing": [e.id for at, e in enumerate(case.log) if e.id and at in urgent],
        "infected": sorted({e.on.isoformat() for e in case.log if illness.grade(e) is not None}),
    }
    if hers := also_now(case):
        known["also_now"] = list(hers)
    return known


def _scores(one: Logged) -> dict[str, Any]:
    told = {
        name: getattr(one.pain, name) for name in _SCORES if one.pain and name in one.pain.written
    }
    return told | ({"left": True} if was_left_out(one) else {})


def _pain(case: Case, profile: str, as_of: date) -> tuple[PainState, tuple[Logged, ...]]:
    """Where pain had led before the last days, and the sessions since; all counts where a lift
    falls among those.
    """
    logged = sessions(case, as_of)
    first = as_of - timedelta(days=STILL_TOLD_DAYS)
    lifts = [c.on for c in case.client.changes if c.lifts is not None and c.lifts.sign == "pain"]
    if any(on is not None and on >= first for on in lifts):
        first = as_of + timedelta(days=1)
    before = [one for one in logged if one.on < first]
    led = states(case, before, profile)
    now = lifted(case, led[-1], as_of) if led else PainState()
    return now, tuple(logged[len(before) :])


def _shown(state: PainState, as_of: date) -> dict[str, Any]:
    """A state as a device reads it, without what is as at the start or too old to count."""
    still = as_of - timedelta(days=max(REST_AGAIN_DAYS, REFER_WITHIN_DAYS))
    values = {
        "level": state.level,
        "calm": state.calm,
        "row": state.held_in_a_row,
        "backs": [on.isoformat() for on in state.backs if on >= still],
        "rests": [on.isoformat() for on in state.rests if on >= still],
        "from": state.counts_from.isoformat() if state.counts_from > date.min else "",
        "morning": state.calm_morning,
        "walks": state.walks_free,
        "since": state.since.isoformat() if state.since else None,
    }
    return {name: value for name, value in values.items() if value and value != "go"}


def _is_free(case: Case, one: ToldSign, as_of: date) -> bool:
    freed = freed_on(case, one)
    return freed is not None and freed <= as_of
