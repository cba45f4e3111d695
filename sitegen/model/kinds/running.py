"""Kinds of what a run is made of: duration, distance, race time, pace, step rate."""

from __future__ import annotations

import re
from functools import lru_cache

from sitegen.model.kinds.kind import (
    MOST_TEXTS,
    NUMBER,
    Kind,
    hint_for,
    out_of_range,
    schema_of,
    schema_or_sixties,
    with_unit,
    wrong,
)
from sitegen.model.patterns import number_pattern, whole_pattern
from sitegen.model.values import (
    METRES_HALF_MARATHON,
    METRES_MARATHON,
    METRES_PER_MILE,
    Cadence,
    Distance,
    Duration,
    Pace,
)

_DURATION = re.compile(
    rf"(?:(?P<h>{NUMBER})\s*h)?\s*(?:(?P<min>{NUMBER})\s*min)?\s*(?:(?P<s>{NUMBER})\s*s)?"
)
_AS_A_CLOCK = re.compile(r"(?P<h>[1-9])(?:[.:]|,(?=.+h$))(?P<min>0[1-9]|[1-5][0-9])(?: ?h)?")
DURATION_HINT = "write a number with min, h or s, like 45 min or 1 h 10 min"
MAX_DURATION_S = 24 * 3600
_UP_TO_A_DAY = "over 0 and at most 24 h"
_DURATION_FORM = "`45 min`, `1 h`, `1 h 10 min`, `90 s`"


def _duration_hint(text: str) -> str:
    """``1:30``, ``1,30 h`` and ``1.30`` may be an hour and a half: not said to be minutes."""
    if found := _AS_A_CLOCK.fullmatch(text):
        return f"if hours and minutes are meant, write {found['h']} h {int(found['min'])} min"
    return with_unit(text, "min", DURATION_HINT)


@lru_cache(maxsize=MOST_TEXTS)  # logs say few lengths and rates, and say them often
def _duration(text: str, allow_zero: bool) -> Duration:
    found = _DURATION.fullmatch(text)
    if not found or not any(found.groups()):
        raise wrong("duration-form", text, "a duration", _duration_hint(text))
    seconds = round(
        float(found["h"] or 0) * 3600 + float(found["min"] or 0) * 60 + float(found["s"] or 0)
    )
    if seconds > MAX_DURATION_S or seconds < 0 or (seconds == 0 and not allow_zero):
        bounds = _UP_TO_A_DAY.replace("over 0", "at least 0") if allow_zero else _UP_TO_A_DAY
        raise out_of_range("duration-range", text, f"a duration is {bounds}")
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
_DURATION_SCHEMA = schema_of(_duration_pattern(0), "a duration", *_DURATION_EXAMPLES)
_DURATION_OR_ZERO_SCHEMA = schema_of(_duration_pattern(-1), "a duration", *_DURATION_EXAMPLES)

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
    bounds="0 min to 24 h",
)


def duration_between(low_min: int, high_min: int, code: str = "duration-range") -> Kind:
    """A duration from ``low_min`` to ``high_min`` minutes; ``code`` is that of one outside."""

    def within(found: Duration, text: str) -> None:
        if not low_min <= found.minutes <= high_min:
            hint = f"write {low_min} min to {high_min} min"
            raise out_of_range(code, text, hint)

    def parse(text: str) -> Duration:
        found = parse_duration(text)
        within(found, text)
        return found

    hours = f"|{number_pattern(low_min / 60, high_min / 60)}\\s*h" if low_min % 6 == 0 else ""
    minutes = number_pattern(low_min, high_min)
    schema = schema_of(rf"^\s*(?:{minutes}\s*min{hours})\s*$", "a duration", f"{high_min} min")
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


_DISTANCE = re.compile(rf"(?P<n>{NUMBER})\s*(?P<unit>km|m|mi)")
DISTANCE_HINT = "write a number with km, m or mi, like 5 km, or half marathon, or marathon"
_NAMED_DISTANCE = {"half marathon": METRES_HALF_MARATHON, "marathon": METRES_MARATHON}
METRES = {"km": 1000.0, "m": 1.0, "mi": METRES_PER_MILE}
MAX_DISTANCE_M = 200_000
_UP_TO_200_KM = "over 0 and at most 200 km"


def parse_distance(text: str) -> Distance:
    named = _NAMED_DISTANCE.get(" ".join(text.lower().split()))
    if named:
        return Distance(named)
    found = _DISTANCE.fullmatch(text)
    if not found:
        raise wrong("distance-form", text, "a distance", hint_for(text, DISTANCE_HINT))
    metres = float(found["n"]) * METRES[found["unit"]]
    if not 0 < metres <= MAX_DISTANCE_M:
        raise out_of_range("distance-range", text, f"a distance is {_UP_TO_200_KM}")
    return Distance(metres)


DISTANCE = Kind(
    (Distance,),
    parse_distance,
    "a distance",
    "like 5 km",
    schema_of(
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
_RACE_TIME = re.compile(r"(?:(?P<h>[0-9]{1,2}):)?(?P<m>[0-9]{1,2}):(?P<s>[0-9]{2})")


def parse_race_time(text: str) -> Duration:
    hint = "write minutes and seconds like 31:20, or hours too, like 1:52:08"
    found = _RACE_TIME.fullmatch(text)
    if not found or int(found["s"]) > 59 or (found["h"] and int(found["m"]) > 59):
        raise wrong("race-time-form", text, "a race time", hint)
    seconds = int(found["h"] or 0) * 3600 + int(found["m"]) * 60 + int(found["s"])
    if not 0 < seconds <= MAX_DURATION_S:
        raise out_of_range("race-time-range", text, f"a race time is {_UP_TO_A_DAY}")
    return Duration(seconds)


RACE_TIME = Kind(
    (Duration,),
    parse_race_time,
    "a race time",
    "like 31:20 or 1:52:08",
    schema_or_sixties(
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
        raise wrong("pace-form", text, "a pace", hint)
    seconds = int(found["m"]) * 60 + int(found["s"])
    per_km = seconds * 1000 / METRES[found["unit"]]
    if not PACE_RANGE_S[0] <= per_km <= PACE_RANGE_S[1]:
        raise out_of_range("pace-range", text, f"a pace {_PACE_BOUNDS}")
    return Pace(per_km)


PACE = Kind(
    (Pace,),
    parse_pace,
    "a pace",
    "like 6:45 /km",
    schema_of(
        r"^\s*(?:(?:0?2:[3-5]\d|(?:0?[3-9]|1\d):[0-5]\d|20:00)\s*/\s*km"
        r"|(?:0?4:(?:0[2-9]|[1-5]\d)|(?:0?[5-9]|[12]\d|3[01]):[0-5]\d|32:(?:0\d|1[01]))\s*/\s*mi)\s*$",
        "a pace",
        "6:45 /km",
        "10:50 /mi",
    ),
    form="`6:45 /km`, `10:50 /mi`",
    bounds=_PACE_BOUNDS,
)
_CADENCE = re.compile(r"(?P<n>[0-9]{1,4})\s*spm")
CADENCE_RANGE = (100, 240)
_CADENCE_BOUNDS = f"lies between {CADENCE_RANGE[0]} and {CADENCE_RANGE[1]} spm"


@lru_cache(maxsize=MOST_TEXTS)
def parse_cadence(text: str) -> Cadence:
    found = _CADENCE.fullmatch(text)
    if not found:
        hint = "write steps per minute, both feet, like 164 spm"
        raise wrong("cadence-form", text, "a cadence", with_unit(text, "spm", hint))
    spm = int(found["n"])
    low, high = CADENCE_RANGE
    if not low <= spm <= high:
        raise out_of_range("cadence-range", text, f"a cadence {_CADENCE_BOUNDS}{_one_foot(spm)}")
    return Cadence(spm)


def _one_foot(spm: int) -> str:
    """What a number that is too low may be: one foot's, for a minute or for half of one."""
    low = CADENCE_RANGE[0]
    if spm * 2 < low:
        return "; if one foot was counted for 30 s, take it times 4"
    return "; if one foot was counted, double it" if spm < low else ""


_CADENCE_SCHEMA = schema_of(
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
    schema_of(
        rf"^\s*(?:0?{whole_pattern(*CADENCE_RANGE)}\s*spm|[Kk][Ee][Ee][Pp])\s*$",
        "steps per minute, or keep",
        "168 spm",
        "keep",
    ),
    bounds=_CADENCE_BOUNDS,
)
