"""What a build did."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sitegen.model.problem import Origin, Problem
from sitegen.practice.naming import is_error
from sitegen.seal.addresses import private_address
from sitegen.site.news import problem_lines

if TYPE_CHECKING:
    from sitegen.seal.keys import Link


@dataclass(frozen=True, slots=True)
class Built:
    """What a build did, or why it did nothing.

    Attributes:
        done: The site was written; a client with errors is held back and hinders nobody else.
        problems: All that is wrong, sorted.
        summary: One line of what was done.
        addresses: Of each client built: id, the site's address, link and privacy.
        count: Clients built.
        written: Files.
        removed: Files.
        held: Clients who were not built, for their errors; a page that they had stays.
        stopped: Those of ``held`` whose page says that they are stopped, in spite of their errors.
        changes: What is otherwise than each client last saw, as JSON.
        as_before: Those of ``problems`` that a build told before.
    """

    done: bool
    problems: tuple[Problem, ...]
    summary: str = ""
    addresses: tuple[tuple[str, str | None, Link, str], ...] = ()
    count: int = 0
    written: int = 0
    removed: int = 0
    held: tuple[str, ...] = ()
    stopped: tuple[str, ...] = ()
    changes: Mapping[str, str] = field(default_factory=dict)
    as_before: Collection[Problem] = frozenset()

    @property
    def errors(self) -> int:
        return sum(map(is_error, self.problems))

    @property
    def news(self) -> tuple[Problem, ...]:
        """All that is wrong but what a build told before."""
        return tuple(p for p in self.problems if p not in self.as_before)

    @property
    def told(self) -> tuple[str, ...]:
        """What a coach is told of it: what is new in full, what was told before as a count."""
        return (*problem_lines(self.news), *self.more)

    @property
    def more(self) -> tuple[str, ...]:
        """How much a build told before, as one line; none where it told nothing."""
        count = len(self.as_before)
        lists = "lists it" if count == 1 else "lists them"
        return (f"{count} more as at the last build: sitegen check {lists}",) if count else ()

    def as_json(self, out: Path, links: bool = False) -> dict[str, Any]:
        """What ``sitegen build --json`` prints; private links only where they were asked for."""
        return {
            "done": self.done,
            "out": out.as_posix(),
            "clients": self.count,
            "written": self.written,
            "removed": self.removed,
            "held": list(self.held),
            "stopped": list(self.stopped),
            "changes": {id: json.loads(text) for id, text in sorted(self.changes.items())},
            "links": self.urls if links and self.done else None,
            "problems": [problem.as_json() for problem in self.problems],
        }

    @property
    def links(self) -> tuple[str, ...]:
        """A line for each client with the private link."""
        return tuple(f"{id}: {url}" for id, url in self.urls.items())

    @property
    def urls(self) -> dict[str, str]:
        """Each client's private link."""
        return {
            id: private_address(base, link, privacy) for id, base, link, privacy in self.addresses
        }


def other_day(as_of: date, today: date) -> str:
    """That pages are as of a day to come, or of one before yesterday; empty where they are not."""
    if timedelta(0) <= today - as_of <= timedelta(1):
        return ""
    return f"the pages are as of {as_of}, and today is {today}: build again before you publish"


def quiet(done: int, total: int, what: str) -> None:
    """For who wants no progress."""


def refused(where: Path, error: Exception) -> Built:
    """Nothing was done, as the world says no."""
    return Built(False, (Problem(Origin(where.as_posix()), str(error), "", "refused"),))


class Failed(Exception):
    """The build can't be done, for these problems."""

    def __init__(
        self, problems: Iterable[Problem], as_before: Collection[Problem] = frozenset()
    ) -> None:
        super().__init__()
        self.problems, self.as_before = tuple(sorted(problems)), as_before
