"""Which kind of session stands on a day: what suits the event and the week, longest unseen first.

A hard one holds at least half of the hard minutes that the coach asked for where any can; an easy
one is never harder than steady, and not even that while something holds the plan.
"""

from __future__ import annotations

from typing import NamedTuple

from sitegen.model.case import Case
from sitegen.model.plan import Part
from sitegen.model.workout import STEADY_EFFORT, Workout
from sitegen.plan import building
from sitegen.rules import taper
from sitegen.rules.draft import EPSILON, Draft, Past
from sitegen.rules.sessions import NOT_YET, stood, suiting

SHARPEN_WEEKS = 8  # before the taper; common practice, no source
LEAST_OF_ASKED = 0.5
NEARLY = 0.75  # of the most hard minutes: as good, where none has what was asked for
# Share of that in the first weeks with hard running. Common practice, no source.
FIRST_SHARES = (0.5, 0.75)
MOST_OVER_LEAST = 1.5
QUICK_ENOUGH_MIN = 4.0  # hard minutes of a week before an event; common practice, no source


class Chosen(NamedTuple):
    """A kind of session, and its parts as they stand on the day."""

    workout: Workout
    parts: tuple[Part, ...]

    @property
    def hard_minutes(self) -> float:
        return sum(part.hard_minutes * part.repeat for part in self.parts)


class Fitting(NamedTuple):
    """A kind of session that fits a day, and the hard minutes that it would have there."""

    workout: Workout
    hard_minutes: float


def phases(case: Case, draft: Draft) -> tuple[str, ...]:
    """Where a week stands on the way to its event; without one it builds and sharpens."""
    if draft.kind in ("taper", "event"):
        return ("taper",)
    if draft.kind != "build" or not draft.may_grow:
        return ("easing",)
    found = taper.taper(case)
    if found is None:
        return ("build", "sharpen")
    return ("sharpen",) if draft.number >= found.first_week - SHARPEN_WEEKS else ("build",)


class Choice:
    """The kinds of session of one week, one after another."""

    def __init__(self, case: Case, draft: Draft, past: Past) -> None:
        self._case = case
        self._draft = draft
        self._stood = stood(past)
        self._library = suiting(past)
        self._taken: list[str] = []
        self._phases = phases(case, draft)

    def _suiting(self, *kinds: str) -> list[Workout]:
        """What suits, that which stood longest ago first; the coach's own before the library's."""
        return sorted(self._library.of(kinds, self._phases), key=self._turn)

    def _turn(self, workout: Workout) -> tuple[bool, int]:
        used = self._stood.uses.get(workout.name, NOT_YET)
        return workout.name in self._taken, used.week

    def _times(self, workout: Workout) -> int:
        """How often it was run before."""
        return self._stood.uses.get(workout.name, NOT_YET).times

    def _laid(
        self, workout: Workout, minutes: int, room: int, most: float = 0.0, least: float = 0.0
    ) -> Chosen | None:
        """The session in so many minutes, with hard ones between ``least`` and ``most``."""
        times = self._times(workout)
        aim = self._draft.band.aim
        parts = building.laid_out(self._case, workout, minutes, room, times, most, least, aim)
        return None if parts is None else Chosen(workout, parts)

    def _fitting(self, minutes: int, room: int, most: float, least: float) -> list[Fitting]:
        """The hard kinds that fit, before any is laid out: one of them will be."""
        return [
            Fitting(workout, workout.lap_hard * count)
            for workout in self._suiting("strides", "tempo", "intervals")
            if (
                count := building.repeats(workout, minutes, room, self._times(workout), most, least)
            )
        ]

    def easy(self, minutes: int, room: int, is_long: bool, is_rested: bool) -> Chosen | None:
        """An easy run, or the long one. None where no file says what it is.

        Nothing steady where it is not rested: beside a hard run or the long one.
        """
        draft = self._draft
        is_eager = draft.kind == "build" and draft.may_grow
        free = is_eager and is_rested and not draft.novice and not draft.bars_hard
        for workout in self._suiting("long" if is_long else "easy"):
            if workout.top_effort >= STEADY_EFFORT and not free:
                continue
            if found := self._laid(workout, minutes, room):
                self._taken.append(workout.name)
                return found
        return None

    @property
    def is_begun(self) -> bool:
        """True once the first hard runs, which are small, lie behind."""
        return len(self._stood.hard) >= len(FIRST_SHARES)

    def hard(self, minutes: int, room: int, asked: float) -> Chosen | None:
        """A hard run in ``minutes`` of running, with at most ``asked`` of them hard.

        That which stood longest ago, of those with at least half of what was asked for; where
        none has, of those with the most. The first ones have less. None where none fits at all.
        """
        most, least = asked, asked * LEAST_OF_ASKED
        if self._draft.kind == "event":
            most, least = min(asked, QUICK_ENOUGH_MIN), 0.0
        elif not self.is_begun:
            least *= FIRST_SHARES[len(self._stood.hard)]
            most = max(least * MOST_OVER_LEAST, QUICK_ENOUGH_MIN)
        found = self._fitting(minutes, room, most, least)
        fresh = [one for one in found if not self._stood.is_third(one.workout.name)] or found
        much = NEARLY * max((one.hard_minutes for one in fresh), default=0.0)
        best = next((c for c in fresh if c.hard_minutes >= min(least, much) - EPSILON), None)
        if best is None:
            return None
        self._taken.append(best.workout.name)
        return self._laid(best.workout, minutes, room, most, least)
