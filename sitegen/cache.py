"""What a build remembers of the one before: keys and formats. Pure; `desk.remember` has the files.

A build may leave a client alone when everything that the portal is made of is as it was, and what
was made of it lies in the site as it was written. The first is the entry's ``made_of``, a hash of
the contents; the second are the stamps of the files. Whatever is in doubt is made again, so a
memory that is lost, old or damaged costs time and nothing else.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from types import MappingProxyType
from typing import Any, NamedTuple

from sitegen.model.problem import Origin, Problem

FORMAT = 1
HASH_BYTES = 16

FINE_NS = 50_000_000
COARSE_NS = 2_100_000_000
"""A file changed again this soon after its time was noted may show the same time: file systems
count in ticks, of at most 10 ms where the time has a fraction of a second, of up to 2 s (FAT)
where it has none. Common practice, no source."""

StampTuple = tuple[int, int, int]  # size, modification time in ns, inode


class Made(NamedTuple):
    """A file of the site as it was written. Without a stamp, its content has to be looked at."""

    stamp: StampTuple | None
    content: str  # a hash


class Entry(NamedTuple):
    """What is remembered of one client."""

    made_of: str  # hash of everything that its files in the site are made of
    client: str  # hash of ID.yaml
    log: str  # hash of ID.log.yaml, empty where there is none
    client_stamp: StampTuple | None
    log_stamp: StampTuple | None
    zone: str
    zone_state: str  # of the time zone's data
    privacy: str
    is_ended: bool
    feed_of: str  # hash of what the calendar feed is made of, empty where there is none
    files: Mapping[str, Made] = MappingProxyType({})
    problems: tuple[Problem, ...] = ()


class HouseEntry(NamedTuple):
    """What is remembered of that which all clients share."""

    made_of: str
    address: str | None
    files: Mapping[str, Made] = MappingProxyType({})
    problems: tuple[Problem, ...] = ()


class Memory(NamedTuple):
    """The last build."""

    house: HouseEntry | None = None
    clients: Mapping[str, Entry] = MappingProxyType({})


NOTHING = Memory()


def hash_of(*parts: str | bytes | None) -> str:
    """A hash of parts; each counts with its length, so that no two lists of parts are alike."""
    digest = hashlib.blake2b(digest_size=HASH_BYTES)
    for part in parts:
        raw = part.encode("utf-8", "surrogatepass") if isinstance(part, str) else part
        digest.update(b"-;" if raw is None else b"%d;" % len(raw))
        digest.update(raw or b"")
    return digest.hexdigest()


def hash_of_all(files: Mapping[str, str | bytes]) -> str:
    """A hash of named contents."""
    return hash_of(*(part for name in sorted(files) for part in (name, files[name])))


def lasting(stamp: StampTuple | None, noted_ns: int) -> StampTuple | None:
    """The stamp, where any later change of the file must change it; else None.

    Args:
        stamp: As it was found.
        noted_ns: The time at which it was looked for, in ns since 1970.
    """
    if stamp is None:
        return None
    tick = FINE_NS if stamp[1] % 1_000_000_000 else COARSE_NS
    return stamp if stamp[1] < noted_ns - tick else None


# --- as text ----------------------------------------------------------------------------------


def written(memory: Memory, tool: str) -> bytes:
    """The memory as a file; ``tool`` names the tool and everything that it builds with."""
    house = memory.house
    shared = None
    if house is not None:
        shared = [house.made_of, house.address, _files(house.files), _problems(house.problems)]
    # One client after the other: all of them at once, as lists, would take twice the room.
    clients = b",".join(_json(id) + b":" + _json(_entry(e)) for id, e in memory.clients.items())
    body = b'{"house":%s,"clients":{%s}}' % (_json(shared), clients)
    return _head(body, tool) + body


def _json(value: object) -> bytes:
    return json.dumps(value, ensure_ascii=True, separators=(",", ":")).encode("ascii")


def _entry(e: Entry) -> list[Any]:
    return [
        e.made_of, e.client, e.log, e.client_stamp, e.log_stamp, e.zone, e.zone_state, e.privacy,
        e.is_ended, e.feed_of, _files(e.files), _problems(e.problems),
    ]  # fmt: skip


def read(data: bytes | None, tool: str) -> Memory:
    """The memory of a file; nothing where it is not there, damaged, or of another tool."""
    if data is None:
        return NOTHING
    head, mark, body = data.partition(b"\n")
    if not mark or head + mark != _head(body, tool):
        return NOTHING
    try:
        return _memory(json.loads(body))
    except (ValueError, TypeError, KeyError, IndexError):  # another tool with the same name
        return NOTHING


def _head(body: bytes, tool: str) -> bytes:
    return f"sitegen memory {FORMAT} {hash_of(tool, body)}\n".encode("ascii")


def _memory(raw: dict[str, Any]) -> Memory:
    house = None
    if raw["house"] is not None:
        made_of, address, files, problems = raw["house"]
        house = HouseEntry(made_of, address, _read_files(files), _read_problems(problems))
    clients = {}
    for id, fields in raw["clients"].items():
        (
            made_of, client, log, client_stamp, log_stamp, zone, zone_state, privacy, is_ended,
            feed_of, files, problems,
        ) = fields  # fmt: skip
        clients[id] = Entry(
            made_of,
            client,
            log,
            _read_stamp(client_stamp),
            _read_stamp(log_stamp),
            zone,
            zone_state,
            privacy,
            is_ended,
            feed_of,
            _read_files(files),
            _read_problems(problems),
        )
    return Memory(house, clients)


def _files(files: Mapping[str, Made]) -> list[Any]:
    return [[name, made.stamp, made.content] for name, made in files.items()]


def _read_files(raw: list[Any]) -> dict[str, Made]:
    return {name: Made(_read_stamp(stamp), content) for name, stamp, content in raw}


def _read_stamp(raw: list[int] | None) -> StampTuple | None:
    if raw is None:
        return None
    size, mtime_ns, inode = raw
    return size, mtime_ns, inode


def _problems(problems: tuple[Problem, ...]) -> list[Any]:
    return [
        [p.origin.file, p.origin.line, p.origin.column, p.message, p.hint, p.code, p.level]
        for p in problems
    ]


def _read_problems(raw: list[Any]) -> tuple[Problem, ...]:
    return tuple(
        Problem(Origin(file, line, column), message, hint, code, level)
        for file, line, column, message, hint, code, level in raw
    )


# --- compiled templates -----------------------------------------------------------------------


def packed(compiled: Mapping[str, bytes], tool: str) -> bytes:
    """Compiled templates as a file."""
    body = b"".join(
        b"%s %d\n%s" % (name.encode("ascii"), len(code), code)
        for name, code in sorted(compiled.items())
    )
    return f"sitegen templates {FORMAT} {hash_of(tool, body)}\n".encode("ascii") + body


def unpacked(data: bytes | None, tool: str) -> dict[str, bytes]:
    """What `packed` wrote; nothing where a byte is wrong or the tool is another."""
    head, mark, body = (data or b"").partition(b"\n")
    wanted = f"sitegen templates {FORMAT} {hash_of(tool, body)}".encode("ascii")
    if not mark or head != wanted:
        return {}
    found: dict[str, bytes] = {}
    at = 0
    while at < len(body):
        end = body.index(b"\n", at)
        name, size = body[at:end].split(b" ")
        at = end + 1 + int(size)
        found[name.decode("ascii")] = body[end + 1 : at]
    return found
