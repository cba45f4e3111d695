"""Less running in the last weeks before an event, and after it weeks that climb back in steps."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from sitegen.model.case import Case, once
from sitegen.model.client import Event
from sitegen.model.kinds import percent
from sitegen.model.plan import Session, WeekKind
from sitegen.model.record import row
from sitegen.model.sentence import N_, Sentence, say
from sitegen.model.values import METRES_HALF_MARATHON, Distance, Percent
from sitegen.rules.draft import Draft, Past, whole_minutes
from sitegen.rules.event import SHORT_EVENT_M, event_minutes, week_of
from sitegen.rules.log import SLOW_PACE
from sitegen.rules.rule import Lived, Memory, Parameters, Rule
from sitegen.rules.volume import level

SOURCE = (
    "Bosquet L et al., Med Sci Sports Exerc 2007;39(8):1358-1365 (trained athletes, mixed "
    "sports): volume down by 41-60 %, intensity and frequency kept"
)
FRESH = N_(
    "{after} min before the event, {share} % of the largest week ({peak} min): fresh legs count "
    "now."
)
FRESH_AND_LESS = N_("{after} min before the event: fresh legs count now.")
LATE_WEEKDAY = 5  # Saturday: an event from here on leaves its own week to taper in
FULL_DAYS = 5
# Share of the largest building week in the weeks after an event up to so far: back in steps, as the
# longest run of the thirty days before is the event itself and bounds nothing. Common practice, no
# source.
WEEKS_AFTER = (
    (SHORT_EVENT_M, (0.5, 0.75)),
    (METRES_HALF_MARATHON + 1, (0.4, 0.6, 0.8)),
    (float("inf"), (0.3, 0.3, 0.45, 0.6, 0.8)),
)


def _fresh(minutes: float, share: float | None, peak: float) -> Sentence:
    """What is left of the largest week; ``share`` None where it is less than that of it."""
    if not minutes:
        return say("No run before the event: fresh legs count now.")
    if share is None:
        return say(FRESH_AND_LESS, after=minutes)  # "6 min, 45 % of 95 min" was no truth
    return say(FRESH, after=minutes, share=round(share * 100), peak=peak)


class TaperParameters(Parameters):
    """Share of the largest building week that is left."""

    last: Percent = row(
        percent(40, 60), "", "in the last week, the event itself not counted", default=Percent(45)
    )
    before: Percent = row(percent(40, 60), "", "in the taper weeks before it", default=Percent(60))


class Taper(NamedTuple):
    """First and last week of the taper, and the event's week (which is the last)."""

    first_week: int
    event_week: int


@once
def taper(case: Case) -> Taper | None:
    """When the taper is, or None where no event lies within the plan."""
    event = case.client.goal.event
    if event is None:
        return None
    week = week_of(case, event.on)
    if not 1 <= week <= case.client.plan.weeks or event.on < case.client.plan.from_:
        return None
    weeks = 1 if event.distance.metres <= SHORT_EVENT_M else 2
    lead = weeks - 1 if event.on.weekday() >= LATE_WEEKDAY else weeks
    return Taper(max(week - lead, 1), week)


class Behind(NamedTuple):
    """The largest building week so far, in minutes, and the last event that was told."""

    peak: float = 0.0
    event: Event | None = None


def _start(case: Case, monday: date, number: int, before: Behind | None) -> Behind:
    return before or Behind()


def _after(before: Behind, lived: Lived) -> Behind:
    """The largest building week so far; the steps after the event are none."""
    peak = max(before.peak, lived.training) if shows_usual(lived) else before.peak
    told = next((s for s in lived.week.sessions if s.kind == "event"), None)
    return Behind(peak, _event_of(lived.case, told) if told else before.event)


def _event_of(case: Case, told: Session) -> Event:
    """A told event, which may stand in the file no more: its distance is that of its minutes."""
    event, pace = case.client.goal.event, case.client.baseline.pace or SLOW_PACE
    if event is not None and event.on == told.on:
        return event
    return Event(on=told.on, distance=Distance(told.run_minutes * 60_000 / pace.seconds_per_km))


def behind(case: Case, told: Behind, number: int) -> Event | None:
    """The last event before a week: the file's, or one that was told before another took its place
    there."""
    event = case.client.goal.event if taper(case) else None
    return event if event is not None and week_of(case, event.on) < number else told.event


def largest(past: Past) -> float:
    """Minutes of the largest building week so far; 0 before the first."""
    told: Behind = RULE.remembered(past)
    return told.peak


def shows_usual(lived: Lived) -> bool:
    """Whether a week shows what is usual: it builds or holds, and is no step after an event."""
    week, told = lived.week, lived.memory[RULE.name]
    return week.kind in ("build", "hold") and not _step_after(lived.case, week.number, told)[0]


def _step_after(case: Case, number: int, told: Behind) -> tuple[float, int]:
    """Share of the peak in the steps after the event, 0 where the week is none; weeks since it."""
    event = behind(case, told, number)
    if event is None:
        return 0.0, 0
    shares = next(part for metres, part in WEEKS_AFTER if event.distance.metres <= metres)
    since = number - week_of(case, event.on)
    return (shares[since - 1] if 1 <= since <= len(shares) else 0.0), since


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Lower the last weeks; climb back in steps after the event."""
    event, found = case.client.goal.event, taper(case)
    if draft.stop is not None:
        return draft
    values = RULE.values(case)
    because = case.origins.at("goal", "event")
    whole, told = level(past), RULE.remembered(past)
    peak = told.peak or whole
    step, since = _step_after(case, draft.number, told)
    if not step and since > 3 and past.previous is not None and past.previous.kind == "ease":
        # The last step gave way to an easier week: 60 % of the peak, then 61, and then all of it.
        step = _step_after(case, draft.number - 1, told)[0]
    if step:
        most = min(peak, whole) * step
        minutes = min(draft.minutes, float(whole_minutes(most)))
        kind: WeekKind = "ease" if since == 1 else "hold"
        return draft.decide(
            RULE.name,
            say("After the event the running is easy, and little.")
            if since == 1
            else say("After the event weeks climb back in steps, and stay easy until then."),
            because=because,
            source="common practice, no source",
            before=draft.minutes,
            after=minutes,
            minutes=minutes,
            kind=kind if draft.kind in ("build", "hold") else draft.kind,
            may_grow=False,
        )
    if event is None or found is None:
        return draft
    if not found.first_week <= draft.number <= found.event_week:
        return draft
    last = draft.number == found.event_week
    share = (values.last if last else values.before).fraction
    held = draft.kind in ("back", "return")
    minutes = float(whole_minutes(peak * share))
    if last:
        minutes = float(whole_minutes(minutes * _part_of_week(event.on)))
    share_of_peak = minutes
    minutes = min(minutes, float(whole_minutes(whole)))
    if past.previous is not None and past.previous.run_minutes > 0:
        minutes = min(minutes, past.previous.run_minutes)  # it falls, whatever came before
    if not draft.may_grow:
        minutes = min(minutes, draft.minutes)
    return draft.decide(
        RULE.name,
        _fresh(minutes, share if minutes == share_of_peak else None, peak),
        because=because,
        source=SOURCE,
        before=peak,
        after=minutes,
        minutes=minutes,
        kind="event" if last else (draft.kind if held else "taper"),
        event_on=event.on if last else None,
        event_minutes=event_minutes(case, event) if last else 0.0,
    )


def _part_of_week(event_on: date) -> float:
    """How much of the event's week lies before the event's eve; a weekend event has all of it."""
    if event_on.weekday() >= LATE_WEEKDAY:
        return 1.0
    return max(event_on.weekday() - 1, 0) / FULL_DAYS


RULE = Rule(
    name="taper",
    promise=(
        "With an event in the plan, volume falls over the last 1 week (10 km and less) or 2 "
        "(longer) to 40-60 % of the peak, a hard session stays, and the last day before is rest "
        "or 20 min. After it weeks climb back in steps, easy until then: 50 and 75 % of the peak "
        "(10 km and less), 40, 60 and 80 % (up to a half marathon), 30, 30, 45, 60 and 80 % "
        "(longer), also where another event has taken its place in the file; over 10 km the last "
        "step follows an easier week that falls on it. The steps are common practice, no source."
    ),
    reason="Fitness stays for two weeks; tiredness does not.",
    source=SOURCE,
    evidence="published",
    apply=apply,
    parameters=TaperParameters,
    needs=("volume",),
    memory=Memory(_start, _after),
    review="Set each week of the taper against the largest building week: 40 to 60 % of it; and "
    "those after the event, which climb back to it.",
)
