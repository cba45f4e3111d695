"""The shape of a row in a language's list of words of danger."""

from __future__ import annotations

from typing import NamedTuple


class SignPattern(NamedTuple):
    """What tells of one sign: patterns of plain text. A sign may have several rows.

    ``is_thing`` makes another thing of the words on which it lies ("chest strap"); ``explains``
    may account for them from elsewhere in the sentence ("laces too tight"). Empty: nothing does.

    ``beyond_device`` tells of it as well, and the coach's side alone looks for it: what a device
    keeps for times without a connection has no room for these (`sitegen.portal.wordlists`).
    """

    sign: str
    said: tuple[str, ...]
    is_thing: str = ""
    explains: str = ""
    beyond_device: tuple[str, ...] = ()
