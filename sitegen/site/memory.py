"""What a build remembers of the one before: keys and formats. Pure; `desk.remember` has the files.

A build may leave a client alone when everything that the portal is made of is as it was, and what
was made of it lies in the site as it was written. The first is the entry's ``made_of``, a hash of
the contents; the second are the stamps of the files. Whatever is in doubt is made again, so a
memory that is lost, old or damaged costs time and nothing else.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from types import MappingProxyType
from typing import Any, NamedTuple

from sitegen.model.problem import Origin, Problem
from sitegen.practice.namesakes import WrittenName

CACHE_FORMAT = 8
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


class ClientEntry(NamedTuple):
    """What is remembered of one client."""

    made_of: str  # hash of everything that its files in the site are made of
    client: str  # hash of ID.yaml
    log: str  # hash of ID.log.yaml and of answers to alarms, empty where there is neither
    client_stamp: StampTuple | None
    log_stamp: StampTuple | None  # of all files beside the client's own
    zone: str
    zone_state: str  # of the time zone's data
    privacy: str
    is_ended: bool
    is_stopped: bool  # for the client's own sake: sent before all others
    feed_of: str  # hash of what the calendar feed is made of, empty where there is none
    history: str  # hash of the feed's history with it
    files: Mapping[str, Made] = MappingProxyType({})
    problems: tuple[Problem, ...] = ()
    told: str = ""  # hash of ID.told.yaml, empty where there is none
    changes: str = "null"  # what is otherwise than the client last saw, as JSON
    name: WrittenName | None = None  # with a hash in place of its text
    has_log: bool = False
    untold: tuple[int, ...] = ()  # places of problems that no build told the coach

    @property
    def told_problems(self) -> tuple[Problem, ...]:
        """What the coach was told."""
        if not self.untold:
            return self.problems
        return tuple(p for at, p in enumerate(self.problems) if at not in self.untold)


class HouseEntry(NamedTuple):
    """What is remembered of that which all clients share."""

    made_of: str
    address: str | None
    files: Mapping[str, Made] = MappingProxyType({})
    problems: tuple[Problem, ...] = ()
    has_targets: bool = False
    histories: StampTuple | None = None  # of the file that has the feeds' histories


class ClientEntries(Mapping[str, ClientEntry]):
    """What is remembered of clients, by id: kept as lines of a text, and read when asked for.

    Of ten thousand clients that takes a tenth of the room that all entries would. Lines as
    objects of their own would lie between what a build lets go of, and hold that room as well.
    """

    def __init__(self, text: bytes = b"", start: int = 0) -> None:
        """``text`` holds a line a client from there on. Raises ValueError where one has no id."""
        self._new = bytearray()
        self._places: dict[str, tuple[bytes | bytearray, int, int]] = {}
        self._stamp: Callable[[Mapping[str, Made]], Mapping[str, Made]] | None = None
        self._unstamped: Collection[str] = ()
        while start < len(text):
            end = text.find(b"\n", start)
            end = len(text) if end < 0 else end
            self._places[_id_of_line(text[start : start + 64])] = text, start, end
            start = end + 1

    def line(self, id: str) -> bytes:
        """A client's line; empty for one who is not known."""
        text, start, end = self._places.get(id, (b"", 0, 0))
        line = bytes(text[start:end])
        if self._stamp is None or id not in self._unstamped:
            return line
        entry = _read_entry(line)
        return _entry_line(id, entry._replace(files=self._stamp(entry.files)))

    def stamp(
        self, ids: Collection[str], stamp: Callable[[Mapping[str, Made]], Mapping[str, Made]]
    ) -> None:
        """Have the files of these clients stamped whenever they are asked for: a second line for
        each of ten thousand would not be small."""
        self._unstamped, self._stamp = ids, stamp

    def __getitem__(self, id: str) -> ClientEntry:
        """One client's entry; a line that can't be read is none."""
        try:
            return _read_entry(self.line(id))
        except (ValueError, TypeError):  # another tool with the same name
            raise KeyError(id) from None

    def __iter__(self) -> Iterator[str]:
        return iter(self._places)

    def __len__(self) -> int:
        return len(self._places)

    def __contains__(self, id: object) -> bool:
        return id in self._places

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, ClientEntries) or self._places.keys() != other._places.keys():
            return False
        return all(self.line(id) == other.line(id) for id in self._places)

    __hash__ = None  # type: ignore[assignment]

    def put(self, id: str, entry: ClientEntry) -> None:
        """Remember a client."""
        start = len(self._new)
        self._new += _entry_line(id, entry)
        self._places[id] = self._new, start, len(self._new)

    def take(self, id: str, before: ClientEntries) -> None:
        """Remember a client as before."""
        self._places[id] = before._places[id]

    def has_stamps(self, id: str, client: StampTuple | None, log: StampTuple | None) -> bool:
        """Whether a client is remembered with these stamps; told without reading the entry."""
        return self.line(id).startswith(_line_start(id, client, log))


class BuildCache(NamedTuple):
    """The last build."""

    house: HouseEntry | None
    clients: ClientEntries

    def told_of(self, ids: Collection[str] = ()) -> list[Problem]:
        """What the coach was told of these clients; of all where none is named."""
        entries = map(self.clients.get, ids or self.clients)
        return [p for entry in entries if entry for p in entry.told_problems]


def empty_cache() -> BuildCache:
    """The memory of who has not built yet."""
    return BuildCache(None, ClientEntries())


def hash_of(*parts: str | bytes | bytearray | None) -> str:
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


UNSURE: StampTuple = (-1, -1, -1)
"""The stamp of no file: what is remembered of one that is there, where its own may not last."""


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


def stamped(
    files: Mapping[str, Made], there: Callable[[str], StampTuple | None], noted_ns: int
) -> Mapping[str, Made]:
    """Files with the stamps of what lies there, for those that have none yet.

    Args:
        files: What was made, by name.
        there: The stamp of a file that lies in the site.
        noted_ns: The time at which they were looked for, in ns since 1970.
    """
    if all(made.stamp for made in files.values()):
        return files
    return {
        name: made if made.stamp else Made(lasting(there(name), noted_ns), made.content)
        for name, made in files.items()
    }


# --- as text ----------------------------------------------------------------------------------


def written(memory: BuildCache, tool: str) -> Iterator[bytes]:
    """The memory as a file, piece by piece; ``tool`` names the tool and all that it builds with."""
    yield _head(_body(memory), tool)
    yield from _body(memory)


def _body(memory: BuildCache) -> Iterator[bytes]:
    house = memory.house
    shared = None
    if house is not None:
        shared = [
            *(house.made_of, house.address, house.has_targets, house.histories),
            *(_files(house.files), problems_as_lists(house.problems)),
        ]
    yield _json(shared)
    for id in sorted(memory.clients):
        yield b"\n"
        yield memory.clients.line(id)


def _json(value: object) -> bytes:
    return json.dumps(value, ensure_ascii=True, separators=(",", ":")).encode("ascii")


def _line_start(id: str, client: StampTuple | None, log: StampTuple | None) -> bytes:
    return _json([id, client, log])[:-1]


def _entry_line(id: str, e: ClientEntry) -> bytes:
    rest = _json([
        e.made_of, e.client, e.log, e.zone, e.zone_state, e.privacy, e.is_ended,
        e.is_stopped, e.feed_of, e.history,
        _files(e.files), problems_as_lists(e.problems), e.told, e.changes, e.name, e.has_log,
        e.untold,
    ])  # fmt: skip
    return _line_start(id, e.client_stamp, e.log_stamp) + b"," + rest[1:]


def _read_entry(line: bytes) -> ClientEntry:
    (
        _, client_stamp, log_stamp, made_of, client, log, zone, zone_state, privacy, is_ended,
        is_stopped, feed_of, history, files, problems, told, changes, name,
        has_log, untold,
    ) = json.loads(line)  # fmt: skip
    return ClientEntry(
        made_of,
        client,
        log,
        _read_stamp(client_stamp),
        _read_stamp(log_stamp),
        zone,
        zone_state,
        privacy,
        is_ended,
        is_stopped,
        feed_of,
        history,
        _read_files(files),
        problems_of_lists(problems),
        told,
        changes,
        name and WrittenName(*name),
        has_log,
        tuple(untold),
    )


def read_cache(data: bytes | None, tool: str) -> BuildCache:
    """The memory of a file; nothing where it is not there, damaged, or of another tool."""
    if data is None:
        return empty_cache()
    start = data.find(b"\n") + 1
    if data[:start] != _head([memoryview(data)[start:]], tool):
        return empty_cache()
    end = data.find(b"\n", start)
    end = len(data) if end < 0 else end
    try:
        return BuildCache(_read_house(json.loads(data[start:end])), ClientEntries(data, end + 1))
    except (ValueError, TypeError, IndexError):  # another tool with the same name
        return empty_cache()


def _id_of_line(line: bytes | bytearray) -> str:
    return line[2 : line.index(b'"', 2)].decode("ascii")


def _read_house(raw: list[Any] | None) -> HouseEntry | None:
    if raw is None:
        return None
    made_of, address, has_targets, histories, files, problems = raw
    return HouseEntry(
        made_of,
        address,
        _read_files(files),
        problems_of_lists(problems),
        has_targets,
        _read_stamp(histories),
    )


def _head(body: Iterable[bytes | memoryview], tool: str) -> bytes:
    digest = hashlib.blake2b(hash_of(tool).encode(), digest_size=HASH_BYTES)
    for piece in body:
        digest.update(piece)
    return f"sitegen memory {CACHE_FORMAT} {digest.hexdigest()}\n".encode("ascii")


def _files(files: Mapping[str, Made]) -> list[Any]:
    return [[name, made.stamp, made.content] for name, made in files.items()]


def _read_files(raw: list[Any]) -> dict[str, Made]:
    return {name: Made(_read_stamp(stamp), content) for name, stamp, content in raw}


def _read_stamp(raw: list[int] | None) -> StampTuple | None:
    if raw is None:
        return None
    size, mtime_ns, inode = raw
    return size, mtime_ns, inode


def problems_as_lists(problems: tuple[Problem, ...]) -> list[Any]:
    """Problems as JSON has them."""
    return [
        [p.origin.file, p.origin.line, p.origin.column, p.message, p.hint, p.code, p.level]
        for p in problems
    ]


def problems_of_lists(raw: list[Any]) -> tuple[Problem, ...]:
    """What `problems_as_lists` made lists of."""
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
    return f"sitegen templates {CACHE_FORMAT} {hash_of(tool, body)}\n".encode("ascii") + body


def unpacked(data: bytes | None, tool: str) -> dict[str, bytes]:
    """What `packed` wrote; nothing where a byte is wrong or the tool is another."""
    head, mark, body = (data or b"").partition(b"\n")
    wanted = f"sitegen templates {CACHE_FORMAT} {hash_of(tool, body)}".encode("ascii")
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
