"""A practice that stays open: what was read and worked out is kept while its files are the same.

Every answer is by the files as they lie there now: the folder is listed anew each time, which
takes half a millisecond, and a client's plan is drawn up anew where any of its files is another.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import NamedTuple, TypeVar

from sitegen import world
from sitegen.coach.alarms import ToldAlarms, alarms_of_case, alarms_told
from sitegen.coach.sheet import SheetOfAll, evening_sheet
from sitegen.desk.stamps import stamps_beside
from sitegen.model.alarm import Alarm
from sitegen.model.case import Case
from sitegen.model.plan import Plan
from sitegen.model.problem import Problem
from sitegen.plan.ahead import ahead
from sitegen.practice.house import House
from sitegen.practice.opening import ClientFiles, Listed, NotThere, Opened, list_practice
from sitegen.site.made_of import house_made_of
from sitegen.site.plans import plan_of

Result = TypeVar("Result")
MOST_KNOWN = 1_000  # clients, and versions of them, whose plans are kept


class KnownClient(NamedTuple):
    """A client as the files say: no case where they have an error, then no plan either."""

    files: ClientFiles
    case: Case | None
    plan: Plan | None
    problems: tuple[Problem, ...]

    @property
    def name(self) -> str:
        return self.case.client.name if self.case else self.files.id


class Warm:
    """A practice, open while the desk is."""

    def __init__(self, clients: Path, out: Path, as_of: date | None = None) -> None:
        """Nothing is read yet.

        Args:
            clients: The practice's folder.
            out: The built site's folder.
            as_of: The day; None for today, where each client is.
        """
        self.clients, self.out, self.as_of = clients, out, as_of
        self._listed: Listed | None = None
        self._made_of = ""
        self._known: OrderedDict[object, KnownClient] = OrderedDict()
        self._cases: OrderedDict[object, tuple[Case | None, tuple[Problem, ...]]] = OrderedDict()
        self._alarms_by_case: OrderedDict[object, tuple[Case, tuple[Alarm, ...]]] = OrderedDict()
        self._alarms: tuple[object, ToldAlarms] | None = None

    def listed(self) -> Listed:
        """The practice as it lies there.

        Raises:
            Refused: The folder can't be read.
        """
        stamps = world.list_folder(self.clients)
        if self._listed is None or self._listed.stamps != stamps:
            self._listed = list_practice(self.clients)
            self._made_of = house_made_of(self._listed.shared, "")
        return self._listed

    @property
    def house(self) -> House | None:
        return self.listed().house

    def files(self, id: str) -> ClientFiles:
        """A client's files.

        Raises:
            NotThere: Nobody is called so.
        """
        listed = self.listed()
        if id not in listed.all_ids:
            list_practice(self.clients, (id,))  # says who may have been meant
            raise NotThere(f"there is no client {id!r}")
        ((files, _),) = listed.files((id,))
        return files

    def known(self, id: str) -> KnownClient:
        """A client, with the plan.

        Raises:
            NotThere: Nobody is called so.
        """
        return self.judged(self.files(id))

    def judged(self, files: ClientFiles) -> KnownClient:
        """What files come to, also such as nobody has saved."""
        listed = self.listed()
        key = (self._made_of, files, self._day(listed))
        return self._kept(self._known, key, lambda: self._planned(listed, files))

    def _planned(self, listed: Listed, files: ClientFiles) -> KnownClient:
        house = listed.house
        case, problems = self._case_of(listed, files)
        if case is None or house is None:
            return KnownClient(files, case, None, problems)
        day = self.day(case)
        plan = plan_of(case, house, day)
        told = {*problems, *plan.problems, *ahead(case, day)}
        return KnownClient(files, case, plan, tuple(sorted(told)))

    def case_of_files(self, files: ClientFiles) -> tuple[Case | None, tuple[Problem, ...]]:
        """What files say, without a plan; and what is wrong with them."""
        return self._case_of(self.listed(), files)

    def _case_of(
        self, listed: Listed, files: ClientFiles
    ) -> tuple[Case | None, tuple[Problem, ...]]:
        return self._kept(self._cases, (self._made_of, files), lambda: listed.judge(files))

    def day(self, case: Case) -> date:
        """The day that a client's plan is as of."""
        return self.as_of or world.today(case.timezone)

    def cases(self) -> Mapping[str, Case]:
        """All clients whose files have no error, by id."""
        listed = self.listed()
        found = ((f.id, self._case_of(listed, f)[0]) for f, _ in listed.files(listed.all_ids))
        return {id: case for id, case in found if case is not None}

    def opened(self) -> Opened:
        """The practice as the commands have it, of its problems those of what all share."""
        listed = self.listed()
        return Opened(
            self.clients,
            listed.all_ids,
            listed.all_ids,
            listed.house,
            self.cases(),
            tuple(sorted({*listed.problems, *listed.read[1]})),
            self.as_of,
        )

    def alarms(self) -> ToldAlarms:
        """Every alarm of everybody, and of what waits aside."""
        listed = self.listed()
        key = (listed.stamps, stamps_beside(self.clients), self._day(listed))
        if self._alarms is None or self._alarms[0] != key:
            self._alarms = key, alarms_told(self.opened(), of_case=self._alarms_of)
        return self._alarms[1]

    def sheet(self, group: str | None = None, only: Sequence[str] = ()) -> SheetOfAll:
        """The rows of all clients, or of some; see `evening_sheet`."""
        return evening_sheet(
            self.clients, self.as_of, group, only, judged=self.case_of_files,
            planned=lambda files: self.judged(files).plan,
        )  # fmt: skip

    def groups(self) -> tuple[str, ...]:
        """The names of the practice's groups."""
        house = self.house
        return tuple(house.practice.groups) if house else ()

    def _alarms_of(self, case: Case, day: date) -> tuple[Alarm, ...]:
        """Cases are kept, so the same one is the same object."""
        _, found = self._kept(
            self._alarms_by_case, (id(case), day), lambda: (case, alarms_of_case(case, day))
        )
        return found

    @staticmethod
    def _kept(kept: OrderedDict[object, Result], key: object, work: Callable[[], Result]) -> Result:
        if key in kept:
            kept.move_to_end(key)
            return kept[key]
        kept[key] = work()
        while len(kept) > MOST_KNOWN:
            kept.popitem(last=False)
        return kept[key]

    def _day(self, listed: Listed) -> date:
        """Changes when plans may."""
        house = listed.house
        return self.as_of or world.today(house.practice.timezone if house else "UTC")
