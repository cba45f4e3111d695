"""A practice's logo, judged by its bytes alone: what kind of picture it is, and how large.

Its name and its ending count for nothing. Only the head of the file is read here; the browser
draws the rest, as a picture, in which nothing can run and which loads nothing.

Sources: Portable Network Graphics, third edition (W3C 2025), sections 5.2, 11.2.2 and 11.3.4.1;
JPEG, ITU-T T.81 (1992), annex B; WebP container, RFC 9649, sections 2.5 to 2.7.
"""

from __future__ import annotations

import struct

from sitegen.model.kinds import Unfit, quoted
from sitegen.model.picture import Picture
from sitegen.model.problem import Origin, Problem

MAX_PICTURE_BYTES = 12_000  # every visit carries it
MAX_SIDE = 512  # pixels
PNG = b"\x89PNG\r\n\x1a\n"
_SMALLER = f"save it smaller: at most {MAX_PICTURE_BYTES // 1000} kB, and {MAX_SIDE} pixels a side"
_KINDS = "save it as PNG, JPEG or WebP"


def read_picture(data: bytes, name: str, origin: Origin) -> Picture | Problem:
    """The picture, or why it cannot be a logo.

    Args:
        data: The file's bytes.
        name: The file's name, as the coach wrote it.
        origin: Where she wrote it.
    """
    try:
        return _picture(data, quoted(name))
    except Unfit as unfit:
        return Problem(origin, unfit.message, unfit.hint, unfit.code)


def _picture(data: bytes, name: str) -> Picture:
    kind = _kind(data, name)
    if len(data) > MAX_PICTURE_BYTES:
        raise Unfit("logo-size", f"{name} has {len(data) / 1000:.1f} kB", _SMALLER)
    try:
        width, height = {"png": _png, "jpeg": _jpeg, "webp": _webp}[kind](data)
    except (struct.error, IndexError):
        width = height = 0
    if not width or not height:
        shown = {"png": "PNG", "jpeg": "JPEG", "webp": "WebP"}[kind]
        raise Unfit("logo-damaged", f"{name} is a damaged {shown} file", "save it again")
    if _moves(kind, data):
        raise Unfit("logo-moves", f"{name} moves", "save it as a still picture")
    if max(width, height) > MAX_SIDE:
        raise Unfit("logo-size", f"{name} has {width} x {height} pixels", _SMALLER)
    return Picture(kind, width, height, data)


def _kind(data: bytes, name: str) -> str:
    if data.startswith(PNG):
        return "png"
    if data.startswith(b"\xff\xd8\xff"):
        return "jpeg"
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return "webp"
    start = data[:1000].removeprefix(b"\xef\xbb\xbf").lstrip().lower()
    if start.startswith((b"<?xml", b"<svg", b"<!")) or b"<svg" in start:
        because = "save it as PNG, because an SVG can carry a program"
        raise Unfit("logo-svg", f"{name} is an SVG", because)
    if not data:
        raise Unfit("logo-kind", f"{name} is empty", _KINDS)
    raise Unfit("logo-kind", f"{name} is no PNG, JPEG or WebP picture, whatever its name", _KINDS)


def _png(data: bytes) -> tuple[int, int]:
    """Width and height stand first, in the chunk IHDR."""
    if data[12:16] != b"IHDR":
        return 0, 0
    width, height = struct.unpack_from(">II", data, 16)
    return width, height


def _jpeg(data: bytes) -> tuple[int, int]:
    """From segment to segment, until the one that begins a frame: C0 to CF, but for three."""
    at = 2
    while data[at] == 0xFF:
        marker = data[at + 1]
        if marker == 0xFF:  # fill
            at += 1
            continue
        (length,) = struct.unpack_from(">H", data, at + 2)
        if 0xC0 <= marker <= 0xCF and marker not in (0xC4, 0xC8, 0xCC):
            height, width = struct.unpack_from(">HH", data, at + 5)
            return width, height
        at += 2 + length
    return 0, 0


def _webp(data: bytes) -> tuple[int, int]:
    """Lossy, lossless and extended files each have their own head."""
    chunk = data[12:16]
    if chunk == b"VP8 " and data[23:26] == b"\x9d\x01\x2a":
        width, height = struct.unpack_from("<HH", data, 26)
        return width & 0x3FFF, height & 0x3FFF
    if chunk == b"VP8L" and data[20] == 0x2F:
        (bits,) = struct.unpack_from("<I", data, 21)
        return (bits & 0x3FFF) + 1, (bits >> 14 & 0x3FFF) + 1
    if chunk == b"VP8X":
        low, high = struct.unpack_from("<IH", data, 24)
        both = low | high << 32
        return (both & 0xFFFFFF) + 1, (both >> 24 & 0xFFFFFF) + 1
    return 0, 0


def _moves(kind: str, data: bytes) -> bool:
    """Some PNG and WebP files are films; a reader who asked for less motion could not stop one."""
    if kind == "png":
        return b"acTL" in data[: data.find(b"IDAT")]
    return kind == "webp" and data[12:16] == b"VP8X" and bool(data[20] & 0x02)
