"""Promises that are held on plans written for them."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import replace
from datetime import date
from functools import wraps
from itertools import pairwise, product

from sitegen.model.plan import Plan, Session, Week
from sitegen.plan.fold import expand

from . import sweeps
from .figures import undisturbed
from .living import DAY, WEEK, Entry, Life, entry, read, runs_of, training
from .runners import FIRST, RUNNERS, Runner
from .sweeps import ORDINARY
from .verdict import Verdict

MONDAY = date.fromisoformat(FIRST)
ROUNDING = 2.0


def of_file(judge: Callable[[int], Verdict]) -> Callable[[int], Verdict]:
    """A file that is refused breaks the promise, and says how."""

    @wraps(judge)
    def judged(lives: int) -> Verdict:
        try:
            return judge(lives)
        except ValueError as refused:
            return Verdict((str(refused)[:200],), "the file is refused")

    return judged


def plan_on(runner: Runner, day: date, runs: Collection[tuple[date, float]] = ()) -> Plan:
    """The plan on a day after some runs, without pain."""
    log = tuple(entry(on, ran=f"{minutes:.0f} min", pain={"during": "0"}) for on, minutes in runs)
    return expand(replace(read(runner.text), log=log), day)


FLOORS = {0.9: 0.70, 0.8: 0.50, 0.7: 0.35}  # by the share of runs done, of the undisturbed plan


def shares(lives: int) -> Verdict:
    looked = 300 if lives > 1000 else 20
    found = {does: sweeps.share_done(does, looked) for does in FLOORS}
    seen = ", ".join(f"{does:.0%} done: {share:.2f}" for does, share in found.items())
    return Verdict(tuple(_too_low(found.items())), f"{seen}; {looked} lives each")


def shares_widely(lives: int) -> Verdict:
    """Every growth and number of runs by night, with 60 lives each; by day the steepest, with 5."""
    is_night = lives > 1000
    points = [*product(sweeps.RUNS, sweeps.GROWTHS)] if is_night else [(6, 30)]
    breaches, least = [], dict.fromkeys(FLOORS, 1.0)
    for runs, growth in points:
        left = {d: sweeps.share_left(runs, growth, d, 60 if is_night else 5) for d in FLOORS}
        breaches += [f"{runs} runs, growth {growth} %, {line}" for line in _too_low(left.items())]
        least = {does: min(least[does], share) for does, share in left.items()}
    seen = ", ".join(f"{does:.0%} done: {share:.2f}" for does, share in least.items())
    return Verdict(tuple(breaches), f"least of {len(points)}: {seen}")


def _too_low(found: Iterable[tuple[float, float]]) -> Iterator[str]:
    for does, share in found:
        if share < FLOORS[does]:
            yield f"{does:.0%} done: {share:.2f}, at least {FLOORS[does]} promised"


def one_missed(lives: int) -> Verdict:
    found = sweeps.one_missed(lives)
    breaches = []
    for name, share in found.items():
        growth = int(name.split()[1]) / 100
        if share < 1 / (1 + growth) - 0.02:  # whole minutes, grown for weeks
            breaches.append(f"{name}: {share:.2f} of the undisturbed week")
    return Verdict(tuple(breaches), ", ".join(f"{n}: {s:.2f}" for n, s in found.items()))


def ease_missed(lives: int) -> Verdict:
    (share,) = sweeps.ease_missed(lives).values()
    breaches = (f"{share:.2f} of the undisturbed week",) if share < 0.99 else ()
    return Verdict(breaches, f"{share:.2f} of the undisturbed week")


def half_told(lives: int) -> Verdict:
    found = sweeps.half_told(lives)
    whole = found["all told, min"]
    # Who says nothing at all is not heard of: after four weeks the plan waits for a word.
    breaches = tuple(
        f"{name} {minutes:.0f}, all told {whole:.0f}"
        for name, minutes in found.items()
        if "two" in name and minutes < whole - ROUNDING
    )
    return Verdict(breaches, ", ".join(f"{n} {m:.0f}" for n, m in found.items()))


def habit(lives: int) -> Verdict:
    life = undisturbed(replace(ORDINARY, name="habit"), {(w, 1) for w in range(1, 7)})
    plan = life.plan_on(MONDAY + 6 * WEEK)
    hints = [p.hint for p in plan.problems]
    asked = any("runs: 2" in hint for hint in hints)
    return Verdict(() if asked else (f"said: {hints}",), "asked" if asked else "not asked")


@of_file
def silence(lives: int) -> Verdict:
    runner = replace(ORDINARY, plan="{from: 2027-01-04, weeks: 16, growth: 0 %, enough: 300 min}")
    runs = [(s.on, s.run_minutes) for w in _undisturbed(runner)[:4] for s in runs_of(w)]
    last_word = MONDAY + 4 * WEEK - DAY
    level = training(_undisturbed(runner)[4])
    found = {}
    for weeks, share in ((2, 0.8), (4, 0.0)):
        day = last_word + DAY + weeks * WEEK
        found[weeks] = _ahead(plan_on(runner, day, runs), day) / level, share
    back = last_word + 3 * WEEK
    told = plan_on(runner, back, [*runs, (back - DAY, 40.0)])
    heard = _ahead(told, back)
    breaches = [
        f"after {w} weeks without a word {got:.2f} of the level, {want} promised"
        for w, (got, want) in found.items()
        if abs(got - want) > 0.08
    ]
    if heard < level * 0.5:
        breaches.append(f"a word after three weeks: {heard:.0f} min of {level:.0f}")
    seen = ", ".join(f"{w} weeks: {got:.2f}" for w, (got, _) in found.items())
    return Verdict(tuple(breaches), f"{seen}; a word after three weeks: {heard / level:.2f}")


def _undisturbed(runner: Runner) -> list[Week]:
    return [t.week for t in undisturbed(runner).weeks]


def _ahead(plan: Plan, day: date) -> float:
    """Running minutes of the next seven days."""
    return sum(s.run_minutes for s in plan.sessions if day <= s.on < day + WEEK)


@of_file
def none_by_agreement(lives: int) -> Verdict:
    runner = replace(ORDINARY, more="checkins: none")
    minutes = [training(plan_on(runner, MONDAY + n * WEEK).weeks[n]) for n in range(15)]
    built = [m for n, m in enumerate(minutes) if (n + 1) % 4]
    breaches = (f"weeks as told: {minutes}",) if min(built) < 120 - ROUNDING or 0 in minutes else ()
    return Verdict(breaches, f"from {built[0]:.0f} to {built[-1]:.0f} min")


def light_week(lives: int) -> Verdict:
    found = sweeps.light_week(lives)
    is_lower = found["after, min"] < found["before, min"] - ROUNDING
    breaches = (f"{found}",) if is_lower else ()
    return Verdict(breaches, ", ".join(f"{n} {m:.0f}" for n, m in found.items()))


def small(lives: int) -> Verdict:
    breaches, seen = [], []
    for minutes, growth in ((20, 5), (30, 3), (40, 10)):
        runner = replace(
            ORDINARY,
            baseline=f"{{on: {FIRST}, cadence: 160 spm, pace: 7:30 /km, week: {minutes} min, "
            f"longest: {minutes // 2} min, continuous: {minutes // 2} min, runs: 2}}",
            plan=f"{{from: {FIRST}, weeks: 16, growth: {growth} %, enough: 300 min}}",
        )
        last = undisturbed(runner).last_build
        seen.append(f"{minutes} min, {growth} %: {last:.0f}")
        if last <= minutes:
            breaches.append(f"{minutes} min, growth {growth} %: {last:.0f} min in the last week")
    return Verdict(tuple(breaches), "; ".join(seen))


def stop_wins(lives: int) -> Verdict:
    runner = replace(
        ORDINARY, more="changes: [{on: 2027-01-21, minutes: 30 min, because: She wants to}]"
    )
    hurt = entry(date(2027, 1, 19), ran="20 min", signs=["chest_pain"])
    plan = expand(replace(read(runner.text), log=(hurt,)), date(2027, 1, 20))
    ahead = [s for s in plan.sessions if s.on >= date(2027, 1, 20) and s.is_run]
    breaches = tuple(f"{s.run_minutes:.0f} min on {s.on}" for s in ahead)
    return Verdict(breaches, f"{len(ahead)} runs after a sign that stops")


def after_lift(lives: int) -> Verdict:
    """A sign in week 6, lifted on each of the days after it, where hard runs were asked for.

    In the lift's week and the first whole one: 80 % of the last building week, nothing hard. After
    chest pain nothing hard at all, as no clinician has cleared it.
    """
    told = date(2027, 2, 9)  # a Tuesday
    breaches, most = [], 0.0
    for sign in ("chest_pain", "limp"):
        for on in (told + DAY * n for n in range(1, 15)):
            lift = f"changes: [{{on: {on}, lifts: {sign} {told}, seen_by: a doctor, because: x}}]"
            asks = f"{{from: {FIRST}, weeks: 12, enough: 300 min, hard: {{per_week: 1}}}}"
            runner = replace(ORDINARY, plan=asks, more=lift)
            done = [
                entry(s.on, ran=f"{s.run_minutes:.0f} min")
                for w in _undisturbed(replace(ORDINARY, plan=asks))[:5]
                for s in runs_of(w)
            ]
            case = replace(read(runner.text), log=(*done, entry(told, signs=[sign])))
            weeks = expand(case, on).weeks
            back = [w for w in weeks if on - DAY * 7 < w.start <= on + DAY * (-on.weekday() % 7)]
            level = training(weeks[4])
            most = max(most, *(training(w) / level for w in back if w.start >= on))
            hard = {w.number for w in weeks for s in w.sessions if s.hard and s.on >= on}
            breaches += [
                f"{sign} lifted on {on:%A}: {training(w):.0f} of {level:.0f} min in week {w.number}"
                for w in back
                if w.start >= on and training(w) > 0.8 * level + ROUNDING
            ]
            if hard & {w.number for w in back} or (sign == "chest_pain" and hard):
                breaches.append(f"{sign} lifted on {on:%A}: hard in weeks {sorted(hard)}")
    return Verdict(tuple(breaches), f"{most:.0%} of the last building week at most")


def dated_ahead(lives: int) -> Verdict:
    """A lift, the end of days away, and a week of rest, each still to come."""
    today = date(2027, 1, 20)
    lift = "changes: [{on: 2027-02-02, lifts: limp 2027-01-19, seen_by: a doctor, because: x}]"
    away = "away: [{from: 2027-01-20, to: 2027-02-01, because: x}]"
    rest = "changes: [{week: 4, rest: yes, because: x}]"
    ends = {lift: date(2027, 2, 2), away: date(2027, 2, 2), rest: date(2027, 2, 1)}
    breaches = []
    for more, free in ends.items():
        case = read(replace(ORDINARY, more=more).text)
        limp = (entry(date(2027, 1, 19), signs=["limp"]),) if more == lift else ()
        plan = expand(replace(case, log=limp), today)
        first = free if more != rest else date(2027, 1, 25)
        ahead = [s.on for s in plan.sessions if s.is_run and s.on >= today]
        stands = [on for on in ahead if first <= on < free or (more != rest and on < free)]
        soon = [on for on in ahead if free <= on < free + WEEK]
        breaches += [f"{more}: a run on {on}" for on in stands]
        breaches += [] if soon else [f"{more}: nothing in the week from {free} on"]
    return Verdict(tuple(breaches), f"{len(ends)} of them are planned ahead")


@of_file
def enough(lives: int) -> Verdict:
    runner = replace(ORDINARY, plan=f"{{from: {FIRST}, weeks: 16, enough: 180 min}}")
    most = max(training(w) for w in _undisturbed(runner))
    good = 180 - 10 <= most <= 180 + ROUNDING
    return Verdict(() if good else (f"{most:.0f} min at most",), f"{most:.0f} min at most")


def enough_by_itself(lives: int) -> Verdict:
    breaches, seen = [], []
    for minutes in (70, 120, 200):
        base = (
            f"{{on: {FIRST}, cadence: 160 spm, pace: 6:30 /km, week: {minutes} min, "
            f"longest: {minutes * 2 // 5} min, runs: 3}}"
        )
        runner = replace(ORDINARY, baseline=base, plan=f"{{from: {FIRST}, weeks: 24}}")
        most = max(training(w) for w in _undisturbed(runner))
        seen.append(f"from {minutes}: {most:.0f}")
        if most > max(150, minutes) + ROUNDING:
            breaches.append(f"from {minutes} min to {most:.0f}")
    return Verdict(tuple(breaches), "; ".join(seen))


@of_file
def runs(lives: int) -> Verdict:
    runner = replace(
        ORDINARY,
        week="{tue: {}, thu: {}, sat: {}, sun: {}, long: sun}",
        plan=f"{{from: {FIRST}, weeks: 8, runs: 2}}",
    )
    counts = [len(runs_of(w)) for w in _undisturbed(runner)]
    return Verdict(() if set(counts) == {2} else (f"runs a week: {counts}",), f"{counts}")


@of_file
def away(lives: int) -> Verdict:
    gone = "away: [{from: 2027-01-27, to: 2027-02-07, because: Holiday}]"
    plan = plan_on(replace(ORDINARY, more=gone), MONDAY)
    first, last = date(2027, 1, 27), date(2027, 2, 7)
    inside = [s for s in plan.sessions if first <= s.on <= last and s.is_run]
    return Verdict(tuple(f"a run on {s.on}" for s in inside), f"{len(inside)} runs on days away")


@of_file
def odd_week(lives: int) -> Verdict:
    odd = "weeks_on: {2027-01-18: {mon: {}, wed: {}, fri: {}}}"
    week = plan_on(replace(ORDINARY, more=odd), MONDAY).weeks[2]
    wrong = [s for s in runs_of(week) if s.on.weekday() not in (0, 2, 4)]
    return Verdict(tuple(f"a run on {s.on:%A}" for s in wrong), _days(runs_of(week)))


@of_file
def rota(lives: int) -> Verdict:
    week = "[{tue: {}, sat: {}}, {wed: {}, fri: {}, sun: {}}]"
    plan = plan_on(replace(ORDINARY, week=week), MONDAY)
    sets = [{s.on.weekday() for s in runs_of(w)} for w in plan.weeks]
    good = all(s <= ({1, 5}, {2, 4, 6})[i % 2] for i, s in enumerate(sets))
    return Verdict(() if good else (f"{sets[:4]}",), f"{sets[:2]}")


def _days(found: list[Session]) -> str:
    return ", ".join(f"{s.on:%a}" for s in found)


def strength(lives: int) -> Verdict:
    breaches, seen = [], 0
    offers = "{for: [run, strength]}"
    for days in ("tue thu sun", "mon tue thu sat sun", "tue wed fri sun"):
        week = "{" + ", ".join(f"{d}: {offers}" for d in days.split()) + ", long: sun}"
        for hard in ("", ", hard: {from_week: 1, per_week: 2}"):
            plan = plan_on(
                replace(ORDINARY, week=week, plan=f"{{from: {FIRST}, weeks: 12{hard}}}"), MONDAY
            )
            for found in plan.weeks:
                seen += 1
                if not any(s.kind == "strength" for s in found.sessions):
                    breaches.append(f"{days}{hard}: week {found.number} has no strength")
    return Verdict(tuple(breaches), f"{len(breaches)} of {seen} weeks without")


def scrap(lives: int) -> Verdict:
    """The last stretch of running is at least half as long as the one before it."""
    nothing = next(r for r in RUNNERS if r.name == "from nothing")
    breaches, seen = [], 0
    for week in _undisturbed(replace(nothing, event="")):
        for session in runs_of(week):
            stretches = [p.minutes for p in session.parts if p.kind in ("run", "beat")]
            walks = any(p.kind == "walk" for p in session.parts)
            seen += walks
            if walks and len(stretches) > 1 and stretches[-1] < stretches[-2] / 2:
                breaches.append(f"{session.id}: {stretches}")
    return Verdict(tuple(breaches), f"{len(breaches)} of {seen} runs with walks")


def masters(lives: int) -> Verdict:
    old = next(r for r in RUNNERS if r.name == "masters 66")
    plan = plan_on(replace(old, event=""), MONDAY)
    days = sorted(s.on for w in plan.weeks for s in runs_of(w))
    close = [b for a, b in pairwise(days) if (b - a).days == 1]
    breaches = tuple(f"runs on {d - DAY} and {d}" for d in close)
    return Verdict(breaches, f"{len(close)} pairs of days")


def held(lives: int) -> Verdict:
    """Baseline 162, 162 logged on every run: one step up at most."""
    base = ORDINARY.baseline.replace("160 spm", "162 spm")
    runner = replace(ORDINARY, baseline=base)
    case = read(runner.text)
    life = Life(runner, case)
    aims = []
    for n in range(16):
        monday = MONDAY + n * WEEK
        plan = life.plan_on(monday)
        aims.append(plan.weeks[n].cadence.aim)
        for session in runs_of(plan.weeks[n]):
            km = session.run_minutes / 6.5
            told = entry(
                session.on, ran=f"{session.run_minutes:.0f} min", distance=f"{km:.1f} km",
                cadence="162 spm", pain={"during": "0"},
            )  # fmt: skip
            life.log.append(Entry(told, session.on))
    steps = len(set(aims)) - 1
    return Verdict(() if steps <= 1 else (f"aims {aims}",), f"from {aims[0]} to {aims[-1]} spm")
