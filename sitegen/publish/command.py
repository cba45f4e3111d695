"""The `publish` command: which target, what of the built folder, and what to say."""

from __future__ import annotations

import base64
import contextlib
import os
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, NamedTuple

from sitegen import world
from sitegen.model.nearest import nearest_of
from sitegen.model.practice import Practice
from sitegen.model.problem import Origin, Problem
from sitegen.practice.address import GIT, split_local
from sitegen.practice.opening import (
    BESIDE,
    CLIENT,
    LOG,
    ClientFiles,
    NotThere,
    beside_stamp,
    id_of,
    is_clients,
)
from sitegen.practice.waits import unanswered
from sitegen.publish import PublishProblem, Report, TransferStep, publish
from sitegen.publish.known import HostKnown
from sitegen.publish.outgoing import (
    Gets,
    memory_of,
    open_alarms,
    outgoing,
    outgoing_lines,
    owners,
    stopped_ids,
)
from sitegen.publish.ready import check_ready
from sitegen.publish.states import StateFiles, is_last_state, keep_shown, keep_state, site_before
from sitegen.seal.keys import Link, Retired, forget
from sitegen.seal.keys_file import KEYS_FILE, load_keys, update_keys
from sitegen.site import remember, telling
from sitegen.site.folder import finish_site, read_site_file, site_files
from sitegen.site.found import hashes_of
from sitegen.site.made_of import house_made_of
from sitegen.site.memory import UNSURE, BuildCache, HouseEntry, empty_cache, hash_of
from sitegen.site.notes import SHOWN_FILE, Notes, site_name
from sitegen.terminal.progress import Show

DOING = {"send": "sending", "remove": "removing", "wait": "waiting"}
MOST_TOLD = 5  # files that are named; of more, only how many


class OwnFiles(Mapping[str, bytes]):
    """The tool's own files in the built folder, each read when it is asked for.

    What others put there, and the tool's record, are not part of the site.
    """

    def __init__(self, out: Path) -> None:
        self.out = out
        self._names = frozenset(site_files(out))

    def __getitem__(self, name: str) -> bytes:
        if name not in self._names:
            raise KeyError(name)
        return (self.out / name).read_bytes()

    def __iter__(self) -> Iterator[str]:
        return iter(sorted(self._names))

    def __len__(self) -> int:
        return len(self._names)


def target_of(practice: Practice, wanted: str | None, clients: Path) -> str:
    """The address of a target by its name in ``practice.yaml``, or as it was typed.

    A folder that ``practice.yaml`` names is the same one wherever the coach stands: `resolved`
    says which. One that is typed begins where she stands, as any path does.

    Raises:
        NotThere: Nothing was named and there is not just one, or no target has that name.
    """
    names = practice.targets
    if wanted is None:
        if len(names) == 1:
            return resolved(next(iter(names.values())), home_of(clients))
        told = f"name one of {', '.join(names)}" if names else "write targets: into practice.yaml"
        raise NotThere(f"no target was named; {told}, or give an address")
    if wanted in names:
        return resolved(names[wanted], home_of(clients))
    is_address = "://" in wanted or "/" in wanted or wanted.startswith((GIT, ".", "~"))
    if is_address or split_local(wanted)[0]:
        return resolved(wanted, Path.cwd())
    close = nearest_of(wanted, names)
    mean = f"; did you mean {close}?" if close else ""
    raise NotThere(f"there is no target {wanted!r} in practice.yaml{mean}")


def read_all_the_same(clients: Path) -> Practice | None:
    """As much of ``practice.yaml`` as can be read, where it has an error: stops are published.

    None where it can't be read at all.
    """
    from sitegen.practice.lenient import lenient_practice

    try:
        return lenient_practice((clients / "practice.yaml").read_bytes())
    except OSError:
        return None


def home_of(clients: Path) -> Path:
    """The folder that holds the practice's folder: where a coach stands who types no --clients."""
    return Path(os.path.abspath(clients)).parent  # noqa: PTH100, a link is not followed


def resolved(target: str, start: Path) -> str:
    """A target with a path on this computer written out in full, from ``start`` on.

    An address of a host stays as it is; so does a git remote that is no folder from there.
    """
    text = target.strip()
    if text.startswith(GIT):
        remote, mark, branch = text.removeprefix(GIT).rpartition("#")
        here = start / Path(remote).expanduser()
        is_folder = "://" not in remote and bool(remote) and here.is_dir()
        return f"{GIT}{_full(here)}{mark}{branch}" if is_folder else target
    begins, path = split_local(text)
    if not path or "::" in text or "\n" in text or "\0" in text:
        return target
    return begins + _full(start / Path(path).expanduser())


def _full(path: Path) -> str:
    return os.path.abspath(path)  # noqa: PTH100, a link is not followed


def stale(clients: Path, out: Path) -> tuple[Problem, ...]:
    """A warning for each file of the practice that is another one than the site was built of.

    Without the memory of the last build there is none, as nobody can tell.
    """
    with contextlib.suppress(world.Refused):
        told = list(_stale(clients, out))
        if len(told) > MOST_TOLD:
            rest = len(told) - MOST_TOLD + 1
            told[MOST_TOLD - 1 :] = [(clients.as_posix(), f"{rest} more files are not as built")]
        return tuple(
            Problem(Origin(file), says, "run sitegen build, then publish again", "stale-site",
                    "warning")
            for file, says in told
        )  # fmt: skip
    return ()


def _stale(clients: Path, out: Path) -> Iterator[tuple[str, str]]:
    """Files that are not as they were built, and what is so with each."""
    tool = remember.tool()
    memory = remember.memory_file(clients, out)
    before = remember.load_cache(memory, tool)
    if before == empty_cache():
        return
    stamps = world.list_folder(clients)
    names: list[str] = []

    def only(name: str) -> bool:
        names.append(name)
        id = id_of(name)
        client, log = stamps.get(id + CLIENT), beside_stamp(stamps, id)
        return not is_clients(name) or not before.clients.has_stamps(id, client, log)

    folder = world.read_folder(clients, only, stamps)
    shared = [n for n in stamps if not is_clients(n) or n in folder.pictures]
    since = memory.stat().st_mtime_ns
    if before.house is not None and not _is_made_of(before.house, folder, out, tool):
        newer = [name for name in shared if stamps[name].mtime_ns > since]
        for name in newer:
            yield _changed(clients / name)
        if not newer and any(f.stat().st_mtime_ns > since for f in _folders(clients)):
            place = clients.as_posix()
            yield (
                place,
                f"a drill, text or picture in {place} went, or came back, after the site was built",
            )
    yield from _links(clients, out, before, since)
    ids = {id_of(name) for name in names if is_clients(name) and not name.endswith(BESIDE)}
    for id in sorted(ids | before.clients.keys()):
        entry = before.clients.get(id)
        file, log = clients / (id + CLIENT), clients / (id + LOG)
        if entry is None:
            yield file.as_posix(), f"{file.as_posix()} is not in the built site"
        elif id not in ids:
            if not entry.is_ended:
                yield file.as_posix(), f"{file.as_posix()} is gone, but not from the built site"
        else:
            stamped = before.clients.has_stamps(id, stamps[file.name], beside_stamp(stamps, id))
            if stamped:
                continue
            mine = ClientFiles(
                id, folder.clients.get(id), folder.logs.get(id), folder.answers.get(id)
            )
            if mine.client is None or hash_of(mine.client) != entry.client:
                yield _changed(file)
            if hashes_of(mine._replace(client=b"")).log != entry.log:
                yield _changed(log)


def _is_made_of(house: HouseEntry, folder: world.Folder, out: Path, tool: str) -> bool:
    """Whether what all clients share is as it was built, however the folder was typed then."""
    typed, full = folder.path, folder.path.absolute()
    names = [typed, full, full.resolve(), Path(os.path.relpath(full, out.absolute().parent))]
    return any(house.made_of == house_made_of(replace(folder, path=name), tool) for name in names)


def _folders(clients: Path) -> list[Path]:
    """The practice's folder and those in it: their times change with a file that goes."""
    return [clients, *(place for place in clients.iterdir() if place.is_dir())]


def _links(clients: Path, out: Path, before: BuildCache, since: int) -> Iterator[tuple[str, str]]:
    """Links that are not those of the built site: renewed, or with another passphrase."""
    file = clients / KEYS_FILE
    try:
        if file.stat().st_mtime_ns <= since:
            return
    except FileNotFoundError:
        return
    keys, _ = load_keys(file)
    if keys is None:
        return
    for id, entry in before.clients.items():
        if entry.is_ended or not (clients / (id + CLIENT)).exists():
            continue
        link = keys.links.get(id)
        page = f"{link.portal}/index.html" if link else ""
        if link is None or page not in entry.files:
            yield file.as_posix(), f"the link of {id} was renewed after the site was built"
        elif entry.privacy == "sealed" and seal_head(link) not in (
            read_site_file(out, page) or b""
        ):
            says = f"the passphrase of {id} was set or taken off after the site was built"
            yield file.as_posix(), says


def stopped_files(memory: BuildCache) -> frozenset[str]:
    """Names of the portals and feeds of stopped clients, as the last build remembers them."""
    return frozenset(
        name
        for entry in memory.clients.values()
        if entry.is_stopped
        for name in entry.files
        if not name.startswith("assets/")
    )


def seal_head(link: Link) -> bytes:
    """How the sealed text of a portal begins, as it stands in the page."""
    from sitegen.seal import sealing as seal

    secret, check = link.passphrase, seal.link_check(link.key, link.portal)
    flags, rounds, salt = (
        (0, 0, seal.NO_SALT)
        if secret is None
        else (seal.NEEDS_PASSPHRASE, secret.rounds, secret.salt)
    )
    head = seal.HEAD_FORM.pack(seal.MAGIC, seal.SEAL_VERSION, flags, rounds, salt, check)
    return base64.b64encode(head)


def _changed(file: Path) -> tuple[str, str]:
    return file.as_posix(), f"{file.as_posix()} was changed after the site was built"


class Published(NamedTuple):
    """What a publish did, or would do: file by file, and client by client.

    ``alarms`` are clients of whom the build told an open alarm, before them ``practice`` where a
    message waits that is in no log; ``again`` is what clients see again
    of the state before, where that went out; ``is_new`` says that another state was there before.
    """

    report: Report
    gets: tuple[Gets, ...] = ()
    alarms: tuple[str, ...] = ()
    again: Mapping[str, telling.ShownPage] | None = None
    is_new: bool = False


def run(
    clients: Path,
    out: Path,
    target: str,
    *,
    dry_run: bool,
    adopt: bool,
    withdraws: bool = False,
    said: Collection[str] = (),
    here: Iterable[str] = (),
    before: bool = False,
    progress: Show,
) -> Published:
    """Publish the built folder; forget retired links once their portals are gone from there.

    Args:
        clients: The practice's folder.
        out: The built folder.
        target: Where to, in full.
        dry_run: Only look.
        adopt: Publish beside files of others.
        withdraws: What was built and is gone here goes from the host.
        said: Codes of what was said yes to, of `sitegen.publish.look` and `sitegen.publish.closed`.
        here: Ids of all clients who have a file.
        before: The pages that were published before the last ones go out, in place of those built.
        progress: Told of each file.

    Raises:
        Refused: As `check_ready` says; or no state before is known.
    """
    finish_site(out)
    memory, (keys, _) = memory_of(clients, out), load_keys(clients / KEYS_FILE)
    mine = owners(memory, keys)
    check_ready(out, target, withdraws=withdraws, whose=mine)
    ended = [id for id, entry in memory.clients.items() if entry.is_ended]

    def show(step: TransferStep) -> None:
        progress(step.done, step.total, DOING[step.doing], step.share)

    progress(0, 0, "looking at the host")
    files: OwnFiles | StateFiles = OwnFiles(out)
    places, again = {name: out / name for name in files}, None
    if before:
        stay = {*stopped_ids(memory), *open_alarms(memory)}
        places, again = site_before(clients, out, target, places, keys, stay)
        files = StateFiles(places)
    stopped = stopped_ids(memory)
    renewed = [f"{old.portal}/index.html" for old in (keys.retired if keys else ())]
    host = HostKnown(clients, target, files, mine, said, stopped, ended, renewed, keeps=not dry_run)
    report = publish(
        files, target, dry_run=dry_run, adopt=adopt, progress=show, first=stopped_files(memory),
        consider=host.consider,
    )  # fmt: skip
    host.remember(report)
    if not report.problems and not dry_run and keys is not None and keys.retired:
        gone = _gone(keys.retired, files)
        with contextlib.suppress(OSError, world.Refused):  # the next publish does it
            update_keys(clients / KEYS_FILE, lambda now: forget(now, gone))
    gets = outgoing(report, memory, host.whose, host.there, here)
    if before:
        back = ("changed", "same", "unknown", "new")
        gets = tuple(Gets(one.id, "before") if one.what in back else one for one in gets)
    is_new = report.ok and not dry_run and not is_last_state(clients, out, target, places)
    if is_new:
        keep_state(clients, out, target, places)
    alarms = ("practice",) * bool(unanswered(clients)) + tuple(open_alarms(memory))
    return Published(report, gets, alarms, again, is_new)


def tell_published(
    clients: Path,
    out: Path,
    target: str,
    again: Mapping[str, telling.ShownPage] | None = None,
    *,
    is_new: bool = True,
) -> tuple[Problem, ...]:
    """Write down what clients see now that the site is published; what can't be is a warning.

    Args:
        clients: The practice's folder.
        out: The built folder.
        target: Where it was published to.
        again: What some see again, of the state before.
        is_new: Whether another state was there before.
    """
    back, lost = again or {}, tuple[Problem, ...]()
    with Notes(clients, SHOWN_FILE, site_name(clients, out)) as shown:

        def pages() -> Iterator[tuple[str, telling.ShownPage]]:
            for id in sorted({*shown.ids(), *back}):
                if page := back.get(id):
                    yield id, page
                elif note := shown.get(id):
                    yield id, telling.shown_page(note)

        try:
            with remember.one_at_a_time(clients):
                is_known = bool(shown.ids())
                if is_known:
                    lost = keep_shown(clients, target, pages(), is_new=is_new)
                told = telling.tell(clients, pages(), world.today)
                _remember_told(clients, out, told.files)
        except world.Refused as error:  # the pages lie there all the same
            return lost + shown.warning("told", str(error), "publish again, so that it is noted")
        if not is_known or shown.damage:
            wrong = "what clients are shown on these pages is not known here, so it is not noted"
            lost += shown.warning("told", wrong, "run sitegen build, then publish again")
    return lost + told.problems


def _remember_told(clients: Path, out: Path, files: Mapping[str, str]) -> None:
    """Note the ledgers' new content as known, so that the next build need not draw all again."""
    tool = remember.tool()
    memory = remember.memory_file(clients, out)
    before = remember.load_cache(memory, tool)
    known = [id for id in files if id in before.clients]
    if not known:
        return
    for id in known:
        entry = before.clients[id]._replace(told=files[id], log_stamp=UNSURE)
        before.clients.put(id, entry)
    remember.save_cache(memory, before, tool)


def _gone(retired: Iterable[Retired], files: Iterable[str]) -> tuple[Retired, ...]:
    """Retired links of which nothing was sent; a site older than a renewal has the old one."""
    sent = {part for name in files for part in (name, name.partition("/")[0])}
    return tuple(r for r in retired if sent.isdisjoint((r.portal, f"feeds/{r.feed}.ics")))


def report_lines(done: Published, names: Mapping[str, str]) -> Iterator[str]:
    """What a coach reads when it is done: files in one line, then who gets what, by name."""
    report = done.report
    would = "would be " if report.dry_run else ""
    yield (
        f"{len(report.uploaded)} files {would}sent, {len(report.removed)} {would}removed, "
        f"{len(report.unchanged)} unchanged, at {report.target}"
    )
    yield from outgoing_lines(done.gets, names, done.alarms)
    yield from report.notes


def report_json(done: Published, warnings: Iterable[Problem] = ()) -> dict[str, Any]:
    """What ``sitegen publish --json`` prints.

    Names of files tell where portals lie, so they are listed in a dry run alone, which is asked
    for to see them.
    """
    report = done.report
    return {
        "done": not report.problems,
        "target": report.target,
        "dry_run": report.dry_run,
        "sent": len(report.uploaded),
        "removed": len(report.removed),
        "unchanged": len(report.unchanged),
        "left": len(report.skipped),
        "kept": len(report.kept),
        "send": list(report.uploaded) if report.dry_run else None,
        "remove": list(report.removed) if report.dry_run else None,
        "clients": [one.as_json() for one in done.gets],
        "alarms": list(done.alarms),
        "notes": list(report.notes),
        "problems": [
            *(warning.as_json() for warning in warnings),
            *(problem_of(trouble, report.target).as_json() for trouble in report.problems),
        ],
    }


def problem_of(trouble: PublishProblem, target: str) -> Problem:
    """A trouble in the form of all problems: its file is the one on the host, else the target."""
    origin = Origin(trouble.path or target)
    return Problem(origin, trouble.message, trouble.hint, trouble.code)
