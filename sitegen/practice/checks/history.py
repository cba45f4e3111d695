"""What is known of health: each answer tells the coach what it asks of her."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from datetime import timedelta

from sitegen.care import history as told
from sitegen.care.signs import sign_words
from sitegen.model.case import Origins
from sitegen.model.client import Client
from sitegen.model.problem import Problem
from sitegen.practice.checks.telling import Check, warning
from sitegen.practice.partly import known

YEAR = timedelta(days=366)  # an injury told is of the 12 months before the talk
NO_COLLAGEN = ("blood_thinner", "pregnant")  # of the cautions that are gone through before it


def _known(client: Client, origins: Origins) -> Iterator[Problem]:
    history = client.history
    if history is None:
        return
    for name, asks in told.answered(history):
        if name == "injury":  # with the ways back, below
            continue
        field = "medicines" if name in told.MEDICINE_ASKS else name
        yield warning(origins.value("history", field), "history", asks.why, asks.do)


def injury(client: Client, origins: Origins, ways: Collection[str]) -> Iterator[Problem]:
    """An injury told, until a way back is written. A way cleared before it is of something else.

    Args:
        client: What was read.
        origins: Where it was written.
        ways: Names of the ways back that there are; none leaves them unnamed.
    """
    history, way = client.history, client.return_
    if history is None or not history.injury:
        return
    if way is not None:
        since = (history.on or client.screening.on) - YEAR
        if way.cleared_on is None or way.cleared_on >= since:
            return
    asks = told.HISTORY["injury"]
    names = f", NAME one of {', '.join(sorted(ways))}" if ways else ""
    yield warning(origins.value("history", "injury"), "history", asks.why, f"{asks.do}{names}")


def _signs(client: Client, origins: Origins) -> Iterator[Problem]:
    """Present pain in words of danger, which no answer to the screening outweighs."""
    for sign in told.signs_now(client.history) if client.history else ():
        yield warning(
            origins.value("history", "pain_now"),
            "history-sign",
            f"this tells of {sign_words(sign)}, {_waits(client)}",
            "if it is there now, call the emergency number; write cleared_on and cleared_by later",
        )


def _waits(client: Client) -> str:
    """What it waits for; whether a clearance that stands there counts is told beside that."""
    asked = known(client, "screening")
    if asked is not None and known(asked, "cleared_on") is not None:
        return "so what is planned hangs on the clearance alone"
    return "so nothing is planned before a clinician's word"


def _much_pain(client: Client, origins: Origins) -> Iterator[Problem]:
    if client.history and told.is_much_pain(client.history):
        yield warning(
            origins.value("history", "pain_now"),
            "history-much-pain",
            f"pain of {told.pain_score(client.history)} of 10 before the first run, "
            f"{_waits(client)}",
            "write cleared_on and cleared_by once it is there",
        )


def _low(client: Client, origins: Origins) -> Iterator[Problem]:
    if client.history and told.is_low(client.history):
        both = [name for name in told.LOW_ENERGY if getattr(client.history, name)]
        yield warning(
            origins.at("history"),
            "history-low-energy",
            f"{' and '.join(both)} together: nothing is planned before a clinician's word",
            "write cleared_on and cleared_by once it is there",
        )


def _metabolic(client: Client, origins: Origins) -> Iterator[Problem]:
    if not client.history or told.METABOLIC not in client.history.medicines:
        return
    if not client.screening.known_disease:
        yield warning(
            origins.value("history", "medicines"),
            "history-disease",
            "insulin is for a metabolic disease, and known_disease says no",
            "answer it with yes; until then nothing is planned before a clinician's word",
        )


def _collagen(client: Client, origins: Origins) -> Iterator[Problem]:
    history = client.history
    if history is None or client.fuel is None:
        return
    against = [n for n, _ in told.answered(history) if n in NO_COLLAGEN]
    if against:
        yield warning(
            origins.at("fuel"),
            "fuel-caution",
            f"collagen with vitamin C is on, and history tells of {' and '.join(against)}",
            "take fuel out, unless a doctor has agreed to it",
        )


CHECKS: tuple[Check, ...] = (
    _known,
    _signs,
    _much_pain,
    _low,
    _metabolic,
    _collagen,
)
