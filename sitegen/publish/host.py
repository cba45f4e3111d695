"""Publish to a folder, or to any address that a store can be opened for.

A run goes: look at the host; refuse what is not ours; take the lock; write down what is about to
change; send assets, portals, feeds and front pages, each file whole; remove what is gone; write
down what is there now. A run that is cut off leaves, for each file, the old or the new one, and a
manifest that names both, so the next run knows what to look at again.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace
from pathlib import Path, PurePosixPath

from sitegen.practice.address import read_address
from sitegen.publish.credentials import known_secrets
from sitegen.publish.fault import FaultKind, PublishError, refusal, told_as
from sitegen.publish.lock import PART, Lock, is_own_leftover
from sitegen.publish.look import HostLook
from sitegen.publish.manifest import MANIFEST, Manifest, digest_of, read_manifest
from sitegen.publish.order import (
    ASSETS,
    FEEDS,
    FRONT,
    PORTALS,
    removal_order,
    sending_of,
    sending_order,
)
from sitegen.publish.report import PublishProblem, Report, TransferStep
from sitegen.publish.retrying import RetryingConnection
from sitegen.publish.say import changed_there, conflict, short_list, site_moved
from sitegen.publish.settings import Settings
from sitegen.publish.site import SiteFiles
from sitegen.publish.store import HostFile, Store
from sitegen.publish.stores import open_store

ONE_FILE = frozenset(
    {FaultKind.DENIED, FaultKind.MISSING, FaultKind.ALTERED}
)  # another file may still do
MOST_FAILURES = 5
TRIP_BYTES = 16 * 1024
"""What the round trips of one file cost, in bytes that could have been sent instead: an estimate
for a usual line, no source."""


def publish_to(site: Mapping[str, bytes], target: str, settings: Settings) -> Report:
    """Bring a host to hold what ``site`` holds, beside other people's files.

    Raises:
        PublishError: The target can't be read, or must not be published to.
    """
    address = read_address(target)
    if not address.scheme and isinstance(site, SiteFiles):
        _refuse_itself(site.folder, Path(address.path))
    return publish_into(
        lambda: open_store(address, settings.environ),
        site,
        address.shown,
        settings,
        known_secrets(address, settings.environ),
    )


def _refuse_itself(built: Path, target: Path) -> None:
    source, goal = built.resolve(), target.resolve()
    if source == goal or source in goal.parents or goal in source.parents:
        raise refusal(
            PublishProblem(
                "the target is the built folder itself, or one of them lies in the other",
                "name a folder of its own as the target",
                "target-itself",
            )
        )


@dataclass(frozen=True)
class Transfer:
    """What a run has to do, worked out from what the host holds."""

    before: Manifest
    digests: Mapping[str, str]  # path → digest, of the whole site
    sizes: Mapping[str, int]  # path → bytes, of the whole site
    send: tuple[str, ...]
    remove: tuple[str, ...]
    unchanged: tuple[str, ...]
    kept: tuple[str, ...]  # other people's
    parts: tuple[str, ...]  # half files of a run that was cut off
    conflicts: tuple[str, ...]  # other people's, under the name of one of ours
    notes: tuple[str, ...]
    held: tuple[str, ...] = ()  # ours, left as they are until somebody says yes

    def stops_alone(self, first: Collection[str]) -> Transfer:
        """What may go out all the same where the rest needs a yes: pages that stop somebody, and
        what they load."""
        stops = [path for path in self.send if path in first]
        send = [p for p in self.send if p in first or sending_of(p) == ASSETS] if stops else []
        held = [path for path in (*self.send, *self.remove) if path not in send]
        return replace(self, send=tuple(send), remove=(), held=tuple(held))

    def after(self, sent: frozenset[str], left: tuple[str, ...], base: Manifest) -> Manifest:
        """The manifest that is true when ``sent`` has arrived and ``left`` was left."""
        there = {path: self.digests[path] for path in (*self.unchanged, *sent)}
        return base.settled(there, left)

    @property
    def look(self) -> HostLook:
        return HostLook(self.before, self.digests, self.send, self.remove, self.unchanged)

    @property
    def is_done(self) -> bool:
        if self.send or self.remove or self.parts:
            return False
        return self.after(frozenset(), (), self.before).files == self.before.files


def make_plan(
    line: RetryingConnection, site: Mapping[str, bytes], adopt: bool, first: Collection[str] = ()
) -> Transfer:
    """Compare the site with the host. Writes nothing. What is in ``first`` is sent first.

    Raises:
        PublishError: The host holds something else, and ``adopt`` is off; or it can't be looked at.
    """
    data = line.read(MANIFEST)
    before = read_manifest(data) if data is not None else None
    if before is None:
        if not adopt:
            _refuse_foreign(line, site, damaged=data is not None)
        before = Manifest()
    entries = line.files()
    digests, sizes = {}, {}
    for path in site:
        data = site[path]
        digests[path], sizes[path] = digest_of(path, data), len(data)
    send, unchanged, conflicts, repaired, replaced = [], [], [], [], []
    for path, digest in digests.items():
        entry = entries.get(path)
        if entry is None:
            send.append(path)
        elif _is_there(line, before, path, digest, entry, sizes[path]):
            unchanged.append(path)
        elif before.owns(path):
            send.append(path)
            if before.is_settled(path, digest):
                repaired.append(path)
        elif adopt:
            send.append(path)
            replaced.append(path)
        else:
            conflicts.append(path)
    remove, kept, parts = [], [], []
    for path in entries:
        name = PurePosixPath(path).name
        if path in digests or path == MANIFEST:
            continue
        if is_own_leftover(name):
            if name.startswith(PART):
                parts.append(path)
        elif before.owns(path):
            remove.append(path)
        else:
            kept.append(path)
    notes = []
    if repaired:
        notes.append(f"someone had changed {short_list(repaired)} on the host; sent again")
    if replaced:
        notes.append(f"replaced what was there as {short_list(replaced)}")
    if kept:
        notes.append(f"left other people's files alone: {short_list(sorted(kept))}")
    return Transfer(
        before,
        digests,
        sizes,
        tuple(sending_order(send, first)),
        tuple(removal_order(remove)),
        tuple(sorted(unchanged)),
        tuple(sorted(kept)),
        tuple(sorted(parts)),
        tuple(sorted(conflicts)),
        tuple(notes),
    )


def _is_there(
    line: RetryingConnection, before: Manifest, path: str, digest: str, entry: HostFile, size: int
) -> bool:
    """True if the host holds this very file: by manifest and size, or else by reading it."""
    if entry.size is not None and entry.size != size:
        return False
    if before.is_settled(path, digest):
        return True
    if before.owns(path) and digest not in before.digests(path):
        return False
    data = line.read(path)
    return data is not None and digest_of(path, data) == digest


def _refuse_foreign(line: RetryingConnection, site: Mapping[str, bytes], *, damaged: bool) -> None:
    files, folders = line.top()
    others = sorted({name for name in files if not is_own_leftover(name)} - {MANIFEST})
    if damaged:
        raise refusal(
            PublishProblem(
                "the list of our files there is damaged, or a newer version wrote it",
                "use the newest version; or publish with --adopt, which keeps every file that is "
                "not in this site, and then delete by hand the old portals it tells you about",
                "target-manifest",
            )
        )
    if others or folders:
        alike = [name for name in others if name in site]
        replaced = f", replaces {short_list(alike)}," if alike else ""
        found = short_list([*others, *sorted(folders)])
        raise refusal(
            PublishProblem(
                f"the target already holds something else: {found}",
                "name an empty folder; or, if this is the right place, publish with --adopt, which "
                f"adds the site{replaced} and keeps all other files",
                "target-foreign",
            )
        )


@dataclass
class Tally:
    """What a run has come to so far."""

    uploaded: list[str] = field(default_factory=list)
    removed: list[str] = field(default_factory=list)
    skipped: list[str] = field(default_factory=list)
    problems: list[PublishProblem] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


def publish_into(
    connect: Callable[[], Store],
    site: Mapping[str, bytes],
    shown: str,
    settings: Settings,
    secrets: tuple[str, ...] = (),
) -> Report:
    """Publish into the store that ``connect`` opens. What goes wrong is told in the report."""
    line = RetryingConnection(
        connect, retries=settings.retries, sleep=settings.sleep, chance=settings.chance
    )
    tally = Tally()
    plan: Transfer | None = None
    doing = "looking at the host"
    try:
        plan = make_plan(line, site, settings.adopt, settings.first)
        tally.problems += [conflict(path) for path in plan.conflicts]
        tally.skipped += plan.conflicts
        objections = settings.objections(plan.look)
        tally.problems += objections
        if settings.dry_run:
            tally.uploaded += plan.send
            tally.removed += plan.remove
        elif objections:
            plan = plan.stops_alone(settings.first)
            if plan.send:
                doing = "writing to the host"
                plan = _carry_out(line, site, plan, tally, settings, secrets)
        elif not plan.is_done:
            doing = "writing to the host"
            plan = _carry_out(line, site, plan, tally, settings, secrets)
    except PublishError as failed:
        tally.problems.append(told_as(failed, doing, secrets))
    finally:
        line.hang_up()
    if plan is None:
        return Report(shown, problems=tuple(tally.problems), dry_run=settings.dry_run)
    done = {*tally.uploaded, *tally.removed, *tally.skipped}
    return Report(
        shown,
        uploaded=tuple(tally.uploaded),
        unchanged=plan.unchanged,
        removed=tuple(tally.removed),
        skipped=(
            *tally.skipped,
            *(p for p in (*plan.send, *plan.remove, *plan.held) if p not in done),
        ),
        kept=plan.kept,
        problems=tuple(tally.problems),
        notes=(*plan.notes, *tally.notes),
        dry_run=settings.dry_run,
    )


def _carry_out(
    line: RetryingConnection,
    site: Mapping[str, bytes],
    plan: Transfer,
    tally: Tally,
    settings: Settings,
    secrets: tuple[str, ...],
) -> Transfer:
    lock = Lock(line, settings.now)
    try:
        lock.take()
        data = line.read(MANIFEST)
        if (read_manifest(data) if data is not None else Manifest()) != plan.before:
            # another publish came in between
            plan = make_plan(line, site, settings.adopt, settings.first)
            for objection in settings.objections(plan.look):
                raise refusal(objection)
        run = TransferRun(line, site, plan, lock, tally, settings, secrets)
        expected = plan.before.expecting({path: plan.digests[path] for path in plan.send})
        if expected != plan.before or data is None:
            run.write_manifest(expected)
        for path in plan.parts:
            line.remove(path)
        if run.send() and run.remove():
            run.level()
            lock.confirm()
            left = [path for path in (*plan.send, *plan.remove) if path in set(tally.skipped)]
            left += plan.held
            after = plan.after(frozenset(tally.uploaded), tuple(left), expected)
            if after != expected:
                run.write_manifest(after)
    except KeyboardInterrupt:
        line.break_off()
        raise
    finally:
        tally.notes += lock.notes
        line.retries = 0  # a lock that can't be given back now is taken over later
        with suppress(PublishError):
            lock.give_back()
    return plan


@dataclass
class TransferRun:
    """One run at work, under the lock."""

    line: RetryingConnection
    site: Mapping[str, bytes]
    plan: Transfer
    lock: Lock
    tally: Tally
    settings: Settings
    secrets: tuple[str, ...]

    @property
    def total(self) -> int:
        return len(self.plan.send) + len(self.plan.remove)

    def write_manifest(self, manifest: Manifest) -> None:
        self.line.put(MANIFEST, manifest.as_bytes(), self.lock.part)

    def send(self) -> bool:
        """Send what changed. False: there is no point in going on."""
        failures = sent = 0
        whole = sum(map(self._work, self.plan.send))
        for done, path in enumerate(self.plan.send, 1):
            self.lock.renew()
            sent += self._work(path)
            try:
                self.line.put(path, self._content(path), self.lock.part)
            except PublishError as failed:
                if failed.kind is FaultKind.REFUSED:
                    raise
                self._note(failed, "sending a file", path)
                failures += 1
                if failed.kind not in ONE_FILE:
                    self.tally.skipped += self.plan.send[done:]
                    self._leave_withdrawn()
                    return False
                if sending_of(path) == ASSETS or failures >= MOST_FAILURES:
                    self.tally.skipped += self.plan.send[done:]
                    return True  # no portal goes without its assets
            else:
                self.tally.uploaded.append(path)
                self.settings.show(TransferStep("send", path, done, self.total, sent / whole))
        return True

    def _work(self, path: str) -> int:
        return self.plan.sizes[path] + TRIP_BYTES

    def _content(self, path: str) -> bytes:
        data = self.site[path]
        if digest_of(path, data) != self.plan.digests[path]:
            raise refusal(site_moved())
        return data

    def remove(self) -> bool:
        """Remove what was withdrawn, once all new portals and feeds are there."""
        if not self.plan.remove:
            return True
        skipped = set(self.tally.skipped)
        if any(path in skipped and sending_of(path) != FRONT for path in self.plan.send):
            self._leave_withdrawn()
            return True
        self.lock.confirm()
        for done, path in enumerate(self.plan.remove, 1):
            self.lock.renew()
            try:
                gone = self._remove_ours(path)
            except PublishError as failed:
                if failed.kind is FaultKind.REFUSED:
                    raise
                self._note(failed, "removing a file", path)
                if failed.kind not in ONE_FILE:
                    self.tally.skipped += self.plan.remove[done:]
                    return False
            else:
                if gone:
                    self.tally.removed.append(path)
                    step = TransferStep("remove", path, len(self.plan.send) + done, self.total)
                    self.settings.show(step)
        return True

    def level(self) -> None:
        """Let times tell nothing of which portals and feeds changed in this publish."""
        alike = [p for p in self.plan.unchanged if sending_of(p) in (PORTALS, FEEDS)]
        if self.tally.uploaded and alike:
            self.line.do(lambda store: store.level(alike))

    def _remove_ours(self, path: str) -> bool:
        expected = self.plan.before.digests(path)
        if self.line.do(lambda store: _remove_if(store, path, expected)):
            return True
        self.tally.skipped.append(path)
        self.tally.problems.append(changed_there(path))
        return False

    def _leave_withdrawn(self) -> None:
        count = len(self.plan.remove)
        if not count:
            return
        self.tally.skipped += self.plan.remove
        what = "1 withdrawn file is" if count == 1 else f"{count} withdrawn files are"
        self.tally.problems.append(
            PublishProblem(
                f"{what} still on the host, as not all of the new ones arrived",
                "mend what is said above and publish again; until then old links still open",
                "publish-left",
            )
        )

    def _note(self, failed: PublishError, doing: str, path: str) -> None:
        self.tally.problems.append(told_as(failed, doing, self.secrets, path))
        self.tally.skipped.append(path)


def _remove_if(store: Store, path: str, digests: tuple[str, ...]) -> bool:
    """Remove a file that still is what we put there, and its folder if that leaves it empty."""
    data = store.read(path)
    if data is not None:
        if digest_of(path, data) not in digests:
            return False
        store.remove(path)
    for folder in PurePosixPath(path).parents:
        if str(folder) != ".":
            store.remove_folder(str(folder))
    return True
