"""Build: the thin shell round `sitegen.site.client`, with a memory of the build before.

What is unchanged is not read, expanded or drawn; `sitegen.site.memory` says what unchanged means.
Clients are independent of each other, so many are spread over processes, or given to any
executor with the interface of `concurrent.futures`.
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import closing
from datetime import date
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from sitegen import world
from sitegen.model.problem import Origin, Problem
from sitegen.practice.namesakes import namesakes
from sitegen.practice.naming import is_error
from sitegen.practice.opening import BLOCK, Listed, NotThere, Progress, list_practice
from sitegen.seal.addresses import feed_name
from sitegen.site import memory as cache
from sitegen.site import notes, remember
from sitegen.site.built import Built, Failed, quiet, refused
from sitegen.site.folder import open_site, read_site_file
from sitegen.site.found import Found, Hashes, entry_of, found_in, is_as_made, log_gone, made
from sitegen.site.histories import Histories
from sitegen.site.links import Links
from sitegen.site.made_of import house_made_of, link_made_of
from sitegen.site.memory import BuildCache, ClientEntries, ClientEntry, HouseEntry, Made, hash_of
from sitegen.site.news import Findings, told_before
from sitegen.site.zones import Zones

FRONT_PAGE = "index.html"

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from sitegen.practice.house import House, Texts
    from sitegen.site.client import Done, Job, Kit


def build_site(
    clients: Path,
    out: Path,
    ids: tuple[str, ...] = (),
    as_of: date | None = None,
    progress: Progress = quiet,
    *,
    executor: Executor | None = None,
    remembers: bool = True,
    tells: bool = False,
    reports: bool = False,
) -> Built:
    """Build every client whose own files are sound, and write ``out`` whole.

    A client with an error keeps the page of before, and is named in the result. An error in what
    all share builds nobody: then nothing is written.

    Args:
        clients: The practice's folder.
        out: The site's folder.
        ids: The clients to build; none means all. The others' portals stay as they are.
        as_of: The day that plans are as of; None for today, where each client is.
        progress: Told how many clients are done, of how many.
        executor: Where to build; by default here, or in processes of this machine if that is
            quicker. It is sent everything that a task needs, private links included.
        remembers: False builds everything, and leaves no memory. The site is the same.
        tells: Whether clients come to see this site: then what they are shown is written down,
            or kept for `publish` to do so.
        reports: Whether the coach is told all its problems that are news: the next build then
            counts them as told.
    """
    with remember.one_at_a_time(clients):
        try:
            listed = list_practice(clients, ids)
            building = _Building(
                listed, out, ids, as_of, progress, executor, remembers, tells, reports
            )
        except NotThere as error:
            return Built(False, (Problem(Origin(clients.as_posix()), str(error), "", "no-client"),))
        except world.Refused as error:
            return refused(clients, error)
        try:
            with closing(building.histories), building.seen, building.shown:
                return building.run()
        except Failed as failed:
            return Built(False, failed.problems, as_before=failed.as_before)
        except world.Refused as error:
            return refused(out, error)


class _Building:
    """One build, from what lies there and what is remembered to what shall be."""

    def __init__(
        self,
        listed: Listed,
        out: Path,
        ids: tuple[str, ...],
        as_of: date | None,
        progress: Progress,
        executor: Executor | None,
        remembers: bool,
        tells: bool,
        reports: bool,
    ) -> None:
        self.listed, self.clients, self.out = listed, listed.clients, out
        self.wanted, self.all_ids, self.ids = listed.ids, listed.all_ids, frozenset(ids)
        self.as_of, self.progress, self.executor = as_of, progress, executor
        self.now, self.now_ns = world.now_utc(), time.time_ns()
        self.tool = remember.tool()
        self.file = remember.memory_file(self.clients, out) if remembers else None
        self.before = (
            remember.load_cache(self.file, self.tool) if self.file else cache.empty_cache()
        )
        self.entries = ClientEntries()  # for the next build
        self.unstamped: set[str] = set()  # whose files' stamps are still to be noted
        self.privacy, self.ended = dict[str, str](), set[str]()
        self.texts: Texts | None = None  # where they are not as they lie there
        self.stops = 0  # pages written that stop somebody
        self.only_stops = False  # what all clients share has an error: pages wait, but not stops
        self.held: set[str] = set()  # clients with an error, whose pages stay as they are
        self.kept: set[str] = set()  # names of files that stay as they are
        self.untouched: frozenset[str] = frozenset()  # portals and feeds not this build's to change
        self.written: set[str] = set()  # names of files given to the site
        self.seen = notes.Notes(self.clients, notes.SEEN_FILE)  # each client's plan before
        self.histories = Histories(self.clients, self.before.house, tells)
        self.tells, self.changes = tells, dict[str, str]()
        self.noted: frozenset[str] | None = None  # of whom it is known what the page shows
        site = notes.site_name(self.clients, out)
        self.shown = notes.Notes(self.clients, notes.SHOWN_FILE, site)  # for who comes to see it
        self.findings = Findings(listed.problems, reports)
        self.zones = Zones(self.now, as_of)
        self.count = 0
        self.found = found_in(listed)

    def run(self) -> Built:
        self.links = Links.open(self.listed)
        self.findings.update(self.links.problems)
        if not self.ids:  # who has a page, and a file under a wrong name alone: held, or stopped
            lost = sorted(self.listed.lost.intersection(self.links.kept))
            self.wanted += tuple(lost)
            self.found |= {id: Found(id, (None, None)) for id in lost}
        if self.links.drawn is None:
            self._fail()
        self._open_house()
        with open_site(self.out) as site:
            self.present = site.own
            written = site.write(self._files(), self._keeps)
        self._tell_clients()
        self._remember()
        changed, removed = len(written.added) + len(written.changed), len(written.removed)
        count = len(self.wanted) - len(self.held)
        return Built(
            True,
            self.findings.all,
            f"{count} client{'' if count == 1 else 's'} built into {self.out}: "
            f"{changed} files written, {removed} removed",
            tuple(
                (id, self.house.address, self.links.kept[id], self.privacy[id])
                for id in self.wanted
                if id in self.links.kept and id in self.privacy
            ),
            count,
            changed,
            removed,
            tuple(sorted(self.held)),
            tuple(
                id for id in sorted(self.held & set(self.entries)) if self.entries[id].is_stopped
            ),
            self.changes,
            self.findings.as_before,
        )

    def _fail(self) -> NoReturn:
        """Build nothing, and tell all that is wrong, as `check` does. Always raises Failed."""
        from sitegen.site.checking import all_wrong

        problems = all_wrong(self.listed, self.as_of, self.findings.all)
        raise Failed(problems, told_before(problems, self.before.told_of()))

    def _tell(
        self, id: str, problems: Sequence[Problem], before: ClientEntry | None = None
    ) -> tuple[int, ...]:
        """Take up what is wrong with a client's files; gives the places of what the coach is not
        told, and was not before. With an error the page stays as it was."""
        untold = self.findings.take(problems, before.told_problems if before else ())
        if any(map(is_error, problems)):
            self._hold(id)
        return untold

    def _hold(self, id: str) -> None:
        """Leave a client's page and feed as they lie there, and note that for the next build."""
        self.held.add(id)
        if id in self.before.clients:
            self.entries.take(id, self.before.clients)

    def _read(self, ids: Iterable[str]) -> list[Found]:
        """The files of some clients. Who has one that can't be read is held, and left out."""
        read = []
        for files, told in self.listed.files(ids):
            self._tell(files.id, told)
            if files.client is None:
                continue
            if gone := log_gone(files, self.before.clients, self.clients):
                self._tell(files.id, gone)
                continue
            found = self.found[files.id]
            found.take(files)
            read.append(found)
        return read

    # --- what all clients share -----------------------------------------------------------

    def _open_house(self) -> None:
        """The practice, its drills, texts and logo: as before, or read again."""
        self.house_made_of = house_made_of(self.listed.shared, self.tool)
        self.kit: Kit | None = None
        self.house_read: House | None = None  # where it had to be read to know that it is sound
        before = self.before.house
        if before is not None and before.made_of == self.house_made_of:
            self.house = before
        else:
            house, problems = self.listed.read
            if house is None:
                house = self._open_for_stops()
            self.house_read = house
            made_of = "" if self.only_stops else self.house_made_of
            address, has_targets = house.practice.address, bool(house.practice.targets)
            self.house = HouseEntry(made_of, address, {}, problems, has_targets)
        self.findings.update(self.house.problems)

    def _open_for_stops(self) -> House:
        """As much of the practice as can be read, to stop who must be stopped.

        Raises:
            Failed: Nothing was built here before.
        """
        from sitegen.practice.lenient import house_for_stops

        if not (self.out / FRONT_PAGE).is_file():
            self._fail()
        self.only_stops = True
        house, self.texts = house_for_stops(self.listed.texts)
        if house is None:
            self._fail()
        return house

    def _open_kit(self) -> Kit:
        if self.kit is None:
            from sitegen.site.client import Kit, tools_of

            compiled = remember.load_compiled(self.tool)
            self.compiled_before = len(compiled)
            self.kit = Kit(
                name=self.house_made_of + (" stops" if self.only_stops else ""),
                texts=self.texts or self.listed.texts,
                templates=dict(world.read_templates()),
                compiled=compiled,
                as_of=self.as_of,
                stamp=self.now,
                languages=world.read_languages(),
            )
            tools_of(self.kit, self.house_read)
        return self.kit

    def _shared_files(self) -> dict[str, bytes]:
        """What the site holds beside portals and feeds; nothing where it lies there already."""
        if self.house.files and self._lie_there(self.house.files):
            return {}
        from sitegen.site import client as build

        house, renderer = build.tools_of(self._open_kit())
        files = build.shared_files(renderer, house)
        if self.only_stops:  # the front and the rest stay; a page needs its styles and scripts
            files = {name: data for name, data in files.items() if name.startswith("assets/")}
        self.house = self.house._replace(files=made(files))
        return files

    # --- the site -------------------------------------------------------------------------

    def _keeps(self, name: str) -> bool:
        """With clients named, the others' portals stay, and the styles and scripts they load.

        So do the portals of who is held back.
        """
        if self.only_stops or name in self.kept or name in self.untouched:
            return True
        folder = name.partition("/")[0]
        return folder in self.untouched or (folder == "assets" and bool(self.untouched))

    def _files(self) -> Iterator[tuple[str, bytes]]:
        """Every file to be written. Raises at the end if nobody could be built for errors."""
        for files in self._file_sets():
            self.written.update(files)
            yield from files.items()
        names = {id: self.found[id].name for id in self.listed.ids}
        self.findings.update(namesakes(names, self.clients.as_posix()))
        nobody = not self.stops and self.held.issuperset(self.wanted)
        if nobody and self.findings.has_errors:
            raise Failed(self.findings.all, self.findings.as_before)
        living = [id for id in self.privacy if id not in self.ended]
        told = self.links.keep(living, self.ended)
        if any(map(is_error, told)):
            raise Failed((*self.findings.all, *told), self.findings.as_before)
        self.findings.update(told)
        unnamed = set(self.all_ids) - self.ids if self.ids else set()
        self.untouched = self.links.names_of(unnamed | self.held | self.listed.meant)
        self.progress(0, 0, "writing the site")

    def _file_sets(self) -> Iterator[Mapping[str, bytes]]:
        yield self._shared_files()
        for id in self.listed.meant.intersection(self.wanted):
            self._hold(id)
        unsure = [id for id in self.wanted if not self._is_as_before(self.found[id])]
        if len(unsure) <= BLOCK:  # then a file that was only touched costs no loading of the engine
            unsure = [f.id for f in self._read(unsure) if not self._is_as_before(f)]
        self._count(len(self.wanted) - len(unsure))
        if not unsure:
            return
        from sitegen.site.spread import build_all

        for done in build_all(self._open_kit(), self._jobs(unsure), self.executor):
            untold = tuple(range(len(done.problems)))
            if self.only_stops:  # half a practice does not tell what is wrong with a client
                self._hold(done.id)
            else:
                untold = self._tell(done.id, done.problems, self.before.clients.get(done.id))
            # A page that stops somebody goes out though the files have errors.
            if done.files is not None and (done.is_stopped or done.id not in self.held):
                self.stops += done.is_stopped
                self._note(done, done.files, untold)
                yield done.files
            self._count(1)

    def _count(self, more: int) -> None:
        self.count += more
        if more:
            self.progress(self.count, len(self.wanted), "building")

    def _is_as_before(self, found: Found) -> bool:
        """Whether a client's portal can stay as it is; then it is noted for the next build."""
        entry = self.before.clients.get(found.id)
        if entry is None:
            return False
        hashes = found.hashes
        is_sure = found.id not in self.listed.strays
        if hashes is None and is_sure and found.stamps == (entry.client_stamp, entry.log_stamp):
            hashes = Hashes(entry.client, entry.log, entry.told)
        if hashes is None or hashes.told != entry.told:
            return False
        if entry.made_of != self._made_of(found.id, hashes, entry.zone):
            return False
        is_as_before = self.histories.is_as_before(found.id, entry.history)
        if not is_as_before or not self._is_noted(found.id) or not self._lie_there(entry.files):
            return False
        untold = self._tell(found.id, entry.problems, entry)
        found.name = entry.name
        self.stops += entry.is_stopped
        client_stamp, log_stamp = found.lasting(self.now_ns)
        new = entry._replace(client_stamp=client_stamp, log_stamp=log_stamp, untold=untold)
        if new != entry:
            entry = new
            self.entries.put(found.id, entry)
        else:
            self.entries.take(found.id, self.before.clients)
        self._keep_in_mind(found.id, entry)
        return True

    def _is_noted(self, id: str) -> bool:
        """Whether it is known what the page shows, where `publish` asks for that."""
        if self.noted is None and self.tells and self.house.has_targets:
            self.noted = frozenset(self.shown.ids())
        return self.noted is None or id in self.noted

    def _keep_in_mind(self, id: str, entry: ClientEntry) -> None:
        """Of what was noted of a client, what this build still needs."""
        self.privacy[id], self.changes[id] = entry.privacy, entry.changes
        if entry.is_ended:
            self.ended.add(id)
        if not all(made.stamp for made in entry.files.values()):
            self.unstamped.add(id)

    def _lie_there(self, files: Mapping[str, Made]) -> bool:
        """Whether these lie in the site as they were written; then they stay there."""
        if not all(is_as_made(self.out, self.present, *file) for file in files.items()):
            return False
        self.kept.update(files)
        return True

    def _made_of(self, id: str, hashes: Hashes, zone: str) -> str:
        """The hash of everything that a client's part of the site is made of, but for the ledger:
        what a build tells is not news to the next one, so it is compared by itself."""
        day, state = self.zones.of(zone)
        return hash_of(
            *(self.house_made_of, *hashes[:2], hashes.strays),
            *(*link_made_of(self.links.of(id)), zone, state, day.isoformat()),
        )

    def _jobs(self, ids: list[str]) -> Iterator[Job]:
        """Who has to be built. Reads some clients at a time, and lets go of them again."""
        from sitegen.site.client import Job

        left = iter(ids)
        while block := list(islice(left, BLOCK)):
            new = [id for id in block if self.found[id].hashes is None]
            read = [self.found[id] for id in block if self.found[id].hashes is not None]
            read += self._read(new) if new else []
            self._count(len(block) - len(read))
            for found in read:
                if self._is_as_before(found):
                    self._count(1)
                    continue
                assert found.files is not None
                link, feed_of = self.links.of(found.id), self._feed_of_before(found.id)
                history, kept = self.histories.of(found.id), self.seen.get(found.id)
                job = Job(found.files, link, feed_of, history, kept)
                found.files = None
                yield job

    def _feed_of_before(self, id: str) -> str:
        """What the feed that lies there is made of; empty where that is not sure."""
        name = feed_name(self.links.of(id))
        data = read_site_file(self.out, name)
        entry = self.before.clients.get(id)
        if data is None or entry is None or entry.zone_state != self.zones.of(entry.zone)[1]:
            return ""
        made = entry.files.get(name)
        is_noted = self.histories.is_noted(id, entry.history)
        return entry.feed_of if made and made.content == hash_of(data) and is_noted else ""

    def _note(self, done: Done, files: Mapping[str, bytes], untold: tuple[int, ...]) -> None:
        """Note for the next build what was made of what."""
        found, new = self.found[done.id], made(files)
        self.seen.note(done.id, "" if done.is_ended else done.kept)
        if self.tells and done.shown:
            self.shown.note(done.id, f"{done.zone}\n{done.shown}")
        assert found.hashes is not None
        feed = feed_name(self.links.of(done.id))
        if done.feed_of and feed not in new:
            new[feed] = self.before.clients[done.id].files[feed]
            self.kept.add(feed)
        entry = entry_of(
            found,
            done,
            self.now_ns,
            made_of=self._made_of(done.id, found.hashes, done.zone),
            zone_state=self.zones.of(done.zone)[1],
            history=self.histories.take(done.id, done.history),
            files=new,
            untold=untold,
        )
        self.entries.put(done.id, entry)
        self._keep_in_mind(done.id, entry)

    def _tell_clients(self) -> None:
        """Write down what they see, before the build is remembered: one cut off is made again."""
        if self.only_stops or not self.shown.has_new:
            return
        from sitegen.site import telling

        if self.house.has_targets:  # who publishes tells them
            told = telling.keep(self.shown, self.all_ids)
        else:
            pages = ((id, telling.shown_page(text)) for id, text in self.shown.new())
            told = telling.tell(self.clients, pages, self.zones.today, self.as_of)
        self.findings.update(told.problems)
        for id in [id for id, _ in self.shown.new()] if told.problems else ():  # the next build is
            self.entries.put(id, self.entries[id]._replace(made_of=""))  # to try it again
        for id, digest in told.files.items():
            entry = self.entries[id]._replace(told=digest, log_stamp=cache.UNSURE)
            self.entries.put(id, entry)

    # --- the next build -------------------------------------------------------------------

    def _remember(self) -> None:
        follows = "pages may not say what is new on them"
        told = self.seen.or_warn(lambda: self.seen.keep(self.all_ids), "seen", follows)
        self.findings.update((*told, *self.histories.keep(self.all_ids)) if self.tells else ())
        if self.kit is not None and len(self.kit.compiled) > self.compiled_before:
            remember.save_compiled(self.kit.compiled, self.tool)
        if self.file is None:
            return
        now_ns = time.time_ns()
        stamped = remember.stamping(self.out, self.present, self.written, now_ns)
        self.entries.stamp(self.unstamped, stamped)
        for id in self.all_ids:
            if id in self.before.clients and id not in self.found:  # not among those named
                self.entries.take(id, self.before.clients)
        histories = self.histories.stamp_now(now_ns)
        house = self.house._replace(files=stamped(self.house.files), histories=histories)
        after = BuildCache(house, self.entries)
        if after != self.before:
            remember.save_cache(self.file, after, self.tool)
