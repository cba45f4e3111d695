"""``ID.told.yaml``, read: what a client was told.

A slip in this file is a warning and holds up no page: the week that it is about is worked out
anew, as all weeks are that were never told.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from typing import NamedTuple, TypeVar, cast, get_args

from sitegen.model.kinds import Unfit, nearest, one_of, parse_clock, parse_date, quoted
from sitegen.model.plan import Part, PartKind, Session, SessionKind, WeekKind
from sitegen.model.problem import Origin, Problem
from sitegen.model.told import Telling, ToldWeek, as_told
from sitegen.practice.yaml_text import MAX_BYTES

_ENTRY = re.compile(r"- told: *(\S+)")
_WEEKS = re.compile(r" *weeks:")
_MAP = re.compile(r" *- *\{(.*)\}")
_TEXT = r'"(?:[^"\\]|\\.)*"'
_FIELD = re.compile(
    rf'(?P<key>\w+): *(?:(?P<json>{_TEXT}|\[(?:{_TEXT}(?:, *)?)*\])|(?P<bare>[^,"\[\]]+))(?:, *|$)'
)
_PART = re.compile(
    r"(?P<kind>\w+) (?P<minutes>\d{1,4}(?:\.\d{1,9})?) min(?: x (?P<repeat>\d{1,3}))?"
    r"(?: at (?P<spm>\d{2,3}) spm)?(?: effort (?P<effort>\d{1,2}))?"
    r"(?: hard (?P<hard>\d{1,4}(?:\.\d{1,9})?) min)?"
)
_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")
_ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
HINT = (
    "take the file back from a copy, or write it as the other lines are; until then this week is "
    "worked out anew"
)
WEEK_FIELDS = (
    "week",
    "from",
    "kind",
    "cadence",
    "steps",
    "worth",
    "runs",
    "rung",
    "coach",
    "began",
    "checkins",
)
SESSION_FIELDS = (
    "on", "session", "kind", "at", "effort", "hard", "fuel", "moved_from", "drills", "workout",
    "title", "purpose", "parts", "says",
)  # fmt: skip
T = TypeVar("T")
Scalar = str | list[str]


class Ledger(NamedTuple):
    """What was told, in the order of the file, and what could not be read of it.

    To one that ``is_closed`` nothing can be added: it is too long, or no text.
    """

    tellings: tuple[Telling, ...] = ()
    problems: tuple[Problem, ...] = ()
    is_closed: bool = False


class _Slip(Exception):
    """What can't be read, and where it begins in the line, from 0."""

    def __init__(self, message: str, at: int, hint: str = "") -> None:
        super().__init__(message)
        self.message, self.at, self.hint = message, at, hint


class _Fields(NamedTuple):
    """The fields of one line, and where each begins."""

    values: dict[str, Scalar]
    places: dict[str, int]
    at: int


class _Reader:
    """Reads line by line. ``lost`` are Mondays of weeks of which something can't be read."""

    def __init__(self) -> None:
        self.tellings: list[Telling] = []
        self.lost: set[date] = set()
        self.is_dated = False
        self.week: ToldWeek | None = None

    def read(self, line: str) -> None:
        """Take up one line.

        Raises:
            _Slip: It can't be read. What it tells of is lost.
        """
        begins = len(line) - len(line.lstrip())
        if line.startswith("- "):
            self.week, self.is_dated = None, False
            found = _ENTRY.fullmatch(line)
            if found is None:
                raise _Slip(f"{quoted(line)} begins no entry", 0, "write the day, as - told: DATE")
            self.tellings.append(Telling(_read_date(found[1], found.start(1)), ()))
            self.is_dated = True
            return
        found = _MAP.fullmatch(line)
        if found is None:
            self._lose(line)
            raise _Slip(f"{quoted(line)} is no line of what was told", begins)
        try:
            fields = _fields(found[1], found.start(1))
            if "week" in fields.values:
                self.week = None
                self._begin(_week(_checked(fields, WEEK_FIELDS)))
            else:
                self._add(_session(_checked(fields, SESSION_FIELDS)), fields.at)
        except _Slip:
            self._lose(line)
            raise
        if not self.is_dated:
            self._lose(line)

    def _begin(self, week: ToldWeek) -> None:
        self.week = week
        if self.is_dated:
            now = self.tellings[-1]
            self.tellings[-1] = now._replace(weeks=(*now.weeks, week))

    def _add(self, session: Session, at: int) -> None:
        if self.week is None or not 0 <= (session.on - self.week.start).days < 7:
            raise _Slip(f"the session on {session.on} does not stand under its week", at)
        self.week = self.week._replace(sessions=(*self.week.sessions, session))
        if self.is_dated:
            now = self.tellings[-1]
            self.tellings[-1] = now._replace(weeks=(*now.weeks[:-1], self.week))

    def _lose(self, line: str) -> None:
        """The week that stands above, and those of every day that the line names."""
        if self.week is not None:
            self.lost.add(self.week.start)
        for text in _DATE.findall(line):
            try:
                day = parse_date(text)
            except Unfit:
                continue
            self.lost.add(day - timedelta(days=day.weekday()))

    def found(self) -> tuple[Telling, ...]:
        def kept(telling: Telling) -> Telling:
            weeks = tuple(week for week in telling.weeks if week.start not in self.lost)
            return telling._replace(weeks=weeks)

        return tuple(map(kept, self.tellings)) if self.lost else tuple(self.tellings)


def read_told(data: bytes | None, file: str) -> Ledger:
    """The ledger's entries, but for weeks in which there is a slip. Every slip is a warning.

    The file is YAML, and always one map a line as `sitegen.plan.ledger.text_of` writes it, so
    that a line is read, or told, by itself: a general reader would take a third of a build's time.

    Args:
        data: What the file holds; None where there is none.
        file: Its name, for the places of problems.
    """
    if data is None:
        return Ledger()
    if len(data) > MAX_BYTES:
        wrong = "this file has over 1 MiB, so nothing of it is read, and nothing is added to it"
        hint = "move it out of the folder and keep it; a new one begins with what is shown next"
        return Ledger((), (Problem(Origin(file), wrong, hint, "told-size", "warning"),), True)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        wrong = "this file is not text in UTF-8"
        hint = "take it back from a copy; until then the past is worked out anew"
        return Ledger((), (Problem(Origin(file, 1, 1), wrong, hint, "told", "warning"),), True)
    reader = _Reader()
    problems: list[Problem] = []
    for number, line in enumerate(text.split("\n"), start=1):
        line = line.rstrip()
        if not line or line.lstrip().startswith("#") or _WEEKS.fullmatch(line):
            continue
        try:
            reader.read(line)
        except _Slip as slip:
            hint = f"{slip.hint}; {HINT}" if slip.hint else HINT
            origin = Origin(file, number, slip.at + 1)
            problems.append(Problem(origin, slip.message, hint, "told", "warning"))
    return Ledger(reader.found(), tuple(problems))


def _fields(text: str, begins: int) -> _Fields:
    found = _Fields({}, {}, begins)
    at = 0
    while at < len(text):
        one = _FIELD.match(text, at)
        if one is None:
            raise _Slip(f"{quoted(text[at:])} is no field with a value", begins + at)
        key = one["key"]
        if key in found.values:
            raise _Slip(f"{quoted(key)} stands here twice", begins + at)
        try:
            found.values[key] = (
                one["bare"].strip() if one["json"] is None else json.loads(one["json"])
            )
        except ValueError:
            raise _Slip(f"{quoted(one['json'])} is no text", begins + one.start("json")) from None
        found.places[key] = begins + at
        at = one.end()
    return found


def _checked(fields: _Fields, known: tuple[str, ...]) -> _Fields:
    for key, at in fields.places.items():
        if key not in known:
            hint = f"{nearest(key, known)}write one of {', '.join(known)}"
            raise _Slip(f"there is no field {quoted(key)} here", at, hint)
    return fields


def _week(fields: _Fields) -> ToldWeek:
    return ToldWeek(
        number=_read(fields, "week", _whole(1, 52)),
        start=_read(fields, "from", _monday),
        kind=cast(WeekKind, _read(fields, "kind", _one_of(get_args(WeekKind)))),
        spm=_read(fields, "cadence", _spm),
        steps=_read(fields, "steps", _whole(0, 999_999)),
        worth=_read(fields, "worth", _minutes),
        runs=_read(fields, "runs", _whole(0, 14)),
        rung=_read(fields, "rung", _whole(1, 99)) if "rung" in fields.values else None,
        by_coach=fields.values.get("coach") == "yes",
        began=cast(WeekKind, _read(fields, "began", _one_of(get_args(WeekKind))))
        if "began" in fields.values
        else None,
        unasked=fields.values.get("checkins") == "none",
    )


def _session(fields: _Fields) -> Session:
    values = fields.values
    low, high = _read(fields, "effort", _effort)
    parts = _read(fields, "parts", lambda text: tuple(_parts(text)))
    if "says" in values:
        parts = _worded(fields, parts)
    moved = _read(fields, "moved_from", parse_date) if "moved_from" in values else None
    return Session(
        id=_read(fields, "session", _id),
        on=_read(fields, "on", parse_date),
        at=_read(fields, "at", parse_clock) if "at" in values else None,
        kind=cast(SessionKind, _read(fields, "kind", _one_of(get_args(SessionKind)))),
        parts=parts,
        hard=values.get("hard") == "yes",
        effort_low=low,
        effort_high=high,
        drills=tuple(_read(fields, "drills", str).split()) if "drills" in values else (),
        fuel_at=_read(fields, "fuel", parse_clock) if "fuel" in values else None,
        moved_from=moved,
        workout=_read(fields, "workout", _id) if "workout" in values else "",
        title=_read(fields, "title", as_told) if "title" in values else None,
        purpose=_read(fields, "purpose", as_told) if "purpose" in values else None,
    )


def _worded(fields: _Fields, parts: tuple[Part, ...]) -> tuple[Part, ...]:
    words = fields.values["says"]
    if isinstance(words, str) or len(words) != len(parts):
        raise _Slip("says has not one text for each part", fields.places["says"])
    return tuple(
        part._replace(text=as_told(said) if said else None)
        for part, said in zip(parts, words, strict=True)
    )


def _read(fields: _Fields, name: str, parse: Callable[[str], T]) -> T:
    if name not in fields.values:
        raise _Slip(f"{quoted(name)} is missing in this line", fields.at)
    value = fields.values[name]
    if not isinstance(value, str):
        raise _Slip(f"{name} is a list", fields.places[name], "write one value")
    try:
        return parse(value)
    except Unfit as unfit:
        wrong = f"{quoted(value)} is nothing that {name} can be"
        raise _Slip(wrong, fields.places[name], unfit.hint) from None


def _unlike(hint: str) -> Unfit:
    return Unfit("told", "", hint)


def _one_of(known: tuple[str, ...]) -> Callable[[str], str]:
    def parse(text: str) -> str:
        if text not in known:
            raise _unlike(f"{nearest(text, known)}write {one_of(known)}")
        return text

    return parse


def _whole(low: int, high: int) -> Callable[[str], int]:
    def parse(text: str) -> int:
        found = int(text) if text.isascii() and text.isdigit() else low - 1
        if not low <= found <= high:
            raise _unlike(f"write a whole number from {low} to {high}")
        return found

    return parse


def _read_date(text: str, at: int) -> date:
    try:
        return parse_date(text)
    except Unfit as unfit:
        raise _Slip(unfit.message, at, unfit.hint) from None


def _monday(text: str) -> date:
    found = parse_date(text)
    if found.weekday():
        raise _unlike("write the week's Monday")
    return found


def _spm(text: str) -> int:
    return _whole(60, 300)(text.removesuffix(" spm"))


def _minutes(text: str) -> float:
    number = text.removesuffix(" min")
    if number == text or not re.fullmatch(r"\d{1,5}(?:\.\d{1,9})?", number):
        raise _unlike("write minutes, like 72 min")
    return float(number)


def _effort(text: str) -> tuple[int, int]:
    low, _, high = text.partition("-")
    return _whole(0, 10)(low), _whole(0, 10)(high)


def _id(text: str) -> str:
    if not _ID.fullmatch(text):
        raise _unlike("write small letters and digits with hyphens between, like w03-run-1")
    return text


def _parts(text: str) -> Iterator[Part]:
    for one in text.split(", ") if text else ():
        found = _PART.fullmatch(one)
        if found is None or found["kind"] not in get_args(PartKind):
            raise _unlike("write each part as run 5 min x 4 at 162 spm, with commas between")
        yield Part(
            cast(PartKind, found["kind"]),
            float(found["minutes"]),
            int(found["repeat"] or 1),
            int(found["spm"]) if found["spm"] else None,
            effort=int(found["effort"]) if found["effort"] else None,
            hard_minutes=float(found["hard"] or 0),
        )
