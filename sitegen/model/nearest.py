"""The word that was meant by one that is misspelt."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable

# Days as coaches write them in Spanish, German and French, whole and short: "jue" is like "tue" and
# means "thu". "Mar" is Tuesday in both languages that have it.
DAYS_ELSEWHERE = {
    "mon": ("lunes", "lun", "montag", "lundi"),
    "tue": ("martes", "mar", "dienstag", "mardi"),
    "wed": ("miercoles", "mie", "mier", "mittwoch", "mercredi", "mer"),
    "thu": ("jueves", "jue", "donnerstag", "jeudi", "jeu"),
    "fri": ("viernes", "vie", "freitag", "vendredi", "ven"),
    "sat": ("sabado", "sab", "samstag", "sonnabend", "samedi", "sam"),
    "sun": ("domingo", "dom", "sonntag", "dimanche", "dim"),
}


def nearest_of(text: str, words: Iterable[str], likeness: float = 0.6) -> str | None:
    """The word that ``text`` is most like; None where none is as like.

    A day in another language is that day, where days are among ``words``. ``likeness`` is a share:
    1 for the same word.
    """
    import difflib  # loaded only where something is wrong

    known = sorted(words)
    if not DAYS_ELSEWHERE.keys().isdisjoint(known):
        bare = unicodedata.normalize("NFKD", text.lower()).encode("ascii", "ignore").decode()
        for day, names in DAYS_ELSEWHERE.items():
            if bare in names:
                return day if day in known else None
    return next(iter(difflib.get_close_matches(text.lower(), known, 1, likeness)), None)
