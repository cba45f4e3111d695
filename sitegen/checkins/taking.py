"""Check-ins taken into the logs, client by client; what can't be taken is kept aside.

What is said of a log is made before it is written, so that no sign goes untold.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Sequence
from contextlib import ExitStack, suppress
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from sitegen import world
from sitegen.care.signs import sign_words, urgency
from sitegen.checkins.aside import (
    ASIDE,
    Aside,
    aside_of,
    fingerprint,
    place_aside,
    urgent_words,
)
from sitegen.checkins.easing import easing, unsigned
from sitegen.checkins.inbox import message_of, written_on
from sitegen.checkins.letters import Letter, Sound
from sitegen.checkins.logfile import New, add
from sitegen.checkins.posting import Posted, Taken, doubt, sift
from sitegen.checkins.said_lines import SaidLine
from sitegen.checkins.salvage import is_known, kept_message, said_entry, stop_entries
from sitegen.checkins.signing import how_signed
from sitegen.checkins.words import (
    SPEAK,
    differences,
    sign_lines,
    status_lines,
    taken_lines,
)
from sitegen.locking import PATIENCE_S, writing
from sitegen.model.case import Case
from sitegen.model.checkin import CheckIn
from sitegen.model.plan import Plan
from sitegen.model.problem import Origin, Problem
from sitegen.practice.house import case_of
from sitegen.practice.lenient import lenient_case, lenient_practice
from sitegen.practice.opening import BESIDE, CLIENT, LOG, Listed, Progress
from sitegen.practice.records import read_log
from sitegen.practice.waits import unanswered
from sitegen.practice.yaml_text import Tree
from sitegen.site.plans import plan_of
from sitegen.terminal.output import harmless
from sitegen.versions import Recording


@dataclass(frozen=True, slots=True)
class _Ready:
    """What is said of a log once it is written: made before, so that no sign goes untold."""

    path: Path
    text: str
    id: str
    taken: tuple[Taken, ...]
    urgent: list[SaidLine]
    lines: list[SaidLine]


class Shelf:
    """One run of `receive`: takes what is in order, client by client, and keeps the rest aside."""

    def __init__(
        self,
        listed: Listed,
        as_of: date | None,
        posted: Sequence[Posted],
        first: Iterable[SaidLine] = (),
        waiters: frozenset[str] = frozenset(),
        vouched: str | None = None,
    ) -> None:
        self.clients = listed.clients
        self.as_of = as_of
        self.posted = posted
        self.problems: list[Problem] = []
        self.first = [*first]  # what is urgent and stands in no log
        self.waiters = waiters
        self.urgent: list[SaidLine] = []
        self.lines: list[SaidLine] = []
        self.taken: dict[str, tuple[Taken, ...]] = {}
        self.again = 0
        self.kept: list[str] = []
        self.ready: _Ready | None = None
        self.changed: dict[Path, tuple[bytes | None, bytes | None]] = {}  # before and after
        self.record = Recording(self.clients, "receive")
        ids = {id for id in (vouched, *(one.id for one in posted)) if id}
        ends = [end for end in (CLIENT, *BESIDE) if end != LOG]  # a log is read when it is its turn
        names = (f"{id}{end}" for id in sorted(ids) for end in ends)
        folder = world.read_folder(self.clients, listed=[n for n in names if n in listed.stamps])
        self.texts = listed.texts._replace(clients=folder.clients, logs={}, answers=folder.answers)
        self.patience_s = PATIENCE_S
        self.vouched = vouched  # the client whose the coach says that all of them are
        self.house = listed.house
        self.own = urgent_words(self.clients)

    def keep_messages(
        self, loose: Sequence[tuple[Letter, tuple[str, ...]]]
    ) -> Iterator[tuple[Letter, tuple[str, ...], str]]:
        """Keep messages without a check-in: an alarm until answered. Gives each with its file."""
        zone = self.house.practice.timezone if self.house else "UTC"
        for letter, signs in loose:
            if letter.aside:
                continue  # it waits there already
            text = message_of(letter)
            day = self.as_of or world.today(zone)
            name, kept = kept_message(letter, text, signs, day)
            path, problems = self._shelve(letter, Aside(name, kept, (), signs))
            self.problems += problems
            if path:
                self.kept.append(path)
                yield letter, signs, path

    def take_messages(
        self, id: str, loose: Sequence[tuple[Letter, tuple[str, ...]]]
    ) -> list[Letter]:
        """Put messages that speak of danger into the log of ``id``: the coach says whose they are.

        Returns:
            Those that are in the log now. The others have to be kept.
        """
        file = self.clients / f"{id}{LOG}"
        taken: list[Letter] = []
        for letter, signs in loose:
            if letter.unread:
                continue
            day, text = self._today(id), message_of(letter)
            tree = said_entry(text, signs, day, self.own, id == self.vouched)
            with ExitStack() as held:
                why = self._wait_for(held, file.as_posix())
                why = why or self._take_said(id, file, tree, self._written(letter))
                if why is not None:
                    self.problems.append(why)
                    continue
                taken.append(letter)
                if letter.aside:
                    with suppress(OSError):
                        self._remove(Path(letter.name))
        return taken

    def _take_said(
        self, id: str, file: Path, tree: dict[str, Tree], written: date | None
    ) -> Problem | None:
        try:
            data = file.read_bytes() if file.exists() else None
        except OSError:
            return self._unfit(file.as_posix(), None, True)
        if why := self._unfit(file.as_posix(), data, False):
            return why
        if is_known(tree, self._lenient(id, data), self._today(id), written):
            self.again += 1
            return None
        old = None if data is None else data.decode("utf-8")
        text = add(old, file.as_posix(), [tree])
        if isinstance(text, Problem):
            return text
        one = Taken(CheckIn.of_tree(tree), New(tree))
        told = self._tell(id, data, text, (one,), self._today(id), id in self.waiters)
        self.ready = _Ready(file, text, id, (one,), *told)
        why = self._write(id, data, text)
        self.settle()
        return why

    def take_all(self, progress: Progress | None = None) -> None:
        ids = sorted({one.id for one in self.posted if one.id})
        for done, id in enumerate(ids):
            if progress is not None:
                progress(done, len(ids), "taking check-ins")
            mine = [one for one in self.posted if one.id == id]
            with ExitStack() as held:
                self._take(id, mine, self._wait_for(held, f"{self.clients}/{id}.log.yaml"))
        with ExitStack() as held:
            self._wait_for(held, f"{self.clients}/{ASIDE}")
            for one in self.posted:
                if not one.id:
                    self._aside(one, one.problems)

    def _wait_for(self, held: ExitStack, file: str) -> Problem | None:
        """Let nobody else write until ``held`` ends; or why that can't be."""
        try:
            held.enter_context(writing(self.clients, self.patience_s))
        except world.Refused as error:
            self.patience_s = 0  # once is enough
            return Problem(Origin(file), str(error), "", "log-busy")
        return None

    def _take(self, id: str, mine: Sequence[Posted], busy: Problem | None) -> None:
        """Take what is in order; nothing where the log is ``busy``."""
        file = f"{self.texts.folder}/{id}.log.yaml"
        day = self._today(id)
        there = [Path(file).name] if os.path.lexists(file) else []
        now = world.read_folder(self.clients, listed=there)
        had = len(self.taken.get(id, ()))
        data = now.logs.get(id)  # as it is now: another may have taken check-ins meanwhile
        logged = read_log(data or b"", file).value or ()
        judged = [[(s, doubt(one, s, day, logged)) for s in one.read.sound] for one in mine]
        why = busy or self._unfit(file, data, bool(now.unreadable))
        if why is None and id != self.vouched:
            sure = [
                sound
                for one, each in zip(mine, judged, strict=True)
                for sound, problem in each
                if problem is None and not one.is_named
            ]
            waits_for = easing(sure, logged, lambda new: self._plan_with(id, data, new, day))
            judged = [
                [(s, p or (unsigned(one, s, id) if s in waits_for else None)) for s, p in each]
                for one, each in zip(mine, judged, strict=True)
            ]
        asked = [tuple(problem for _, problem in each if problem) for each in judged]
        certain = [[sound for sound, problem in each if problem is None] for each in judged]
        entries = [s for sounds in certain for s in sounds]
        text: str | Problem | None = None
        taken: tuple[Taken, ...] = ()
        again = 0
        if why is None:
            taken, again = sift(entries, logged)
            old = data.decode("utf-8") if data is not None else None
            text = add(old, file, [one.new.tree for one in taken]) if taken else None
            why = text if isinstance(text, Problem) else None
        if why is None and isinstance(text, str):
            waits = id in self.waiters or any(asked) or any(one.problems for one in mine)
            told = self._tell(id, data, text, taken, day, waits)
            self.ready = _Ready(self.clients / f"{id}.log.yaml", text, id, taken, *told)
            why = self._write(id, data, text)
            self.settle()
        if busy is None and (why is None or len(self.taken.get(id, ())) == had):
            self._stop(id, mine, certain)
        for one, doubted in zip(mine, asked, strict=True):
            problems = (*one.problems, *doubted, *((why,) if why and one.read.sound else ()))
            if problems:
                self._aside(one, problems)
            else:
                self.problems += [p for p in one.read.problems if p.level == "warning"]
                self._clear(one)
        if why is None:
            self.again += again

    def _plan_with(
        self, id: str, data: bytes | None, taken: Sequence[Taken], day: date
    ) -> Plan | None:
        """The client's plan with these in the log; None where it can't be drawn."""
        old = None if data is None else data.decode("utf-8")
        text = add(old, "", [one.new.tree for one in taken]) if taken else old
        if isinstance(text, Problem):
            return None
        case = self._case(id, None if text is None else text.encode("utf-8"))
        return plan_of(case, self.house, day) if case and self.house else None

    def _stop(self, id: str, mine: Sequence[Posted], sure: Sequence[Sequence[Sound]]) -> None:
        """Put into the log what stops the plan, of check-ins that wait aside."""
        path = self.clients / f"{id}.log.yaml"
        day = self._today(id)
        with suppress(OSError):
            data = path.read_bytes() if path.exists() else None
            case = self._lenient(id, data)
            new = [
                tree
                for one, sounds in zip(mine, sure, strict=True)
                if one.problems or len(sounds) < len(one.read.sound)
                for tree, has_own_day in stop_entries(
                    "\n".join(text for _, text in one.block.lines),
                    [s.entry for s in sounds],
                    day,
                    self.own,
                    [s.entry for s in one.read.sound],
                )
                if not is_known(tree, case, day, self._written(one.letter), has_own_day)
            ]
            if not new:
                return
            old = None if data is None else data.decode("utf-8", "replace")
            text = add(old, path.as_posix(), new)
            if isinstance(text, Problem):
                return  # the log itself can't be added to; the message waits, loudly
            if self._write(id, data, text) is None:
                says = f"{id}: what could be read of it is in the log, and the plan is stopped"
                self.urgent.append(SaidLine(says))

    def settle(self) -> None:
        """Tell of what was taken last, if it is in the log: also where all was broken off."""
        ready, self.ready = self.ready, None
        if ready is None:
            return
        with suppress(OSError):
            if ready.path.read_bytes() == ready.text.encode("utf-8"):
                self.taken[ready.id] = (*self.taken.get(ready.id, ()), *ready.taken)
                self.urgent += ready.urgent
                self.lines += ready.lines

    def _unfit(self, file: str, data: bytes | None, is_unreadable: bool) -> Problem | None:
        """Why nothing can be added to this log."""
        if is_unreadable:
            return Problem(Origin(file), "the log can't be read", "mend it first", "log-unreadable")
        log = read_log(data or b"", file)
        if log.value is not None:
            return None
        first = log.problems[0]
        wrong = f"the log can't be read: {first.origin}: {first.message}"
        return Problem(first.origin, wrong, "mend the log first", "log-unreadable")

    def _write(self, id: str, data: bytes | None, text: str) -> Problem | None:
        path = self.clients / f"{id}.log.yaml"
        now = None
        with suppress(FileNotFoundError):
            now = path.read_bytes()
        if now != data:
            wrong = "the log was changed at the same time"
            return Problem(Origin(path.as_posix()), wrong, "run this again", "log-changed")
        self.changed[path] = data, text.encode("utf-8")
        self._keep_version(path, text.encode("utf-8"), "check-ins taken")
        try:
            world.write_text_atomic(path, text, mode=0o600)
        except world.Refused as error:
            return Problem(Origin(path.as_posix()), str(error), "", "log-write")
        return None

    def _keep_version(self, path: Path, after: bytes | None, says: str) -> None:
        """Keep what `undo` needs. A sign is taken all the same where that can't be kept."""
        with suppress(world.Refused):
            self.record.keep(path, after, says)

    def take_back(self) -> None:
        """Put back every file as it was, but for what another program wrote since.

        What waits aside stays: it was not taken.
        """
        for path, (before, after) in self.changed.items():
            with suppress(OSError), ExitStack() as held:
                self._wait_for(held, path.as_posix())
                now = path.read_bytes() if path.exists() else None
                if now != after:
                    continue
                if before is None:
                    path.unlink()
                else:
                    world.write_bytes_atomic(path, before, mode=0o600)
                self.record.drop(path)

    def _tell(
        self,
        id: str,
        data: bytes | None,
        text: str,
        taken: Sequence[Taken],
        day: date,
        waits: bool,
    ) -> tuple[list[SaidLine], list[SaidLine]]:
        """What is urgent, and what is taken and what that changes."""
        urgent: list[SaidLine] = []
        lines = taken_lines(id, taken, day)
        after = self._case(id, text.encode("utf-8"))
        before = self._case(id, data)
        told, whose = [one.entry for one in taken], after or self._lenient(id, text.encode("utf-8"))
        if before is None or after is None or self.house is None:
            urgent += sign_lines(whose, told, day, self.own)
            lines.append(SaidLine(f"{id}: the plan can't be drawn; see sitegen check {id}"))
            return urgent, lines
        old, new = (plan_of(case, self.house, day) for case in (before, after))
        urgent += status_lines(old, new, told, whose, self.own)
        starts = {after.log_origins.value(n).line: n for n in range(len(after.log))}
        changes = [SaidLine(each) for each in differences(old, new, after.log, starts)]
        but = "a check-in that waits aside is not in it"
        if waits and changes:
            lines += [*changes, SaidLine(f"{id}: the plan ahead is so for now: {but}")]
        elif waits:
            lines.append(SaidLine(f"{id}: the plan ahead stays as it was for now, but {but}"))
        else:
            lines += changes or [SaidLine(f"{id}: the plan ahead stays as it was")]
        return urgent, lines

    def _case(self, id: str, log: bytes | None) -> Case | None:
        if self.house is None or id not in self.texts.clients:
            return None
        logs = {} if log is None else {id: log}
        return case_of(self.texts._replace(logs=logs), self.house, id)[0]

    def _lenient(self, id: str, log: bytes | None) -> Case:
        """A client as far as the files can be read."""
        practice = self.house.practice if self.house else None
        return lenient_case(
            id,
            self.texts.clients.get(id, b""),
            log,
            self.texts.answers.get(id),
            practice or lenient_practice(self.texts.practice or b""),
            self.texts.folder,
        )

    def _written(self, letter: Letter) -> date | None:
        """When a letter was written, of today's; as of another day nobody knows what lay there."""
        return None if self.as_of else written_on(letter)

    def _today(self, id: str) -> date:
        if self.as_of is not None:
            return self.as_of
        case = self._case(id, None)
        zone = case.timezone if case else self.house.practice.timezone if self.house else "UTC"
        return world.today(zone)

    def _aside(self, one: Posted, problems: Sequence[Problem]) -> None:
        zone = self.house.practice.timezone if self.house else "UTC"
        day = self.as_of or world.today(zone)
        kept = aside_of(one, problems, self.texts.folder, day, self.own)
        if one.letter.aside:  # it waits there already, and its lines are numbered as they stand
            name, moved = one.letter.name, tuple(problems)
        else:
            name, moved = self._shelve(one.letter, kept)
        self.problems += moved
        if name:
            self.kept.append(name)
        if kept.told:
            where = name or one.letter.name
            loud = urgency(kept.told[0]) == "now"
            who = f"{one.coded}: " if one.coded else ""
            told_of = ", ".join(map(sign_words, kept.told))
            begins = f"{'URGENT' if loud else 'TODAY'}: {who}"
            line = SaidLine(
                f"{begins}a check-in kept aside tells of {told_of}: read it now, {where}",
                f"{begins}COUNT check-ins kept aside tell of SIGNS: read them now, in {ASIDE}",
                kept.told,
            )
            if not loud:
                self.urgent.append(line)
                return
            self.first.append(line)
            if who:
                self.first.append(SaidLine(f"{who}{SPEAK['now']}"))

    def _shelve(self, letter: Letter, kept: Aside) -> tuple[str, tuple[Problem, ...]]:
        """Write it, unless the same text waits there unanswered, or was it that was answered."""
        folder = self.clients / ASIDE
        try:
            folder.mkdir(mode=0o700, exist_ok=True)
            waits, written = unanswered(self.clients), self._written(letter)
            path, is_there = place_aside(folder, kept.name, letter.name, waits, written)
            told = tuple(
                p._replace(origin=p.origin._replace(file=path.as_posix())) for p in kept.problems
            )
            if not is_there:
                self._keep_version(path, kept.text.encode("utf-8"), "kept aside")
                world.write_text_atomic(path, kept.text, mode=0o600)
        except (OSError, world.Refused) as error:
            origin = Origin(folder.as_posix())
            hint = "what came in is untouched; mend the folder and run this again"
            return "", (Problem(origin, f"nothing can be kept aside: {error}", hint, "aside"),)
        return path.as_posix(), told

    def _clear(self, one: Posted) -> None:
        """A letter that waited aside goes once all of it is in the logs; so does a copy aside."""
        for copy in (self.clients / ASIDE).glob(f"*-{fingerprint(one.block)}*.txt"):
            with suppress(OSError):
                if copy.read_text("utf-8").endswith(f"\n{harmless(one.block.text)}"):
                    self._remove(copy)
        mine = [p for p in self.posted if p.letter == one.letter]
        if one.letter.aside and all(p.id and not p.problems for p in mine) and mine[-1] is one:
            with suppress(OSError):
                self._remove(Path(one.letter.name))

    def _remove(self, path: Path) -> None:
        self.changed[path] = path.read_bytes(), None
        self._keep_version(path, None, "waits no longer")
        path.unlink()

    def summary(self) -> str:
        count = sum(map(len, self.taken.values()))
        told = [f"{count} check-in{'' if count == 1 else 's'} taken"]
        if self.taken:
            told[0] += f" for {len(self.taken)} client{'' if len(self.taken) == 1 else 's'}"
        if self.again:
            told.append(f"{self.again} there already")
        if self.kept:
            told.append(f"{len(self.kept)} kept aside in {self.texts.folder}/{ASIDE}")
        return ", ".join(told) + ("; build and publish to show it" if self.taken else "")

    def as_json(self) -> dict[str, Any]:
        return {
            "taken": [
                {
                    "client": id,
                    "on": one.entry.on.isoformat(),
                    "entry": one.new.tree,
                    "signed": how_signed(one.entry),
                }
                for id, found in self.taken.items()
                for one in found
            ],
            "again": self.again,
            "aside": list(self.kept),
            "urgent": [line.text for line in (*self.first, *self.urgent)],
            "lines": [line.text for line in self.lines],
        }
