"""No word from the client: the plan repeats, then asks, then waits. Silence is not absence."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise
from typing import Literal

from sitegen.model.case import Case, once
from sitegen.model.sentence import N_, say
from sitegen.rules.draft import Draft, Past, Stop, whole_minutes
from sitegen.rules.lifts import lift_days
from sitegen.rules.log import Log
from sitegen.rules.rule import Morning, Rule
from sitegen.rules.volume import SMALL_STEP_MIN, hold_at_level, level

SOURCE = "common practice, no source"
ASK_DAYS = 14
WAIT_DAYS = 28
SHARE = 0.8
DAY = timedelta(days=1)
WEEK = timedelta(days=7)
WAITS_FOR_WORD = N_(
    "The plan waits for a word from you: nothing was heard for four weeks. Send a check-in, "
    "however short, and it goes on from where you were. Nobody minds the gap."
)

HEARD_AGAIN = N_(
    "Good to hear from you again: this week has no more running than before the silence. It grows "
    "again after that."
)


@once
def _unasked(case: Case) -> tuple[tuple[date, date], ...]:
    """First and last days on which what the client was told expected no check-in."""
    found: list[tuple[date, date]] = []
    since: date | None = None
    for telling in sorted(case.told, key=lambda one: one.on):
        if any(week.unasked for week in telling.weeks):
            since = since or telling.on
        elif since is not None:
            found.append((since, telling.on))
            since = None
    return (*found, (since, date.max)) if since is not None else tuple(found)


def silent_days(log: Log, before: date, day: date) -> int:
    """Days without a word up to ``day``, by what was logged before the day ``before``.

    A word is a check-in of any kind; a new baseline, a clearance or a pause lifted come from one
    too, and of who is away nothing is expected. It is counted from the plan's first day at the
    earliest, and after a pause or an agreement that nothing is told from its end, as the ledger
    has it. Who never checks in by agreement is never silent, nor who is paused by the coach.
    """
    client = log.case.client
    if client.unasked:
        return 0
    known = log.known_before(before)
    cleared = client.screening.cleared_on
    words = [
        client.plan.from_,
        client.baseline.on,
        *lift_days(log.case),
        *(min(away.to, day) for away in client.away if away.from_ <= day),
        *(min(last, day) for first, last in _unasked(log.case) if first <= day),
        *([cleared] if cleared else []),
        *([log.days[known - 1]] if known else []),
    ]
    return (day - max(word for word in words if word <= day or word == words[0])).days


def _is_silent(log: Log, before: date, day: date, days: int) -> bool:
    """Whether so many days passed without a word; most often the last check-in alone says no."""
    known = log.known_before(before)
    if known and 0 <= (day - log.days[known - 1]).days < days:
        return False
    return silent_days(log, before, day) >= days


def _first_words(case: Case, log: Log) -> tuple[date, ...]:
    """The days on which a word came again, after two weeks without one."""
    return tuple(day for day in sorted(set(log.days)) if _is_silent(log, day, day, ASK_DAYS))


def _knows(log: Log, morning: Morning) -> Literal["asks", "back"] | None:
    """Whether the plan asks for a word, or has the first one again."""
    if _asks(log, morning):
        return "asks"
    return "back" if _is_back(log, morning) else None


def _asks(log: Log, morning: Morning) -> bool:
    """True on days within a week from today, and before it, for which two weeks were silent."""
    today = min(morning.day, log.as_of)
    if morning.day >= log.as_of + 7 * DAY:
        return False
    return _is_silent(log, min(morning.day, log.as_of + DAY), today, ASK_DAYS)


def _is_back(log: Log, morning: Morning) -> bool:
    """True from the first word after two silent weeks to the end of the week after it."""
    first: tuple[date, ...] = log.read[RULE.name]
    return any(morning.week_start - WEEK <= word < morning.day for word in first)


def _may_stop(log: Log) -> bool:
    """False where no four weeks of the log are silent: a word more never makes one so."""
    heard = [log.case.client.plan.from_, *log.days, log.as_of]
    return any((after - word).days >= WAIT_DAYS for word, after in pairwise(heard))


def _stops(log: Log, before: date, day: date) -> Stop | None:
    today = min(day, log.as_of)
    if not _is_silent(log, min(before, log.as_of + DAY), today, WAIT_DAYS):
        return None
    because = log.case.origins.at("plan", "from")
    return Stop("silent", None, because, "", RULE.name, say(WAITS_FOR_WORD), SOURCE)


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Ask after two weeks without a word, on less running; plan nothing after four."""
    stop = past.stop
    if draft.stop is None and stop is not None and stop.rule == RULE.name:
        return draft.stopped(stop)
    known = past.condition.known[RULE.name]
    if draft.stop is not None or stop is not None or known is None:
        return draft  # what stops it otherwise, an illness, is not told as a silence
    if known == "back":
        return _as_before(draft, past, case)
    # Who starts from nothing has no level yet: a part of the first step, not of nothing.
    minutes = min(draft.minutes, float(whole_minutes((level(past) or SMALL_STEP_MIN) * SHARE)))
    says = say(
        "Two weeks without a word: how are you? Until a check-in comes this week is easier, at "
        "{share} %.",
        share=round(SHARE * 100),
    )
    if minutes <= 0:
        says = say("Two weeks without a word: how are you? Nothing is planned this week.")
    return draft.decide(
        RULE.name,
        says,
        because=case.origins.at("plan", "from"),
        source=SOURCE,
        before=draft.minutes,
        after=minutes,
        warns=True,
        minutes=minutes,
        kind="hold" if draft.kind == "build" else draft.kind,
        may_grow=False,
        worth=0.0,
    )


def _as_before(draft: Draft, past: Past, case: Case) -> Draft:
    """What nobody knows of is no week to grow on: the level, until a week is heard of again.

    That of full size, too: no run of it grows, as on the way to an event, and none is hard.
    """
    if draft.kind != "build":
        return draft
    says = say(HEARD_AGAIN)
    return hold_at_level(draft, past, RULE.name, says, SOURCE, case.origins.at("plan", "from"))


RULE = Rule(
    name="silence",
    promise=(
        "A run of which nothing was heard is not taken as missed, but the week is repeated. After "
        "two weeks without a word the next seven days are at 80 % and the plan asks; after four "
        "nothing is planned, and it asks; the first word brings the level back, on which the plan "
        "grows from the week after it on. Days in which no word was expected, by agreement or in "
        "the coach's pause, are no silence."
    ),
    reason="Nobody knows what was run; growing on it would be a jump in disguise.",
    source=SOURCE,
    evidence="judgement",
    apply=apply,
    needs=("volume",),
    reads=_first_words,
    knows=_knows,
    stops=_stops,
    may_stop=_may_stop,
    review="Count the days from the last entry of any kind: 14 ask, 28 wait.",
)
