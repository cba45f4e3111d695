"""The whole walk of one client: texts, model, weeks, portal, files. No clock, no folders."""

from __future__ import annotations

import base64
import hmac
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from types import MappingProxyType

from sitegen import __version__
from sitegen.keys import Link
from sitegen.model.case import Case, Origins
from sitegen.model.drill import Drill
from sitegen.model.plan import Plan
from sitegen.model.practice import Practice
from sitegen.model.problem import Origin, Problem
from sitegen.portal.page import Look, Renderer, assets
from sitegen.reading import settings
from sitegen.reading.case import read_case
from sitegen.reading.drills import read_drill
from sitegen.reading.records import read_practice
from sitegen.rules import RULES
from sitegen.weeks.drilling import used, with_drills
from sitegen.weeks.fold import expand

ROBOTS = b"User-agent: *\nDisallow: /\n"
HEADERS = b"""\
# Headers for hosts that take such a file; docs/publishing.md says what to do for others.
/*
  X-Robots-Tag: noindex, nofollow
  Referrer-Policy: no-referrer
  X-Content-Type-Options: nosniff
  X-Frame-Options: DENY
  Cross-Origin-Opener-Policy: same-origin
  Permissions-Policy: camera=(), microphone=(), geolocation=()
/feeds/*
  Content-Type: text/calendar; charset=utf-8
  Cache-Control: no-cache
/assets/*
  Cache-Control: public, max-age=31536000, immutable
"""


@dataclass(frozen=True, slots=True)
class House:
    """What all clients of a practice share."""

    practice: Practice
    origins: Origins
    drills: tuple[Drill, ...]


@dataclass(frozen=True, slots=True)
class Texts:
    """A practice's files as read, with the names under which a coach knows them."""

    practice: bytes | None
    practice_file: str
    clients: Mapping[str, bytes]
    logs: Mapping[str, bytes]
    folder: str
    drills: Mapping[str, bytes] = field(default_factory=lambda: MappingProxyType({}))
    figures: Mapping[str, bytes] = field(default_factory=lambda: MappingProxyType({}))
    library: Mapping[str, tuple[bytes, str]] = field(default_factory=lambda: MappingProxyType({}))


def read_house(texts: Texts) -> tuple[House | None, tuple[Problem, ...]]:
    """The practice's own settings and every drill, or what is wrong with them."""
    if texts.practice is None:
        missing = Problem(
            Origin(texts.practice_file),
            "the practice's own file is missing",
            "write name, contact and timezone into it",
            "practice-missing",
        )
        return None, (missing,)
    found = read_practice(texts.practice, texts.practice_file)
    drills, problems = _drills(texts)
    problems = [*found.problems, *problems]
    if found.value is not None:
        problems += settings.check(RULES, found.value.rules, found.origins)[1]
    if found.value is None or any(p.level == "error" for p in problems):
        return None, tuple(sorted(problems))
    return House(found.value, found.origins, drills), tuple(sorted(problems))


def _drills(texts: Texts) -> tuple[tuple[Drill, ...], list[Problem]]:
    """Shipped drills, each replaced by the coach's own of the same id, in the order of ids."""
    found: dict[str, Drill] = {}
    problems: list[Problem] = []
    for id, (data, figure) in texts.library.items():
        drill, told = read_drill(id, data, f"library/drills/{id}.md", own=False, figure=figure)
        problems += told
        if drill is not None:
            found[id] = drill
    for id, data in texts.drills.items():
        figure = texts.figures.get(id, b"").decode("utf-8", "replace")
        drill, told = read_drill(
            id,
            data,
            f"{texts.folder}/drills/{id}.md",
            own=True,
            figure=figure,
            instead_of=found.get(id),
        )
        problems += told
        if drill is not None:
            found[id] = drill
    return tuple(found[id] for id in sorted(found)), problems


def read_client(texts: Texts, house: House, id: str) -> tuple[Case | None, tuple[Problem, ...]]:
    """One client's case, or what is wrong with its files."""
    return read_case(
        id,
        texts.clients[id],
        f"{texts.folder}/{id}.yaml",
        texts.logs.get(id),
        f"{texts.folder}/{id}.log.yaml",
        house.practice,
        house.origins,
        RULES,
        frozenset(d.id for d in house.drills),
    )


def plan_of(case: Case, house: House, as_of: date) -> Plan:
    """The expanded plan, drills named."""
    return with_drills(case, expand(case, as_of), house.drills)


def checkin_code(link: Link) -> str:
    """Eight letters by which the coach's tool knows whose check-in it is.

    Comes from the link's key, so it changes with the link, and tells nothing of it.
    """
    digest = hmac.digest(link.key, b"sitegen check-in code", "sha256")
    letters = base64.b32encode(digest).decode("ascii")[:8]
    return f"{letters[:4]}-{letters[4:]}"


def feed_name(link: Link) -> str:
    return f"feeds/{link.feed}.ics"


def portal_name(link: Link) -> str:
    return f"{link.portal}/index.html"


def address_of(case: Case, link: Link) -> str:
    """The private link: absolute where the practice has an address, else within ``public/``."""
    base = case.practice.address or ""
    key = f"#k={link.key_text}" if case.privacy == "sealed" else ""
    return f"{base}{link.portal}/{key}"


def feed_address_of(case: Case, link: Link) -> str | None:
    """Where the calendar feed is; None where the coach turned it off."""
    if case.calendar == "off":
        return None
    return f"{case.practice.address or '../'}{feed_name(link)}"


def files_of(
    case: Case,
    plan: Plan,
    house: House,
    link: Link,
    renderer: Renderer,
    before: bytes | None,
    stamp: datetime,
) -> dict[str, bytes]:
    """What one client has in ``public/``. An ended client has nothing there."""
    if plan.status == "ended":
        return {}
    drills = used(plan, house.drills, case.client.drills)
    document = renderer.document(
        case, plan, drills, feed_url=feed_address_of(case, link), code=checkin_code(link)
    )
    sealed = None
    if case.privacy == "sealed":
        from sitegen.portal.seal import seal, sealed_text

        sealed = sealed_text(
            seal(
                document.encode("utf-8"),
                portal=link.portal,
                key=link.key,
                passphrase=link.passphrase,
            )
        )
    page = renderer.page(
        content=document if sealed is None else None,
        sealed=sealed,
        language=case.language,
        portal=link.portal,
        look=look_of(house.practice),
    )
    files = {portal_name(link): page.encode("utf-8")}
    if case.calendar != "off":
        from sitegen.portal.feed import feed

        files[feed_name(link)] = feed(
            case, plan, feed_id=link.feed, mode=case.calendar, before=before, stamp=stamp
        )
    return files


def shared_files(renderer: Renderer, practice: Practice) -> dict[str, bytes]:
    """What ``public/`` holds beside portals and feeds."""
    return {
        "index.html": renderer.front().encode("utf-8"),
        "robots.txt": ROBOTS,
        "_headers": HEADERS,
        ".nojekyll": b"",
        **assets(renderer.templates, practice.accent),
    }


def renderer_of(templates: Mapping[str, str]) -> Renderer:
    """Draws every portal of a build; knows how firm the ground of each rule is."""
    return Renderer(templates, {r.name: r.evidence for r in RULES})


def look_of(practice: Practice) -> Look:
    return Look(accent=practice.accent, version=__version__)
