"""The sheet as a page for the printer: it lies with the desk's page, and is never published."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path

from sitegen import world
from sitegen.coach.desk_page import SHEET_PAGE, put_page
from sitegen.coach.paper import private_page
from sitegen.coach.sheet import SheetOfAll, SheetRow
from sitegen.coach.sheet_shown import ahead_words, behind_words, said_words
from sitegen.model.alarm import weekday_words
from sitegen.practice.opening import list_practice

SHEET_TEMPLATE, SHEET_STYLE = "evening.html", "evening-style.html"


def sheet_page(rows: Sequence[SheetRow], templates: Mapping[str, str]) -> str:
    """The page: one file that loads and runs nothing; twenty rows are one sheet of paper."""
    days = [row.as_of for row in rows if row.as_of]
    most = max(
        (max(r.behind.told_minutes, r.behind.done_minutes) for r in rows if r.behind), default=1.0
    )
    return private_page(
        templates,
        SHEET_TEMPLATE,
        SHEET_STYLE,
        {"behind": behind_words, "ahead": ahead_words, "said": said_words},
        rows=rows,
        as_of=weekday_words(date.fromisoformat(max(days))) if days else "",
        most=most or 1.0,
    )


def write_sheet(found: SheetOfAll, clients: Path, to: Path, out: Path) -> Path | None:
    """Write the page for the printer into the desk's folder; None where the practice has an error.

    Raises:
        Refused: That belongs to the site, to a target or to other files, or can't be written.
    """
    house = list_practice(clients).house
    if house is None:
        return None
    text = sheet_page(found.rows, world.read_templates())
    return put_page(house, clients, to, out, SHEET_PAGE, text)
