"""One life: each Monday the plan is worked out from file and log, and then the week happens.

A plan is looked at anew inside a week where something happened that could change it: pain, a
sign, an illness. Everything goes in as a coach and a client would write it, through the reader
and `expand`, which are what `sitegen weeks --json` runs.
"""

from __future__ import annotations

import random
from collections.abc import Collection
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from functools import lru_cache
from typing import Any

from sitegen import world
from sitegen.model.case import Case
from sitegen.model.checkin import CheckIn
from sitegen.model.plan import Plan, Session, Week
from sitegen.plan.fold import expand
from sitegen.practice.house import Texts, case_of, read_house

from .runners import Runner
from .tissue import Tissue

DAY = timedelta(days=1)
WEEK = timedelta(days=7)
PRACTICE = b"{name: Harbour Running, contact: coach@example.org, timezone: Europe/Lisbon}"


@lru_cache(maxsize=4096)
def read(text: str) -> Case:
    """The client's file, read as a practice's is.

    Raises:
        ValueError: The file has an error, which a runner of the tests never has.
    """
    texts = Texts(
        PRACTICE,
        "practice.yaml",
        {"sam": text.encode()},
        {},
        "clients",
        shipped_sessions=world.read_sessions(),
    )
    house, problems = read_house(texts)
    if house is None:
        raise ValueError(problems)
    case, problems = case_of(texts, house, "sam")
    if case is None:
        raise ValueError(problems)
    return case


def training(week: Week) -> float:
    """Running minutes of a week, the event itself not counted."""
    return sum(s.run_minutes for s in week.sessions if s.kind != "event")


def runs_of(week: Week) -> list[Session]:
    """The week's runs, the event not among them."""
    return [s for s in week.sessions if s.kind not in ("strength", "event") and s.run_minutes > 0]


@dataclass(frozen=True)
class Entry:
    """What was written in the log, and when it came."""

    checkin: CheckIn
    came: date

    @property
    def minutes(self) -> float:
        ran = self.checkin.ran
        return ran.minutes if ran is not None and self.checkin.skipped is None else 0.0


@dataclass(frozen=True)
class Told:
    """A week as the client was told it on its Monday, and what really happened.

    ``plan`` holds all weeks up to it, and those after it where an event lies ahead.
    """

    week: Week
    plan: Plan
    ran: tuple[tuple[date, float], ...]  # what was really run, told or not
    fates: tuple[str, ...]  # of each told run: done, missed, ill, unknown
    changed: bool  # whether something inside the week changed what was left of it


@dataclass
class Life:
    """A life as lived."""

    runner: Runner
    case: Case
    weeks: list[Told] = field(default_factory=list)
    log: list[Entry] = field(default_factory=list)
    pains: list[int] = field(default_factory=list)

    def known(self, day: date) -> Case:
        """The file with the log as it stood on the morning of a day."""
        log = tuple(e.checkin for e in self.log if e.came < day)
        return replace(self.case, log=log)

    def plan_on(self, day: date, weeks: int | None = None) -> Plan:
        """The plan on a day; of a runner without an event the first ``weeks`` alone.

        No week knows of those after it, but where an event lies ahead: the harness's own tests
        hold that a shorter plan has the same weeks.
        """
        case = self.known(day)
        client = case.client
        if weeks is not None and client.goal.event is None:
            case = replace(case, client=client.but(plan=client.plan.but(weeks=weeks)))
        return expand(case, day)

    def entries(self, first: date, before: date, known: date | None = None) -> list[Entry]:
        """What the log has of some days, as it stood on the morning of ``known``."""
        return [
            e
            for e in self.log
            if first <= e.checkin.on < before and (known is None or e.came < known)
        ]

    @property
    def last_build(self) -> float:
        """Minutes of the last building week; 0 where none was told."""
        return next((training(t.week) for t in reversed(self.weeks) if t.week.kind == "build"), 0.0)


def entry(on: date, **fields: Any) -> CheckIn:
    """A check-in from what a client would write."""
    return CheckIn.of_tree({"on": on.isoformat(), **fields})


def live(
    runner: Runner, seed: int, *, until: int | None = None, missed: Collection[tuple[int, int]] = ()
) -> Life:
    """Live through the plan, or its first ``until`` weeks. Same runner and seed, same life.

    ``missed`` are runs that are missed and told whatever chance says: (week from 1, run from 0, or
    -1 for the longest).
    """
    chance = random.Random(f"{runner.name}-{seed}")
    life = Life(runner, read(runner.text))
    base = life.case.client.baseline
    longest = base.longest.minutes if base.longest else 10.0
    tissue = Tissue(bears=2 * longest * runner.sturdy)
    number = life.case.client.plan.weeks
    sick = _illness(runner, life.case.first_monday, number, chance)
    for i in range(min(until or number, number)):
        _live_week(
            life, i, tissue, sick, chance, {which for week, which in missed if week == i + 1}
        )
    return life


def _illness(
    runner: Runner, monday: date, weeks: int, chance: random.Random
) -> tuple[date, date] | None:
    """First day of being ill and the first day of being well."""
    if not runner.ill:
        return None
    first = monday + DAY * chance.randrange(7 * 3, 7 * max(weeks - 6, 4))
    return first, first + DAY * chance.randint(6, runner.ill)


def _live_week(
    life: Life,
    index: int,
    tissue: Tissue,
    sick: tuple[date, date] | None,
    chance: random.Random,
    missed: Collection[int],
) -> None:
    runner = life.runner
    monday = life.case.first_monday + WEEK * index
    plan = life.plan_on(monday, index + 1)
    told = plan.weeks[index]
    them = [s.on for s in runs_of(told)]
    longest = max(runs_of(told), key=lambda s: s.run_minutes).on if them else None
    lost = {longest if n < 0 else them[n] for n in missed if n < len(them)}
    now = told
    ran: list[tuple[date, float]] = []
    fates: list[str] = []
    changed = False
    for day in (monday + DAY * n for n in range(7)):
        tissue.sleep()
        is_sick = sick is not None and sick[0] <= day < sick[1]
        runs = [s for s in now.sessions if s.on == day and s.is_run and s.run_minutes > 0]
        if not runs and runner.extra and not is_sick and chance.random() < runner.extra:
            _run(life, day, 30.0, False, tissue, chance, ran)
        for session in runs:
            does = chance.random() < runner.does and day not in lost
            tells = chance.random() < (runner.tells if does else runner.tells_missed)
            late = DAY * chance.randint(0, runner.late) if runner.late else DAY * 0
            if is_sick or index + 1 in runner.away or not does:
                why = "ill" if is_sick else "travel" if index + 1 in runner.away else "time"
                if tells:
                    life.log.append(Entry(entry(day, skipped=why), day + late))
                fates.append("ill" if is_sick and tells else "missed" if tells else "unknown")
                changed = changed or (is_sick and tells)
                continue
            minutes = session.run_minutes * runner.amount
            worst = _run(life, day, minutes, session.hard, tissue, chance, ran, tells, late)
            fates.append("done" if tells else "unknown")
            if worst >= 3 and tells and late == DAY * 0 and day < monday + WEEK - DAY:
                now, changed = life.plan_on(day + DAY, index + 1).weeks[index], True
    life.weeks.append(Told(told, plan, tuple(ran), tuple(fates), changed))


def _run(
    life: Life,
    day: date,
    minutes: float,
    hard: bool,
    tissue: Tissue,
    chance: random.Random,
    ran: list[tuple[date, float]],
    tells: bool = True,
    late: timedelta = DAY * 0,
) -> int:
    """Run, hurt or not, and tell of it; gives the pain."""
    pain = tissue.run(minutes, hard, chance)
    if pain >= 6:
        minutes /= 2  # stopped half way
    whole = max(round(minutes), 1)
    ran.append((day, float(whole)))
    life.pains.append(pain)
    if tells:
        told = {"ran": f"{whole} min", "effort": "7" if hard else "3"}
        said = {"during": str(pain), "after": str(pain)} if pain else {"during": "0"}
        life.log.append(Entry(entry(day, **told, pain=said), day + late))
    return pain
