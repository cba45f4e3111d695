"""Who was not heard from lately, and a message to each, to be copied: nothing is sent."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import date
from pathlib import Path
from typing import Any, NamedTuple

from sitegen import world
from sitegen.coach.roster import SILENT_DAYS
from sitegen.coach.sheet import SheetRow, evening_sheet
from sitegen.model.alarm import weekday_words
from sitegen.model.case import Case
from sitegen.model.problem import Problem
from sitegen.portal.catalogue import Languages
from sitegen.portal.reminder import reminder
from sitegen.portal.words import Words
from sitegen.practice.opening import Progress, list_practice


class Silent(NamedTuple):
    """A client who was not heard from. ``text`` is the message; empty where an alarm is open, as
    that is to be spoken about. ``says`` is for the coach."""

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
    """Who was not heard from, the longest silent first; and what is wrong with files."""

    silent: tuple[Silent, ...]
    problems: tuple[Problem, ...] = ()
    is_whole: bool = True


def silent_ones(
    clients: Path,
    as_of: date | None = None,
    group: str | None = None,
    progress: Progress | None = None,
) -> SilentOnes:
    """Who was not heard from, by the sheet, with a message to each.

    Args:
        clients: The practice's folder.
        as_of: The day; None for today, where each client is.
        group: Only those of this group.
        progress: Told of each client looked at.

    Raises:
        Refused: The folder can't be read.
    """
    sheet = evening_sheet(clients, as_of, group, ("silent", "alarm"), progress)
    if not any(row.as_of for row in sheet.rows):
        return SilentOnes((), sheet.problems, sheet.is_whole)
    listed = list_practice(clients)
    judged = listed.files([row.id for row in sheet.rows if row.as_of])
    cases = {files.id: listed.judge(files)[0] for files, _ in judged}
    return SilentOnes(silent_of(sheet.rows, cases.get), sheet.problems)


def silent_of(
    rows: Sequence[SheetRow], case_of: Callable[[str], Case | None]
) -> tuple[Silent, ...]:
    """Those of the sheet who were not heard from, the longest silent first.

    Args:
        rows: Of the sheet.
        case_of: A client's files, by id; asked only of who may be silent.
    """
    languages = Languages(world.read_languages())
    found = []
    for row in rows:
        case = case_of(row.id) if row.as_of and (row.is_silent or row.has_alarm) else None
        if case is None:
            continue
        day = date.fromisoformat(row.as_of)
        heard = max((entry.on for entry in case.log if entry.on <= day), default=None)
        if not row.is_silent and heard and (day - heard).days < SILENT_DAYS:
            continue  # an alarm alone
        why = [one.says for one in row.asks if one.kind in ("silence", "urgent", "sign")]
        says = "; ".join(why or [one.says for one in row.asks[:1]])
        text = "" if row.has_alarm else message_to(case, heard, languages)
        found.append(Silent(row.id, row.name, says, heard, text))
    return tuple(sorted(found, key=lambda one: (one.heard or date.min, one.id)))


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
        last = f", last heard from {weekday_words(one.heard)}" if one.heard else ""
        yield f"{one.id} ({one.name}): {one.says}{last}"
        if not one.text:
            yield "  An alarm is open: speak to them, rather than send this. See sitegen alarms."
        yield from (f"  {line}" for line in one.text.splitlines())
    if not silent:
        yield "No message is due: nobody has been silent for long."
