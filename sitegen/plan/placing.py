"""Which days of the week hold the runs, the long run, the hard ones and the strength work.

Every choice of days is looked at and the best one taken by a fixed order of preference, so the
same week always comes out the same. A pattern is meant to repeat: Sunday and Monday count as
neighbours.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from itertools import combinations
from typing import NamedTuple

from sitegen.rules.days import Offer, is_short_night, neighbours, run_days

DAYS_A_WEEK = 7
MONDAY, SATURDAY, SUNDAY = 0, 5, 6
NO_DAY = -1
FEWEST_APART = 2
LACKS_STRENGTH = 5  # its place in the order of preference
STRENGTH_KEEPS_MIN = 15  # of a day that also holds a run; common practice, no source


class Wish(NamedTuple):
    """What a week wants placed.

    ``long`` and ``each`` are the minutes that the long and any other run take in all; ``usual``
    are the weekdays of the week before, from which days move only where they must. ``sunday``
    says what the Sunday before was: 0 no run, 1 a run, 2 a long or hard one. No hard run stands on
    ``hard_until`` or later; ``next_monday`` says that the Monday after may hold a run. One day of
    strength comes before any hard run, and takes ``strength_minutes``. ``short_monday`` says that
    Monday begins less than a night after what the Sunday before held. ``for_event`` are the minutes
    that the long run takes in all where an event asks for it, 0 where none does. ``quick_first``
    says that one hard run comes before strength, as in a taper.
    """

    runs: int
    hard: int = 0
    strength: int = 0
    novice: bool = False
    has_long: bool = True
    long_day: int | None = None
    each: int = 0
    long: int = 0
    usual: tuple[int, ...] = ()
    sunday: int = 0
    hard_until: int = DAYS_A_WEEK
    next_monday: bool = True
    strength_minutes: int = 0
    short_monday: bool = False
    for_event: int = 0
    quick_first: bool = False


class Pattern(NamedTuple):
    """Weekdays, 0 is Monday. ``long`` is None where there is a single run or none.

    ``left_out`` are days that are offered for a run, and have too little room for one.
    """

    runs: tuple[int, ...] = ()
    long: int | None = None
    hard: tuple[int, ...] = ()
    strength: tuple[int, ...] = ()
    crowded: bool = False
    left_out: tuple[int, ...] = ()


@lru_cache(maxsize=4096)
def place(offers: tuple[Offer, ...], wish: Wish) -> Pattern:
    """The best pattern for ``wish``.

    Hard sessions are dropped, one at a time, where they can't be kept off the days beside each
    other and the long run.
    """
    days = run_days(offers)
    runs = min(wish.runs, len(days))
    if runs == 0:
        return Pattern(strength=_strength(offers, wish, (), None, ()))
    for hard in range(min(wish.hard, max(runs - wish.has_long, 0)), -1, -1):
        best = min(_candidates(offers, wish, runs, hard), default=None)
        if best is not None and wish.novice and best.preference[0] > 0 and runs > FEWEST_APART:
            return place(offers, wish._replace(runs=runs - 1))  # a run less is the other choice
        if best is not None and best.lacks_strength and hard > wish.quick_first:
            fewer = place(offers, wish._replace(hard=hard - 1))
            if fewer.strength:
                return fewer
        if best is not None:
            chosen, hards = best.runs, best.hard
            long = best.long if wish.has_long and runs > 1 else None
            return Pattern(
                runs=chosen,
                long=long,
                hard=hards,
                strength=_strength(offers, wish, chosen, long, hards),
                crowded=wish.novice and best.preference[0] > 0,
            )
    raise AssertionError("a pattern without hard sessions always exists")


class _Candidate(NamedTuple):
    """A pattern, with its place in the order of preference first."""

    preference: tuple[int, ...]
    runs: tuple[int, ...]
    long: int
    hard: tuple[int, ...]

    @property
    def lacks_strength(self) -> bool:
        """True where strength is wanted and no day is left for it."""
        return self.preference[LACKS_STRENGTH] > 0


def _candidates(
    offers: tuple[Offer, ...], wish: Wish, runs: int, hard: int
) -> Iterator[_Candidate]:
    """Every pattern that keeps hard and long apart.

    In order: a new runner's days off, no long run after a long Sunday, the wanted long day, room
    for the long run that an event asks for, a night between runs, a day for strength, room on the
    days, on that of the long run first, the days of the week before, even gaps, a long run on the
    weekend.
    """
    usual = set(wish.usual)
    after_run, after_long = (_short_nights(offers, lasts) for lasts in (wish.each, wish.long))
    is_tight = bool(after_run or after_long or wish.short_monday)
    for chosen in combinations(run_days(offers), runs):
        after_sunday = MONDAY in chosen and wish.sunday > 0 and SUNDAY not in chosen
        pairs = neighbours(chosen) + after_sunday if wish.novice else 0
        lack = {d: max(wish.each - offers[d].minutes, 0) for d in chosen}
        moved = len(usual.symmetric_difference(chosen)) if len(usual) == runs else 0
        gaps = _unevenness(chosen)
        for long in chosen if wish.has_long else (NO_DAY,):
            others = tuple(d for d in chosen if d != long)
            long_lack = max(wish.long - offers[long].minutes, 0) if wish.has_long else 0
            for hards in combinations(others, hard):
                if hard and neighbours((*hards, long) if wish.has_long else hards) > 0:
                    continue
                beside = wish.sunday == 2 and MONDAY in (*hards, long)
                if hard and (beside or max(hards) >= wish.hard_until):
                    continue
                shared = _lack_by_strength(offers, wish, chosen, long, hards)
                preference = (
                    pairs,
                    int(beside),
                    _off_day(wish, long, hards),
                    int(offers[long].minutes < wish.for_event),
                    _tight(chosen, long, hards, wish, after_run, after_long) if is_tight else 0,
                    int(_lacks_strength(offers, wish, long if wish.has_long else None, hards)),
                    sum(lack[d] for d in others) + long_lack + shared,
                    long_lack,
                    moved,
                    gaps,
                    0 if long >= SATURDAY else 1,
                    -long,
                )
                yield _Candidate(preference, chosen, long, hards)


def _off_day(wish: Wish, long: int, hards: tuple[int, ...]) -> int:
    """Whether the long run is off its day: counted twice where a demanding Sunday would keep next
    week's long run off Monday, too."""
    if wish.long_day in (None, long):
        return 0
    keeps_off = wish.long_day == MONDAY and not wish.novice and SUNDAY in (long, *hards)
    return 1 + keeps_off


@lru_cache(maxsize=512)
def _short_nights(offers: tuple[Offer, ...], lasts: int) -> frozenset[int]:
    """Days on which ``lasts`` minutes end less than a night before the next day begins."""
    return frozenset(
        d for d, o in enumerate(offers) if is_short_night(o, lasts, offers[(d + 1) % DAYS_A_WEEK])
    )


def _tight(
    chosen: tuple[int, ...],
    long: int,
    hards: tuple[int, ...],
    wish: Wish,
    after_run: frozenset[int],
    after_long: frozenset[int],
) -> int:
    """Runs with less than a night between them; a pair with a long or a hard one counts twice."""
    demanding = {long, *hards}
    found = int(wish.short_monday and MONDAY in chosen)
    for day in chosen:
        after = (day + 1) % DAYS_A_WEEK
        if after in chosen and day in (after_long if day == long else after_run):
            found += 1 + (day in demanding or after in demanding)
    return found


@lru_cache(maxsize=512)
def _unevenness(days: tuple[int, ...]) -> int:
    """The smaller, the more evenly spread: squared gaps round the week, then days in a row."""
    if not days:
        return 0
    gaps = sum(
        ((days[(i + 1) % len(days)] - d - 1) % DAYS_A_WEEK + 1) ** 2 for i, d in enumerate(days)
    )
    return DAYS_A_WEEK * gaps + _in_a_row(days)


def _in_a_row(days: tuple[int, ...]) -> int:
    """The longest row of neighbouring days, Sunday and Monday counted as neighbours; 7 is all."""
    rows = (
        next(n for n in range(1, DAYS_A_WEEK + 1) if (d + n) % DAYS_A_WEEK not in days or n == 7)
        for d in days
    )
    return max(rows)


def _strength(
    offers: tuple[Offer, ...],
    wish: Wish,
    runs: tuple[int, ...],
    long: int | None,
    hard: tuple[int, ...],
) -> tuple[int, ...]:
    """Days for strength: those with a night to the runs first, then free days.

    Two neighbouring ones only where both are for strength alone.
    """
    open_days = _strength_days(offers, wish.next_monday, long, hard)
    count = min(wish.strength, len(open_days))
    if count == 0:
        return ()
    best = min(
        combinations(open_days, count),
        key=lambda c: (
            sum(_short_nights_round(offers, wish, d, runs, long) for d in c),
            neighbours(c),
            sum(1 for d in c if d in runs),
            _unevenness(c),
            c,
        ),
    )
    if neighbours(best) and not set(best).isdisjoint(runs):
        return _strength(offers, wish._replace(strength=count - 1), runs, long, hard)
    return best


def _short_nights_round(
    offers: tuple[Offer, ...], wish: Wish, day: int, runs: tuple[int, ...], long: int | None
) -> int:
    """How many runs of the days beside lie less than a night from strength on ``day``."""

    def lasts(on: int) -> int:
        return 0 if on not in runs else wish.long if on == long else wish.each

    before, after = (day - 1) % DAYS_A_WEEK, (day + 1) % DAYS_A_WEEK
    ends = lasts(day) + wish.strength_minutes
    found = int(after in runs and is_short_night(offers[day], ends, offers[after]))
    if before in runs:
        found += is_short_night(offers[before], lasts(before), offers[day], lasts(day))
    return found + int(day == MONDAY and wish.short_monday)


def _lack_by_strength(
    offers: tuple[Offer, ...],
    wish: Wish,
    chosen: tuple[int, ...],
    long: int,
    hards: tuple[int, ...],
) -> int:
    """Minutes that a run gives up to strength on its day, where no day without one holds it."""
    if wish.strength == 0:
        return 0
    days = _strength_days(offers, wish.next_monday, long if wish.has_long else None, hards)
    if not days or any(d not in chosen for d in days):
        return 0
    rooms = (offers[d].minutes - wish.each for d in days)  # what a run of usual length leaves
    return max(STRENGTH_KEEPS_MIN - max(max(rooms), 0), 0)


def _lacks_strength(
    offers: tuple[Offer, ...], wish: Wish, long: int | None, hard: tuple[int, ...]
) -> bool:
    return wish.strength > 0 and not _strength_days(offers, wish.next_monday, long, hard)


@lru_cache(maxsize=2048)  # few choices of long and hard days, asked for again with each set of runs
def _strength_days(
    offers: tuple[Offer, ...], next_monday: bool, long: int | None, hard: tuple[int, ...]
) -> tuple[int, ...]:
    """Days that may hold strength: not the long or a hard day, nor the day before one."""
    demanding = {d for d in (long, *hard) if d is not None}
    if next_monday:
        demanding.add(MONDAY)  # next week's long or hard run may come to stand there
    return tuple(
        d
        for d, o in enumerate(offers)
        if o.strength and d not in hard and d != long and (d + 1) % DAYS_A_WEEK not in demanding
    )
