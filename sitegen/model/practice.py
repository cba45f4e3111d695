"""The coach's own settings, `practice.yaml`."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field, PlainValidator, WithJsonSchema

from sitegen.model.client import CALENDAR, PRIVACY, UNITS, Written
from sitegen.model.colour import GROUND_LIGHT, MIN_CONTRAST, contrast, is_hex, readable
from sitegen.model.kinds import (
    AddressText,
    ContactText,
    LanguageText,
    Text,
    TimezoneText,
    choice,
    quoted,
    slip,
)


def _accent(value: object) -> object:
    if value == "":
        raise slip(
            "empty",
            "nothing is written here: a # begins a comment",
            "write a CSS hex colour in quotes, like '#9c3d1e'",
        )
    if not isinstance(value, str) or not is_hex(value.strip()):
        shown = quoted(value) if isinstance(value, str) else "this"
        raise slip(
            "accent-form",
            "{wrong} is not a colour",
            "write a CSS hex colour in quotes, like '#9c3d1e'",
            wrong=shown,
        )
    colour = value.strip().lower()
    found = contrast(colour, GROUND_LIGHT)
    if found < MIN_CONTRAST:
        raise slip(
            "accent-contrast",
            "{wrong} reaches a contrast of {found} on the page, below 4.5",
            f"write '{readable(colour, GROUND_LIGHT)}', the nearest that reaches it",
            wrong=colour,
            found=f"{int(found * 100) / 100:.2f}",
        )
    return colour


AccentText = Annotated[
    str,
    PlainValidator(_accent),
    WithJsonSchema({"type": "string", "pattern": "^#([0-9a-fA-F]{3}){1,2}$"}),
]


class Practice(Written):
    """Settings that hold for every client unless the client's file says otherwise."""

    name: Text
    coach: Text | None = None
    contact: ContactText
    timezone: TimezoneText
    units: Annotated[str, choice(*UNITS)] = "km"
    language: LanguageText = "en"
    emergency: Text | None = Field(None, description="the local emergency number")
    accent: AccentText | None = None
    rules: dict[str, Any] = Field(
        default_factory=dict, description="house values of rule parameters"
    )
    address: AddressText | None = None
    privacy: Annotated[str, choice(*PRIVACY)] = "sealed"
    calendar: Annotated[str, choice(*CALENDAR)] = "discreet"
    targets: dict[str, Text] = Field(default_factory=dict)
