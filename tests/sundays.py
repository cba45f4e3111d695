"""A client's weeks as they are lived: each Sunday evening the plan is published, and then a week
happens."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import NamedTuple

from generated import runner
from sitegen.model.plan import Plan, Session
from sitegen.model.told import Telling
from sitegen.plan import ledger
from sitegen.plan.fold import expand
from support import case_of

DAY = timedelta(days=1)
FIRST = date(2027, 1, 4)
CLIENT = runner(
    week="{tue: {}, thu: {}, sun: {}, long: sun}",
    plan="{from: 2027-01-04, weeks: 20, growth: 10 %, enough: 300 min}",
)


class Told(NamedTuple):
    """What a client tells of a run, and on which day."""

    on: date
    entry: dict[str, object]


class Lived(NamedTuple):
    """Each week's runs as the client saw them, and the plans by the days of their publishing."""

    weeks: tuple[tuple[Session, ...], ...]
    plans: dict[date, Plan]

    @property
    def minutes(self) -> list[float]:
        return [sum(s.run_minutes for s in week) for week in self.weeks]


def ran(session: Session, on: date | None = None) -> dict[str, object]:
    return {"on": str(on or session.on), "ran": f"{round(session.run_minutes)} min", "effort": "3"}


def skipped(session: Session) -> dict[str, object]:
    return {"on": str(session.on), "skipped": "time"}


def lived(
    tells: Callable[[Session], Sequence[Told]],
    weeks: int,
    text: str | Callable[[date], str] = CLIENT,
    publishes: Sequence[int] = (6,),
) -> Lived:
    """``tells`` is what becomes of a run; ``text`` the client's file, by the day where it changes;
    ``publishes`` are the weekdays on whose evening the plan is published."""
    told: tuple[Telling, ...] = ()
    log: list[Told] = []
    seen: list[Session] = []
    plans: dict[date, Plan] = {}
    for day in (FIRST + DAY * n for n in range(-1, 7 * weeks)):
        if plans:
            plan = plans[max(plans)]
            runs = [s for s in plan.sessions if s.on == day and s.is_run and s.run_minutes > 0]
            seen += runs
            log += [one for run in runs for one in tells(run)]
        if day.weekday() in publishes or not plans:
            known = [one.entry for one in log if one.on <= day]
            case = replace(case_of(text(day) if callable(text) else text, known), told=told)
            plans[day] = expand(case, day)
            new = ledger.new_in(ledger.shown(plans[day]), told, day)
            told = told if new is None else (*told, new)
    begins = [FIRST + DAY * 7 * n for n in range(weeks)]
    return Lived(tuple(tuple(s for s in seen if on <= s.on < on + 7 * DAY) for on in begins), plans)
