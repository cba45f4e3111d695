"""How to reach somebody: words, and where a tap leads."""

from __future__ import annotations

import re
from typing import NamedTuple


class Contact(NamedTuple):
    """How to reach someone: what is read, and where a tap leads (empty: nowhere)."""

    text: str
    href: str


def contact(text: str) -> Contact:
    """A mail address or a telephone number becomes a link; anything else stays words."""
    if re.fullmatch(r"[^@\s<>\"']+@[^@\s<>\"']+", text):
        return Contact(text, f"mailto:{text}")
    digits = re.sub(r"[ ()./-]", "", text)
    if re.fullmatch(r"\+?[0-9]{2,16}", digits):
        return Contact(text, f"tel:{digits}")
    return Contact(text, "")
