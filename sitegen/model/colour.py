"""Contrast of two colours, as WCAG 2.2 defines it, and the nearest colour that has enough."""

from __future__ import annotations

import re

GROUND_LIGHT = "#fbfaf7"
GROUND_DARK = "#16181b"
ACCENT_DEFAULT = "#9c3d1e"
MIN_CONTRAST = 4.5
OUTDOORS = 7.0  # text read in the sun: WCAG 2.2, 1.4.6

_HEX = re.compile(r"#(?:[0-9a-fA-F]{3}|[0-9a-fA-F]{6})")


def is_hex(text: str) -> bool:
    """True for ``#rgb`` and ``#rrggbb``."""
    return _HEX.fullmatch(text) is not None


def channels(hex_colour: str) -> tuple[int, int, int]:
    """Red, green and blue of ``#rgb`` or ``#rrggbb``, 0 to 255."""
    digits = hex_colour.lstrip("#")
    if len(digits) == 3:
        digits = "".join(d * 2 for d in digits)
    return int(digits[0:2], 16), int(digits[2:4], 16), int(digits[4:6], 16)


def luminance(hex_colour: str) -> float:
    """Relative luminance, 0 to 1. Source: WCAG 2.2, definition of relative luminance."""

    def linear(channel: int) -> float:
        share = channel / 255
        return share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4

    red, green, blue = (linear(c) for c in channels(hex_colour))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio, 1 to 21. Source: WCAG 2.2, definition of contrast ratio."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def readable(hex_colour: str, ground: str, least: float = MIN_CONTRAST) -> str:
    """The colour itself, or the nearest one on its way to black or white that reaches ``least``.

    Towards black on a light ground, towards white on a dark one. ``least`` is a contrast, 1 to 21.
    """
    end = 0 if luminance(ground) > 0.18 else 255
    start = channels(hex_colour)
    for step in range(101):
        mixed = tuple(round(c + (end - c) * step / 100) for c in start)
        shown = "#{:02x}{:02x}{:02x}".format(*mixed)
        if contrast(shown, ground) >= least:
            return shown
    return "#000000" if end == 0 else "#ffffff"
