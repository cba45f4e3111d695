"""Days without a run: come back to less than was left."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from datetime import date, timedelta
from itertools import pairwise
from typing import NamedTuple

from sitegen.model.case import Case
from sitegen.model.checkin import SKIPPED_UNWELL
from sitegen.model.client import Away
from sitegen.model.sentence import N_, Sentence, say
from sitegen.rules import illness, returning
from sitegen.rules.days import offers, run_days
from sitegen.rules.draft import Draft, Past, Stop, whole_minutes
from sitegen.rules.log import RECENT, Log
from sitegen.rules.rule import Lived, Memory, Morning, Rule
from sitegen.rules.volume import level

SOURCE = "common practice, no source"
# Days since the last run, and the share of the last building week that is come back to.
RETURN_SHARES: tuple[tuple[int, float], ...] = ((28, 0.5), (14, 0.6), (7, 0.8))
RUNG_DOWN_DAYS = 28
NEW_BASELINE_DAYS = 56
LONG_SILENCE_DAYS = 28
LEAST_OF_USUAL = 0.5  # of the level, run within seven days: less around an illness is an absence
MEANT = frozenset({"changes", "away"})
KEPT_FROM_RUNNING = frozenset({"ill", "pain", "travel"})
LEVEL_STAYS_DAYS = 14  # below, days that the coach meant to be easy cost a week, and not the level
DAY = timedelta(days=1)
WEEK = timedelta(days=7)


def share(away_days: int) -> float:
    """Share of the last building week after ``away_days`` without a run."""
    return next((part for days, part in RETURN_SHARES if away_days >= days), 1.0)


class DaysAway(NamedTuple):
    """Days since the last run: counted to the week's Monday, and to the day that is drawn.

    ``dated`` is True where they are those of a dated absence from which the week comes back,
    ``over`` where a run has ended them in the week before, ``ill`` where hardly any was run in
    them.
    """

    on_monday: int
    days: int
    dated: bool = False
    over: bool = False
    ill: bool = False


class Unrun(NamedTuple):
    """The last told run of which nothing was heard, or that is still ahead: no absence.

    ``left_out`` is how many told runs in a row, up to the last one, were not run. ``stood`` is the
    level before the weeks of coming back that made a part of it the level, 0 after any other.
    """

    untold: date | None = None
    left_out: int = 0
    stood: float = 0.0


def _start(case: Case, monday: date, number: int, before: Unrun | None) -> Unrun:
    return before or Unrun()


def _after(before: Unrun, lived: Lived) -> Unrun:
    """In a week of which only runs left out were told, the others were hardly run."""
    fates = {run.fate for run in lived.runs}
    is_left_out = fates & {"missed", "ill"} and "done" not in fates
    counts = ("ahead",) if is_left_out else ("unknown", "ahead")
    counted = [run.on for run in lived.runs if run.fate in counts]
    left_out = before.left_out
    for run in lived.runs:
        left_out = 0 if run.fate == "done" or run.fate in counts else left_out + 1
    return Unrun(max(counted, default=before.untold), left_out, _stood(before, lived))


def _stood(before: Unrun, lived: Lived) -> float:
    week = lived.week
    if week.began != "return":
        return 0.0
    minutes: float = lived.memory["volume"].minutes
    lowers = 0 < week.worth < whole_minutes(minutes)
    return before.stood or (minutes if lowers else 0.0)


def _knows(log: Log, morning: Morning) -> DaysAway | None:
    """None within a week of the last run, from which nothing follows, or where none is known.

    Where runs were left out and none was logged yet, the plan's eve stands for the last one: who
    brought a baseline ran until then.
    A told run of which nothing was heard counts as run: silence is not absence. After four silent
    weeks, in which nothing was planned any more, it does not.
    """
    day, monday, memory = morning
    last = _last_run(log, monday) or _eve(log, monday)
    back = _back_from(log, monday)
    if last is None:
        return DaysAway(back, back, dated=True) if back else None
    before: Unrun = memory[RULE.name]
    untold = before.untold
    if untold is None or _in_long_silence(log, monday, untold):
        untold = last
    on_monday = days = (monday - max(last, untold)).days
    if before.left_out == 1 and _is_near(log, last, monday):
        on_monday = days = 0
    if day > monday and log.between(monday, day):  # days without a word say no more than Monday did
        now = _last_run(log, day) or last
        until_now = (min(day, log.as_of) - max(now, untold)).days
        if share(until_now) < 1.0 and _was_kept(log, now, day):
            days = max(on_monday, until_now)
    if back > max(days, 0):  # a run that moved on into this week lies after its Monday
        return DaysAway(max(on_monday, back), back, dated=True)
    return DaysAway(on_monday, days) if share(days) < 1.0 else None


def _back_from(log: Log, monday: date) -> int:
    """Days without a run of a dated absence that ends in this week or ended in the last; 0: none.

    A run or two between its end and Monday make nobody fitter than the weeks away did. Where it
    began in the same week, that week's first runs are still usual ones. After a newer baseline
    there is none to come back from: it was taken from running.
    """
    found = 0
    if not log.case.client.away:
        return found
    baseline = log.case.client.baseline
    for first, last in _periods(log.case.client.away):
        is_measured = baseline.week.seconds > 0 and last < baseline.on < monday + WEEK
        if first < monday and monday - WEEK <= last < monday + WEEK and not is_measured:
            ran = log.last_run_before(last + DAY)
            begun = max(first - DAY, ran) if ran else first - DAY
            found = max(found, (last - begun).days)
    return min(found, NEW_BASELINE_DAYS - 1) if share(found) < 1.0 else 0


def _periods(away: Iterable[Away]) -> list[tuple[date, date]]:
    """First and last days of dated absences; those that touch or overlap are one."""
    found: list[tuple[date, date]] = []
    for first, last in sorted((one.from_, one.to) for one in away):
        if found and first <= found[-1][1] + DAY:
            found[-1] = (found[-1][0], max(found[-1][1], last))
        else:
            found.append((first, last))
    return found


def dated(away: Iterable[Away]) -> list[tuple[int, date]]:
    """Days and last day of each dated absence that is come back from at less."""
    found = (((last - first).days + 1, last) for first, last in _periods(away))
    return [(days, last) for days, last in found if share(days) < 1.0]


def _is_near(log: Log, last: date, monday: date) -> bool:
    """True where one run left out is no absence: the week's first day for running comes within two
    weeks of the ``last`` run, and nothing kept the runner from it."""
    days = run_days(offers(log.case, monday))
    if not days or (monday - last).days + days[0] >= LEVEL_STAYS_DAYS:
        return False
    return not _was_kept(log, last, monday)


def _was_kept(log: Log, since: date, day: date) -> bool:
    """True where sessions were told to be left out: one run missed is no absence."""
    left_out = [s.entry.skipped for s in log.between(since, day) if s.entry.skipped]
    return len(left_out) > 1 or not KEPT_FROM_RUNNING.isdisjoint(left_out)


def _last_run(log: Log, before: date) -> date | None:
    """The last run logged before ``before``, or a newer baseline: it was taken from running."""
    last = log.last_run_before(before)
    baseline = log.case.client.baseline
    if last is None or baseline.week.seconds <= 0 or baseline.on > before:
        return last
    return max(last, baseline.on)


def _eve(log: Log, monday: date) -> date | None:
    """The day before the plan, or a later baseline's, where a run since was told to be left out;
    None for who brought no running."""
    baseline = log.case.client.baseline
    eve = max(log.case.client.plan.from_ - DAY, baseline.on)
    left_out = baseline.week.seconds > 0 and any(s.entry.skipped for s in log.between(eve, monday))
    return eve if left_out else None


def _in_long_silence(log: Log, monday: date, day: date) -> bool:
    """True where the words before and after ``day`` lie four weeks or more apart."""
    recent = log.days[log.known_before(monday - RECENT) : log.known_before(monday)]
    after = bisect_right(recent, day)
    if not 0 < after < len(recent):
        return False
    return (recent[after] - recent[after - 1]).days >= LONG_SILENCE_DAYS


def _was_meant(past: Past, known: DaysAway, case: Case) -> bool:
    """True where the days without a run were dated, or those of an easier week or one of rest, or
    a single run was left out, and nobody was ill: what is meant to be less is no measurement, and
    one run missed costs a step. A week that is over stands without its reasons, so what the coach
    wrote for it is asked, too."""
    last = past.previous
    if last is None or known.on_monday >= LEVEL_STAYS_DAYS:
        return False
    unwell = any(s.entry.skipped in SKIPPED_UNWELL for s in past.recent if s.on >= last.start)
    left_out: int = RULE.remembered(past).left_out
    if left_out == 1 and not unwell:
        return True
    rests = any(one.rule in MEANT and one.after == 0 for one in last.decisions)
    rests = rests or any(one.rest and one.week == last.number for one in case.client.changes)
    if not (known.dated or last.began == "ease" or (last.began == "pause" and rests)):
        return False
    return not unwell


def _since_stop(past: Past, case: Case) -> DaysAway | None:
    """Days without a run that ended within a week that began with a stop, in the week after it.

    Nothing was planned on that week's Monday, and a run or two since make nobody fitter; who was
    away for less than two weeks and has run as much as is come back to is back. After a newer
    baseline there is nothing to come back from: it was taken from running.
    """
    last = past.previous
    if last is None or last.began != "pause" or case.client.baseline.on >= last.start:
        return None
    since = [run for run in past.runs if run.on >= last.start]
    before = max((run.on for run in past.runs if run.on < last.start), default=None)
    days = (since[0].on - before).days if since and before else 0
    part = share(days)
    ran = sum(run.minutes for run in since)
    is_back = days < LEVEL_STAYS_DAYS and ran >= whole_minutes(level(past) * part)
    return None if part >= 1.0 or is_back else DaysAway(days, days, over=True)


def _since_ill(past: Past, case: Case) -> DaysAway | None:
    """Days of an illness and before it since as much was run within seven days as counts, in the
    first week after it: a run or two of 200 min a week keep nobody as far as the whole would.
    """
    over = illness.just_over(past)
    if over is None:
        return None
    least = level(past) * LEAST_OF_USUAL
    usual = (run.on for run in reversed(past.runs) if _ran_in_seven(past, run.on) >= least)
    eve = max(case.client.plan.from_ - DAY, case.client.baseline.on)
    days = (min(over, past.start) - max(next(usual, eve), eve)).days
    return DaysAway(days, days, ill=True) if days >= LEVEL_STAYS_DAYS else None


def _ran_in_seven(past: Past, day: date) -> float:
    return sum(run.minutes for run in past.runs if day - WEEK < run.on <= day)


def is_just_back(past: Past) -> bool:
    """Whether the week before was the first with a run after two weeks or more without one.

    A told run of which nothing was heard counts as run, but through four silent weeks.
    """
    every = [run.on for run in past.runs]
    heard = [run.on for run in past.runs if run.heard]
    for days, least in ((every, LEVEL_STAYS_DAYS), (heard, LONG_SILENCE_DAYS)):
        for before, on in pairwise(days):
            if on >= past.start - WEEK and (on - before).days >= least:
                return True
    return False


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Return at a part of what was left; ask for a new baseline after eight weeks.

    A way back that is gone step by step takes the place of both.
    """
    known = past.condition.known[RULE.name] or _since_stop(past, case)
    if returning.is_under_way(past) or draft.stop is not None or past.stop is not None:
        return draft
    ill = _since_ill(past, case)
    before = known.days if isinstance(known, DaysAway) else 0
    if ill is not None and before < ill.days and before < NEW_BASELINE_DAYS:
        known = ill._replace(days=min(ill.days, NEW_BASELINE_DAYS - 1))
    if not isinstance(known, DaysAway):
        return draft
    on_monday, days = known.on_monday, known.days
    away = days
    because = case.origins.at("baseline", "on")
    if away >= NEW_BASELINE_DAYS:
        return draft.decide(
            RULE.name,
            say(
                "{days} days without a logged run: before the plan goes on, a new baseline has to "
                "be taken.",
                days=away,
            ),
            because=because,
            source=SOURCE,
            before=draft.minutes,
            after=0.0,
            warns=True,
            kind="pause",
            minutes=0.0,
            stop=Stop("paused", None, because, "baseline"),
        )
    if level(past) <= 0:
        return draft  # nothing was built yet, so the first step is the way back
    if away >= illness.LONG_DAYS and illness.was_long(past):
        away = max(away, RUNG_DOWN_DAYS)  # ill so long: as after four weeks
        on_monday = max(on_monday, RUNG_DOWN_DAYS)
    part, stood = share(away), level(past)
    if known.ill:  # what a way back made of the level is a part already
        stood = max(stood, RULE.remembered(past).stood)
    minutes = float(whole_minutes(min(draft.minutes, stood * part)))
    # Days inside a week, or meant to be easy, cost what is shown now, and not the level.
    kept = 1.0 if _was_meant(past, known, case) else share(on_monday)
    worth = min(stood * kept, level(past))
    rung = draft.rung
    if away >= RUNG_DOWN_DAYS and draft.ladder:
        top = len(draft.ladder) - 1
        rung = max((top if rung is None else rung) - 1, 0)
    return draft.decide(
        RULE.name,
        _says(known, part),
        because=because,
        source=SOURCE,
        before=draft.minutes,
        after=minutes,
        minutes=minutes,
        longest=_longest(past, part),
        rung=rung,
        kind="return",
        may_grow=False,
        worth=worth,
    )


def _longest(past: Past, part: float) -> float:
    """Most minutes of one run: ``part`` of the longest before, or what the way back already had.

    So a second week of it takes no part of the part.
    """
    last = past.previous
    is_second = last is not None and last.kind == "return"
    since = [r.minutes for r in past.runs if is_second and last and r.on >= last.start]
    return max(past.longest_before(past.start) * part, *since, 0.0)


def _says(known: DaysAway, part: float) -> Sentence:
    """What the week is come back at: ``part`` of the level, also where an easier one holds less."""
    says = N_("{days} days since the last run: back at {share} % of the last building week.")
    if known.over:
        says = N_("After {days} days without a run: back at {share} % of the last building week.")
    elif known.ill:
        says = N_(
            "After {days} days of hardly any running: back at {share} % of the last building week."
        )
    elif known.dated:
        says = N_("After {days} days away: back at {share} % of the last building week.")
    return say(says, days=known.days, share=round(part * 100))


RULE = Rule(
    name="absence",
    promise=(
        "Days since the last run: under 7 as planned; 7-13 return at 80 %; 14-27 at 60 %; 28 and "
        "over, or after three weeks ill, at 50 % and one rung down; 8 weeks and over: a new "
        "baseline is asked for. Where runs were left out before any was logged, they count from "
        "the plan's eve. A told run of which nothing was heard is no absence. Dated days away, in "
        "one entry or in several that touch, are days without a run, in the week in which they end "
        "and the first whole one after it, unless a baseline was taken since; so are those before "
        "the first run of a week that began with a stop, in the week after it; under 14 only where "
        "less was run in it than is come back to. Around an illness "
        "days on which under half of the level was run within seven days count as days without a "
        "run, from two weeks on: in a way back that was hardly run, too, counted from the level "
        "before it. Days "
        "away, a week of rest, an easier one left out and a single run left out lower the level "
        "from two weeks on; that run is no absence where the next day for running comes before."
    ),
    reason="What was adapted to fades; a step down costs little.",
    source=SOURCE,
    evidence="judgement",
    apply=apply,
    needs=("volume",),
    knows=_knows,
    memory=Memory(_start, _after),
    review="Count the days from the last run in the log to the week's Monday; find the share.",
)
