"""A practice's logo: a small picture of pixels, and the room that it takes on a page."""

from __future__ import annotations

import base64
from typing import NamedTuple

MAX_WIDTH, MAX_HEIGHT = 144, 40  # CSS pixels, in the portal's head
AREA = 38 * 38  # so that a wide logo and a tall one weigh alike to the eye


class Picture(NamedTuple):
    """``kind`` is ``png``, ``jpeg`` or ``webp``; width and height are in the picture's pixels."""

    kind: str
    width: int
    height: int
    data: bytes

    @property
    def address(self) -> str:
        """The picture itself as an address: no host is asked for it."""
        return f"data:image/{self.kind};base64,{base64.b64encode(self.data).decode('ascii')}"

    @property
    def shown(self) -> tuple[int, int]:
        """Width and height on the page in CSS pixels, the ratio kept; never larger than it is."""
        wide, high = self.width, self.height
        scale = min((AREA / (wide * high)) ** 0.5, MAX_WIDTH / wide, MAX_HEIGHT / high, 1.0)
        return max(round(wide * scale), 1), max(round(high * scale), 1)
