"""The icon for a home screen: lanes on paper, the last one in the accent. Drawn here, as PNG.

It says nothing about anyone, so all portals share it. Everything lies within the middle four
fifths, the part that no device cuts away (W3C, Web Application Manifest, maskable icons).
"""

from __future__ import annotations

import struct
import zlib
from functools import lru_cache
from math import sqrt

from sitegen.model.colour import ACCENT_DEFAULT, GROUND_LIGHT, channels

INK = "#1c1f23"
SIZES = (192, 512)
SHADES = 16  # steps between ground and colour at a line's rounded end
ROW_LEFT = 0.24
LANES = ((0.36, INK), (0.44, INK), (0.30, INK), (0.52, ACCENT_DEFAULT))  # length, of the whole
THICK, GAP = 0.07, 0.06


@lru_cache
def icon(size: int) -> bytes:
    """A square PNG of ``size`` pixels. Same size, same bytes."""
    rows = [bytes(size)] * size
    thick, gap = round(size * THICK), round(size * GAP)
    top = (size - len(LANES) * thick - (len(LANES) - 1) * gap) // 2
    for number, (length, colour) in enumerate(LANES):
        first = top + number * (thick + gap)
        shade = 1 if colour == INK else 1 + SHADES
        for row in range(thick):
            rows[first + row] = _row(size, length * size, thick / 2, row + 0.5, shade)
    palette = [channels(GROUND_LIGHT), *_shades(INK), *_shades(ACCENT_DEFAULT)]
    return _png(size, rows, palette)


def _shades(colour: str) -> list[tuple[int, int, int]]:
    """From nearly the ground to the colour itself."""
    ground, full = channels(GROUND_LIGHT), channels(colour)
    found = []
    for step in range(1, SHADES + 1):
        red, green, blue = (
            round(g + (f - g) * step / SHADES) for g, f in zip(ground, full, strict=True)
        )
        found.append((red, green, blue))
    return found


def _row(size: int, length: float, radius: float, y: float, shade: int) -> bytes:
    """One row of pixels through a line with round ends, as numbers of the palette."""
    inset = radius - sqrt(radius**2 - (y - radius) ** 2)
    left, right = ROW_LEFT * size + inset, ROW_LEFT * size + length - inset
    row = bytearray(size)
    inner = range(int(left) + 1, int(right))
    row[inner.start : inner.stop] = bytes([shade + SHADES - 1]) * len(inner)
    for x in (int(left), int(right)):
        covered = min(x + 1, right) - max(x, left)
        if step := round(covered * SHADES):
            row[x] = shade + step - 1
    return bytes(row)


def _png(size: int, rows: list[bytes], palette: list[tuple[int, int, int]]) -> bytes:
    """Colour type 3, 8 bits, no filter. Format: W3C, Portable Network Graphics, 3rd edition."""
    head = struct.pack(">IIBBBBB", size, size, 8, 3, 0, 0, 0)
    pixels = zlib.compress(b"".join(b"\0" + row for row in rows), 9)
    colours = b"".join(bytes(colour) for colour in palette)
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        for kind, data in ((b"IHDR", head), (b"PLTE", colours), (b"IDAT", pixels), (b"IEND", b""))
    )
