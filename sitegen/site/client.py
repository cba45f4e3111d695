"""The whole walk of one client: texts, model, weeks, portal, files. No clock, no folders."""

from __future__ import annotations

import base64
import hmac
from collections.abc import Iterator, Mapping, MutableMapping, Sequence
from datetime import date, datetime
from types import MappingProxyType
from typing import NamedTuple
from zoneinfo import ZoneInfo

from jinja2 import BytecodeCache
from jinja2.bccache import Bucket

from sitegen import __version__
from sitegen.model.case import Case, Origins
from sitegen.model.drill import Drill
from sitegen.model.handout import Handout
from sitegen.model.kinds import quoted
from sitegen.model.picture import Picture
from sitegen.model.plan import Plan
from sitegen.model.practice import Practice
from sitegen.model.problem import Origin, Problem
from sitegen.plan.ahead import ahead
from sitegen.plan.drilling import used, with_drills
from sitegen.plan.fold import expand
from sitegen.portal.catalogue import Languages, Shipped
from sitegen.portal.changed import Seen, compared_with, read_kept, remember, text_of
from sitegen.portal.handed import handed
from sitegen.portal.page import INSTALL, Look, Renderer, assets
from sitegen.practice.case import read_case
from sitegen.practice.drills import below_front, read_drill
from sitegen.practice.links import broken_links_of_file
from sitegen.practice.partly import known
from sitegen.practice.picture import read_picture
from sitegen.practice.records import group_names, read_practice
from sitegen.practice.texts import read_text
from sitegen.rules import RULES
from sitegen.seal.keys import Link
from sitegen.site.memory import hash_of

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


class House(NamedTuple):
    """What all clients of a practice share."""

    practice: Practice
    origins: Origins
    drills: tuple[Drill, ...]
    handouts: tuple[Handout, ...] = ()
    logo: Picture | None = None


class Texts(NamedTuple):
    """A practice's files as read, with the names under which a coach knows them.

    ``handouts`` are the coach's texts by id, ``pictures`` those beside ``practice.yaml`` that it
    names: their bytes, or why they can't be read. ``unreadable`` are files that are there and of
    which nothing is known but the name, like ``drills/hops.md``.
    """

    practice: bytes | None
    practice_file: str
    clients: Mapping[str, bytes]
    logs: Mapping[str, bytes]
    folder: str
    drills: Mapping[str, bytes] = MappingProxyType({})
    figures: Mapping[str, bytes] = MappingProxyType({})
    library: Mapping[str, tuple[bytes, str]] = MappingProxyType({})
    handouts: Mapping[str, bytes] = MappingProxyType({})
    pictures: Mapping[str, bytes | str] = MappingProxyType({})
    unreadable: frozenset[str] = frozenset()

    @property
    def drill_ids(self) -> frozenset[str]:
        """Drills that there are: one with an error is there too."""
        return frozenset({*self.drills, *self.library, *self._unread("drills/")})

    @property
    def text_ids(self) -> frozenset[str]:
        return frozenset({*self.handouts, *self._unread("texts/")})

    def _unread(self, folder: str) -> set[str]:
        names = (name for name in self.unreadable if name.startswith(folder))
        return {name.removeprefix(folder).removesuffix(".md") for name in names}


class Known(NamedTuple):
    """What clients can be judged by where the house has errors: names alone, no setting."""

    drills: frozenset[str]
    handouts: frozenset[str]
    groups: tuple[str, ...] | None = None  # None: not known
    targets: tuple[tuple[str, Origin], ...] = ()  # those that could be read


def read_house(texts: Texts) -> tuple[House | None, tuple[Problem, ...]]:
    """What all clients share: settings, logo, drills and texts, or what is wrong with them."""
    drills, problems = _drills(texts)
    handouts, told = _handouts(texts)
    problems += told
    problems += _broken_links(texts, handouts)
    if texts.practice is None:
        if texts.practice_file.rpartition("/")[2] not in texts.unreadable:
            problems.append(_no_practice(texts))
        return None, tuple(sorted(problems))
    found = read_practice(
        texts.practice, texts.practice_file, RULES, texts.drill_ids, texts.text_ids
    )
    problems += found.problems
    name = None if found.known is None else known(found.known, "logo")
    if b"logo" not in texts.practice:  # as the key is misspelt, nobody has looked for the picture
        name = None
    logo = None if name is None else _logo(name, texts, found.origins.value("logo"))
    if isinstance(logo, Problem):
        problems.append(logo)
    if (
        found.value is None
        or isinstance(logo, Problem)
        or any(p.level == "error" for p in problems)
    ):
        return None, tuple(sorted(problems))
    return House(found.value, found.origins, drills, handouts, logo), tuple(sorted(problems))


def _no_practice(texts: Texts) -> Problem:
    return Problem(
        Origin(texts.practice_file),
        "the practice's own file is missing",
        "write name, contact and timezone into it",
        "practice-missing",
    )


def known_of(texts: Texts) -> Known:
    """What is known of a house with errors."""
    if texts.practice is None:
        return Known(texts.drill_ids, texts.text_ids)
    found = read_practice(texts.practice, texts.practice_file)
    targets = None if found.known is None else known(found.known, "targets")
    return Known(
        texts.drill_ids,
        texts.text_ids,
        group_names(found),
        tuple(targets_of(targets or {}, found.origins)),
    )


def targets_of(targets: Mapping[str, str], origins: Origins) -> Iterator[tuple[str, Origin]]:
    """Where the site can be published to, each with the place where that is written."""
    return ((target, origins.value("targets", name)) for name, target in targets.items())


def _broken_links(texts: Texts, handouts: Sequence[Handout]) -> Iterator[Problem]:
    """Links that lead nowhere in the coach's own drills and texts, those with errors too."""
    drill_ids, text_ids = texts.drill_ids, texts.text_ids
    sound = {handout.id: (handout.text, handout.lines) for handout in handouts}
    for id, data in texts.handouts.items():
        text, lines = sound.get(id) or below_front(data)
        file = f"{texts.folder}/texts/{id}.md"
        yield from broken_links_of_file(text, file, lines, drill_ids, text_ids)
    for id, data in texts.drills.items():
        text, lines = below_front(data)
        file = f"{texts.folder}/drills/{id}.md"
        yield from broken_links_of_file(text, file, lines, drill_ids, text_ids)


def _logo(name: str, texts: Texts, origin: Origin) -> Picture | Problem:
    data = texts.pictures.get(name)
    if isinstance(data, bytes):
        return read_picture(data, name, origin)
    if data is not None:
        return Problem(origin, f"{quoted(name)}: {data}", "a logo is a plain file", "logo-missing")
    return Problem(
        origin,
        f"there is no file {quoted(name)} beside practice.yaml",
        "put it there, or write its name as it is; small and large letters count",
        "logo-missing",
    )


def _handouts(texts: Texts) -> tuple[tuple[Handout, ...], list[Problem]]:
    """The coach's texts for clients, in the order of ids."""
    found: list[Handout] = []
    problems: list[Problem] = []
    for id, data in sorted(texts.handouts.items()):
        handout, told = read_text(id, data, f"{texts.folder}/texts/{id}.md")
        problems += told
        if handout is not None:
            found.append(handout)
    return tuple(found), problems


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
    drill_ids = frozenset(d.id for d in house.drills)
    text_ids = frozenset(h.id for h in house.handouts)
    if texts.unreadable:  # what can't be read is there all the same
        drill_ids, text_ids = drill_ids | texts.drill_ids, text_ids | texts.text_ids
    return _read(texts, id, house.practice, house.origins, Known(drill_ids, text_ids, None))


def client_problems(texts: Texts, known: Known, id: str) -> tuple[Problem, ...]:
    """What is wrong with a client's files, as far as it shows without the house.

    No plan is expanded, and nothing is said that a setting of the practice could change.
    """
    return _read(texts, id, None, Origins(texts.practice_file), known)[1]


def _read(
    texts: Texts, id: str, practice: Practice | None, origins: Origins, known: Known
) -> tuple[Case | None, tuple[Problem, ...]]:
    return read_case(
        id,
        texts.clients[id],
        f"{texts.folder}/{id}.yaml",
        texts.logs.get(id),
        f"{texts.folder}/{id}.log.yaml",
        practice,
        origins,
        RULES,
        known.drills,
        known.handouts,
        known.groups,
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


def install_name(link: Link) -> str:
    return f"{link.portal}/{INSTALL}"


def address_of(case: Case, link: Link) -> str:
    """The private link: absolute where the practice has an address, else within ``public/``."""
    return private_address(case.practice.address, link, case.privacy)


def private_address(base: str | None, link: Link, privacy: str) -> str:
    key = f"#k={link.key_text}" if privacy == "sealed" else ""
    return f"{base or ''}{link.portal}/{key}"


def feed_address_of(case: Case, link: Link) -> str | None:
    """Where the calendar feed is; None where the coach turned it off."""
    if case.calendar == "off":
        return None
    return f"{case.practice.address or '../'}{feed_name(link)}"


class TooLarge(Exception):
    """A portal of more bytes than a seal may hold."""

    def problem(self, file: str) -> Problem:
        return Problem(
            Origin(file),
            f"this portal would have {self.args[0] / 1024**2:.1f} MiB",
            "at most 8 MiB; shorten the notes, or what was said in the oldest check-ins",
            "portal-size",
        )


def files_of(
    case: Case,
    plan: Plan,
    house: House,
    link: Link,
    renderer: Renderer,
    before: bytes | None,
    stamp: datetime,
    keeps_feed: bool = False,
    earlier: Seen | None = None,
) -> dict[str, bytes]:
    """What one client has in ``public/``. An ended client has nothing there.

    ``keeps_feed`` leaves out the feed: it would come out just as it is. ``earlier`` is the plan
    that changes are told from.

    Raises:
        TooLarge: What a coach and a client wrote goes over the seal's limit.
    """
    if plan.status == "ended":
        return {}
    handouts, named = handed(case, house.handouts)
    drills = used(plan, house.drills, (*case.client.drills, *named))
    document = renderer.document(
        case,
        plan,
        drills,
        feed_url=feed_address_of(case, link),
        code=checkin_code(link),
        link=address_of(case, link) if case.practice.address else "",
        before=earlier,
        handouts=handouts,
        logo=house.logo,
    )
    sealed = None
    if case.privacy == "sealed":
        from sitegen.seal.sealing import DOCUMENT_LIMIT, seal, sealed_text

        if (size := len(document.encode("utf-8"))) > DOCUMENT_LIMIT:
            raise TooLarge(size)
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
    files = {
        portal_name(link): page.encode("utf-8"),
        install_name(link): renderer.install().encode("utf-8"),
    }
    if case.calendar != "off" and not keeps_feed:
        from sitegen.feed.feed import feed

        files[feed_name(link)] = feed(
            case,
            plan,
            feed_id=link.feed,
            mode=case.calendar,
            before=before,
            stamp=stamp,
            translate=renderer.languages.catalogue(case.language).gettext,
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


def renderer_of(
    templates: Mapping[str, str],
    compiled: MutableMapping[str, bytes] | None = None,
    shipped: Shipped | None = None,
) -> Renderer:
    """Draws every portal of a build; knows how firm the ground of each rule is.

    ``compiled`` holds compiled templates, and is given those that it lacks. ``shipped`` are the
    languages beside English.
    """
    kept = None if compiled is None else Compiled(compiled)
    evidence = {r.name: r.evidence for r in RULES}
    return Renderer(templates, evidence, kept, Languages(shipped or {}))


def look_of(practice: Practice) -> Look:
    return Look(accent=practice.accent, version=__version__)


# Many clients -------------------------------------------------------------------------------


class Compiled(BytecodeCache):
    """Compiled templates in a map. Jinja itself checks that they fit their texts."""

    def __init__(self, codes: MutableMapping[str, bytes]) -> None:
        self.codes = codes

    def load_bytecode(self, bucket: Bucket) -> None:
        if code := self.codes.get(bucket.key):
            bucket.bytecode_from_string(code)

    def dump_bytecode(self, bucket: Bucket) -> None:
        self.codes[bucket.key] = bucket.bytecode_to_string()


class Kit(NamedTuple):
    """What every client of one build needs. Plain data, so it can go to another process.

    ``name`` is the same only where everything in it is, but for the day: a process that has made
    a house and a renderer from it uses them again. ``texts`` are those of the house alone. With
    ``known`` the house has errors: clients can be checked, and not built.
    """

    name: str
    texts: Texts
    templates: dict[str, str]
    compiled: dict[str, bytes]
    as_of: date | None  # None: today, where the client is
    stamp: datetime  # this moment, with its zone
    languages: Shipped
    known: Known | None = None


class Job(NamedTuple):
    """One client to be built: the two files, the link, and the feed as last built."""

    id: str
    client: bytes
    log: bytes | None
    link: Link
    before: bytes | None = None
    feed_of: str = ""  # what ``before`` was made of, as far as it is known
    kept: str = ""  # the plan that the client had before, as `sitegen.portal.changed` notes it


class Done(NamedTuple):
    """One client built. Without ``files`` there are errors among the problems.

    ``feed_of`` is what the feed is made of; where that is the job's, the feed is not among the
    files, since it is right as it is.
    """

    id: str
    problems: tuple[Problem, ...]
    files: dict[str, bytes] | None = None
    day: date | None = None
    zone: str = ""
    privacy: str = ""
    is_ended: bool = False
    feed_of: str = ""
    kept: str = ""


_made: dict[str, tuple[House, Renderer]] = {}  # of the one kit that was used last


def build_clients(kit: Kit, jobs: Sequence[Job]) -> list[Done]:
    """Build some clients of a practice whose house is without an error.

    A function of its arguments alone, without a folder or a clock, so that it can run in any
    process, on any machine that has this version of the tool.
    """
    house, renderer = tools_of(kit)
    return [_build_one(kit, house, renderer, job) for job in jobs]


class Ask(NamedTuple):
    """One client to be checked: the two files."""

    id: str
    client: bytes
    log: bytes | None


def check_clients(kit: Kit, asks: Sequence[Ask]) -> list[tuple[Problem, ...]]:
    """Every problem of some clients, those of their plans with them. As pure as `build_clients`."""
    if kit.known is not None:
        return [client_problems(_with(kit.texts, *ask), kit.known, ask.id) for ask in asks]
    house, _ = tools_of(kit)
    return [_expanded(kit, house, *ask)[2] for ask in asks]


def _with(texts: Texts, id: str, client: bytes, log: bytes | None) -> Texts:
    """The house's texts, and those of one client."""
    return texts._replace(clients={id: client}, logs={} if log is None else {id: log})


def _expanded(
    kit: Kit, house: House, id: str, client: bytes, log: bytes | None
) -> tuple[Case | None, Plan | None, tuple[Problem, ...]]:
    """A client's case and plan, and all that is wrong with them; neither where that is an error."""
    case, problems = read_client(_with(kit.texts, id, client, log), house, id)
    if case is None:
        return None, None, problems
    day = kit.as_of or kit.stamp.astimezone(ZoneInfo(case.timezone)).date()
    plan = plan_of(case, house, day)
    return case, plan, (*problems, *plan.problems, *ahead(case, day))


def tools_of(kit: Kit) -> tuple[House, Renderer]:
    """The house and the renderer of a kit, made once in each process.

    Raises:
        ValueError: The house has errors; a developer's slip, as that is known before.
    """
    made = _made.get(kit.name)  # other threads may take it from the map
    if made is None:
        house, _ = read_house(kit.texts)
        if house is None:
            raise ValueError("a house with errors builds no clients")
        made = house, renderer_of(kit.templates, kit.compiled, kit.languages)
        _made.clear()
        _made[kit.name] = made
    return made


def _build_one(kit: Kit, house: House, renderer: Renderer, job: Job) -> Done:
    case, plan, problems = _expanded(kit, house, job.id, job.client, job.log)
    if case is None or plan is None:
        return Done(job.id, problems)
    feed_of = _feed_of(case, plan, job.link)
    is_known = job.before is not None and bool(feed_of) and feed_of == job.feed_of
    kept = read_kept(job.kept)
    try:
        files = files_of(
            case,
            plan,
            house,
            job.link,
            renderer,
            job.before,
            kit.stamp,
            keeps_feed=is_known,
            earlier=compared_with(kept, plan),
        )
    except TooLarge as error:
        return Done(job.id, (*problems, error.problem(f"{kit.texts.folder}/{job.id}.yaml")))
    return Done(
        job.id,
        problems,
        files,
        plan.as_of,
        case.timezone,
        case.privacy,
        case.client.status == "ended",
        feed_of,
        text_of(remember(kept, plan)),
    )


def _feed_of(case: Case, plan: Plan, link: Link) -> str:
    """A hash of everything that `sitegen.feed.feed.feed` reads, empty without a feed."""
    if case.calendar == "off" or plan.status == "ended":
        return ""
    settings = (link.feed, case.calendar, case.timezone, case.language, str(case.first_monday))
    # As plain tuples, since those are written out quickly. A part's words are not in the feed.
    sessions = [(*s._replace(parts=()), [part[:4] for part in s.parts]) for s in plan.sessions]
    return hash_of(*settings, repr(sessions))
