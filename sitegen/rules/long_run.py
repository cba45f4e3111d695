"""The long run, planned back from the event.

What the longest run should reach, and when, stands before the first week. The way there is walked
in even steps, with a building week to spare: at the last moment each step is the largest that the
thirty-day limit allows, and one long run left out is one that no later week makes up for.
"""

from __future__ import annotations

from datetime import timedelta
from functools import lru_cache
from math import ceil, pow
from typing import NamedTuple

from sitegen.model.case import Case, once
from sitegen.model.sentence import N_, say
from sitegen.model.values import METRES_HALF_MARATHON
from sitegen.rules import absence, after_stop, ease, pain, taper, volume
from sitegen.rules.days import is_away_in
from sitegen.rules.draft import EPSILON, Draft, Past, event_share, share_of_week, whole_minutes
from sitegen.rules.event import SHORT_EVENT_M, wanted_minutes
from sitegen.rules.longest import OVER_LONGEST, most_after
from sitegen.rules.rule import Rule

SOURCE = (
    "common practice, no source; that longer long runs go with faster races and not with more "
    "injury: Fokkema T et al., Scand J Med Sci Sports 2020;30(9):1692-1704 (association)"
)
# Weeks from the longest run to the event.
WEEKS_BEFORE = ((SHORT_EVENT_M, 1), (METRES_HALF_MARATHON, 2), (float("inf"), 3))
# Building weeks by which even steps are there early, as a long run may be missed. Common practice,
# no source; simulated lives reach the longest run more often with one, and no more with two.
SPARE_WEEKS = 1
# So long after pain that held or sent back the plan no step is taken ahead of the usual share:
# simulated knees that hurt early came to three quarters of their minutes else. Common practice, no
# source.
QUIET_DAYS = 28
# Between the longest run and the taper no run is longer than this share of it.
THEN = 0.75
# Days away known beforehand put the longest run before them, so many weeks before the taper at the
# earliest: one further off is none that the event stands behind. Common practice, no source.
EARLIEST_WEEKS = 6
# Weeks after two weeks away or more in which steps of a tenth do not lead back as far as before.
# Common practice, no source.
AGAIN_WEEKS = 5
WEEK = timedelta(days=7)
BEHIND = N_(
    "The longest run lies behind you: no run over {most} min now, and the week is shorter by as "
    "much."
)
PEAK_OVER = N_("The longest run lies behind you: no run over {most} min now.")
NEAR = N_("So near the event nothing grows any more: no run over {most} min.")


class Peak(NamedTuple):
    """The longest run on the way to an event: its minutes, and the plan's week that holds it.

    ``usual`` is the week that would, were nobody away.
    """

    minutes: int
    week: int
    usual: int


@once
def peak(case: Case) -> Peak | None:
    """The longest run, and its week: one that is not an easier one, and before the taper.

    None where no event lies within the plan.
    """
    event, found = case.client.goal.event, taper.taper(case)
    if event is None or found is None:
        return None
    lead = next(weeks for metres, weeks in WEEKS_BEFORE if event.distance.metres <= metres)
    last = min(found.event_week - lead, found.first_week - 1)
    every = ease.RULE.values(case).every
    usual = last - (last % every == 0)
    early = range(last, max(found.first_week - EARLIEST_WEEKS, 1) - 1, -1)
    week = next((n for n in early if _may_grow(case, n, AGAIN_WEEKS)), usual)
    return Peak(wanted_minutes(case, event), max(week, 0), max(usual, 0))


def _may_grow(case: Case, number: int, again: int = 1) -> bool:
    """Whether a week may hold a longer run: no easier one, none with days away, none of coming back
    from them; after two weeks away none of the ``again`` that follow."""
    if number % ease.RULE.values(case).every == 0:
        return False
    monday = case.first_monday + WEEK * (number - 1)
    return not is_away_in(case, monday) and not any(
        monday - WEEK * (again if days >= absence.LEVEL_STAYS_DAYS else 1) <= last < monday
        for days, last in absence.dated(case.client.away)
    )


@lru_cache(maxsize=256)
def _before(minutes: int) -> int:
    """The shortest run after which one of ``minutes`` keeps the thirty-day limit."""
    least = max(whole_minutes(minutes / OVER_LONGEST) - 1, 0)
    while most_after(least) < minutes:
        least += 1
    return least


def _steps(case: Case, number: int, found: Peak) -> int:
    """Weeks from ``number`` up to the longest run's in which a run may grow."""
    return sum(_may_grow(case, week) for week in range(number, found.week + 1))


def needed(case: Case, number: int) -> int:
    """Least minutes of week ``number``'s long run from which the longest one can still be reached;
    0 for none."""
    found = peak(case)
    if found is None or number > found.week:
        return 0
    minutes = found.minutes
    for _ in range(_steps(case, number + 1, found)):
        minutes = _before(minutes)
    return minutes


def _hurt_lately(past: Past, case: Case) -> bool:
    """Whether pain of the last weeks called for a hold or a rest: no run is made longer for an
    event then than its share of a week that waits for the pain."""
    since = past.start - timedelta(days=QUIET_DAYS)
    profile = pain.RULE.values(case).profile
    late = (session for session in past.recent if session.on >= since)
    return any(pain.session_grade(session, profile) in ("hold", "rest") for session in late)


def evenly(case: Case, past: Past, found: Peak) -> int:
    """Minutes of the week's long run in even steps from the longest of late; 0 once it is reached.

    A step is a share of the run before, as the thirty-day limit is.
    """
    known = past.longest_before(past.start)
    if not 0 < known < found.minutes or _hurt_lately(past, case):
        return 0
    left = max(_steps(case, past.number, found) - SPARE_WEEKS, 1)
    return min(ceil(known * pow(found.minutes / known, 1 / left) - EPSILON), most_after(known))


def _after_longest(draft: Draft, past: Past, case: Case, found: Peak) -> Draft:
    """No long run as before, and no growth so near the event; before the taper alone."""
    event = taper.taper(case)
    if event is None or draft.number >= event.first_week:
        return draft
    longest, level = past.longest_before(past.start), volume.level(past)
    most = whole_minutes(min(max(longest, found.minutes) * THEN, longest))
    minutes, says = draft.minutes, PEAK_OVER
    if draft.kind == "build" and draft.number > found.usual:
        # What the long run has less than in the last building week is dropped: no other gets it.
        last = past.previous
        whole, had = taper.largest(past) or level, longest
        if last is not None and last.kind == "build":
            whole, had = last.run_minutes, last.longest_minutes
        less = max(had - min(most, whole * share_of_week(draft.runs)), 0)
        minutes = min(minutes, level, whole - less)
        says = BEHIND if minutes < level else NEAR
    by_cap = min(draft.longest, float(most))
    if minutes == draft.minutes and most >= whole_minutes(minutes * share_of_week(draft.runs)):
        return draft.but(longest=by_cap)  # its share of the week is less
    return draft.decide(
        RULE.name,
        say(says, most=most),
        minutes=minutes,
        because=case.origins.at("goal", "event"),
        source="common practice, no source",
        after=float(most),
        longest=by_cap,
    )


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Ask for the week's long run where the event needs it longer than its share; ease it after."""
    found = peak(case)
    if draft.stop is not None or draft.is_run_walk or found is None or draft.minutes <= 0:
        return draft
    because = case.origins.at("goal", "event")
    if found.week < draft.number and draft.kind in ("build", "hold", "ease"):
        return _after_longest(draft, past, case, found)
    if draft.kind != "build" or not draft.may_grow:
        return draft
    usual = whole_minutes(draft.minutes * share_of_week(draft.runs))
    most = whole_minutes(draft.minutes * event_share(draft.runs))
    need = min(max(needed(case, draft.number), evenly(case, past, found)), most)
    since_stop = after_stop.longest_since(past)
    if since_stop is not None and need > most_after(since_stop):
        need = min(need, usual)  # what was run before the stop is no measure any more
    if need <= usual:
        return draft.but(long_need=need)
    return draft.decide(
        RULE.name,
        say(
            "The long run may be {after} min, more of the week than usual: the event asks for one "
            "of {peak} min by week {week}.",
            after=need,
            peak=found.minutes,
            week=found.week,
        ),
        because=because,
        source=SOURCE,
        before=float(usual),
        after=float(need),
        long_need=need,
    )


RULE = Rule(
    name="long_run",
    promise=(
        "With an event in the plan the long run is counted back from it: 5 and 10 km: the "
        "distance and a half, at most 75 min, a week before; half marathon: 80 % of the likely "
        "time, at most 2 h 15 min, two weeks before; longer: 25 km or 3 h, three weeks before. "
        "It gets there in even steps, a building week to spare, and four weeks after pain of 3 and "
        "more at its usual share. "
        "Where it needs to, it takes up to 50 % of the week with three runs or more, 60 % with "
        "two; 110 % of the last 30 days stays the limit. Days away in the file put the longest "
        "run before them, up to six weeks before the taper: none is planned in their weeks, in "
        "the one of coming back, or in the five after two weeks away. After the longest run's week "
        "none is over 75 % of it, or of the one that was planned, nor longer than of late, and "
        "what it has less goes to no other. After a stop by a sign it keeps its usual "
        "share until the runs since then allow more."
    ),
    reason="A long run is there for what it prepares, not for a share of the week.",
    source=SOURCE,
    evidence="judgement",
    apply=apply,
    needs=("volume", "ease", "taper", "spacing"),
    review="Follow the longest run of each week up to the week that is named: it gets there.",
)
