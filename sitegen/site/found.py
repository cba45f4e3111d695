"""What lies there: a client's files, the site's; and what tells whether they are as they were."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from sitegen import world
from sitegen.model.problem import Origin, Problem
from sitegen.practice.namesakes import WrittenName, written_name
from sitegen.practice.opening import CLIENT, LOG, ClientFiles, Listed, beside_stamp
from sitegen.site.folder import read_site_file
from sitegen.site.memory import (
    UNSURE,
    ClientEntries,
    ClientEntry,
    Made,
    StampTuple,
    hash_of,
    lasting,
)

if TYPE_CHECKING:
    from sitegen.site.client import Done


class Hashes(NamedTuple):
    """Of a client's files; empty where there is none."""

    client: str
    log: str  # and answers to alarms
    told: str  # the ledger
    strays: str = ""  # what lies under names that are not read


def hashes_of(files: ClientFiles) -> Hashes:
    """What tells whether a client's files are as they were."""
    log = "" if files.log is None else hash_of(files.log)
    if files.answers is not None:
        log = hash_of(log, files.answers)
    told = "" if files.told is None else hash_of(files.told)
    strays = hash_of(*(part for stray in files.strays for part in stray)) if files.strays else ""
    return Hashes("" if files.client is None else hash_of(files.client), log, told, strays)


@dataclass(slots=True)
class Found:
    """A client's files: stamps of their own one and of those beside it; contents once read.

    A client with a file under a wrong name has no stamps: that file has to be read each time.
    """

    id: str
    stamps: tuple[world.Stamp | None, world.Stamp | None]
    files: ClientFiles | None = None
    hashes: Hashes | None = None
    name: WrittenName | None = None  # a hash stands for its text
    has_log: bool = False

    def take(self, files: ClientFiles) -> None:
        """Note what was read, and what tells whether it is as it was."""
        self.files, self.hashes = files, hashes_of(files)
        self.has_log = files.log is not None or bool(files.stray_logs)
        name = written_name(files.client or b"")
        self.name = name and name._replace(alike=hash_of(name.alike))

    def lasting(self, noted_ns: int) -> tuple[StampTuple | None, StampTuple | None]:
        """What to remember of the two files, looked for at that time; None: there is none."""
        client, log = (s and (lasting(s, noted_ns) or UNSURE) for s in self.stamps)
        return client, log


def found_in(listed: Listed) -> dict[str, Found]:
    """The files of the clients wanted, by id; none of them is read yet."""
    stamps = listed.stamps
    return {
        id: Found(
            id,
            (None, None)
            if id in listed.strays
            else (stamps.get(id + CLIENT), beside_stamp(stamps, id)),
        )
        for id in listed.ids
    }


def entry_of(
    found: Found,
    done: Done,
    noted_ns: int,
    *,
    made_of: str,
    zone_state: str,
    history: str,
    files: Mapping[str, Made],
    untold: tuple[int, ...],
) -> ClientEntry:
    """What to remember of a client who was built, of files looked for at ``noted_ns``."""
    assert found.hashes is not None
    client_stamp, log_stamp = found.lasting(noted_ns)
    return ClientEntry(
        made_of=made_of,
        client=found.hashes.client,
        log=found.hashes.log,
        client_stamp=client_stamp,
        log_stamp=log_stamp,
        zone=done.zone,
        zone_state=zone_state,
        privacy=done.privacy,
        is_ended=done.is_ended,
        is_stopped=done.is_stopped,
        feed_of=done.feed_of,
        history=history,
        files=files,
        problems=done.problems,
        told=found.hashes.told,
        changes=done.changes,
        name=found.name,
        has_log=found.has_log,
        untold=untold,
    )


def log_gone(files: ClientFiles, before: ClientEntries, clients: Path) -> tuple[Problem, ...]:
    """That the log of a client who was stopped is gone: nobody is freed by that."""
    if files.log is not None or files.stray_logs:
        return ()
    entry = before.get(files.id)
    if entry is None or not (entry.is_stopped and entry.has_log):
        return ()
    log = f"{files.id}{LOG}"
    return (
        Problem(
            Origin(f"{clients.as_posix()}/{log}"),
            "the plan was stopped, and the log that may say why is gone; the page stays stopped",
            f"bring {log} back; if it shall be empty, write [] into it",
            "log-gone",
        ),
    )


def made(files: Mapping[str, bytes]) -> dict[str, Made]:
    """Files of the site as they were made; their stamps are not known yet."""
    return {name: Made(None, hash_of(data)) for name, data in files.items()}


def is_as_made(out: Path, there: Mapping[str, StampTuple], name: str, made: Made) -> bool:
    """Whether a file of the site is as it was written: by its stamp, or else by its content."""
    now = there.get(name)
    if now is None or now == made.stamp:
        return now is not None
    data = read_site_file(out, name)
    return data is not None and hash_of(data) == made.content
