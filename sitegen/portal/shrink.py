"""Scripts and style sheets as they travel: without comments and idle white space.

Only that. Names stay, so what a browser shows is still what lies in ``templates/``. A comment
that begins with ``/*!``, as licences do, is kept.
"""

from __future__ import annotations

from functools import lru_cache

import rcssmin
import rjsmin


@lru_cache(maxsize=64)
def shrunk(name: str, text: str) -> bytes:
    """The bytes of the asset that a template named ``name.js`` or ``name.css`` becomes."""
    make = rcssmin.cssmin if name.endswith(".css") else rjsmin.jsmin
    return str(make(text, keep_bang_comments=True)).encode("utf-8")
