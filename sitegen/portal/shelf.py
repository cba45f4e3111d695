"""Shipped drills as a file of their own: the same for all sealed portals of a practice.

Each portal asks for all of them, so that asking tells nothing of which drills a client has. The
coach's own drills never stand there: they stay sealed.
"""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Mapping
from typing import NamedTuple

from markupsafe import Markup

from sitegen.portal.assets import asset_name
from sitegen.portal.shrink import literal

_DRAWN = re.compile(r'(?<=<div class="figure">)(<svg(?:"[^"]*"|[^">])*>)(.*?)(?=</svg>)', re.DOTALL)


class DrillShelf(NamedTuple):
    """One language's shipped drills: a script that does no more than hold their HTML by id."""

    name: str
    content: bytes

    @property
    def integrity(self) -> str:
        """As the standard *Subresource Integrity* writes it."""
        return "sha256-" + base64.b64encode(hashlib.sha256(self.content).digest()).decode("ascii")


def shelf(language: str, drawn: Mapping[str, Markup]) -> DrillShelf:
    """The file of a language (BCP 47), from each drill's HTML by its id.

    Words, with those that a drawing has for who doesn't see it, stand beside words and lines
    beside lines, in one order, since that packs better; ``views/drills/late.js`` puts each
    drawing's lines into their place.
    """
    figures = [found[2] if (found := _DRAWN.search(html)) else "" for html in drawn.values()]
    words = {id: _DRAWN.sub(r"\1", str(html), 1) for id, html in drawn.items()}  # Markup escapes
    content = f"self.portalDrills={literal({'words': words, 'figures': figures})};\n".encode()
    return DrillShelf(asset_name(f"drills-{language.lower()}.js", content), content)
