"""What a coach and a client wrote, in Markdown, as a page shows it."""

from __future__ import annotations

import re
from functools import cached_property
from typing import Any

from markupsafe import Markup

from sitegen.portal.views.care import text_place
from sitegen.practice.links import TEXTS

# A line without a sign that Markdown or HTML knows, as most that clients say. The library takes a
# fifth of a millisecond for each, a tenth of a page's drawing, and gives the same.
SENTENCES = re.compile(r"[^\W\d_](?: ?(?:[^\W_]|[,.;!?'-]))*")


class Prose:
    """``prose(text)`` draws Markdown: no images, HTML as text, links that tell no one."""

    def __call__(self, text: str) -> Markup:
        if SENTENCES.fullmatch(text):
            return Markup(f"<p>{text}</p>\n")
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
