"""Acts on clients' files: worked out and shown first, then written if the files are as they were.

`propose` reads and changes nothing: it gives for each client the entry, what the weeks become, and
what `check` would say. `carry_out` writes it under the lock that all writers take, keeps the
version of before, and refuses where a file was changed since it was shown.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Any, NamedTuple

from sitegen import world
from sitegen.acts.act import Act, ClientNow, Refusal
from sitegen.coach.becoming import becomes, becomes_json
from sitegen.locking import writing
from sitegen.model.case import Case
from sitegen.model.plan import Plan
from sitegen.model.problem import Origin, Problem
from sitegen.practice.entry import with_entries, with_lists_begun
from sitegen.practice.naming import is_error
from sitegen.practice.opening import ClientFiles, Listed, NotThere, list_practice
from sitegen.site.plans import plan_of
from sitegen.versions import Differs, recording

OF_GROUP = "group:"
ADDED_TO = ("changes", "notes", "away")  # to which acts add
Doing = Callable[[ClientNow], Act | Refusal]


class Proposal(NamedTuple):
    """What an act would do to one client's file.

    ``before`` and ``after`` are the file's bytes, ``places`` where each entry stands in the new
    one. ``warnings`` are those that the plan has after it and not before.
    """

    id: str
    path: Path
    act: Act
    before: bytes
    after: bytes
    places: tuple[Origin, ...]
    plan_before: Plan
    plan_after: Plan
    warnings: tuple[Problem, ...] = ()

    @property
    def line(self) -> str:
        """Whose weeks become what, in one line."""
        return f"{self.id}: {self.comes_to}"

    @property
    def comes_to(self) -> str:
        """What the weeks become, or what the act shows instead, in one line."""
        return self.act.shows or becomes(self.plan_before, self.plan_after, self.act.weeks)

    @property
    def left_to_answer(self) -> tuple[str, ...]:
        """After a lift: the questions that it does not answer, a line each; a false alarm's, too.

        Who ran while the plan was stopped had read the stop, whatever it was for.
        """
        if not self.act.lifts:
            return ()
        left = (one for one in self.plan_after.alarms if one.kind == "ask" and one.is_open)
        return tuple(f"alarm {one.number} is still to be answered: {one.says}" for one in left)

    def as_json(self) -> dict[str, Any]:
        """One client of what an act's command prints with ``--json``."""
        return {
            "client": self.id,
            "says": self.act.says,
            "file": self.path.as_posix(),
            "entries": [str(entry) for entry in self.act.entries],
            "lines": [place.line for place in self.places],
            "becomes": becomes(self.plan_before, self.plan_after, self.act.weeks),
            "weeks": becomes_json(self.plan_before, self.plan_after),
            "warnings": [problem.as_json() for problem in self.warnings],
        }


class Proposed(NamedTuple):
    """What an act would do, client by client; and why it can't be done to others."""

    proposals: tuple[Proposal, ...]
    problems: tuple[Problem, ...] = ()


def clients_meant(listed: Listed, whose: str) -> tuple[str, ...]:
    """The ids of a client, or of ``group:NAME``; whoever has ended is left out of a group.

    Raises:
        NotThere: Nobody is called so, or is in such a group.
    """
    if not whose.startswith(OF_GROUP):
        if whose not in listed.all_ids:
            list_practice(listed.clients, (whose,))  # says who may have been meant
        return (whose,)
    name = whose.removeprefix(OF_GROUP)
    groups = tuple(listed.house.practice.groups) if listed.house else ()
    if listed.house is not None and name not in groups:
        there = f"there are {', '.join(groups)}" if groups else "practice.yaml has no groups"
        raise NotThere(f"there is no group {name!r}; {there}")
    found = []
    for files, _ in listed.files(listed.all_ids):
        case, _ = listed.judge(files)
        if case and case.client.group == name and case.client.status != "ended":
            found.append(files.id)
    if not found and listed.house is not None:
        raise NotThere(f"nobody is in the group {name!r}")
    return tuple(found)


def propose(listed: Listed, ids: Iterable[str], wish: Doing, as_of: date | None = None) -> Proposed:
    """What an act would do to each client's file. Nothing is written.

    Args:
        listed: The practice.
        ids: The clients.
        wish: The act, given what is known of a client.
        as_of: The day; None for today, where each client is.
    """
    if listed.house is None:
        return Proposed((), listed.read[1])
    proposals: list[Proposal] = []
    problems: list[Problem] = []
    for files, told in listed.files(ids):
        found = _proposal(listed, files, wish, as_of) if files.client is not None else told
        if isinstance(found, Proposal):
            proposals.append(found)
        else:
            problems += found
    return Proposed(tuple(proposals), tuple(problems))


def _proposal(
    listed: Listed, files: ClientFiles, wish: Doing, as_of: date | None
) -> Proposal | tuple[Problem, ...]:
    assert files.client is not None and listed.house is not None
    path = listed.clients / f"{files.id}.yaml"
    file = path.as_posix()
    case, problems = _readable(listed, files)
    if case is None:
        return tuple(filter(is_error, problems))
    day = as_of or world.today(case.timezone)
    before = plan_of(case, listed.house, day)
    act = wish(ClientNow(case, before))
    if isinstance(act, Refusal):
        return (Problem(Origin(file), act.message, act.hint, "act"),)
    written = with_entries(files.client, file, act.entries)
    if isinstance(written, Problem):
        return (written,)
    changed, found = listed.judge(files._replace(client=written.data))
    if changed is None:  # of a file with errors, those of today's lines
        there = tuple(filter(is_error, listed.judge(files)[1]))
        return there or tuple(filter(is_error, found))
    after = plan_of(changed, listed.house, day)
    return Proposal(
        files.id,
        path,
        act,
        files.client,
        written.data,
        written.places,
        before,
        after,
        new_warnings((*problems, *before.problems), (*found, *after.problems)),
    )


def _readable(listed: Listed, files: ClientFiles) -> tuple[Case | None, tuple[Problem, ...]]:
    """The client's case; a list that is left empty is no mistake to an act that fills it."""
    case, problems = listed.judge(files)
    if case is not None or files.client is None:
        return case, problems
    again = listed.judge(files._replace(client=with_lists_begun(files.client, ADDED_TO)))
    return again if again[0] is not None else (None, problems)


def new_warnings(before: Sequence[Problem], after: Sequence[Problem]) -> tuple[Problem, ...]:
    """Warnings that were not there before, wherever their lines moved."""
    known = {(p.code, p.message) for p in before}
    return tuple(sorted({p for p in after if (p.code, p.message) not in known}))


# --- shown ------------------------------------------------------------------------------------


def shown_lines(proposal: Proposal) -> Iterator[str]:
    """What is shown before it is written: what the weeks become, the entry, new warnings."""
    yield proposal.line
    for entry, place in zip(proposal.act.entries, proposal.places, strict=True):
        yield f"  {place.file}, line {place.line}: {entry}"
    yield from (f"  {problem.level}: {problem.message}" for problem in proposal.warnings)
    yield from (f"  {line}" for line in proposal.left_to_answer)


def both_versions(name: str, shown: bytes | None, now: bytes | None) -> Iterator[str]:
    """Two versions of a file as lines: what the first alone has, and what the second has."""
    yield from difflib.unified_diff(
        _lines(shown), _lines(now), f"{name}, as it was shown", f"{name}, as it is now", lineterm=""
    )


def _lines(data: bytes | None) -> list[str]:
    return (data or b"").decode("utf-8", "replace").splitlines()


# --- written ----------------------------------------------------------------------------------


class CarriedOut(NamedTuple):
    """What was written; ``differs`` are files that were changed since they were shown, for which
    nothing was."""

    ids: tuple[str, ...] = ()
    differs: tuple[Differs, ...] = ()


def carry_out(clients: Path, command: str, proposals: Sequence[Proposal]) -> CarriedOut:
    """Write what was proposed, all or nothing, as one act.

    Args:
        clients: The practice's folder.
        command: What the act is called, for `undo`.
        proposals: What was shown.

    Raises:
        Refused: A file can't be written, or another process writes there and does not end.
    """
    files = [(one.path, one.before, one.after, one.act.says) for one in proposals]
    if differs := write_files(clients, command, files):
        return CarriedOut(differs=differs)
    return CarriedOut(tuple(one.id for one in proposals))


FileWritten = tuple[Path, bytes, bytes, str]
"""A file, what it held when it was shown, what it shall hold, and what that does."""


def write_files(clients: Path, command: str, files: Sequence[FileWritten]) -> tuple[Differs, ...]:
    """Write files as one act, all or nothing; nothing where one was changed, which it gives.

    Raises:
        Refused: A file can't be written, or another process writes there and does not end.
    """
    with writing(clients):
        now = [(path, before, _bytes_of(path)) for path, before, _, _ in files]
        differs = tuple(Differs(path.name, old, new) for path, old, new in now if old != new)
        if differs:
            return differs
        with recording(clients, command) as record:
            for path, _, after, says in files:
                record.keep(path, after, says)
            for path, _, after, _ in files:
                world.write_bytes_atomic(path, after)
    return ()


def _bytes_of(path: Path) -> bytes | None:
    try:
        return path.read_bytes()
    except OSError:
        return None


def proposed_json(
    done: bool, found: Proposed, problems: Iterable[Problem] = ()
) -> Mapping[str, Any]:
    """What an act's command prints with ``--json``."""
    return {
        "done": done,
        "acts": [proposal.as_json() for proposal in found.proposals],
        "problems": [problem.as_json() for problem in (*found.problems, *problems)],
    }
