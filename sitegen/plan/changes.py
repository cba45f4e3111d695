"""The coach's own decisions: obeyed last, recorded as hers, limits that they break named."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from itertools import pairwise
from math import ceil

from sitegen.model.case import Case
from sitegen.model.client import Change
from sitegen.model.plan import RUNNING_PARTS, Decision, Part, Session, Week
from sitegen.model.problem import Origin
from sitegen.model.sentence import N_, Sentence, say
from sitegen.model.workout import HARD_KINDS, Workout
from sitegen.plan import building
from sitegen.plan.drafting import fuel_time, later, named, start_time
from sitegen.rules import cadence, hard, lifts, longest, volume
from sitegen.rules.coach_week import GOES_BEFORE, SOURCE
from sitegen.rules.days import monday_of, neighbours, offers
from sitegen.rules.draft import Draft, Past, whole_minutes
from sitegen.rules.precedence import ILLNESS, beats_the_coach
from sitegen.rules.sessions import needs_even_ground

LIFTS_NOTHING = (
    "This lifts nothing: write lifts with the sign and its day, and seen_by with who saw the "
    "client; the screening needs cleared_on and cleared_by."
)
NOT_HARD = N_("{title} is a hard session, so the day stays as it was.")
NO_ROOM = N_("{title} finds no room in {minutes} min of running; {least} min would do.")
HARD_AND_LONG = N_("A hard session and the long run now stand on neighbouring days.")
TWO_HARD = N_("Two hard sessions now stand on neighbouring days.")
UNEVEN = N_("Uneven ground ({title}): with a blood thinner a fall weighs more.")
USUAL_EASY_MIN = 20  # easy running round the parts; common practice, no source
STOPPED = "The plan is stopped on this day, so this change is not carried out: {why}"


def steps(sessions: Sequence[Session], own_spm: int) -> int:
    """Steps of running: at the beat where a part has one, else at the runner's own step rate."""
    parts = [p for s in sessions for p in s.parts if p.kind in RUNNING_PARTS]
    return round(sum(p.total_minutes * (p.cadence_spm or own_spm) for p in parts))


def obey(case: Case, week: Week, draft: Draft, past: Past) -> Week:
    """The week with the coach's changes to its days, and to its minutes, carried out."""
    for index, change in enumerate(case.client.changes):
        because = case.origins.at("changes", index)
        if change.week == week.number and change.minutes is not None and draft.stop is None:
            week = _sized(case, week, draft, past, change, because)
        elif change.on is not None and 0 <= (change.on - week.start).days < 7:
            week = _on_day(case, week, draft, past, change, because)
    sessions = _after_the_run(case, week.sessions)
    own = case.client.baseline.cadence.spm
    return week._replace(sessions=sessions, steps=steps(sessions, own))


def _after_the_run(case: Case, sessions: Sequence[Session]) -> tuple[Session, ...]:
    """Strength work begins when the day's run is over, also when a change made that longer."""
    found = []
    for session in sessions:
        runs = sum(s.total_minutes for s in sessions if s.is_run and s.on == session.on)
        if session.kind == "strength" and runs:
            session = session._replace(at=later(start_time(case, session.on), runs))
        found.append(session)
    return tuple(found)


def _note(
    week: Week,
    says: Sentence,
    because: Origin,
    before: float | None = None,
    after: float | None = None,
    session: str | None = None,
    warns: bool = False,
) -> Week:
    decision = Decision("changes", says, because, SOURCE, before, after, session, warns)
    return week._replace(decisions=(*week.decisions, decision))


def _sized(
    case: Case, week: Week, draft: Draft, past: Past, change: Change, because: Origin
) -> Week:
    """All runs of the week made longer or shorter together, to the coach's total."""
    assert change.minutes is not None
    wanted = whole_minutes(change.minutes.minutes)
    runs = [s for s in week.sessions if s.is_run and s.kind != "event"]
    now = sum(s.run_minutes for s in runs)
    if not runs or now <= 0:
        text = say(
            "There is no run in this week to make longer or shorter: {why}", why=change.because
        )
        return _note(week, text, because, warns=True)
    says = say("Your coach set {after} min for this week: {why}", after=wanted, why=change.because)
    over = beats_the_coach(draft.kind, draft.decisions)
    is_over = over is not None and (wanted > now or over.claim == ILLNESS)
    if over is not None and is_over:
        says = say(GOES_BEFORE[over.claim], why=change.because)
        if wanted >= draft.minutes:
            return _note(week, says, because, float(wanted), now, warns=True)
        # Days fell out of the week: those left are as much smaller as she wrote the whole of it.
        wanted = whole_minutes(now * wanted / draft.minutes)
    sizes = [whole_minutes(s.run_minutes * wanted / now) for s in runs]
    for i in range(wanted - sum(sizes)):
        sizes[i % len(sizes)] += 1
    new = {s.id: resized(case, s, m, draft) for s, m in zip(runs, sizes, strict=True)}
    sessions = tuple(new.get(s.id, s) for s in week.sessions)
    growth = volume.growth_of(case, week.start).fraction
    before = volume.level(past)
    limit = whole_minutes(volume.limit(before, growth))
    week = week._replace(sessions=tuple(s for s in sessions if s.total_minutes > 0))
    week = _note(week, says, because, now, float(wanted), warns=is_over)
    if wanted > limit:
        text = say(
            "{wanted} min is more than this week's {limit} min, which growth from {before} min "
            "allows.",
            wanted=wanted,
            limit=limit,
            before=before,
        )
        week = _note(week, text, because, warns=True)
    for session in week.sessions:
        if session.id in new and session.run_minutes > 0:
            for text in _broken(case, session, week.sessions, past, draft):
                week = _note(week, text, because, session=session.id, warns=True)
    return week


def _on_day(
    case: Case, week: Week, draft: Draft, past: Past, change: Change, because: Origin
) -> Week:
    # What another change moved here comes last: so two days can change places.
    mine = sorted((s for s in week.sessions if s.on == change.on), key=lambda s: bool(s.moved_from))
    why = change.because
    if change.rest is False:
        if draft.stop is not None and draft.stop.refers:
            return _note(week, say(LIFTS_NOTHING), because, warns=True)
        says = say("Your coach lifted the pause: {why}", why=why)
        return _note(week, says, because)
    if change.lifts is not None and change.minutes is None and change.session is None:
        if not lifts.counts(case, change):
            return _note(week, say(LIFTS_NOTHING), because, warns=True)
        says = (
            say("Your coach noted a false alarm, and lifted the stop: {why}", why=why)
            if change.false_alarm
            else say("Your coach noted who saw you, and lifted the stop: {why}", why=why)
        )
        return _note(week, says, because)
    if change.rest:
        kept = tuple(s for s in week.sessions if s.on != change.on)
        rested = week._replace(sessions=kept)
        says = say("Your coach made {on} a day of rest: {why}", on=change.on, why=why)
        return _note(rested, says, because, week.run_minutes, rested.run_minutes)
    if change.move_to is not None and not _in_plan(case, change.move_to):
        says = say(
            "{on} lies outside the plan, so the session stays: {why}", on=change.move_to, why=why
        )
        return _note(week, says, because, warns=True)
    target = next((s for s in mine if s.is_run), mine[0] if mine else None)
    if target is None and _is_stopped(draft, change):
        return _note(week, say(STOPPED, why=why), because, warns=True)
    if target is None:
        target = _added(case, week, draft, change)
        if target is None:
            says = say("There is no session on {on} to change: {why}", on=change.on, why=why)
            return _note(week, says, because, warns=True)
        week = week._replace(sessions=in_order((*week.sessions, target)))
    changed = target
    workout = case.workouts.get(change.session or "")
    if workout is not None and workout.hard:
        values = hard.RULE.values(case)
        against = hard.why_not(draft, past, case, min(values.from_week, past.number))
        if against is not None:
            week = _note(week, say(NOT_HARD, title=workout.title), because, warns=True)
            return _note(week, against, because, session=target.id, warns=True)
    if workout is not None:
        minutes = whole_minutes(
            change.minutes.minutes if change.minutes else target.run_minutes or usual(workout)
        )
        changed = resized(case, changed, minutes, draft, workout.kind, workout)
        if changed.workout != workout.name:
            text = say(NO_ROOM, title=workout.title, minutes=minutes, least=usual(workout))
            return _note(week, text, because, session=target.id, warns=True)
    elif change.minutes is not None or change.kind is not None:
        minutes = (
            whole_minutes(change.minutes.minutes)
            if change.minutes is not None
            else whole_minutes(target.run_minutes or target.total_minutes)
        )
        changed = resized(case, changed, minutes, draft, str(change.kind or target.kind))
    if change.cadence is not None:
        changed = changed._replace(parts=_cued(changed.parts, change.cadence.spm))
    if change.move_to is not None:
        fuel = draft.fuel_before
        at = start_time(case, change.move_to)
        changed = changed._replace(
            on=change.move_to,
            at=at,
            fuel_at=fuel_time(at, fuel) if changed.is_run else None,
            moved_from=target.on,
        )
    sessions = tuple(changed if s.id == target.id else s for s in week.sessions)
    sessions = tuple(s for s in sessions if s.total_minutes > 0)
    broken = _broken(case, changed, sessions, past, draft)
    if changed.hard and not target.hard:
        broken += _too_hard(case, sessions, past, draft)
    if change.cadence is not None:
        broken += _beyond(case, change.cadence.spm)
    says = say("Your coach changed this session: {why}", why=why)
    week = _note(
        week._replace(sessions=in_order(sessions)),
        says,
        because,
        target.run_minutes,
        changed.run_minutes,
        changed.id,
    )
    for text in broken:
        week = _note(week, text, because, session=changed.id, warns=True)
    return week


def usual(workout: Workout) -> int:
    """Minutes of running of a kind of session where nothing says how many."""
    return USUAL_EASY_MIN + ceil(workout.repeat * workout.lap)


def _is_stopped(draft: Draft, change: Change) -> bool:
    """Whether nobody is to run on the change's day: no change puts a session back there."""
    stop = draft.stop
    if stop is None or change.on is None:
        return False
    return stop.since is None or change.on >= stop.since


def _added(case: Case, week: Week, draft: Draft, change: Change) -> Session | None:
    """A new session on a day without one: only where the coach gave its minutes."""
    is_whole = change.minutes is not None or change.session in case.workouts
    if not is_whole or change.on is None or change.on < case.client.plan.from_:
        return None
    number = 1 + sum(1 for s in week.sessions if "-added-" in s.id)
    at = start_time(case, change.on)
    return Session(
        id=f"w{week.number:02}-added-{number}",
        on=change.on,
        at=at,
        kind="easy",
        parts=(),
        fuel_at=fuel_time(at, draft.fuel_before),
    )


def resized(
    case: Case,
    session: Session,
    minutes: int,
    draft: Draft,
    kind: str | None = None,
    workout: Workout | None = None,
) -> Session:
    """The session with other minutes, or of another kind, its parts put together anew.

    A hard kind that finds no room in ``minutes`` becomes easy running.
    """
    kind = kind or session.kind
    limit = building.ROOM_FOR_WARM_UP_MIN
    if kind == "strength":
        parts: tuple[Part, ...] = (Part("strength", float(minutes), text=building.STRENGTH),)
        return _as_kind(session, "strength", parts if minutes else ())
    if minutes <= 0:
        return session._replace(parts=())
    rung = None if draft.rung is None else draft.ladder[draft.rung]
    workout = workout or _workout_of(case, session, kind)
    laid = None
    if workout is not None:
        laid = building.laid_out(case, workout, minutes, minutes + 24 * 60, spm=draft.band.aim)
    if kind == "run_walk" and rung is not None:
        parts = building.run_walk(minutes, rung, None)
    elif workout is not None and workout.kind == kind and laid is not None:
        return named(_as_kind(session, kind, building.framed(laid, limit), workout), workout)
    elif kind == "beat":
        beat = draft.beat or cadence.BEATS[0]
        parts = building.beat_run(minutes, beat, draft.band.aim)
    elif kind == "long":
        parts = building.steady(minutes, building.LONG)
    elif kind == "event":
        parts = building.steady(minutes, building.event_words(case, draft.bars_hard))
    else:
        kind = "easy" if kind in HARD_KINDS else kind
        parts = building.steady(minutes)
    return named(_as_kind(session, kind, building.framed(parts, limit)), None)


def _workout_of(case: Case, session: Session, kind: str) -> Workout | None:
    """The session's own kind where it stays so, else the first of the library that is of ``kind``.

    Runs to the beat take their repeats from the plan.
    """
    own = case.workouts.get(session.workout)
    if own is not None and own.kind == kind and kind != "beat":
        return own
    if kind not in HARD_KINDS:
        return None
    return next((w for w in case.workouts.values() if w.kind == kind and w.chosen), None)


def _as_kind(
    session: Session, kind: str, parts: tuple[Part, ...], workout: Workout | None = None
) -> Session:
    low, high = building.effort_of(kind, workout)  # type: ignore[arg-type]
    if kind == "event":  # of another length it is no harder
        low, high = session.effort_low, session.effort_high
    return session._replace(
        kind=kind,  # type: ignore[arg-type]
        parts=parts,
        hard=kind in HARD_KINDS,
        effort_low=low,
        effort_high=high,
    )


def _cued(parts: tuple[Part, ...], spm: int) -> tuple[Part, ...]:
    """The beat parts at another rate; where there are none, all running parts."""
    kinds = {"beat"} if any(p.kind == "beat" for p in parts) else {"run"}
    return tuple(p._replace(cadence_spm=spm) if p.kind in kinds else p for p in parts)


def _broken(
    case: Case, changed: Session, sessions: Sequence[Session], past: Past, draft: Draft
) -> list[Sentence]:
    """The limits that a changed session no longer keeps, in a coach's words."""
    found: list[Sentence] = []
    offer = offers(case, monday_of(changed.on))[changed.on.weekday()]
    if changed.is_run and not offer.run:
        found.append(say("{on} is not a day that this client offers for running.", on=changed.on))
    elif changed.total_minutes > offer.minutes:
        found.append(
            say(
                "{minutes} min on {on} is more than the day's {limit} min.",
                minutes=changed.total_minutes,
                on=changed.on,
                limit=offer.minutes,
            )
        )
    close = _now_close(changed, sessions)
    if close is not None:
        found.append(
            say(
                "The runs of {first} and {second} now follow each other without a day between, "
                "which the plan's own days of this week avoid.",
                first=min(close, changed.on),
                second=max(close, changed.on),
            )
        )
    if changed.is_run and changed.kind != "event" and draft.rung is None:
        most = longest.most_on(past, changed.on)
        if changed.run_minutes > most:
            found.append(
                say(
                    "{minutes} min of running is over a tenth more than the longest run of the 30 "
                    "days before it; {most} min would not be.",
                    minutes=changed.run_minutes,
                    most=most,
                )
            )
    demanding = [s.on.weekday() for s in sessions if s.hard or s.kind == "long"]
    if (changed.hard or changed.kind == "long") and neighbours(tuple(demanding)) > 0:
        hard_days = tuple(s.on.weekday() for s in sessions if s.hard)
        says = TWO_HARD if neighbours(hard_days) else HARD_AND_LONG
        found.append(say(says))
    rung = None if draft.rung is None else draft.ladder[draft.rung]
    if rung and changed.is_run and not changed.walk_minutes and changed.run_minutes > rung.run:
        found.append(
            say(
                "{minutes} min are run without a walk here, where this week's runs have {run} "
                "min at a stretch at most.",
                minutes=changed.run_minutes,
                run=rung.run,
            )
        )
    workout = case.workouts.get(changed.workout)
    if workout is not None and workout.uneven and needs_even_ground(case):
        found.append(say(UNEVEN, title=workout.title))
    return found


def _now_close(moved: Session, sessions: Sequence[Session]) -> date | None:
    """The day of a run beside which one was moved, in a week that had none beside each other."""
    if not moved.is_run or moved.moved_from is None:
        return None
    others = sorted(s.on for s in sessions if s.is_run and s.id != moved.id)
    before = sorted({*others, moved.moved_from})
    if any(b - a == timedelta(1) for a, b in pairwise(before)):
        return None
    return next((day for day in others if abs(day - moved.on) == timedelta(1)), None)


def _in_plan(case: Case, day: date) -> bool:
    end = case.first_monday + timedelta(weeks=case.client.plan.weeks)
    return case.client.plan.from_ <= day < end


def _too_hard(case: Case, sessions: Sequence[Session], past: Past, draft: Draft) -> list[Sentence]:
    """What speaks against a hard session that the coach put into this week."""
    values = hard.RULE.values(case)
    found = [r for r in [hard.why_not(draft, past, case, values.from_week)] if r is not None]
    total = sum(s.run_minutes for s in sessions)
    minutes = sum(s.hard_minutes for s in sessions)
    if minutes > total * values.share.fraction:
        found.append(
            say(
                "{minutes} of {total} min are hard now, more than {share} of the week.",
                minutes=minutes,
                total=total,
                share=values.share,
            )
        )
    return found


def _beyond(case: Case, spm: int) -> list[Sentence]:
    """A step rate that the plan would not choose by itself."""
    own = case.client.baseline.cadence.spm
    if own <= spm <= cadence.ceiling(own):
        return []
    return [
        say(
            "{spm} spm lies outside {own} to {top} spm, the baseline and a tenth over it.",
            spm=spm,
            own=own,
            top=cadence.ceiling(own),
        )
    ]


def in_order(sessions: Iterable[Session]) -> tuple[Session, ...]:
    """By day, and within a day by name."""
    return tuple(sorted(sessions, key=lambda s: (s.on, s.id)))


def _origin_of_move(case: Case, session: Session) -> Origin:
    moves = [i for i, c in enumerate(case.client.changes) if c.move_to == session.on]
    return case.origins.at("changes", moves[-1]) if moves else case.origins.at("changes")


def moved_between_weeks(case: Case, weeks: Sequence[Week]) -> list[Week]:
    """Sessions that a change moved into another week stand in that week."""
    own = case.client.baseline.cadence.spm
    strays = [s for w in weeks for s in w.sessions if not 0 <= (s.on - w.start).days < 7]
    if not strays:
        return list(weeks)
    found = []
    for week in weeks:
        here = [s for s in week.sessions if s not in strays]
        here += [s for s in strays if 0 <= (s.on - week.start).days < 7]
        sessions = in_order(here)
        changed = week._replace(sessions=sessions, steps=steps(sessions, own))
        if changed.run_minutes > week.run_minutes:
            came = next(s for s in strays if s in here)
            changed = _note(
                changed,
                say(
                    "Your coach moved a session into this week: {after} min instead of {before}.",
                    after=changed.run_minutes,
                    before=week.run_minutes,
                ),
                _origin_of_move(case, came),
                week.run_minutes,
                changed.run_minutes,
                came.id,
                warns=True,
            )
        found.append(changed)
    return found
