"""Promises that are held over a crowd of lives, week by week."""

from __future__ import annotations

import random
import statistics
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import pairwise

from sitegen.model.plan import Plan, Week
from sitegen.plan.fold import expand

from .living import DAY, WEEK, Life, Told, runs_of, training
from .population import life_of
from .verdict import Verdict

ROUNDING = 2.0  # minutes: a week is made of runs of whole minutes
Check = Callable[[Life], Iterator[str]]


def over(lives: int, check: Check) -> Verdict:
    """Look at each life of the crowd."""
    breaches, broken, looked = [], 0, 0
    for seed in range(lives):
        life = life_of(seed)
        found = list(check(life))
        looked += 1
        broken += bool(found)
        breaches += [f"life {seed}: {line}" for line in found]
    return Verdict(tuple(breaches), f"{broken} of {looked} lives break it")


def known_fates(life: Life, told: Told) -> list[str]:
    """What is known of each told run when the next week begins: done, missed, ill or unknown."""
    monday = told.week.start
    heard = life.entries(monday, monday + WEEK, monday + WEEK)
    found = []
    for session in runs_of(told.week):
        own = [e for e in heard if e.checkin.on == session.on]
        if any(e.minutes > 0 for e in own):
            found.append("done")
        elif any(e.checkin.skipped == "ill" for e in own):
            found.append("ill")
        else:
            found.append("missed" if own else "unknown")
    return found


def is_calm(life: Life, last: Week) -> bool:
    """Whether no pain, illness, absence or late word stands before a week."""
    runner = life.runner
    entries = life.entries(life.case.first_monday, last.start)
    before = [t.week for t in life.weeks if t.week.start < last.start]
    return (
        not runner.ill
        and not runner.away
        and not runner.late
        and all((e.checkin.pain is None or (e.checkin.pain.worst or 0) <= 1) for e in entries)
        and all(w.kind in ("build", "ease", "hold") for w in before)
    )


def building(life: Life) -> list[Told]:
    return [t for t in life.weeks if t.week.kind == "build" and runs_of(t.week)]


def counted(life: Life, told: Told) -> float:
    """Minutes known to be run of a week: each run up to what was told, an unheard one as told."""
    heard = life.entries(told.week.start, told.week.start + WEEK)
    total = 0.0
    for session in runs_of(told.week):
        own = [e for e in heard if e.checkin.on == session.on]
        ran = sum(e.minutes for e in own)
        total += min(ran, session.run_minutes) if own else session.run_minutes
    return total


def bound(life: Life, week: Week, of: Callable[[list[float]], float] = max) -> float:
    """One and a half times the mean of the last four heard weeks; infinite where too few are.

    ``of`` chooses what an easier week stands for.
    """
    before = [t for t in life.weeks if t.week.start < week.start and runs_of(t.week)]
    heard = [
        t
        for t in before
        if t.week.kind in ("build", "hold", "ease") and _tells_of_running(known_fates(life, t))
    ][-4:]
    if len(heard) < 3:
        return float("inf")
    level = {t.week.number: of(_levels(life, t)) for t in heard}
    means = [counted(life, t) * level[t.week.number] / training(t.week) for t in heard]
    filled = [*means, *[life.case.client.baseline.week.minutes] * (4 - len(heard))]
    return 1.5 * min(statistics.mean(means), statistics.mean(filled))


def _tells_of_running(fates: list[str]) -> bool:
    """Whether a week says how much is run: it was heard of, and nobody was ill in it."""
    return set(fates) != {"unknown"} and "ill" not in fates


def _levels(life: Life, told: Told) -> list[float]:
    """Of an easier week, minutes of the building week before it, and those that it is told to be
    cut from, which are others where the guard or a missed run came between; else its own."""
    if told.week.kind != "ease":
        return [training(told.week)]
    cut = [d.before for d in told.week.decisions if d.rule == "ease" and d.before is not None]
    earlier = [training(t.week) for t in building(life) if t.week.start < told.week.start][-1:]
    return cut + earlier or [life.case.client.baseline.week.minutes]


def repeats(lives: int) -> Verdict:
    def check(life: Life) -> Iterator[str]:
        if life.runner.extra:
            return  # a run on a day off stands for one that was left out the day before or after
        highest = 0.0
        for one, other in pairwise(building(life)):
            highest = max(highest, training(one.week))
            if (other.week.start - one.week.start).days > 14:
                continue
            fates = known_fates(life, one)
            if set(fates) <= {"done"} or not is_calm(life, other.week):
                continue
            if fates.count("unknown") == len(fates) or is_held(other.week):
                continue  # silence, and the limit of single runs, have promises of their own
            # The guard's bound is worked out by hand in its own tests: of a week that was held or
            # shortened while it was under way the harness knows it to a tenth.
            least = min(training(one.week), 0.9 * bound(life, other.week, min))
            most = max(highest, room(one.week)) + ROUNDING
            if not least - max(ROUNDING, len(fates)) <= training(other.week) <= most:
                yield (
                    f"week {one.week.number} {training(one.week):.0f} min with {fates}, then "
                    f"week {other.week.number} {training(other.week):.0f} min"
                )

    return over(lives, check)


def grows(lives: int) -> Verdict:
    def check(life: Life) -> Iterator[str]:
        plan = life.case.client.plan
        growth = plan.growth.fraction if plan.growth else 0.1
        for one, other in pairwise(building(life)):
            before = training(one.week)
            enough = plan.enough.minutes if plan.enough else 150.0
            if before * growth < ROUNDING or before >= min(enough, 300) - ROUNDING:
                continue
            is_next = (other.week.start - one.week.start).days <= 14
            as_told = 1 <= life.runner.amount < 1.25  # who runs far more is held to what was told
            done = set(known_fates(life, one)) == {"done"} and as_told
            between = [t for t in life.weeks if one.week.start < t.week.start < other.week.start]
            easy = all(t.week.kind == "ease" and not _is_half_unheard(life, t) for t in between)
            easy = easy and not shortened_since(one, other.plan)
            if not (is_next and easy and done and is_calm(life, other.week)):
                continue
            now = training(other.week)
            cut = rules_of(other.week) & {"guard", "run_walk"}
            if now <= before and not cut and not is_held(other.week):
                yield (
                    f"week {one.week.number} {before:.0f} min all done, then week "
                    f"{other.week.number} {now:.0f} min"
                )

    return over(lives, check)


def _is_half_unheard(life: Life, told: Told) -> bool:
    """Whether of half of a week's runs or more nothing was heard: then the level is repeated."""
    fates = known_fates(life, told)
    return 2 * fates.count("unknown") >= len(fates)


def shortened_since(told: Told, plan: Plan) -> bool:
    """Whether a later plan has days of a week shorter than its Monday told: so much was known on
    their own mornings of days without a run, or of runs that were far too long."""
    return training(plan.weeks[told.week.number - 1]) < training(told.week) - ROUNDING


def room(week: Week) -> float:
    """Minutes that the week had room for before limits on single runs and the guard cut it."""
    told = {d.rule: d for d in week.decisions}
    if "volume" in told:
        return told["volume"].after or 0.0
    cut = told.get("guard")  # where it cut the room, that is told as what it cut from
    return (cut.before or 0.0) if cut is not None else 0.0


def rules_of(week: Week) -> set[str]:
    """The rules that are told to have decided something in the week."""
    return {d.rule for d in week.decisions}


def is_held(week: Week) -> bool:
    """Whether it is told that limits of days and of single runs hold the week's minutes down, or
    every run has the most that one may."""
    most = min((d.after for d in week.decisions if d.rule == "longest" and d.after), default=None)
    is_full = most is not None and all(s.run_minutes >= most - 1 for s in runs_of(week))
    return is_full or any(d.rule == "spacing" and d.after is not None for d in week.decisions)


def floor(lives: int) -> Verdict:
    """Of who does not tell all the plan knows less than was run: the guard wins over the
    floor, and so does the limit of single runs, which grow from those that were heard of."""

    def check(life: Life) -> Iterator[str]:
        found = building(life)
        tells_all = life.runner.tells == life.runner.tells_missed == 1
        for at in range(4, len(found)):
            week = found[at].week
            if not is_calm(life, week):
                continue
            if not tells_all and ("guard" in rules_of(week) or is_held(week)):
                continue
            mean = statistics.mean(_really(t) for t in found[at - 4 : at])
            if training(week) < 0.9 * mean - ROUNDING:
                yield f"week {week.number}: {training(week):.0f} min, {mean:.0f} really run"

    return over(lives, check)


def _really(told: Told) -> float:
    """Minutes really run of a week's told runs, told of or not, each up to what was told."""
    return sum(
        min(sum(m for on, m in told.ran if on == s.on), s.run_minutes) for s in runs_of(told.week)
    )


def guard(lives: int) -> Verdict:
    def check(life: Life) -> Iterator[str]:
        runner = life.runner
        if runner.late or runner.extra or runner.tells < 1 or runner.tells_missed < 1:
            return
        for told in building(life):
            most = max(bound(life, told.week), 30.0)
            if training(told.week) > most + ROUNDING:
                yield f"week {told.week.number}: {training(told.week):.0f} min, {most:.0f} at most"

    return over(lives, check)


def never_nothing(lives: int) -> Verdict:
    def check(life: Life) -> Iterator[str]:
        for told in life.weeks:
            if training(told.week) > 0:
                continue
            is_told = any(d.warns and d.after == 0 for d in told.week.decisions)
            if not is_told and (told.week.kind != "pause" or not told.week.decisions):
                yield f"week {told.week.number} ({told.week.kind}) has 0 min"

    return over(lives, check)


def sunday(lives: int) -> Verdict:
    def check(life: Life) -> Iterator[str]:
        chance = random.Random(f"sunday-{life.runner.name}")
        at = chance.randrange(1, len(life.weeks))
        told, before = life.weeks[at], life.weeks[at - 1]
        last = told.week.start - DAY
        mine = [s for s in before.week.sessions if s.on == last and s.is_run]
        heard = life.entries(last, last + DAY, told.week.start)
        if life.runner.late or before.changed or (mine and not heard):
            return
        if "silence" in rules_of(told.week):
            return  # each day of it is something new
        seen = expand(life.known(told.week.start), last)
        one = [(s.on, s.kind, s.run_minutes) for s in seen.weeks[at].sessions]
        other = [(s.on, s.kind, s.run_minutes) for s in told.week.sessions]
        if one != other:
            minutes = training(seen.weeks[at])
            now = training(told.week)
            yield f"week {told.week.number}: {minutes:.0f} on Sunday, {now:.0f} on Monday"

    return over(lives, check)


def honesty(lives: int) -> Verdict:
    """But for the guard, absence and the limit of single runs, which know only what was told.

    Both count a run that was told to be left out, and neither one of which nothing was heard:
    silence is no absence. So who keeps misses quiet is cut less. Counting the unheard as missed
    would be honest, and would bring down who runs all and tells half; the guard is the safer.
    Of 283 lives in which one harmless entry was kept quiet 18 were shown more for it, 16 by the
    guard, a tenth more in the middle.
    """

    def check(life: Life) -> Iterator[str]:
        chance = random.Random(f"honesty-{life.runner.name}")
        told = chance.choice(life.weeks[1:])
        monday = told.week.start
        full = life.known(monday)
        harmless = [
            e
            for e in full.log
            if e.on >= monday - 2 * WEEK
            and e.skipped in (None, "time")
            and (e.pain is None or (e.pain.worst or 0) == 0)
        ]
        if not harmless:
            return
        lost = chance.choice(harmless)
        less = replace(full, log=tuple(e for e in full.log if e is not lost))
        index = told.week.number - 1
        weeks = told.plan.weeks[: told.week.number]
        # An easier week is cut from the building week before it, as the guard left that.
        last = next((w for w in reversed(weeks) if w.kind == "build"), told.week)
        cut = rules_of(told.week) | (rules_of(last) if told.week.kind == "ease" else set())
        if any(w.kind == "return" for w in weeks) or "guard" in cut:
            return
        if any(shortened_since(t, told.plan) for t in life.weeks[: told.week.number - 1]):
            return  # days without a run, within a week
        if lost.ran is not None and is_held(told.week):
            return  # a long run cut short is what the next ones grow from
        silent = training(expand(less, monday).weeks[index])
        if silent > training(told.week) + ROUNDING:
            what = f"skipped {lost.skipped}" if lost.skipped else f"ran {lost.ran}"
            yield (
                f"week {told.week.number}: {training(told.week):.0f} min, {silent:.0f} had "
                f"'{what}' of {lost.on} not been told"
            )

    return over(lives, check)
