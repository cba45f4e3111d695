"""The last act taken back: shown first, then the old bytes, if nothing else changed since."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

from sitegen import world
from sitegen.coach.acting import both_versions
from sitegen.coach.link_versions import LINK_END, LINK_PARTS
from sitegen.coach.told_back import kept_asides, lay_aside, silenced, silenced_lines
from sitegen.locking import writing
from sitegen.model.problem import Origin, Problem
from sitegen.practice.orphans import practice_as_read
from sitegen.versions import (
    Differs,
    KeptAct,
    changed_since,
    kept_acts,
    last_act,
    take_act_back,
)

MOST_LINES = 40  # of one file's difference


class Undo(NamedTuple):
    """The act that would be taken back; None where there is none. ``differs`` speak against it."""

    clients: Path
    act: KeptAct | None
    differs: tuple[Differs, ...] = ()

    @property
    def can(self) -> bool:
        return self.act is not None and not self.differs


def ready(clients: Path) -> Undo:
    """What `undo` would take back."""
    act = last_act(clients)
    return Undo(clients, act, changed_since(clients, act, LINK_PARTS) if act else ())


def undo(clients: Path, found: Undo, as_of: date | None = None) -> Undo:
    """Take it back, unless a file was changed in the meantime. What told of danger stays aside.

    Raises:
        Refused: A file can't be written, or another process writes there and does not end.
    """
    assert found.act is not None
    with writing(clients):
        kept, lost = kept_asides(clients, found.act), silenced(clients, found.act)
        try:
            differs = take_act_back(clients, found.act, LINK_PARTS)
        except OSError as error:
            wrong = f"not all of it could be taken back: {error}; mend that, then undo again"
            raise world.Refused(wrong) from error
        if not differs:
            for one in kept:
                world.write_bytes_atomic(clients / one.name, one.after or b"", mode=0o600)
            lay_aside(clients, found.act, lost, as_of or world.today("UTC"))
    return found._replace(differs=differs)


def listed(clients: Path) -> tuple[KeptAct, ...]:
    """What was done, newest first."""
    return kept_acts(clients)


def zone_of(clients: Path) -> str:
    """The practice's time zone, in which it is told when something was done.

    Raises:
        Refused: The folder can't be read.
    """
    return practice_as_read(clients, None).timezone


def act_words(act: KeptAct, zone: str) -> str:
    """``lighter, 2027-02-14 19:30 (Europe/Madrid)``."""
    at = datetime.fromisoformat(act.at).astimezone(ZoneInfo(zone))
    return f"{act.command}, {at:%Y-%m-%d %H:%M} ({zone})"


def list_lines(acts: Sequence[KeptAct], zone: str) -> Iterator[str]:
    """One line an act, and one for each of its files."""
    if not acts:
        yield "Nothing was done yet that could be taken back."
    for act in acts:
        yield act_words(act, zone) + (" (taken back)" if act.is_undone else "")
        yield from (f"  {one.name}: {one.says}" for one in act.versions)


def ready_lines(found: Undo) -> Iterator[str]:
    """What `undo` would do, file by file; or why it can't."""
    if found.act is None:
        yield "Nothing was done yet that could be taken back."
        return
    if found.differs:
        yield from refused_lines(found)
        return
    yield f"This takes back: {act_words(found.act, zone_of(found.clients))}"
    yield from silenced_lines(silenced(found.clients, found.act))
    kept = kept_asides(found.clients, found.act)
    for one in found.act.versions:
        yield f"  {one.name}: {one.says}"
        if one.name.endswith(LINK_END):
            yield "    what it was before comes back, and what it is now ends"
        elif one in kept:
            yield "    the file stays: it tells of danger, and nobody has answered it"
        elif one.before is None:
            yield "    the file goes"
        elif one.after is None:
            yield "    the file comes back"
        else:
            yield from _difference(one.name, one.after, one.before)


def _difference(name: str, now: bytes | None, then: bytes | None) -> Iterator[str]:
    lines = [line for line in both_versions(name, now, then) if line[:1] in "+-"][2:]
    yield from (f"    {line}" for line in lines[:MOST_LINES])
    if len(lines) > MOST_LINES:
        yield f"    and {len(lines) - MOST_LINES} lines more"


def refused_lines(found: Undo) -> Iterator[str]:
    """Why the last act can't be taken back, with both versions."""
    assert found.act is not None
    act = act_words(found.act, zone_of(found.clients))
    yield f"{act} can't be taken back: what it left was changed since."
    for one in found.differs:
        if one.name.endswith(LINK_END):  # a key is not for the screen
            yield f"{one.name}: changed again since"
            continue
        yield f"{one.name}: - as the act left it, + as it is now"
        yield from _difference(one.name, one.left, one.now)
    yield "Take your own change back first, or change the file by hand."


def act_json(act: KeptAct) -> dict[str, Any]:
    """One act of ``sitegen undo --list --json``."""
    return {
        "command": act.command,
        "at": act.at,
        "undone": act.is_undone,
        "files": [{"name": one.name, "says": one.says} for one in act.versions],
    }


def undone_json(found: Undo | None, done: bool = False) -> dict[str, Any]:
    """What ``sitegen undo --json`` prints."""
    act = found.act if found else None
    problems = []
    if found is not None:
        problems = [
            Problem(
                Origin((found.clients / one.name).as_posix()),
                "this file is no longer what the act left",
                "take your own change back first, or change the file by hand",
                "undo",
            ).as_json()
            for one in found.differs
        ]
        if act is None:
            origin = Origin(found.clients.as_posix())
            nothing = Problem(origin, "nothing was done yet that could be taken back", "", "undo")
            problems.append(nothing.as_json())
    gone = silenced(found.clients, act) if found is not None and act is not None else ()
    return {
        "done": done,
        "act": act_json(act) if act else None,
        "alarms": [{"client": one.id, **a.as_json()} for one in gone for a in one.alarms],
        "problems": problems,
    }
