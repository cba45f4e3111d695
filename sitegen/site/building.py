"""Build: the thin shell round `sitegen.site.client`, with a memory of the build before.

What is unchanged is not read, expanded or drawn; `sitegen.site.memory` says what unchanged means.
Clients are independent of each other, so many are spread over processes, or given to any
executor with the interface of `concurrent.futures`.
"""

from __future__ import annotations

import contextlib
import time
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from itertools import islice
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from sitegen import world
from sitegen.model.problem import Origin, Problem
from sitegen.seal.addresses import feed_name, private_address
from sitegen.site import memory as cache
from sitegen.site import remember
from sitegen.site.folder import open_site, read_site_file
from sitegen.site.memory import Entries, Entry, HouseEntry, Made, Memory, hash_of, lasting

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from sitegen.practice.house import Texts
    from sitegen.seal.keys import Keys, Link
    from sitegen.site.client import Done, Job, Kit

Progress = Callable[[int, int, str], None]


@dataclass(frozen=True, slots=True)
class Built:
    """What a build did, or why it did nothing."""

    done: bool
    problems: tuple[Problem, ...]
    summary: str = ""
    addresses: tuple[tuple[str, str | None, Link, str], ...] = ()  # client, base, link, privacy
    count: int = 0  # clients
    written: int = 0  # files
    removed: int = 0

    @property
    def errors(self) -> int:
        return sum(1 for p in self.problems if p.level == "error")

    def as_json(self, out: Path, links: bool = False) -> dict[str, Any]:
        """What ``sitegen build --json`` prints; private links only where they were asked for."""
        return {
            "done": self.done,
            "out": out.as_posix(),
            "clients": self.count,
            "written": self.written,
            "removed": self.removed,
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


def quiet(done: int, total: int, what: str) -> None:
    """For who wants no progress."""


def build_site(
    clients: Path,
    out: Path,
    ids: tuple[str, ...] = (),
    as_of: date | None = None,
    progress: Progress = quiet,
    *,
    executor: Executor | None = None,
    remembers: bool = True,
) -> Built:
    """Check everything, then write ``out`` whole; with an error anywhere, write nothing.

    Args:
        clients: The practice's folder.
        out: The site's folder.
        ids: The clients to build; none means all. The others' portals stay as they are.
        as_of: The day that plans are as of; None for today, where each client is.
        progress: Told how many clients are done, of how many.
        executor: Where to build; by default here, or in processes of this machine if that is
            quicker. It is sent everything that a task needs, private links included.
        remembers: False builds everything, and leaves no memory. The site is the same.
    """
    with remember.one_at_a_time(clients):
        try:
            building = _Building(clients, out, ids, as_of, progress, executor, remembers)
        except _NotThere as error:
            return Built(False, (Problem(Origin(clients.as_posix()), str(error), "", "no-client"),))
        except world.Refused as error:
            return _refused(clients, error)
        try:
            return building.run()
        except _Failed as failed:
            return Built(False, failed.problems)
        except world.Refused as error:
            return _refused(out, error)


def _refused(where: Path, error: Exception) -> Built:
    return Built(False, (Problem(Origin(where.as_posix()), str(error), "", "refused"),))


BLOCK = 256
"""Clients whose files are read at a time, so that a large practice need not fit into memory."""


class _NotThere(Exception):
    """A client was named whom the practice does not have."""


class _Failed(Exception):
    """The build can't be done, for these problems."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        super().__init__()
        self.problems = tuple(problems)


@dataclass(slots=True)
class _Found:
    """A client's two files as they lie there: stamps, and contents once they are read."""

    id: str
    stamps: tuple[world.Stamp | None, world.Stamp | None]
    client: bytes | None = None
    log: bytes | None = None
    hashes: tuple[str, str] | None = None


class _Building:
    """One build, from what lies there and what is remembered to what shall be."""

    def __init__(
        self,
        clients: Path,
        out: Path,
        ids: tuple[str, ...],
        as_of: date | None,
        progress: Progress,
        executor: Executor | None,
        remembers: bool,
    ) -> None:
        self.clients, self.out, self.ids = clients, out, frozenset(ids)
        self.as_of, self.progress, self.executor = as_of, progress, executor
        self.now, self.now_ns = world.now_utc(), time.time_ns()
        self.tool = remember.tool()
        self.file = remember.memory_file(clients, out) if remembers else None
        self.before = remember.load(self.file, self.tool) if self.file else cache.nothing()
        self.entries = Entries()  # for the next build
        self.unstamped: set[str] = set()  # whose files' stamps are still to be noted
        self.privacy: dict[str, str] = {}
        self.ended: set[str] = set()
        self.kept: set[str] = set()  # names of files that stay as they are
        self.written: set[str] = set()  # names of files given to the site
        self.seen: dict[str, str] = {}  # the plan that each client had before
        self.seen_now: dict[str, str] = {}
        self.problems: list[Problem] = []
        self.is_failed = False
        self.zones: dict[str, tuple[date, str]] = {}
        self.broken: set[str] = set()  # clients with a file that can't be read
        self.count = 0
        self._list()

    def run(self) -> Built:
        self._open_keys()
        self._open_house()
        with open_site(self.out) as site:
            self.present = site.own
            written = site.write(self._files(), self._keeps)
        self._remember()
        changed = len(written.added) + len(written.changed)
        count = len(self.wanted)
        summary = (
            f"{count} client{'' if count == 1 else 's'} built into {self.out}: "
            f"{changed} files written, {len(written.removed)} removed"
        )
        problems = (*sorted(self.problems), *self.told)
        removed = len(written.removed)
        return Built(True, problems, summary, tuple(self._addresses()), count, changed, removed)

    # --- what there is --------------------------------------------------------------------

    def _list(self) -> None:
        """Find out which clients there are, and read what they share."""
        stamps = world.list_folder(self.clients)
        changed = self._changed(stamps)
        names: list[str] = []

        def only(name: str) -> bool:
            names.append(name)
            return not is_clients(name) or id_of(name) in changed

        folder = world.read_folder(self.clients, only, stamps)
        self.folder = replace(folder, clients={}, logs={})
        logs = {id_of(name) for name in names if name.endswith(LOG)}
        ids = {id_of(name) for name in names if is_clients(name) and not name.endswith(LOG)}
        self.all_ids = tuple(sorted(ids))
        for id in sorted(self.ids - ids):
            from sitegen.practice.opening import not_there

            raise _NotThere(not_there(self.clients, id, self.all_ids))
        self.wanted = tuple(sorted(self.ids)) or self.all_ids
        self.found = {
            id: _Found(id, (stamps.get(id + CLIENT), stamps.get(id + LOG) if id in logs else None))
            for id in self.wanted
        }
        if folder.misnamed or folder.unreadable or not logs <= ids:
            self._tell_folder(
                replace(folder, clients=dict.fromkeys(ids, b""), logs=dict.fromkeys(logs, b""))
            )
        self._take(folder)

    def _changed(self, stamps: Mapping[str, world.Stamp]) -> frozenset[str]:
        """Whose files are other ones than before, where that is few: they are read at once."""
        known = self.before.clients
        ids = {
            id
            for id in {id_of(name) for name in stamps if is_clients(name)}
            if not known.has_stamps(id, stamps.get(id + CLIENT), stamps.get(id + LOG))
        }
        ids &= self.ids or ids
        return frozenset(ids if len(ids) <= BLOCK else ())

    def _tell_folder(self, folder: world.Folder) -> None:
        """What is wrong with names and kinds of files."""
        from sitegen.practice.opening import folder_problems

        for problem in folder_problems(folder, self.clients):
            if not self.ids or Path(problem.origin.file).name.split(".")[0] in self.ids:
                self._tell(problem)

    def _tell(self, *problems: Problem) -> None:
        self.problems += problems
        self.is_failed |= any(p.level == "error" for p in problems)

    def _read(self, ids: Iterable[str]) -> list[_Found]:
        """The files of some clients. One that can't be read is a problem, and left out."""
        wanted = frozenset(ids)
        folder = world.read_folder(
            self.clients, lambda name: is_clients(name) and id_of(name) in wanted
        )
        if folder.unreadable:
            self._tell_folder(replace(folder, misnamed=(), logs={}))
        return self._take(folder)

    def _take(self, folder: world.Folder) -> list[_Found]:
        """Take contents over from a folder; not of who has a file that can't be read."""
        self.broken |= {id_of(unreadable.name) for unreadable in folder.unreadable}
        read = []
        for id in sorted(folder.clients.keys() & self.found.keys() - self.broken):
            found = self.found[id]
            found.client, found.log = folder.clients[id], folder.logs.get(id)
            log = "" if found.log is None else hash_of(found.log)
            found.hashes = hash_of(found.client), log
            read.append(found)
        return read

    def _zone(self, name: str) -> tuple[date, str]:
        """The day that plans are as of there, and the state of the zone's data."""
        if name not in self.zones:
            from zoneinfo import ZoneInfo

            day = self.as_of or self.now.astimezone(ZoneInfo(name)).date()
            self.zones[name] = day, remember.zone(name)
        return self.zones[name]

    # --- links ----------------------------------------------------------------------------

    def _open_keys(self) -> None:
        """Every client's link; for new clients drawn, and not yet written down."""
        from sitegen.seal.keys import ensure
        from sitegen.seal.keys_file import NAME

        keys, self.told = remember.load_links(self.clients / NAME)
        if keys is None:
            from sitegen.site.plans import open_plans

            opened = open_plans(self.clients, tuple(self.ids), self.as_of)
            planned = [problem for id in opened.cases for problem in opened.problems_of(id)]
            raise _Failed(sorted({*opened.problems, *planned, *self.told}))
        self.keys = keys
        self.links = ensure(keys, self.wanted, world.draw_bytes).links
        unnamed = set(self.all_ids) - self.ids if self.ids else set()
        others = [link for id, link in keys.links.items() if id in unnamed]
        self.others = {name for link in others for name in (link.portal, feed_name(link))}

    def _keep_links(self) -> None:
        """Write down the links that were drawn, and retire those of who ended or is gone."""
        from sitegen.seal.keys import retire
        from sitegen.seal.keys_file import NAME, update_keys

        ended = self.ended
        living = [id for id in self.privacy if id not in ended]
        if set(living) == set(self.keys.links) == set(self.all_ids):
            return  # each has a link, and nobody has one too many

        def change(keys: Keys) -> Keys:
            for id in [id for id in keys.links if id in ended or id not in self.all_ids]:
                keys = retire(keys, id)
            links = {id: self.links[id] for id in living} | dict(keys.links)
            return replace(keys, links=MappingProxyType(dict(sorted(links.items()))))

        if change(self.keys) == self.keys:
            return
        try:
            keys, told = update_keys(self.clients / NAME, change)
        except OSError as error:
            why = error.strerror or str(error)
            origin = Origin((self.clients / NAME).as_posix())
            told = (Problem(origin, f"the links can't be written: {why}", "", "keys-write"),)
            keys = None
        if keys is None:
            raise _Failed((*sorted(self.problems), *told))
        if any(keys.links.get(id) != self.links[id] for id in living):
            raise world.Refused("a private link was changed during this build; build again")
        self.keys, self.told = keys, told

    def _addresses(self) -> Iterator[tuple[str, str | None, Link, str]]:
        for id in self.wanted:
            if id in self.keys.links and id in self.privacy:
                yield id, self.house.address, self.keys.links[id], self.privacy[id]

    # --- what all clients share -----------------------------------------------------------

    def _open_house(self) -> None:
        """The practice, its drills, texts and logo: as before, or read again."""
        folder = self.folder
        self.house_made_of = house_made_of(folder, self.tool)
        self.kit: Kit | None = None
        before = self.before.house
        if before is not None and before.made_of == self.house_made_of:
            self.house = before
        else:
            from sitegen.practice.house import read_house

            house, problems = read_house(self._texts())
            if house is None:
                raise _Failed(sorted({*problems, *self._told_without_house(), *self.problems}))
            self.house = HouseEntry(self.house_made_of, house.practice.address, {}, problems)
        self._tell(*self.house.problems)

    def _told_without_house(self) -> set[Problem]:
        """What is wrong with clients whose house has errors, so that one round tells all."""
        from sitegen.practice.house import known_of
        from sitegen.site.client import Ask, Kit
        from sitegen.site.spread import check_all

        def asks() -> Iterator[Ask]:
            left = iter(self.wanted)
            while block := list(islice(left, BLOCK)):
                for found in self._read(block):
                    assert found.client is not None
                    yield Ask(found.id, found.client, found.log)
                    found.client = found.log = None

        texts = self._texts()
        kit = Kit("", texts, {}, {}, self.as_of, self.now, {}, known_of(texts))
        return {problem for told in check_all(kit, asks()) for problem in told}

    def _texts(self) -> Texts:
        from sitegen.practice.opening import texts_of

        texts = texts_of(self.folder)
        return texts._replace(
            clients={},
            logs={},
            drills=dict(texts.drills),
            figures=dict(texts.figures),
            library=dict(texts.library),
            handouts=dict(texts.handouts),
            pictures=dict(texts.pictures),
        )

    def _open_kit(self) -> Kit:
        if self.kit is None:
            from sitegen.site.client import Kit

            compiled = remember.load_compiled(self.tool)
            self.compiled_before = len(compiled)
            self.kit = Kit(
                name=self.house_made_of,
                texts=self._texts(),
                templates=dict(world.read_templates()),
                compiled=compiled,
                as_of=self.as_of,
                stamp=self.now,
                languages=world.read_languages(),
            )
        return self.kit

    def _shared_files(self) -> dict[str, bytes]:
        """What the site holds beside portals and feeds; nothing where it lies there already."""
        if self.house.files and self._lie_there(self.house.files):
            return {}
        from sitegen.site import client as build

        house, renderer = build.tools_of(self._open_kit())
        files = build.shared_files(renderer, house.practice)
        self.house = self.house._replace(files=_made(files))
        return files

    # --- the site -------------------------------------------------------------------------

    def _keeps(self, name: str) -> bool:
        """With clients named, the others' portals stay, and the styles and scripts they load."""
        if name in self.kept:
            return True
        folder = name.partition("/")[0]
        return bool(self.ids) and (
            folder == "assets" or folder in self.others or name in self.others
        )

    def _files(self) -> Iterator[tuple[str, bytes]]:
        """Every file to be written. Raises at the end if there was an error anywhere."""
        for files in self._file_sets():
            if not self.is_failed:
                self.written.update(files)
                yield from files.items()
        if self.is_failed:
            raise _Failed(sorted(self.problems))
        self._keep_links()
        self.progress(0, 0, "writing the site")

    def _file_sets(self) -> Iterator[Mapping[str, bytes]]:
        yield self._shared_files()
        unsure = [id for id in self.wanted if not self._is_as_before(self.found[id])]
        self._count(len(self.wanted) - len(unsure))
        if not unsure:
            return
        from sitegen.site.spread import build_all

        for done in build_all(self._open_kit(), self._jobs(unsure), self.executor):
            self._tell(*done.problems)
            if done.files is not None:
                self._note(done, done.files)
                yield done.files
            self._count(1)

    def _count(self, more: int) -> None:
        self.count += more
        if more:
            self.progress(self.count, len(self.wanted), "building")

    def _is_as_before(self, found: _Found) -> bool:
        """Whether a client's portal can stay as it is; then it is noted for the next build."""
        entry = self.before.clients.get(found.id)
        if entry is None:
            return False
        hashes = found.hashes
        if hashes is None and found.stamps == (entry.client_stamp, entry.log_stamp):
            hashes = entry.client, entry.log
        if hashes is None or entry.made_of != self._made_of(found.id, hashes, entry.zone):
            return False
        if not self._lie_there(entry.files):
            return False
        self._tell(*entry.problems)
        client_stamp, log_stamp = self._lasting(found)
        if (client_stamp, log_stamp) != (entry.client_stamp, entry.log_stamp):
            entry = entry._replace(client_stamp=client_stamp, log_stamp=log_stamp)
            self.entries.put(found.id, entry)
        else:
            self.entries.take(found.id, self.before.clients)
        self._keep_in_mind(found.id, entry)
        return True

    def _keep_in_mind(self, id: str, entry: Entry) -> None:
        """Of what was noted of a client, what this build still needs."""
        self.privacy[id] = entry.privacy
        if entry.is_ended:
            self.ended.add(id)
        if not all(made.stamp for made in entry.files.values()):
            self.unstamped.add(id)

    def _lie_there(self, files: Mapping[str, Made]) -> bool:
        """Whether these lie in the site as they were written; then they stay there."""
        if not all(self._lies_there(name, made) for name, made in files.items()):
            return False
        self.kept.update(files)
        return True

    def _lies_there(self, name: str, made: Made) -> bool:
        now = self.present.get(name)
        if now is None:
            return False
        return now == made.stamp or _hash_of_file(self.out, name) == made.content

    def _lasting(self, found: _Found) -> tuple[cache.StampTuple | None, cache.StampTuple | None]:
        """What to remember of the two files: None says that there is none."""
        client, log = (s and (lasting(s, self.now_ns) or cache.UNSURE) for s in found.stamps)
        return client, log

    def _made_of(self, id: str, hashes: tuple[str, str], zone: str) -> str:
        """The hash of everything that a client's part of the site is made of."""
        link = self.links[id]
        secret = link.passphrase
        day, state = self._zone(zone)
        return hash_of(
            *(self.house_made_of, *hashes, link.portal, link.key, link.feed, zone, state),
            *(() if secret is None else (secret.key, secret.salt, str(secret.rounds))),
            day.isoformat(),
        )

    def _jobs(self, ids: list[str]) -> Iterator[Job]:
        """Who has to be built. Reads some clients at a time, and lets go of them again."""
        from sitegen.site import seen
        from sitegen.site.client import Job

        self.seen = seen.load(self.clients)
        left = iter(ids)
        while block := list(islice(left, BLOCK)):
            new = [id for id in block if self.found[id].hashes is None and id not in self.broken]
            read = [self.found[id] for id in block if self.found[id].hashes is not None]
            read += self._read(new) if new else []
            self._count(len(block) - len(read))
            for found in read:
                if self._is_as_before(found):
                    self._count(1)
                    continue
                assert found.client is not None
                before, feed_of = self._feed_before(found.id)
                kept = self.seen.get(found.id, "")
                link = self.links[found.id]
                job = Job(found.id, found.client, found.log, link, before, feed_of, kept)
                found.client = found.log = None
                yield job

    def _feed_before(self, id: str) -> tuple[bytes | None, str]:
        """The feed as it lies there, and what it is made of, where that is sure."""
        name = feed_name(self.links[id])
        data = read_site_file(self.out, name)
        entry = self.before.clients.get(id)
        if data is None or entry is None or entry.zone_state != self._zone(entry.zone)[1]:
            return data, ""
        made = entry.files.get(name)
        return data, entry.feed_of if made and made.content == hash_of(data) else ""

    def _note(self, done: Done, files: Mapping[str, bytes]) -> None:
        """Note for the next build what was made of what."""
        found, made = self.found[done.id], _made(files)
        self.seen_now[done.id] = "" if done.is_ended else done.kept
        assert found.hashes is not None
        feed = feed_name(self.links[done.id])
        if done.feed_of and feed not in made:
            made[feed] = self.before.clients[done.id].files[feed]
            self.kept.add(feed)
        client_stamp, log_stamp = self._lasting(found)
        entry = Entry(
            made_of=self._made_of(done.id, found.hashes, done.zone),
            client=found.hashes[0],
            log=found.hashes[1],
            client_stamp=client_stamp,
            log_stamp=log_stamp,
            zone=done.zone,
            zone_state=self._zone(done.zone)[1],
            privacy=done.privacy,
            is_ended=done.is_ended,
            feed_of=done.feed_of,
            files=made,
            problems=done.problems,
        )
        self.entries.put(done.id, entry)
        self._keep_in_mind(done.id, entry)

    # --- the next build -------------------------------------------------------------------

    def _remember(self) -> None:
        self._remember_seen()
        if self.kit is not None and len(self.kit.compiled) > self.compiled_before:
            remember.save_compiled(self.kit.compiled, self.tool)
        if self.file is None:
            return
        now_ns = time.time_ns()
        stamps = remember.stamps_of(self.out, self.written)

        def stamped(files: Mapping[str, Made]) -> Mapping[str, Made]:
            if all(made.stamp for made in files.values()):
                return files
            return {
                name: made
                if made.stamp
                else Made(lasting(stamps.get(name) or self.present.get(name), now_ns), made.content)
                for name, made in files.items()
            }

        for id in self.unstamped:
            entry = self.entries[id]
            self.entries.put(id, entry._replace(files=stamped(entry.files)))
        for id in self.all_ids:
            if id in self.before.clients and id not in self.found:  # not among those named
                self.entries.take(id, self.before.clients)
        house = self.house._replace(files=stamped(self.house.files))
        after = Memory(house, self.entries)
        if after != self.before:
            remember.save(self.file, after, self.tool)

    def _remember_seen(self) -> None:
        """Keep what each client's plan looks like, for who is here; what can't be kept is lost."""
        if not self.seen_now:
            return
        from sitegen.site import seen

        ids = frozenset(self.all_ids)
        kept = self.seen | self.seen_now
        now = {id: text for id, text in kept.items() if text and id in ids}
        if now != self.seen:
            with contextlib.suppress(world.Refused):
                seen.save(self.clients, now)
        self.seen = self.seen_now = {}


CLIENT, LOG = ".yaml", ".log.yaml"


def is_clients(name: str) -> bool:
    """Whether a name that `world.read_folder` asks about is one of a client's two files."""
    return name != "practice.yaml" and "/" not in name


def house_made_of(folder: world.Folder, tool: str) -> str:
    """The hash of everything that all clients' parts of the site are made of."""
    return hash_of(
        tool,
        folder.path.as_posix(),
        folder.practice,
        cache.hash_of_all(folder.drills),
        cache.hash_of_all(folder.figures),
        cache.hash_of_all(folder.handouts),
        cache.hash_of_all(folder.pictures),
    )


def without_errors(clients: Path, problems: Iterable[Problem]) -> str | None:
    """A client who could be built by name although others can't; None if what all share is wrong.

    Raises:
        Refused: The folder can't be read.
    """
    names: list[str] = []

    def only(name: str) -> bool:
        names.append(name)
        return False

    world.read_folder(clients, only)
    wrong = {p.origin.file for p in problems if p.level == "error"}
    theirs = {f"{clients.as_posix()}/{name}": id_of(name) for name in names if is_clients(name)}
    if not wrong <= theirs.keys():
        return None
    ids = {id_of(name) for name in names if is_clients(name) and not name.endswith(LOG)}
    return min(ids - {theirs[file] for file in wrong}, default=None)


def id_of(name: str) -> str:
    return name.partition(".")[0]


def _made(files: Mapping[str, bytes]) -> dict[str, Made]:
    return {name: Made(None, hash_of(data)) for name, data in files.items()}


def _hash_of_file(out: Path, name: str) -> str:
    data = read_site_file(out, name)
    return "" if data is None else hash_of(data)
