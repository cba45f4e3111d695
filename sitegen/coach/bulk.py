"""A changed house rule for all clients: shown client by client before it is written."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any, NamedTuple

from sitegen import world
from sitegen.acts.act import Act, Refusal
from sitegen.acts.house import change_house
from sitegen.coach.acting import CarriedOut, Proposal, new_warnings, write_files
from sitegen.coach.becoming import becomes_json
from sitegen.model.plan import Plan
from sitegen.model.problem import Origin, Problem
from sitegen.practice.entry import with_entries
from sitegen.practice.naming import is_error
from sitegen.practice.opening import ClientFiles, Listed, Progress
from sitegen.site.plans import plan_of

HOUSE_FILE = "practice.yaml"
PlanNow = Callable[[ClientFiles], Plan | None]


class HouseProposal(NamedTuple):
    """What would be written into ``practice.yaml``, and what becomes of each client's plan.

    ``same`` are the clients whose plan stays, ``outside`` those whose files have errors.
    """

    path: Path
    act: Act
    before: bytes
    after: bytes
    places: tuple[Origin, ...]
    changed: tuple[Proposal, ...]
    same: tuple[str, ...]
    outside: tuple[str, ...]


def propose_house(
    listed: Listed,
    settings: Sequence[str],
    group: str | None = None,
    as_of: date | None = None,
    progress: Progress | None = None,
    drawn: PlanNow | None = None,
) -> HouseProposal | tuple[Problem, ...]:
    """What a changed house rule would do. Nothing is written.

    Args:
        listed: The practice.
        settings: As `change_house` takes them.
        group: Only for the clients of this group.
        as_of: The day; None for today, where each client is.
        progress: Told of each client.
        drawn: Gives a client's plan as it is, where somebody keeps it.
    """
    house, data = listed.house, listed.shared.practice
    if house is None or data is None:
        return listed.read[1]
    path = listed.clients / HOUSE_FILE
    act = change_house(house.practice, settings, group)
    if isinstance(act, Refusal):
        return (Problem(Origin(path.as_posix()), act.message, act.hint, "act"),)
    written = with_entries(data, path.as_posix(), act.entries)
    if isinstance(written, Problem):
        return (written,)
    then = replace(listed, shared=replace(listed.shared, practice=written.data))
    if then.house is None:
        return tuple(filter(is_error, then.read[1]))
    changed: list[Proposal] = []
    same: list[str] = []
    outside: list[str] = []
    for done, (files, _) in enumerate(listed.files(listed.all_ids)):
        if progress is not None:
            progress(done, len(listed.all_ids), "drawing up plans")
        (case, problems), (new, found) = listed.judge(files), then.judge(files)
        if case is None or new is None:
            outside.append(files.id)
            continue
        if case.client.status == "ended":
            continue
        if case.settings == new.settings and case.client == new.client:
            same.append(files.id)  # the client's own file wins, or the group is another
            continue
        day = as_of or world.today(case.timezone)
        before = (drawn and drawn(files)) or plan_of(case, house, day)
        plans = before, plan_of(new, then.house, day)
        if not becomes_json(*plans) and plans[0].status == plans[1].status:
            same.append(files.id)
            continue
        warnings = new_warnings((*problems, *plans[0].problems), (*found, *plans[1].problems))
        changed.append(
            Proposal(files.id, path, act, data, written.data, written.places, *plans, warnings)
        )
    return HouseProposal(
        path, act, data, written.data, written.places, tuple(changed), tuple(same), tuple(outside)
    )


def write_house(clients: Path, found: HouseProposal) -> CarriedOut:
    """Write it as one act, if the file is as it was shown.

    Raises:
        Refused: The file can't be written, or another process writes there and does not end.
    """
    file = (found.path, found.before, found.after, found.act.says)
    differs = write_files(clients, "house", (file,))
    return CarriedOut(differs=differs) if differs else CarriedOut((HOUSE_FILE,))


def house_lines(found: HouseProposal) -> Iterator[str]:
    """The entries, then each client: which weeks change, and minutes before and after."""
    for entry, place in zip(found.act.entries, found.places, strict=True):
        yield f"{place.file}, line {place.line}: {entry}"
    for one in found.changed:
        yield one.line
        yield from (f"  {problem.level}: {problem.message}" for problem in one.warnings)
    if found.same:
        yield f"no change for {', '.join(found.same)}"
    if found.outside:
        yield f"not known, for errors in their files: {', '.join(found.outside)}"


def house_json(
    done: bool, found: HouseProposal | None, problems: Sequence[Problem] = ()
) -> Mapping[str, Any]:
    """What ``sitegen house --json`` prints."""
    return {
        "done": done,
        "acts": [one.as_json() for one in found.changed] if found else [],
        "same": list(found.same) if found else [],
        "outside": list(found.outside) if found else [],
        "problems": [problem.as_json() for problem in problems],
    }
