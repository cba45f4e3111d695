"""Who gets what by a publish, by name: whose page is new or changed and why, whose goes.

Pure, but for `memory_of`, which reads what the last build noted.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any, NamedTuple

from sitegen.publish.look import ids_named, page_of
from sitegen.publish.report import Report
from sitegen.seal.addresses import feed_name, portal_name
from sitegen.seal.keys import Keys
from sitegen.site import remember
from sitegen.site.change_words import change_words, further_words
from sitegen.site.memory import BuildCache

MOST_SAME = 12  # of clients whose page is only drawn anew, so many are named


class Gets(NamedTuple):
    """What one client gets.

    ``what`` is ``new``, ``link`` (a page under a renewed link), ``stopped`` (a page that says that
    nothing is to be run), ``changed``, ``same`` (a page drawn anew, without a change of the next
    two weeks' sessions), ``unknown`` (the same, where nothing is noted as seen), ``before`` (the
    page of before the last publish), ``calendar`` (the feed alone) or ``goes``. ``says`` is why or
    since when, with what changed, or which later weeks the coach set; ``minutes`` before and after,
    of those sessions, or None.
    """

    id: str
    what: str
    says: str = ""
    minutes: tuple[int, int] | None = None

    def as_json(self) -> dict[str, Any]:
        """One client of ``sitegen publish --json``."""
        before, after = self.minutes or (None, None)
        minutes = None if self.minutes is None else {"before": before, "after": after}
        return {"client": self.id or None, "gets": self.what, "says": self.says, "minutes": minutes}


def memory_of(clients: Path, out: Path) -> BuildCache:
    """What the last build noted; nothing where it was another tool's or computer's."""
    return remember.load_cache(remember.memory_file(clients, out), remember.tool())


def owners(memory: BuildCache, keys: Keys | None) -> dict[str, str]:
    """Whose each page, feed and file in a portal's folder is, by its path in the site."""
    found = {
        name: id
        for id, entry in memory.clients.items()
        for name in entry.files
        if not name.startswith("assets/")
    }
    for id, link in (keys.links if keys else {}).items():
        found |= {portal_name(link): id, feed_name(link): id}
    return found


def stopped_ids(memory: BuildCache) -> list[str]:
    """Clients whose page says that they are stopped."""
    return [id for id, entry in memory.clients.items() if entry.is_stopped]


def open_alarms(memory: BuildCache) -> list[str]:
    """Clients of whom the last build told an open alarm."""
    return [
        id
        for id, entry in memory.clients.items()
        if any(problem.code == "alarm" for problem in entry.problems)
    ]


def outgoing(
    report: Report,
    memory: BuildCache,
    whose: Mapping[str, str],
    there: frozenset[str],
    here: Iterable[str],
) -> tuple[Gets, ...]:
    """What each client gets by this publish, by id; who gets nothing is left out.

    Args:
        report: What was done, or would be.
        memory: What the build noted.
        whose: The client of each page and feed, those on the host too.
        there: Paths that were on the host before.
        here: Ids of all clients who have a file.
    """
    sent = {whose.get(path, ""): path for path in report.uploaded if page_of(path)}
    feeds = {whose.get(p, "") for p in report.uploaded if p.startswith("feeds/")}
    gone = [path for path in report.removed if page_of(path)]
    lost = {whose.get(path, "") for path in gone}
    stay = {whose.get(p, "") for p in (*report.uploaded, *report.unchanged) if page_of(p)}
    found = [_gets(id, path in there, id in lost, memory) for id, path in sent.items() if id]
    found += [Gets(id, "calendar") for id in feeds if id and id not in sent]
    files = frozenset(here)
    found += [_goes(id, id in files, memory) for id in sorted(lost) if id and id not in stay]
    found += [Gets("", "goes", "of no client here") for path in gone if not whose.get(path)]
    return tuple(sorted(found))


def _gets(id: str, was_there: bool, is_renewed: bool, memory: BuildCache) -> Gets:
    entry = memory.clients.get(id)
    told = (entry and json.loads(entry.changes)) or {}
    words = "; ".join(change_words(told.get("sessions", ())))
    says = f"since {told['seen_on']}: {words}" if words else ""
    minutes = (told["minutes"]["before"], told["minutes"]["after"]) if words else None
    if entry is not None and entry.is_stopped:
        return Gets(id, "stopped", says, minutes)
    if is_renewed:
        return Gets(id, "link", says or "the old link ends", minutes)
    if not was_there:
        return Gets(id, "new", says, minutes)
    if words:
        return Gets(id, "changed", says, minutes)
    if not told:  # nothing was noted as seen, or this is built for another day
        return Gets(id, "unknown")
    return Gets(id, "same", further_words(told.get("further", ())))


def _goes(id: str, has_file: bool, memory: BuildCache) -> Gets:
    entry = memory.clients.get(id)
    if entry is not None and entry.is_ended:
        return Gets(id, "goes", "the plan has ended")
    return Gets(id, "goes", "no page was built" if has_file else f"there is no file {id}.yaml")


_WORDS = {
    "new": "a new page",
    "link": "a new link",
    "stopped": "stopped, nothing is to be run",
    "goes": "goes",
    "same": "no session of the next two weeks changed; further on you set",
}
_GOES_ON = "stopped for now, and sessions stand again after that"  # as on the day after an illness


def outgoing_lines(
    gets: Iterable[Gets], names: Mapping[str, str], alarms: Iterable[str]
) -> Iterator[str]:
    """A line for each client with something new, one for all whose page is only drawn anew."""
    anew: dict[str, list[str]] = {"before": [], "same": [], "unknown": [], "calendar": []}
    for one in gets:
        if one.what in anew and not one.says:
            anew[one.what].append(one.id)
            continue
        name = names.get(one.id, one.id)
        who = f"{one.id} ({name})" if name != one.id else one.id or "a portal"
        minutes = "{} → {} min".format(*one.minutes) if one.minutes else ""
        goes_on = one.what == "stopped" and one.minutes and one.minutes[1]
        says = [_GOES_ON if goes_on else _WORDS.get(one.what, ""), minutes, one.says]
        between = " " if one.what == "same" else ", "
        yield f"  {who}: {between.join(filter(None, says))}"
    if anew["before"]:
        yield f"  the page of before: {_some(anew['before'])}"
    if anew["same"]:
        yield f"  drawn anew, no session of the next two weeks changed: {_some(anew['same'])}"
    if anew["unknown"]:
        yield f"  drawn anew; what was seen before is not known here: {_some(anew['unknown'])}"
    if anew["calendar"]:
        yield f"  the calendar alone: {_some(anew['calendar'])}"
    alarms = list(alarms)
    if "practice" in alarms:  # no client's page tells of it
        yield "  an alarm of the practice is open, for a message in no log: see sitegen alarms"
    if ids := sorted(id for id in alarms if id != "practice"):
        yield f"  an alarm is open, and holds nothing up: {ids_named(ids)}; see sitegen alarms"


def _some(ids: list[str]) -> str:
    more = len(ids) - MOST_SAME
    return ", ".join(ids[:MOST_SAME]) + (f" and {more} more" if more > 0 else "")
