"""A week while the rules are still at work on it, and what came before it."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Hashable, Mapping, Sequence
from datetime import date, timedelta
from math import floor
from operator import attrgetter
from types import MappingProxyType
from typing import Any, Literal, NamedTuple

from sitegen.model.plan import Band, Decision, Week, WeekKind
from sitegen.model.problem import Origin
from sitegen.model.sentence import Sentence
from sitegen.rules.log import Logged, Run

EPSILON = 1e-9

StopReason = Literal[
    "screening", "urgent", "sign", "pain", "rest", "ill", "ask", "silent", "paused", "ended"
]
# Stops by how much they weigh: the first of several is told.
GRAVEST: tuple[StopReason, ...] = (
    "urgent", "sign", "screening", "pain", "ask", "rest", "ill", "silent", "paused", "ended",
)  # fmt: skip
# What one step back leaves of the minutes.
BACK_SHARE = 0.8
# By the runs of a week, the last for as many or more.
LONG_SHARES = (1.0, 0.5, 0.4, 0.35)
EVENT_SHARES = (1.0, 0.6, 0.5)
# The largest share of a week that is cut to half as much again as was run which a long run may be:
# all that was run, if that was the long run alone.
KEPT_SHARE = 2 / 3
_MINUTES = attrgetter("minutes")


def whole_minutes(minutes: float) -> int:
    """Whole minutes, downwards; a limit is never rounded over."""
    return floor(minutes + EPSILON)


class Stop(NamedTuple):
    """No session may be planned, and where the reason stands.

    ``rule`` is the one that says so, in the words of ``says``. Where the plan ``refers``, a
    licensed clinician has to see the client.
    """

    reason: StopReason
    since: date | None
    because: Origin | None = None
    word: str = ""
    rule: str = ""
    says: Sentence = Sentence("")
    source: str = ""
    refers: bool = False


class Condition(NamedTuple):
    """What is known of the runner on the morning of a day, from the log up to the day before.

    ``known`` maps the name of a rule to what it knows, for each rule that looks at the log; two
    conditions are equal where they lead to the same week. ``stop`` is the gravest of all stops.
    """

    known: Mapping[str, Hashable] = MappingProxyType({})
    stop: Stop | None = None


class Rung(NamedTuple):
    """One step of a walk-run ladder: minutes of running and of walking, in turn.

    ``session`` are the running minutes that a session has at most, 0 where the rung does not say;
    ``effort`` is how hard it is at most.
    """

    run: float
    walk: float
    session: float = 0.0
    effort: int | None = None


class Beat(NamedTuple):
    """Minutes to a beat: ``repeats`` of ``minutes`` each."""

    minutes: int
    repeats: int


class Past(NamedTuple):
    """What the weeks before this one left behind.

    ``memory`` maps the name of a rule to what it remembers (see `Rule.remembered`), ``read`` to
    what it once laid out of file and log. ``runs`` are the runs done or planned in the weeks
    before, ``recent`` the sessions logged in them, both oldest first and far enough back for every
    rule.
    """

    number: int
    start: date
    as_of: date
    runs: tuple[Run, ...] = ()
    known_longest: float = 0.0
    previous: Week | None = None
    recent: tuple[Logged, ...] = ()
    memory: Mapping[str, Any] = MappingProxyType({})
    read: Mapping[str, Any] = MappingProxyType({})
    condition: Condition = Condition()

    @property
    def stop(self) -> Stop | None:
        """Why nothing may be planned, as known on the morning of the day."""
        return self.condition.stop

    @property
    def end(self) -> date:
        return self.start + timedelta(days=6)

    def longest_before(self, day: date, days: int = 30) -> float:
        """Longest run in the ``days`` before ``day``, one of the week's, in minutes.

        Where none is known in that time, the longest that is known at all.
        """
        return self.longest_of(self.runs_since(day, days))

    def longest_of(self, runs: Sequence[Run]) -> float:
        """The longest of these runs in minutes; of none the longest that is known at all."""
        return max(map(_MINUTES, runs), default=self.known_longest)

    def runs_since(self, day: date, days: int) -> tuple[Run, ...]:
        """The runs of the ``days`` before ``day``, one of the week's."""
        return self.runs[bisect_left(self.runs, (day - timedelta(days=days),)) :]


class Draft(NamedTuple):
    """A week that rules hand on to one another; a plan makes some hundred of them.

    ``minutes`` is the running that the week may hold; ``longest`` the most that one run may;
    ``may_grow`` is False where something holds every kind of growth. ``worth`` is the level, in
    minutes a week, that the week earns once its runs are done, 0 where it earns none. ``by_coach``
    is True where the coach made the week a lighter one: no measurement of anything; ``bars_hard``
    where a clinician has to clear hard running first. ``walks`` are
    the walking minutes of each session where nobody is to run yet, 0 where they run.
    ``long_need`` are the minutes that the long run may take over its usual share, as an event
    needs them, ``long_kept`` those that it was really run for of late, where the week is cut to
    what was run; ``caps`` the most running minutes of single days, and ``usual`` those of each day
    without what holds the week, where something does. ``hard`` is how many hard runs the week has,
    ``hard_share`` the largest share of its minutes that is hard. ``spared`` are the runs that a
    usual week has more, left out as each would have hardly any minutes or the Sunday before leaves
    no day for them.
    """

    number: int
    start: date
    kind: WeekKind = "build"
    minutes: float = 0.0
    longest: float = float("inf")
    runs: int = 0
    spared: int = 0
    band: Band = Band(0, 0, 0)
    may_grow: bool = True
    worth: float = 0.0
    by_coach: bool = False
    bars_hard: bool = False
    novice: bool = False
    rung: int | None = None
    ladder: tuple[Rung, ...] = ()
    share: float = 1.0
    beat: Beat | None = None
    hard: int = 0
    hard_share: float = 0.0
    strength: int = 0
    strength_minutes: int = 25
    walks: int = 0
    stop: Stop | None = None
    fuel_before: int | None = None
    event_on: date | None = None
    event_minutes: float = 0.0
    long_need: int = 0
    long_kept: int = 0
    caps: tuple[tuple[date, int], ...] = ()
    usual: tuple[tuple[date, int], ...] = ()
    decisions: tuple[Decision, ...] = ()

    @property
    def is_run_walk(self) -> bool:
        return self.rung is not None

    @property
    def rests(self) -> bool:
        """True in a week with days of rest after an event: what else it holds is easy alone."""
        return any(minutes == 0 for _, minutes in self.caps)

    @property
    def climbs_back(self) -> bool:
        """True in the easy weeks that climb back after an event."""
        return self.kind in ("ease", "hold") and any(d.rule == "taper" for d in self.decisions)

    def but(self, **changes: Any) -> Draft:
        """The same with other values: `_replace` takes twice as long, which is 5 % of a plan."""
        values = [*self]
        for name, value in changes.items():
            values[_PLACE[name]] = value
        return tuple.__new__(Draft, values)

    def decide(
        self,
        rule: str,
        says: Sentence,
        *,
        because: Origin | None = None,
        source: str = "",
        before: float | None = None,
        after: float | None = None,
        warns: bool = False,
        **changes: Any,
    ) -> Draft:
        """The draft with ``changes`` made and the decision behind them noted."""
        decision = Decision(rule, says, because, source, before, after, None, warns)
        return self.but(decisions=(*self.decisions, decision), **changes)

    def stopped(self, stop: Stop) -> Draft:
        """The draft with nothing in it, and why, for client and coach."""
        return self.decide(
            stop.rule,
            stop.says,
            because=stop.because,
            source=stop.source,
            before=self.minutes,
            after=0.0,
            warns=True,
            kind="pause",
            minutes=0.0,
            stop=stop,
        )


_PLACE = {name: place for place, name in enumerate(Draft._fields)}


def event_share(runs: int) -> float:
    """The largest share of a week that a long run may be where an event needs it.

    Source: common practice, no source.
    """
    return EVENT_SHARES[min(runs, len(EVENT_SHARES)) - 1] if runs > 0 else 1.0


def share_of_week(runs: int) -> float:
    """The largest share of a week's minutes that one run may be.

    Source: common practice, no source; no trial of a long run's share was found.
    """
    return LONG_SHARES[min(runs, len(LONG_SHARES)) - 1] if runs > 0 else 1.0
