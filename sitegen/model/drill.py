"""A drill: what a client practises beside running, and when to stop."""

from __future__ import annotations

from typing import NamedTuple

STAGES = ("first_steps", "building", "step_rate", "sharpening", "easing", "strength")
PLACES = ("warm_up", "on_the_run", "after", "strength")


class Drill(NamedTuple):
    """One drill, read from a Markdown file with front matter.

    ``text`` is Markdown, ``figure`` an SVG drawing or empty, ``shows`` the drawing in words; where
    that is empty, the drawing's own label counts. ``own`` is True for a coach's own. ``timer`` are
    how often it is held, the seconds of each, and the seconds between; empty for none.
    """

    id: str
    title: str
    purpose: str
    stages: tuple[str, ...]
    where: str
    minutes: int
    dose: str
    cues: tuple[str, ...] = ()
    slips: tuple[str, ...] = ()
    stop: tuple[str, ...] = ()
    source: str = ""
    text: str = ""
    figure: str = ""
    shows: str = ""
    own: bool = False
    timer: tuple[int, ...] = ()
