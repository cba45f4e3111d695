"""What is known of health: each answer tells the coach what it asks of her."""

from __future__ import annotations

from collections.abc import Iterator

from sitegen.care import history as told
from sitegen.care.signs import sign_words
from sitegen.model.case import Origins
from sitegen.model.client import Client
from sitegen.model.problem import Problem
from sitegen.practice.checks.telling import Check, warning

NO_COLLAGEN = ("blood_thinner", "pregnant")  # of the cautions that are gone through before it


def _known(client: Client, origins: Origins) -> Iterator[Problem]:
    history = client.history
    if history is None:
        return
    for name, asks in told.answered(history):
        field = "medicines" if name in told.MEDICINE_ASKS else name
        yield warning(origins.value("history", field), "history", asks.why, asks.do)


def _signs(client: Client, origins: Origins) -> Iterator[Problem]:
    """Present pain in words of danger, which no answer to the screening outweighs."""
    for sign in told.signs_now(client.history) if client.history else ():
        yield warning(
            origins.value("history", "pain_now"),
            "history-sign",
            f"this tells of {sign_words(sign)}, so nothing is planned before a clinician's word",
            "if it is there now, call the emergency number; write cleared_on and cleared_by later",
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
    _low,
    _metabolic,
    _collagen,
)
