"""The languages that a client can read: one folder in ``locale/`` and one line here for each."""

from __future__ import annotations

from collections.abc import Collection

ENGLISH = "en"
LANGUAGES: tuple[str, ...] = (ENGLISH, "es")


def fitting(language: str, available: Collection[str] = LANGUAGES) -> str | None:
    """The available language that serves ``language`` best, or None.

    Subtags go from the end until one fits: ``es-MX`` is served by ``es``. Source: RFC 4647
    section 3.4 (lookup).
    """
    known = {name.lower(): name for name in available}
    parts = language.lower().split("-")
    while parts:
        if (found := known.get("-".join(parts))) is not None:
            return found
        parts.pop()
        while parts and len(parts[-1]) == 1:  # an extension's letter says nothing alone
            parts.pop()
    return None
