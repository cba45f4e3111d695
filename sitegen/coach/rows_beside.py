"""Rows beside the clients' own: what waits aside, and logs without a client that tell of danger."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator
from pathlib import Path

from sitegen.care.signs import urgency
from sitegen.checkins.aside import ASIDE, codes_of, read_aside, waiting_words
from sitegen.coach.roster import Concern, RosterRow, stops_all_the_same
from sitegen.practice.opening import Opened
from sitegen.practice.orphans import orphans
from sitegen.seal.keys_file import KEYS_FILE, load_keys


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
