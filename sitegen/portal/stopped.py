"""What stops a plan for the runner's own sake, as Now, Weeks and the navigation need it."""

from __future__ import annotations

from typing import NamedTuple

from sitegen.care import sentences
from sitegen.care.sentences import StopKind
from sitegen.portal.contact import Coach, Contact, coach_of, contact
from sitegen.portal.reacting import GRADES
from sitegen.portal.scene import Scene

# The line that a plan carries tells which stop it is.
_KINDS: dict[str, StopKind] = {
    sentences.LINE_NOW: "now",
    sentences.LINE_TODAY: "today",
    sentences.LINE_SELF_HARM: "self_harm",
    sentences.LINE_PAIN: "pain",
    **dict.fromkeys(sentences.RESTS.values(), "rest"),
    sentences.LINE_REST_TOLD: "rest_told",
    sentences.LINE_ILL: "ill",
    sentences.LINE_ILL_OVER: "over",
    sentences.LINE_RAN: "ran",
}


class StopNotice(NamedTuple):
    """Why nobody should run by this plan today, what to do first, and whom to call.

    ``title`` and ``do`` are English sentences of the catalogue; ``calls`` puts the emergency
    number before them.
    """

    kind: StopKind
    title: str
    do: tuple[str, ...]
    calls: bool
    emergency: Contact | None
    coach: Coach


def stop_notice(scene: Scene) -> StopNotice | None:
    """None where the plan goes on, has ended, or rests because the coach paused it."""
    kind = _kind(scene)
    if kind is None:
        return None
    return _notice(scene, kind)


def device_notices(scene: Scene) -> tuple[StopNotice, ...]:
    """What the device shows by itself, by its own check-ins; the gravest first, and what it says
    once the client has told it that an illness is over."""
    return tuple(_notice(scene, kind) for kind in (*GRADES, "over"))


def _notice(scene: Scene, kind: StopKind) -> StopNotice:
    words = sentences.STOPS[kind]
    case = scene.case
    number, coach = case.emergency, coach_of(case.practice)
    return StopNotice(
        kind=kind,
        title=words.title,
        do=words.do,
        calls=words.calls,
        emergency=contact(number) if number else None,
        coach=coach,
    )


def _kind(scene: Scene) -> StopKind | None:
    """Which stop; who is referred is never without words, whatever the line says."""
    plan = scene.plan
    if plan.status not in ("referred", "paused"):
        return None
    for decision in plan.decisions:
        kind = _KINDS.get(decision.says.template)
        if kind is not None:
            return kind
        if decision.rule in ("screening", "history", "returning"):
            return "screening"
        if decision.rule in ("signs", "pain"):
            return "today"
    return "today" if plan.status == "referred" else None
