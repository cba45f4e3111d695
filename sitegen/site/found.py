"""What lies there: a client's files, the site's; and what tells whether they are as they were."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from sitegen import world
from sitegen.practice.namesakes import WrittenName, written_name
from sitegen.practice.opening import CLIENT, ClientFiles, Listed, beside_stamp
from sitegen.site.folder import read_site_file
from sitegen.site.memory import UNSURE, Made, StampTuple, hash_of, lasting


class Hashes(NamedTuple):
    """Of a client's files; empty where there is none."""

    client: str
    log: str  # and answers to alarms
    told: str  # the ledger


def hashes_of(files: ClientFiles) -> Hashes:
    """What tells whether a client's files are as they were."""
    log = "" if files.log is None else hash_of(files.log)
    if files.answers is not None:
        log = hash_of(log, files.answers)
    told = "" if files.told is None else hash_of(files.told)
    return Hashes("" if files.client is None else hash_of(files.client), log, told)


@dataclass(slots=True)
class Found:
    """A client's files: stamps of their own one and of those beside it; contents once read."""

    id: str
    stamps: tuple[world.Stamp | None, world.Stamp | None]
    files: ClientFiles | None = None
    hashes: Hashes | None = None
    name: WrittenName | None = None  # a hash stands for its text

    def take(self, files: ClientFiles) -> None:
        """Note what was read, and what tells whether it is as it was."""
        self.files, self.hashes = files, hashes_of(files)
        name = written_name(files.client or b"")
        self.name = name and name._replace(alike=hash_of(name.alike))

    def lasting(self, noted_ns: int) -> tuple[StampTuple | None, StampTuple | None]:
        """What to remember of the two files, looked for at that time; None: there is none."""
        client, log = (s and (lasting(s, noted_ns) or UNSURE) for s in self.stamps)
        return client, log


def found_in(listed: Listed) -> dict[str, Found]:
    """The files of the clients wanted, by id; none of them is read yet."""
    stamps = listed.stamps
    return {id: Found(id, (stamps.get(id + CLIENT), beside_stamp(stamps, id))) for id in listed.ids}


def made(files: Mapping[str, bytes]) -> dict[str, Made]:
    """Files of the site as they were made; their stamps are not known yet."""
    return {name: Made(None, hash_of(data)) for name, data in files.items()}


def hash_of_file(out: Path, name: str) -> str:
    """The hash of a file of the site; empty where it is not there."""
    data = read_site_file(out, name)
    return "" if data is None else hash_of(data)
