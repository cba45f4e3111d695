"""A kind of session as data: the table of a file `sessions/NAME.yaml`, and what it becomes.

A workout is what may be run on a day, a session is one that stands on a day: the same workout
makes many sessions, as long as each day has room for.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

from sitegen.model.kinds import (
    DISTANCE,
    DRILL_ID,
    DURATION,
    PROSE,
    SCORE,
    TEXT,
    YES_NO,
    choice,
    whole,
)
from sitegen.model.plan import SessionKind
from sitegen.model.record import Record, row
from sitegen.model.sentence import Sentence
from sitegen.model.values import Distance, Duration

WORKOUT_KINDS = ("easy", "long", "beat", "strides", "tempo", "intervals")
HARD_KINDS = frozenset({"strides", "tempo", "intervals"})
# Build: more than eight weeks before an event. Sharpen: the weeks from there to the taper. Without
# an event both suit. Easing: an easier week, one that is held, and those after an event.
PHASES = ("build", "sharpen", "taper", "easing")
HARD_FROM_EFFORT = 5  # of 10; common practice, no source
STEADY_EFFORT = 4


class PartText(Record):
    """One part of a workout: so long of running, or of walking."""

    EXAMPLE = "{run: 2 min, effort: 7}"
    run: Duration | None = row(DURATION, "2 min", "how long this part is run")
    walk: Duration | None = row(DURATION, "1 min", "how long this part is walked")
    effort: int | None = row(SCORE, "7", "how hard, of 10; from 5 on it is hard running")
    quick: Duration | None = row(
        DURATION, "20 s", "how much of the part is hard, where not all of it is"
    )
    beat: bool = row(YES_NO, "yes", "run to the beat", default=False)
    race_of: Duration | None = row(
        DURATION,
        "1 h",
        "at about the pace of an all-out race that long, told where the client's file has a race",
    )
    text: str = row(TEXT, "Run up a gentle slope.", "what to do, in a sentence", default="")
    breath: str = row(
        TEXT, "A few words at a time.", "what the breath allows, in a sentence", default=""
    )


class Grows(Record):
    """How a workout grows each time that it is done."""

    EXAMPLE = "{by: 1, to: 8}"
    by: int = row(whole(1, 5, "repeats, a whole number"), "1", "repeats more each time", default=1)
    to: int = row(whole(1, 40, "repeats, a whole number"), "8", "most repeats", needed=True)


class Suits(Record):
    """What distance of an event a workout is for."""

    EXAMPLE = "{from: 5 km, to: 10 km}"
    least: Distance | None = row(DISTANCE, "5 km", "shortest event", key="from")
    most: Distance | None = row(DISTANCE, "half marathon", "longest event", key="to")


class WorkoutFile(Record):
    """A kind of session."""

    title: str = row(TEXT, "Short hills", "what the session is called", needed=True)
    purpose: str = row(
        TEXT,
        "Strong legs without the hurry of the flat.",
        "what it is for, in a sentence",
        needed=True,
    )
    kind: str = row(
        choice(*WORKOUT_KINDS),
        "intervals",
        "easy, long and beat are easy; strides, tempo and intervals hard",
        needed=True,
    )
    text: str = row(
        TEXT,
        "Run easily, so that you can speak in whole sentences.",
        "what to do in the easy running round the parts",
        default="",
    )
    parts: list[PartText] = row(
        PartText,
        "[{run: 2 min, effort: 7}, {run: 2 min, effort: 2}]",
        "what is done in turn; none: easy running all the way",
        many="list",
    )
    repeat: int = row(
        whole(1, 40, "repeats, a whole number"),
        "4",
        "how often the parts are done in turn",
        default=1,
    )
    grows: Grows | None = row(Grows, Grows.EXAMPLE, "how it grows each time that it is done")
    at: str = row(
        choice("middle", "end"), "middle", "where the parts stand in the run", default="middle"
    )
    phases: list[str] | None = row(
        choice(*PHASES),
        "[build, sharpen]",
        "when it is chosen; none: at any time",
        default=None,
        many="list",
    )
    event: Suits | None = row(
        Suits, Suits.EXAMPLE, "for which event it is chosen; none: for any, and without one"
    )
    chosen: bool = row(YES_NO, "yes", "no: it stands only where a change puts it", default=True)
    uneven: bool = row(
        YES_NO,
        "yes",
        "yes: off the road, so not chosen for who takes a blood thinner or has even ground alone",
        default=False,
    )
    hilly: bool = row(
        YES_NO,
        "yes",
        "yes: up and down, so not chosen for who has level ground alone, or the knee profile",
        default=False,
    )
    drills: list[str] = row(DRILL_ID, "[gentle-strides]", "drills that go with it", many="list")
    source: str = row(
        PROSE,
        "common practice, no source",
        "where it comes from",
        default="common practice, no source",
    )


class Step(NamedTuple):
    """One part of a workout, in minutes; ``quick`` is how much of it is hard."""

    kind: str
    minutes: float
    effort: int | None = None
    quick: float = 0.0
    text: Sentence | None = None
    race_of: float = 0.0


@dataclass(frozen=True)
class Workout:
    """A kind of session. ``metres`` are the shortest and the longest event that it is for.

    What its steps come to is asked for whenever sessions are chosen, so it is worked out once.
    """

    name: str
    title: Sentence
    purpose: Sentence
    kind: SessionKind
    text: Sentence | None
    steps: tuple[Step, ...] = ()
    repeat: int = 1
    by: int = 0
    most: int = 1
    at_end: bool = False
    phases: tuple[str, ...] = PHASES
    metres: tuple[float, float] | None = None
    chosen: bool = True
    uneven: bool = False
    hilly: bool = False
    drills: tuple[str, ...] = ()
    own: bool = False

    @property
    def hard(self) -> bool:
        return self.kind in HARD_KINDS

    @cached_property
    def top_effort(self) -> int:
        """The hardest effort that a part asks for; 0 where none says."""
        return max((step.effort or 0 for step in self.steps), default=0)

    @cached_property
    def lap(self) -> float:
        """Minutes of running that one turn of the parts has."""
        return sum(step.minutes for step in self.steps if step.kind != "walk")

    @cached_property
    def lap_hard(self) -> float:
        """Minutes of hard running in one turn of the parts."""
        return sum(step.quick for step in self.steps)

    @cached_property
    def lap_walk(self) -> float:
        return sum(step.minutes for step in self.steps if step.kind == "walk")

    def suits(self, phase: str, metres: float | None) -> bool:
        """True where it is chosen in a phase of the way to an event of so many metres."""
        if not self.chosen or phase not in self.phases:
            return False
        if self.metres is None or metres is None:
            return self.metres is None or metres is None
        return self.metres[0] <= metres <= self.metres[1]


def workout_of(name: str, read: WorkoutFile, own: bool) -> Workout:
    """What a file says, in minutes and sentences."""
    suits = read.event
    return Workout(
        name=name,
        title=_plain(read.title),
        purpose=_plain(read.purpose),
        kind=read.kind,  # type: ignore[arg-type]
        text=_plain(read.text) if read.text else None,
        steps=tuple(_step(part) for part in read.parts),
        repeat=read.repeat,
        by=read.grows.by if read.grows else 0,
        most=max(read.grows.to, read.repeat) if read.grows else read.repeat,
        at_end=read.at == "end",
        phases=tuple(read.phases) if read.phases is not None else PHASES,
        metres=None
        if suits is None
        else (
            suits.least.metres - 1 if suits.least else 0.0,
            suits.most.metres + 1 if suits.most else float("inf"),
        ),
        chosen=read.chosen,
        uneven=read.uneven,
        hilly=read.hilly,
        drills=tuple(read.drills),
        own=own,
    )


def _step(part: PartText) -> Step:
    length = part.run or part.walk
    minutes = length.minutes if length else 0.0
    is_hard = (part.effort or 0) >= HARD_FROM_EFFORT
    quick = part.quick.minutes if part.quick else minutes
    words = " ".join(filter(None, (part.text, part.breath)))
    return Step(
        kind="walk" if part.walk else ("beat" if part.beat else "run"),
        minutes=minutes,
        effort=part.effort,
        quick=quick if is_hard else 0.0,
        text=_plain(words) if words else None,
        race_of=part.race_of.minutes if part.race_of else 0.0,
    )


def _plain(text: str) -> Sentence:
    """A sentence without places to fill in, whatever signs stand in it."""
    return Sentence(text.replace("{", "{{").replace("}", "}}"))


def sentences(read: WorkoutFile) -> Sequence[str]:
    """Every sentence of a file that a client may read, for the catalogue."""
    parts: list[Any] = [" ".join(filter(None, (p.text, p.breath))) for p in read.parts]
    return [text for text in (read.title, read.purpose, read.text, *parts) if text]
