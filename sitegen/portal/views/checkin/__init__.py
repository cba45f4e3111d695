"""Check-in: what a client did and felt. Its script reads the portal's data block itself.

Which signs can be ticked, and what each asks for, is one list for the form and for the plan.
"""

from __future__ import annotations

from typing import NamedTuple

from sitegen.care import sentences
from sitegen.care.signs import ILL, NOW, TODAY
from sitegen.model.checkin import SIGNS
from sitegen.model.sentence import N_
from sitegen.portal.scene import Scene, View


class Tick(NamedTuple):
    """A sign, and how the form names it: an English sentence of the catalogue."""

    sign: str
    words: str


def _ticks(signs: tuple[str, ...]) -> tuple[Tick, ...]:
    return tuple(Tick(sign, sentences.SIGN_WORDS[sign]) for sign in signs if sign in SIGNS)


class CheckinView(NamedTuple):
    """Signs in their groups, and what the form says as soon as one of a group is ticked."""

    now: tuple[Tick, ...] = _ticks(NOW)
    today: tuple[Tick, ...] = _ticks(TODAY)
    ill: tuple[Tick, ...] = _ticks(ILL)
    say_now: tuple[str, ...] = sentences.FORM_NOW
    say_today: tuple[str, ...] = sentences.FORM_TODAY
    say_harm: tuple[str, ...] = (
        sentences.STOPS["self_harm"].title,
        *sentences.STOPS["self_harm"].do,
    )
    say_found: str = sentences.FORM_FOUND
    say_stays: str = sentences.FORM_STAYS
    say_ill: tuple[str, ...] = sentences.FORM_ILL
    say_rest: str = sentences.FORM_REST
    say_severe: str = sentences.FORM_SEVERE


def build(scene: Scene | None) -> CheckinView:
    """The same for every client."""
    return CheckinView()


VIEW = View("checkin", N_("Check-in"), N_("Check-in"), build, shared=True, alike=True)
