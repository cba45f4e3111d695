"""Care: call now, a clinician today, ask the coach; and what this tool is not.

The sentences and their sources stand in `sitegen.care.sentences`. The list is not complete, and
says so.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from markupsafe import Markup

from sitegen.care import own_lines, sentences
from sitegen.model.sentence import N_
from sitegen.portal.contact import Coach, Contact, coach_of, contact
from sitegen.portal.scene import Scene, View

_HEADING = re.compile(r"<(/?)h([1-6])>")


class ShownText(NamedTuple):
    """A text of the coach's own, drawn."""

    id: str
    title: str
    text: Markup


class CareView(NamedTuple):
    coach: Coach
    emergency: Contact | None
    pain: str
    fuel: bool
    call_now: tuple[str, ...] = sentences.CALL_NOW
    today: tuple[str, ...] = sentences.TODAY_LINES
    ask: tuple[str, ...] = sentences.ASK_COACH
    weak: str = sentences.PAIN_WEAK
    not_a_clinic: str = sentences.NOT_A_CLINIC
    texts: tuple[ShownText, ...] = ()


def build(scene: Scene) -> CareView:
    number = scene.case.emergency
    knee = getattr(scene.case.settings.get("pain"), "profile", "standard") == "knee"
    own_now, own_today = _own_lines(scene)
    return CareView(
        coach=coach_of(scene.case.practice),
        emergency=contact(number) if number else None,
        pain=sentences.PAIN_KNEE if knee else sentences.PAIN_STANDARD,
        fuel=scene.case.client.fuel is not None,
        call_now=(*own_now, *sentences.CALL_NOW),
        today=(*own_today, *sentences.TODAY_LINES),
        texts=tuple(
            ShownText(h.id, h.title, _below(scene.shared_markdown(h.text))) for h in scene.handouts
        ),
    )


def _own_lines(scene: Scene) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What is *now* and *today* for this client alone; a page that is open to all tells nothing."""
    history = scene.case.client.history
    if history is None or scene.case.privacy != "sealed":
        return (), ()
    is_thin = "blood_thinner" in history.medicines
    pregnant = (own_lines.CARE_PREGNANT_NOW,) if history.pregnant else ()
    now = (own_lines.CARE_THINNER_NOW,) if is_thin else ()
    return (*pregnant, *now), (own_lines.CARE_THINNER_TODAY,) if is_thin else ()


def _below(text: Markup) -> Markup:
    """Headings of a text, one step or two below its title's."""
    return Markup(_HEADING.sub(lambda m: f"<{m[1]}h{5 if m[2] in '12' else 6}>", text))


def text_place(id: str) -> str:
    """Where in the portal a text of the coach's stands."""
    return f"#care/text-{id}"


VIEW = View("care", N_("Care"), N_("Care"), build, shared=True, has_number=True)
