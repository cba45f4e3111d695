"""What a client's file became: weeks, their sessions, and the decisions behind them.

All minutes are minutes; a running minute is one spent running, not walking. Cadence is steps
per minute with both feet counted. Effort is on the 0-10 category-ratio scale for a whole session.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from types import MappingProxyType
from typing import Literal, NamedTuple

from sitegen.model.alarm import Alarm
from sitegen.model.problem import Origin, Problem
from sitegen.model.sentence import Sentence

WeekKind = Literal["build", "ease", "hold", "back", "return", "taper", "event", "pause"]
# What each kind of week is, in a coach's words; `sitegen rules` prints them.
WEEK_KIND_WORDS: Mapping[WeekKind, str] = MappingProxyType(
    {
        "build": "as much as before or a little more; the next week builds on it",
        "ease": "an easier week; the next builds on the one before it",
        "hold": "no more than before: something asks to wait, and says what",
        "back": "a step back after pain",
        "return": "less than before, after days without a run",
        "taper": "less and less before an event",
        "event": "the week of the event",
        "pause": "nothing is planned: a stop, a pause, or a week of rest, and the reason",
    }
)
SessionKind = Literal[
    "easy", "long", "run_walk", "beat", "strides", "tempo", "intervals", "strength", "event"
]
PartKind = Literal["warm_up", "run", "walk", "beat", "drill", "strength", "cool_down"]
Status = Literal["active", "paused", "ended", "referred"]

RUNNING_PARTS: frozenset[PartKind] = frozenset({"run", "beat"})


class Band(NamedTuple):
    """A cadence to aim at, and the range around it that counts as holding it."""

    low: int
    aim: int
    high: int


class Part(NamedTuple):
    """A piece of a session.

    ``minutes`` is the length of one repeat. Neighbouring parts with the same ``repeat`` above 1
    are done in turn: run, walk, run, walk. ``effort`` is how hard it is, of 10, where it is
    another than the session's; ``hard_minutes`` how much of one repeat is hard running.
    """

    kind: PartKind
    minutes: float
    repeat: int = 1
    cadence_spm: int | None = None
    text: Sentence | None = None
    effort: int | None = None
    hard_minutes: float = 0.0

    @property
    def total_minutes(self) -> float:
        return self.minutes * self.repeat


class Session(NamedTuple):
    """One session on one day. ``id`` is lasting: it survives a move and a change of length.

    ``workout`` names the file that it was made from, empty for none; ``title`` and ``purpose`` are
    that file's words.
    """

    id: str
    on: date
    at: time | None
    kind: SessionKind
    parts: tuple[Part, ...]
    hard: bool = False
    effort_low: int = 2
    effort_high: int = 3
    drills: tuple[str, ...] = ()
    fuel_at: time | None = None
    moved_from: date | None = None
    workout: str = ""
    title: Sentence | None = None
    purpose: Sentence | None = None

    @property
    def hard_minutes(self) -> float:
        """Minutes of hard running."""
        return sum(part.hard_minutes * part.repeat for part in self.parts)

    @property
    def run_minutes(self) -> float:
        """Minutes of running; walk breaks, warm-up walks and drills are not in it."""
        minutes = 0.0
        for part in self.parts:
            if part.kind in RUNNING_PARTS:
                minutes += part.minutes * part.repeat
        return minutes

    @property
    def total_minutes(self) -> float:
        minutes = 0.0
        for part in self.parts:
            minutes += part.minutes * part.repeat
        return minutes

    @property
    def walk_minutes(self) -> float:
        """Minutes of walking between warm-up and cool-down."""
        return sum(part.minutes * part.repeat for part in self.parts if part.kind == "walk")

    @property
    def is_walk(self) -> bool:
        """Walking alone, as the first step of many a way back is."""
        return self.kind == "run_walk" and self.run_minutes == 0

    @property
    def read_as(self) -> SessionKind | Literal["walk"]:
        """Its kind by what it holds: run and walk may be a walk alone, or a run without one."""
        if self.is_walk:
            return "walk"
        return "easy" if self.kind == "run_walk" and not self.walk_minutes else self.kind

    @property
    def is_run(self) -> bool:
        return self.kind != "strength"

    @property
    def starts(self) -> datetime | None:
        """None where no hour is known."""
        return None if self.at is None else datetime.combine(self.on, self.at)

    @property
    def ends(self) -> datetime | None:
        """None where no hour is known."""
        starts = self.starts
        return None if starts is None else starts + timedelta(minutes=self.total_minutes)


class Decision(NamedTuple):
    """Why a number is what it is: the rule, its reason, its source, the coach's line behind it.

    ``before`` and ``after`` are what the rule changed, in ``unit``; None where nothing numeric
    changed. ``session`` names the session that it is about, or None for the week.
    """

    rule: str
    says: Sentence
    because: Origin | None = None
    source: str = ""
    before: float | None = None
    after: float | None = None
    session: str | None = None
    warns: bool = False

    @property
    def is_judgement(self) -> bool:
        """True where its own source says that none stands behind it, whatever its rule has."""
        return self.source.startswith(("common practice", "judgement"))


class Week(NamedTuple):
    """One training week, Monday to Sunday, counted from 1.

    ``worth`` is the level, in minutes a week, that the week earns once its runs are done; 0 where
    it earns none. ``runs`` is how many runs a week like this has, 0 where it says nothing of that.
    ``by_coach`` is True where the coach herself set its minutes or took a session out. ``began``
    is its kind as it was known on its Monday.
    """

    number: int
    start: date
    kind: WeekKind
    cadence: Band
    sessions: tuple[Session, ...] = ()
    decisions: tuple[Decision, ...] = ()
    steps: int = 0
    rung: int | None = None
    worth: float = 0.0
    runs: int = 0
    by_coach: bool = False
    began: WeekKind = "build"

    @property
    def run_minutes(self) -> float:
        return sum(s.run_minutes for s in self.sessions)

    @property
    def longest_minutes(self) -> float:
        return max((s.run_minutes for s in self.sessions), default=0.0)


class Plan(NamedTuple):
    """Everything that the engine decided for one client, as of one day.

    ``told`` are the ids of sessions of days over that stand as the client was shown them;
    ``unasked`` is True where no check-in is expected.
    """

    client: str
    as_of: date
    status: Status
    weeks: tuple[Week, ...]
    decisions: tuple[Decision, ...] = ()
    problems: tuple[Problem, ...] = ()
    alarms: tuple[Alarm, ...] = ()
    told: frozenset[str] = frozenset()
    unasked: bool = False

    @property
    def sessions(self) -> tuple[Session, ...]:
        return tuple(s for w in self.weeks for s in w.sessions)

    def week_of(self, day: date) -> Week | None:
        """The week in which a day lies."""
        return next((w for w in self.weeks if 0 <= (day - w.start).days < 7), None)
