"""Drills: what to practise, how many, cues, common slips, when to stop, and a figure."""

from __future__ import annotations

import base64
import re
from typing import NamedTuple

from markupsafe import Markup, escape

from sitegen.model.drill import Drill
from sitegen.model.sentence import N_
from sitegen.portal.scene import Scene, View
from sitegen.portal.stopped import stop_notice

_LABEL = re.compile(r'aria-label="[^"]*"')
# What no drawing needs within a page; view.css has the strokes of each kind of line.
_IDLE = re.compile(r'(?<=>)\s+| (?:xmlns|stroke-width|stroke-linecap|stroke-linejoin)="[^"]*"')
PLACE_WORDS = {
    "warm_up": N_("Before the run"),
    "on_the_run": N_("On the run"),
    "after": N_("After the run"),
    "strength": N_("Strength days"),
}


class DrillGroup(NamedTuple):
    title: str
    drills: tuple[Markup, ...]


class DrillsView(NamedTuple):
    groups: tuple[DrillGroup, ...]
    are_apart: bool  # shipped drills come as a file of their own


def build(scene: Scene) -> DrillsView:
    """The client's drills by when they are done; within that, in the order given.

    Clients share drills, so each is drawn once for all of them.
    """
    groups: list[DrillGroup] = []
    places = [*PLACE_WORDS, *dict.fromkeys(d.where for d in scene.drills)]
    for place in dict.fromkeys(places):
        here = tuple(scene.drawn_drill(d) for d in scene.drills if d.where == place)
        if here:
            title = PLACE_WORDS.get(place, N_("Other drills"))
            groups.append(DrillGroup(scene.words.gettext(title), here))
    return DrillsView(tuple(groups), scene.are_apart)


def figure(drill: Drill) -> Markup:
    """A shipped drawing goes into the page and takes its colours; a coach's own is a picture.

    In a picture nothing can run and nothing loads, whatever the file holds.
    """
    if not drill.figure:
        return Markup("")
    if not drill.own:
        label = str(escape(drill.shows))
        drawn = _LABEL.sub(f'aria-label="{label}"', drill.figure, 1) if label else drill.figure
        return Markup(_IDLE.sub("", drawn))
    data = base64.b64encode(drill.figure.encode()).decode("ascii")
    return Markup('<img class="picture" src="data:image/svg+xml;base64,{}" alt="{}">').format(
        data, drill.shows or drill.title
    )


def shows(scene: Scene) -> bool:
    """Not where the client is to do nothing."""
    return stop_notice(scene) is None


VIEW = View("drills", N_("Drills"), N_("Drills"), build, shows=shows)
