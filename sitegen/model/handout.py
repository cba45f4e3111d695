"""A text of the coach's own, for clients to read."""

from __future__ import annotations

from typing import NamedTuple


class Handout(NamedTuple):
    """One text, read from a Markdown file in ``texts/``. ``text`` is what stands below the title.

    ``lines`` is how many lines of the file stand above ``text``.
    """

    id: str
    title: str
    text: str
    lines: int = 0
