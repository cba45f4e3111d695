"""Everything that is known of one client, with the place where each thing was written."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from types import MappingProxyType
from typing import Any

from sitegen.model.checkin import CheckIn
from sitegen.model.client import Client
from sitegen.model.practice import Practice
from sitegen.model.problem import Origin

Path = tuple[str | int, ...]


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


@dataclass(frozen=True, slots=True)
class Case:
    """One client: the file, the log, the practice, and the values of every rule's parameters.

    ``settings`` maps a rule's name to its parameters, already merged: rule's default, practice,
    client. ``log`` is in the order of the file; `entries` sorts it.
    """

    id: str
    client: Client
    practice: Practice
    log: tuple[CheckIn, ...] = ()
    settings: Mapping[str, Any] = field(default_factory=lambda: MappingProxyType({}))
    origins: Origins = Origins("client.yaml")
    log_origins: Origins = Origins("client.log.yaml")
    practice_origins: Origins = Origins("practice.yaml")

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
    def first_monday(self) -> date:
        start = self.client.plan.from_
        return start - timedelta(days=start.weekday())

    def setting_origin(self, rule: str, parameter: str, *client_path: str) -> Origin | None:
        """Where a parameter was set: the client's own field, ``rules`` there, or the practice."""
        if client_path and self.origins.wrote(*client_path):
            return self.origins.at(*client_path)
        if self.origins.wrote("rules", rule, parameter):
            return self.origins.at("rules", rule, parameter)
        if self.practice_origins.wrote("rules", rule, parameter):
            return self.practice_origins.at("rules", rule, parameter)
        return None
