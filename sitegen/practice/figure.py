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

MAX_FIGURE_BYTES = 256 * 1024
"""Our own choice: larger drawings hold photographs, and every client would load them."""

MAX_FAULTS = 20  # different things in one drawing

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


def figure_problems(text: str, file: str) -> list[Problem]:
    """What keeps this from being a plain drawing: each thing once, where it stands first.

    Args:
        text: The SVG.
        file: Its name, for the place.
    """
    if len(text.encode()) > MAX_FIGURE_BYTES:
        size = len(text.encode()) / 1024
        most = MAX_FIGURE_BYTES // 1024
        hint = f"at most {most} KiB; leave photographs out, and save it as plain SVG"
        return [Problem(Origin(file), f"this drawing has {size:.0f} KiB", hint, "figure-size")]
    parser = expat.ParserCreate(namespace_separator=_GAP)
    walk = _Walk(file, parser)
    parser.StartElementHandler = walk.start
    parser.EndElementHandler = walk.end
    parser.CharacterDataHandler = walk.words
    parser.EntityDeclHandler = walk.entity
    parser.ProcessingInstructionHandler = walk.instruction
    # A declared encoding is about the file's bytes; here it is text already.
    plain = re.sub(r"\A\ufeff?(<\?xml[^>]*?)\s+encoding=(\"[^\"]*\"|'[^']*')", r"\1", text)
    try:
        parser.Parse(plain.removeprefix("\ufeff").encode(), True)
    except _NoDrawing:
        pass
    except expat.ExpatError as error:
        walk.told["form"] = Problem(
            Origin(file, error.lineno, error.offset + 1),
            "this is not a whole SVG drawing",
            "save it again from the drawing program, as plain SVG",
            "figure-form",
        )
    return sorted(walk.told.values())


class _NoDrawing(Exception):
    """The rest is not worth reading."""


class _Walk:
    """Sees each part of a drawing once, and notes what is no part of one."""

    def __init__(self, file: str, parser: expat.XMLParserType) -> None:
        self.file, self.parser = file, parser
        self.told: dict[str, Problem] = {}
        self.depth = 0
        self.refused = 0  # depth within an element that is told already
        self.styles = 0
        self.style = ""

    def start(self, name: str, attributes: dict[str, str]) -> None:
        space, _, local = name.rpartition(_GAP)
        if self.depth == 0 and (space, local) != (SVG, "svg"):
            mend = f'its first element has to be <svg xmlns="{SVG}">'
            self.tell("this is not an SVG drawing", mend, "figure-form")
            raise _NoDrawing
        self.depth += 1
        if self.refused or space == XHTML or (space == SVG and local not in ELEMENTS):
            if not self.refused:
                self.tell(f"a drawing may not hold {quoted(local)}")
            self.refused += 1
            return
        if space == SVG and local == "style":
            self.styles += 1
        for full, value in attributes.items():
            self.attribute(*full.rpartition(_GAP)[::2], value)

    def end(self, name: str) -> None:
        self.depth -= 1
        if self.refused:
            self.refused -= 1
        elif name == f"{SVG}{_GAP}style":
            self.styles -= 1
            if _STYLE_TRICK.search(self.style):
                self.tell("the style of a drawing may not fetch anything")
            self.style = ""

    def words(self, text: str) -> None:
        if self.styles:
            self.style += text

    def entity(self, name: str, *_: object) -> None:
        self.tell(f"a drawing may not declare entities, such as {quoted(name)}")
        raise _NoDrawing

    def instruction(self, target: str, _: str) -> None:
        self.tell(f"a drawing may not hold the instruction {quoted(target)}")

    def attribute(self, space: str, name: str, value: str) -> None:
        if name.lower().startswith("on") and space in ("", SVG, XHTML):
            self.tell(f"a drawing may not hold {quoted(name)}")
        if name in ("href", "src") and space in ("", SVG, XLINK):
            if not value.strip().startswith("#") and not _PICTURE.fullmatch(value.strip()):
                self.tell(f"a drawing may not fetch {quoted(value)}")
        elif space in ("", SVG) and _STYLE_TRICK.search(value):
            self.tell(f"a drawing may not hold {quoted(value)}")

    def tell(
        self,
        message: str,
        hint: str = "save it as plain SVG: shapes, colours and words alone",
        code: str = "figure-runs",
    ) -> None:
        if message in self.told or len(self.told) == MAX_FAULTS:
            return
        place = Origin(
            self.file, self.parser.CurrentLineNumber, self.parser.CurrentColumnNumber + 1
        )
        self.told[message] = Problem(place, message, hint, code)
