"""Now: what to do next. Which session that is, the browser decides from its own date.

Here stand only the words for each state that a day can be in. The session itself is copied from
the view Weeks by the page's script, so a page built on Monday is right on Thursday.
"""

from __future__ import annotations

from dataclasses import dataclass

from sitegen.model.checkin import URGENT_SIGNS
from sitegen.portal.care import Contact, contact
from sitegen.portal.scene import Scene, View
from sitegen.portal.weeks import Reason, event_words, reasons
from sitegen.portal.words import N_


@dataclass(frozen=True, slots=True)
class NowView:
    called: str
    status: str
    urgent: bool
    screened_out: bool
    first_day: str
    as_of: str
    event: str
    goal: str
    coach: str
    contact: Contact
    emergency: Contact | None
    reasons: tuple[Reason, ...]
    can_beat: bool


def build(scene: Scene) -> NowView:
    """The words for every state; the browser shows one."""
    case, plan = scene.case, scene.plan
    first = plan.sessions[0].on if plan.sessions else case.client.plan.from_
    emergency = case.practice.emergency
    return NowView(
        called=case.client.greeting,
        status=plan.status,
        urgent=plan.status == "referred" and told_urgent_sign(scene),
        screened_out=any(d.rule == "screening" for d in plan.decisions),
        first_day=scene.words.long_date(first),
        as_of=scene.words.long_date(plan.as_of),
        event=event_words(scene),
        goal=case.client.goal.text or "",
        coach=case.practice.coach or case.practice.name,
        contact=contact(case.practice.contact),
        emergency=contact(emergency) if emergency else None,
        reasons=reasons(plan.decisions, scene, {}),
        can_beat=bool(plan.sessions),
    )


def told_urgent_sign(scene: Scene) -> bool:
    """True where a check-in told of a sign that can't wait."""
    return any(sign in URGENT_SIGNS for entry in scene.case.log for sign in entry.signs)


VIEW = View("now", N_("Now"), N_("Now"), build)
