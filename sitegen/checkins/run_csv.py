"""A CSV file as runs: one row a run, or one row a moment of a run. Pure.

docs/run-files.md says what is read. The coach's half of ``views/checkin/run_csv.js``. Source of the
form: RFC 4180, with semicolon or tab in place of the comma where the first row has more of them.
"""

from __future__ import annotations

import csv
import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from datetime import date
from typing import NamedTuple

from sitegen.checkins.run_gpx import Clock, Local, Time, read_place, read_time
from sitegen.checkins.run_sum import Points, RunRead, RunUnread, rounded, run_of, runs_of
from sitegen.portal.run_file import LIMITS

MOST_CELL = 131_072  # characters, the csv module's own bound
_MOST_TOLD = 30  # characters of a cell that a sentence repeats

_COLUMNS = {
    "day": ("date", "day", "fecha", "dia"),
    "clock": ("start", "start time", "clock", "hora", "inicio", "hora de inicio", "comienzo"),
    "stamp": ("timestamp", "time stamp", "date time", "datetime", "fecha y hora", "instante"),
    "time": ("time", "tiempo"),  # of the day, or how long: the cells say which
    "passed": ("seconds", "segundos", "elapsed seconds"),
    "moving": (
        "duration", "minutes", "moving", "moving time", "running time", "minutes of running",
        "duracion", "minutos", "tiempo en movimiento", "tiempo de carrera",
    ),
    "elapsed": ("elapsed", "elapsed time", "total time", "tiempo total", "tiempo transcurrido"),
    "distance": (
        "distance", "distancia", "kilometres", "kilometers", "kilometros", "miles", "millas",
        "metres", "meters", "metros",
    ),
    "rate": (
        "cadence", "step rate", "steps per minute", "steps a minute", "cadencia",
        "pasos por minuto", "frecuencia de pasos", "ppm",
    ),
    "lat": ("lat", "latitude", "latitud"),
    "lon": ("lon", "lng", "long", "longitude", "longitud"),
}  # fmt: skip
"""Column names without accents, in English and Spanish; a unit may stand behind them."""
_UNITS = {
    "km": "km", "kilometres": "km", "kilometers": "km", "kilometros": "km", "m": "m",
    "metres": "m", "meters": "m", "metros": "m", "mi": "mi", "miles": "mi", "millas": "mi",
    "s": "s", "sec": "s", "seconds": "s", "segundos": "s", "min": "min", "minutes": "min",
    "minutos": "min", "h": "h", "hours": "h", "horas": "h", "spm": "spm", "h:mm": "h:mm",
    "mm:ss": "mm:ss", "h:mm:ss": "h:mm:ss",
}  # fmt: skip
DAY_FIRST = ("fecha", "dia")  # who writes so writes the day before the month
_ALONE = {"km": "distance", "mi": "distance", "min": "moving", "s": "passed", "spm": "rate"}
_METRES = {"km": 1000, "m": 1, "mi": 1609.344}
_SECONDS = {"s": 1, "min": 60, "h": 3600}
_NUMBER = re.compile(r"[0-9]+(?:[.,][0-9]+)?")
_DAY = re.compile(r"([0-9]{4})-([0-9]{1,2})-([0-9]{1,2})")
_OTHER_DAY = re.compile(r"([0-9]{1,2})([./-])([0-9]{1,2})[./-]([0-9]{4})")
_CLOCK = re.compile(r"([0-9]{1,2}):([0-9]{2})(?::([0-9]{2}))?")
_LENGTH = re.compile(r"([0-9]{1,3}):([0-9]{2})(?::([0-9]{2})(?:[.,][0-9]+)?)?")
_LENGTH_WORDS = re.compile(
    r"(?:([0-9]{1,2}) ?h)? ?(?:([0-9]{1,4}(?:[.,][0-9]+)?) ?min)? ?(?:([0-9]{1,6}) ?s)?"
)
_WAY = re.compile(r"([0-9]+(?:[.,][0-9]+)?) ?(km|mi|m)?")


class NoUnit(Exception):
    """A number could be in several units."""


class Column(NamedTuple):
    """Where a column stands, counted from 0, and the unit in its name."""

    at: int
    unit: str


class WrittenStart(NamedTuple):
    """What a row tells of its start: a time stamp, or a day and a clock time; and its line."""

    stamp: str
    day: str
    clock: str
    line: int


def _shown(text: str) -> str:
    bare = text.strip()
    return bare if len(bare) <= _MOST_TOLD else bare[:_MOST_TOLD] + "…"


def _unfit(code: str, text: str, line: int) -> RunUnread:
    return RunUnread(code, line=line, text=_shown(text))


def _plain(text: str) -> str:
    decomposed = unicodedata.normalize("NFKD", text)
    bare = re.sub("[\u0300-\u036f]", "", decomposed).lower()
    return re.sub(r"[_()\[\],/-]+", " ", bare).strip()


def column_of(text: str) -> tuple[str, str]:
    """What a column's name says that it holds, and in which unit; empty where it is not known."""
    words = _plain(text).split()
    if not words:
        return "", ""
    unit = _UNITS.get(words[-1], "")
    known = {name: key for key, names in _COLUMNS.items() for name in names}
    if whole := known.get(" ".join(words)):
        return whole, unit if len(words) == 1 else ""
    if not unit:
        return "", ""
    if len(words) == 1:
        return _ALONE.get(unit, ""), unit
    return known.get(" ".join(words[:-1]), ""), unit


def _decimal(text: str) -> float:
    return float(text.replace(",", "."))


def read_length(text: str, unit: str) -> float | None:
    """Seconds of ``31:20``, ``1:02:03``, ``31 min``, or of a number in the column's unit.

    Raises:
        NoUnit: It is a number, and its unit stands nowhere.
    """
    bare = text.strip().lower()
    if _NUMBER.fullmatch(bare):
        if unit not in _SECONDS:
            raise NoUnit
        return _decimal(bare) * _SECONDS[unit]
    if clock := _LENGTH.fullmatch(bare):
        one, two, three = int(clock[1]), int(clock[2]), clock[3]
        if two > 59 or int(three or 0) > 59:
            return None
        if three is not None:
            return one * 3600 + two * 60 + int(three)
        return one * 3600 + two * 60 if unit in ("h:mm", "h") else one * 60 + two
    words = _LENGTH_WORDS.fullmatch(bare)
    if not bare or not words:
        return None
    return int(words[1] or 0) * 3600 + _decimal(words[2] or "0") * 60 + int(words[3] or 0)


def read_way(text: str, unit: str) -> float | None:
    """Metres of ``5.2 km``, or of a number in the column's unit.

    Raises:
        NoUnit: It is a number, and its unit stands nowhere.
    """
    found = _WAY.fullmatch(text.strip().lower())
    if not found:
        return None
    said = found[2] or unit
    if said not in _METRES:
        raise NoUnit
    return _decimal(found[1]) * _METRES[said]


def first_in(text: str) -> str:
    """``day`` or ``month``: what stands first in a date like 13/02/2027; empty if not told."""
    found = _OTHER_DAY.fullmatch(text.strip())
    if not found:
        return ""
    if found[2] == "." or int(found[1]) > 12:
        return "day"
    return "month" if int(found[3]) > 12 else ""


def date_in(text: str, first: str) -> str | None:
    """``2027-02-10`` of a date; ``?`` where day and month could change places, None if none."""
    iso = _DAY.fullmatch(text.strip())
    other = None if iso else _OTHER_DAY.fullmatch(text.strip())
    if iso:
        year, month, day = iso[1], iso[2], iso[3]
    elif other:
        order = first_in(text) or first
        if not order and other[1] != other[3]:
            return "?"
        day, month = (other[3], other[1]) if order == "month" else (other[1], other[3])
        year = other[4]
    else:
        return None
    with suppress(ValueError):
        found = date(int(year), int(month), int(day))
        return found.isoformat() if found.year >= 1900 else None
    return None


def _read_clock(text: str) -> str | None:
    found = _CLOCK.fullmatch(text.strip())
    if not found or int(found[1]) > 23 or int(found[2]) > 59 or int(found[3] or 0) > 59:
        return None
    return f"{int(found[1]):02}:{found[2]}:{found[3] or '00'}"


def _lines(slices: Iterable[str]) -> Iterator[str]:
    rest = ""
    number = 0
    for text in slices:
        lines = (rest + text).split("\n")
        rest = lines.pop()
        for line in lines:
            number += 1
            if len(line) > MOST_CELL:
                raise RunUnread("csv-quote", line=number)
            yield line
        if len(rest) > 2 * MOST_CELL:
            raise RunUnread("csv-quote", line=number + 1)
    if len(rest) > MOST_CELL:
        raise RunUnread("csv-quote", line=number + 1)
    if rest:
        yield rest


def _separator(line: str) -> str:
    bare = re.sub(r'"[^"]*"', "", line)
    return max(";\t,", key=bare.count)


def _rows(lines: Iterator[str]) -> Iterator[tuple[list[str], int]]:
    """Cells of each row that is not empty, and the number of its last line."""
    before = 0
    first = ""
    for first in lines:
        before += 1
        if first.strip() and not re.fullmatch(r"sep=.", first.strip(), re.IGNORECASE):
            break
    else:
        return

    def from_first() -> Iterator[str]:
        yield f"{first}\n"
        for line in lines:
            yield f"{line}\n"

    reader = csv.reader(from_first(), delimiter=_separator(first), strict=True)
    done = before - 1
    try:
        for cells in reader:
            done = before - 1 + reader.line_num
            if any(cell.strip() for cell in cells):
                yield cells, done
    except csv.Error as error:
        at_end = "unexpected end" in str(error)
        line = done + 1 if at_end else before - 1 + reader.line_num
        raise RunUnread("csv-quote", line=line) from None


class _Sheet:
    """The rows of one file."""

    def __init__(self, names: list[str], local: Local) -> None:
        self.clock = Clock(local)
        self.points = Points()
        self.runs: list[tuple[WrittenStart, float, float, float | None, dict[int, float]]] = []
        self.first = ""  # in dates: the day or the month
        self.is_moments: bool | None = None
        self.has_day = True
        self.at: dict[str, Column] = {}
        for index, name in enumerate(names):
            column, unit = column_of(name)
            if column in self.at:
                raise RunUnread("csv-twice", text=_shown(name))
            if column:
                self.at[column] = Column(index, unit)
            if column == "day" and _plain(name) in DAY_FIRST:
                self.first = "day"
        if not self.at:
            raise RunUnread("csv-head")

    def _cell(self, cells: list[str], name: str) -> str:
        column = self.at.get(name)
        return cells[column.at].strip() if column and column.at < len(cells) else ""

    def settle(self, cells: list[str]) -> None:
        """Say by the first row below the names what kind of file it is."""
        at = self.at
        is_placed = "lat" in at and "lon" in at
        if "time" in at:
            if "stamp" not in at and read_time(self._cell(cells, "time")):
                at["stamp"] = at["time"]
            elif is_placed and "clock" not in at:
                at["clock"] = at["time"]
            elif "moving" not in at:
                at["moving"] = at["time"]
        by_stamp = "stamp" in at and "moving" not in at and "distance" in at
        by_seconds = "passed" in at and "day" not in at and "distance" in at
        self.is_moments = is_placed or by_stamp or by_seconds
        has_start = "stamp" in at or ("day" in at and "clock" in at)
        fits = (
            has_start or "passed" in at
            if self.is_moments
            else ("day" in at or "stamp" in at) and "moving" in at
        )
        if not fits:
            raise RunUnread("csv-columns")
        self.has_day = not self.is_moments or has_start

    def take(self, cells: list[str], line: int) -> None:
        if self.is_moments is None:
            self.settle(cells)
        if self.is_moments:
            self._moment(cells, line)
        else:
            self._whole_run(cells, line)

    def _measured(
        self,
        cells: list[str],
        name: str,
        reader: Callable[[str, str], float | None],
        code: str,
        line: int,
    ) -> float | None:
        text = self._cell(cells, name)
        if not text:
            return None
        try:
            value = reader(text, self.at[name].unit)
        except NoUnit:
            raise RunUnread(f"{code}-unit") from None
        if value is None:
            raise _unfit(code, text, line)
        return value

    def _rate(self, cells: list[str], line: int) -> float | None:
        text = re.sub(r" ?spm$", "", self._cell(cells, "rate").lower())
        if not text:
            return None
        if not _NUMBER.fullmatch(text):
            raise _unfit("csv-rate", text, line)
        return _decimal(text)

    def _start(self, cells: list[str], line: int) -> WrittenStart:
        day = self._cell(cells, "day")
        self.first = self.first or first_in(day)
        return WrittenStart(self._cell(cells, "stamp"), day, self._cell(cells, "clock"), line)

    def _read_start(self, start: WrittenStart) -> Time | str:
        """A time, or a day alone as text."""
        if start.stamp:
            time = read_time(start.stamp)
            if time is None:
                raise _unfit("csv-time", start.stamp, start.line)
            return time
        day = date_in(start.day, self.first)
        if day is None or day == "?":
            raise _unfit("csv-day-month" if day else "csv-day", start.day, start.line)
        if not start.clock:
            return day
        clock = _read_clock(start.clock)
        time = read_time(f"{day}T{clock}") if clock else None
        if time is None:
            raise _unfit("csv-time", start.clock, start.line)
        return time

    def _whole_run(self, cells: list[str], line: int) -> None:
        if not self._cell(cells, "moving") and not self._cell(cells, "distance"):
            return  # a day without a run
        if len(self.runs) >= LIMITS["most_runs"]:
            raise RunUnread("many-runs", most=LIMITS["most_runs"])
        start = self._start(cells, line)
        moving = self._measured(cells, "moving", read_length, "csv-minutes", line)
        if moving is None:
            raise _unfit("csv-minutes", "", line)
        elapsed = self._measured(cells, "elapsed", read_length, "csv-minutes", line)
        metres = self._measured(cells, "distance", read_way, "csv-distance", line)
        rate = self._rate(cells, line)
        rates = {} if rate is None else {rounded(rate): moving}
        self.runs.append((start, moving, max(moving, elapsed or 0), metres, rates))

    def _moment(self, cells: list[str], line: int) -> None:
        if self.has_day:
            start = self._read_start(self._start(cells, line))
            if isinstance(start, str):
                raise _unfit("csv-time", "", line)
            ms = self.clock.ms(start)
        else:
            passed = self._measured(cells, "passed", read_length, "csv-minutes", line)
            if passed is None:
                raise _unfit("csv-time", "", line)
            ms = rounded(passed * 1000)
        rate = self._rate(cells, line)
        if "lat" in self.at and "lon" in self.at:
            lat, lon = (self._cell(cells, name).replace(",", ".") for name in ("lat", "lon"))
            place = read_place(lat, lon)
            if place is None:
                raise _unfit("csv-place", "", line)
            self.points.add(ms, place, 0.0, rate)
            return
        metres = self._measured(cells, "distance", read_way, "csv-distance", line)
        if metres is None:
            raise _unfit("csv-distance", "", line)
        self.points.add(ms, None, metres, rate)

    def finish(self) -> list[RunRead]:
        if self.is_moments is None or not (self.is_moments or self.runs):
            raise RunUnread("csv-rows")
        if not self.is_moments:
            starts = [self._when(self._read_start(start)) for start, *_ in self.runs]
            notes = self.clock.notes()
            found = [
                run_of(start, moving, elapsed, metres, rates, 0.0, notes)
                for start, (_, moving, elapsed, metres, rates) in zip(
                    starts, self.runs, strict=True
                )
            ]
            return sorted(found, key=lambda run: run.start or "")
        if self.points.left_out and not self.points.is_forward():
            raise RunUnread("backwards")
        notes = self.clock.notes() if self.has_day else [{"code": "no-day"}]
        start_of = self.clock.start_of if self.has_day else _no_day
        return runs_of(self.points, start_of, notes)

    def _when(self, start: Time | str) -> str:
        return start if isinstance(start, str) else self.clock.start_of(self.clock.ms(start))


def _no_day(_ms: int) -> None:
    return None


def read_csv(slices: Iterable[str], local: Local) -> list[RunRead]:
    """The runs of a CSV file, from slices of its text with line ends of ``\\n`` alone.

    Raises:
        RunUnread: Nothing can be read of it.
    """
    sheet: _Sheet | None = None
    for cells, line in _rows(_lines(slices)):
        if sheet is None:
            sheet = _Sheet(cells, local)
        else:
            sheet.take(cells, line)
    if sheet is None:
        raise RunUnread("empty")
    return sheet.finish()
