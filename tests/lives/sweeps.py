"""Sweeps: one thing is changed, many plans are made, and one figure comes out of each."""

from __future__ import annotations

import os
import statistics
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache
from itertools import product

from sitegen.model.plan import Plan, Session, Week
from sitegen.plan.fold import expand
from sitegen.rules.run_walk import CONTINUOUS_MIN

from .figures import needed_minutes, undisturbed
from .living import DAY, WEEK, Entry, Life, Told, entry, live, read, runs_of, training
from .runners import FIRST, Runner

# The runner of the sweep of shares: from 120 min a week, three runs, sixteen weeks.
ORDINARY = Runner(
    "ordinary",
    "misses at random, and tells",
    week="{tue: {}, thu: {}, sun: {}, long: sun}",
    plan="{from: 2027-01-04, weeks: 16, growth: 10 %, enough: 300 min}",
    does=1.0,
    sturdy=1e6,
)
SHARES = (1.0, 0.95, 0.9, 0.8, 0.7)
RUNS, GROWTHS = (2, 3, 4, 5, 6), (0, 5, 10, 20, 30)  # a week; in per cent
WIDELY = 3  # times as many lives where one figure comes out of all


@lru_cache
def share_done(does: float, lives: int) -> float:
    """Median of the last building week over that of the undisturbed plan."""
    runner = replace(ORDINARY, does=does)
    found = [live(runner, seed, until=15).last_build for seed in range(lives)]
    return statistics.median(found) / undisturbed(ORDINARY).last_build


def shares(lives: int) -> dict[str, float]:
    """Misses at random, all told: what is left of the plan."""
    return {f"{does:.0%} done": share_done(does, lives) for does in SHARES}


def widely(lives: int) -> dict[str, float]:
    """Misses at random, by runs a week and growth: what is left of the plan."""
    found = {}
    for runs, growth, does in product(RUNS, GROWTHS, SHARES[2:]):
        left = share_left(runs, growth, does, WIDELY * lives)
        found[f"{runs} runs, growth {growth} %, {does:.0%} done"] = left
    return found


def share_left(runs: int, growth: int, does: float, lives: int) -> float:
    """Median of the last building week over the undisturbed one's, of a runner of 120 min."""
    runner = replace(
        ORDINARY,
        week=DAYS[runs - 2],
        plan=f"{{from: 2027-01-04, weeks: 16, growth: {growth} %, enough: 300 min}}",
        does=does,
    )
    found = [live(runner, seed, until=15).last_build for seed in range(lives)]
    return statistics.median(found) / undisturbed(runner).last_build


def one_missed(lives: int) -> dict[str, float]:
    """One run missed, and told, against none: last building week, worst of every run and week."""
    found = {}
    for growth in (0, 5, 10, 20):
        plan = f"{{from: 2027-01-04, weeks: 16, growth: {growth} %, enough: 10 h}}"
        runner = replace(ORDINARY, plan=plan, name=f"growth {growth} %")
        plain = undisturbed(runner).last_build
        weeks = (2, 5, 8, 14)
        worst = min(
            undisturbed(runner, {(week, which)}).last_build
            for week, which in product(weeks, (0, -1))
        )
        found[runner.name] = worst / plain
    return found


def ease_missed(lives: int) -> dict[str, float]:
    """All runs of an easier week missed, and told: the last building week against undisturbed."""
    lost = undisturbed(ORDINARY, {(8, n) for n in range(3)}).last_build
    return {"all of week 8": lost / undisturbed(ORDINARY).last_build}


def half_told(lives: int) -> dict[str, float]:
    """All runs are run: minutes of the last building week, by what is told of them."""
    two = _telling(lambda n: n % 3 != 1)
    none = _telling(lambda n: False)
    return {
        "all told, min": undisturbed(_flat()).last_build,
        "two of three told, min": two.last_build,
        "none told, min": none.last_build,
    }


def _flat() -> Runner:
    return replace(ORDINARY, plan="{from: 2027-01-04, weeks: 12, growth: 0 %, enough: 300 min}")


def _telling(tells: Callable[[int], bool]) -> Life:
    """All told runs are run; the ``n``-th of them is told where ``tells(n)``."""
    life = Life(_flat(), read(_flat().text))
    number = 0
    for i in range(12):
        monday = life.case.first_monday + WEEK * i
        plan = life.plan_on(monday)
        for session in runs_of(plan.weeks[i]):
            if tells(number):
                said = entry(session.on, ran=f"{session.run_minutes:.0f} min", pain={"during": "0"})
                life.log.append(Entry(said, session.on))
            number += 1
        life.weeks.append(Told(plan.weeks[i], plan, (), (), False))
    return life


def light_week(lives: int) -> dict[str, float]:
    """A week made light by the coach: the next building week over the one before it."""
    plan = "{from: 2027-01-04, weeks: 16, growth: 0 %, enough: 300 min}"
    base = (
        "{on: 2027-01-04, cadence: 160 spm, pace: 6:30 /km, week: 300 min, longest: 110 min, "
        "runs: 4}"
    )
    runner = replace(
        ORDINARY,
        plan=plan,
        baseline=base,
        week="{tue: {}, thu: {}, sat: {}, sun: {}, long: sun}",
        more="changes: [{week: 6, minutes: 100 min, because: A light week}]",
    )
    life = undisturbed(runner)
    before, after = training(life.weeks[4].week), training(life.weeks[6].week)
    return {"before, min": before, "light, min": training(life.weeks[5].week), "after, min": after}


# --- plans for events ---------------------------------------------------------------------------

DAYS = (
    "{tue: {}, sat: {}}",
    "{tue: {}, thu: {}, sun: {}}",
    "{tue: {}, thu: {}, sat: {}, sun: {}}",
    "{mon: {}, tue: {}, thu: {}, sat: {}, sun: {}}",
    "{mon: {}, tue: {}, wed: {}, thu: {}, sat: {}, sun: {}}",
)
DISTANCES = ("5 km", "10 km", "half marathon", "marathon")


@dataclass(frozen=True)
class EventPlan:
    """One plan of the sweep. ``need`` is the long run that the event asks for, in minutes."""

    runner: Runner
    minutes: int
    days: int
    weeks: int
    need: float
    plan: Plan

    @property
    def before(self) -> list[Week]:
        """Weeks before the event's own."""
        return [w for w in self.plan.weeks if w.kind != "event"]

    @property
    def reached(self) -> float:
        """The longest run that is told before the event, in minutes."""
        return max((s.run_minutes for w in self.plan.weeks for s in runs_of(w)), default=0.0)

    @property
    def reaches(self) -> bool:
        return self.reached >= self.need - 1  # shares of a week are whole minutes

    @property
    def told(self) -> bool:
        """Whether `check` says what stands in the way."""
        return any(p.code.startswith("event") for p in self.plan.problems)


# Of 24 volumes; six in a test by day, all by night and for `python -m tests.lives`.
VOLUMES = range(24) if os.environ.get("PROMISES") == "nightly" else (0, 5, 9, 14, 18, 23)


@lru_cache(maxsize=1)
def event_plans() -> tuple[EventPlan, ...]:
    """960 plans: two to six days, 60 to 240 min a week, four distances, 12 and 20 weeks, each with
    a hard session a week asked for.

    In a test by day 240 of them.

    The longest run of the last month is two fifths of the week with two or three runs, and a third
    with more: common practice, no source.
    """
    return tuple(_event_plans())


def _event_plans() -> Iterator[EventPlan]:
    minutes_a_week = [round(60 + 180 * n / 23) for n in VOLUMES]
    for n, minutes, distance, weeks in product(range(5), minutes_a_week, DISTANCES, (12, 20)):
        runs = n + 2
        longest = round(minutes * (0.4 if runs <= 3 else 0.33))
        runner = Runner(
            f"{runs} days, {minutes} min, {distance}, {weeks} weeks",
            "an event plan",
            baseline=f"{{on: 2027-01-04, cadence: 160 spm, pace: 6:30 /km, week: {minutes} min, "
            f"longest: {longest} min, runs: {runs}}}",
            week=DAYS[n],
            plan=f"{{from: 2027-01-04, weeks: {weeks}, growth: 10 %, hard: {{from_week: 5}}}}",
            event=distance,
            event_on=_last_sunday(weeks),
        )
        need = needed_minutes(runner)
        assert need is not None
        case = read(runner.text)
        plan = expand(case, case.first_monday)
        yield EventPlan(runner, minutes, runs, weeks, need, plan)


def _last_sunday(weeks: int) -> str:
    return (date.fromisoformat(FIRST) + WEEK * weeks - DAY).isoformat()


def events(lives: int) -> dict[str, float]:
    """Of 960 event plans: reached, said why not, and what stands close to the event."""
    plans = event_plans()
    found: dict[str, float] = {"plans": len(plans)}
    for distance in DISTANCES:
        mine = [p for p in plans if p.runner.event == distance]
        found[f"{distance}: reach their long run"] = sum(p.reaches for p in mine)
        found[f"{distance}: neither reach it nor say why"] = sum(
            not p.reaches and not p.told for p in mine
        )
    ready = [p for p in plans if p.weeks == 20]
    halves = [p for p in ready if p.runner.event == "half marathon" and p.minutes >= 150]
    marathons = [p for p in ready if p.runner.event == "marathon" and p.minutes >= 240]
    found["half, 20 weeks, from 150 min: share that reach it"] = _share(halves)
    found["marathon, 20 weeks, from 240 min: share that reach it"] = _share(marathons)
    found["largest run over the longest of 30 days before it"] = max(map(largest_jump, plans))
    found["a run of 60 min or more within three days of the event"] = sum(
        any(s.run_minutes >= 60 for s in close(p, 3)) for p in plans
    )
    return found


def _share(plans: list[EventPlan]) -> float:
    return sum(p.reaches for p in plans) / len(plans)


def close(found: EventPlan, days: int) -> list[Session]:
    """Runs in the days before the event."""
    event = read(found.runner.text).client.goal.event
    assert event is not None
    return [s for w in found.plan.weeks for s in runs_of(w) if 0 < (event.on - s.on).days <= days]


def largest_jump(found: EventPlan) -> float:
    """Each run over the longest of the thirty days before it, the baseline's among them.

    From 30 min without a walk on; before it a session's running grows by five minutes at most.
    """
    base = read(found.runner.text).client.baseline
    assert base.longest is not None
    runs = [(base.on - DAY, base.longest.minutes)]
    most = 0.0
    for session in (s for w in found.plan.weeks for s in runs_of(w)):
        window = [m for on, m in runs if 0 < (session.on - on).days <= 30]
        if window and max(window) >= CONTINUOUS_MIN:
            most = max(most, session.run_minutes / max(window))
        runs.append((session.on, session.run_minutes))
    return most


SWEEPS: Mapping[str, Callable[[int], dict[str, float]]] = {
    "shares": shares,
    "widely": widely,
    "one missed": one_missed,
    "ease missed": ease_missed,
    "half told": half_told,
    "light week": light_week,
    "events": events,
}


def everything(lives: int, only: str, tell: Callable[[str], None]) -> dict[str, dict[str, float]]:
    """Every sweep whose name holds ``only``, told line by line."""
    found = {}
    for name, sweep in SWEEPS.items():
        if only not in name:
            continue
        tell(f"\n{name}: {(sweep.__doc__ or '').splitlines()[0]}")
        found[name] = sweep(lives)
        for what, figure in found[name].items():
            tell(f"  {figure:8.2f}  {what}")
    return found
