"""Signs in a text that nobody can read as a check-in: by their names, and by their words.

Pure: text in, names of signs out. The words are those of `sitegen.care.words`.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from difflib import get_close_matches

from sitegen.care.signs import most_urgent_first
from sitegen.care.words import MOST_TEXT, said, spoken
from sitegen.model.checkin import SIGNS

_SIGNS_KEY = re.compile(r"\bsigns?[ \t]*:(.*(?:\n[ \t]*-(?!.*:).*)*)", re.IGNORECASE)
_NAMES = "|".join(sign.replace("_", "[_-]") for sign in SIGNS if "_" in sign)
_BY_NAME = re.compile(rf"(?<![\w-])(?:{_NAMES})(?![\w-])", re.IGNORECASE)


def signs_in(text: str, own: Sequence[str] = ()) -> tuple[str, ...]:
    """All signs that a text tells, urgent ones first: by name, nearly by name, or in plain words.

    ``own`` are the coach's urgent words.
    """
    text = text[:MOST_TEXT]
    named = {found.lower().replace("-", "_") for found in _BY_NAME.findall(text)}
    return most_urgent_first({*said(text, own), *named, *_misspelt(text)})


def kept_words(text: str, most: int, own: Sequence[str] = ()) -> str:
    """At most so many characters of a text; a longer one ends with its words of danger."""
    if len(text) <= most:
        return text
    words = ". ".join(one.words for one in spoken(text, own) if not one.is_denied)
    ends = f" (...). {words}."[: most // 2] if words else ""
    return text[: most - len(ends)] + ends


def _misspelt(text: str) -> set[str]:
    """For each word below ``signs`` the nearest sign, as the hint beside it names it."""
    told = re.findall(r"[^\W\d][\w -]*", "\n".join(_SIGNS_KEY.findall(text)))
    words = [re.sub(r"[\s-]+", "_", word.strip().lower()) for word in told]
    return {near for word in words for near in get_close_matches(word, SIGNS, n=1, cutoff=0.6)}
