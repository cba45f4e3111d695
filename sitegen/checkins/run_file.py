"""A run's own file, GPX or CSV, at the desk: the same answers as the client's device gives.

The coach's half of ``views/checkin/run_file.js``. Pure: bytes come in slices, runs go out; nothing
of a place is kept. docs/run-files.md says what is read.
"""

from __future__ import annotations

import codecs
import re
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from sitegen.checkins.run_csv import read_csv
from sitegen.checkins.run_gpx import GpxReader, Local
from sitegen.checkins.run_sum import RunNote, RunRead, RunUnread
from sitegen.portal.run_file import LIMITS, NOTES, RUN_ASKED, RUN_STEPS, WRONG

SNIFFED = 1024  # bytes
_PACKED = (b"PK\x03\x04", b"\x1f\x8b", b"BZh", b"7z\xbc\xaf", b"Rar!", b"\xfd7zX")
_CONTROLS = re.compile(rb"[\x00-\x08\x0e-\x1f]")
_ENCODING = re.compile(r"""<\?xml[^>]*?encoding[ \t\r\n]*=[ \t\r\n]*["']([^"']*)["']""")
_WEB = re.compile(r"<(?:!doctype html|html)", re.IGNORECASE)
_OURS = {
    "utf-8": "utf-8", "utf8": "utf-8", "us-ascii": "cp1252", "ascii": "cp1252",
    "iso-8859-1": "cp1252", "latin1": "cp1252", "windows-1252": "cp1252",
}  # fmt: skip
_MARKS = ((b"\xff\xfe", "utf-16-le"), (b"\xfe\xff", "utf-16-be"), (b"\xef\xbb\xbf", "utf-8"))

Slice = Callable[[int, int], bytes]
"""Bytes of a file from one place up to another."""


def looks_like_a_run(name: str, head: bytes) -> bool:
    """Whether a file that came in is taken for a run's, by its name or by its first bytes."""
    return name.lower().endswith((".gpx", ".csv")) or b"<gpx" in head[:SNIFFED]


def run_file_kind(head: bytes) -> tuple[str, str]:
    """``gpx`` or ``csv``, and the encoding, by a file's first bytes.

    Raises:
        RunUnread: It is neither.
    """
    if head.startswith(_PACKED):
        raise RunUnread("packed")
    encoding = next((name for mark, name in _MARKS if head.startswith(mark)), "")
    if not encoding.startswith("utf-16") and _CONTROLS.search(head):
        raise RunUnread("other")
    text = head.decode(encoding or "cp1252", "replace").removeprefix("\ufeff")
    start = text.lstrip()
    if not start:
        raise RunUnread("empty")
    if _WEB.match(start):
        raise RunUnread("web")
    if start[0] in "{[":
        raise RunUnread("other")
    if start[0] != "<":
        return "csv", encoding or "utf-8"
    said = _ENCODING.match(text)
    named = encoding or (_OURS.get(said[1].lower(), "") if said else "utf-8")
    if not named:
        raise RunUnread("encoding")
    return "gpx", named


def read_run_file(size: int, slice: Slice, local: Local) -> tuple[list[RunRead], RunNote | None]:
    """A file's runs, or why nothing of it can be read.

    Args:
        size: Bytes.
        slice: Its bytes.
        local: The clock where the runner is.
    """
    try:
        if size > LIMITS["most_bytes"]:
            raise RunUnread("large", most=LIMITS["most_bytes"] // 1_048_576)
        kind, encoding = run_file_kind(slice(0, SNIFFED))
        try:
            return _read_as(kind, encoding, size, slice, local), None
        except RunUnread as error:
            # Spreadsheets save text as their system has it.
            if (error.told["code"], kind, encoding) != ("encoding", "csv", "utf-8"):
                raise
            return _read_as(kind, "cp1252", size, slice, local), None
    except RunUnread as error:
        return [], error.told


def _read_as(kind: str, encoding: str, size: int, slice: Slice, local: Local) -> list[RunRead]:
    texts = _texts(encoding, size, slice)
    if kind == "csv":
        return read_csv(texts, local)
    reader = GpxReader(local)
    for text in texts:
        reader.feed(text)
    return reader.finish()


def _texts(encoding: str, size: int, slice: Slice) -> Iterator[str]:
    """A file's text slice by slice, with line ends of ``\\n`` alone."""
    # As browsers do, no byte of Windows' own code is a fault.
    decoder = codecs.getincrementaldecoder(encoding)(
        "strict" if encoding != "cp1252" else "replace"
    )
    held = ""  # a carriage return whose line feed may come with the next slice
    is_first = True
    for at in range(0, size, LIMITS["slice_bytes"]):
        end = min(size, at + LIMITS["slice_bytes"])
        try:
            text = held + decoder.decode(slice(at, end), end == size)
        except ValueError:
            raise RunUnread("encoding") from None
        if is_first:
            text, is_first = text.removeprefix("\ufeff"), False
        held = "\r" if text.endswith("\r") and end < size else ""
        text = text[: len(text) - len(held)]
        yield text.replace("\r\n", "\n").replace("\r", "\n")


# --- in words ---------------------------------------------------------------------------------


def words_for(told: RunNote) -> str:
    """The sentence that a code and its values stand for, in English."""
    words = {**WRONG, **RUN_ASKED, **NOTES}[told["code"]]
    values = {**told, "pace": minutes_and_seconds(told["pace"])} if "pace" in told else told
    return words.format(**values)


def minutes_and_seconds(seconds: int) -> str:
    """``5:57``."""
    return f"{seconds // 60}:{seconds % 60:02}"


def ran_minutes(run: RunRead) -> int:
    """The minutes that go into the log: those of running where they are known, one at least."""
    seconds = run.moving_s if run.running_s is None else run.running_s
    return max(1, int(seconds / 60 + 0.5))


def entry_text(run: RunRead) -> str:
    """The check-in that a run becomes, as a client's message would have it below its first line."""
    day = (run.start or "")[:10]
    lines = [f"- on: {day}", f"  ran: {ran_minutes(run)} min"]
    if run.metres:
        lines.append(f"  distance: {round(run.metres / 1000, 2):g} km")
    if run.spm:
        lines.append(f"  cadence: {run.spm} spm")
    return "\n".join(lines)


def run_words(run: RunRead) -> str:
    """What a file tells of one run, on one line for the coach."""
    when = (run.start or "no day").replace("T", " ")[:16]
    told = [f"{run.moving_s / 60:.1f} min moving of {run.elapsed_s / 60:.1f}"]
    if run.running_s is not None:
        told.append(f"{run.running_s / 60:.1f} min of it running, by its steps")
    if run.metres and run.pace_s:
        told.append(f"{run.metres / 1000:.2f} km, {minutes_and_seconds(run.pace_s)} /km")
    if run.spm:
        told.append(f"{run.spm} spm")
    notes = [words_for(note) for note in run.notes]
    if run.steps in RUN_STEPS:
        notes.insert(0, RUN_STEPS[run.steps].format(raw=run.steps_raw))
    if run.running_s is None:
        notes.append("It can't tell running from walking: take off what was walked.")
    if run.asks:
        notes.append(words_for(run.asks))
    return f"{when}: {', '.join(told)}. {' '.join(notes)}".rstrip()


def run_json(run: RunRead, file: str) -> Mapping[str, Any]:
    """One run as ``receive --json`` prints it."""
    return {
        "file": file,
        **run._asdict(),
        "notes": [dict(note) for note in run.notes],
        "asks": None if run.asks is None else dict(run.asks),
    }
