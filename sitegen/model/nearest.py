"""The word that was meant by one that is misspelt."""

from __future__ import annotations

from collections.abc import Iterable


def nearest_of(text: str, words: Iterable[str], likeness: float = 0.6) -> str | None:
    """The word that ``text`` is most like; None where none is as like.

    ``likeness`` is a share: 1 for the same word.
    """
    import difflib  # loaded only where something is wrong

    return next(iter(difflib.get_close_matches(text.lower(), sorted(words), 1, likeness)), None)
