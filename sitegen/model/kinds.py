"""Kinds of value: how each is written in a coach's file, its bounds, and the mend for a slip.

Every scalar of a file arrives here as text, never as a YAML number or boolean, so that
``18:30`` and ``6:45 /km`` mean what was written. Each kind turns text into a value of `values.py`,
or raises `Unfit` with the problem's code, what is wrong, and what to write instead.
"""

from __future__ import annotations

import re
import zoneinfo
from collections.abc import Callable, Mapping
from datetime import date, time
from typing import Any, NamedTuple

from sitegen.model.patterns import number_pattern, whole_pattern
from sitegen.model.values import (
    METRES_HALF_MARATHON,
    METRES_MARATHON,
    METRES_PER_MILE,
    Cadence,
    Distance,
    Duration,
    Length,
    Lift,
    Mass,
    Pace,
    Percent,
)

MAX_QUOTED = 40
CM_PER_INCH = 2.54


class Unfit(ValueError):
    """A text that a kind does not take: the problem's code, what is wrong, and the mend."""

    def __init__(self, code: str, message: str, hint: str) -> None:
        super().__init__(message)
        self.code, self.message, self.hint = code, message, hint


def slip(code: str, message: str, hint: str, **values: object) -> Unfit:
    """An error that carries its mend. ``message`` may name ``values`` in braces."""
    return Unfit(code, message.format(**values), hint)


def quoted(text: str) -> str:
    """The coach's own words in quotes, cut where they are long."""
    one_line = " ".join(text.split())
    return f'"{one_line[:MAX_QUOTED]}…"' if len(one_line) > MAX_QUOTED else f'"{one_line}"'


class Kind(NamedTuple):
    """A kind of value: reads text, and describes itself to a coach and to an editor.

    A value that already has one of ``types`` passes, so that tests and rules may build records
    directly. ``schema`` is what it takes as JSON Schema. A kind ``of_anything`` sees what stands
    there before it is known to be one text. ``form`` shows how it is written, ``bounds`` what it
    may be, in the words in which a slip is told; ``within`` holds a value to them that was
    read by another kind.
    """

    types: tuple[type, ...]
    parse: Callable[[Any], Any]
    noun: str
    example: str
    schema: Mapping[str, Any]
    of_anything: bool = False
    form: str = ""
    bounds: str = ""
    within: Callable[[Any, str], None] | None = None

    def validate(self, value: object) -> Any:
        """The value that a text means.

        Raises:
            Unfit: It means none; the error says what to write.
        """
        if self.of_anything:
            return self.parse(value)
        if str not in self.types and isinstance(value, self.types):
            if self.within is not None:
                self.within(value, str(value))
            return value
        if not isinstance(value, str):
            raise slip(
                "one-value",
                "here {shape} stands where one value belongs",
                f"write {self.noun}, {self.example}",
                shape="a list" if isinstance(value, list) else "a map",
            )
        text = value.strip()
        if not text:
            hint = f"write {self.noun}, {self.example}, or take the line out"
            raise slip("empty", "nothing is written here", hint)
        return self.parse(text)


def _schema(pattern: str, description: str, *examples: str) -> dict[str, Any]:
    return {
        "type": "string",
        "pattern": pattern,
        "description": description,
        "examples": list(examples),
    }


def _or_sixties(
    pattern: str, low: int, high: int, description: str, *examples: str
) -> dict[str, Any]:
    """A text with colons, which YAML 1.1 reads as a number to the base of sixty: 18:30 is 1110."""
    schema = _schema(pattern, description, *examples)
    return schema | {"type": ["string", "integer"], "minimum": low, "maximum": high}


def _wrong(code: str, text: str, noun: str, hint: str) -> Unfit:
    return slip(code, "{wrong} is not {noun}", hint, wrong=quoted(text), noun=noun)


_NUMBER = r"[0-9]{1,6}(?:\.[0-9]{1,4})?"
_COMMA = re.compile(r"[0-9],[0-9]")


def _hint(text: str, hint: str) -> str:
    """Says the likeliest slip first: a decimal comma."""
    return f"use a point for decimals; {hint}" if _COMMA.search(text) else hint


def _with_unit(text: str, unit: str, hint: str) -> str:
    """Gives a bare number its likeliest unit back."""
    if re.fullmatch(_NUMBER, text):
        return f"write the unit too, like {text} {unit}"
    return _hint(text, hint)


# --- duration ---------------------------------------------------------------------------------

_DURATION = re.compile(
    rf"(?:(?P<h>{_NUMBER})\s*h)?\s*(?:(?P<min>{_NUMBER})\s*min)?\s*(?:(?P<s>{_NUMBER})\s*s)?"
)
DURATION_HINT = "write a number with min, h or s, like 45 min or 1 h 10 min"
MAX_DURATION_S = 24 * 3600
_UP_TO_A_DAY = "over 0 and at most 24 h"
_DURATION_FORM = "`45 min`, `1 h`, `1 h 10 min`, `90 s`"


def _duration(text: str, allow_zero: bool) -> Duration:
    found = _DURATION.fullmatch(text)
    if not found or not any(found.groups()):
        raise _wrong("duration-form", text, "a duration", _with_unit(text, "min", DURATION_HINT))
    seconds = round(
        float(found["h"] or 0) * 3600 + float(found["min"] or 0) * 60 + float(found["s"] or 0)
    )
    if seconds > MAX_DURATION_S or seconds < 0 or (seconds == 0 and not allow_zero):
        bounds = _UP_TO_A_DAY.replace("over 0", "at least 0") if allow_zero else _UP_TO_A_DAY
        raise slip(
            "duration-range",
            "{wrong} is out of range",
            f"a duration is {bounds}",
            wrong=quoted(text),
        )
    return Duration(seconds)


def parse_duration(text: str) -> Duration:
    return _duration(text, allow_zero=False)


def parse_duration_or_zero(text: str) -> Duration:
    return _duration(text, allow_zero=True)


def _duration_pattern(low_min: float) -> str:
    """Durations of one unit within bounds, and those of several: under 24 h with minutes."""
    over = low_min <= 0
    hours = number_pattern(0, 24, above_low=True)
    minutes = number_pattern(low_min, 1440, above_low=over)
    seconds = number_pattern(0.5, 86400)
    zero = r"|0+(?:\.0{1,4})?\s*(?:h|min|s)" if low_min < 0 else ""
    below = rf"(?:{whole_pattern(0, 23)}\s*h)?\s*(?:{whole_pattern(0, 59)}\s*min)?"
    several = rf"{below}\s*(?:{whole_pattern(0, 59)}\s*s)?"
    mixed = rf"(?=.*[1-9])(?=.*(?:h|min).*(?:min|s)){several}"
    return rf"^\s*(?:{hours}\s*h|{minutes}\s*min|{seconds}\s*s|{mixed}{zero})\s*$"


_DURATION_EXAMPLES = ("45 min", "1 h 10 min", "90 s")
_DURATION_SCHEMA = _schema(_duration_pattern(0), "a duration", *_DURATION_EXAMPLES)
_DURATION_OR_ZERO_SCHEMA = _schema(_duration_pattern(-1), "a duration", *_DURATION_EXAMPLES)
DURATION = Kind(
    (Duration,),
    parse_duration,
    "a duration",
    "like 45 min",
    _DURATION_SCHEMA,
    form=_DURATION_FORM,
    bounds=_UP_TO_A_DAY,
)
DURATION_OR_ZERO = Kind(
    (Duration,),
    parse_duration_or_zero,
    "a duration",
    "like 45 min",
    _DURATION_OR_ZERO_SCHEMA,
    bounds="`0 min` too",
)


def duration_between(low_min: int, high_min: int) -> Kind:
    """A duration from ``low_min`` to ``high_min`` minutes."""

    def within(found: Duration, text: str) -> None:
        if not low_min <= found.minutes <= high_min:
            hint = f"write {low_min} min to {high_min} min"
            raise slip("duration-range", "{wrong} is out of range", hint, wrong=quoted(text))

    def parse(text: str) -> Duration:
        found = parse_duration(text)
        within(found, text)
        return found

    hours = f"|{number_pattern(low_min / 60, high_min / 60)}\\s*h" if low_min % 6 == 0 else ""
    minutes = number_pattern(low_min, high_min)
    schema = _schema(rf"^\s*(?:{minutes}\s*min{hours})\s*$", "a duration", f"{high_min} min")
    bounds = f"{low_min} min to {high_min} min"
    return Kind(
        (Duration,),
        parse,
        "a duration",
        f"like {high_min} min",
        schema,
        bounds=bounds,
        within=within,
    )


# --- distance ---------------------------------------------------------------------------------

_DISTANCE = re.compile(rf"(?P<n>{_NUMBER})\s*(?P<unit>km|m|mi)")
DISTANCE_HINT = "write a number with km, m or mi, like 5 km, or half marathon, or marathon"
_NAMED_DISTANCE = {"half marathon": METRES_HALF_MARATHON, "marathon": METRES_MARATHON}
_METRES = {"km": 1000.0, "m": 1.0, "mi": METRES_PER_MILE}
MAX_DISTANCE_M = 200_000
_UP_TO_200_KM = "over 0 and at most 200 km"


def parse_distance(text: str) -> Distance:
    named = _NAMED_DISTANCE.get(" ".join(text.lower().split()))
    if named:
        return Distance(named)
    found = _DISTANCE.fullmatch(text)
    if not found:
        raise _wrong("distance-form", text, "a distance", _hint(text, DISTANCE_HINT))
    metres = float(found["n"]) * _METRES[found["unit"]]
    if not 0 < metres <= MAX_DISTANCE_M:
        raise slip(
            "distance-range",
            "{wrong} is out of range",
            f"a distance is {_UP_TO_200_KM}",
            wrong=quoted(text),
        )
    return Distance(metres)


DISTANCE = Kind(
    (Distance,),
    parse_distance,
    "a distance",
    "like 5 km",
    _schema(
        rf"^\s*(?:{number_pattern(0, 200, above_low=True)}\s*km"
        rf"|{number_pattern(0, 200_000, above_low=True)}\s*m"
        rf"|{number_pattern(0, 124.2, above_low=True)}\s*mi"
        r"|[Hh][Aa][Ll][Ff]\s+[Mm][Aa][Rr][Aa][Tt][Hh][Oo][Nn]"
        r"|[Mm][Aa][Rr][Aa][Tt][Hh][Oo][Nn])\s*$",
        "a distance",
        "5 km",
        "800 m",
        "half marathon",
    ),
    form="`5 km`, `800 m`, `3.1 mi`, `half marathon`, `marathon`",
    bounds=_UP_TO_200_KM,
)

# --- race time and pace -----------------------------------------------------------------------

_RACE_TIME = re.compile(r"(?:(?P<h>[0-9]{1,2}):)?(?P<m>[0-9]{1,2}):(?P<s>[0-9]{2})")


def parse_race_time(text: str) -> Duration:
    hint = "write minutes and seconds like 31:20, or hours too, like 1:52:08"
    found = _RACE_TIME.fullmatch(text)
    if not found or int(found["s"]) > 59 or (found["h"] and int(found["m"]) > 59):
        raise _wrong("race-time-form", text, "a race time", hint)
    seconds = int(found["h"] or 0) * 3600 + int(found["m"]) * 60 + int(found["s"])
    if not 0 < seconds <= MAX_DURATION_S:
        raise slip(
            "race-time-range",
            "{wrong} is out of range",
            f"a race time is {_UP_TO_A_DAY}",
            wrong=quoted(text),
        )
    return Duration(seconds)


RACE_TIME = Kind(
    (Duration,),
    parse_race_time,
    "a race time",
    "like 31:20 or 1:52:08",
    _or_sixties(
        r"^\s*(?=.*[1-9])(?:(?:[01]?\d|2[0-3]):[0-5]?\d:[0-5]\d|24:00?:00|\d{1,2}:[0-5]\d)\s*$",
        60,
        MAX_DURATION_S,
        "a race time, m:ss or h:mm:ss",
        "31:20",
    ),
    form="`31:20`, or with hours `1:52:08`",
    bounds=_UP_TO_A_DAY,
)

_PACE = re.compile(r"(?P<m>[0-9]{1,2}):(?P<s>[0-9]{2})\s*/\s*(?P<unit>km|mi)")
PACE_RANGE_S = (150, 1200)
_PACE_BOUNDS = "lies between 2:30 and 20:00 per km"


def parse_pace(text: str) -> Pace:
    hint = "write minutes and seconds per km or mile, like 6:45 /km or 10:50 /mi"
    found = _PACE.fullmatch(text)
    if not found or int(found["s"]) > 59:
        if re.fullmatch(r"[0-9]{1,2}:[0-5][0-9]", text):
            hint = f"write the unit too, {text} /km or {text} /mi"
        raise _wrong("pace-form", text, "a pace", hint)
    seconds = int(found["m"]) * 60 + int(found["s"])
    per_km = seconds * 1000 / _METRES[found["unit"]]
    if not PACE_RANGE_S[0] <= per_km <= PACE_RANGE_S[1]:
        raise slip(
            "pace-range",
            "{wrong} is out of range",
            f"a pace {_PACE_BOUNDS}",
            wrong=quoted(text),
        )
    return Pace(per_km)


PACE = Kind(
    (Pace,),
    parse_pace,
    "a pace",
    "like 6:45 /km",
    _schema(
        r"^\s*(?:(?:0?2:[3-5]\d|(?:0?[3-9]|1\d):[0-5]\d|20:00)\s*/\s*km"
        r"|(?:0?4:(?:0[2-9]|[1-5]\d)|(?:0?[5-9]|[12]\d|3[01]):[0-5]\d|32:(?:0\d|1[01]))\s*/\s*mi)\s*$",
        "a pace",
        "6:45 /km",
        "10:50 /mi",
    ),
    form="`6:45 /km`, `10:50 /mi`",
    bounds=_PACE_BOUNDS,
)

# --- cadence ----------------------------------------------------------------------------------

_CADENCE = re.compile(r"(?P<n>[0-9]{1,4})\s*spm")
CADENCE_RANGE = (100, 240)
_CADENCE_BOUNDS = f"lies between {CADENCE_RANGE[0]} and {CADENCE_RANGE[1]} spm"


def parse_cadence(text: str) -> Cadence:
    found = _CADENCE.fullmatch(text)
    if not found:
        hint = "write steps per minute, both feet, like 164 spm"
        raise _wrong("cadence-form", text, "a cadence", _with_unit(text, "spm", hint))
    spm = int(found["n"])
    low, high = CADENCE_RANGE
    if not low <= spm <= high:
        both = "; if one foot was counted, double it" if spm < low else ""
        raise slip(
            "cadence-range",
            "{wrong} is out of range",
            f"a cadence {_CADENCE_BOUNDS}{both}",
            wrong=quoted(text),
        )
    return Cadence(spm)


_CADENCE_SCHEMA = _schema(
    rf"^\s*0?{whole_pattern(*CADENCE_RANGE)}\s*spm\s*$", "steps per minute, both feet", "158 spm"
)
CADENCE = Kind(
    (Cadence,),
    parse_cadence,
    "a cadence",
    "like 158 spm",
    _CADENCE_SCHEMA,
    form="`158 spm`: steps a minute, both feet",
    bounds=_CADENCE_BOUNDS,
)


def _parse_aim(text: str) -> Cadence | str:
    return "keep" if text.lower() == "keep" else parse_cadence(text)


AIM = Kind(
    (Cadence,),
    _parse_aim,
    "a cadence or keep",
    "like 168 spm",
    _schema(
        rf"^\s*(?:0?{whole_pattern(*CADENCE_RANGE)}\s*spm|[Kk][Ee][Ee][Pp])\s*$",
        "steps per minute, or keep",
        "168 spm",
        "keep",
    ),
)

# --- percent ----------------------------------------------------------------------------------

_PERCENT = re.compile(rf"(?P<n>{_NUMBER})\s*%")


def percent(low: float, high: float, *, above_low: bool = False) -> Kind:
    """A percentage from ``low`` to ``high``; ``above_low`` leaves ``low`` itself out."""

    bounds = f"{'over ' if above_low else ''}{low:g} to {high:g} %"

    def within(found: Percent, text: str) -> None:
        value = found.percent
        if value > high or value < low or (above_low and value == low):
            hint = f"write {bounds}"
            raise slip("percent-range", "{wrong} is out of range", hint, wrong=quoted(text))

    def parse(text: str) -> Percent:
        found = _PERCENT.fullmatch(text)
        if not found:
            hint = _with_unit(text, "%", f"write a number with %, from {low:g} to {high:g} %")
            raise _wrong("percent-form", text, "a percentage", hint)
        value = Percent(float(found["n"]))
        within(value, text)
        return value

    return Kind(
        (Percent,),
        parse,
        "a percentage",
        f"from {low:g} to {high:g} %",
        _schema(
            rf"^\s*{number_pattern(low, high, above_low=above_low)}\s*%\s*$",
            f"{low:g} to {high:g} %",
        ),
        bounds=bounds,
        within=within,
    )


# --- length and mass --------------------------------------------------------------------------

_LENGTH_CM = re.compile(rf"(?P<n>{_NUMBER})\s*(?P<unit>cm|m)")
_LENGTH_FT = re.compile(rf"(?P<ft>[0-9])\s*ft(?:\s*(?P<inch>{_NUMBER})\s*in)?")
LENGTH_RANGE_CM = (100, 230)
_LENGTH_BOUNDS = f"lies between {LENGTH_RANGE_CM[0]} and {LENGTH_RANGE_CM[1]} cm"


def parse_length(text: str) -> Length:
    hint = "write centimetres or feet and inches, like 171 cm or 5 ft 7 in"
    metric, imperial = _LENGTH_CM.fullmatch(text), _LENGTH_FT.fullmatch(text)
    if metric:
        cm = float(metric["n"]) * (100 if metric["unit"] == "m" else 1)
    elif imperial:
        cm = (int(imperial["ft"]) * 12 + float(imperial["inch"] or 0)) * CM_PER_INCH
    else:
        raise _wrong("length-form", text, "a height", _hint(text, hint))
    low, high = LENGTH_RANGE_CM
    if not low <= cm <= high:
        raise slip(
            "length-range",
            "{wrong} is out of range",
            f"a height {_LENGTH_BOUNDS}",
            wrong=quoted(text),
        )
    return Length(round(cm, 1))


LENGTH = Kind(
    (Length,),
    parse_length,
    "a height",
    "like 171 cm",
    _schema(
        rf"^\s*(?:{number_pattern(*LENGTH_RANGE_CM)}\s*cm"
        rf"|(?:1(?:\.\d{{1,4}})?|2(?:\.(?:[0-2]\d{{0,3}}|30{{0,3}}))?)\s*m"
        rf"|3\s*ft\s*{number_pattern(3.4, 90.5)}\s*in"
        rf"|[4-6]\s*ft(?:\s*{number_pattern(0, 18.5)}\s*in)?"
        rf"|7\s*ft(?:\s*{number_pattern(0, 6.5)}\s*in)?)\s*$",
        "a height",
        "171 cm",
    ),
    form="`171 cm`, `5 ft 7 in`",
    bounds=_LENGTH_BOUNDS,
)

_MASS = re.compile(rf"(?P<n>{_NUMBER})\s*(?P<unit>mg|g)")


def mass(low_mg: float, high_mg: float, example: str) -> Kind:
    """A mass from ``low_mg`` to ``high_mg`` milligrams."""

    def shown(mg: float) -> str:
        return f"{mg / 1000:g} g" if mg >= 1000 and high_mg > 1000 else f"{mg:g} mg"

    bounds = f"{shown(low_mg)} to {shown(high_mg)}"

    def parse(text: str) -> Mass:
        found = _MASS.fullmatch(text)
        if not found:
            hint = _hint(text, f"write grams or milligrams, like {example}")
            raise _wrong("mass-form", text, "a mass", hint)
        mg = float(found["n"]) * (1000 if found["unit"] == "g" else 1)
        if not low_mg <= mg <= high_mg:
            raise slip(
                "mass-range",
                "{wrong} is out of range",
                f"write {bounds}",
                wrong=quoted(text),
            )
        return Mass(mg)

    return Kind(
        (Mass,),
        parse,
        "a mass",
        f"like {example}",
        _schema(
            rf"^\s*(?:{number_pattern(low_mg, high_mg)}\s*mg"
            rf"|{number_pattern(low_mg / 1000, high_mg / 1000)}\s*g)\s*$",
            "a mass",
            example,
        ),
        bounds=bounds,
    )


# --- date, clock, whole numbers, yes and no ---------------------------------------------------

_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
YEARS = (1900, 2199)  # wide enough for a life; leaves room to count weeks on either side
_YEAR_BOUNDS = f"a year lies between {YEARS[0]} and {YEARS[1]}"


# A day of the calendar from 1900 to 2199: months of 31 and 30 days, and February in leap years.
_LEAP = r"(?:(?:19|20|21)(?:0[48]|[2468][048]|[13579][26])|2000)"
_DAY_PATTERN = (
    r"(?:(?:19|20|21)\d\d-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])"
    r"|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|02-(?:0[1-9]|1\d|2[0-8]))"
    rf"|{_LEAP}-02-29)"
)


def parse_date(text: str) -> date:
    hint = "write year-month-day, like 2027-01-18"
    if not _DATE.fullmatch(text):
        raise _wrong("date-form", text, "a date", hint)
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise slip(
            "date-range", "{wrong} is not a day of the calendar", hint, wrong=quoted(text)
        ) from None
    if not YEARS[0] <= day.year <= YEARS[1]:
        raise slip(
            "date-range",
            "{wrong} is out of range",
            _YEAR_BOUNDS,
            wrong=quoted(text),
        )
    return day


DATE = Kind(
    (date,),
    parse_date,
    "a date",
    "like 2027-01-18",
    _schema(rf"^\s*{_DAY_PATTERN}\s*$", "a date", "2027-01-18"),
    form="`2027-01-18`: year, month, day",
    bounds=_YEAR_BOUNDS,
)

_YEAR = re.compile(r"[0-9]{4}")


def _parse_born(text: str) -> date | int:
    if _YEAR.fullmatch(text) and 1900 <= int(text) <= 2100:
        return int(text)
    if not _DATE.fullmatch(text):
        raise _wrong("born-form", text, "a year or a date", "write 1984 or 1984-05-20")
    return parse_date(text)


BORN = Kind(
    (date,),
    _parse_born,
    "a year or a date",
    "like 1984",
    {
        "type": ["integer", "string"],
        "minimum": 1900,
        "maximum": 2100,
        "pattern": rf"^\s*(?:19\d\d|20\d\d|2100|{_DAY_PATTERN})\s*$",
        "description": "year or date of birth",
        "examples": [1984, "1984-05-20"],
    },
    form="`1984`, `1984-05-20`",
    bounds=_YEAR_BOUNDS,
)

_CLOCK = re.compile(r"(?P<h>[0-9]{1,2}):(?P<m>[0-9]{2})")


def parse_clock(text: str) -> time:
    hint = "write a time of day on the 24-hour clock, like 18:30"
    found = _CLOCK.fullmatch(text)
    if not found or int(found["h"]) > 23 or int(found["m"]) > 59:
        raise _wrong("clock-form", text, "a time of day", hint)
    return time(int(found["h"]), int(found["m"]))


CLOCK = Kind(
    (time,),
    parse_clock,
    "a time of day",
    "like 18:30",
    _or_sixties(
        r"^\s*(?:[01]?\d|2[0-3]):[0-5]\d\s*$",
        60,
        24 * 60 - 1,
        "time of day, 24-hour clock",
        "18:30",
    ),
    form="`18:30`, on the 24-hour clock",
)

_WHOLE = re.compile(r"[0-9]{1,6}")


def whole(low: int, high: int, noun: str = "a whole number") -> Kind:
    """A whole number from ``low`` to ``high``."""

    hint = f"write {noun} from {low} to {high}"

    def within(found: int, text: str) -> None:
        if not low <= found <= high:
            raise slip("whole-range", "{wrong} is out of range", hint, wrong=quoted(text))

    def parse(text: str) -> int:
        if not _WHOLE.fullmatch(text):
            raise _wrong("whole-form", text, "a whole number", hint)
        found = int(text)
        within(found, text)
        return found

    return Kind(
        (int,),
        parse,
        noun,
        f"from {low} to {high}",
        {
            "type": ["integer", "string"],
            "minimum": low,
            "maximum": high,
            "pattern": rf"^\s*0*{whole_pattern(low, high)}\s*$",
            "description": f"{noun} from {low} to {high}",
        },
        within=within,
    )


SCORE = whole(0, 10, "a whole score")

_YES_NO = {"yes": True, "true": True, "no": False, "false": False}


def parse_yes_no(text: str) -> bool:
    try:
        return _YES_NO[text.lower()]
    except KeyError:
        raise _wrong("yes-no-form", text, "yes or no", "write yes or no") from None


YES_NO = Kind(
    (bool,),
    parse_yes_no,
    "yes or no",
    "nothing else",
    {"enum": ["yes", "no", True, False]},
    form="`yes`, `no`, `true`, `false`",
)

# --- what a coach lifts, and loudness ---------------------------------------------------------

_LIFT = re.compile(r"(?P<sign>[a-z]+(?:_[a-z]+)*)\s+(?P<on>\S+)")


def parse_lift(text: str) -> Lift:
    hint = "write the sign and the day on which it was told, like bone_point_pain 2027-01-05"
    found = _LIFT.fullmatch(text)
    if not found:
        raise _wrong("lift-form", text, "a sign and a date", hint)
    return Lift(found["sign"], parse_date(found["on"]))


LIFT = Kind(
    (Lift,),
    parse_lift,
    "a sign and a date",
    "like bone_point_pain 2027-01-05",
    _schema(
        rf"^\s*[a-z]+(_[a-z]+)*\s+{_DAY_PATTERN}\s*$",
        "a sign and the day on which it was told",
        "bone_point_pain 2027-01-05",
    ),
    form="`bone_point_pain 2027-01-05`: the day is the one on which it was told",
)

_DECIBEL = re.compile(r"(?P<n>[-+]?[0-9]{1,3}(?:\.[0-9]{1,2})?)(?:\s*dB)?")
DECIBEL_RANGE = (-60, 100)


def parse_decibel(text: str) -> float:
    hint = "write a number, like -3.5"
    found = _DECIBEL.fullmatch(text)
    if not found:
        raise _wrong("decibel-form", text, "a number of decibels", _hint(text, hint))
    low, high = DECIBEL_RANGE
    if not low <= float(found["n"]) <= high:
        hint = f"decibels lie between {low} and {high}"
        raise slip("decibel-range", "{wrong} is out of range", hint, wrong=quoted(text))
    return float(found["n"])


DECIBEL = Kind(
    (float,),
    parse_decibel,
    "a number of decibels",
    "like -3.5",
    {
        "type": ["number", "string"],
        "minimum": DECIBEL_RANGE[0],
        "maximum": DECIBEL_RANGE[1],
        "pattern": (
            rf"^\s*(?:[-+]?{number_pattern(0, -DECIBEL_RANGE[0])}"
            rf"|\+?{number_pattern(0, DECIBEL_RANGE[1])})(?:\s*dB)?\s*$"
        ),
        "examples": [-3.5],
    },
    form="`-3.5`, `-3.5 dB`",
    bounds=f"from {DECIBEL_RANGE[0]} to {DECIBEL_RANGE[1]}",
)

# --- text -------------------------------------------------------------------------------------

MAX_TEXT = 200
MAX_PROSE = 20_000


def parse_text(text: str) -> str:
    if "\n" in text:
        raise slip("text-lines", "this text runs over several lines", "write it on one line")
    if len(text) > MAX_TEXT:
        raise slip(
            "text-length",
            "this text has {count} characters",
            f"write at most {MAX_TEXT}",
            count=len(text),
        )
    return text


def _parse_prose(text: str) -> str:
    if len(text) > MAX_PROSE:
        raise slip(
            "text-length",
            "this text has {count} characters",
            f"write at most {MAX_PROSE}",
            count=len(text),
        )
    return text


_TEXT_SCHEMA = {
    "type": ["string", "number"],
    "minLength": 1,
    "maxLength": MAX_TEXT,
    "pattern": r"^[^\n]*\S[^\n]*\n?$",
}
TEXT = Kind((str,), parse_text, "a text", "on one line", _TEXT_SCHEMA)
PROSE = Kind(
    (str,),
    _parse_prose,
    "a text",
    "Markdown if you like",
    {"type": ["string", "number"], "minLength": 1, "maxLength": MAX_PROSE, "pattern": r"\S"},
)

_ID = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")


def is_id(text: str) -> bool:
    """True for small letters, digits and hyphens, at most 40."""
    return _ID.fullmatch(text) is not None


def _id_of(noun: str, example: str) -> Kind:
    def parse(text: str) -> str:
        if not is_id(text):
            hint = f"write small letters, digits and hyphens, like {example}"
            raise _wrong("id-form", text, noun, hint)
        return text

    schema = _schema(r"^[a-z0-9][a-z0-9-]{0,39}$", noun, example)
    schema["type"] = ["string", "integer"]
    return Kind((str,), parse, "an id", f"like {example}", schema)


DRILL_ID = _id_of("a drill's id", "quiet-landing")
TEXT_ID = _id_of("a text's id", "shoes")
SESSION_ID = _id_of("a session's name", "hills-short")
RETURN_ID = _id_of("a return's name", "long-absence")

_PICTURE_NAME = re.compile(r"[^/\\:\0]{1,100}\.(?:png|jpe?g|webp)", re.IGNORECASE)
PICTURE_HINT = "write the name of a PNG, JPEG or WebP file beside practice.yaml, like logo.png"


def _parse_picture_name(text: str) -> str:
    if "/" in text or "\\" in text or text.startswith("."):
        raise slip(
            "logo-form",
            "{wrong} is not the name of a file beside practice.yaml",
            "put the file beside practice.yaml, and write its name alone, like logo.png",
            wrong=quoted(text),
        )
    if text.lower().endswith((".svg", ".svgz")):
        raise slip(
            "logo-svg",
            "{wrong} is an SVG",
            "save it as PNG, because an SVG can carry a program",
            wrong=quoted(text),
        )
    if not _PICTURE_NAME.fullmatch(text):
        raise _wrong("logo-form", text, "the name of a picture", PICTURE_HINT)
    return text


PICTURE_NAME = Kind(
    (str,),
    _parse_picture_name,
    "the name of a picture",
    "like logo.png",
    _schema(
        r"^[^/\\:]+\.([pP][nN][gG]|[jJ][pP][eE]?[gG]|[wW][eE][bB][pP])$",
        "a PNG, JPEG or WebP file beside practice.yaml",
        "logo.png",
    ),
)


def choice(*words: str) -> Kind:
    """One of a few words; a slip is told the nearest one."""

    def parse(text: str) -> str:
        if text in words:
            return text
        if text.lower() in words:
            return text.lower()
        raise slip(
            "choice",
            "{wrong} is not one of the words that can stand here",
            f"{nearest(text, words)}write {one_of(words)}",
            wrong=quoted(text),
        )

    return Kind((str,), parse, "one word", one_of(words), {"type": "string", "enum": list(words)})


def one_of(words: tuple[str, ...]) -> str:
    """``a, b or c``."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"


def nearest(text: str, words: tuple[str, ...] | list[str] | set[str]) -> str:
    """``did you mean X? `` or nothing."""
    import difflib

    found = difflib.get_close_matches(text.lower(), sorted(words), n=1, cutoff=0.6)
    return f"did you mean {found[0]}? " if found else ""


# --- where a practice is ----------------------------------------------------------------------


def _parse_timezone(text: str) -> str:
    try:
        zoneinfo.ZoneInfo(text)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError):
        names = zoneinfo.available_timezones()
        low = {n.lower(): n for n in names} | {n.lower().rsplit("/", 1)[-1]: n for n in names}
        import difflib

        found = difflib.get_close_matches(text.lower(), sorted(low), n=1, cutoff=0.6)
        mean = f"did you mean {low[found[0]]}? " if found else ""
        raise _wrong(
            "timezone", text, "a time zone", f"{mean}write an IANA name, like Europe/Lisbon"
        ) from None
    return text


TIMEZONE = Kind(
    (str,),
    _parse_timezone,
    "a time zone",
    "like Europe/Lisbon",
    _schema(r"^[A-Za-z0-9_+\-/]+$", "an IANA time zone", "Europe/Lisbon"),
    form="its IANA name, like `Europe/Lisbon`",
)

_LANGUAGE = re.compile(r"[A-Za-z]{2,3}(?:-[A-Za-z0-9]{2,8})*")


def _parse_language(text: str) -> str:
    if not _LANGUAGE.fullmatch(text):
        raise _wrong("language", text, "a language tag", "write one like en, es or pt-BR")
    return text


LANGUAGE = Kind(
    (str,),
    _parse_language,
    "a language tag",
    "like en",
    _schema(r"^[A-Za-z]{2,3}(-[A-Za-z0-9]{2,8})*$", "a language, BCP 47", "en", "es"),
    form="`en`, `es`, `pt-BR` (BCP 47)",
)

_EMAIL = re.compile(r"""[^@\s<>"']+@[^@\s<>"']+\.[^@\s<>"'.]+""")
_PHONE = re.compile(r"\+?[0-9][0-9 ()./-]{4,24}")


def _parse_contact(text: str) -> str:
    if not (_EMAIL.fullmatch(text) or _PHONE.fullmatch(text)):
        raise _wrong(
            "contact",
            text,
            "an e-mail address or a phone number",
            "write one like coach@example.org or +351 210 000 000",
        )
    return text


CONTACT = Kind(
    (str,),
    _parse_contact,
    "an e-mail address or a phone number",
    "where clients reach you",
    {
        "type": ["string", "integer"],
        "minimum": 10_000,
        "pattern": rf"^\s*(?:{_EMAIL.pattern}|{_PHONE.pattern})\s*$",
        "examples": ["coach@example.org", "+351 210 000 000"],
    },
    form="`coach@example.org`, `+351 210 000 000`",
)

_HTTPS = re.compile(r"https://[A-Za-z0-9.-]+(?::[0-9]{1,5})?(?:/[A-Za-z0-9._~%/-]*)?")


def _parse_address(text: str) -> str:
    if not _HTTPS.fullmatch(text):
        raise _wrong(
            "address", text, "an https address", "write one like https://plans.example.org/"
        )
    return text if text.endswith("/") else text + "/"


ADDRESS = Kind(
    (str,),
    _parse_address,
    "an https address",
    "like https://plans.example.org/",
    _schema(rf"^\s*{_HTTPS.pattern}\s*$", "where public/ is served", "https://plans.example.org/"),
    form="`https://plans.example.org/`",
)
