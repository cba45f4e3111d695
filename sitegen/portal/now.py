"""Now: what to do next. Which session that is, the browser decides from its own date.

Here stand only the words for each state that a day can be in. The session itself is copied from
the view Weeks by the page's script, so a page built on Monday is right on Thursday.
"""

from __future__ import annotations

from dataclasses import dataclass

from sitegen.model.checkin import URGENT_SIGNS
from sitegen.portal.care import Contact, contact
from sitegen.portal.scene import Scene, View
from sitegen.portal.weeks import Reason, reasons
from sitegen.portal.words import N_


@dataclass(frozen=True, slots=True)
class NowView:
    urgent: bool
    screened_out: bool
    first_day: str
    as_of: str
    coach: str
    emergency: Contact | None
    reasons: tuple[Reason, ...]


def build(scene: Scene) -> NowView:
    """The words for every state; the browser shows one."""
    case, plan = scene.case, scene.plan
    first = plan.sessions[0].on if plan.sessions else case.client.plan.from_
    emergency = case.practice.emergency
    return NowView(
        urgent=plan.status == "referred" and told_urgent_sign(scene),
        screened_out=any(d.rule == "screening" for d in plan.decisions),
        first_day=scene.words.long_date(first),
        as_of=scene.words.long_date(plan.as_of),
        coach=case.practice.coach or case.practice.name,
        emergency=contact(emergency) if emergency else None,
        reasons=reasons(plan.decisions, scene, {}),
    )


def told_urgent_sign(scene: Scene) -> bool:
    """True where a check-in told of a sign that can't wait."""
    return any(sign in URGENT_SIGNS for entry in scene.case.log for sign in entry.signs)


VIEW = View("now", N_("Now"), N_("Now"), build)
