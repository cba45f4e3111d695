"""The ledger's files: what a client was shown goes into ``ID.told.yaml`` once they can see it.

Where the practice has no targets, that is when the site is built. Else a build keeps aside what
its pages show, beside the keys, and `publish` writes it down once the pages lie on the host. Both
do so for who holds the practice's lock (`sitegen.site.remember.one_at_a_time`).
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from datetime import date
from pathlib import Path
from typing import NamedTuple

from sitegen import world
from sitegen.locking import writing
from sitegen.model.problem import Origin, Problem
from sitegen.plan import ledger
from sitegen.practice.opening import TOLD
from sitegen.practice.told import read_told
from sitegen.practice.yaml_text import MAX_BYTES
from sitegen.site.memory import hash_of
from sitegen.site.notes import SHOWN_FILE, Notes


class ShownPage(NamedTuple):
    """What a client's page shows, as `sitegen.plan.ledger.text_of` writes it, and their zone."""

    zone: str
    text: str


class ToldFiles(NamedTuple):
    """What was written down: a hash of each ledger as it is now, by client; what could not be."""

    files: Mapping[str, str]
    problems: tuple[Problem, ...] = ()


def tell(
    clients: Path,
    pages: Iterable[tuple[str, ShownPage]],
    today: Callable[[str], date],
    as_of: date | None = None,
) -> ToldFiles:
    """Write down what clients see from today on.

    A page that was built for a day to come tells nobody anything; nor does one whose client was
    told the same before.

    Args:
        clients: The practice's folder.
        pages: What each client's page shows.
        today: The day in a time zone.
        as_of: The day that the pages were asked for; one that is not today's is a look at another
            day and told nobody.
    """
    files: dict[str, str] = {}
    problems: list[Problem] = []
    for id, page in pages:
        path = clients / f"{id}{TOLD}"
        day = today(page.zone)
        if as_of not in (None, day):
            continue
        try:
            with writing(clients):
                is_here = (clients / f"{id}.yaml").exists()
                new = _with(path, page.text, day) if is_here else None
                if new is not None and world.write_bytes_atomic(path, new, mode=0o600):
                    files[id] = hash_of(new)
        except (OSError, world.Refused) as error:
            wrong = f"what {id} was shown can't be written down: {error}"
            hint = "mend that, then build and publish again; until then the past may change"
            problems.append(Problem(Origin(path.as_posix()), wrong, hint, "told", "warning"))
    return ToldFiles(files, tuple(problems))


def _with(path: Path, text: str, today: date) -> bytes | None:
    """A ledger with what is new in a page below what is there, byte for byte; None where nothing
    is, or where nothing can be added, as the reader tells.

    Raises:
        Refused: It would get too long.
    """
    old = path.read_bytes() if path.exists() else ledger.LEDGER_HEAD.encode()
    before = read_told(old, path.as_posix())
    if before.is_closed:
        return None
    for page in read_told(text.encode(), SHOWN_FILE).tellings:
        new = ledger.new_in(page, before.tellings, today)
        if new is not None:
            data = old.rstrip(b"\n") + b"\n" + ledger.text_of(new).encode()
            if len(data) > MAX_BYTES:
                raise world.Refused("the file would get over 1 MiB; move it elsewhere and keep it")
            return data
    return None


# What pages show, until they are published -----------------------------------------------------


def as_note(page: ShownPage) -> str:
    """A page as the notes have it."""
    return "\n".join(page)


def shown_page(note: str) -> ShownPage:
    """What `as_note` wrote."""
    zone, _, text = note.partition("\n")
    return ShownPage(zone, text)


def keep(shown: Notes, here: Collection[str]) -> ToldFiles:
    """Keep aside what pages of a site show of who is here, until it is published."""
    follows = "a publish may not note what it shows"
    return ToldFiles({}, shown.or_warn(lambda: shown.keep(here), "told", follows))
