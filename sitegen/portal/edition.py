"""Which of a day's plans a page shows: counted, so that a device knows an older one of that day.

What is counted is that anything behind the page was changed, not what came of it. The count
begins anew each day, as a plan of a later day is newer anyway. It is noted beside what a client saw
(`sitegen.portal.changed`); where that is lost, the day's count begins anew.
"""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

HEAD = "edition "


class Edition(NamedTuple):
    """A day, the number of changes on it so far, and a hash of what is behind the page."""

    day: date
    number: int
    mark: str


def next_edition(before: Edition | None, day: date, mark: str) -> Edition:
    """The edition of a page that is drawn on ``day`` from what ``mark`` is the hash of."""
    if before is None or before.day != day:
        return Edition(day, 0, mark)
    return before if before.mark == mark else Edition(day, before.number + 1, mark)


def with_edition(edition: Edition | None, rest: str) -> str:
    """A note with the edition above what else is in it."""
    if edition is None:
        return rest
    return f"{HEAD}{edition.day} {edition.number} {edition.mark}\n\n{rest}"


def split_edition(text: str) -> tuple[Edition | None, str]:
    """What `with_edition` put together; no edition where none can be read."""
    if not text.startswith(HEAD):
        return None, text
    line, _, rest = text.partition("\n\n")
    try:
        day, number, mark = line.removeprefix(HEAD).split(" ")
        return Edition(date.fromisoformat(day), int(number), mark), rest
    except ValueError:
        return None, rest
