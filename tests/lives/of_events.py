"""Promises that are held over 960 plans for an event, and over plans with hard sessions."""

from __future__ import annotations

import statistics
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from functools import lru_cache
from itertools import pairwise

from sitegen.model.plan import Plan, Session, Week
from sitegen.plan.fold import expand
from sitegen.rules.long_run import peak

from . import sweeps
from .figures import longest_told, needed_minutes, undisturbed
from .living import DAY, WEEK, read, runs_of, training
from .runners import FIRST, RUNNERS
from .sweeps import EventPlan, event_plans
from .verdict import Verdict

QUICK = ("strides", "tempo", "intervals")


def over(check: Callable[[EventPlan], Iterator[str]]) -> Verdict:
    """Look at each of the 960 plans."""
    plans = event_plans()
    breaches, broken = [], 0
    for plan in plans:
        found = list(check(plan))
        broken += bool(found)
        breaches += [f"{plan.runner.name}: {line}" for line in found]
    return Verdict(tuple(breaches), f"{broken} of {len(plans)} plans break it")


def event_day(found: EventPlan) -> date:
    event = read(found.runner.text).client.goal.event
    assert event is not None
    return event.on


def said(lives: int) -> Verdict:
    def check(found: EventPlan) -> Iterator[str]:
        if not found.reaches and not found.told:
            yield f"{found.reached:.0f} of {found.need:.0f} min, and nothing is said"

    return over(check)


def reached(lives: int) -> Verdict:
    plans = [p for p in event_plans() if p.weeks == 20]
    groups = {
        "half": [p for p in plans if p.runner.event == "half marathon" and p.minutes >= 150],
        "marathon": [p for p in plans if p.runner.event == "marathon" and p.minutes >= 240],
    }
    shares = {name: sum(p.reaches for p in them) / len(them) for name, them in groups.items()}
    breaches = tuple(f"{n}: {s:.0%}" for n, s in shares.items() if s < 0.9)
    return Verdict(breaches, ", ".join(f"{n}: {s:.0%}" for n, s in shares.items()))


def long_run_missed(lives: int) -> Verdict:
    """The longest run of any one week before the longest run's: all else is run, and told."""
    breaches, tried = [], 0
    for runner in (r for r in RUNNERS if r.name in ("steady", "half", "marathon", "masters 66")):
        found, need = peak(undisturbed(runner).case), needed_minutes(runner)
        assert found is not None and need is not None
        for week in range(1, found.week):
            tried += 1
            told = longest_told(undisturbed(runner, {(week, -1)}))
            if told < need - 0.5:
                breaches.append(f"{runner.name}, week {week}: {told:.0f} of {need:.0f} min")
    return Verdict(tuple(breaches), f"{len(breaches)} of {tried} weeks break it")


def step(lives: int) -> Verdict:
    def check(found: EventPlan) -> Iterator[str]:
        jump = sweeps.largest_jump(found)
        if jump > 1.1 + 1e-6:
            yield f"a run of {jump:.2f} of the longest of 30 days"

    return over(check)


def backs(lives: int) -> Verdict:
    """Every third or fourth step back: of neighbouring weeks the long run grows three times."""

    def check(found: EventPlan) -> Iterator[str]:
        day, rises = event_day(found), 0
        for one, other in pairwise(w for w in found.plan.weeks if w.start + 7 * DAY <= day):
            rises = rises + 1 if other.longest_minutes > one.longest_minutes else 0
            if rises > 3:
                yield f"week {other.number}: the long run grows for the {rises}th week in a row"

    return over(check)


def share(lives: int) -> Verdict:
    """Where an event needs it, half of a week with three runs and more, 60 % with two."""

    def check(found: EventPlan) -> Iterator[str]:
        for week in found.plan.weeks:
            runs = [s.run_minutes for s in runs_of(week)]
            if week.kind in ("build", "hold") and len(runs) > 1:
                most = (0.6 if len(runs) == 2 else 0.5) * sum(runs)
                if max(runs) > most + 1:
                    yield f"week {week.number}: {max(runs):.0f} of {sum(runs):.0f} min in one run"

    return over(check)


def usual(found: EventPlan) -> float:
    """Median run of the last four building weeks, in minutes."""
    weeks = [w for w in found.plan.weeks if w.kind == "build"][-4:]
    return statistics.median(s.run_minutes for w in weeks for s in runs_of(w))


def close(lives: int) -> Verdict:
    def check(found: EventPlan) -> Iterator[str]:
        most = min(40.0, 0.6 * usual(found))
        for session in sweeps.close(found, 4):
            days = (event_day(found) - session.on).days
            limit = min(most, 20.0) if days <= 2 else most
            if session.run_minutes > limit + 0.5:
                yield f"{session.run_minutes:.0f} min {days} days before, {limit:.0f} at most"

    return over(check)


def last_weeks(found: EventPlan) -> list[Week]:
    return [w for w in found.plan.weeks if w.kind in ("taper", "event")]


def taper(lives: int) -> Verdict:
    """Frequency kept: Bosquet L et al., Med Sci Sports Exerc 2007;39(8):1358-1365."""

    def check(found: EventPlan) -> Iterator[str]:
        building = [w for w in found.plan.weeks if w.kind == "build"][-4:]
        usual_runs = statistics.median(len(runs_of(w)) for w in building)
        before = training(building[-1])
        for week in last_weeks(found):
            runs = len(runs_of(week)) + any(s.kind == "event" for s in week.sessions)
            if runs < int(0.8 * usual_runs):
                yield f"week {week.number}: {runs} runs, {usual_runs:.0f} as a rule"
            if training(week) > before:
                yield f"week {week.number}: {training(week):.0f} min after {before:.0f}"
            before = training(week)

    return over(check)


def quick(lives: int) -> Verdict:
    """Of plans that allow it: without a walk, two runs or more beside or with the event.

    Intensity kept: Bosquet L et al., Med Sci Sports Exerc 2007;39(8):1358-1365.
    """
    looked = 0

    def check(found: EventPlan) -> Iterator[str]:
        nonlocal looked
        for week in last_weeks(found):
            if week.rung is not None or len([s for s in week.sessions if s.is_run]) < 2:
                continue
            looked += 1
            if not any(s.kind in QUICK for s in week.sessions):
                yield f"week {week.number}: nothing quick"

    verdict = over(check)
    return verdict._replace(figure=f"{verdict.figure}; {looked} weeks that allow it")


def after(lives: int) -> Verdict:
    breaches, seen = [], []
    half = next(r for r in RUNNERS if r.name == "half")
    for distance in ("5 km", "10 km", "half marathon"):
        plan = f"{{from: {FIRST}, weeks: 20, hard: {{from_week: 1}}}}"
        case = read(replace(half, event=distance, event_on="2027-05-02", plan=plan).text)
        weeks = expand(case, case.first_monday).weeks
        later = [s for w in weeks for s in w.sessions if s.is_run and date(2027, 5, 2) < s.on]
        first = [s for s in later if s.on <= date(2027, 5, 2) + WEEK]
        peak = max(training(w) for w in weeks if w.kind == "build" and w.number < 16)
        minutes = sum(s.run_minutes for s in first)
        seen.append(f"{distance}: {minutes:.0f} min of {peak:.0f}")
        if any(s.hard for s in first):
            breaches.append(f"{distance}: something hard in the week after it")
        if minutes > 0.8 * peak:
            breaches.append(f"{distance}: {minutes:.0f} min in the week after it")
        if any(s.on == date(2027, 5, 2) + DAY for s in first):
            breaches.append(f"{distance}: a run on the day after it")
    return Verdict(tuple(breaches), "; ".join(seen))


# --- sessions ---------------------------------------------------------------------------------


BEGUN_WEEKS = 3  # the first hard runs are small by design


@lru_cache(maxsize=1)
def hard_plans() -> tuple[tuple[str, int, Plan], ...]:
    """Plans of 16 weeks with one or two hard sessions asked for, three to six days."""
    found = []
    half = next(r for r in RUNNERS if r.name == "half")
    for days in sweeps.DAYS[1:]:
        for minutes in (120, 180, 240):
            for asked in (1, 2):
                base = half.baseline.replace("150 min", f"{minutes} min").replace(
                    "longest: 60 min", f"longest: {minutes // 3} min"
                )
                plan = f"{{from: {FIRST}, weeks: 16, hard: {{from_week: 1, per_week: {asked}}}}}"
                runner = replace(half, event="", week=days, plan=plan, baseline=base)
                case = read(runner.text)
                name = f"{minutes} min, {days.count(':')} days, {asked} hard"
                found.append((name, asked, expand(case, case.first_monday)))
    return tuple(found)


def longest(lives: int) -> Verdict:
    def check(found: EventPlan) -> Iterator[str]:
        for week in found.plan.weeks:
            minutes = sorted(s.run_minutes for s in runs_of(week))
            if week.kind != "build" or len(minutes) < 3 or week.rung is not None:
                continue
            if minutes[-1] < 1.15 * minutes[-2] - 1:
                yield f"week {week.number}: {minutes[-1]:.0f} min, then {minutes[-2]:.0f}"

    return over(check)


def hard_minutes(session: Session) -> float:
    """Minutes of a hard session that are hard: those of its main part's repeats.

    Warm-up, cool-down, the walks and the easy running around them are not; a part with an effort
    of its own is where one is told.
    """
    hard = getattr(session, "hard_minutes", None)
    if hard is not None:
        return float(hard)
    if session.kind == "strides":
        return sum(p.total_minutes for p in session.parts if p.kind == "run" and p.repeat > 1)
    repeated = [p for p in session.parts if p.kind == "run" and p.repeat > 1]
    steady = [p for p in session.parts if p.kind == "run"]
    return sum(p.total_minutes for p in repeated) or max(
        (p.total_minutes for p in steady), default=0.0
    )


def hard(lives: int) -> Verdict:
    """A building week with less than half of the 20 % asked for has a word of `check` on it."""
    breaches, shares, short, built = [], [], 0, 0
    for name, asked, plan in hard_plans():
        wanted = 0.0
        for week in plan.weeks:
            sessions = [s for s in week.sessions if s.hard]
            if not training(week):
                continue
            share = sum(hard_minutes(s) for s in sessions) / training(week)
            shares += [share] if sessions else []
            if share > 0.2 + 1e-6:
                breaches.append(f"{name}: week {week.number} is {share:.0%} hard")
            wanted += asked if week.kind == "build" else 0
            if week.kind != "build" or plan.weeks.index(week) < BEGUN_WEEKS:
                continue
            built += 1
            little = sum(s.hard_minutes for s in sessions) < 0.1 * training(week) - 1
            short += little
            if little and not said_of(plan, week.number):
                breaches.append(f"{name}: week {week.number} is {share:.0%} hard, and nothing said")
        got = sum(s.hard for w in plan.weeks if w.kind == "build" for s in w.sessions)
        is_said = any("hard" in p.code or "hard" in p.message for p in plan.problems)
        if got < wanted / 2 and not is_said:
            breaches.append(f"{name}: {got} hard sessions of {wanted:.0f}, and nothing is said")
    middle = statistics.median(shares) if shares else 0.0
    seen = f"median {middle:.1%}, most {max(shares, default=0):.1%}"
    seen += f"; {short} of {built} building weeks under 10 %, each told with what would make room"
    return Verdict(tuple(breaches), seen if not breaches else seen.split(", each")[0])


def said_of(plan: Plan, number: int) -> bool:
    """Whether a warning on this week speaks of hard running, and of what would make room."""
    week = plan.weeks[number - 1]
    words = [str(d.says) for d in week.decisions if d.warns or not d.session]
    told = any("hard run" in text.lower() for text in words)
    return told and any("hard" in p.message.lower() and p.hint for p in plan.problems)


def variety(lives: int) -> Verdict:
    breaches = []
    for name, _, plan in hard_plans():
        before: list[tuple[object, ...]] = []
        for week in plan.weeks:
            now = [_shape(s) for s in week.sessions if s.hard]
            for shape in now:
                if len(before) >= 2 and shape in before[-1] and shape in before[-2]:
                    breaches.append(f"{name}: week {week.number}: {shape[0]} a third week")
            if now:
                before.append(tuple(now))
    return Verdict(tuple(breaches), f"{len(breaches)} sessions a third week in a row or more")


def _shape(session: Session) -> tuple[object, ...]:
    """What makes two sessions the same: their kind and their main part, not its length."""
    texts = tuple(p.text.template if p.text is not None else "" for p in session.parts)
    return (session.kind, texts)
