"""What a client was shown, as it stands in ``ID.told.yaml``: one entry a build that changed it."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from sitegen.model.plan import Session, WeekKind
from sitegen.model.sentence import Sentence


class ToldWeek(NamedTuple):
    """One week as it was told on a day: what it is, and its sessions from that day on.

    ``spm`` is the step rate that was aimed at; the others are those of
    `sitegen.model.plan.Week`. Minutes, steps, and steps per minute. A part of a session has its
    words only where they are not the usual ones of its kind (`sitegen.plan.told_words`). While a
    week is ``unasked``, by agreement or in the coach's pause, no check-in is expected.
    """

    number: int
    start: date
    kind: WeekKind
    spm: int
    steps: int = 0
    worth: float = 0.0
    runs: int = 0
    rung: int | None = None
    by_coach: bool = False
    sessions: tuple[Session, ...] = ()
    began: WeekKind | None = None  # where it is another than its kind
    unasked: bool = False


class Telling(NamedTuple):
    """What was told on ``on``: the weeks that differ from what was told before."""

    on: date
    weeks: tuple[ToldWeek, ...]


def as_told(words: str) -> Sentence:
    """Words as they stand in the ledger: finished ones, without values."""
    return Sentence(words.replace("{", "{{").replace("}", "}}"))


def as_written(minutes: float) -> float:
    """Minutes as the ledger has them, so that what is read back is what was told: of a stride's
    20 s, a third of a minute, the nine digits that stand there."""
    return float(f"{minutes:.9g}")
