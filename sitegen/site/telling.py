"""The ledger's files: what a client was shown goes into ``ID.told.yaml`` once they can see it.

Where the practice has no targets, that is when the site is built. Else a build keeps aside what
its pages show, beside the keys, and `publish` writes it down once the pages lie on the host. Both
do so for who holds the practice's lock (`sitegen.site.remember.one_at_a_time`).
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from datetime import date, timedelta
from pathlib import Path
from typing import NamedTuple

from sitegen import world
from sitegen.locking import writing
from sitegen.model.problem import Origin, Problem
from sitegen.plan import ledger
from sitegen.practice.opening import TOLD
from sitegen.practice.told import Ledger, read_told
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
                if not (clients / f"{id}.yaml").exists():
                    continue
                old = path.read_bytes() if path.exists() else ledger.LEDGER_HEAD.encode()
                before = read_told(old, path.as_posix())
                new = _with(old, before, page.text, day)
                if new is not None and world.write_bytes_atomic(path, new, mode=0o600):
                    files[id] = hash_of(new)
                problems.extend(_to_come(path, old, before, day))
        except (OSError, world.Refused) as error:
            wrong = f"what {id} was shown can't be written down: {error}"
            hint = "mend that, then build and publish again; until then the past may change"
            problems.append(Problem(Origin(path.as_posix()), wrong, hint, "told", "warning"))
    return ToldFiles(files, tuple(problems))


def _to_come(path: Path, data: bytes, before: Ledger, today: date) -> Iterator[Problem]:
    """Entries of days to come, as a wrong clock leaves them: they will count once they are there.

    The next day is none: it may have begun in the zone in which the client was before.
    """
    days = {one.on for one in before.tellings if one.on > today + timedelta(days=1)}
    lines = data.decode(errors="replace").splitlines()
    for day in sorted(days):
        line = next(i for i, text in enumerate(lines, 1) if text.startswith(f"- told: {day}"))
        wrong = f"{day} is a day to come: what this entry tells will count from then on"
        hint = (
            "if this computer's clock was wrong, take the entry out: this line and those below it, "
            "up to the next - told"
        )
        yield Problem(Origin(path.as_posix(), line, 1), wrong, hint, "told", "warning")


def _with(old: bytes, before: Ledger, text: str, today: date) -> bytes | None:
    """A ledger with what is new in a page below what is there, byte for byte; None where nothing
    is, or where nothing can be added, as the reader tells.

    Raises:
        Refused: It would get too long.
    """
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
