"""Content lines of iCalendar, and the few kinds of value that a feed has.

Source: RFC 5545, sections 3.1 (lines), 3.3.5, 3.3.6, 3.3.11 and 3.3.14 (values).
"""

from __future__ import annotations

import re
import unicodedata
from datetime import datetime, timedelta

MOST_OCTETS = 74  # one less than allowed, as feeds were folded from the first on
ONE_MINUTE = timedelta(minutes=1)
_SIGNS = re.compile(r"\\.|.")  # what is escaped stays on one line with its backslash
_ESCAPES = str.maketrans({"\\": r"\\", ";": r"\;", ",": r"\,", "\n": r"\n"})
_NO_TEXT = ("Cc", "Cs", "Zl", "Zp")


def line(name: str, value: str) -> bytes:
    """A property as UTF-8, folded, with CRLF at its end.

    Args:
        name: With its parameters.
        value: As the kind of value is written, so without a new line.
    """
    whole = f"{name}:{value}"
    octets = whole.encode()
    if len(octets) <= MOST_OCTETS:
        return octets + b"\r\n"
    lines, room = [b""], MOST_OCTETS
    for sign in map(str.encode, _SIGNS.findall(whole)):
        if len(sign) > room:
            lines.append(b"")
            room = MOST_OCTETS
        lines[-1] += sign
        room -= len(sign)
    return b"\r\n ".join(lines) + b"\r\n"


def text(words: str) -> str:
    """A TEXT, without what it may not hold: control characters, but for the new line."""
    if not words.isprintable():
        kept = (c for c in words if c == "\n" or unicodedata.category(c) not in _NO_TEXT)
        words = "".join(kept)
    return words.translate(_ESCAPES)


def digits(at: datetime) -> str:
    """``20270329T183000``: a moment, to the second. As strftime has it, in a third of its time."""
    return at.isoformat()[:19].replace("-", "").replace(":", "")


def duration(length: timedelta) -> str:
    """``-PT30M``: a DURATION, to the minute."""
    hours, minutes = divmod(abs(length) // ONE_MINUTE, 60)
    days, hours = divmod(hours, 24)
    clock = f"{hours}H" * bool(hours) + f"{minutes}M" * bool(minutes)
    day = f"{days}D" if days or not clock else ""
    return f"{'-' * (length < timedelta())}P{day}{'T' * bool(clock)}{clock}"


def offset(length: timedelta) -> str:
    """``+0100``: a UTC-OFFSET, with seconds where a zone of old has them."""
    minutes, seconds = divmod(abs(length) // timedelta(seconds=1), 60)
    end = f"{seconds:02}" * bool(seconds)
    return f"{'-' if length < timedelta() else '+'}{minutes // 60:02}{minutes % 60:02}{end}"
