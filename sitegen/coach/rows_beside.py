"""Rows beside those of a plan: what waits aside, files with errors, and logs without a client that
tell of danger."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator
from pathlib import Path

from sitegen.care.signs import urgency
from sitegen.checkins.aside import ASIDE, codes_of, read_aside, waiting_words
from sitegen.coach.alarms import alarms_told as alarms_of
from sitegen.coach.roster import Concern, RosterRow
from sitegen.practice.opening import Opened
from sitegen.practice.orphans import orphans
from sitegen.seal.keys_file import KEYS_FILE, load_keys
from sitegen.site.plans import Planned


def aside_rows(clients: Path, all_ids: Collection[str]) -> Iterator[RosterRow]:
    """One row for all that waits aside: it may be anybody's."""
    if not (clients / ASIDE).is_dir():
        return
    keys, _ = load_keys(clients / KEYS_FILE)
    waiting = read_aside(clients, codes_of(keys), all_ids)
    if waiting:
        urgent = any(urgency(sign) == "now" for one in waiting for sign in one.signs)
        kind, weight = ("urgent", math.inf) if urgent else ("aside", 0.0)
        reason = Concern(kind, waiting_words(waiting), weight=weight)
        yield RosterRow(ASIDE, "Check-ins that wait", None, "aside", (reason,))


def rows_alone(opened: Opened) -> Iterator[RosterRow]:
    """One row for each log without a client that can be read, where danger is told in it."""
    for one in orphans(opened.clients):
        if told := tuple(stops_all_the_same(opened, one.id)):
            says = f"a log without a client: write {one.id}.yaml; see sitegen alarms"
            yield RosterRow(one.id, one.id, None, "unreadable", (*told, Concern("file", says)))


def unread_ids(opened: Planned) -> Iterator[str]:
    """Ids of clients whose files could not be read."""
    names = (Path(p.origin.file).name for p in opened.problems if p.code == "unreadable")
    lost = {n.removesuffix(".yaml") for n in names if n.endswith(".yaml") and n.count(".") == 1}
    yield from sorted(({*opened.ids} | lost - {"practice"}) - {*opened.cases})


def unreadable_row(opened: Planned, id: str) -> RosterRow:
    """The row of a client whose files have errors, or can't be read at all."""
    errors = sum(1 for p in opened.problems_of(id) if p.level == "error")
    many = f"{errors} error{'' if errors == 1 else 's'} in its files" if errors else "can't be read"
    says = f"{many}: nothing is known; see sitegen check {id}"
    reasons = [*stops_all_the_same(opened, id), Concern("file", says, weight=errors)]
    return RosterRow(id, id, None, "unreadable", tuple(reasons))


def stopped_rows(opened: Opened) -> Iterator[RosterRow]:
    """Of a practice whose own file has an error a row for each open alarm that stops a client."""
    for id in opened.ids:
        if told := tuple(stops_all_the_same(opened, id)):
            says = "practice.yaml has an error: nothing else is known; see sitegen check"
            yield RosterRow(id, id, None, "unreadable", (*told, Concern("file", says)))


def stops_all_the_same(opened: Opened, id: str) -> Iterator[Concern]:
    """Open alarms of a client whose files have errors, as far as they can be read."""
    for one in alarms_of(opened).alarms.get(id, ()):
        if one.is_open and one.kind in ("now", "today"):
            kind = "urgent" if one.kind == "now" else "sign"
            says = f"{'urgent: ' if one.kind == 'now' else ''}{one.says}"
            yield Concern(kind, says, one.since, float(one.since.toordinal()))
