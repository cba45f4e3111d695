"""A way back to running, in steps: one file of `library/returns` each."""

from __future__ import annotations

from sitegen.model.kinds import DURATION, PROSE, SCORE, TEXT, choice, whole
from sitegen.model.record import Record, row
from sitegen.model.values import Duration

GATES = ("none", "clinician")


class WayStep(Record):
    """One step: walking alone, run and walk in turn, or running without a walk.

    ``minutes`` is the running of one session; a step without ``run`` is walked.
    """

    walk: Duration | None = row(DURATION, "2 min", "walk of each turn, or all of a walking step")
    run: Duration | None = row(DURATION, "1 min", "running stretch of each turn")
    minutes: Duration | None = row(DURATION, "8 min", "running of one session in all", needs="needed where there is run")
    sessions: int = row(whole(1, 12, "sessions, a whole number"), "2", "sessions without trouble before the next step", needed=True)

    @property
    def run_minutes(self) -> float:
        """Running minutes of one session; 0 where it is walked."""
        return self.minutes.minutes if self.run and self.minutes else 0.0


class Way(Record):
    """A way back: who opens it, how much pain a step may bring, and the steps."""

    title: str = row(TEXT, "after a long absence", "what a coach reads", needed=True)
    gate: str = row(choice(*GATES), "clinician", "clinician: nothing without a clinician's date", needed=True)
    most_pain: int = row(SCORE, "2", "most pain of a session that counts", needed=True)
    runs: int = row(whole(1, 4, "sessions a week, a whole number"), "3", "sessions a week at most", needed=True)
    source: str = row(PROSE, "common practice, no source", "where the steps come from", needed=True)
    steps: list[WayStep] = row(WayStep, "[{walk: 30 min, sessions: 2}]", "the steps, first to last", many="list")
