"""Kinds of days and times of day."""

from __future__ import annotations

import re
from datetime import date, time
from functools import lru_cache

from sitegen.model.kinds.kind import (
    MOST_TEXTS,
    Kind,
    out_of_range,
    quoted,
    schema_of,
    schema_or_sixties,
    slip,
    wrong,
)
from sitegen.model.values import Lift

_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
YEARS = (1900, 2199)  # wide enough for a life; leaves room to count weeks on either side
_YEAR_BOUNDS = f"a year lies between {YEARS[0]} and {YEARS[1]}"

# A day of the calendar from 1900 to 2199: months of 31 and 30 days, and February in leap years.
_LEAP = r"(?:(?:19|20|21)(?:0[48]|[2468][048]|[13579][26])|2000)"

DAY_PATTERN = (
    r"(?:(?:19|20|21)\d\d-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12]\d|3[01])"
    r"|(?:0[469]|11)-(?:0[1-9]|[12]\d|30)|02-(?:0[1-9]|1\d|2[0-8]))"
    rf"|{_LEAP}-02-29)"
)


@lru_cache(maxsize=MOST_TEXTS)  # clients run on the same days
def parse_date(text: str) -> date:
    hint = "write year-month-day, like 2027-01-18"
    if not _DATE.fullmatch(text):
        raise wrong("date-form", text, "a date", hint)
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise slip(
            "date-range", "{wrong} is not a day of the calendar", hint, wrong=quoted(text)
        ) from None
    if not YEARS[0] <= day.year <= YEARS[1]:
        raise out_of_range("date-range", text, _YEAR_BOUNDS)
    return day


DATE = Kind(
    (date,),
    parse_date,
    "a date",
    "like 2027-01-18",
    schema_of(rf"^\s*{DAY_PATTERN}\s*$", "a date", "2027-01-18"),
    form="`2027-01-18`: year, month, day",
    bounds=_YEAR_BOUNDS,
)
_YEAR = re.compile(r"[0-9]{4}")


def _parse_born(text: str) -> date | int:
    if _YEAR.fullmatch(text) and 1900 <= int(text) <= 2100:
        return int(text)
    if not _DATE.fullmatch(text):
        raise wrong("born-form", text, "a year or a date", "write 1984 or 1984-05-20")
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
        "pattern": rf"^\s*(?:19\d\d|20\d\d|2100|{DAY_PATTERN})\s*$",
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
        raise wrong("clock-form", text, "a time of day", hint)
    return time(int(found["h"]), int(found["m"]))


CLOCK = Kind(
    (time,),
    parse_clock,
    "a time of day",
    "like 18:30",
    schema_or_sixties(
        r"^\s*(?:[01]?\d|2[0-3]):[0-5]\d\s*$",
        60,
        24 * 60 - 1,
        "time of day, 24-hour clock",
        "18:30",
    ),
    form="`18:30`, on the 24-hour clock",
)
_LIFT = re.compile(r"(?P<sign>[a-z]+(?:_[a-z]+)*)\s+(?P<on>\S+)")


def parse_lift(text: str) -> Lift:
    hint = "write the sign and the day on which it was told, like bone_point_pain 2027-01-05"
    found = _LIFT.fullmatch(text)
    if not found:
        raise wrong("lift-form", text, "a sign and a date", hint)
    return Lift(found["sign"], parse_date(found["on"]))


LIFT = Kind(
    (Lift,),
    parse_lift,
    "a sign and a date",
    "like bone_point_pain 2027-01-05",
    schema_of(
        rf"^\s*[a-z]+(_[a-z]+)*\s+{DAY_PATTERN}\s*$",
        "a sign and the day on which it was told",
        "bone_point_pain 2027-01-05",
    ),
    form="`bone_point_pain 2027-01-05`: the day is the one on which it was told",
)
