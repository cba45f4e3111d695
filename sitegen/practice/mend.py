"""What a coach surely meant by a value that its kind does not take: written right, it is the mend.

Each slip is a rewriting of the text; the first whose result the kind takes is told. So no mend
is ever offered that would be refused in its turn.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from sitegen.model.alarm import MONTHS_SHORT
from sitegen.model.kinds import Kind

_UNITS = (
    (r"\s*(?:minutes?|mins)\b\.?", " min"),
    (r"\s*(?:hours?|hrs?)\b\.?", " h"),
    (r"\s*(?:seconds?|secs?)\b\.?", " s"),
    (r"\s*miles?\b", " mi"),
    (r"\s*(?:kilomet(?:er|re)s?|kms)\b", " km"),
    (r"\s*(?:met(?:er|re)s?)\b", " m"),
    (r"\s*per ?cent\b", " %"),
    (r"\s*(?:steps(?:\s*(?:/|per|a)\s*min(?:ute)?)?|bpm)$", " spm"),
    (r"\s*grams?\b", " g"),
    (r"\s*(?:min)?\s*(?:/|per)\s*km$", " /km"),
    (r"\s*(?:min)?\s*(?:/|per)\s*mi(?:le)?$", " /mi"),
)
_HALF_DAY = re.compile(r"(?P<h>\d{1,2})(?:[:.](?P<m>\d{2}))?\s*(?P<half>[ap])\.?m\.?", re.I)
_CLOCK = re.compile(r"(?P<h>\d{1,2})\s*(?:[.h]\s*(?P<m>\d{2})|h)", re.I)
_DAY_FIRST = re.compile(r"(?P<d>\d{1,2})\.\s*(?P<m>\d{1,2})\.\s*(?P<y>\d{4})")
_SLASHES = re.compile(r"(?P<a>\d{1,2})/(?P<b>\d{1,2})/(?P<y>\d{4})")
_IN_WORDS = re.compile(r"(?P<d>\d{1,2})\.?\s+(?P<month>[A-Za-z]{3,9})\.?,?\s+(?P<y>\d{4})")
_YEAR_FIRST = re.compile(r"(?P<y>\d{4})[-./](?P<m>\d{1,2})[-./](?P<d>\d{1,2})")


def mended(kind: Kind, text: str) -> str | None:
    """The text as it was surely meant, written right; None where nobody can be sure."""
    for found in _rewritten(kind, text.strip()):
        if found != text.strip() and kind.takes(found):
            return found
    return None


def _rewritten(kind: Kind, text: str) -> Iterator[str]:
    yield text.rstrip(",;")
    yield text.split("#")[0].strip()
    yield re.sub("[‐‑‒–—−]", "-", text)
    yield re.sub(r"^(?:about|circa|approx\.?|ca\.?|~)\s*", "", text)
    units = text
    for words, unit in _UNITS:
        units = re.sub(words, unit, units, flags=re.I)
    yield units.strip()
    # "1,30 h" may be an hour and a half
    yield re.sub(r"(?<=\d),(?=\d)(?![0-5]\d ?h$)", ".", units).strip()
    yield re.sub(r"(?<=\d)[.,](?=\d\d\b)", ":", units).strip()
    yield re.sub(r"(\d)\s*h\s*(\d{1,2})$", r"\1 h \2 min", units).strip()
    if number := re.fullmatch(r"0?\.(\d{2})", text):
        yield f"{int(number[1])} %"
    number = re.fullmatch(r"(\d+)\s*([a-z]+)", text, re.I)
    if number and len(number[2]) > 2 and number[2].lower() in kind.noun:
        yield number[1]
    if clock := _HALF_DAY.fullmatch(text):
        hour = int(clock["h"]) % 12 + (12 if clock["half"] in "pP" else 0)
        yield f"{hour}:{clock['m'] or '00'}"
    if clock := _CLOCK.fullmatch(text):
        yield f"{clock['h']}:{clock['m'] or '00'}"
    for form in (_DAY_FIRST, _YEAR_FIRST):
        if day := form.fullmatch(text):
            yield f"{day['y']}-{int(day['m']):02d}-{int(day['d']):02d}"
    if day := _SLASHES.fullmatch(text):
        low, high = sorted((int(day["a"]), int(day["b"])))
        if low <= 12 < high:  # else nobody knows which of the two is the month
            yield f"{day['y']}-{low:02d}-{high:02d}"
    if day := _IN_WORDS.fullmatch(text):
        short = day["month"][:3].title()
        if short in MONTHS_SHORT:
            yield f"{day['y']}-{MONTHS_SHORT.index(short) + 1:02d}-{int(day['d']):02d}"
