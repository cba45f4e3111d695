"""Kinds of other numbers: shares, whole numbers, heights, masses, decibels."""

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
    with_unit,
    wrong,
)
from sitegen.model.patterns import number_pattern, whole_pattern
from sitegen.model.values import Length, Mass, Percent

_PERCENT = re.compile(rf"(?P<n>{NUMBER})\s*%")


def percent(low: float, high: float, *, above_low: bool = False) -> Kind:
    """A percentage from ``low`` to ``high``; ``above_low`` leaves ``low`` itself out."""

    bounds = f"{'over ' if above_low else ''}{low:g} to {high:g} %"

    def within(found: Percent, text: str) -> None:
        value = found.percent
        if value > high or value < low or (above_low and value == low):
            hint = f"write {bounds}"
            raise out_of_range("percent-range", text, hint)

    def parse(text: str) -> Percent:
        found = _PERCENT.fullmatch(text)
        if not found:
            hint = with_unit(text, "%", f"write a number with %, from {low:g} to {high:g} %")
            raise wrong("percent-form", text, "a percentage", hint)
        value = Percent(float(found["n"]))
        within(value, text)
        return value

    return Kind(
        (Percent,),
        parse,
        "a percentage",
        f"from {low:g} to {high:g} %",
        schema_of(
            rf"^\s*{number_pattern(low, high, above_low=above_low)}\s*%\s*$",
            f"{low:g} to {high:g} %",
        ),
        bounds=bounds,
        within=within,
    )


_WHOLE = re.compile(r"[0-9]{1,6}")


def whole(low: int, high: int, noun: str = "a whole number") -> Kind:
    """A whole number from ``low`` to ``high``."""

    hint = f"write {noun} from {low} to {high}"

    def within(found: int, text: str) -> None:
        if not low <= found <= high:
            raise out_of_range("whole-range", text, hint)

    @lru_cache(maxsize=MOST_TEXTS)  # logs say few scores, and say them often
    def parse(text: str) -> int:
        if not _WHOLE.fullmatch(text):
            raise wrong("whole-form", text, "a whole number", hint)
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
CM_PER_INCH = 2.54
MOST_INCHES = 11.9  # beside feet
_LENGTH_CM = re.compile(rf"(?P<n>{NUMBER})\s*(?P<unit>cm|m)")
_LENGTH_FT = re.compile(rf"(?P<ft>[0-9])\s*ft(?:\s*(?P<inch>{NUMBER})\s*in)?")
LENGTH_RANGE_CM = (100, 230)
_LENGTH_BOUNDS = f"lies between {LENGTH_RANGE_CM[0]} and {LENGTH_RANGE_CM[1]} cm"


def parse_length(text: str) -> Length:
    hint = "write centimetres or feet and inches, like 171 cm or 5 ft 7 in"
    metric, imperial = _LENGTH_CM.fullmatch(text), _LENGTH_FT.fullmatch(text)
    if metric:
        cm = float(metric["n"]) * (100 if metric["unit"] == "m" else 1)
    elif imperial and float(imperial["inch"] or 0) > MOST_INCHES:
        inches = int(imperial["ft"]) * 12 + float(imperial["inch"])
        whole_ft = f"{inches // 12:.0f} ft {inches % 12:g} in"
        raise wrong("length-form", text, "a height", f"a foot has 12 inches; write {whole_ft}")
    elif imperial:
        cm = (int(imperial["ft"]) * 12 + float(imperial["inch"] or 0)) * CM_PER_INCH
    else:
        raise wrong("length-form", text, "a height", hint_for(text, hint))
    low, high = LENGTH_RANGE_CM
    if not low <= cm <= high:
        raise out_of_range("length-range", text, f"a height {_LENGTH_BOUNDS}")
    return Length(round(cm, 1))


LENGTH = Kind(
    (Length,),
    parse_length,
    "a height",
    "like 171 cm",
    schema_of(
        rf"^\s*(?:{number_pattern(*LENGTH_RANGE_CM)}\s*cm"
        rf"|(?:1(?:\.\d{{1,4}})?|2(?:\.(?:[0-2]\d{{0,3}}|30{{0,3}}))?)\s*m"
        rf"|3\s*ft\s*{number_pattern(3.4, MOST_INCHES)}\s*in"
        rf"|[4-6]\s*ft(?:\s*{number_pattern(0, MOST_INCHES)}\s*in)?"
        rf"|7\s*ft(?:\s*{number_pattern(0, 6.5)}\s*in)?)\s*$",
        "a height",
        "171 cm",
    ),
    form="`171 cm`, `5 ft 7 in`",
    bounds=_LENGTH_BOUNDS,
)
_MASS = re.compile(rf"(?P<n>{NUMBER})\s*(?P<unit>mg|g)")


def mass(low_mg: float, high_mg: float, example: str) -> Kind:
    """A mass from ``low_mg`` to ``high_mg`` milligrams."""

    def shown(mg: float) -> str:
        return f"{mg / 1000:g} g" if mg >= 1000 and high_mg > 1000 else f"{mg:g} mg"

    bounds = f"{shown(low_mg)} to {shown(high_mg)}"

    def parse(text: str) -> Mass:
        found = _MASS.fullmatch(text)
        if not found:
            hint = hint_for(text, f"write grams or milligrams, like {example}")
            raise wrong("mass-form", text, "a mass", hint)
        mg = float(found["n"]) * (1000 if found["unit"] == "g" else 1)
        if not low_mg <= mg <= high_mg:
            raise out_of_range("mass-range", text, f"write {bounds}")
        return Mass(mg)

    return Kind(
        (Mass,),
        parse,
        "a mass",
        f"like {example}",
        schema_of(
            rf"^\s*(?:{number_pattern(low_mg, high_mg)}\s*mg"
            rf"|{number_pattern(low_mg / 1000, high_mg / 1000)}\s*g)\s*$",
            "a mass",
            example,
        ),
        bounds=bounds,
    )


_DECIBEL = re.compile(r"(?P<n>[-+]?[0-9]{1,3}(?:\.[0-9]{1,2})?)(?:\s*dB)?")
DECIBEL_RANGE = (-60, 100)


def parse_decibel(text: str) -> float:
    hint = "write a number, like -3.5"
    found = _DECIBEL.fullmatch(text)
    if not found:
        raise wrong("decibel-form", text, "a number of decibels", hint_for(text, hint))
    low, high = DECIBEL_RANGE
    if not low <= float(found["n"]) <= high:
        hint = f"decibels lie between {low} and {high}"
        raise out_of_range("decibel-range", text, hint)
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
