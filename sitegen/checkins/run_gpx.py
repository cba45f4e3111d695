"""A GPX file as runs: times, places and, where a recording has it, step rate. Pure.

Source: GPX 1.1 Schema, topografix.com/GPX/1/1. The coach's half of ``views/checkin/run_gpx.js``;
the standard library's expat is its reader of XML. It never expands an entity of the file's own
and fetches nothing: a document type ends the reading.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from typing import NamedTuple
from xml.parsers import expat

from sitegen.checkins.run_sum import Points, Position, RunNote, RunRead, RunUnread, runs_of

Local = Callable[[datetime], datetime]
"""An instant as the clock of the place where the runner is shows it."""

MOST_DEPTH = 100
_MOST_TEXT = 64  # characters of a time or a number
RATE_NAMES = frozenset(
    {"cad", "cadence", "spm", "steprate", "step_rate", "runcadence", "run_cadence"}
)
_GPX = re.compile(r"https?://(?:www\.)?topografix\.com/GPX/1/[01]/?", re.IGNORECASE)
_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?")
_TIME = re.compile(
    r"([12][0-9]{3})-([0-9]{2})-([0-9]{2})[T ]([0-9]{2}):([0-9]{2})"
    r"(?::([0-9]{2})(?:[.,]([0-9]+))?)?(Z|[+-][0-9]{2}:?[0-9]{2})?",
    re.IGNORECASE,
)
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_TRACK_POINT = ["gpx", "trk", "trkseg", "trkpt"]


class Time(NamedTuple):
    """Milliseconds of a clock, and what it is ahead of UTC in ms; None where no zone is written."""

    ms: int
    zone: int | None


def read_time(text: str) -> Time | None:
    """``2027-02-10T18:30:00Z``, with another zone or none; None where it is no time."""
    found = _TIME.fullmatch(text.strip())
    if not found:
        return None
    year, month, day, hour, minute = (int(found[at]) for at in range(1, 6))
    second, part = int(found[6] or 0), int(f"{found[7] or ''}000"[:3])
    try:
        clock = datetime(year, month, day, hour, minute, second, part * 1000, tzinfo=UTC)
    except ValueError:
        return None
    ms = (clock - _EPOCH) // timedelta(milliseconds=1)
    said = found[8]
    if said is None or said in "Zz":
        return Time(ms, None if said is None else 0)
    away = int(said[1:3]) * 60 + int(said[-2:])
    if away > 14 * 60 or int(said[-2:]) > 59:
        return None
    return Time(ms, (-1 if said[0] == "-" else 1) * away * 60_000)


def read_number(text: str) -> float:
    """A decimal number, or NaN."""
    bare = text.strip()
    return float(bare) if _NUMBER.fullmatch(bare) else math.nan


def read_place(lat: str, lon: str) -> Position | None:
    """A place from degrees as text; None where there is none such."""
    place = Position(read_number(lat), read_number(lon))
    return place if abs(place.lat) <= 90 and abs(place.lon) <= 180 else None


class Clock:
    """Times of one file on one line: the first says whether they have a zone."""

    def __init__(self, local: Local) -> None:
        self._local = local
        self._is_local: bool | None = None

    def ms(self, time: Time) -> int:
        """Milliseconds of this line."""
        if self._is_local is None:
            self._is_local = time.zone is None
        return time.ms if self._is_local else time.ms - (time.zone or 0)

    def start_of(self, ms: int) -> str:
        """``2027-02-10T18:30:05`` where the runner is."""
        instant = _EPOCH + timedelta(milliseconds=ms)
        shown = instant if self._is_local else self._local(instant)
        return shown.replace(tzinfo=None, microsecond=0).isoformat()

    def notes(self) -> list[RunNote]:
        return [{"code": "no-zone"}] if self._is_local else []


class GpxReader:
    """``feed`` for each slice of a file, then ``finish`` for its runs."""

    def __init__(self, local: Local) -> None:
        self._points = Points()
        self._clock = Clock(local)
        self._path: list[str] = []  # elements of GPX that are open; "" for any other
        self._space: str | None = None
        self._text: list[str] | None = None
        self._wanted = ""
        self._place: Position | None = None
        self._time: Time | None = None
        self._rate: float | None = None
        self._counts = {"points": 0, "placed": 0, "timed": 0, "bad": 0}
        parser = expat.ParserCreate(namespace_separator=" ")
        parser.buffer_text = True
        parser.StartDoctypeDeclHandler = self._doctype
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.CharacterDataHandler = self._letters
        with suppress(AttributeError):  # of newer expats: a token in slices is read at once
            parser.SetReparseDeferralEnabled(False)
        self._parser = parser

    def feed(self, text: str) -> None:
        """
        Raises:
            RunUnread: The file is broken, or no track that was recorded.
        """
        self._parse(text, False)

    def _parse(self, text: str, is_last: bool) -> None:
        try:
            self._parser.Parse(text, is_last)
        except expat.ExpatError as error:
            raise RunUnread("broken", line=error.lineno) from None

    def finish(self) -> list[RunRead]:
        """The file's runs.

        Raises:
            RunUnread: The file is broken, or has no track with times and places.
        """
        self._parse("", True)
        counts = self._counts
        for count, code in (("points", "no-track"), ("placed", "no-places"), ("timed", "no-times")):
            if not counts[count]:
                raise RunUnread(code)
        if self._points.left_out and not self._points.is_forward():
            raise RunUnread("backwards")
        notes = self._clock.notes()
        return runs_of(self._points, self._clock.start_of, notes, counts["bad"])

    def _doctype(self, *_: object) -> None:
        raise RunUnread("doctype")

    def _start(self, full: str, attributes: dict[str, str]) -> None:
        uri, _, name = full.rpartition(" ")
        if self._space is None:
            if name.lower() == "html":
                raise RunUnread("web")
            if name != "gpx":
                raise RunUnread("other")
            if uri and not _GPX.fullmatch(uri):
                raise RunUnread("gpx-version")
            self._space = uri
        self._path.append(name if uri == self._space else "")
        if len(self._path) > MOST_DEPTH:
            raise RunUnread("broken", line=self._parser.CurrentLineNumber)
        self._text = None
        if self._path[:4] != _TRACK_POINT:
            return
        if len(self._path) == 4:
            self._place = read_place(attributes.get("lat", ""), attributes.get("lon", ""))
            self._time = self._rate = None
        elif len(self._path) == 5 and self._path[4] == "time":
            self._wanted, self._text = "time", []
        elif self._path[4] == "extensions" and name.lower() in RATE_NAMES and self._rate is None:
            self._wanted, self._text = "rate", []

    def _letters(self, text: str) -> None:
        if self._text is not None and sum(map(len, self._text)) <= _MOST_TEXT:
            self._text.append(text)

    def _end(self, _full: str) -> None:
        if self._text is not None:
            text, self._text = "".join(self._text), None
            if self._wanted == "time":
                self._time = read_time(text)
            else:
                rate = read_number(text)
                self._rate = rate if 0 <= rate < 1000 else None
        if self._path == _TRACK_POINT:
            self._keep()
        elif self._path == _TRACK_POINT[:3]:
            self._points.cut()
        self._path.pop()

    def _keep(self) -> None:
        counts = self._counts
        counts["points"] += 1
        counts["placed"] += self._place is not None
        counts["timed"] += self._time is not None
        if self._place is None or self._time is None:
            counts["bad"] += 1
        else:
            self._points.add(self._clock.ms(self._time), self._place, 0.0, self._rate)


__all__ = ["Clock", "GpxReader", "Local", "Time", "read_number", "read_place", "read_time"]
