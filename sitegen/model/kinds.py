"""Kinds of value: how each is written in a coach's file, its bounds, and the mend for a slip.

Every scalar of a file arrives here as text, never as a YAML number or boolean, so that
``18:30`` and ``6:45 /km`` mean what was written. Each kind is a pydantic annotation: it turns
text into a value of `values.py`, or raises a `PydanticCustomError` whose type is the problem's
code and whose context holds ``hint``, what to write instead.
"""

from __future__ import annotations

import re
import zoneinfo
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, time
from typing import Annotated, Any

from pydantic_core import PydanticCustomError, core_schema

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


def slip(code: str, message: str, hint: str, **values: object) -> PydanticCustomError:
    """An error that carries its mend. ``message`` may name ``values`` in braces."""
    return PydanticCustomError(code, message, {"hint": hint, **values})


def quoted(text: str) -> str:
    """The coach's own words in quotes, cut where they are long."""
    one_line = " ".join(text.split())
    return f'"{one_line[:MAX_QUOTED]}…"' if len(one_line) > MAX_QUOTED else f'"{one_line}"'


@dataclass(frozen=True, eq=False)
class Kind:
    """Metadata for ``Annotated[type, kind]``: reads text, and describes itself to an editor.

    A value that already has the type passes, so that tests and rules may build models directly.
    """

    types: tuple[type, ...]
    parse: Callable[[str], Any]
    noun: str
    example: str
    schema: Mapping[str, Any]

    def validate(self, value: object) -> object:
        if str not in self.types and isinstance(value, self.types):
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

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(self.validate)

    def __get_pydantic_json_schema__(self, schema: Any, handler: Any) -> dict[str, Any]:
        return dict(self.schema)


def _schema(pattern: str, description: str, *examples: str) -> dict[str, Any]:
    return {
        "type": "string",
        "pattern": pattern,
        "description": description,
        "examples": list(examples),
    }


def _wrong(code: str, text: str, noun: str, hint: str) -> PydanticCustomError:
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


def _duration(text: str, allow_zero: bool) -> Duration:
    found = _DURATION.fullmatch(text)
    if not found or not any(found.groups()):
        raise _wrong("duration-form", text, "a duration", _with_unit(text, "min", DURATION_HINT))
    seconds = round(
        float(found["h"] or 0) * 3600 + float(found["min"] or 0) * 60 + float(found["s"] or 0)
    )
    if seconds > MAX_DURATION_S or seconds < 0 or (seconds == 0 and not allow_zero):
        low = "at least 0" if allow_zero else "over 0"
        raise slip(
            "duration-range",
            "{wrong} is out of range",
            f"a duration is {low} and at most 24 h",
            wrong=quoted(text),
        )
    return Duration(seconds)


def parse_duration(text: str) -> Duration:
    return _duration(text, allow_zero=False)


def parse_duration_or_zero(text: str) -> Duration:
    return _duration(text, allow_zero=True)


_DURATION_SCHEMA = _schema(
    r"^\s*(\d+(\.\d+)?\s*h)?\s*(\d+(\.\d+)?\s*min)?\s*(\d+(\.\d+)?\s*s)?\s*$",
    "a duration",
    "45 min",
    "1 h 10 min",
    "90 s",
)
DurationText = Annotated[
    Duration, Kind((Duration,), parse_duration, "a duration", "like 45 min", _DURATION_SCHEMA)
]
DurationOrZeroText = Annotated[
    Duration,
    Kind((Duration,), parse_duration_or_zero, "a duration", "like 45 min", _DURATION_SCHEMA),
]


def duration_between(low_min: int, high_min: int) -> Kind:
    """A duration from ``low_min`` to ``high_min`` minutes."""

    def parse(text: str) -> Duration:
        found = parse_duration(text)
        if not low_min <= found.minutes <= high_min:
            hint = f"write {low_min} min to {high_min} min"
            raise slip("duration-range", "{wrong} is out of range", hint, wrong=quoted(text))
        return found

    return Kind((Duration,), parse, "a duration", f"like {high_min} min", _DURATION_SCHEMA)


# --- distance ---------------------------------------------------------------------------------

_DISTANCE = re.compile(rf"(?P<n>{_NUMBER})\s*(?P<unit>km|m|mi)")
DISTANCE_HINT = "write a number with km, m or mi, like 5 km, or half marathon, or marathon"
_NAMED_DISTANCE = {"half marathon": METRES_HALF_MARATHON, "marathon": METRES_MARATHON}
_METRES = {"km": 1000.0, "m": 1.0, "mi": METRES_PER_MILE}
MAX_DISTANCE_M = 200_000


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
            "a distance is over 0 and at most 200 km",
            wrong=quoted(text),
        )
    return Distance(metres)


DistanceText = Annotated[
    Distance,
    Kind(
        (Distance,),
        parse_distance,
        "a distance",
        "like 5 km",
        _schema(
            r"^\s*(\d+(\.\d+)?\s*(km|m|mi)|half marathon|marathon)\s*$",
            "a distance",
            "5 km",
            "800 m",
            "half marathon",
        ),
    ),
]

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
            "a race time is over 0 and at most 24 h",
            wrong=quoted(text),
        )
    return Duration(seconds)


RaceTimeText = Annotated[
    Duration,
    Kind(
        (Duration,),
        parse_race_time,
        "a race time",
        "like 31:20 or 1:52:08",
        _schema(r"^\s*(\d{1,2}:)?\d{1,2}:\d{2}\s*$", "a race time, m:ss or h:mm:ss", "31:20"),
    ),
]

_PACE = re.compile(r"(?P<m>[0-9]{1,2}):(?P<s>[0-9]{2})\s*/\s*(?P<unit>km|mi)")
PACE_RANGE_S = (150, 1200)


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
            "a pace lies between 2:30 and 20:00 per km",
            wrong=quoted(text),
        )
    return Pace(per_km)


PaceText = Annotated[
    Pace,
    Kind(
        (Pace,),
        parse_pace,
        "a pace",
        "like 6:45 /km",
        _schema(r"^\s*\d{1,2}:\d{2}\s*/\s*(km|mi)\s*$", "a pace", "6:45 /km", "10:50 /mi"),
    ),
]

# --- cadence ----------------------------------------------------------------------------------

_CADENCE = re.compile(r"(?P<n>[0-9]{1,4})\s*spm")
CADENCE_RANGE = (100, 240)


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
            f"a cadence lies between {low} and {high} spm{both}",
            wrong=quoted(text),
        )
    return Cadence(spm)


_CADENCE_SCHEMA = _schema(r"^\s*\d{3}\s*spm\s*$", "steps per minute, both feet", "158 spm")
CadenceText = Annotated[
    Cadence, Kind((Cadence,), parse_cadence, "a cadence", "like 158 spm", _CADENCE_SCHEMA)
]


def _parse_aim(text: str) -> Cadence | str:
    return "keep" if text.lower() == "keep" else parse_cadence(text)


AimText = Annotated[
    Cadence | str,
    Kind(
        (Cadence,),
        _parse_aim,
        "a cadence or keep",
        "like 168 spm",
        _schema(r"^\s*(\d{3}\s*spm|keep)\s*$", "steps per minute, or keep", "168 spm", "keep"),
    ),
]

# --- percent ----------------------------------------------------------------------------------

_PERCENT = re.compile(rf"(?P<n>{_NUMBER})\s*%")


def percent(low: float, high: float, *, above_low: bool = False) -> Kind:
    """A percentage from ``low`` to ``high``; ``above_low`` leaves ``low`` itself out."""

    def parse(text: str) -> Percent:
        found = _PERCENT.fullmatch(text)
        if not found:
            hint = _with_unit(text, "%", f"write a number with %, from {low:g} to {high:g} %")
            raise _wrong("percent-form", text, "a percentage", hint)
        value = float(found["n"])
        if value > high or value < low or (above_low and value == low):
            start = "over " if above_low else ""
            raise slip(
                "percent-range",
                "{wrong} is out of range",
                f"write {start}{low:g} to {high:g} %",
                wrong=quoted(text),
            )
        return Percent(value)

    return Kind(
        (Percent,),
        parse,
        "a percentage",
        f"from {low:g} to {high:g} %",
        _schema(r"^\s*\d+(\.\d+)?\s*%\s*$", f"{low:g} to {high:g} %"),
    )


# --- length and mass --------------------------------------------------------------------------

_LENGTH_CM = re.compile(rf"(?P<n>{_NUMBER})\s*(?P<unit>cm|m)")
_LENGTH_FT = re.compile(rf"(?P<ft>[0-9])\s*ft(?:\s*(?P<inch>{_NUMBER})\s*in)?")
LENGTH_RANGE_CM = (100, 230)


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
            f"a height lies between {low} and {high} cm",
            wrong=quoted(text),
        )
    return Length(round(cm, 1))


LengthText = Annotated[
    Length,
    Kind(
        (Length,),
        parse_length,
        "a height",
        "like 171 cm",
        _schema(
            r"^\s*(\d+(\.\d+)?\s*(cm|m)|\d\s*ft(\s*\d+(\.\d+)?\s*in)?)\s*$", "a height", "171 cm"
        ),
    ),
]

_MASS = re.compile(rf"(?P<n>{_NUMBER})\s*(?P<unit>mg|g)")


def mass(low_mg: float, high_mg: float, example: str) -> Kind:
    """A mass from ``low_mg`` to ``high_mg`` milligrams."""

    def shown(mg: float) -> str:
        return f"{mg / 1000:g} g" if mg >= 1000 and high_mg > 1000 else f"{mg:g} mg"

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
                f"write {shown(low_mg)} to {shown(high_mg)}",
                wrong=quoted(text),
            )
        return Mass(mg)

    return Kind(
        (Mass,),
        parse,
        "a mass",
        f"like {example}",
        _schema(r"^\s*\d+(\.\d+)?\s*(mg|g)\s*$", "a mass", example),
    )


# --- date, clock, whole numbers, yes and no ---------------------------------------------------

_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
YEARS = (1900, 2199)  # wide enough for a life; leaves room to count weeks on either side


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
            f"a year lies between {YEARS[0]} and {YEARS[1]}",
            wrong=quoted(text),
        )
    return day


DateText = Annotated[
    date,
    Kind(
        (date,),
        parse_date,
        "a date",
        "like 2027-01-18",
        {"type": "string", "format": "date", "examples": ["2027-01-18"]},
    ),
]

_YEAR = re.compile(r"[0-9]{4}")


def _parse_born(text: str) -> date | int:
    if _YEAR.fullmatch(text) and 1900 <= int(text) <= 2100:
        return int(text)
    if not _DATE.fullmatch(text):
        raise _wrong("born-form", text, "a year or a date", "write 1984 or 1984-05-20")
    return parse_date(text)


BornText = Annotated[
    date | int,
    Kind(
        (date,),
        _parse_born,
        "a year or a date",
        "like 1984",
        {
            "type": ["integer", "string"],
            "pattern": r"^\d{4}(-\d{2}-\d{2})?$",
            "description": "year or date of birth",
            "examples": [1984, "1984-05-20"],
        },
    ),
]

_CLOCK = re.compile(r"(?P<h>[0-9]{1,2}):(?P<m>[0-9]{2})")


def parse_clock(text: str) -> time:
    hint = "write a time of day on the 24-hour clock, like 18:30"
    found = _CLOCK.fullmatch(text)
    if not found or int(found["h"]) > 23 or int(found["m"]) > 59:
        raise _wrong("clock-form", text, "a time of day", hint)
    return time(int(found["h"]), int(found["m"]))


ClockText = Annotated[
    time,
    Kind(
        (time,),
        parse_clock,
        "a time of day",
        "like 18:30",
        _schema(r"^\d{1,2}:\d{2}$", "time of day, 24-hour clock", "18:30"),
    ),
]

_WHOLE = re.compile(r"[0-9]{1,6}")


def whole(low: int, high: int, noun: str = "a whole number") -> Kind:
    """A whole number from ``low`` to ``high``."""

    def parse(text: str) -> int:
        hint = f"write {noun} from {low} to {high}"
        if not _WHOLE.fullmatch(text):
            raise _wrong("whole-form", text, "a whole number", hint)
        if not low <= int(text) <= high:
            raise slip("whole-range", "{wrong} is out of range", hint, wrong=quoted(text))
        return int(text)

    return Kind(
        (int,),
        parse,
        noun,
        f"from {low} to {high}",
        {
            "type": ["integer", "string"],
            "minimum": low,
            "maximum": high,
            "pattern": r"^\d+$",
            "description": f"{noun} from {low} to {high}",
        },
    )


Score = Annotated[int, whole(0, 10, "a whole score")]

_YES_NO = {"yes": True, "true": True, "no": False, "false": False}


def parse_yes_no(text: str) -> bool:
    try:
        return _YES_NO[text.lower()]
    except KeyError:
        raise _wrong("yes-no-form", text, "yes or no", "write yes or no") from None


YesNo = Annotated[
    bool,
    Kind(
        (bool,),
        parse_yes_no,
        "yes or no",
        "nothing else",
        {"enum": ["yes", "no", True, False]},
    ),
]

# --- what a coach lifts, and loudness ---------------------------------------------------------

_LIFT = re.compile(r"(?P<sign>[a-z]+(?:_[a-z]+)*)\s+(?P<on>\S+)")


def parse_lift(text: str) -> Lift:
    hint = "write the sign and the day on which it was told, like bone_point_pain 2027-01-05"
    found = _LIFT.fullmatch(text)
    if not found:
        raise _wrong("lift-form", text, "a sign and a date", hint)
    return Lift(found["sign"], parse_date(found["on"]))


LiftText = Annotated[
    Lift,
    Kind(
        (Lift,),
        parse_lift,
        "a sign and a date",
        "like bone_point_pain 2027-01-05",
        _schema(
            r"^\s*[a-z]+(_[a-z]+)*\s+\d{4}-\d{2}-\d{2}\s*$",
            "a sign and the day on which it was told",
            "bone_point_pain 2027-01-05",
        ),
    ),
]

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


DecibelText = Annotated[
    float,
    Kind(
        (float,),
        parse_decibel,
        "a number of decibels",
        "like -3.5",
        {
            "type": ["number", "string"],
            "minimum": DECIBEL_RANGE[0],
            "maximum": DECIBEL_RANGE[1],
            "pattern": r"^[-+]?\d{1,3}(\.\d{1,2})?(\s*dB)?$",
            "examples": [-3.5],
        },
    ),
]

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


_TEXT_SCHEMA = {"type": ["string", "number"], "minLength": 1, "maxLength": MAX_TEXT}
Text = Annotated[str, Kind((str,), parse_text, "a text", "on one line", _TEXT_SCHEMA)]
Prose = Annotated[
    str,
    Kind(
        (str,),
        _parse_prose,
        "a text",
        "Markdown if you like",
        {"type": "string", "minLength": 1, "maxLength": MAX_PROSE},
    ),
]

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
    return Kind((str,), parse, "an id", f"like {example}", schema)


IdText = Annotated[str, _id_of("a drill's id", "quiet-landing")]
TextIdText = Annotated[str, _id_of("a text's id", "shoes")]
SessionText = Annotated[str, _id_of("a session's name", "hills-short")]
ReturnText = Annotated[str, _id_of("a return's name", "long-absence")]

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


PictureNameText = Annotated[
    str,
    Kind(
        (str,),
        _parse_picture_name,
        "the name of a picture",
        "like logo.png",
        _schema(
            r"^[^/\\:]+\.([pP][nN][gG]|[jJ][pP][eE]?[gG]|[wW][eE][bB][pP])$",
            "a PNG, JPEG or WebP file beside practice.yaml",
            "logo.png",
        ),
    ),
]


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


TimezoneText = Annotated[
    str,
    Kind(
        (str,),
        _parse_timezone,
        "a time zone",
        "like Europe/Lisbon",
        _schema(r"^[A-Za-z0-9_+\-/]+$", "an IANA time zone", "Europe/Lisbon"),
    ),
]

_LANGUAGE = re.compile(r"[A-Za-z]{2,3}(?:-[A-Za-z0-9]{2,8})*")


def _parse_language(text: str) -> str:
    if not _LANGUAGE.fullmatch(text):
        raise _wrong("language", text, "a language tag", "write one like en, es or pt-BR")
    return text


LanguageText = Annotated[
    str,
    Kind(
        (str,),
        _parse_language,
        "a language tag",
        "like en",
        _schema(r"^[A-Za-z]{2,3}(-[A-Za-z0-9]{2,8})*$", "a language, BCP 47", "en", "es"),
    ),
]

_EMAIL = re.compile(r"[^@\s<>\"']+@[^@\s<>\"']+\.[^@\s<>\"'.]+")
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


ContactText = Annotated[
    str,
    Kind(
        (str,),
        _parse_contact,
        "an e-mail address or a phone number",
        "where clients reach you",
        {"type": "string", "examples": ["coach@example.org", "+351 210 000 000"]},
    ),
]

_HTTPS = re.compile(r"https://[A-Za-z0-9.-]+(?::[0-9]{1,5})?(?:/[A-Za-z0-9._~%/-]*)?")


def _parse_address(text: str) -> str:
    if not _HTTPS.fullmatch(text):
        raise _wrong(
            "address", text, "an https address", "write one like https://plans.example.org/"
        )
    return text if text.endswith("/") else text + "/"


AddressText = Annotated[
    str,
    Kind(
        (str,),
        _parse_address,
        "an https address",
        "like https://plans.example.org/",
        _schema(r"^https://", "where public/ is served", "https://plans.example.org/"),
    ),
]
