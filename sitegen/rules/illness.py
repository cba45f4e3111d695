"""Ill: nothing until it is said to be over and a day more, then easy for as long as it lasted."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import NamedTuple

from sitegen.care import illness, sentences
from sitegen.model.case import Case
from sitegen.model.checkin import CheckIn
from sitegen.model.problem import Origin
from sitegen.model.sentence import say
from sitegen.rules.draft import Draft, Past, Stop
from sitegen.rules.log import Log
from sitegen.rules.rule import Morning, Rule
from sitegen.rules.signs import counted
from sitegen.rules.volume import cut_from, hold_at_level, of_return

SOURCE = (
    "judgement; easing back in after a fever or a chest infection is common practice, no source"
)
DAY = timedelta(days=1)
WEEK = timedelta(days=7)
FREE_DAYS = 1  # 24 h after it is said to be over; days have no hours here, so the next day too
MOST_EASY_DAYS = 7
LONG_DAYS = 21  # from here on the return after a long absence
BY_FEEL_DAYS = 7  # how far ahead of today an illness without such words makes runs easy
# From an illness without such words of so many days no week is a new high straight away; one told
# again within as many is the same. Common practice, no source.
HELD_DAYS = 7


class Ill(NamedTuple):
    """One illness: from the day on which it was told to the day on which it was said to be over.

    ``is_grave`` is one with fever, or of the chest or the gut.
    """

    since: date
    is_grave: bool
    because: Origin
    over: date | None = None

    @property
    def days(self) -> int:
        """How long it lasted, a day at least; 0 while it lasts."""
        return max((self.over - self.since).days, 1) if self.over is not None else 0

    def stops(self, day: date) -> bool:
        """Whether nobody is to run on ``day``."""
        if not self.is_grave or day < self.since:
            return False
        return self.over is None or day <= self.over + FREE_DAYS * DAY

    def easy_days(self) -> tuple[date, date] | None:
        """First and last day on which runs are easy after it."""
        if self.over is None or not self.is_grave:
            return None
        first = self.over + (FREE_DAYS + 1) * DAY
        return first, first + (min(self.days, MOST_EASY_DAYS) - 1) * DAY

    @property
    def weighs(self) -> bool:
        """Whether it had such words, or was a long one."""
        return self.is_grave or self.days >= HELD_DAYS

    def is_just_over(self, monday: date, day: date) -> bool:
        """Whether ``day`` is in the rest of the week in which it ended, or in the first whole week
        after it, which begins on ``monday``."""
        return self.over is not None and monday - WEEK < self.over < day


class Course(NamedTuple):
    """What the log tells of illness: after each day on which it tells, all illnesses so far.

    The strictest acts: a cold told in the days after a fever takes nothing of these back.
    """

    days: tuple[date, ...] = ()
    after: tuple[tuple[Ill, ...], ...] = ()

    def before(self, day: date) -> tuple[Ill, ...]:
        """Every illness, as known before ``day``, oldest first."""
        known = bisect_left(self.days, day)
        return self.after[known - 1] if known else ()


@dataclass(frozen=True, slots=True)
class IllnessKnown:
    """What is known of illness on a morning: runs are easy, whether it was a long one, whether this
    is the first week after one that weighs (``is_back``); ``over`` is when one ended of late."""

    is_easy: bool = False
    is_over: bool = True
    was_long: bool = False
    is_back: bool = False
    over: date | None = None
    because: Origin | None = field(default=None, compare=False)


WELL = IllnessKnown()


def _read(case: Case, log: Log) -> Course:
    told = sorted((since, index, entry) for index, entry, since in counted(case, log.as_of))
    ills: tuple[Ill, ...] = ()
    days: list[date] = []
    after: list[tuple[Ill, ...]] = []
    ill_on = date.min, date.min
    heard = case.client.plan.from_ - DAY
    for since, index, entry in told:
        last, heard = heard, max(heard, since)
        grade = illness.grade(entry)
        now = ills[-1] if ills else None
        origin = case.log_origins.value(index)
        if grade is not None:
            ill_on = since, entry.on
            if now is None or now.over is not None:
                ills = (*ills, Ill(since, grade == "grave", origin))
            elif grade == "grave" and not now.is_grave:
                ills = (*ills[:-1], Ill(now.since, True, origin))
        elif now is not None and now.over is None and _is_over(entry, since, ill_on):
            ills = (*ills[:-1], now._replace(over=since))
        elif entry.well_again and (now is None or now.over is None or now.over < last):
            # Told only once it was over: it began after the last word at the latest.
            ills = (*ills, Ill(min(last + DAY, since), True, origin, since))
        else:
            continue
        if ills:
            days.append(since)
            after.append(ills)
    return Course(tuple(days), tuple(after))


def _is_over(entry: CheckIn, since: date, ill_on: tuple[date, date]) -> bool:
    """Whether an entry ends an illness last told of on ``ill_on``; a run of that day came before.

    Of entries dated ahead, which all count from the same day, the day that is written decides.
    """
    return bool(entry.well_again) or (entry.is_run and (since, entry.on) > ill_on)


def courses(log: Log) -> Course:
    """What the rule read in the log."""
    found: Course = log.read[RULE.name]
    return found


def _may_stop(log: Log) -> bool:
    return any(ill.is_grave for ills in courses(log).after for ill in ills)


def _stops(log: Log, before: date, day: date) -> Stop | None:
    stopping = [ill for ill in courses(log).before(before) if ill.stops(day)]
    if not stopping:
        return None
    ill = stopping[-1]
    line = sentences.LINE_ILL if ill.over is None else sentences.LINE_ILL_OVER
    return Stop("ill", ill.since, ill.because, "ill", RULE.name, say(line), SOURCE)


def _knows(log: Log, morning: Morning) -> IllnessKnown:
    ills = courses(log).before(morning.day)
    if not ills:
        return WELL
    last_run = log.last_run_before(morning.day) or date.min
    last = ills[-1]
    was_long = any(
        ill.days >= LONG_DAYS and (ill is last or (ill.over or date.max) > last_run) for ill in ills
    )
    by_feel = last.over is None and not last.is_grave
    if by_feel and morning.day < log.as_of + BY_FEEL_DAYS * DAY:
        return IllnessKnown(True, False, was_long, because=last.because)
    back = [ill for ill in _joined(ills) if ill.is_just_over(morning.week_start, morning.day)]
    over = back[-1].over if back else None
    for ill in reversed(ills):
        window = ill.easy_days()
        if window is not None and window[0] <= morning.day <= window[1]:
            return IllnessKnown(True, True, was_long, over=over, because=ill.because)
    weighty = [ill for ill in back if ill.weighs]
    because = weighty[-1].because if weighty else None
    return IllnessKnown(was_long=was_long, is_back=bool(weighty), over=over, because=because)


def _joined(ills: tuple[Ill, ...]) -> list[Ill]:
    """Illnesses with those told again soon after a run as one."""
    found: list[Ill] = []
    for ill in ills:
        last = found[-1] if found else None
        if last and last.over and ill.since <= last.over + HELD_DAYS * DAY:
            found[-1] = ill._replace(since=last.since, is_grave=last.is_grave or ill.is_grave)
        else:
            found.append(ill)
    return found


def was_long(past: Past) -> bool:
    """Whether the last illness, or one since the last run, lasted three weeks or more."""
    found = past.condition.known[RULE.name]
    assert isinstance(found, IllnessKnown)
    return found.was_long


def just_over(past: Past) -> date | None:
    """The day on which an illness was over, in the first week after it; else None."""
    found = past.condition.known[RULE.name]
    assert isinstance(found, IllnessKnown)
    return found.over


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Plan nothing while somebody is ill; let what follows be easy."""
    stop = past.stop
    if draft.stop is None and stop is not None and stop.rule == RULE.name:
        return draft.stopped(stop)
    known = past.condition.known[RULE.name]
    if draft.stop is not None or not isinstance(known, IllnessKnown):
        return draft
    if known.is_back and not known.is_easy:
        return _first_week(draft, past, known)
    if not known.is_easy:
        return draft
    minutes = min(draft.minutes, cut_from(draft, past))
    line = sentences.LINE_ILL_EASY if known.is_over else sentences.LINE_ILL_BY_FEEL
    return draft.decide(
        RULE.name,
        say(line),
        because=known.because,
        source=SOURCE,
        before=draft.minutes,
        after=minutes,
        warns=True,
        minutes=minutes,
        kind="hold" if draft.kind == "build" else draft.kind,
        may_grow=False,
        worth=of_return(draft),
    )


def _first_week(draft: Draft, past: Past, known: IllnessKnown) -> Draft:
    """No new high straight out of an illness: the level, and nothing hard, but where a week of
    coming back has been that already."""
    came_back = past.previous is not None and past.previous.kind == "return"
    if draft.kind != "build" or came_back:
        return draft
    says = say(sentences.LINE_ILL_BACK)
    return hold_at_level(draft, past, RULE.name, says, SOURCE, known.because)


RULE = Rule(
    name="illness",
    promise=(
        "Ill with fever, or with the chest or the gut: no session until the client says that it is "
        "over (`well_again: yes`, or a run on a later day), and 24 h more; then easy only, for as "
        "many days as it lasted, at most seven, whatever milder is told meanwhile. Ill without "
        "such words: easy, by feel. After the one, or seven days of the other, the rest of that "
        "week and the first whole one have the level at most and nothing hard, and earn nothing "
        "(common practice, no source). Well again after a "
        "silence: that was an illness since the last word. After three weeks ill: the return of "
        "four weeks away. A racing or skipping heart within four weeks of an "
        "illness: see `signs`."
    ),
    reason="An illness asks of the heart and the whole body what a hard run asks.",
    source=SOURCE,
    evidence="judgement",
    apply=apply,
    needs=("volume", "absence"),
    reads=_read,
    knows=_knows,
    untold=WELL,
    stops=_stops,
    may_stop=_may_stop,
    review="From the day of the illness to the day after it is over no session stands.",
)
