"""Signs in texts that nobody can read as a check-in: found by their words, and told loudly.

A help, no diagnosis: it looks for words and understands none, so "no chest pain" is told as well.
Which words: common practice, no source. A false alarm costs a look; a missed one may cost more.
Pure: text in, names of signs out.
"""

from __future__ import annotations

import re
import unicodedata
from difflib import get_close_matches

from sitegen.model.checkin import OTHER_SIGNS, SIGNS, URGENT_SIGNS

MOST_TEXT = 1_000_000  # characters looked at: a photograph has more, and no words
BY_WORDS = "found by its words alone, so it may be a false alarm"

_CALF = r"(?:calf|calves|pantorrillas?|gemelos?)"
_SWOLLEN = r"(?:swell|swoll|puffy|hot\b|warm\b(?! up)|red\b|tender|hinch|inflam|calien|roj[ao])"
# Beginnings of words in English and Spanish, the languages of the portals; no accents, no capitals.
WORDS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("chest_pain", ("chest", "heart attack", "angina", "pecho", "infarto")),
    (
        "fainting",
        (
            "faint", r"pass\w* out", r"black\w* ?out", "collaps", "unconscious",
            "lost consciousness", "syncop", "desmay", "desvanec", "sincope", "inconscien",
            r"(?:el|la) (?:conocimiento|cons?ciencia)",
        ),
    ),
    (
        "breathless_at_rest",
        (
            "breathless", "short of breath", "shortness of breath",
            r"(?:can ?t|couldn ?t|not|to) breathe",
            r"(?:trouble|difficulty|struggl\w*) (?:\w+ )?breathing",
            "catch my breath", r"falt\w* (?:el|de) aire", r"(?:el|de) aire me falt", "sin aliento",
            "ahog", r"(?:no|sin) (?:\w+ )?respirar",
        ),
    ),
    ("calf_swelling", (rf"{_CALF}\b.{{0,60}}\b{_SWOLLEN}", rf"{_SWOLLEN}.{{0,60}}\b{_CALF}")),
)  # fmt: skip
_FOUND_BY = tuple((sign, re.compile(rf"\b(?:{'|'.join(stems)})")) for sign, stems in WORDS)
_SIGNS_KEY = re.compile(r"\bsigns?[ \t]*:(.*(?:\n[ \t]*-(?!.*:).*)*)", re.IGNORECASE)


def sign_words(sign: str) -> str:
    """``chest pain``."""
    return sign.replace("_", " ")


def urgent_in(text: str) -> tuple[str, ...]:
    """The urgent signs of which a text in plain words speaks."""
    low = _plain(text)
    return tuple(sign for sign, words in _FOUND_BY if words.search(low))


def signs_in(text: str) -> tuple[str, ...]:
    """All signs that a text tells, urgent ones first: by name, nearly by name, or in plain words.

    "calf swelling" is one sign, and not swelling as well.
    """
    low = _plain(text)
    told = {*urgent_in(text), *_misspelt(text)}
    for sign in sorted(SIGNS, key=len, reverse=True):
        if sign_words(sign) in low:
            told.add(sign)
            low = low.replace(sign_words(sign), "|")
    return tuple(sign for sign in (*URGENT_SIGNS, *OTHER_SIGNS) if sign in told)


def _misspelt(text: str) -> set[str]:
    """For each word below ``signs`` the nearest sign, as the hint beside it names it."""
    told = re.findall(r"[^\W\d][\w -]*", "\n".join(_SIGNS_KEY.findall(text)))
    words = [re.sub(r"[\s-]+", "_", word.strip().lower()) for word in told]
    return {near for word in words for near in get_close_matches(word, SIGNS, n=1, cutoff=0.6)}


def _plain(text: str) -> str:
    """On one line, without capitals, accents and punctuation that stands within words."""
    spelt = unicodedata.normalize("NFKD", text[:MOST_TEXT])
    bare = "".join(c for c in spelt if not unicodedata.combining(c))
    return re.sub(r"[\s_>'’-]+", " ", bare.lower())
