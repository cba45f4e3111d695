"""What stops a plan for the runner's own sake, as Now, Weeks and the navigation need it."""

from __future__ import annotations

from typing import Literal, NamedTuple

from sitegen.model.checkin import URGENT_SIGNS
from sitegen.portal.contact import Contact, contact
from sitegen.portal.scene import Scene


class Stopped(NamedTuple):
    """Why nobody should run by this plan today, and whom to call."""

    kind: Literal["urgent", "screening", "clinician"]
    emergency: Contact | None


def stopped(scene: Scene) -> Stopped | None:
    """None where the plan goes on, has ended, or rests because the coach paused it."""
    plan, emergency = scene.plan, scene.case.practice.emergency
    rules = {decision.rule for decision in plan.decisions}
    whom = contact(emergency) if emergency else None
    if plan.status == "referred" and _told_urgent_sign(scene):
        return Stopped("urgent", whom)
    if plan.status == "referred" and "screening" in rules:
        return Stopped("screening", whom)
    if plan.status == "referred" or (plan.status == "paused" and "signs" in rules):
        return Stopped("clinician", whom)
    return None


def _told_urgent_sign(scene: Scene) -> bool:
    """True where a check-in told of a sign that can't wait."""
    return any(sign in URGENT_SIGNS for entry in scene.case.log for sign in entry.signs)
