"""The coach's own settings, `practice.yaml`."""

from __future__ import annotations

from datetime import date
from typing import Any

from sitegen.model.client import CALENDAR, CHECKINS, PRIVACY, UNITS, Ease, Hard
from sitegen.model.colour import GROUND_LIGHT, MIN_CONTRAST, contrast, is_hex, readable
from sitegen.model.kinds import (
    ADDRESS,
    CONTACT,
    DATE,
    DRILL_ID,
    LANGUAGE,
    PICTURE_NAME,
    PROSE,
    TEXT,
    TEXT_ID,
    TIMEZONE,
    YES_NO,
    Kind,
    choice,
    percent,
    quoted,
    slip,
    whole,
)
from sitegen.model.record import Record, row
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


ACCENT = Kind(
    (str,),
    _accent,
    "a colour",
    "like '#9c3d1e'",
    {"type": "string", "pattern": "^#([0-9a-fA-F]{3}){1,2}$"},
    of_anything=True,
)


class Notice(Record):
    """A word to every client of the practice, or of a group, from one day to another."""

    from_: date = row(DATE, "2027-03-15", "first day on which it is shown", needed=True, key="from")
    until: date = row(DATE, "2027-03-21", "last day on which it is shown", needed=True)
    text: str = row(PROSE, "The track is closed this week.", "the words; Markdown, if you like", needed=True)
    read: list[str] = row(TEXT_ID, "[shoes]", "texts of yours that go with it, by id: files in `texts/`", many="one or list")


class GroupPlan(Record):
    """What the clients of a group can share of `plan`."""

    growth: Percent | None = row(percent(0, 30), "8 %", "most that a building week grows")
    ease: Ease | None = row(Ease, "{every: 3, by: 25 %}", "how often a week is made easy, and by how much")
    hard: Hard | None = row(Hard, "{from_week: 5, per_week: 1}", "hard sessions; left out is none")


class GroupCadence(Record):
    """What the clients of a group can share of `cadence`."""

    step: Percent | None = row(percent(0, 5, above_low=True), "2 %", "most that the aim rises at once, as a share of the baseline")
    hold: int | None = row(whole(1, 8, 'weeks, a whole number'), "3", "weeks for which the aim then stays")


class Group(Record):
    """Settings that some clients share. The client's own file goes before them, the practice's
    settings come after. Fields have the names that they have in a client's file."""

    EXAMPLE = "{plan: {growth: 8 %}}"

    rules: dict[str, Any] = row(None, "{pain: {profile: knee}}", "values of rule parameters for the group", many="by name")
    units: str | None = row(choice(*UNITS), "km", "what distances and paces are shown in")
    language: str | None = row(LANGUAGE, "en", "the language of the portals")
    timezone: str | None = row(TIMEZONE, "Europe/Lisbon", "where the clients are")
    privacy: str | None = row(choice(*PRIVACY), "sealed", "sealed: only the private link opens a portal; open: anyone can")
    calendar: str | None = row(choice(*CALENDAR), "discreet", "discreet: feeds say only Run, 35 min; full: parts and beat too; off: none")
    drills: list[str] = row(DRILL_ID, "[quiet-landing, tall-posture]", "drills by id, for clients whose file names none", many="list")
    plan: GroupPlan = row(GroupPlan, "{growth: 8 %, ease: {every: 3, by: 25 %}}", "growth, easy weeks and hard sessions", default=GroupPlan)
    cadence: GroupCadence = row(GroupCadence, "{step: 2 %, hold: 3}", "how slowly the step rate rises", default=GroupCadence)
    notes: list[Notice] = row(Notice, "[{from: 2027-03-15, until: 2027-03-21, text: The track is closed this week.}]", "words to every client of the group, by date", many="list")


# Stand in where ``practice.yaml`` can't be read; nobody has either. ``invalid``: RFC 2606.
NO_NAME, NO_CONTACT = "?", "nobody@practice.invalid"


class Practice(Record):
    """Settings that hold for every client unless the client's file says otherwise."""

    name: str = row(TEXT, "Lane Four Running", "your practice's name", needed=True)
    coach: str | None = row(TEXT, "Ines", "your own name, as clients read it")
    contact: str = row(CONTACT, "coach@example.org", "where check-ins and questions go: e-mail or telephone", needed=True)
    timezone: str = row(TIMEZONE, "Europe/Lisbon", "where your clients are, unless a client's file says otherwise", needed=True)
    units: str = row(choice(*UNITS), "km", "what distances and paces are shown in", default='km')
    language: str = row(LANGUAGE, "en", "the language of the portals", default='en')
    emergency: str | None = row(TEXT, "'112'", "the local emergency number")
    accent: str | None = row(ACCENT, "'#9c3d1e'", "colour of links and buttons; it has to be readable on the page")
    logo: str | None = row(PICTURE_NAME, "logo.png", "your logo, a PNG, JPEG or WebP file beside practice.yaml; at most 12 kB, and 512 pixels a side")
    rules: dict[str, Any] = row(None, "{volume: {growth: 8 %}}", "house values of rule parameters", many="by name")
    address: str | None = row(ADDRESS, "https://plans.example.org/", "the https address at which the built site is served; links and feeds need it")
    own_host: bool = row(YES_NO, "yes", "yes: nobody else has pages at the address's host, so none of them could read what a client's browser keeps", default=False, usual="no")
    privacy: str = row(choice(*PRIVACY), "sealed", "sealed: only the private link opens a portal; open: anyone can", default='sealed')
    calendar: str = row(choice(*CALENDAR), "discreet", "discreet: feeds say only Run, 35 min; full: parts and beat too; off: none", default='discreet')
    checkins: str = row(choice(*CHECKINS), "expected", "expected; or none, agreed with clients who never log", default='expected')
    urgent_words: list[str] = row(TEXT, "[my heart device]", "words of your own that sound the alarm in a message", many="list")
    targets: dict[str, str] = row(TEXT, "{site: ../site}", "where publish can bring the site: a name, and a folder or an address", many="by name")
    notes: list[Notice] = row(Notice, "[{from: 2027-03-15, until: 2027-03-21, text: The track is closed this week.}]", "words to every client, by date", many="list")
    groups: dict[str, Group] = row(Group, "{beginners: {plan: {growth: 8 %}}}", "settings that some clients share, by the group's name", many="by name")
