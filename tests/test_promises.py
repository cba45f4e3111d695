"""What the rules promise, held against generated clients and logs.

Each promise is a sentence of the contract, computed anew from the plan's own sessions and the
log. The ordinary run looks at 300 lives; with `PROMISES=nightly` in the environment at 10,000.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from datetime import date
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings

from generated import (
    DAY,
    OTHER,
    URGENT,
    WEEK,
    Life,
    life_of,
    lives,
    runs_of,
    training,
)
from nightly import IS_NIGHTLY
from sitegen.model.case import Origins
from sitegen.model.client import DAYS
from sitegen.model.plan import Plan, Session, Week, WeekKind
from sitegen.model.practice import Practice
from sitegen.practice.case import read_case
from sitegen.rules import RULES
from sitegen.rules.cadence import band
from support import PRACTICE, tree

EXAMPLES = 10_000 if IS_NIGHTLY else 300
EVERY_LIFE = settings(
    max_examples=EXAMPLES,
    derandomize=True,
    database=None,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
EPSILON = 1e-6
Promise = Callable[[Life], Iterator[str]]


# --- what the log says, read anew from the contract -------------------------------------------


def logged_runs(life: Life) -> list[tuple[date, float]]:
    """Every logged run; a distance without a time at the baseline's pace, or 8:30 /km."""
    found = []
    for entry in life.log:
        if entry.skipped is not None:
            continue
        if entry.ran is not None:
            found.append((entry.on, entry.ran.minutes))
        elif entry.distance is not None:
            pace = life.client.baseline.pace
            found.append(
                (entry.on, entry.distance.km * (pace.seconds_per_km if pace else 510) / 60)
            )
    return found


def is_settled(pain: Any, profile: str) -> bool:
    """Down again by the next morning; `knee`: no more after it than before (1 if not told)."""
    if profile == "knee":
        start = 1 if pain.before is None else min(pain.before, 2)
        return all(s <= start for s in (pain.after, pain.next_morning) if s is not None)
    morning = pain.next_morning
    return morning is None or morning <= min(2, (pain.before or 0) + 1)


def pain_before(life: Life, day: date) -> str:
    """go, hold or refer on the morning of ``day``, by the table of pain."""
    profile = (life.raw.get("rules") or {}).get("pain", {}).get("profile", "standard")
    level, calm, mild, backs = "go", 0, 0, []
    for entry in (e for e in life.log if e.on < day and e.pain is not None):
        pain = entry.pain
        told = [s for s in (pain.during, pain.after, pain.next_morning) if s is not None]
        if not told:
            continue
        worst = max(told)
        if worst <= 2 and is_settled(pain, profile):
            calm, mild = calm + 1, 0
            level = "go" if level == "hold" and calm >= 2 else level
            continue
        calm, mild = 0, mild + 1
        level = level if level == "refer" else "hold"
        if worst > 5 or mild >= 2:
            mild = 0
            if any((entry.on - b).days <= 14 for b in backs):
                level = "refer"
            backs.append(entry.on)
    return level


def references(life: Life) -> Iterator[tuple[Week, float]]:
    """Each week with the most that its level can be: the largest building week so far.

    The level rises to what a building week was worth, and to nothing else; `test_level.py` holds
    when it does.
    """
    reference = life.client.baseline.week.minutes
    for week in life.plan.weeks:
        yield week, reference
        if week.kind == "build":
            reference = max(reference, training(week) + len(runs_of(week)))


# --- the promises -----------------------------------------------------------------------------


def volume(life: Life) -> Iterator[str]:
    """A building week: at most growth over the last one, or 10 min under 100 min; 0 % is 0."""
    for week, reference in references(life):
        most = reference * (1 + life.growth)
        if reference < 100 and life.growth > 0:
            most = max(most, reference + 10)
        if week.kind == "build" and training(week) > most + EPSILON:
            yield f"week {week.number} builds to {training(week)} after {reference}, {most} at most"


def no_growth(life: Life) -> Iterator[str]:
    """A week that does not build is not over the last building week."""
    for week, reference in references(life):
        if week.kind == "build" or life.was_redrawn(week):
            continue
        if reference == 0 and training(week) <= 10:
            continue  # from nothing, or from walking alone, a plan may begin so
        cleared = life.client.screening.cleared_on
        if cleared is not None and week.start < cleared < week.start + WEEK:
            continue  # begun in its middle, as the first week of a plan may: a step over the level
        if training(week) > reference + EPSILON:
            yield f"week {week.number} ({week.kind}) has {training(week)} min after {reference}"


def ease(life: Life) -> Iterator[str]:
    """Each easy week drops by the share that the file says."""
    by = life.client.plan.ease.by.fraction if life.client.plan.ease.by else 0.3
    every = life.client.plan.ease.every or 4
    for week, reference in references(life):
        if life.was_redrawn(week):
            continue
        from_nothing = reference == 0 and training(week) <= 10  # the smallest week that there is
        most = reference * (1 - by) + EPSILON
        if week.kind == "ease" and training(week) > most and not from_nothing:
            yield f"easy week {week.number} has {training(week)} min after {reference}"
        if week.number % every == 0 and week.kind in ("build", "hold"):
            yield f"week {week.number} should be an easier one, it is {week.kind}"


def unheard_runs(life: Life) -> list[tuple[date, float]]:
    """Told runs of the past of which no minutes were heard: repeated, but never a new high."""
    base, logged = life.client.baseline, logged_runs(life)
    known = [(base.on, base.longest.minutes)] if base.longest else []
    told = {s.on for s in life.plan.sessions if s.is_run}
    tells = (e for e in life.log if e.skipped or e.ran is not None or e.distance is not None)
    heard = {
        entry.on + DAY * days
        for entry in tells
        for days in ((0,) if entry.on in told else (-1, 0, 1))
    }
    return [
        (s.on, min(s.run_minutes, max((m for on, m in known + logged if on < s.on), default=0.0)))
        for s in life.plan.sessions
        if s.is_run and s.on < life.as_of and s.on not in heard
    ]


def longest(life: Life) -> Iterator[str]:
    """Once 30 min are run without a walk: no run over 110 % of the longest of 30 days."""
    base = life.client.baseline
    known = [(base.on, base.longest.minutes)] if base.longest else []
    done = known + logged_runs(life) + unheard_runs(life)
    ahead = [
        (s.on, s.run_minutes)
        for s in life.plan.sessions
        if s.is_run and s.on >= life.as_of and not any(on == s.on for on, _ in logged_runs(life))
    ]
    for week, session in ((w, s) for w in life.plan.weeks if w.rung is None for s in runs_of(w)):
        before = known + [(on, m) for on, m in (*done, *ahead) if on < session.on]
        window = [m for on, m in before if (session.on - on).days <= 30]
        if not any(on < week.start and (session.on - on).days <= 30 for on, _ in before):
            window = [m for _, m in before]  # nothing is known of the last month
        known_most = max(window, default=0.0)
        most = max(known_most * 1.10, min(known_most + 1, 10))  # up to 10 min a run may grow by 1
        if session.run_minutes > most + EPSILON:
            yield f"{session.id} on {session.on}: {session.run_minutes} min, {most:.1f} at most"


def last_word(life: Life) -> date:
    """The last day on which anything was heard, or may be taken as heard."""
    words = [life.client.plan.from_, life.client.baseline.on, *(e.on for e in life.log)]
    cleared = life.client.screening.cleared_on
    if cleared is not None and cleared <= life.as_of:
        words.append(cleared)
    return max(words)


def share(life: Life) -> Iterator[str]:
    """No run over half of the week with two runs, 40 % with three, 35 % with more; on the way to an
    event at most 60 % with two and half with more."""
    event = life.case.client.goal.event
    for week in life.plan.weeks:
        runs = runs_of(week)
        if len(runs) < 2 or life.was_redrawn(week) or week.kind == "event":
            continue
        if week.kind == "pause":
            continue  # a stop began in it, and took its later runs away
        part = {2: 0.5, 3: 0.4}.get(len(runs), 0.35)
        if event is not None and week.start <= event.on:
            part = 0.6 if len(runs) == 2 else 0.5
        most = max(s.run_minutes for s in runs)
        if most > part * training(week) + EPSILON:
            yield f"week {week.number}: {most} of {training(week)} min in one of {len(runs)} runs"


def from_none(life: Life) -> Iterator[str]:
    """Starting from none: at most 10 min of running."""
    base = life.client.baseline
    if base.week.minutes > 0 or base.longest or life.log:
        return
    first = next((w for w in life.plan.weeks if runs_of(w)), None)
    if first is not None and first.longest_minutes > 10 and first.kind != "event":
        yield f"the first runs have {first.longest_minutes} min"


def ladder(life: Life) -> Iterator[str]:
    """Under 30 min without a walk: one rung a week at most, and no stretch over the rung's."""
    stretches = (1, 2, 3, 4, 5, 7, 10, 15, 20, 30)
    if life.continuous >= 30:
        return
    before: int | None = None
    for week in life.plan.weeks:
        if week.rung is None:
            continue
        if before is not None and week.rung > before + 1:
            yield f"week {week.number} goes from rung {before} to {week.rung}"
        before = week.rung
        if life.was_redrawn(week):
            continue
        for session in runs_of(week):
            stretch = longest_stretch(session)
            if stretch > stretches[week.rung - 1]:
                yield f"{session.id}: {stretch} min in one go on rung {week.rung}"


def longest_stretch(session: Session) -> float:
    """Longest running without a walk, in minutes."""
    found, now = 0.0, 0.0
    for i, part in enumerate(session.parts):
        if part.kind not in ("run", "beat"):
            now = 0.0
            continue
        after = session.parts[i + 1] if i + 1 < len(session.parts) else None
        in_turn = after is not None and after.kind == "walk" and min(part.repeat, after.repeat) > 1
        now = part.minutes if in_turn else now + part.total_minutes
        found = max(found, now)
    return found


def apart(life: Life) -> Iterator[str]:
    """Hard sessions and the long run never on neighbouring days, the next week's Monday too."""
    days = sorted({s.on for s in life.plan.sessions if s.hard or s.kind == "long"})
    for one, other in pairwise(days):
        if (other - one).days == 1:
            yield f"hard or long on {one:%a %d %b} and on {other:%a %d %b}"


def day_off(life: Life) -> Iterator[str]:
    """Under 12 weeks of regular running: no two running days in a row, or a warning why."""
    if life.client.screening.regular_exercise or life.continuous >= 30:
        return
    offered = [i for i, d in enumerate(life.client.week.offered()) if d and "run" in d.uses]
    free = any((b - a) % 7 not in (1, 6) for a in offered for b in offered if a != b)
    runs = sorted({s.on for w in life.plan.weeks[:12] for s in runs_of(w) if s.run_minutes > 0})
    for one, other in pairwise(runs):
        if (other - one).days != 1:
            continue
        week = life.plan.weeks[life.week_of(other) - 1]
        warned = any(d.rule == "spacing" and d.warns for d in week.decisions)
        if (free and week.kind != "event") or not warned:  # near an event fewer days are open
            yield f"running on {one:%a %d %b} and {other:%a %d %b}; warned: {warned}"


def hard(life: Life) -> Iterator[str]:
    """None before from_week, in ease weeks or under pain; hard minutes at most 20 % of the week."""
    asked = life.client.plan.hard
    first = asked.from_week if asked and asked.from_week else 5
    most = asked.per_week if asked and asked.per_week is not None else (1 if asked else 0)
    for week in life.plan.weeks:
        sessions = [s for s in week.sessions if s.hard]
        if not sessions:
            continue
        if week.number < first or len(sessions) > most:
            yield f"{len(sessions)} hard in week {week.number}; {most} from week {first}"
        if week.kind == "ease":
            yield f"hard in the easy week {week.number}"
        if any(pain_before(life, s.on) != "go" for s in sessions):
            yield f"hard in week {week.number} while pain holds"
        minutes = sum(s.hard_minutes for s in sessions)
        if minutes > 0.2 * training(week) + EPSILON and not life.was_redrawn(week):
            yield f"week {week.number}: {minutes} hard of {training(week)} min"


def cadence(life: Life) -> Iterator[str]:
    """Up by a step of baseline, then held; under every ceiling; never down."""
    own = life.client.baseline.cadence.spm
    asked = life.client.cadence
    step = asked.step.percent if asked.step else 3.0
    hold = asked.hold or 2
    if asked.aim == "keep":
        top = float(own)
    elif asked.aim is not None:
        top = min(asked.aim.spm, own * 1.10)
    else:
        top = own if own >= 170 else min(170, own * 1.10)
    aim, rose_in = own, None
    previous: Week | None = None
    for week, reference in references(life):
        now = week.cadence.aim
        if now < aim:
            yield f"down from {aim} to {now} in week {week.number}"
        if now > top + EPSILON:
            yield f"{now} spm in week {week.number}, over {top}"
        if not week.cadence.low <= now <= week.cadence.high:
            yield f"the aim lies outside its own band in week {week.number}"
        if now > aim:
            if now - aim > own * step / 100 + EPSILON:
                yield f"up by {now - aim} in week {week.number}, {step} % of {own} at most"
            if rose_in is not None and week.number - rose_in <= hold:
                yield f"up in weeks {rose_in} and {week.number}, held for {hold} weeks"
            against = training(previous) if previous else reference
            if training(week) > against * 1.10 + EPSILON:
                yield f"up in week {week.number} with {against} to {training(week)} min"
            if "go" not in {pain_before(life, week.start + DAY * i) for i in range(7)}:
                yield f"up in week {week.number} while pain holds"
            rose_in = week.number
        aim = max(aim, now)
        previous = week


def referral(life: Life) -> Iterator[str]:
    """Two backs within 14 days: nothing planned on any day after."""
    for session in life.plan.sessions:
        if pain_before(life, session.on) == "refer":
            yield f"{session.id} on {session.on} after pain was referred"


def held(life: Life) -> Iterator[str]:
    """While pain holds all week: no growth of any kind."""
    for week, reference in references(life):
        if "go" in {pain_before(life, week.start + DAY * i) for i in range(7)}:
            continue
        if week.kind == "build":
            yield f"week {week.number} builds while pain holds"
        if training(week) > max(reference, 10 * (reference == 0)) + EPSILON:
            yield f"week {week.number} has {training(week)} min after {reference} under pain"


def signs(life: Life) -> Iterator[str]:
    """A sign stops every session on the days after it; an urgent one refers.

    One that is dated over 60 days before an entry above it has a slip in its date, and counts from
    that entry's day.
    """
    told, latest = [], date.min
    for entry in (e for e in life.case.log if e.on <= life.as_of):
        slipped = latest != date.min and (latest - entry.on).days > 60
        told += [(latest if slipped else entry.on, sign) for sign in entry.signs]
        latest = max(latest, entry.on)
    cleared = life.client.screening.cleared_on
    for on, sign in told:
        if sign in URGENT and cleared is not None and cleared >= on:
            continue
        for session in life.plan.sessions:
            if session.on > on:
                yield f"{session.id} on {session.on} after {sign} on {on}"
        status = life.plan.status
        if sign in URGENT and status != "referred":
            yield f"{sign} on {on}, yet the status is {status}"
        if sign in OTHER and status not in ("paused", "referred"):
            yield f"{sign} on {on}, yet the status is {status}"


def silence(life: Life) -> Iterator[str]:
    """Four weeks without any word: nothing from then on. After a silent week, no growth."""
    if (life.as_of - last_word(life)).days >= 28:
        for session in life.plan.sessions:
            if session.on >= life.as_of:
                yield f"{session.id} on {session.on} after four silent weeks"
    for week, after in pairwise(life.plan.weeks):
        is_over = week.start + WEEK <= life.as_of and after.start + WEEK <= life.as_of
        if not is_over or not runs_of(week) or week.kind != "build" or after.kind != "build":
            continue
        heard = [e for e in life.log if week.start - DAY <= e.on <= week.start + WEEK]
        # What a week is worth, not what its days had room for: days and caps may differ.
        if not heard and week.worth > 0 and after.worth > week.worth + EPSILON:
            yield f"week {after.number} ({training(after)} min) grows after a silent one"


def taper(life: Life) -> Iterator[str]:
    """60 % of the peak at most before an event on a Sunday; any event's eve is rest or 20 min."""
    event = life.client.goal.event
    if event is None:
        return
    number = life.week_of(event.on)
    if not 1 <= number <= len(life.plan.weeks) or event.on < life.client.plan.from_:
        return
    eve = sum(s.run_minutes for s in life.plan.sessions if s.on == event.on - DAY)
    if eve > 20:
        yield f"{eve} min of running on the eve of the event"
    lead = 7 if event.distance.km <= 10 else 14
    base = life.client.baseline.week.minutes
    peak = max([base, *(training(w) for w in life.plan.weeks[: number - 1])])
    if life.log or number <= lead // 7:
        return
    for week in life.plan.weeks[number - lead // 7 : number] if event.on.weekday() == 6 else ():
        if training(week) > 0.6 * peak + EPSILON:
            yield f"{training(week)} min in week {week.number} before the event, peak {peak}"


def screening(life: Life) -> Iterator[str]:
    """Symptoms, or a disease without exercise: referred, nothing planned. Disease: nothing hard."""
    asked = life.client.screening
    for session in life.plan.sessions:
        if asked.cleared_on is not None and asked.cleared_on <= session.on:
            continue
        if asked.symptoms or (asked.known_disease and not asked.regular_exercise):
            yield f"{session.id} on {session.on} before a clearance"
        if asked.known_disease and session.hard:
            yield f"{session.id} is hard before a clearance"
    cleared = asked.cleared_on is not None and asked.cleared_on <= life.as_of
    stopped = asked.symptoms or (asked.known_disease and not asked.regular_exercise)
    if stopped and not cleared and life.plan.status != "referred":
        yield f"the status is {life.plan.status}"


def fuel(life: Life) -> Iterator[str]:
    """Each run but the event has its reminder, as long before the start as the file says."""
    asked = life.client.fuel
    before = asked.before.minutes if asked and asked.before else 45
    for session in life.plan.sessions:
        at, fuel_at = session.at, session.fuel_at
        if asked is None or session.kind in ("event", "strength"):
            if fuel_at is not None:
                yield f"{session.id} ({session.kind}) has a reminder at {fuel_at}"
        elif at is not None:
            ahead = at.hour * 60 + at.minute - before
            told = fuel_at.hour * 60 + fuel_at.minute if fuel_at else None
            if told != (ahead if ahead >= 0 else None):
                yield f"{session.id} at {at}: reminder at {fuel_at}"


def strength(life: Life) -> Iterator[str]:
    """Two a week at most, never the day before or the day of the long run or a hard session."""
    heavy = {s.on for s in life.plan.sessions if s.hard or s.kind == "long"}
    for week in life.plan.weeks:
        work = [s for s in week.sessions if s.kind == "strength"]
        if len(work) > 2:
            yield f"{len(work)} strength sessions in week {week.number}"
        for session in work:
            if {session.on, session.on + DAY} & heavy:
                yield f"{session.id} on {session.on:%a}, the day of or before a long or hard one"


def offered(life: Life) -> Iterator[str]:
    """Sessions fall on the days offered and within up_to."""
    per_day: dict[date, float] = {}
    for session in life.plan.sessions:
        if session.kind == "event":
            continue
        day = life.client.week.offered()[session.on.weekday()]
        per_day[session.on] = per_day.get(session.on, 0.0) + session.total_minutes
        if day is None or ("strength" if session.kind == "strength" else "run") not in day.uses:
            yield f"{session.id} on {DAYS[session.on.weekday()]}, which is not offered for it"
        elif day.up_to and per_day[session.on] > day.up_to.minutes:
            yield f"{per_day[session.on]} min on {session.on}, up to {day.up_to}"


def sums(life: Life) -> Iterator[str]:
    """Whole minutes, none of them nothing; a week is the sum of its sessions, all in its days."""
    ids = [s.id for s in life.plan.sessions]
    if len(ids) != len(set(ids)):
        yield f"ids given twice: {sorted({i for i in ids if ids.count(i) > 1})}"
    if [w.number for w in life.plan.weeks] != list(range(1, life.client.plan.weeks + 1)):
        yield "weeks are missing"
    for week in life.plan.weeks:
        if week.start != life.first_monday + WEEK * (week.number - 1):
            yield f"week {week.number} starts on {week.start}"
        if abs(week.run_minutes - sum(s.run_minutes for s in week.sessions)) > EPSILON:
            yield f"week {week.number} is not the sum of its sessions"
        for session in week.sessions:
            if not week.start <= session.on < week.start + WEEK:
                yield f"{session.id} on {session.on} outside week {week.number}"
            if session.on < life.client.plan.from_:
                yield f"{session.id} on {session.on} before the plan begins"
            walks = any(p.kind == "walk" for p in session.parts)  # the rung below the first
            if session.is_run and session.run_minutes <= 0 and not walks:
                yield f"{session.id} has no running"
            if session.effort_low > session.effort_high:
                yield f"{session.id} has effort {session.effort_low} to {session.effort_high}"
            for part in session.parts:
                if part.minutes <= 0 or part.minutes != int(part.minutes) or part.repeat < 1:
                    yield f"{session.id} has a part of {part.repeat} times {part.minutes} min"


def reasons(life: Life) -> Iterator[str]:
    """Every week says what the step rate does, or why nothing is planned."""
    for week in life.plan.weeks:
        rules = {d.rule for d in week.decisions}
        if "cadence" not in rules and week.kind != "pause":
            yield f"week {week.number} ({week.kind}) says nothing of the step rate: {rules}"
        if not week.sessions and not week.decisions:
            yield f"week {week.number} is empty and does not say why"
        if any(not str(d.says) or not d.source for d in week.decisions):
            yield f"week {week.number} has a decision without words or source"


def unfounded(plan: Plan) -> Iterator[str]:
    """Reasons of a plan that speak of a session, or of a stretch, that their week does not hold."""
    for week in plan.weeks:
        runs = [s.run_minutes for s in week.sessions if s.is_run and s.kind != "event"]
        there = {
            "hard": any(s.hard for s in week.sessions),
            "strength": any(s.kind == "strength" for s in week.sessions),
            "longest": bool(runs),
        }
        turns = [s for s in week.sessions if s.kind == "run_walk" and s.run_minutes > 0]
        stretch = max(map(longest_stretch, turns), default=float("inf"))
        for one in week.decisions:
            named = one.rule == "run_walk" and " in turn" in one.says.template
            if named and float(str(one.says.values["run"])) > stretch:
                yield f"week {week.number}, {week.kind}: {one.says}, {stretch} is most"
            asks = one.after if one.rule in ("hard", "strength") else 1.0
            says_more = one.rule == "long_run" and one.before is not None
            is_more = max(runs, default=0.0) > (one.before or 0.0)
            if (asks and not there.get(one.rule, True)) or (says_more and not is_more):
                yield f"week {week.number}, {week.kind}: {one.says}"


def founded(life: Life) -> Iterator[str]:
    """No reason speaks of a session, or of a stretch, that is not there."""
    yield from unfounded(life.plan)


PROMISES: tuple[Promise, ...] = (
    volume, no_growth, ease, longest, share, from_none, ladder, apart, day_off, hard, cadence,
    referral, held, signs, silence, taper, screening, fuel, strength, offered, sums, reasons,
    founded,
)  # fmt: skip


# Promises that the engine is known to break; each has a strict example of its own that fails.
KNOWN_TO_BREAK: frozenset[str] = frozenset()


# Words of Tuesday say that Wednesday's run was done, and not how long it was: it counts as told.
NO_MINUTES = Life(
    json.dumps(
        {
            "name": "Sam Vale",
            "screening": {"on": "2026-12-01", "regular_exercise": "yes", "known_disease": "no"}
            | {"symptoms": "no"},
            "baseline": {"on": "2026-12-27", "cadence": "140 spm", "pace": "5:30 /km"}
            | {"week": "45 min", "longest": "90 min", "runs": "1"},
            "goal": {"event": {"distance": "5 km", "on": "2027-01-04"}},
            "plan": {"from": "2027-01-04", "weeks": "4"},
            "week": {day: {"up_to": "25 min"} for day in ("mon", "tue", "thu", "fri", "sat")}
            | {"wed": {}},
        }
    ),
    json.dumps([{"on": "2027-01-19", "cadence": "140 spm", "pain": {"during": "0"}}]),
    date(2027, 1, 21),
)


@EVERY_LIFE
@example(life=NO_MINUTES)
@given(life=lives())
def test_no_promise_is_broken(life: Life) -> None:
    """Every promise, for every generated client and log."""
    broken = {p.__name__: list(p(life)) for p in PROMISES if p.__name__ not in KNOWN_TO_BREAK}

    assert {name: told for name, told in broken.items() if told} == {}


@settings(EVERY_LIFE, max_examples=EXAMPLES // 10)
@given(life=lives())
def test_generated_clients_are_what_a_coach_may_write(life: Life) -> None:
    """The reader takes them without an error, and reads what the tests read."""
    practice = Practice.of_tree(tree(PRACTICE))
    found, problems = read_case(
        "runner",
        life.client_json.encode(),
        "runner.yaml",
        life.log_json.encode(),
        "runner.log.yaml",
        practice,
        Origins("practice.yaml"),
        RULES,
        (),
    )

    assert [p for p in problems if p.level == "error"] == []
    assert found is not None
    assert found.client == life.client


# --- each promise notices when it is broken ---------------------------------------------------

PLAN = {"from": "2027-01-04", "weeks": "8", "hard": {"from_week": "1", "per_week": "1"}}
EXERCISES = {"on": "2026-12-01", "regular_exercise": "yes", "known_disease": "no", "symptoms": "no"}
RUNNER: dict[str, Any] = {
    "name": "Sam Vale",
    "screening": EXERCISES,
    "baseline": {
        "on": "2027-01-04", "cadence": "150 spm", "pace": "6:00 /km", "week": "240 min",
        "longest": "70 min", "runs": "5",
    },
    "week": {d: {"for": ["run", "strength"], "at": "18:30"} for d in DAYS[:6]},
    "plan": PLAN,
    "goal": {"event": {"on": "2027-02-28", "distance": "half marathon"}},
    "fuel": {"asked_on": "2027-01-02"},
}  # fmt: skip
BEGINNER: dict[str, Any] = {
    "name": "Sam Vale",
    "screening": EXERCISES | {"regular_exercise": "no"},
    "baseline": {"on": "2027-01-04", "cadence": "150 spm", "week": "0 min"},
    "week": {"tue": {}, "thu": {}, "sat": {}},
    "plan": {"from": "2027-01-04", "weeks": "8"},
}
SORE = [{"on": f"2027-01-{d:02}", "ran": "40 min", "pain": {"during": "4"}} for d in (4, 8, 9, 12)]
FAINTED = [{"on": "2027-01-05", "ran": "10 min", "signs": ["fainting"]}]

Weeks = tuple[Week, ...]


def longer(session: Session, factor: float) -> Session:
    return session._replace(
        parts=tuple(p._replace(minutes=p.minutes * factor) for p in session.parts)
    )


def all_longer(weeks: Weeks) -> Weeks:
    return tuple(w._replace(sessions=tuple(longer(s, 4) for s in w.sessions)) for w in weeks)


def long_longer(weeks: Weeks) -> Weeks:
    return tuple(
        w._replace(sessions=tuple(longer(s, 9) if s.kind == "long" else s for s in w.sessions))
        for w in weeks
    )


def called(kind: WeekKind) -> Callable[[Weeks], Weeks]:
    return lambda weeks: tuple(w._replace(kind=kind) for w in weeks)


def all_on_saturday_and_sunday(weeks: Weeks) -> Weeks:
    return tuple(
        w._replace(
            sessions=tuple(
                s._replace(on=w.start + DAY * (5 + i % 2), hard=s.kind != "strength")
                for i, s in enumerate(w.sessions)
            ),
        )
        for w in weeks
    )


def quicker_by_twenty(weeks: Weeks) -> Weeks:
    return (weeks[0], *(w._replace(cadence=band(w.cadence.aim + 20)) for w in weeks[1:]))


def up_three_rungs(weeks: Weeks) -> Weeks:
    return (weeks[0], *(w._replace(rung=(w.rung or 0) + 3) for w in weeks[1:]))


def without_reminders(weeks: Weeks) -> Weeks:
    return tuple(
        w._replace(sessions=tuple(s._replace(fuel_at=None) for s in w.sessions)) for w in weeks
    )


def all_strength_before_long(weeks: Weeks) -> Weeks:
    found = []
    for week in weeks:
        long = [s.on for s in week.sessions if s.kind == "long"]
        found.append(
            week._replace(
                sessions=tuple(
                    s._replace(on=long[0] - DAY) if long and s.kind == "strength" else s
                    for s in week.sessions
                ),
            )
        )
    return tuple(found)


def twice(weeks: Weeks) -> Weeks:
    return tuple(w._replace(sessions=(*w.sessions, *w.sessions)) for w in weeks)


def without_words(weeks: Weeks) -> Weeks:
    return tuple(w._replace(decisions=()) for w in weeks)


def without_sessions(weeks: Weeks) -> Weeks:
    return tuple(w._replace(sessions=()) for w in weeks)


def as_it_was(weeks: Weeks) -> Weeks:
    return weeks


ILL = RUNNER | {"screening": EXERCISES | {"known_disease": "yes", "regular_exercise": "no"}}
BROKEN: tuple[tuple[Promise, dict[str, Any], list[Any], Callable[[Weeks], Weeks]], ...] = (
    (volume, RUNNER, [], all_longer),
    (no_growth, RUNNER, [], lambda w: called("hold")(all_longer(w))),
    (ease, RUNNER, [], called("build")),
    (longest, RUNNER, [], long_longer),
    (share, RUNNER, [], long_longer),
    (from_none, BEGINNER, [], all_longer),
    (ladder, BEGINNER, [], up_three_rungs),
    (ladder, BEGINNER, [], all_longer),
    (apart, RUNNER, [], all_on_saturday_and_sunday),
    (day_off, BEGINNER, [], all_on_saturday_and_sunday),
    (hard, RUNNER, [], called("ease")),
    (hard, RUNNER, SORE, as_it_was),
    (cadence, RUNNER, [], quicker_by_twenty),
    (referral, RUNNER, SORE, as_it_was),
    (held, RUNNER, SORE, as_it_was),
    (signs, RUNNER, FAINTED, as_it_was),
    (silence, RUNNER, [], as_it_was),
    (taper, RUNNER, [], lambda w: (*w[:-1], *all_longer(w[-1:]))),
    (screening, ILL, [], as_it_was),
    (fuel, RUNNER, [], without_reminders),
    (strength, RUNNER, [], all_strength_before_long),
    (offered, RUNNER, [], all_on_saturday_and_sunday),
    (sums, RUNNER, [], twice),
    (reasons, RUNNER, [], without_words),
    (founded, RUNNER, [], without_sessions),
)


@pytest.mark.parametrize(("promise", "client", "log", "spoil"), BROKEN)
def test_a_spoilt_plan_is_noticed(
    promise: Promise,
    client: dict[str, Any],
    log: list[Any],
    spoil: Callable[[Weeks], Weeks],
) -> None:
    """The plan of a healthy client without a log, spoilt, put to a client with that log."""
    sound = life_of(client | {"screening": (client if client is BEGINNER else RUNNER)["screening"]})
    spoilt = Life(
        json.dumps(client), json.dumps(log), date(2027, 1, 20 if promise is silence or log else 1)
    )
    spoilt.__dict__["plan"] = sound.plan._replace(weeks=spoil(sound.plan.weeks))

    assert list(promise(spoilt))


def test_every_promise_has_a_spoilt_plan() -> None:
    assert {p for p, *_ in BROKEN} == set(PROMISES)


def test_the_sound_plans_keep_every_promise() -> None:
    for client in (RUNNER, BEGINNER):
        assert [list(p(life_of(client))) for p in PROMISES] == [[]] * len(PROMISES)
