"""What a client says of the days of a week, read: ``18:30, 45 min``, ``rest``, ``tue and thu``."""

from __future__ import annotations

import re
from dataclasses import dataclass

from sitegen.model.client import DAYS
from sitegen.model.kinds import choice, parse_clock, parse_duration, slip

DAY_NAMES = dict(zip(DAYS, ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday",
                            "Sunday"), strict=True))  # fmt: skip

_CLOCK_FIRST = re.compile(r"(?:from\s+)?(?P<at>[0-9]{1,2}:[0-9]{2})\b")
_USE_LAST = re.compile(r"\b(?P<use>strength|run|both)$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class DayOffer:
    """What a weekday offers; ``at`` and ``up_to`` as they were written, empty for any."""

    at: str = ""
    up_to: str = ""
    strength_alone: bool = False


REST = DayOffer(at="rest")


def read_day(text: str) -> DayOffer:
    """``18:30, 45 min``, either alone, ``yes``, ``rest``; with ``strength`` for that alone."""
    low = text.strip().lower()
    if low in ("rest", "no", "none"):
        return REST
    if low in ("yes", "run", "any time"):
        return DayOffer()
    rest, at, alone = text.strip(), "", False
    if found := _USE_LAST.search(rest):
        if found["use"].lower() == "both":
            raise slip("day-form", "both is not written here",
                       "days that take strength work too are asked for after Sunday")  # fmt: skip
        alone = found["use"].lower() == "strength"
        rest = rest[: found.start()].strip(" ,;")
    if found := _CLOCK_FIRST.match(rest):
        at = found["at"]
        parse_clock(at)
        rest = rest[found.end() :].strip(" ,;")
    rest = re.sub(r"^up to\s+", "", rest, flags=re.IGNORECASE)
    if rest:
        parse_duration(rest)
    return DayOffer(at, rest, alone)


def read_weekday(text: str) -> str:
    """A weekday, by its name or its first three letters."""
    low = text.strip().lower()
    short = next((d for d, name in DAY_NAMES.items() if low in (d, name.lower())), low)
    found: str = choice(*DAYS).parse(short)
    return found


def read_weekdays(text: str) -> tuple[str, ...]:
    """Several, in any order; ``none`` is none."""
    low = text.strip().lower()
    if low in ("none", "no", "rest"):
        return ()
    found = {read_weekday(word) for word in re.split(r"[,;\s]+(?:and\s+)?", low) if word}
    return tuple(d for d in DAYS if d in found)
