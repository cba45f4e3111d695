"""A practice that was opened, with its clients' plans and what is wrong with those."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from pathlib import Path

from sitegen import world
from sitegen.model.case import Case
from sitegen.model.plan import Plan
from sitegen.model.problem import Problem
from sitegen.plan.ahead import ahead
from sitegen.plan.drilling import with_drills
from sitegen.plan.fold import expand, minutes_done
from sitegen.practice.house import House
from sitegen.practice.opening import Opened, Progress, open_practice
from sitegen.seal.keys_file import KEYS_FILE, load_keys


@dataclass(frozen=True)
class Planned(Opened):
    """An opened practice, and the plans of the clients who have no errors."""

    progress: Progress | None = field(default=None, repr=False, compare=False)

    def day(self, case: Case) -> date:
        """The day that a client's plan is as of."""
        return self.as_of or world.today(case.timezone)

    @cached_property
    def plans(self) -> Mapping[str, Plan]:
        """By client id; drawn up when they are first asked for."""
        plans: dict[str, Plan] = {}
        for id, case in self.cases.items():
            assert self.house is not None, "without a house there are no cases"
            if self.progress is not None:
                self.progress(len(plans), len(self.cases), "drawing up plans")
            plans[id] = plan_of(case, self.house, self.day(case))
        return plans

    def plan(self, id: str) -> Plan | None:
        return self.plans.get(id)

    def done(self, id: str) -> Mapping[str, float]:
        """Minutes that were run of a client's sessions so far, by the session's id."""
        plan = self.plans.get(id)
        return {} if plan is None else minutes_done(self.cases[id], plan)

    def problems_of(self, id: str) -> tuple[Problem, ...]:
        """One client's problems, those of the plan with them."""
        plan = self.plans.get(id)
        mine = [p for p in self.problems if Path(p.origin.file).name.startswith(f"{id}.")]
        case = self.cases.get(id)
        later = ahead(case, self.day(case)) if case else ()
        return tuple(sorted({*mine, *(plan.problems if plan else ()), *later}))


def open_plans(
    clients: Path,
    ids: tuple[str, ...] = (),
    as_of: date | None = None,
    progress: Progress | None = None,
) -> Planned:
    """Read a practice as `open_practice` does, and its links; plans can then be asked for.

    Args:
        clients: The practice's folder.
        ids: The clients wanted; none means all.
        as_of: The day that plans are as of; None for today, where each client is.
        progress: Told of each client read, and later of each plan drawn up.

    Raises:
        Refused: The folder can't be read.
        NotThere: A named client has no file.
    """
    opened = open_practice(clients, ids, as_of, progress)
    _, told = load_keys(clients / KEYS_FILE)
    problems = tuple(sorted({*opened.problems, *told}))
    return Planned(**{**vars(opened), "problems": problems}, progress=progress)


def plan_of(case: Case, house: House, as_of: date) -> Plan:
    """The expanded plan, drills named."""
    return with_drills(case, expand(case, as_of), house.drills)
