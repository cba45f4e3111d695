"""A week while the rules are still at work on it, and what came before it."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass, field
from datetime import date, timedelta
from math import floor
from typing import Any, Literal, NamedTuple

from sitegen.model.plan import Band, Decision, SessionKind, Week, WeekKind
from sitegen.model.problem import Origin
from sitegen.model.sentence import Sentence
from sitegen.rules.log import Logged, Run

EPSILON = 1e-9

PainLevel = Literal["go", "hold", "refer"]
StopReason = Literal["screening", "urgent", "sign", "pain", "paused", "ended"]


def whole_minutes(minutes: float) -> int:
    """Whole minutes, downwards; a limit is never rounded over."""
    return floor(minutes + EPSILON)


class Stop(NamedTuple):
    """No session may be planned, and where the reason stands."""

    reason: StopReason
    since: date | None
    because: Origin | None = None
    word: str = ""


@dataclass(frozen=True, slots=True)
class Condition:
    """What is known of the runner on the morning of a day, from the log up to the day before.

    ``backs`` are the days of this week on which pain sent the plan back, ``recent_back`` is True
    where that happened in the seven days before the week. ``away_days`` counts days since the
    last logged run, None where no run was ever logged. Two conditions are equal where they lead to
    the same week: which entry of several held it is not compared, and the first is told.
    """

    pain: PainLevel = "go"
    pain_because: Origin | None = field(default=None, compare=False)
    pain_score: int | None = field(default=None, compare=False)
    backs: int = 0
    recent_back: bool = False
    stop: Stop | None = None
    away_days: int | None = None
    silent: bool = False


class Rung(NamedTuple):
    """One step of a walk-run ladder: minutes of running and of walking, in turn."""

    run: float
    walk: float


class Beat(NamedTuple):
    """Minutes to a beat: ``repeats`` of ``minutes`` each."""

    minutes: int
    repeats: int


class Past(NamedTuple):
    """What the weeks before this one left behind.

    ``reference`` is the last building week's achieved minutes; ``peak`` the largest building
    week so far; ``rung`` the place on the ladder (0 is the lowest), None once 30 minutes are run
    without a walk; ``steady_until`` the week before which the step rate stays at a new baseline;
    ``runs`` the runs done or planned in the weeks before, ``recent`` the sessions
    logged in them, both oldest first and far enough back for every rule.
    """

    number: int
    start: date
    as_of: date
    reference: float
    reference_because: Origin | None
    runs: tuple[Run, ...]
    known_longest: float
    rung: int | None
    aim: int
    last_rise: int | None
    peak: float = 0.0
    previous: Week | None = None
    hard_weeks: int = 0
    run_count: int = 0
    steady_until: int = 0
    condition: Condition = Condition()
    recent: tuple[Logged, ...] = ()

    @property
    def end(self) -> date:
        return self.start + timedelta(days=6)

    def longest_before(self, day: date, days: int = 30) -> float:
        """Longest run in the ``days`` before ``day``, in minutes.

        Where none is known in that time, the longest that is known at all.
        """
        first = bisect_left(self.runs, (day - timedelta(days=days),))
        end = bisect_left(self.runs, (day,))
        return max([r.minutes for r in self.runs[first:end]], default=self.known_longest)


class Draft(NamedTuple):
    """A week that rules hand on to one another; a plan makes some hundred of them.

    ``minutes`` is the running that the week may hold; ``longest`` the most that one run may;
    ``may_grow`` is False where something holds every kind of growth.
    """

    number: int
    start: date
    kind: WeekKind
    minutes: float
    longest: float
    runs: int
    band: Band
    may_grow: bool = True
    novice: bool = False
    rung: int | None = None
    ladder: tuple[Rung, ...] = ()
    share: float = 1.0
    beat: Beat | None = None
    hard: tuple[SessionKind, ...] = ()
    hard_minutes: int = 0
    strength: int = 0
    strength_minutes: int = 25
    stop: Stop | None = None
    fuel_before: int | None = None
    event_on: date | None = None
    event_minutes: float = 0.0
    decisions: tuple[Decision, ...] = ()

    @property
    def is_run_walk(self) -> bool:
        return self.rung is not None

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
        return self._replace(decisions=(*self.decisions, decision), **changes)


def share_of_week(runs: int) -> float:
    """The largest share of a week's minutes that one run may be.

    Source: common practice, no source; no trial of a long run's share was found.
    """
    return {1: 1.0, 2: 0.5, 3: 0.4}.get(runs, 0.35) if runs > 0 else 1.0
