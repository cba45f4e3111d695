"""Links in a coach's own words to a place in the portal: a drill, a text of hers, a view.

They are written as in any Markdown, ``[the bridge](#drills/bridge)``. Found by a pattern and not
by a reader of Markdown: checking a practice shall not have to load one.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from typing import NamedTuple

from sitegen.model.kinds import nearest, quoted
from sitegen.model.problem import Origin, Problem

DRILLS, TEXTS = "drills", "texts"
VIEW_NAMES = ("now", "weeks", "beat", "checkin", "drills", "cadence", "calendar", "care")
_LINK = re.compile(
    r"(?:\]\([ \t]*<?|^[ ]{0,3}\[[^\]\n]+\]:[ \t]*<?)#(?P<place>[^\s()<>]*)", re.MULTILINE
)


class PlaceLink(NamedTuple):
    """``view`` and ``id`` of ``#view/id``; ``id`` may be empty. ``at`` counts characters from 0."""

    view: str
    id: str
    at: int


def place_links(text: str) -> tuple[PlaceLink, ...]:
    """Every link of a Markdown text that begins with ``#``."""
    if "#" not in text:
        return ()
    found = []
    for match in _LINK.finditer(text):
        view, _, id = match["place"].partition("/")
        found.append(PlaceLink(view, id, match.start("place") - 1))
    return tuple(found)


def broken_links(
    text: str, origin: Origin, drill_ids: Collection[str], text_ids: Collection[str]
) -> Iterator[Problem]:
    """A problem for each link that leads nowhere, all at ``origin``."""
    for link in place_links(text):
        if told := _broken(link, drill_ids, text_ids):
            yield Problem(origin, *told, "link-unknown")


def broken_links_of_file(
    text: str, file: str, lines: int, drill_ids: Collection[str], text_ids: Collection[str]
) -> Iterator[Problem]:
    """The same for a file of Markdown of which ``lines`` lines stand above ``text``."""
    for link in place_links(text):
        if told := _broken(link, drill_ids, text_ids):
            before = text[: link.at]
            column = link.at - (before.rfind("\n") + 1) + 1
            line = lines + before.count("\n") + 1
            yield Problem(Origin(file, line, column), *told, "link-unknown")


def _broken(
    link: PlaceLink, drill_ids: Collection[str], text_ids: Collection[str]
) -> tuple[str, str] | None:
    """What is wrong with a link, and what to write instead."""
    if link.view == DRILLS:
        if not link.id or link.id in drill_ids:
            return None
        mean = nearest(link.id, list(drill_ids))
        return f"there is no drill {quoted(link.id)} to link to", f"{mean}{_like(DRILLS)}"
    if link.view == TEXTS:
        if link.id in text_ids:
            return None
        mean = nearest(link.id, list(text_ids))
        message = f"there is no text {quoted(link.id)} to link to"
        return message, f"{mean}a text of your own is a file texts/{link.id or 'shoes'}.md"
    if link.view in VIEW_NAMES:
        return None
    return f"this link, {quoted('#' + link.view)}, leads nowhere", f"{_like(DRILLS)}, or #weeks"


def _like(view: str) -> str:
    return f"write #{view}/ and a drill's id, like #{view}/quiet-landing"


def unknown_text(id: str, origin: Origin, text_ids: Collection[str]) -> Problem:
    """For a text that a note names and the practice does not have."""
    return Problem(
        origin,
        f"there is no text {quoted(id)}",
        f"{nearest(id, list(text_ids))}a text of your own is a file texts/{id}.md",
        "text-unknown",
    )
