"""The last days before an event, and the first after it."""

from __future__ import annotations

from datetime import date, timedelta

from sitegen.model.case import Case
from sitegen.model.client import Event
from sitegen.model.sentence import say
from sitegen.model.values import METRES_HALF_MARATHON
from sitegen.rules import taper
from sitegen.rules.days import is_away_in, offers, run_days
from sitegen.rules.draft import Draft, Past, whole_minutes
from sitegen.rules.rule import Lived, Memory, Rule
from sitegen.rules.spacing import LEAST_RUN_MIN
from sitegen.rules.volume import level

SOURCE = "common practice, no source"
DAY = timedelta(days=1)
NEAR_DAYS = 4  # before the event
NEAR_MOST_MIN = 40
NEAR_SHARE = 0.6  # of the usual run
EARLY_SHARE = 0.75
EVE_DAYS = 2
EVE_MOST_MIN = 20
USUAL_WEEKS = 4  # building weeks from which the usual run is taken
# After an event up to so far: days without a run, then days on which runs stay short.
AFTER = (
    (5_000.0, 1, 3),
    (10_000.0, 2, 5),
    (METRES_HALF_MARATHON + 1, 3, 10),
    (float("inf"), 7, 21),
)
LONGEST_AFTER = AFTER[-1][2]
LAST_WEEKDAY = 6

Weeks = tuple[tuple[float, ...], ...]


def _start(case: Case, monday: date, number: int, before: Weeks | None) -> Weeks:
    return before or ()


def _after(before: Weeks, lived: Lived) -> Weeks:
    """Run lengths, in minutes, of the last four building weeks."""
    if not taper.shows_usual(lived) or is_away_in(lived.case, lived.week.start):
        return before  # what days away leave of a week is no usual one
    runs = tuple([run.minutes for run in lived.runs])
    return (*before, runs)[-USUAL_WEEKS:] if runs else before


def built_weeks(past: Past) -> Weeks:
    """Run lengths, in minutes, of the last four building weeks, oldest first."""
    found: Weeks = RULE.remembered(past)
    return found


def last_built(past: Past) -> tuple[float, ...]:
    """Run lengths, in minutes, of the last building week; none is known before the first."""
    found = built_weeks(past)
    return found[-1] if found else ()


def usual_run(past: Past) -> float:
    """Minutes of the usual run: the median of the last four building weeks. 0: none is known."""
    found = built_weeks(past)
    if not found:
        return 0.0
    runs = sorted(minutes for week in found for minutes in week)
    middle = len(runs) // 2  # `statistics` would be loaded for this alone, with all its fractions
    return (runs[middle] + runs[-middle - 1]) / 2


def _caps(past: Past, event: Event) -> tuple[tuple[date, int], ...]:
    """Most running minutes of each day of the week on which an event is near."""
    left = (event.on - past.start).days
    if not -LONGEST_AFTER <= left <= 2 * LAST_WEEKDAY:
        return ()
    usual = usual_run(past)
    days = ((past.start + DAY * i, left - i) for i in range(7))
    most = ((day, _most_on(event, usual, days_left)) for day, days_left in days)
    return tuple((day, minutes) for day, minutes in most if minutes is not None)


def _most_on(event: Event, usual: float, left: int) -> int | None:
    """Most running minutes ``left`` days before an event; None where it is not near.

    Within four days of it the smaller of 40 min and 60 % of the usual run, within two 20 min.
    """
    near = min(NEAR_MOST_MIN, whole_minutes(usual * NEAR_SHARE)) if usual else NEAR_MOST_MIN
    if 0 < left <= EVE_DAYS:
        return min(EVE_MOST_MIN, near)
    if 0 < left <= NEAR_DAYS:
        return near
    if NEAR_DAYS < left <= event.on.weekday() and usual:
        return whole_minutes(usual * EARLY_SHARE)  # earlier in the event's week
    rest, easy = next((r, e) for metres, r, e in AFTER if event.distance.metres <= metres)
    if -rest <= left < 0:
        return 0
    if -easy <= left < -rest:
        return max(near, LEAST_RUN_MIN)
    return None


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Cap the days round an event; nothing hard on those after it."""
    if draft.stop is not None:
        return draft
    last = taper.behind(case, taper.RULE.remembered(past), draft.number)
    event = case.client.goal.event if taper.taper(case) else None
    caps = _caps(past, event) if event is not None else ()
    if last is not None and last != event and _caps(past, last):
        event, caps = last, _caps(past, last)
    if not caps or event is None:
        return draft
    after = caps[-1][0] > event.on and draft.start > event.on
    offered = {draft.start + DAY * day for day in run_days(offers(case, draft.start))}
    if not after and offered.isdisjoint(day for day, _ in caps):
        return draft.but(caps=caps)  # no run of this week is so close
    return draft.decide(
        RULE.name,
        say("After the event: first rest, then short and easy runs.")
        if after
        else say("So close to the event every run is short; what does not fit is left out."),
        because=case.origins.at("goal", "event"),
        source=SOURCE,
        caps=caps,
        may_grow=draft.may_grow and not after,
        kind="hold" if after and draft.kind == "build" else draft.kind,
        minutes=min(draft.minutes, float(whole_minutes(level(past)))) if after else draft.minutes,
    )


RULE = Rule(
    name="event_days",
    promise=(
        "Within four days of an event no run is over the smaller of 40 min and 60 % of the usual "
        "run, within two none over 20 min; what is left over is dropped. After it rest, then "
        "easier days, by distance."
    ),
    reason="In the last days nothing is won any more; in the first ones after it much is repaired.",
    source=SOURCE,
    evidence="judgement",
    apply=apply,
    needs=("volume", "taper"),
    memory=Memory(_start, _after),
    review="Look at each run from four days before the event to three weeks after it.",
)
