"""Calendar: the feed's address, and how a calendar program takes it."""

from __future__ import annotations

from typing import NamedTuple

from sitegen.model.sentence import N_
from sitegen.portal.scene import Scene, View


class CalendarView(NamedTuple):
    """``subscribe`` is the address a calendar program opens; empty where the feed has none yet."""

    url: str
    subscribe: str
    discreet: bool
    fuel: bool


def shows(scene: Scene) -> bool:
    """Where there is a feed."""
    return scene.feed_url is not None


def build(scene: Scene) -> CalendarView:
    url = scene.feed_url or ""
    subscribe = "webcal" + url.removeprefix("https") if url.startswith("https://") else ""
    discreet = scene.case.calendar == "discreet"
    return CalendarView(url, subscribe, discreet, scene.case.client.fuel is not None)


VIEW = View("calendar", N_("Calendar"), N_("Calendar"), build, shows=shows)
