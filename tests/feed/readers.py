"""Independent readers of a calendar feed, all asked the same: when does each event take place?

Each takes files and gives, for each file, its events by UID. Times are UTC; a whole day is a date.
"""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

import pytest
import recurring_ical_events
from icalendar import Calendar, Event

ROOT = Path(__file__).resolve().parent.parent.parent
HERE = Path(__file__).parent
Moment = datetime | date


@dataclass(frozen=True, slots=True, order=True)
class Seen:
    """What a reader understood of an event. Alarms are seconds from the start."""

    start: Moment
    end: Moment | None
    sequence: int
    alarms: tuple[int, ...]


Events = dict[str, Seen]
Reader = Callable[[Sequence[Path]], list[Events]]


def with_zoneinfo(files: Sequence[Path]) -> list[Events]:
    """icalendar, which knows the zones by name from `zoneinfo` and never looks at the VTIMEZONE."""
    return [_by_uid(Calendar.from_ical(file.read_bytes()).events) for file in files]


def with_vtimezone(files: Sequence[Path]) -> list[Events]:
    """icalendar again, with zones of no known name: it has to believe the VTIMEZONE."""
    found = []
    for number, file in enumerate(files):
        text = file.read_bytes().replace(b"TZID:", b"TZID:Unknown/%d-" % number)
        text = text.replace(b"TZID=", b"TZID=Unknown/%d-" % number)
        found.append(_by_uid(Calendar.from_ical(text).events))
    return found


def with_recurrence(files: Sequence[Path]) -> list[Events]:
    """recurring-ical-events, asked for all that happens in fifteen years."""
    years = (datetime(2020, 1, 1, tzinfo=UTC), datetime(2035, 1, 1, tzinfo=UTC))
    return [
        _by_uid(recurring_ical_events.of(Calendar.from_ical(file.read_bytes())).between(*years))
        for file in files
    ]


def with_libical(files: Sequence[Path]) -> list[Events]:
    """libical in C, which checks the rules of the standard as well."""
    program = _libical_program()
    if program is None:
        pytest.skip("libical is not installed (Debian: gcc libical-dev)")
    return _printed([str(program)], files)


def with_ical_js(files: Sequence[Path]) -> list[Events]:
    """ical.js in Node, which knows no zone but those in the file."""
    node = shutil.which("node")
    if node is None or not (ROOT / "node_modules" / "ical.js").is_dir():
        pytest.skip("ical.js is not installed (tools/test-needs brings it)")
    return _printed([node, str(HERE / "read_feed.mjs")], files)


READERS: tuple[Reader, ...] = (
    with_zoneinfo, with_vtimezone, with_recurrence, with_libical, with_ical_js,
)  # fmt: skip
VTIMEZONE_READERS: tuple[Reader, ...] = (with_vtimezone, with_libical, with_ical_js)


def _by_uid(events: Sequence[Event]) -> Events:
    found = {}
    for event in events:
        end = event.get("DTEND")
        found[str(event["UID"])] = Seen(
            _utc(event["DTSTART"].dt),
            None if end is None else _utc(end.dt),
            int(event["SEQUENCE"]),
            tuple(int(a["TRIGGER"].dt.total_seconds()) for a in event.walk("VALARM")),
        )
    assert len(found) == len(events), "two events have one UID"
    return found


def _utc(moment: Moment) -> Moment:
    """Without `astimezone` on a time that carries no zone: that would borrow this machine's."""
    if not isinstance(moment, datetime):
        return moment
    assert moment.tzinfo is not None, "a floating time"
    return moment.astimezone(UTC)


@cache
def _libical_program() -> Path | None:
    compiler = shutil.which("cc")
    if compiler is None:
        return None
    program = Path(mkdtemp(prefix="read-feed-")) / "read_feed"
    made = subprocess.run(
        [compiler, str(HERE / "read_feed.c"), "-lical", "-o", str(program)], capture_output=True
    )
    return program if made.returncode == 0 else None


def _printed(command: list[str], files: Sequence[Path]) -> list[Events]:
    """Events from the lines that ``read_feed.c`` and ``read_feed.mjs`` print."""
    names = [str(file) for file in files]
    done = subprocess.run([*command, *names], capture_output=True, text=True, timeout=120)
    assert done.returncode == 0, done.stderr
    found: dict[str, Events] = {name: {} for name in names}
    checked = []
    for line in done.stdout.splitlines():
        kind, name, *words = line.split(" ")
        if kind == "errors":
            assert words == ["0"], f"{words[0]} errors in {Path(name).read_text()}"
            checked.append(name)
        else:
            uid, start, end, sequence, alarms = words
            assert uid not in found[name], "two events have one UID"
            found[name][uid] = Seen(
                _moment(start),
                None if end == "-" else _moment(end),
                int(sequence),
                tuple(map(int, alarms.split(","))) if alarms != "-" else (),
            )
    assert checked == names
    return list(found.values())


def _moment(text: str) -> Moment:
    return datetime.fromisoformat(text) if "T" in text else date.fromisoformat(text)
