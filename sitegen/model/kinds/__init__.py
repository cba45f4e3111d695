"""Kinds of value: how each is written in a coach's file, its bounds, and the mend for a slip.

Every scalar of a file arrives here as text, never as a YAML number or boolean, so that
``18:30`` and ``6:45 /km`` mean what was written. Each kind turns text into a value of
`sitegen.model.values`, or raises `Unfit` with the problem's code, what is wrong, and what to write
instead. They lie by family; a new one is named here, too.
"""

from sitegen.model.kinds.amounts import DECIBEL, LENGTH, SCORE, mass, percent, whole
from sitegen.model.kinds.days import BORN, CLOCK, DATE, LIFT, parse_clock, parse_date
from sitegen.model.kinds.kind import Kind, Unfit, nearest, one_of, quoted, slip
from sitegen.model.kinds.places import ADDRESS, CONTACT, LANGUAGE, TIMEZONE
from sitegen.model.kinds.running import (
    AIM,
    CADENCE,
    DISTANCE,
    DURATION,
    DURATION_OR_ZERO,
    PACE,
    RACE_TIME,
    duration_between,
    parse_duration,
)
from sitegen.model.kinds.words import (
    CHECKIN_ID,
    DRILL_ID,
    MAX_PROSE,
    MAX_TEXT,
    PICTURE_NAME,
    PROSE,
    RETURN_ID,
    SESSION_ID,
    TEXT,
    TEXT_ID,
    YES_NO,
    choice,
    is_id,
    parse_yes_no,
)

__all__ = [
    "ADDRESS",
    "AIM",
    "BORN",
    "CADENCE",
    "CLOCK",
    "CONTACT",
    "DATE",
    "DECIBEL",
    "DISTANCE",
    "CHECKIN_ID",
    "DRILL_ID",
    "DURATION",
    "DURATION_OR_ZERO",
    "LANGUAGE",
    "LENGTH",
    "LIFT",
    "MAX_PROSE",
    "MAX_TEXT",
    "PACE",
    "PICTURE_NAME",
    "PROSE",
    "RACE_TIME",
    "RETURN_ID",
    "SCORE",
    "SESSION_ID",
    "TEXT",
    "TEXT_ID",
    "TIMEZONE",
    "YES_NO",
    "Kind",
    "Unfit",
    "choice",
    "duration_between",
    "is_id",
    "mass",
    "nearest",
    "one_of",
    "parse_clock",
    "parse_date",
    "parse_duration",
    "parse_yes_no",
    "percent",
    "quoted",
    "slip",
    "whole",
]
