"""What an act that is taken back would silence: its alarms are named, and what told of danger is
laid in ``.aside``, where it rings until somebody answers."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from contextlib import suppress
from datetime import date
from pathlib import Path
from typing import NamedTuple

from sitegen import world
from sitegen.care.signs import most_urgent_first, sign_words
from sitegen.checkins.aside import ASIDE, uncommented, urgent_words
from sitegen.checkins.limits import spoken_signs
from sitegen.model.alarm import Alarm
from sitegen.model.case import Case
from sitegen.plan.alarms import alarms
from sitegen.plan.condition import log_with_readings
from sitegen.practice.lenient import lenient_case, lenient_practice
from sitegen.practice.opening import ANSWERS, CLIENT, LOG, id_of
from sitegen.practice.waits import unanswered
from sitegen.rules.signs import SEVERE, signs_told
from sitegen.terminal.output import harmless
from sitegen.versions import KeptAct, Version


class Silenced(NamedTuple):
    """Open alarms of one log that go with what an act put there, the entries that told them, and
    the signs of which those tell."""

    id: str
    alarms: tuple[Alarm, ...]
    entries: str
    signs: tuple[str, ...]


def silenced(clients: Path, act: KeptAct) -> tuple[Silenced, ...]:
    """By log, what goes; logs of which no open alarm goes are left out."""
    found = (_of_log(clients, one) for one in act.versions if one.name.endswith(LOG))
    return tuple(one for one in found if one is not None)


def _of_log(clients: Path, version: Version) -> Silenced | None:
    if version.after is None:
        return None
    id = id_of(version.name)
    practice = lenient_practice(_bytes(clients / "practice.yaml"))
    client, answers = (_bytes(clients / f"{id}{end}") for end in (CLIENT, ANSWERS))
    new, old = (
        lenient_case(id, client, log, answers, practice, clients.as_posix())
        for log in (version.after, version.before)
    )
    days = [max(entry.received or entry.on, entry.on) for entry in new.log]
    day = max((world.today(new.timezone), *days))
    there = {key for one in alarms(old, log_with_readings(old, day)) for key in one.keys}
    gone = tuple(
        one
        for one in alarms(new, log_with_readings(new, day))
        if one.is_open and not there.issuperset(one.keys)
    )
    keys = {key for one in gone for key in one.keys}
    told = [s for s in signs_told(new, day) if f"{s.sign} {s.on}" in keys]
    places = sorted({s.entry for s in told})
    entries = "".join(_text_of(version.after, new, at) for at in places)
    signs = tuple(most_urgent_first({s.sign for s in told}))
    return Silenced(id, gone, entries, signs) if gone else None


def _text_of(log: bytes, case: Case, at: int) -> str:
    """An entry as it stands in the log."""
    lines = log.decode("utf-8", "replace").splitlines(keepends=True)
    start = case.log_origins.value(at).line - 1
    end = len(lines) if at + 1 == len(case.log) else case.log_origins.value(at + 1).line - 1
    return "".join(lines[start:end]).rstrip() + "\n"


def silenced_lines(found: tuple[Silenced, ...]) -> Iterator[str]:
    """What the coach reads before she takes it back."""
    for one in found:
        for alarm in one.alarms:
            yield f"    an open alarm goes: {alarm.kind.upper()} {one.id}: {alarm.says}"
        if one.entries:
            yield f"    what told of it is laid in {ASIDE}, and rings there until it is answered"


def kept_asides(clients: Path, act: KeptAct) -> tuple[Version, ...]:
    """Messages of danger that the act put aside, and that nobody has answered: they stay."""
    waits, own = unanswered(clients), urgent_words(clients)
    return tuple(
        one
        for one in act.versions
        if one.before is None and one.after and Path(one.name).parent.name == ASIDE
        if Path(one.name).name in waits and _signs(one.after, own)
    )


def lay_aside(clients: Path, act: KeptAct, found: tuple[Silenced, ...], day: date) -> None:
    """Write what told of danger into ``.aside``, but for what came back there.

    Raises:
        Refused: It can't be written.
    """
    own = urgent_words(clients)
    back = [v.before for v in act.versions if v.before and Path(v.name).parent.name == ASIDE]
    there = {sign for data in back for sign in _signs(data, own)}
    folder = clients / ASIDE
    for one in found:
        if not one.entries or there.issuperset(one.signs):
            continue
        head = (
            f"# Kept aside on {day}: undo took it out of {one.id}{LOG}; it is in no log.\n"
            f"# It tells of {', '.join(map(sign_words, one.signs))}. Receive this file with --for "
            "and the client whose it is, or\n# answer: sitegen alarms\n\n"
        )
        entries = one.entries
        if "severe_pain" in {*one.signs} - {*spoken_signs(entries, own)}:
            entries += f"  # pain of {SEVERE}/10 or more\n"  # what waits rings by words alone
        mark = hashlib.sha256(entries.encode("utf-8")).hexdigest()[:8]
        folder.mkdir(mode=0o700, exist_ok=True)
        world.write_text_atomic(folder / f"{day}-{mark}.txt", harmless(head + entries), mode=0o600)


def _signs(data: bytes, own: Sequence[str]) -> tuple[str, ...]:
    return spoken_signs(uncommented(data.decode("utf-8", "replace")), own)


def _bytes(path: Path) -> bytes:
    with suppress(OSError):
        return path.read_bytes()
    return b""
