"""Care: cautions, signs to stop at, whom to call, and what this tool is not.

Sources for the signs: Riebe et al. 2015 (screening questions; wording ours), the ACSM position
stand on exertional heat illness 2007, Knobloch et al. 2025 and Kahanov et al. 2015 (bone stress),
a regional knee referral pathway with the Ottawa knee rule (Stiell et al. 1996). The list is not
complete, and says so.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from sitegen.model.sentence import N_
from sitegen.portal.scene import Scene, View


@dataclass(frozen=True, slots=True)
class Contact:
    """How to reach someone: what is read, and where a tap leads (empty: nowhere)."""

    text: str
    href: str


@dataclass(frozen=True, slots=True)
class CareView:
    coach: str
    contact: Contact
    emergency: Contact | None
    knee: bool
    fuel: bool


def build(scene: Scene) -> CareView:
    practice = scene.case.practice
    knee = getattr(scene.case.settings.get("pain"), "profile", "standard") == "knee"
    return CareView(
        coach=practice.coach or practice.name,
        contact=contact(practice.contact),
        emergency=contact(practice.emergency) if practice.emergency else None,
        knee=knee,
        fuel=scene.case.client.fuel is not None,
    )


def contact(text: str) -> Contact:
    """A mail address or a telephone number becomes a link; anything else stays words."""
    if re.fullmatch(r"[^@\s<>\"']+@[^@\s<>\"']+", text):
        return Contact(text, f"mailto:{text}")
    digits = re.sub(r"[ ()./-]", "", text)
    if re.fullmatch(r"\+?[0-9]{2,16}", digits):
        return Contact(text, f"tel:{digits}")
    return Contact(text, "")


VIEW = View("care", N_("Care"), N_("Care"), build, shared=True)
