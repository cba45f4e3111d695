"""What the client's device needs to act on its own check-ins before the coach has seen them.

The signs and numbers are those by which the engine itself acts; ``views/checkin/reacting.js``
interprets them.
"""

from __future__ import annotations

from datetime import date
from typing import TypedDict

from sitegen.care import illness
from sitegen.care.sentences import StopKind
from sitegen.care.signs import BY_WORDS_ONLY, ILL, NOW
from sitegen.model.case import Case
from sitegen.rules.pain import HOLD_UP_TO
from sitegen.rules.signs import INFECTION_DAYS, SEVERE, ToldSign, freed_on, signs_told

GRADES: tuple[StopKind, ...] = ("now", "today", "rest", "ill")
"""What a device stops for, the gravest first: keys of `sitegen.care.sentences.STOPS`."""


class Rules(TypedDict):
    """The engine's tables as a device reads them, ``portalParts.rules``: the same for all clients.

    ``now`` and ``ill`` are signs, any other is for a clinician today, as is pain from ``severe``
    on; from ``rest`` on two days without running. A racing heart within ``infection_days`` of an
    illness is *now*.
    """

    now: list[str]
    ill: list[str]
    severe: int
    rest: int
    infection_days: int


class Known(TypedDict):
    """What a build knows of a device's check-ins: ``reacts`` of the page's block of data.

    ``taken`` are ids of those in the log, ``standing`` those of them with a sign of *now* that is
    not freed, ``infected`` the days of illnesses that the log tells of.
    """

    taken: list[str]
    standing: list[str]
    infected: list[str]


DEVICE_RULES: Rules = {
    "now": [sign for sign in NOW if sign not in BY_WORDS_ONLY],
    "ill": list(ILL),
    "severe": SEVERE,
    "rest": HOLD_UP_TO + 1,
    "infection_days": INFECTION_DAYS,
}


def reacts(case: Case, as_of: date) -> Known:
    """What a device need not act on any more, and what it may not know by itself."""
    urgent = {
        one.entry
        for one in signs_told(case, as_of)
        if one.kind == "now" and not _is_free(case, one, as_of)
    }
    return {
        "taken": [entry.id for entry in case.log if entry.id],
        "standing": [e.id for at, e in enumerate(case.log) if e.id and at in urgent],
        "infected": sorted({e.on.isoformat() for e in case.log if illness.grade(e) is not None}),
    }


def _is_free(case: Case, one: ToldSign, as_of: date) -> bool:
    freed = freed_on(case, one)
    return freed is not None and freed <= as_of
