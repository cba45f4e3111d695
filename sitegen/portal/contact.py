"""How to reach somebody: words, and where a tap leads."""

from __future__ import annotations

import re
from typing import NamedTuple

from sitegen.model.practice import NO_CONTACT, NO_NAME, Practice


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


class Coach(NamedTuple):
    """Whom a client turns to; both empty where ``practice.yaml`` can't be read."""

    name: str
    contact: Contact


def coach_of(practice: Practice) -> Coach:
    """The coach's name, or else the practice's, and how to reach them, as far as it is known."""
    name = practice.coach or practice_name(practice)
    reach = "" if practice.contact == NO_CONTACT else practice.contact
    return Coach(name, contact(reach))


def practice_name(practice: Practice) -> str:
    """Empty where it is not known."""
    return "" if practice.name == NO_NAME else practice.name
