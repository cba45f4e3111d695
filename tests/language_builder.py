"""Languages for tests: those that we ship, and two that nobody speaks.

`LONGER` has every word two fifths longer, as some languages have; `BACKWARDS` is written from the
right. Both are made from the same sentences as the real catalogues.
"""

from __future__ import annotations

import importlib.machinery
import importlib.util
import io
import re
import sys
from collections.abc import Callable
from functools import cache
from types import ModuleType

from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo

import portal_builder
from sitegen import world
from sitegen.portal.catalogue import Languages
from sitegen.portal.page import Renderer

LONGER, BACKWARDS = "fi-longer", "ar-mirrored"
LETTERS = dict(zip("abcdefghijklmnopqrstuvwxyz", "اتكدهفجحيظكلمنوبقرسطعثؤخىز", strict=True))
PLACES = re.compile(r"(\{\w+\}|%\(\w+\)s|%%|<[^>]+>)")


@cache
def tool(name: str) -> ModuleType:
    """A program of ``tools/`` as a module."""
    loader = importlib.machinery.SourceFileLoader(
        name.replace("-", "_"), str(portal_builder.ROOT / "tools" / name)
    )
    spec = importlib.util.spec_from_loader(loader.name, loader)
    assert spec is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[loader.name] = module
    loader.exec_module(module)
    return module


def longer(text: str) -> str:
    """Each word grows by two fifths, in its middle; what is filled in later stays."""

    def grown(word: re.Match[str]) -> str:
        letters = word[0]
        middle = (len(letters) + 1) // 2
        return letters[:middle] + "o" * -(-len(letters) * 2 // 5) + letters[middle:]

    return _words(text, lambda part: re.sub(r"[^\W\d_]+", grown, part))


def backwards(text: str) -> str:
    """Letters of a script that is written from the right; what is filled in later stays."""
    return _words(text, lambda part: "".join(LETTERS.get(c, c) for c in part.lower()))


def _words(text: str, change: Callable[[str], str]) -> str:
    parts = PLACES.split(text)
    return "".join(p if PLACES.fullmatch(p) else change(p) for p in parts)


def compiled(say: Callable[[str], str], locale: str) -> bytes:
    """A compiled catalogue in which everything is said by ``say``."""
    catalog = Catalog(locale=locale)
    for message in tool("catalogue").collected():
        if isinstance(message.id, tuple):
            one, many = map(say, message.id)
            catalog.add(message.id, (one, *[many] * (catalog.num_plurals - 1)))
        elif message.id:
            catalog.add(message.id, say(message.id))
    file = io.BytesIO()
    write_mo(file, catalog)
    return file.getvalue()


@cache
def languages() -> Languages:
    """What is shipped, and both languages that nobody speaks."""
    made: dict[str, tuple[bytes, dict[str, bytes]]]
    made = {LONGER: (compiled(longer, "fi"), {}), BACKWARDS: (compiled(backwards, "ar"), {})}
    return Languages({**world.read_languages(), **made})


def make_renderer() -> Renderer:
    """Draws pages in every language."""
    return Renderer(portal_builder.read_templates(), portal_builder.EVIDENCE, languages=languages())
