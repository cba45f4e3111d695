"""Everything that is known of one client, with the place where each thing was written."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import wraps
from types import MappingProxyType
from typing import Any, TypeVar

from sitegen.model.alarm import AlarmAnswer
from sitegen.model.checkin import CheckIn
from sitegen.model.client import Client
from sitegen.model.practice import Group, Notice, Practice
from sitegen.model.problem import Origin
from sitegen.model.record import Path
from sitegen.model.told import Telling
from sitegen.model.ways import Way
from sitegen.model.workout import Workout


@dataclass(frozen=True, slots=True)
class Origins:
    """Line and column of every key and value of one file, by path.

    ``at("baseline", "week")`` is where the key stands; where nothing of the path was written, the
    nearest part of the path that was.
    """

    file: str
    keys: Mapping[Path, tuple[int, int]] = field(default_factory=lambda: MappingProxyType({}))
    values: Mapping[Path, tuple[int, int]] = field(default_factory=lambda: MappingProxyType({}))

    def at(self, *path: str | int) -> Origin:
        """Where the key of ``path`` stands."""
        for end in range(len(path), 0, -1):
            place = self.keys.get(path[:end]) or self.values.get(path[:end])
            if place:
                return Origin(self.file, *place)
        return Origin(self.file)

    def value(self, *path: str | int) -> Origin:
        """Where the value of ``path`` stands."""
        place = self.values.get(path)
        return Origin(self.file, *place) if place else self.at(*path)

    def wrote(self, *path: str | int) -> bool:
        """True where the file has this path."""
        return path in self.keys or path in self.values

    def within(self, *path: str | int) -> Origins:
        """The places of one part of the file, by paths that begin in it."""
        end = len(path)

        def part(places: Mapping[Path, tuple[int, int]]) -> Mapping[Path, tuple[int, int]]:
            return {at[end:]: place for at, place in places.items() if at[:end] == path}

        return Origins(self.file, part(self.keys), part(self.values))


T = TypeVar("T")


def kept(work: Callable[[Case, date], T]) -> Callable[[Case, date], T]:
    """``work(case, as_of)`` with its last result kept: a plan and its page ask for the same."""
    last: tuple[Case, date, T] | None = None

    @wraps(work)
    def asked(case: Case, as_of: date) -> T:
        nonlocal last
        found = last  # another thread may put another one there
        if found is None or found[0] is not case or found[1] != as_of:
            last = found = case, as_of, work(case, as_of)
        return found[2]

    return asked


def once(work: Callable[[Case], T]) -> Callable[[Case], T]:
    """``work(case)`` with its last result kept: each week of a plan asks anew."""
    last: tuple[Case, T] | None = None

    @wraps(work)
    def asked(case: Case) -> T:
        nonlocal last
        found = last  # another thread may put another one there
        if found is None or found[0] is not case:
            last = found = case, work(case)
        return found[1]

    return asked


@dataclass(frozen=True, slots=True)
class Case:
    """One client: the file, the log, the practice, and the values of every rule's parameters.

    ``client`` is the file with what its group says where it is silent. ``settings`` maps a rule's
    name to its parameters, already merged: rule's default, practice, group, client. ``log`` is in
    the order of the file; `entries` sorts it. ``workouts`` are kinds of session by
    name. ``answers`` are the coach's to alarms. ``told`` is what
    the client was shown, in the order of the file.
    """

    id: str
    client: Client
    practice: Practice
    log: tuple[CheckIn, ...] = ()
    answers: tuple[AlarmAnswer, ...] = ()
    settings: Mapping[str, Any] = field(default_factory=lambda: MappingProxyType({}))
    workouts: Mapping[str, Workout] = field(default_factory=lambda: MappingProxyType({}))
    way_back: Way | None = None
    origins: Origins = Origins("client.yaml")
    log_origins: Origins = Origins("client.log.yaml")
    practice_origins: Origins = Origins("practice.yaml")
    told: tuple[Telling, ...] = ()

    @property
    def timezone(self) -> str:
        return self.client.timezone or self.practice.timezone

    @property
    def units(self) -> str:
        return self.client.units or self.practice.units

    @property
    def language(self) -> str:
        return self.client.language or self.practice.language

    @property
    def privacy(self) -> str:
        return self.client.privacy or self.practice.privacy

    @property
    def calendar(self) -> str:
        return self.client.calendar or self.practice.calendar

    @property
    def emergency(self) -> str | None:
        """The number where the client lives, else the practice's."""
        return self.client.emergency or self.practice.emergency

    @property
    def group(self) -> Group | None:
        """The client's group."""
        name = self.client.group
        return None if name is None else self.practice.groups.get(name)

    @property
    def notices(self) -> tuple[Notice, ...]:
        """Words to all clients, and to those of the group, by date."""
        found = (*self.practice.notes, *(self.group.notes if self.group else ()))
        return tuple(sorted(found, key=lambda notice: (notice.from_, notice.until)))

    @property
    def first_monday(self) -> date:
        start = self.client.plan.from_
        return start - timedelta(days=start.weekday())

    def setting_origin(self, rule: str, parameter: str, *client_path: str) -> Origin | None:
        """Where a parameter was set: by the client, by the group, or by the practice.

        In the first two, at the field at ``client_path`` or under ``rules``.
        """
        own: Path = ("rules", rule, parameter)
        ways: tuple[Path, ...] = (client_path, own) if client_path else (own,)
        for way in ways:
            if self.origins.wrote(*way):
                return self.origins.at(*way)
        shared, name = self.practice_origins, self.client.group
        if name is not None:
            for way in ways:
                if shared.wrote("groups", name, *way):
                    return shared.at("groups", name, *way)
        return shared.at(*own) if shared.wrote(*own) else None
