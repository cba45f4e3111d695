"""Check-ins that clients sent: whose each one is, into the logs, and what they change in the plans.

What can't be placed is kept aside in ``clients/.aside/`` with the reason, so nothing is lost. The
way of a check-in: `inbox` reads what came in, `letters` opens it, `posting` says whose it is,
`logfile` what is new, `taking` writes it or keeps it `aside`, `words` say what it changes.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from sitegen import world
from sitegen.checkins.around import notes_around
from sitegen.checkins.aside import codes_of, fingerprint, read_aside, urgent_words
from sitegen.checkins.inbox import letters_in, message_of, post_apart
from sitegen.checkins.letters import Letter
from sitegen.checkins.ours import SoughtWords, is_text, place_it, sought_words, writers
from sitegen.checkins.posting import Posted
from sitegen.checkins.run_gpx import Local
from sitegen.checkins.run_letters import run_lines, runs_json
from sitegen.checkins.said_lines import SaidLine, few
from sitegen.checkins.salvage import is_cut
from sitegen.checkins.signing import with_signed
from sitegen.checkins.taking import Shelf
from sitegen.model.kinds import quoted
from sitegen.model.problem import Origin, Problem
from sitegen.practice.house import case_of
from sitegen.practice.opening import CLIENT, Listed, Progress, list_practice
from sitegen.seal.keys_file import KEYS_FILE, load_keys


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


NOTHING: Mapping[str, Any] = {
    "taken": [],
    "again": 0,
    "aside": [],
    "urgent": [],
    "lines": [],
    "runs": [],
}


def receive(
    paths: Sequence[Path],
    typed: str | bytes | None,
    clients_dir: Path,
    as_of: date | None,
    whose: str | None = None,
    progress: Progress | None = None,
) -> Received:
    """Take check-ins into the logs.

    Args:
        paths: Files, and folders whose files are read; none where the text came otherwise.
        typed: What came on standard input; None where nothing was asked of it.
        clients_dir: The practice's folder.
        as_of: The day; None means today, where each client is.
        whose: The client whose the coach says that these are, where no code does. A run's own
            file, GPX or CSV, is taken only so; so is a message without a check-in, as ``said`` of
            today.
        progress: Told of each file read, and each client's log.

    Returns:
        What was done; exit status 1 where anything was kept aside or could not be read.

    Raises:
        NotThere: Nobody here is called ``whose``.
    """
    problems: list[Problem] = []
    keys, told = load_keys(clients_dir / KEYS_FILE)
    problems += told
    codes = codes_of(keys)
    try:
        listed = list_practice(clients_dir, () if whose is None else (whose,))
    except world.Refused as error:
        refused = Problem(Origin(clients_dir.as_posix()), str(error), "", "refused")
        return Received((), (*problems, refused), 1, NOTHING)
    ids = set(listed.all_ids)
    first: list[SaidLine] = []
    loose: list[tuple[Letter, tuple[str, ...]]] = []
    data = typed.encode("utf-8", "surrogateescape") if isinstance(typed, str) else typed
    local = None if whose is None else _clock_of(listed, whose)
    own = urgent_words(clients_dir)
    sought = sought_words(clients_dir, listed.all_ids, own)
    letters = list(
        letters_in(paths, data, clients_dir, problems, first, loose, progress, local, sought)
    )
    posted = post_apart(letters, codes, ids, whose or "", problems, first, loose, own)
    coded = {one.letter.name for one in posted if codes.get(one.block.code) == whose}
    anothers = {
        letter.name: _anothers(letter, whose, sought)
        for letter in (*(one.letter for one in posted), *(one for one, _ in loose))
        if whose and letter.name not in coded and _is_anothers(letter, whose, sought)
    }
    posted = [
        replace(one, id="", problems=(anothers[one.letter.name], *one.problems))
        if one.letter.name in anothers and one.id
        else one
        for one in posted
    ]
    posted = with_signed(posted, keys.links if keys else {})
    shelf = Shelf(listed, as_of, posted, first, _waiters(clients_dir, codes, ids, posted), whose)
    stopped = None
    try:
        if whose is not None:
            # without a sign only what has words, or she looked at aside: it may be a photograph
            problems += [anothers[one.name] for one, _ in loose if one.name in anothers]
            hers = [one for one in loose if one[1] or one[0].aside or is_text(one[0])]
            hers = [one for one in hers if one[0].name not in anothers]
            taken = shelf.take_messages(whose, hers)
            # what the log has not room for is kept whole
            loose = [one for one in loose if one[0] not in taken or is_cut(message_of(one[0]))]
            gone = {letter.name for letter in taken}
            problems = [
                p for p in problems if p.code != "checkin-none" or p.origin.file not in gone
            ]
        for letter, signs, path in shelf.keep_messages(loose):
            (shelf.first if signs else shelf.lines).extend(place_it(letter, signs, path, sought))
        heard = frozenset(letter.name for letter, _ in loose)
        shelf.take_all(progress)
        _take_around(shelf, heard)
    except KeyboardInterrupt as interrupt:
        shelf.settle()
        stopped = interrupt.with_traceback(None)
    shelf.record.end()
    problems += shelf.problems
    loud = (*shelf.first, *shelf.urgent)
    files = run_lines(letters, whose or "")
    lines = [*few(loud, once=True), *files, *few(shelf.lines), shelf.summary()]
    status = 1 if any(p.level == "error" for p in problems) else 0
    return Received(
        tuple(lines), tuple(problems), status, shelf.as_json() | {"runs": runs_json(letters)},
        stopped, shelf.take_back,
    )  # fmt: skip


def _is_anothers(letter: Letter, whose: str, sought: SoughtWords) -> bool:
    """Whether another client seems to have written it; not of what was kept aside for that."""
    found = writers(letter, sought)
    return not letter.aside and bool(found) and whose not in found


def _anothers(letter: Letter, whose: str, sought: SoughtWords) -> Problem:
    others = " or ".join(sorted(writers(letter, sought)))
    return Problem(
        Origin(letter.name),
        f"{others} seems to have written this, and you said that it is from {whose}",
        f"it is kept aside; receive that file with --for {others}, or with --for {whose} if it is "
        f"from {whose} all the same",
        "letter-anothers",
    )


def _take_around(shelf: Shelf, heard: frozenset[str]) -> None:
    """What was written around check-ins: into the log of whose they are, or else kept aside."""
    for note, id, coded in notes_around(shelf.posted, heard):
        if id and shelf.take_messages(id, [(note, ())]):
            continue
        _ = [*shelf.keep_messages([(note, ())])]
        who = f"{coded}: " if coded else ""
        says = f"READ: {who}the words around a check-in are kept aside: {quoted(note.text)}"
        shelf.lines.append(SaidLine(says, "READ: the words around COUNT check-ins are kept aside"))


def _clock_of(listed: Listed, id: str) -> Local:
    """The clock where a client is."""
    folder = world.read_folder(listed.clients, listed=[f"{id}{CLIENT}"])
    texts = listed.texts._replace(clients=folder.clients)
    house = listed.house
    case = case_of(texts, house, id)[0] if house and id in texts.clients else None
    zone = case.timezone if case else house.practice.timezone if house else "UTC"
    return lambda instant: instant.astimezone(ZoneInfo(zone))


def _waiters(
    clients: Path, codes: Mapping[str, str], ids: set[str], posted: Sequence[Posted]
) -> frozenset[str]:
    """Clients of whom a check-in waited aside before, and is not received now."""
    here = {Path(one.letter.name).name for one in posted if one.letter.aside}
    marks = {fingerprint(one.block) for one in posted}
    waiting = read_aside(clients, codes, ids)
    return frozenset().union(
        *(w.ids for w in waiting if w.name not in here and Path(w.name).stem[11:19] not in marks)
    )
