"""Care: cautions, signs to stop at, whom to call, and what this tool is not.

Sources for the signs: Riebe et al. 2015 (screening questions; wording ours), the ACSM position
stand on exertional heat illness 2007, Knobloch et al. 2025 and Kahanov et al. 2015 (bone stress),
a regional knee referral pathway with the Ottawa knee rule (Stiell et al. 1996). The list is not
complete, and says so.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from markupsafe import Markup

from sitegen.model.sentence import N_
from sitegen.portal.contact import Contact, contact
from sitegen.portal.scene import Scene, View

_HEADING = re.compile(r"<(/?)h([1-6])>")


class Reading(NamedTuple):
    """A text of the coach's own, drawn."""

    id: str
    title: str
    text: Markup


class CareView(NamedTuple):
    coach: str
    contact: Contact
    emergency: Contact | None
    knee: bool
    fuel: bool
    texts: tuple[Reading, ...] = ()


def build(scene: Scene) -> CareView:
    practice = scene.case.practice
    knee = getattr(scene.case.settings.get("pain"), "profile", "standard") == "knee"
    return CareView(
        coach=practice.coach or practice.name,
        contact=contact(practice.contact),
        emergency=contact(practice.emergency) if practice.emergency else None,
        knee=knee,
        fuel=scene.case.client.fuel is not None,
        texts=tuple(
            Reading(h.id, h.title, _below(scene.shared_markdown(h.text))) for h in scene.handouts
        ),
    )


def _below(text: Markup) -> Markup:
    """Headings of a text, one step or two below its title's."""
    return Markup(_HEADING.sub(lambda m: f"<{m[1]}h{5 if m[2] in '12' else 6}>", text))


def text_place(id: str) -> str:
    """Where in the portal a text of the coach's stands."""
    return f"#care/text-{id}"


VIEW = View("care", N_("Care"), N_("Care"), build, shared=True)
