"""Check-ins that clients sent: whose each one is, into the logs, and what they change in the plans.

What can't be placed is kept aside in ``clients/.aside/`` with the reason, so nothing is lost.
`receive_letters` opens what came in, `logfile` knows what is new, `receive_words` says what it
changes. Pure down to `Received`; `receive` reads files, the clock and the keys, and writes.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from sitegen import world
from sitegen.care.named import signs_in
from sitegen.care.signs import sign_words, urgency
from sitegen.care.words import BY_WORDS, said
from sitegen.checkins.aside import ASIDE, codes_of, read_aside, uncommented
from sitegen.checkins.letters import (
    Block,
    Letter,
    Read,
    Sound,
    blocks,
    letter_of,
    lines_of,
    read_block,
)
from sitegen.checkins.logfile import New, add, what_is_new
from sitegen.checkins.salvage import is_known, kept_message, stop_entries
from sitegen.checkins.words import (
    LOUD,
    SPEAK,
    day_words,
    differences,
    entry_words,
    sign_lines,
    status_lines,
)
from sitegen.model.case import Case
from sitegen.model.checkin import CheckIn
from sitegen.model.kinds import quoted
from sitegen.model.problem import Level, Origin, Problem
from sitegen.practice.house import case_of
from sitegen.practice.lenient import lenient_log
from sitegen.practice.opening import BESIDE, CLIENT, Listed, Progress, list_practice
from sitegen.practice.records import read_log
from sitegen.seal.keys_file import NAME, load_keys
from sitegen.site.plans import plan_of

STANDARD_INPUT = "standard input"
MOST_BYTES = 32 * 1024 * 1024  # a mail with photographs
DAYS_AHEAD = 1  # where the client is, tomorrow may have begun


# --- whose it is, and what is new -------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Posted:
    """One block of one letter, and whose it is; ``id`` is empty where nobody's.

    ``coded`` is whose code it has, also where the block can't be taken for that client.
    """

    letter: Letter
    block: Block
    id: str
    read: Read
    problems: tuple[Problem, ...]
    coded: str = ""


def post(
    letters: Iterable[Letter], codes: Mapping[str, str], ids: Iterable[str], whose: str = ""
) -> list[Posted]:
    """Every block of every letter with its client.

    Args:
        letters: What came in.
        codes: Client ids by the code that their portals write.
        ids: All clients; a letter that was kept aside may name one instead of a code.
        whose: The client whose the coach says that these are. It stands in for a code that nobody
            has, and never against one that somebody has.
    """
    known = frozenset(ids)
    return [
        _posted(letter, block, codes, known, whose)
        for letter in letters
        for block in blocks(letter)
    ]


def _posted(
    letter: Letter, block: Block, codes: Mapping[str, str], ids: frozenset[str], whose: str
) -> Posted:
    id = codes.get(block.code, "")
    other = id if whose and id not in ("", whose) else ""
    id = id or whose
    if not id and letter.aside and block.code.lower() in ids:
        id = block.code.lower()
    read = read_block(block, letter.name)
    problems = [p for p in read.problems if p.level == "error"]
    if other:
        problems.insert(0, _another(letter, block, other, whose))
    elif not id or id not in ids:
        problems.insert(0, _foreign(letter, block, id))
    mine = "" if other or id not in ids else id
    return Posted(letter, block, mine, read, tuple(problems), other or id)


def _another(letter: Letter, block: Block, other: str, whose: str) -> Problem:
    wrong = f"this has the code of {other}, and you said that it is from {whose}"
    hint = f"if it is from {other}, receive it without --for"
    return Problem(Origin(letter.name, block.line), wrong, hint, "checkin-other")


def _foreign(letter: Letter, block: Block, id: str) -> Problem:
    origin = Origin(letter.name, block.line)
    put = "if you know whose it is, receive this file with --for and that client's id"
    if id:
        return Problem(origin, f"{id} has no file here", put, "checkin-foreign")
    if block.code == "?":
        wrong = "no line Check-in CODE stands above this"
        return Problem(origin, wrong, put, "checkin-foreign")
    wrong = f"no client here has the code {quoted(block.code)}"
    return Problem(origin, wrong, f"a renewed link has a new code; {put}", "checkin-foreign")


@dataclass(frozen=True, slots=True)
class Taken:
    """A check-in that the log did not have, or not all of."""

    entry: CheckIn
    new: New


def sift(entries: Sequence[Sound], logged: Sequence[CheckIn]) -> tuple[tuple[Taken, ...], int]:
    """What of these entries is new to a log, oldest first; and how many were there already."""
    known = list(logged)
    taken: list[Taken] = []
    for sound in sorted(entries, key=lambda s: s.entry.on):
        new = what_is_new(sound.entry, sound.tree, known)
        if new is not None:
            entry = CheckIn.of_tree(new.tree)
            taken.append(Taken(entry, new))
            known.append(entry)
    return tuple(taken), len(entries) - len(taken)


# --- kept aside -------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Aside:
    """A check-in that could not be taken: the file's name and text, and its problems there."""

    name: str
    text: str
    problems: tuple[Problem, ...]
    told: tuple[str, ...]


def aside_of(posted: Posted, problems: Sequence[Problem], folder: str, day: date) -> Aside:
    """The file in which a check-in waits, with the reason on top and each place within it."""
    block = posted.block
    head = len(problems) + 4
    lines = {number: head + 1 + at for at, (number, _) in enumerate(block.lines)}
    name = f"{day}-{_mark_of(block)}.txt"
    file = f"{folder}/{ASIDE}/{name}"
    moved = tuple(
        replace(p, origin=p.origin._replace(file=file, line=lines.get(p.origin.line, head)))
        if p.origin.file == posted.letter.name
        else replace(p, origin=Origin(file, head))
        for p in problems
    )
    why = [f"# Line {p.origin.line}: {p.message}{f' ({p.hint})' if p.hint else ''}." for p in moved]
    text = "\n".join(
        [
            f"# Kept aside on {day}, from {posted.letter.name}; it is in no log.",
            *(" ".join(line.split()) for line in why),
            f"# Mend it here, then: sitegen receive {file}",
            "",
            block.text,
        ]
    )
    return Aside(name, text, moved, signs_in(block.text))


def _mark_of(block: Block) -> str:
    return hashlib.sha256(block.text.encode("utf-8")).hexdigest()[:8]


# --- the world --------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Received:
    """What `receive` did. ``lines`` are for the coach, what is urgent first."""

    lines: tuple[str, ...]
    problems: tuple[Problem, ...]
    status: int
    told: Mapping[str, Any]
    stopped: KeyboardInterrupt | None = None  # what was taken until then is told all the same
    take_back: Callable[[], None] = lambda: None  # where it can't be told

    def as_json(self) -> dict[str, Any]:
        """What ``sitegen receive --json`` prints."""
        return {**self.told, "problems": [problem.as_json() for problem in self.problems]}


NOTHING: Mapping[str, Any] = {"taken": [], "again": 0, "aside": [], "urgent": [], "lines": []}


def receive(
    paths: Sequence[Path],
    stdin_text: str | None,
    clients_dir: Path,
    as_of: date | None,
    whose: str | None = None,
    progress: Progress | None = None,
) -> Received:
    """Take check-ins into the logs.

    Args:
        paths: Files, and folders whose files are read; none where the text came otherwise.
        stdin_text: What came on standard input; None where nothing was asked of it.
        clients_dir: The practice's folder.
        as_of: The day; None means today, where each client is.
        whose: The client whose the coach says that these are, where no code does.
        progress: Told of each file read, and each client's log.

    Returns:
        What was done; exit status 1 where anything was kept aside or could not be read.

    Raises:
        NotThere: Nobody here is called ``whose``.
    """
    problems: list[Problem] = []
    keys, told = load_keys(clients_dir / NAME)
    problems += told
    codes = codes_of(keys)
    try:
        listed = list_practice(clients_dir, () if whose is None else (whose,))
    except world.Refused as error:
        refused = Problem(Origin(clients_dir.as_posix()), str(error), "", "refused")
        return Received((), (*problems, refused), 1, NOTHING)
    ids = set(listed.all_ids)
    first: list[str] = []
    loose: list[tuple[Letter, tuple[str, ...]]] = []
    letters = list(_letters(paths, stdin_text, clients_dir, problems, first, loose, progress))
    posted = post(letters, codes, ids, whose or "")
    shelf = _Shelf(listed, as_of, posted, first, _waiters(clients_dir, codes, ids, posted))
    stopped = None
    try:
        shelf.keep_messages(loose)
        shelf.take_all(progress)
    except KeyboardInterrupt as interrupt:
        shelf.settle()
        stopped = interrupt.with_traceback(None)
    problems += shelf.problems
    lines = [*shelf.first, *shelf.urgent, *shelf.lines, shelf.summary()]
    status = 1 if any(p.level == "error" for p in problems) else 0
    return Received(
        tuple(lines), tuple(problems), status, shelf.as_json(), stopped, shelf.take_back
    )


def _letters(
    paths: Sequence[Path],
    stdin_text: str | None,
    clients: Path,
    problems: list[Problem],
    first: list[str],
    loose: list[tuple[Letter, tuple[str, ...]]],
    progress: Progress | None,
) -> Iterator[Letter]:
    """What can be read of what was named; what can't is a problem.

    Words of danger outside of check-ins go to ``first``: nothing else would tell of them.
    """
    if stdin_text is not None:
        data = stdin_text.encode("utf-8", "surrogateescape")
        yield from _with_check_in(letter_of(STANDARD_INPUT, data), problems, first, loose, "error")
    for done, path in enumerate(paths):
        if progress is not None:
            progress(done, len(paths), "reading")
        if not path.is_dir():
            yield from _read_file(path, clients, problems, first, loose, "error")
            continue
        try:
            inside = sorted(p for p in path.iterdir() if p.is_file() and p.name[0] != ".")
        except OSError as error:
            why = f"this folder can't be read: {error.strerror}"
            problems.append(Problem(Origin(path.as_posix()), why, "", "checkin-file"))
            continue
        for done_inside, one in enumerate(inside):
            if progress is not None:
                progress(done_inside, len(inside), f"reading {path.name}")
            yield from _read_file(one, clients, problems, first, loose, "warning")


def _read_file(
    path: Path,
    clients: Path,
    problems: list[Problem],
    first: list[str],
    loose: list[tuple[Letter, tuple[str, ...]]],
    level: Level,
) -> Iterator[Letter]:
    origin = Origin(path.as_posix())
    try:
        if path.exists() and not path.is_file():
            problems.append(Problem(origin, "this is no plain file", "", "checkin-file"))
            return
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except OSError as error:
        why = f"this file can't be read: {error.strerror}"
        problems.append(Problem(origin, why, "check its name", "checkin-file"))
        return
    if len(data) > MOST_BYTES:
        wrong = "this file has over 32 MiB"
        problems.append(Problem(origin, wrong, "is this the right file?", "checkin-file"))
        return
    aside = path.resolve().parent == (clients / ASIDE).resolve()
    yield from _with_check_in(
        letter_of(path.as_posix(), data, aside), problems, first, loose, level
    )


def _with_check_in(
    letter: Letter,
    problems: list[Problem],
    first: list[str],
    loose: list[tuple[Letter, tuple[str, ...]]],
    level: Level,
) -> Iterator[Letter]:
    found = blocks(letter)
    signs = said(_outside(letter, found))
    if signs:
        what = (
            "the words around a check-in speak" if found else "a message without a check-in speaks"
        )
        told = ", ".join(map(sign_words, signs))
        first.append(
            f"{LOUD[urgency(signs[0])]}: {what} of {told}: read it now, {letter.name} ({BY_WORDS})"
        )
    if signs and not letter.aside:
        loose.append((letter, signs))
    if found:
        yield letter
        return
    hint = "a check-in begins with a line like Check-in ABCD-EFGH"
    if signs:  # never mildly, wherever it lay
        level, hint = "error", f"read it and act on it, then take it away; {hint}"
    origin = Origin(letter.name)
    problems.append(Problem(origin, "no check-in stands here", hint, "checkin-none", level))


def _outside(letter: Letter, found: Sequence[Block]) -> str:
    """A letter's words in no check-in; of one that waited aside not the reasons on top."""
    if letter.aside:
        return "" if found else uncommented(letter.text)
    inside = {number for block in found for number in (block.line, *(n for n, _ in block.lines))}
    lines = enumerate(lines_of(letter.text), 1)
    return "\n".join([letter.subject, *(line for n, line in lines if n not in inside)])


def _outside_of(letter: Letter) -> str:
    """The lines of a message that stand in no check-in."""
    inside = {n for b in blocks(letter) for n in (b.line, *(n for n, _ in b.lines))}
    return "\n".join(line for n, line in enumerate(lines_of(letter.text), 1) if n not in inside)


def _waiters(
    clients: Path, codes: Mapping[str, str], ids: set[str], posted: Sequence[Posted]
) -> frozenset[str]:
    """Clients of whom a check-in waited aside before, and is not received now."""
    here = {Path(one.letter.name).name for one in posted if one.letter.aside}
    marks = {_mark_of(one.block) for one in posted}
    waiting = read_aside(clients, codes, ids)
    return frozenset().union(
        *(w.ids for w in waiting if w.name not in here and Path(w.name).stem[11:] not in marks)
    )


@dataclass(frozen=True, slots=True)
class _Ready:
    """What is said of a log once it is written: made before, so that no sign goes untold."""

    path: Path
    text: str
    id: str
    taken: tuple[Taken, ...]
    urgent: list[str]
    lines: list[str]


class _Shelf:
    """One run of `receive`: takes what is in order, client by client, and keeps the rest aside."""

    def __init__(
        self,
        listed: Listed,
        as_of: date | None,
        posted: Sequence[Posted],
        first: Iterable[str] = (),
        waiters: frozenset[str] = frozenset(),
    ) -> None:
        self.clients = listed.clients
        self.as_of = as_of
        self.posted = posted
        self.problems: list[Problem] = []
        self.first = [*first]  # what is urgent and stands in no log
        self.waiters = waiters
        self.urgent: list[str] = []
        self.lines: list[str] = []
        self.taken: dict[str, tuple[Taken, ...]] = {}
        self.again = 0
        self.kept: list[str] = []
        self.ready: _Ready | None = None
        self.changed: dict[Path, tuple[bytes | None, bytes | None]] = {}  # before and after
        ids = {one.id for one in posted if one.id}
        names = (f"{id}{end}" for id in sorted(ids) for end in (CLIENT, *BESIDE))
        folder = world.read_folder(self.clients, listed=[n for n in names if n in listed.stamps])
        self.texts = listed.texts._replace(
            clients=folder.clients, logs=folder.logs, answers=folder.answers
        )
        self.unreadable = {u.name for u in folder.unreadable}
        self.house = listed.house

    def keep_messages(self, loose: Sequence[tuple[Letter, tuple[str, ...]]]) -> None:
        """Keep messages that speak of danger outside of a check-in: an alarm until answered."""
        zone = self.house.practice.timezone if self.house else "UTC"
        for letter, signs in loose:
            text = "\n".join(part for part in (letter.subject, _outside_of(letter)) if part)
            day = self.as_of or world.today(zone)
            name, kept = kept_message(letter.name, text, signs, day)
            path, problems = self._shelve(self.clients / ASIDE, Aside(name, kept, (), signs))
            self.problems += problems
            if path:
                self.kept.append(path)

    def take_all(self, progress: Progress | None = None) -> None:
        ids = sorted({one.id for one in self.posted if one.id})
        for done, id in enumerate(ids):
            if progress is not None:
                progress(done, len(ids), "taking check-ins")
            self._take(id, [one for one in self.posted if one.id == id])
        for one in self.posted:
            if not one.id:
                self._aside(one, one.problems)

    def _take(self, id: str, mine: Sequence[Posted]) -> None:
        file = f"{self.texts.folder}/{id}.log.yaml"
        day = self._today(id)
        data = self.texts.logs.get(id)
        late = day + timedelta(days=DAYS_AHEAD)
        entries = [s for one in mine for s in one.read.sound if s.entry.on <= late]
        why = self._unfit(id, file, data)
        text: str | Problem | None = None
        taken: tuple[Taken, ...] = ()
        again = 0
        if why is None:
            logged = read_log(data or b"", file).value or ()
            taken, again = sift(entries, logged)
            old = data.decode("utf-8") if data is not None else None
            text = add(old, file, [one.new.tree for one in taken]) if taken else None
            why = text if isinstance(text, Problem) else None
        if why is None and isinstance(text, str):
            waits = id in self.waiters or any(
                one.problems or any(s.entry.on > late for s in one.read.sound) for one in mine
            )
            told = self._tell(id, data, text, taken, day, waits)
            self.ready = _Ready(self.clients / f"{id}.log.yaml", text, id, taken, *told)
            why = self._write(id, data, text)
            self.settle()
        if why is None or id not in self.taken:
            self._stop(id, mine, late)
        for one in mine:
            ahead = tuple(_not_yet(one, s) for s in one.read.sound if s.entry.on > late)
            problems = (*one.problems, *ahead, *((why,) if why and one.read.sound else ()))
            if problems:
                self._aside(one, problems)
            else:
                self.problems += [p for p in one.read.problems if p.level == "warning"]
                self._clear(one)
        if why is None:
            self.again += again

    def _stop(self, id: str, mine: Sequence[Posted], late: date) -> None:
        """Put into the log what stops the plan, of check-ins that wait aside."""
        path = self.clients / f"{id}.log.yaml"
        day = self._today(id)
        own = self.house.practice.urgent_words if self.house else ()
        with suppress(OSError):
            data = path.read_bytes() if path.exists() else None
            logged = lenient_log(data or b"", path.as_posix())[0]
            new = [
                tree
                for one in mine
                if one.problems or any(s.entry.on > late for s in one.read.sound)
                for tree in stop_entries(
                    "\n".join(text for _, text in one.block.lines),
                    [s.entry for s in one.read.sound if s.entry.on <= late],
                    day,
                    own,
                )
                if not is_known(tree, logged)
            ]
            if not new:
                return
            old = None if data is None else data.decode("utf-8", "replace")
            text = add(old, path.as_posix(), new)
            if isinstance(text, Problem):
                return  # the log itself can't be added to; the message waits, loudly
            if self._write(id, data, text) is None:
                self.urgent.append(
                    f"{id}: what could be read of it is in the log, and the plan is stopped"
                )

    def settle(self) -> None:
        """Tell of what was taken last, if it is in the log: also where all was broken off."""
        ready, self.ready = self.ready, None
        if ready is None:
            return
        with suppress(OSError):
            if ready.path.read_bytes() == ready.text.encode("utf-8"):
                self.taken[ready.id] = ready.taken
                self.urgent += ready.urgent
                self.lines += ready.lines

    def _unfit(self, id: str, file: str, data: bytes | None) -> Problem | None:
        """Why nothing can be added to this log."""
        if f"{id}.log.yaml" in self.unreadable:
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
        try:
            world.write_text_atomic(path, text, mode=0o600)
        except world.Refused as error:
            return Problem(Origin(path.as_posix()), str(error), "", "log-write")
        return None

    def take_back(self) -> None:
        """Put back every file as it was, but for what another program wrote since.

        What waits aside stays: it was not taken.
        """
        for path, (before, after) in self.changed.items():
            with suppress(OSError):
                now = path.read_bytes() if path.exists() else None
                if now != after:
                    continue
                if before is None:
                    path.unlink()
                else:
                    world.write_bytes_atomic(path, before, mode=0o600)

    def _tell(
        self,
        id: str,
        data: bytes | None,
        text: str,
        taken: Sequence[Taken],
        day: date,
        waits: bool,
    ) -> tuple[list[str], list[str]]:
        """What is urgent, and what is taken and what that changes."""
        urgent: list[str] = []
        lines: list[str] = []
        for one in taken:
            note = ""
            if one.new.adds:
                note = " (added to that day's session)"
            elif one.new.second:
                note = " (a second session of that day: if it corrects the first, take one out)"
            words = entry_words(one.entry)
            lines.append(f"{id}: taken: {day_words(one.entry.on)}: {words}{note}")
        after = self._case(id, text.encode("utf-8"))
        before = self._case(id, data)
        if before is None or after is None or self.house is None:
            urgent += [line for one in taken for line in sign_lines(id, one.entry)]
            lines.append(f"{id}: the plan can't be drawn; see sitegen check {id}")
            return urgent, lines
        old, new = (plan_of(case, self.house, day) for case in (before, after))
        urgent += status_lines(id, old, new, [one.entry for one in taken])
        starts = {after.log_origins.value(n).line: n for n in range(len(after.log))}
        changes = list(differences(old, new, after.log, starts))
        but = "a check-in that waits aside is not in it"
        if waits and changes:
            lines += [*changes, f"{id}: the plan ahead is so for now: {but}"]
        elif waits:
            lines.append(f"{id}: the plan ahead stays as it was for now, but {but}")
        else:
            lines += changes or [f"{id}: the plan ahead stays as it was"]
        return urgent, lines

    def _case(self, id: str, log: bytes | None) -> Case | None:
        if self.house is None or id not in self.texts.clients:
            return None
        logs = {} if log is None else {id: log}
        return case_of(self.texts._replace(logs=logs), self.house, id)[0]

    def _today(self, id: str) -> date:
        if self.as_of is not None:
            return self.as_of
        case = self._case(id, None)
        zone = case.timezone if case else self.house.practice.timezone if self.house else "UTC"
        return world.today(zone)

    def _aside(self, one: Posted, problems: Sequence[Problem]) -> None:
        zone = self.house.practice.timezone if self.house else "UTC"
        kept = aside_of(one, problems, self.texts.folder, self.as_of or world.today(zone))
        folder = self.clients / ASIDE
        if one.letter.aside:  # it waits there already, and its lines are numbered as they stand
            name, moved = one.letter.name, tuple(problems)
        else:
            name, moved = self._shelve(folder, kept)
        self.problems += moved
        if name:
            self.kept.append(name)
        if kept.told:
            where = name or one.letter.name
            loud = urgency(kept.told[0]) == "now"
            who = f"{one.coded}: " if one.coded else ""
            told_of = ", ".join(map(sign_words, kept.told))
            line = f"{who}a check-in kept aside tells of {told_of}: read it now, {where}"
            if not loud:
                self.urgent.append(f"TODAY: {line}")
                return
            self.first.append(f"URGENT: {line}")
            if who:
                self.first.append(f"{who}{SPEAK['now']}")

    def _shelve(self, folder: Path, kept: Aside) -> tuple[str, tuple[Problem, ...]]:
        """Write it, unless the same text waits there since an earlier day."""
        try:
            folder.mkdir(mode=0o700, exist_ok=True)
            there = sorted(folder.glob(f"*-{kept.name[11:]}"))
            path = there[0] if there else folder / kept.name
            told = tuple(
                replace(p, origin=p.origin._replace(file=path.as_posix())) for p in kept.problems
            )
            if not there:
                world.write_text_atomic(path, kept.text, mode=0o600)
        except (OSError, world.Refused) as error:
            origin = Origin(folder.as_posix())
            hint = "what came in is untouched; mend the folder and run this again"
            return "", (Problem(origin, f"nothing can be kept aside: {error}", hint, "aside"),)
        return path.as_posix(), told

    def _clear(self, one: Posted) -> None:
        """A letter that waited aside goes once all of it is in the logs; so does a copy aside."""
        for copy in (self.clients / ASIDE).glob(f"*-{_mark_of(one.block)}.txt"):
            with suppress(OSError):
                if copy.read_text("utf-8").endswith(f"\n{one.block.text}"):
                    self._remove(copy)
        mine = [p for p in self.posted if p.letter == one.letter]
        if one.letter.aside and all(p.id and not p.problems for p in mine) and mine[-1] is one:
            with suppress(OSError):
                self._remove(Path(one.letter.name))

    def _remove(self, path: Path) -> None:
        self.changed[path] = path.read_bytes(), None
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
                {"client": id, "on": one.entry.on.isoformat(), "entry": one.new.tree}
                for id, found in self.taken.items()
                for one in found
            ],
            "again": self.again,
            "aside": list(self.kept),
            "urgent": [*self.first, *self.urgent],
            "lines": list(self.lines),
        }


def _not_yet(one: Posted, sound: Sound) -> Problem:
    line = next((n for n, text in one.block.lines if str(sound.tree["on"]) in text), one.block.line)
    wrong = f"{sound.entry.on} has not come yet"
    return Problem(Origin(one.letter.name, line), wrong, "check the date", "checkin-date")
