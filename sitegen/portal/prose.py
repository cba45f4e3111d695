"""What a coach and a client wrote, in Markdown, as a page shows it."""

from __future__ import annotations

import re
from functools import cached_property
from typing import Any

from markupsafe import Markup

from sitegen.portal.views.care import text_place
from sitegen.practice.links import TEXTS

# Paragraphs without a sign that Markdown or HTML knows but for *words* that are stressed, as most
# that are written. The library gives the same; it takes a fifth of a millisecond for each, and an
# edit does without loading it, which takes 25.
SENTENCES = re.compile(r"[^\W\d_](?:(?: |\n(?=[^\W\d_]))?(?:[^\W_]|[,.;!?'-]))*")
STRESSED = re.compile(r"(?<![^ \n])(\*\*?)([^\W_](?:[^*\n]*[^\W_])?)\1(?=[ \n,.;!?]|\Z)")


class Prose:
    """``prose(text)`` draws Markdown: no images, HTML as text, links that tell no one."""

    def __call__(self, text: str) -> Markup:
        paragraphs = text.split("\n\n")
        if all(SENTENCES.fullmatch(STRESSED.sub(r"\2", each)) for each in paragraphs):
            return Markup("".join(f"<p>{STRESSED.sub(_stress, each)}</p>\n" for each in paragraphs))
        return Markup(self.reader.render(text))

    @cached_property
    def reader(self) -> Any:
        """The library's own."""
        from markdown_it import MarkdownIt

        reader: Any = MarkdownIt("js-default")  # shows raw HTML as text, refuses javascript: links
        reader.disable("image")  # nothing loads from elsewhere
        reader.validateLink = _may_lead
        reader.add_render_rule("link_open", _link_open)
        return reader


def _stress(found: re.Match[str]) -> str:
    tag = "strong" if found[1] == "**" else "em"
    return f"<{tag}>{found[2]}</{tag}>"


def _may_lead(address: str) -> bool:
    """A link leads to a page, a mail, a number or a place in this portal; else it stays text."""
    return re.match(r"(?:https?://|mailto:|tel:|#)", address, re.IGNORECASE) is not None


def _link_open(self: Any, tokens: Any, index: int, options: Any, env: Any) -> str:
    """A link out of a portal must not tell where it came from. A coach's text stands in Care."""
    address = tokens[index].attrGet("href") or ""
    if address.startswith(f"#{TEXTS}/"):
        tokens[index].attrSet("href", text_place(address.removeprefix(f"#{TEXTS}/")))
    tokens[index].attrSet("rel", "noreferrer")
    return str(self.renderToken(tokens, index, options, env))
