"""From a week's draft to its sessions: days chosen, minutes shared out, parts put together."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from typing import NamedTuple

from sitegen.model.case import Case
from sitegen.model.plan import Decision, Part, Session, SessionKind
from sitegen.model.sentence import N_, say
from sitegen.model.workout import HARD_KINDS, Workout
from sitegen.plan import building
from sitegen.plan.choosing import LEAST_OF_ASKED, Choice, Chosen
from sitegen.plan.placing import Pattern
from sitegen.plan.running_days import (
    by_days,
    chosen,
    clock,
    enough_runs,
    left_out,
    without,
)
from sitegen.plan.sharing import no_longer, rung_of, shared_out
from sitegen.rules import beyond, cadence, spacing, taper
from sitegen.rules.days import Offer, is_away, monday_of, offers, week_days
from sitegen.rules.draft import (
    Draft,
    Past,
    whole_minutes,
)

DAY = timedelta(days=1)
PETTY_HARD_MIN = 1.0  # so little too few hard minutes are no news; common practice, no source
STRENGTH_LEAST_MIN = 10
STRENGTH_FREE_DAYS = 3
LEAST_BEAT_RUN_MIN = 5
LONE_BEAT_PAUSE = 3  # weeks; common practice, no source
HOLDING = ("pain", "asks")  # rules that decide in a week only where they hold it
LITTLE_HARD = N_(
    "{hard} min of hard running, where half of what was asked for is {least} min: the hard runs of "
    "these days hold no more."
)
NO_HARD = N_(
    "No hard run: no day lies apart from the long run and from strength, and leaves it room."
)
ONE_RUN = N_("With a single run a week there is no room for hard running.")
CROWDED = N_("Two running days in a row: the week offers no other choice.")


class Placed(NamedTuple):
    """A draft with its days and sessions."""

    draft: Draft
    pattern: Pattern
    sessions: tuple[Session, ...]
    decisions: tuple[Decision, ...] = ()


def place_week(
    case: Case,
    draft: Draft,
    past: Past,
    pattern: Pattern | None = None,
    opens: date | None = None,
    since: int = 0,
) -> Placed:
    """The week's sessions.

    ``pattern`` keeps the days of an earlier draft of the same week; ``opens`` is the first day on
    which anything may stand, where that is not Monday; sessions of weekdays before ``since`` are
    left out, as nobody will read them.
    """
    if _is_empty(draft):
        return Placed(draft, pattern or Pattern(), ())
    draft, pattern, minutes, held, open_days = _days_of(case, draft, past, pattern, opens)
    draft = cadence.as_placed(draft, past, case, sum(minutes.values()))
    decisions = left_out(case, pattern, open_days, max(minutes.values(), default=0))
    if pattern.crowded and not draft.walks:  # walking alone needs no day between
        decisions.append(
            Decision(
                "spacing",
                say(CROWDED),
                case.origins.at("week"),
                "common practice, no source",
                warns=True,
            )
        )
    if held is not None:
        decisions.append(held._replace(because=case.origins.at("week")))
    shorter = no_longer(draft, past, pattern, open_days, sum(minutes.values()))
    if shorter is not None:
        decisions.append(shorter)
    days = _Days(case, draft, past, pattern, minutes, open_days)
    found = days.sessions(since)
    decisions += days.decisions
    found += _strength(case, draft, pattern, found, open_days, since)
    if draft.event_on is not None:
        found.append(_event(case, draft))
    return Placed(draft, pattern, tuple(found), tuple(decisions))


def minutes_placed(
    case: Case, draft: Draft, past: Past, pattern: Pattern | None, opens: date | None
) -> dict[date, int]:
    """Whole minutes of running by day, as `place_week` has them, without a session put together."""
    if draft.walks or draft.is_run_walk:  # what a day has is less than its minutes there
        return minutes_by_day(place_week(case, draft, past, pattern, opens).sessions)
    if _is_empty(draft):
        return {}
    minutes = _days_of(case, draft, past, pattern, opens).minutes
    return {draft.start + DAY * day: most for day, most in minutes.items()}


def minutes_by_day(sessions: Sequence[Session]) -> dict[date, int]:
    """Whole minutes of running by day, an event's left out."""
    runs = (s for s in sessions if s.is_run and s.kind != "event")
    return {run.on: whole_minutes(run.run_minutes) for run in runs}


def _is_empty(draft: Draft) -> bool:
    return draft.stop is not None or (draft.minutes <= 0 and draft.event_on is None)


class _DaysOf(NamedTuple):
    """A week's days, and the minutes of each; ``held`` is what did not fit."""

    draft: Draft
    pattern: Pattern
    minutes: dict[int, int]
    held: Decision | None
    open_days: tuple[Offer, ...]


def _days_of(
    case: Case, draft: Draft, past: Past, pattern: Pattern | None, opens: date | None
) -> _DaysOf:
    open_days = _open_days(case, draft)
    if opens is not None:
        draft, open_days = _late(draft, open_days, opens)
    if pattern is None:
        return _DaysOf(*chosen(case, draft, past, open_days), open_days)
    left = without(open_days, pattern.left_out)
    draft = by_days(enough_runs(case, draft, past, left), pattern)
    return _DaysOf(draft, pattern, *shared_out(draft, past, pattern, open_days), open_days)


def _open_days(case: Case, draft: Draft) -> tuple[Offer, ...]:
    """What the days offer this week.

    Nothing before the plan's first day, on days away, and on those of rest after an event; near an
    event its eve is rest unless too few runs would be left, nothing comes after it in its week, and
    strength work ends three days before.
    """
    found = []
    event = case.client.goal.event if taper.taper(case) else None
    usual = offers(case, draft.start)
    is_near = event is not None and event.on - draft.start < DAY * (7 + STRENGTH_FREE_DAYS)
    closed = {on for on, most in draft.usual if most == 0}
    is_whole = case.client.plan.from_ <= draft.start and not case.client.away
    if is_whole and not (is_near or closed or draft.rests):
        return usual
    for day, offer in enumerate(usual):
        on = draft.start + DAY * day
        is_eve = event is not None and on == event.on - DAY and _rests_on_eve(case, draft)
        is_after = (draft.event_on is not None and on >= draft.event_on) or (on, 0) in draft.caps
        if on < case.client.plan.from_ or is_eve or is_after or is_away(case, on):
            found.append(Offer())
        else:
            is_free = event is not None and 0 < (event.on - on).days <= STRENGTH_FREE_DAYS
            if is_free or (offer.run and on in closed):
                strength = offer.strength and not is_free
                offer = offer._replace(run=offer.run and on not in closed, strength=strength)
            found.append(offer)
    return tuple(found)


def _rests_on_eve(case: Case, draft: Draft) -> bool:
    """True where enough runs stand in the event's week without its eve; the event counts as one."""
    if draft.event_on is None:
        return True
    days = offers(case, draft.start)[: max(draft.event_on.weekday() - 1, 0)]
    before = sum(offer.run for offer in days)
    return before + 1 >= draft.runs * spacing.KEPT_RUNS


def _late(
    draft: Draft, open_days: tuple[Offer, ...], opens: date
) -> tuple[Draft, tuple[Offer, ...]]:
    """A week that opens after its Monday: its part of the minutes on the days that are left."""
    first = (opens - draft.start).days
    left = tuple(o if d >= first else Offer() for d, o in enumerate(open_days))
    whole, part = (sum(o.run for o in days) for days in (open_days, left))
    minutes = float(whole_minutes(draft.minutes * part / max(whole, 1)))
    return draft.but(minutes=minutes), left


def _slot(pattern: Pattern, day: int) -> int:
    """The run's place among the week's runs that are not the long one, from 1."""
    return 1 + [d for d in pattern.runs if d != pattern.long].index(day)


class _Days:
    """The runs of one week, day by day, once each has its minutes."""

    def __init__(
        self,
        case: Case,
        draft: Draft,
        past: Past,
        pattern: Pattern,
        minutes: dict[int, int],
        open_days: tuple[Offer, ...],
    ) -> None:
        self._case, self._draft, self._pattern = case, draft, pattern
        self._minutes, self._open_days = minutes, open_days
        self._choice = Choice(case, draft, past)
        easy = [d for d in pattern.runs if d not in (pattern.long, *pattern.hard)]
        turn = draft.number % len(easy) if easy else 0
        others = [d for d in pattern.runs if d not in pattern.hard]
        # Midweek runs differ, so one is to the beat; in run and walk, where all are alike, two.
        # A lone easy run is another one now and then.
        is_pause = len(easy) == 1 and draft.number % LONE_BEAT_PAUSE == 0
        rung = rung_of(draft)
        count = 2 if rung is not None and rung.walk > 0 else 1 - is_pause
        beats = (easy[turn:] + easy[:turn] or others)[:count]
        self._beat_days = frozenset(beats) if draft.beat else frozenset()
        self.decisions: list[Decision] = []

    def sessions(self, since: int) -> list[Session]:
        """The runs of weekdays from ``since`` on."""
        hard = self._hard()
        found = []
        for day in self._pattern.runs:
            if self._minutes[day] <= 0:
                continue
            run = hard.get(day) or self._run(day)  # also those left out: kinds are taken in turn
            if day >= since:
                found.append(self._session(day, run))
        return found

    def _room(self, day: int) -> int:
        """Minutes of a day between its walks to warm up and to cool down."""
        return building.run_room(self._open_days[day].minutes)

    def _hard(self) -> dict[int, _Run]:
        """The hard runs, and what is said where there are fewer or smaller ones than asked for."""
        draft = self._draft
        if not draft.hard or draft.walks:
            return {}
        asked = sum(self._minutes.values()) * draft.hard_share
        left, found = asked, {}
        days = [d for d in self._pattern.hard if self._minutes[d] > 0][: draft.hard]
        for number, day in enumerate(days):
            share = left / (len(days) - number)
            chosen = self._choice.hard(self._minutes[day], self._room(day), share)
            if chosen is not None:
                found[day] = _run_of(chosen)
                left -= chosen.hard_minutes
        # In whole minutes, as they are told.
        is_little = round(asked - left) < round(asked * LEAST_OF_ASKED) - PETTY_HARD_MIN
        if draft.kind == "build" and (not found or (self._choice.is_begun and is_little)):
            self._say_little(asked - left, asked, len(days))
        return found

    def _say_little(self, hard: float, asked: float, days: int) -> None:
        least = asked * LEAST_OF_ASKED
        why = LITTLE_HARD if days else NO_HARD if len(self._pattern.runs) > 1 else ONE_RUN
        says = say(why, hard=hard, least=round(least))
        because = self._case.origins.at("plan", "hard")
        decision = Decision("sessions", says, because, "arithmetic", least, hard, warns=True)
        self.decisions.append(decision)

    def _run(self, day: int) -> _Run:
        """A run that is not hard."""
        case, draft, amount = self._case, self._draft, self._minutes[day]
        rung = rung_of(draft)
        if draft.walks:
            walk = float(min(draft.walks, self._room(day)))
            return _Run("run_walk", (Part("walk", walk, 1, None, building.WALK),))
        if rung is not None and rung.walk > 0:
            cue = draft.band.aim if day in self._beat_days else None
            return _Run("run_walk", building.run_walk(amount, rung, cue))
        if day in self._beat_days and draft.beat is not None and amount >= LEAST_BEAT_RUN_MIN:
            parts = building.beat_run(amount, draft.beat, draft.band.aim)
            return _Run("beat", parts, case.workouts.get("beat"))
        is_long = day == self._pattern.long
        chosen = self._choice.easy(amount, self._room(day), is_long, self._is_rested(day))
        if chosen is not None:
            return _run_of(chosen)
        text = building.LONG if is_long else building.EASY
        return _Run("long" if is_long else "easy", building.steady(amount, text))

    def _is_rested(self, day: int) -> bool:
        """False on a day beside a hard run or, for another than it, the long one."""
        demanding = {*self._pattern.hard, self._pattern.long} - {day}
        return demanding.isdisjoint({(day - 1) % 7, (day + 1) % 7})

    def _session(self, day: int, run: _Run) -> Session:
        draft = self._draft
        on = draft.start + DAY * day
        at = clock(self._open_days[day].at)
        low, high = building.effort_of(run.kind, run.workout)
        rung = rung_of(draft)
        if rung is not None and rung.effort is not None:
            low, high = max(rung.effort - 1, 0), rung.effort
        name = "long" if day == self._pattern.long else f"run-{_slot(self._pattern, day)}"
        workout = run.workout
        return Session(
            id=f"w{draft.number:02}-{name}",
            on=on,
            at=at,
            kind=run.kind,
            parts=building.framed(run.parts, self._open_days[day].minutes),
            hard=run.kind in HARD_KINDS,
            effort_low=low,
            effort_high=high,
            fuel_at=fuel_time(at, draft.fuel_before),
            workout=workout.name if workout else "",
            title=workout.title if workout else None,
            purpose=workout.purpose if workout else None,
        )


class _Run(NamedTuple):
    """What a run is, before it has its day."""

    kind: SessionKind
    parts: tuple[Part, ...]
    workout: Workout | None = None


def _run_of(chosen: Chosen) -> _Run:
    return _Run(chosen.workout.kind, chosen.parts, chosen.workout)


def named(session: Session, workout: Workout | None) -> Session:
    """The session with the name and the words of the file that it is made from, if any."""
    if workout is None:
        return session._replace(workout="", title=None, purpose=None)
    return session._replace(workout=workout.name, title=workout.title, purpose=workout.purpose)


def start_time(case: Case, on: date) -> time | None:
    """When a session on that day starts, if the client's file says so."""
    offered = week_days(case, monday_of(on)).offered()[on.weekday()]
    return offered.at if offered else None


def fuel_time(at: time | None, before: int | None) -> time | None:
    """``before`` minutes ahead of ``at``; None where that would be the day before."""
    if at is None or before is None:
        return None
    minutes = at.hour * 60 + at.minute - before
    return time(minutes // 60, minutes % 60) if minutes >= 0 else None


def later(at: time | None, minutes: float) -> time | None:
    """``minutes`` after ``at`` on the same day, else None."""
    if at is None:
        return None
    moved = datetime.combine(date.min, at) + timedelta(minutes=minutes)
    return moved.time() if moved.date() == date.min else None


def _strength(
    case: Case,
    draft: Draft,
    pattern: Pattern,
    found: Sequence[Session],
    open_days: tuple[Offer, ...],
    since: int,
) -> list[Session]:
    """Strength work on its days, after the run where there is one, as far as the day has room."""
    placed: list[Session] = []
    for order, day in enumerate(pattern.strength[: draft.strength], start=1):
        if day < since:
            continue
        on = draft.start + DAY * day
        before = sum(s.total_minutes for s in found if s.on == on)
        minutes = min(draft.strength_minutes, whole_minutes(open_days[day].minutes - before))
        if minutes < STRENGTH_LEAST_MIN:
            continue
        low, high = building.EFFORT["strength"]
        placed.append(
            Session(
                id=f"w{draft.number:02}-strength-{order}",
                on=on,
                at=later(clock(open_days[day].at), before),
                kind="strength",
                parts=(Part("strength", float(minutes), text=building.STRENGTH),),
                effort_low=low,
                effort_high=high,
            )
        )
    return placed


def _event(case: Case, draft: Draft) -> Session:
    assert draft.event_on is not None
    decided = {decision.rule: decision.says for decision in draft.decisions}
    held = not decided.keys().isdisjoint(HOLDING)
    too_far = decided.get(beyond.RULE.name)
    low, high = building.event_effort(case, draft.bars_hard, held or too_far is not None)
    words = building.event_words(case, draft.bars_hard, held)
    minutes = float(max(round(draft.event_minutes), 1))
    return Session(
        id=f"w{draft.number:02}-event",
        on=draft.event_on,
        at=start_time(case, draft.event_on),
        kind="event",
        parts=(
            Part("warm_up", float(building.WARM_UP_MIN), text=building.WARM_UP),
            Part("run", minutes, text=words if held else too_far or words),
            Part("cool_down", float(building.WARM_UP_MIN), text=building.COOL_DOWN),
        ),
        effort_low=low,
        effort_high=high,
    )
