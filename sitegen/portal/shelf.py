"""Shipped drills as a file of their own: the same for all sealed portals of a practice.

Each portal asks for all of them, so that asking tells nothing of which drills a client has. The
coach's own drills never stand there: they stay sealed.
"""

from __future__ import annotations

import base64
import hashlib
import re
import string
from collections import Counter
from collections.abc import Mapping
from typing import NamedTuple

from markupsafe import Markup

from sitegen.portal.assets import asset_name
from sitegen.portal.shrink import literal

_DRAWN = re.compile(r'(?<=<div class="figure">)(<svg(?:"[^"]*"|[^">])*>)(.*?)(?=</svg>)', re.DOTALL)
_MARKUP = re.compile(r'(?:</?\w+(?: [\w-]+="[^"]*")*>\n?)+|"?/?>?<[a-z]+ [\w-]+="|" [\w-]+="')
_OFTEN = 8  # what comes less often is cheaper written out
_SIGNS = set(string.punctuation) - set("\"'\\")


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
    beside lines, in one order, the longest first, and the markup that comes most often is one sign:
    all that packs better. ``views/drills/late.js`` puts each drawing's lines, and the markup, into
    their place.
    """
    drawn = {id: drawn[id] for id in sorted(drawn, key=lambda id: -len(drawn[id]))}
    figures = [found[2] if (found := _DRAWN.search(html)) else "" for html in drawn.values()]
    words = {id: _DRAWN.sub(r"\1", str(html), 1) for id, html in drawn.items()}  # Markup escapes
    marks = _marks(" ".join((*words.values(), *figures)))

    def marked(html: str) -> str:
        for sign, markup in marks.items():
            html = html.replace(markup, sign)
        return html

    held = {
        "marks": marks,
        "words": {id: marked(html) for id, html in words.items()},
        "figures": [marked(lines) for lines in figures],
    }
    content = f"self.portalDrills={literal(held)};\n".encode()
    return DrillShelf(asset_name(f"drills-{language.lower()}.js", content), content)


def _marks(html: str) -> dict[str, str]:
    """The markup that comes most often, the longest first, by signs that the text has not."""
    counts = Counter(_MARKUP.findall(html)).most_common()
    signs = sorted(_SIGNS - set(html))
    often = [markup for markup, count in counts if count >= _OFTEN and len(markup) > 3]
    return dict(zip(signs, sorted(often[: len(signs)], key=len, reverse=True), strict=False))
