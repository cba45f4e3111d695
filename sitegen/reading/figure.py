"""A coach's own drawing: an SVG that draws, and does nothing else.

The portal shows it as a picture, in which a browser runs nothing and loads nothing. That is the
lock; this is the second one, for the day on which someone opens the file by itself. It is also
where a coach hears that a drawing is broken, before a client sees a gap.
"""

from __future__ import annotations

import re
from xml.parsers import expat

from sitegen.model.kinds import quoted
from sitegen.model.problem import Origin, Problem

MAX_BYTES = 256 * 1024
"""Our own choice: larger drawings hold photographs, and every client would load them."""

SVG = "http://www.w3.org/2000/svg"
XHTML = "http://www.w3.org/1999/xhtml"
XLINK = "http://www.w3.org/1999/xlink"
_GAP = " "  # between a name's namespace and the name; expat puts it there

ELEMENTS = frozenset({
    "svg", "g", "defs", "symbol", "use", "title", "desc", "metadata", "switch", "view",
    "style", "path", "rect", "circle", "ellipse", "line", "polyline", "polygon", "text",
    "tspan", "textPath", "image", "marker", "pattern", "mask", "clipPath", "linearGradient",
    "radialGradient", "stop", "filter", "feBlend", "feColorMatrix", "feComponentTransfer",
    "feComposite", "feFlood", "feConvolveMatrix", "feDiffuseLighting", "feDisplacementMap",
    "feDistantLight", "feDropShadow", "feFuncA", "feFuncB", "feFuncG", "feFuncR",
    "feGaussianBlur", "feMerge", "feMergeNode", "feMorphology", "feOffset", "fePointLight",
    "feSpecularLighting", "feSpotLight", "feTile", "feTurbulence",
})  # fmt: skip
_PICTURE = re.compile(r"data:image/(?:png|jpeg|gif|webp);base64,[A-Za-z0-9+/=\s]*")
_STYLE_TRICK = re.compile(r"\\|@|expression\s*\(|url\s*\(\s*['\"]?\s*(?!#|['\"\s])", re.IGNORECASE)


class _Refused(Exception):
    """The first thing that a drawing may not hold: what, mend, code."""


def figure_problem(text: str, file: str) -> Problem | None:
    """What keeps this from being a plain drawing, or None.

    Args:
        text: The SVG.
        file: Its name, for the place.
    """
    if len(text.encode()) > MAX_BYTES:
        size = len(text.encode()) / 1024
        return Problem(
            Origin(file),
            f"this drawing has {size:.0f} KiB",
            f"at most {MAX_BYTES // 1024} KiB; leave photographs out, and save it as plain SVG",
            "figure-size",
        )
    parser = expat.ParserCreate(namespace_separator=_GAP)
    walk = _Walk()
    parser.StartElementHandler = walk.start
    parser.EndElementHandler = walk.end
    parser.CharacterDataHandler = walk.words
    parser.EntityDeclHandler = walk.entity
    parser.ProcessingInstructionHandler = walk.instruction
    # A declared encoding is about the file's bytes; here it is text already.
    plain = re.sub(r"\A\ufeff?(<\?xml[^>]*?)\s+encoding=(\"[^\"]*\"|'[^']*')", r"\1", text)
    try:
        parser.Parse(plain.removeprefix("\ufeff").encode(), True)
    except _Refused as error:
        message, hint, code = error.args
        place = Origin(file, parser.CurrentLineNumber, parser.CurrentColumnNumber + 1)
        return Problem(place, message, hint, code)
    except expat.ExpatError as error:
        return Problem(
            Origin(file, error.lineno, error.offset + 1),
            "this is not a whole SVG drawing",
            "save it again from the drawing program, as plain SVG",
            "figure-form",
        )
    return None


class _Walk:
    """Sees each part of a drawing once, and stops at the first that is no part of one."""

    def __init__(self) -> None:
        self.depth = 0
        self.styles = 0
        self.style = ""

    def start(self, name: str, attributes: dict[str, str]) -> None:
        space, _, local = name.rpartition(_GAP)
        if self.depth == 0 and (space, local) != (SVG, "svg"):
            raise _Refused(
                "this is not an SVG drawing",
                f'its first element has to be <svg xmlns="{SVG}">',
                "figure-form",
            )
        self.depth += 1
        if space == XHTML or (space == SVG and local not in ELEMENTS):
            raise _runs(f"a drawing may not hold {quoted(local)}")
        if space == SVG and local == "style":
            self.styles += 1
        for full, value in attributes.items():
            _check_attribute(*full.rpartition(_GAP)[::2], value)

    def end(self, name: str) -> None:
        self.depth -= 1
        if name == f"{SVG}{_GAP}style":
            self.styles -= 1
            if _STYLE_TRICK.search(self.style):
                raise _runs("the style of a drawing may not fetch anything")
            self.style = ""

    def words(self, text: str) -> None:
        if self.styles:
            self.style += text

    def entity(self, name: str, *_: object) -> None:
        raise _runs(f"a drawing may not declare entities, such as {quoted(name)}")

    def instruction(self, target: str, _: str) -> None:
        raise _runs(f"a drawing may not hold the instruction {quoted(target)}")


def _check_attribute(space: str, name: str, value: str) -> None:
    if name.lower().startswith("on") and space in ("", SVG, XHTML):
        raise _runs(f"a drawing may not hold {quoted(name)}")
    if name in ("href", "src") and space in ("", SVG, XLINK):
        if not value.strip().startswith("#") and not _PICTURE.fullmatch(value.strip()):
            raise _runs(f"a drawing may not fetch {quoted(value)}")
    elif space in ("", SVG) and _STYLE_TRICK.search(value):
        raise _runs(f"a drawing may not hold {quoted(value)}")


def _runs(message: str) -> _Refused:
    return _Refused(message, "save it as plain SVG: shapes, colours and words alone", "figure-runs")
