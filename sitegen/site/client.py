"""The whole walk of one client: texts, model, weeks, portal, files. No clock, no folders."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, MutableMapping, Sequence
from datetime import date, datetime
from typing import NamedTuple
from zoneinfo import ZoneInfo

from jinja2 import BytecodeCache
from jinja2.bccache import Bucket

from sitegen import __version__
from sitegen.model.case import Case
from sitegen.model.plan import Plan
from sitegen.model.problem import Origin, Problem
from sitegen.plan import ledger
from sitegen.plan.ahead import ahead
from sitegen.plan.drilling import used, with_drills
from sitegen.plan.fold import expand
from sitegen.portal.catalogue import Languages, Shipped
from sitegen.portal.changed import Seen, compared_with, kept_text, read_kept, remember
from sitegen.portal.edition import next_edition, split_edition, with_edition
from sitegen.portal.handed import handed
from sitegen.portal.page import INSTALL, Look, Renderer
from sitegen.portal.told_before import changes_json, seen_before
from sitegen.practice.house import House, KnownNames, Texts, case_of, client_problems, read_house
from sitegen.practice.opening import ClientFiles
from sitegen.rules import RULES
from sitegen.seal.addresses import (
    address_of,
    checkin_code,
    feed_address_of,
    feed_name,
    kept_under,
    portal_name,
    signing_key,
)
from sitegen.seal.keys import Link
from sitegen.site.checked import Judged
from sitegen.site.made_of import link_made_of
from sitegen.site.memory import hash_of

# Each page says noindex, which who may not fetch it could not read; so all may be fetched.
ROBOTS = b"# Every page says noindex.\nUser-agent: *\nDisallow:\n"
# In place of the list of files that some servers make: calendars are in clear.
FEEDS_FRONT = b'<!doctype html>\n<meta name="robots" content="noindex"><title>Private</title>\n'
HEADERS = b"""\
# Headers for hosts that take such a file; docs/publishing.md says what to do for others.
/*
  X-Robots-Tag: noindex, nofollow
  Referrer-Policy: no-referrer
  X-Content-Type-Options: nosniff
  X-Frame-Options: DENY
  Cross-Origin-Opener-Policy: same-origin
  Permissions-Policy: camera=(), microphone=(self), geolocation=()
/
  Cache-Control: no-cache
/:portal/
  Cache-Control: no-cache
/:portal/index.html
  Cache-Control: no-cache
/worker.js
  Cache-Control: no-cache
/feeds/*
  Content-Type: text/calendar; charset=utf-8
  Cache-Control: no-cache
/assets/*
  Cache-Control: public, max-age=31536000, immutable
"""


LEAST_STEPS = 2  # as many as most plans have, so that one that stopped is no smaller


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
    history: str = "",
    keeps_feed: bool = False,
    earlier: Seen | None = None,
    edition: int = 0,
) -> tuple[dict[str, bytes], str]:
    """What one client has in ``public/``, and the feed's history with it. An ended client has
    nothing there.

    ``history`` is what the last feed left. ``keeps_feed`` leaves out the feed: it would come out
    just as it is. ``earlier`` is the plan that changes are told from, ``edition`` how many plans
    of this day came before.

    Raises:
        TooLarge: What a coach and a client wrote goes over the seal's limit.
    """
    if plan.status == "ended":
        return {}, history
    handouts, named = handed(case, house.handouts)
    drills = used(plan, house.drills, (*case.client.drills, *named))
    document = renderer.document(
        case,
        plan,
        drills,
        feed_url=feed_address_of(case, link),
        code=checkin_code(link),
        signing=signing_key(case, link),
        kept_under=kept_under(link) if case.privacy == "sealed" else "",
        link=address_of(case, link) if case.practice.address else "",
        before=earlier,
        handouts=handouts,
        logo=house.logo,
        are_apart=case.privacy == "sealed",
        edition=edition,
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
                least=LEAST_STEPS,
            )
        )
    page = renderer.page(
        content=document if sealed is None else None,
        sealed=sealed,
        language=case.language,
        portal=link.portal,
        look=Look(accent=house.practice.accent, version=__version__),
        drills=() if sealed is None else house.drills,
    )
    files = {
        portal_name(link): page.encode("utf-8"),
        f"{link.portal}/{INSTALL}": renderer.install(case.language).encode("utf-8"),
    }
    if case.calendar != "off" and not keeps_feed:
        from sitegen.feed.feed import feed

        made = feed(
            case,
            plan,
            feed_id=link.feed,
            mode=case.calendar,
            history=history,
            translate=renderer.languages.catalogue(case.language).gettext,
        )
        files[feed_name(link)], history = made
    return files, history


def shared_files(renderer: Renderer, house: House) -> dict[str, bytes]:
    """What ``public/`` holds beside portals and feeds."""
    return {
        "index.html": renderer.front(house.practice.accent).encode("utf-8"),
        "robots.txt": ROBOTS,
        "feeds/index.html": FEEDS_FRONT,
        "_headers": HEADERS,
        ".nojekyll": b"",
        **renderer.assets(house.practice.accent),
        **renderer.shelves(house.drills),
    }


def renderer_of(
    templates: Mapping[str, str],
    compiled: MutableMapping[str, bytes] | None = None,
    shipped: Shipped | None = None,
) -> Renderer:
    """Draws every portal of a build; knows how firm the ground of each rule is.

    ``compiled`` holds compiled templates and the names of files, and is given those that it lacks.
    ``shipped`` are the languages beside English.
    """
    kept = None if compiled is None else Compiled(compiled)
    evidence = {r.name: r.evidence for r in RULES}
    names = {} if compiled is None else compiled
    return Renderer(templates, evidence, kept, Languages(shipped or {}), names)


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
    known: KnownNames | None = None


class Job(NamedTuple):
    """One client to be built: the files, the link, and what is noted of the build before.

    ``feed_of`` is what the feed that lies there was made of, as far as it is known.
    """

    files: ClientFiles
    link: Link
    feed_of: str = ""
    history: str = ""  # of the feed, as `sitegen.feed.history` notes it
    kept: str = ""  # the plan that the client had before, as `sitegen.portal.changed` notes it

    @property
    def id(self) -> str:
        """The client's."""
        return self.files.id


ANY_LINK = Link(portal="A" * 22, key=bytes(32), feed="A" * 22)  # for what is drawn and dropped


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
    is_stopped: bool = False  # for the client's own sake; it goes out though files have errors
    shown: str = ""  # what the page shows, as the ledger writes it
    changes: str = "null"  # what is otherwise than the client last saw, as JSON
    history: str = ""  # of the feed, with this one


_made: dict[str, tuple[House, Renderer]] = {}  # of the one kit that was used last


def build_clients(kit: Kit, jobs: Sequence[Job]) -> list[Done]:
    """Build some clients of a practice whose house is without an error.

    A function of its arguments alone, without a folder or a clock, so that it can run in any
    process, on any machine that has this version of the tool.
    """
    house, renderer = tools_of(kit)
    return [_build_one(kit, house, renderer, job) for job in jobs]


# Rules that stop somebody for their own sake, not because a plan is paused or silent.
CARE_RULES = frozenset({"screening", "history", "returning", "signs", "pain", "illness", "asks"})
LARGE = 2**18
"""Bytes of a client's two files and the coach's texts; of fewer no portal gets over its limit."""


def check_each(kit: Kit, given: Sequence[ClientFiles]) -> list[Judged]:
    """Every problem of some clients, those of their plans with them. As pure as `build_clients`.

    A portal is drawn only where it could be too large: nothing else can go wrong there.
    """
    return [_check_one(kit, files) for files in given]


def _check_one(kit: Kit, files: ClientFiles) -> Judged:
    if kit.known is not None:
        return Judged(client_problems(_with(kit.texts, files), kit.known, files.id))
    house, renderer = tools_of(kit)
    size = len(files.client or b"") + len(files.log or b"")
    if size + sum(map(len, kit.texts.handouts.values())) > LARGE:
        done = _build_one(kit, house, renderer, Job(files, ANY_LINK))
        return Judged(done.problems, done.zone)
    case, _, problems = _expanded(kit, house, files)
    return Judged(problems, case.timezone if case else "")


def _with(texts: Texts, files: ClientFiles) -> Texts:
    """The house's texts, and those of one client."""
    id = files.id
    return texts._replace(
        clients={} if files.client is None else {id: files.client},
        logs={} if files.log is None else {id: files.log},
        answers={} if files.answers is None else {id: files.answers},
        told={} if files.told is None else {id: files.told},
    )


def _expanded(
    kit: Kit, house: House, files: ClientFiles
) -> tuple[Case | None, Plan | None, tuple[Problem, ...]]:
    """A client's case and plan, and all that is wrong with them; neither where that is an error.

    No session has its drills yet: they are nothing that could be wrong, and 4 % of a check.
    """
    if files.is_misnamed:
        return None, None, ()
    case, problems = case_of(_with(kit.texts, files), house, files.id)
    if case is None or files.strays:  # nobody knows what those would say
        return None, None, (*problems, *_unread_lifts(kit, house, files))
    day = kit.as_of or _today(kit, case)
    plan = expand(case, day)
    return case, plan, (*problems, *plan.problems, *ahead(case, day))


def tools_of(kit: Kit, house: House | None = None) -> tuple[House, Renderer]:
    """The house and the renderer of a kit, made once in each process.

    Args:
        kit: What every client needs.
        house: The kit's house, where this process has read it already.

    Raises:
        ValueError: The house has errors; a developer's slip, as that is known before.
    """
    made = _made.get(kit.name)  # other threads may take it from the map
    if made is None:
        house = house or read_house(kit.texts)[0]
        if house is None:
            raise ValueError("a house with errors builds no clients")
        made = house, renderer_of(kit.templates, kit.compiled, kit.languages)
        _made.clear()
        _made[kit.name] = made
    return made


def _stopped_all_the_same(kit: Kit, house: House, job: Job) -> tuple[Case | None, Plan | None]:
    """A page without sessions for who must be stopped, though the files have errors.

    Neither where nothing that can be read stops this client: then the last good page stays.
    """
    case = _as_can_be_read(kit, house, job.files)
    if job.files.is_misnamed and case.client.name == case.id:
        return None, None  # hardly read: who knows whether this page is to be sealed
    day = kit.as_of or _today(kit, case)
    plan = expand(case, day)
    is_told = bool(plan.decisions) and plan.decisions[0].rule != "screening"
    return (case, plan) if is_told and _is_stopped(plan) else (None, None)


def _as_can_be_read(kit: Kit, house: House, files: ClientFiles) -> Case:
    from sitegen.practice.lenient import lenient_case

    id, client, log, answers = files[:4]
    strays = files.stray_logs
    return lenient_case(
        id, client or b"", log, answers, house.practice, kit.texts.folder, strays=strays
    )


def _unread_lifts(kit: Kit, house: House, files: ClientFiles) -> Iterator[Problem]:
    from sitegen.practice.lenient import unread_lifts

    case = _as_can_be_read(kit, house, files)
    return unread_lifts(case, files.client or b"", f"{kit.texts.folder}/{files.id}.yaml")


def _is_stopped(plan: Plan) -> bool:
    """Whether the client's own safety keeps the plan from offering anything."""
    first = plan.decisions[0].rule if plan.decisions else ""
    return plan.status in ("referred", "paused") and first in CARE_RULES


def _build_one(kit: Kit, house: House, renderer: Renderer, job: Job) -> Done:
    id = job.files.id
    case, plan, problems = _expanded(kit, house, job.files)
    is_held = case is None
    if case is None or plan is None:
        case, plan = _stopped_all_the_same(kit, house, job)
    if case is None or plan is None:
        return Done(id, problems)
    plan = with_drills(case, plan, house.drills)
    feed_of = _feed_of(case, plan, job.link)
    is_known = bool(feed_of) and feed_of == job.feed_of
    edition_before, kept_before = split_edition(job.kept)
    kept = read_kept(kept_before)
    edition = next_edition(edition_before, plan.as_of, _mark(kit, job))
    try:
        files, history = files_of(
            case,
            plan,
            house,
            job.link,
            renderer,
            job.history,
            keeps_feed=is_known,
            earlier=seen_before(case, plan, kept) if case.told else compared_with(kept, plan),
            edition=edition.number,
        )
    except TooLarge as error:
        told = error.problem(f"{kit.texts.folder}/{id}.yaml")
        return Done(id, (*problems, told), zone=case.timezone)
    return Done(
        id,
        problems,
        files,
        plan.as_of,
        case.timezone,
        case.privacy,
        case.client.status == "ended",
        feed_of,
        with_edition(
            edition if plan.as_of == _today(kit, case) else edition_before,  # else it is a look
            kept_text(remember(kept, plan)),
        ),
        _is_stopped(plan),
        "" if is_held else ledger.text_of(ledger.shown(plan)),
        json.dumps(changes_json(case, plan, kept)),
        history,
    )


def _today(kit: Kit, case: Case) -> date:
    return kit.stamp.astimezone(ZoneInfo(case.timezone)).date()


def _mark(kit: Kit, job: Job) -> str:
    """A short hash of what the coach, the client and the tool put behind a page."""
    files = job.files
    behind = (kit.name, files.client, files.log, files.answers, *link_made_of(job.link))
    return hash_of(*behind)[:12]


def _feed_of(case: Case, plan: Plan, link: Link) -> str:
    """A hash of everything that `sitegen.feed.feed.feed` reads, empty without a feed."""
    if case.calendar == "off" or plan.status == "ended":
        return ""
    settings = (link.feed, case.calendar, case.timezone, case.language, str(case.first_monday))
    # As plain tuples, since those are written out quickly. A part's words are not in the feed.
    sessions = [(*s._replace(parts=()), [part[:4] for part in s.parts]) for s in plan.sessions]
    return hash_of(*settings, repr(sessions))
