"""Days without a run: come back to less than was left."""

from __future__ import annotations

from datetime import date, timedelta

from sitegen.model.case import Case
from sitegen.model.sentence import say
from sitegen.rules.draft import Draft, Past, Stop, whole_minutes
from sitegen.rules.log import Log
from sitegen.rules.rule import Morning, Rule
from sitegen.rules.volume import reference

SOURCE = "common practice, no source"
# Days since the last run, and the share of the last building week that is come back to.
STEPS: tuple[tuple[int, float], ...] = ((28, 0.5), (14, 0.6), (7, 0.8))
RUNG_DOWN_DAYS = 28
NEW_BASELINE_DAYS = 56
ABSENT_DAYS = 7
WEEK = timedelta(days=7)


def share(away_days: int) -> float:
    """Share of the last building week after ``away_days`` without a run."""
    return next((part for days, part in STEPS if away_days >= days), 1.0)


def days_away(log: Log, morning: Morning) -> int | None:
    """Days since the last logged run, counted to the week's Monday, or to today in this week.

    None where no run was ever logged. A new baseline counts as a run: it was taken from running. A
    day of the current week that is still ahead is judged by what is known today: a run that was
    planned since and not logged was missed.
    """
    day, monday, previous = morning
    on_monday = _gap(log, monday, monday)
    if on_monday is None or monday > log.as_of:
        return None if on_monday is None else 0
    if day < log.as_of or log.as_of >= monday + WEEK:
        return on_monday  # a week that was come back to stays one, also after its first run
    now = _gap(log, day, log.as_of)
    last = log.last_run_before(day)
    planned = previous.sessions if previous else ()
    missed = any(last and last < s.on < log.as_of for s in planned if s.is_run)
    return max(on_monday, now or 0) if missed or on_monday >= ABSENT_DAYS else on_monday


def _gap(log: Log, before: date, to: date) -> int | None:
    """Days from the last run logged before ``before``, or a newer baseline, up to ``to``."""
    last = log.last_run_before(before)
    if last is None:
        return None
    baseline = log.case.client.baseline
    if baseline.week.seconds > 0 and baseline.on <= before:
        last = max(last, baseline.on)
    return max((to - last).days, 0)


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Return at a part of what was left; ask for a new baseline after eight weeks."""
    away = past.condition.known[RULE.name]
    if draft.stop is not None or not isinstance(away, int) or share(away) == 1.0:
        return draft
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
    part = share(away)
    minutes = float(whole_minutes(min(draft.minutes, reference(past) * part)))
    rung = draft.rung
    if away >= RUNG_DOWN_DAYS and draft.ladder:
        top = len(draft.ladder) - 1
        rung = max((top if rung is None else rung) - 1, 0)
    return draft.decide(
        RULE.name,
        say(
            "{days} days since the last run: back at {share} % of the last building week.",
            days=away,
            share=round(part * 100),
        ),
        because=because,
        source=SOURCE,
        before=draft.minutes,
        after=minutes,
        minutes=minutes,
        longest=past.longest_before(past.start) * part,
        rung=rung,
        kind="return",
        may_grow=False,
    )


RULE = Rule(
    name="absence",
    promise=(
        "Days since the last run: under 7 as planned; 7-13 return at 80 %; 14-27 at 60 %; 28 and "
        "over at 50 % and one rung down; 8 weeks and over: a new baseline is asked for."
    ),
    reason="What was adapted to fades; a step down costs little.",
    source=SOURCE,
    evidence="judgement",
    apply=apply,
    needs=("volume",),
    knows=days_away,
    review="Count the days from the last run in the log to the week's Monday; find the share.",
)
