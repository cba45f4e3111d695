"""Collagen before strength work: only for who was asked, and in the amounts studied."""

from __future__ import annotations

from collections.abc import Iterator

from sitegen.model.case import Origins
from sitegen.model.client import Client
from sitegen.model.problem import Problem
from sitegen.practice.checks.telling import Check, error, warning

VITAMIN_C_USUAL_MG = 200


def _fuel_asked(client: Client, origins: Origins) -> Iterator[Problem]:
    if client.fuel is not None and client.fuel.asked_on is None:
        yield error(
            origins.at("fuel"),
            "fuel-not-asked",
            '"asked_on" is missing in fuel',
            "go through the cautions with the client first, then add asked_on: and the date",
        )


def _vitamin_c(client: Client, origins: Origins) -> Iterator[Problem]:
    if client.fuel is not None and client.fuel.vitamin_c.mg > VITAMIN_C_USUAL_MG:
        yield warning(
            origins.value("fuel", "vitamin_c"),
            "fuel-vitamin-c",
            f"{client.fuel.vitamin_c.mg:g} mg of vitamin C is a lot",
            f"about 50 mg is enough; up to {VITAMIN_C_USUAL_MG} mg raises no warning",
        )


CHECKS: tuple[Check, ...] = (
    _fuel_asked,
    _vitamin_c,
)
