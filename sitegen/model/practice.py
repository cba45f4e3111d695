"""The coach's own settings, `practice.yaml`."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field, PlainValidator, WithJsonSchema

from sitegen.model.client import CALENDAR, CHECKINS, PRIVACY, UNITS, Ease, Hard, ToRead, Written
from sitegen.model.colour import GROUND_LIGHT, MIN_CONTRAST, contrast, is_hex, readable
from sitegen.model.kinds import (
    AddressText,
    ContactText,
    DateText,
    IdText,
    LanguageText,
    PictureNameText,
    Prose,
    Text,
    TimezoneText,
    choice,
    percent,
    quoted,
    slip,
    whole,
)
from sitegen.model.values import Percent


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


class Notice(Written):
    """A word to every client of the practice, or of a group, from one day to another."""

    from_: DateText = Field(alias="from", description="first day on which it is shown")
    until: DateText = Field(description="last day on which it is shown")
    text: Prose
    read: ToRead = Field(default_factory=list)


class GroupPlan(Written):
    """What the clients of a group can share of `plan`."""

    growth: Annotated[Percent, percent(0, 30)] | None = None
    ease: Ease | None = None
    hard: Hard | None = None


class GroupCadence(Written):
    """What the clients of a group can share of `cadence`."""

    step: Annotated[Percent, percent(0, 5, above_low=True)] | None = None
    hold: Annotated[int, whole(1, 8, "weeks, a whole number")] | None = None


class Group(Written):
    """Settings that some clients share. The client's own file goes before them, the practice's
    settings come after. Fields have the names that they have in a client's file."""

    rules: dict[str, Any] = Field(default_factory=dict)
    units: Annotated[str, choice(*UNITS)] | None = None
    language: LanguageText | None = None
    timezone: TimezoneText | None = None
    privacy: Annotated[str, choice(*PRIVACY)] | None = None
    calendar: Annotated[str, choice(*CALENDAR)] | None = None
    drills: list[IdText] = Field(default_factory=list)
    plan: GroupPlan = Field(default_factory=GroupPlan)
    cadence: GroupCadence = Field(default_factory=GroupCadence)
    notes: list[Notice] = Field(default_factory=list)


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
    logo: PictureNameText | None = None
    rules: dict[str, Any] = Field(
        default_factory=dict, description="house values of rule parameters"
    )
    address: AddressText | None = None
    privacy: Annotated[str, choice(*PRIVACY)] = "sealed"
    calendar: Annotated[str, choice(*CALENDAR)] = "discreet"
    checkins: Annotated[str, choice(*CHECKINS)] = "expected"
    urgent_words: list[Text] = Field(
        default_factory=list, description="words of your own that sound the alarm in a message"
    )
    targets: dict[str, Text] = Field(default_factory=dict)
    notes: list[Notice] = Field(default_factory=list, description="words to every client, by date")
    groups: dict[str, Group] = Field(
        default_factory=dict, description="settings that some clients share, by the group's name"
    )
