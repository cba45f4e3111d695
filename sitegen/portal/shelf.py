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

from sitegen.portal.assets import asset_name
from sitegen.portal.shrink import literal

_FIGURE = re.compile(r'(?<=<div class="figure">).*?(?=</div>)', re.DOTALL)


class DrillShelf(NamedTuple):
    """One language's shipped drills: a script that does no more than hold their HTML by id."""

    name: str
    content: bytes

    @property
    def integrity(self) -> str:
        """As the standard *Subresource Integrity* writes it."""
        return "sha256-" + base64.b64encode(hashlib.sha256(self.content).digest()).decode("ascii")


def shelf(language: str, drawn: Mapping[str, str]) -> DrillShelf:
    """The file of a language (BCP 47), from each drill's HTML by its id.

    Words stand beside words and drawings beside drawings, in one order, since that packs better;
    ``views/drills/late.js`` puts each drawing into its place.
    """
    figures = [(_FIGURE.search(html) or [""])[0] for html in drawn.values()]
    words = {id: _FIGURE.sub("", html, 1) for id, html in drawn.items()}
    content = f"self.portalDrills={literal({'words': words, 'figures': figures})};\n".encode()
    return DrillShelf(asset_name(f"drills-{language.lower()}.js", content), content)
