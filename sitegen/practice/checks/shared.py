"""What is written for all clients: the practice and its groups."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from urllib.parse import urlsplit

from sitegen.model.case import Origins
from sitegen.model.client import Client
from sitegen.model.kinds import is_id, quoted
from sitegen.model.practice import Group, Notice, Practice
from sitegen.model.problem import Problem
from sitegen.model.record import Path
from sitegen.practice.checks.telling import error, warning
from sitegen.practice.checks.there import missing_drills, missing_language, missing_references
from sitegen.practice.partly import as_far_as_known, known, lacks, numbered


def check_practice(
    practice: Practice,
    origins: Origins,
    drill_ids: Collection[str] | None = None,
    text_ids: Collection[str] | None = None,
) -> list[Problem]:
    """Every problem of the practice and its groups that no field shows alone.

    A group that no client is in is none: it may wait for the season's first. A client's slip in
    the group's name is told at the client's line.
    """
    told = _shared(practice, origins, drill_ids, text_ids)
    told += as_far_as_known(_shared_host(practice, origins))
    told += as_far_as_known(_emergency(practice, origins))
    told += _group_names(origins)
    for name, group in (known(practice, "groups") or {}).items():
        above: Path = ("groups", name)
        told += _shared(group, origins, drill_ids, text_ids, above)
        if drill_ids is not None:
            told += as_far_as_known(missing_drills(group, origins, drill_ids, above))
    return told


def _shared(
    written: Practice | Group,
    origins: Origins,
    drill_ids: Collection[str] | None,
    text_ids: Collection[str] | None,
    above: Path = (),
) -> list[Problem]:
    """What the practice and a group have in common."""
    return [
        *as_far_as_known(missing_language(written, origins, above)),
        *as_far_as_known(_notices(written, origins, above)),
        *as_far_as_known(missing_references(written, origins, drill_ids, text_ids, above)),
    ]


def _shared_host(practice: Practice, origins: Origins) -> Iterator[Problem]:
    """A site below a path of its host: what else lies there shares all that browsers keep.

    Source: the origin of RFC 6454 section 4 is scheme, host and port, without the path.
    """
    if practice.address is None or practice.own_host:
        return
    parts = urlsplit(practice.address)
    if parts.path.strip("/"):
        yield warning(
            origins.value("address"),
            "address-shared",
            f"whoever else has pages at {parts.netloc} could read a key that a client's browser "
            "keeps, as this site lies below a path",
            "give the site a name of its own, like https://plans.example.org/; where all of "
            f"{parts.netloc} is yours, add own_host: yes",
        )


def _emergency(practice: Practice, origins: Origins) -> Iterator[Problem]:
    """A stop says whom to call, and a number is read faster than words."""
    if lacks(practice, "emergency"):
        yield warning(
            origins.at(),
            "emergency-none",
            'there is no emergency number here, so a stop says "your local emergency number"',
            "write emergency: and the number where your clients live, like emergency: '112'",
        )


def emergency_abroad(client: Client, origins: Origins, practice: Practice) -> Iterator[Problem]:
    """A client who may be in another country, by the time zone, under the practice's number.

    ``client`` has what a group says where the file is silent.

    112 is answered in the European Union and its neighbours (Directive (EU) 2018/1972, article
    109, from memory), so zones of Europe pass under it.
    """
    zone, number = client.timezone, practice.emergency
    if zone is None or zone == practice.timezone or number is None or client.emergency:
        return
    if number == "112" and zone.startswith("Europe/"):
        return
    yield warning(
        origins.value("timezone") if origins.wrote("timezone") else origins.at("group"),
        "emergency-abroad",
        f"in {zone} the emergency number may be another than the practice's {number}",
        f"add emergency: and the number there; where it is {number} too, write that",
    )


def _group_names(origins: Origins) -> Iterator[Problem]:
    for path in origins.keys:
        if len(path) == 2 and path[0] == "groups" and not is_id(name := str(path[1])):
            hint = "write small letters, digits and hyphens, like spring-half"
            wrong = f"{quoted(name)} is not a group's name"
            yield error(origins.at(*path), "group-name", wrong, hint)


def _notices(written: Practice | Group, origins: Origins, above: Path) -> Iterator[Problem]:
    for number, note in numbered(written.notes):
        yield from as_far_as_known(_notice_dates(note, origins, (*above, "notes", number)))


def _notice_dates(note: Notice, origins: Origins, path: Path) -> Iterator[Problem]:
    if note.until < note.from_:
        yield error(
            origins.value(*path, "until"),
            "note-dates",
            f"this note ends before it begins, {note.from_}",
            "check both dates; until is the last day on which it is shown",
        )
