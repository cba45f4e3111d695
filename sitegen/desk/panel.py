"""What a panel of the desk is: what it shows, and the acts that it takes.

An act is shown before it is done: it prepares a `Shown`, which holds what would be written, and
is done only on a yes. What it holds was made of the files as they were; whoever carries it out
refuses where they are otherwise by then.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any, NamedTuple

from sitegen.desk.warm import Warm
from sitegen.model.problem import Problem
from sitegen.versions import Differs

Sent = Mapping[str, Any]
"""What came with a request: texts by name; of an act also lists and whatever else JSON has."""


class Outcome(NamedTuple):
    """What became of an act. ``differs`` are files that were changed since it was shown: then
    nothing was written, and both versions are told. ``then`` is an act that may follow at a press,
    as ``PANEL/ACT`` and the words on its button."""

    says: str
    differs: tuple[Differs, ...] = ()
    lines: tuple[str, ...] = ()
    then: tuple[str, str] | None = None


class FileChange(NamedTuple):
    """A file as an act finds it and would leave it; None where there is none."""

    name: str
    before: bytes | None
    after: bytes | None


class Shown(NamedTuple):
    """An act that was worked out and not done.

    ``says`` is its heading, ``lines`` what it comes to, ``files`` what would be written,
    ``problems`` why it can't be done (of a group: to whom), ``do`` carries it out, or is None
    where nothing can be done. ``yes`` are the words on the button.
    """

    says: str
    lines: tuple[str, ...] = ()
    files: tuple[FileChange, ...] = ()
    problems: tuple[Problem, ...] = ()
    do: Callable[[], Outcome] | None = None
    yes: str = "Write it"

    @property
    def ticket(self) -> str:
        """Names what was shown, the files of before with it: another file, another ticket."""
        parts = hashlib.sha256(repr((self.says, self.lines, self.yes)).encode())
        for one in self.files:
            parts.update(repr((one.name, one.before, one.after)).encode())
        return parts.hexdigest()[:32]


Prepare = Callable[[Warm, Sent], Shown]


class DeskPanel(NamedTuple):
    """One part of the desk's page.

    Attributes:
        name: Of its template, ``templates/desk/NAME.html``, and in addresses.
        title: What the coach reads.
        view: What the template is given.
        acts: What it can do, by name; each is shown first.
        at_once: Those acts that are done without being shown: `undo` takes them back.
        stands: ``page`` for one of the pages, ``above`` for what stands over all of them,
            ``within`` for one that others lead to.
    """

    name: str
    title: str
    view: Callable[[Warm, Sent], Mapping[str, Any]]
    acts: Mapping[str, Prepare] = MappingProxyType({})
    at_once: frozenset[str] = frozenset()
    stands: str = "page"
