"""A client's check-ins in date order, with a next morning's answer put to its session."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from math import floor
from types import MappingProxyType
from typing import Any, NamedTuple

from sitegen.model.case import Case, kept
from sitegen.model.checkin import CheckIn, Pain
from sitegen.model.problem import Origin
from sitegen.model.values import Pace

# Stands in where a distance came without a time and no pace was ever taken down.
# Common practice, no source: a slow run.
SLOW_PACE = Pace(510)


# A run under that, of who ran so long, is a try, and measures nothing: it ends no absence
# and is no longest run. No plan and no way back tells so short a one. Common practice, no source.
TRY_UNDER_MIN, TRY_OF_RUNNERS_FROM_MIN = 5.0, 30.0

# A run over the longest before it counts as so much of it, or so many minutes more, at most: the
# bounds over which a run is more than was told (`overdone`). Common practice, no source.
BELIEVED_SHARE, BELIEVED_MIN = 1.5, 15.0

# How far back rules look at runs and check-ins: the thirty days of `longest`, and room for more.
RECENT = timedelta(days=70)


class Run(NamedTuple):
    """A run that was done, or that the plan holds; of one that is not ``heard`` of nobody told."""

    on: date
    minutes: float
    heard: bool = True


class Logged(NamedTuple):
    """One session of the log, and where it was written.

    ``raised`` has each worst score, 0 to 10, that a next morning's answer raised, and where the
    answer stands, in their order.
    """

    on: date
    minutes: float
    entry: CheckIn
    pain: Pain | None
    origin: Origin
    is_run: bool
    raised: tuple[tuple[int, Origin], ...] = ()


class Log(NamedTuple):
    """A client's whole log up to ``as_of``, laid out so that any day is looked up quickly.

    ``runs`` are those that measure something (see `is_try`), ``logged`` is all there is.
    ``read`` maps the name of a rule to what it laid out of file and log (`Rule.reads`);
    ``stopping`` are the rules' ways to stop a plan that may come to stop this one, ``filling``
    those to fill its weeks.
    """

    case: Case
    as_of: date
    logged: tuple[Logged, ...]
    days: tuple[date, ...]
    runs: tuple[Run, ...]
    run_days: tuple[date, ...]
    read: Mapping[str, Any] = MappingProxyType({})
    stopping: tuple[Callable[..., Any], ...] = ()
    filling: tuple[Callable[..., Any], ...] = ()

    def known_before(self, day: date) -> int:
        """How many sessions were logged before ``day``."""
        return bisect_left(self.days, day)

    def between(self, first: date, end: date) -> tuple[Logged, ...]:
        """Sessions from ``first`` up to the day before ``end``."""
        return self.logged[bisect_left(self.days, first) : bisect_left(self.days, end)]

    def recent(self, before: date) -> tuple[Logged, ...]:
        """Sessions before a day, as far back as any rule looks."""
        return self.between(before - RECENT, before)

    def runs_between(self, first: date, end: date) -> tuple[Run, ...]:
        """Runs from ``first`` up to the day before ``end``."""
        return self.runs[bisect_left(self.run_days, first) : bisect_left(self.run_days, end)]

    def last_run_before(self, day: date) -> date | None:
        known = bisect_left(self.run_days, day)
        return self.run_days[known - 1] if known else None


def log_of(case: Case, as_of: date) -> Log:
    """The log up to ``as_of``; nothing is read in it by a rule yet."""
    logged = sessions(case, as_of)
    ran = tuple(_measured(case, logged))
    return Log(
        case=case,
        as_of=as_of,
        logged=logged,
        days=tuple(s.on for s in logged),
        runs=ran,
        run_days=tuple(r.on for r in ran),
    )


def _measured(case: Case, logged: Sequence[Logged]) -> Iterator[Run]:
    """Runs that measure something, each as long as it is believed on its own.

    A run far over all before it may be a slip of typing, 300 min for 30, or was far too long: it is
    no length from which the next ones grow by a tenth. A second one is believed by so much more.
    """
    longest = case.client.baseline.longest.minutes if case.client.baseline.longest else 0.0
    for one in logged:
        if one.is_run and not is_try(case, one.minutes):
            most = floor(max(longest * BELIEVED_SHARE, longest + BELIEVED_MIN))
            longest = max(longest, min(one.minutes, most))
            yield Run(one.on, min(one.minutes, most))


HEARD_ALONE = frozenset({"on", "heard", "received", "id", "signed"})


@kept
def sessions(case: Case, up_to: date) -> tuple[Logged, ...]:
    """The log's sessions on or before ``up_to``, oldest first.

    Entries may stand in any order. An entry that holds nothing but a next morning's score belongs
    to the session before it on the same day; without one it stands alone. One that holds nothing
    but what a phone heard belongs there too, or to the day's first run where that comes after it;
    without one it is no session, as it tells of none.
    """
    found: list[Logged] = []
    for index in _in_order(case.log, up_to):
        entry = case.log[index]
        last = found[-1] if found and found[-1].on == entry.on else None
        if _only_heard(entry):
            if last is not None:
                both = [*last.entry.heard, *entry.heard]
                found[-1] = last._replace(entry=last.entry.but(heard=both))
            continue
        if last is not None and _only_next_morning(entry) and entry.pain is not None:
            found[-1] = _with_next_morning(last, entry.pain, case.log_origins.value(index))
            continue
        found.append(
            Logged(
                on=entry.on,
                minutes=minutes_of(entry, case),
                entry=entry,
                pain=entry.pain,
                origin=case.log_origins.value(index),
                is_run=entry.is_run,
            )
        )
    return tuple(found)


def _in_order(log: Sequence[CheckIn], up_to: date) -> list[int]:
    """Places of the entries by date; what a phone heard comes after the first run of its day."""
    heard = {i for i, entry in enumerate(log) if _only_heard(entry)}
    days = {log[i].on for i in heard}
    ran: dict[date, int] = {}
    for index, entry in enumerate(log):
        if entry.on in days and entry.is_run:
            ran.setdefault(entry.on, index)

    def place(index: int) -> tuple[date, int, bool]:
        on = log[index].on
        is_heard = index in heard
        return on, max(index, ran.get(on, index)) if is_heard else index, is_heard

    return sorted((i for i, entry in enumerate(log) if entry.on <= up_to), key=place)


def _only_heard(entry: CheckIn) -> bool:
    return bool(entry.heard) and entry.written <= HEARD_ALONE


def minutes_of(entry: CheckIn, case: Case) -> float:
    """Running minutes of an entry.

    A distance without a time is put at the baseline's pace, which is what is known.
    """
    if entry.skipped is not None:
        return 0.0
    if entry.ran is not None:
        return entry.ran.minutes
    if entry.distance is not None and entry.walked is None:
        pace = case.client.baseline.pace or SLOW_PACE
        return entry.distance.km * pace.seconds_per_km / 60
    return 0.0


def is_try(case: Case, minutes: float) -> bool:
    """Whether so short a run says nothing of what this runner runs."""
    longest = case.client.baseline.longest
    usual = longest is not None and longest.minutes >= TRY_OF_RUNNERS_FROM_MIN
    return usual and minutes < TRY_UNDER_MIN


def _only_next_morning(entry: CheckIn) -> bool:
    return (
        entry.pain is not None
        and entry.pain.next_morning is not None
        and entry.pain.session_worst is None
        and not entry.is_run_or_walk
        and entry.skipped is None
        and not entry.signs
        and entry.well_again is None
    )


def _with_next_morning(session: Logged, later: Pain, where: Origin) -> Logged:
    """The worst morning that was told stays: later entries add to earlier ones, none takes back.

    What was felt before the session is the session's own to tell: a later entry's is of another
    day, and would make a bad morning look like an old one.
    """
    earlier = session.pain or Pain()
    told = {name: getattr(later, name) for name in ("next_morning", "walking")}
    if earlier.next_morning is not None and later.next_morning is not None:
        told["next_morning"] = max(earlier.next_morning, later.next_morning)
    told["site"] = earlier.site or later.site
    pain = earlier.but(**{name: one for name, one in told.items() if one is not None})
    before = earlier.worst or 0
    raised = ((before, where),) if (pain.worst or 0) > before else ()
    return session._replace(pain=pain, raised=(*session.raised, *raised))
