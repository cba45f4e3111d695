"""What `check` found of each client, kept beside the keys for the next one.

A client's problems, those of the plan with them, follow from the client's files, from what all
clients share, from the tool and from the day. Where all of these are as they were, so are they.
"""

from __future__ import annotations

import json
from collections import deque
from contextlib import suppress
from datetime import date
from typing import NamedTuple

from sitegen import world
from sitegen.model.problem import Problem
from sitegen.practice.opening import ClientFiles, Listed
from sitegen.site.made_of import house_made_of
from sitegen.site.memory import hash_of, problems_as_lists, problems_of_lists
from sitegen.site.notes import CHECK_FILE, Notes
from sitegen.site.remember import tool
from sitegen.site.zones import Zones


class Judged(NamedTuple):
    """A client's problems; ``zone`` tells the day that they are as of, empty where none matters."""

    problems: tuple[Problem, ...]
    zone: str = ""


class CheckedBefore:
    """What is remembered, and what is to be."""

    def __init__(self, listed: Listed, as_of: date | None) -> None:
        self._listed = listed
        self._house = house_made_of(listed.shared, tool())
        self._zones = Zones(world.now_utc(), as_of)
        self._notes = Notes(listed.clients, CHECK_FILE, is_spare=True)
        self.known = 0  # clients who were not checked again
        self._asked: deque[tuple[str, str]] = deque()

    def found(self, files: ClientFiles) -> tuple[Problem, ...] | None:
        """What is wrong with files that are as they were; None where they have to be judged."""
        made_of = hash_of(self._house, *files.contents)
        with suppress(ValueError, TypeError):  # lost, damaged, or of another tool
            key, zone, problems = json.loads(self._notes.get(files.id))
            if key == self._key(made_of, zone):
                found = problems_of_lists(problems)
                self.known += 1
                return found
        self._asked.append((files.id, made_of))
        return None

    def take(self, judged: Judged) -> None:
        """Note what came of the files asked for first, of those without an answer."""
        id, made_of = self._asked.popleft()
        key = self._key(made_of, judged.zone)
        found = [key, judged.zone, problems_as_lists(judged.problems)]
        self._notes.note(id, json.dumps(found))

    def keep(self) -> None:
        """Leave it for the next check, where the practice can be written to."""
        with self._notes, suppress(world.Refused):
            self._notes.keep(self._listed.all_ids)

    def _key(self, made_of: str, zone: str) -> str:
        day, state = self._zones.of(zone) if zone else ("", "")
        return hash_of(made_of, zone, str(day), state)
