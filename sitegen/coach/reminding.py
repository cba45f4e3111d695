"""Who was not heard of lately, and a message to each, to be copied: nothing is sent."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from pathlib import Path
from typing import Any, NamedTuple

from sitegen import world
from sitegen.coach.roster import SILENT_DAYS
from sitegen.coach.sheet import evening_sheet
from sitegen.model.alarm import weekday_words
from sitegen.model.case import Case
from sitegen.model.problem import Problem
from sitegen.portal.catalogue import Languages
from sitegen.portal.reminder import reminder
from sitegen.portal.words import Words
from sitegen.practice.opening import Progress, list_practice


class Silent(NamedTuple):
    """A client who was not heard of. ``text`` is the message; empty where an alarm is open, as that
    is to be spoken about. ``says`` is for the coach."""

    id: str
    name: str
    says: str
    heard: date | None
    text: str

    def as_json(self) -> dict[str, Any]:
        """One client of ``sitegen remind --json``."""
        return {
            "client": self.id,
            "name": self.name,
            "says": self.says,
            "last_check_in": self.heard and self.heard.isoformat(),
            "text": self.text or None,
        }


class SilentOnes(NamedTuple):
    """Who was not heard of, the longest silent first; and what is wrong with files."""

    silent: tuple[Silent, ...]
    problems: tuple[Problem, ...] = ()
    is_whole: bool = True


def silent_ones(
    clients: Path,
    as_of: date | None = None,
    group: str | None = None,
    progress: Progress | None = None,
) -> SilentOnes:
    """Who was not heard of, by the sheet, with a message to each.

    Args:
        clients: The practice's folder.
        as_of: The day; None for today, where each client is.
        group: Only those of this group.
        progress: Told of each client looked at.

    Raises:
        Refused: The folder can't be read.
    """
    sheet = evening_sheet(clients, as_of, group, ("silent", "alarm"), progress)
    rows = {row.id: row for row in sheet.rows if row.as_of}
    if not rows:
        return SilentOnes((), sheet.problems, sheet.is_whole)
    listed, languages = list_practice(clients), Languages(world.read_languages())
    found = []
    for files, _ in listed.files(rows):
        case, _ = listed.judge(files)
        if case is None:
            continue
        row = rows[files.id]
        day = date.fromisoformat(row.as_of)
        heard = max((entry.on for entry in case.log if entry.on <= day), default=None)
        if not row.is_silent and heard and (day - heard).days < SILENT_DAYS:
            continue  # an alarm alone
        says = "; ".join(one.says for one in row.asks if one.kind in ("silence", "urgent", "sign"))
        text = "" if row.has_alarm else message_to(case, heard, languages)
        found.append(Silent(row.id, row.name, says, heard, text))
    found.sort(key=lambda one: (one.heard or date.min, one.id))
    return SilentOnes(tuple(found), sheet.problems)


def message_to(case: Case, heard: date | None, languages: Languages) -> str:
    """The message in the client's language."""
    language = languages.spoken(case.language)
    catalogue = languages.catalogue(language)
    words = Words(language, case.units, catalogue.gettext, catalogue.ngettext)
    return reminder(case.client.greeting, heard, case.practice.coach or "", words)


def silent_lines(silent: Sequence[Silent]) -> Iterator[str]:
    """Each with the message to copy."""
    for at, one in enumerate(silent):
        if at:
            yield ""
        last = f", last heard of {weekday_words(one.heard)}" if one.heard else ""
        yield f"{one.id} ({one.name}): {one.says}{last}"
        if not one.text:
            yield "  An alarm is open: speak to them, rather than send this. See sitegen alarms."
        yield from (f"  {line}" for line in one.text.splitlines())
    if not silent:
        yield "Everybody was heard of."
