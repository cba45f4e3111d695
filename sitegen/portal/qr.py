"""The private link as a QR code: its squares, for the browser to draw when a reader asks.

The code holds the key, so it stands inside the sealed document and nowhere else.
"""

from __future__ import annotations

import base64

MASK = 0
"""One of the eight patterns that ISO/IEC 18004 allows, taken without trying the others: that is
five times as fast, and any of them can be read."""


def squares(text: str) -> str:
    """``SIZE:BITS``: squares a side, and base64 of the rows' bits, dark is 1, padded to a byte."""
    import segno

    code = segno.make(text, error="m", micro=False, mask=MASK, boost_error=False)
    size = len(code.matrix)
    bits = "".join("1" if square else "0" for row in code.matrix for square in row)
    padded = bits.ljust(-(-len(bits) // 8) * 8, "0")
    packed = int(padded, 2).to_bytes(len(padded) // 8, "big")
    return f"{size}:{base64.b64encode(packed).decode('ascii')}"


def drawing(text: str, title: str) -> str:
    """The code as an SVG to stand in a page; ``title`` says what it is.

    Black on white, with the quiet zone of four squares that ISO/IEC 18004 asks for.
    """
    import segno

    code = segno.make(text, error="m", micro=False, mask=MASK, boost_error=False)
    return str(
        code.svg_inline(border=4, dark="#000", light="#fff", omitsize=True, title=title,
                        svgclass=None, lineclass=None)
    )  # fmt: skip
