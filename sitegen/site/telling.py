"""The ledger's files: what a client was shown goes into ``ID.told.yaml`` once they can see it.

Where the practice has no targets, that is when the site is built. Else a build keeps aside what
its pages show, beside the keys, and `publish` writes it down once the pages lie on the host. Both
do so for who holds the practice's lock (`sitegen.site.remember.one_at_a_time`).
"""

from __future__ import annotations

import contextlib
import json
import os
from collections.abc import Callable, Iterable, Mapping
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

SHOWN_FILE = ".shown.json"
SEEN_STATES = ".shown-before.json"  # what the last two published states show, by target


class ShownPage(NamedTuple):
    """What a client's page shows, as `sitegen.plan.ledger.text_of` writes it, and their zone."""

    zone: str
    text: str


class ToldFiles(NamedTuple):
    """What was written down: the new content of each ledger, by client; and what could not be."""

    files: Mapping[str, bytes]
    problems: tuple[Problem, ...] = ()


def tell(
    clients: Path,
    shown: Mapping[str, ShownPage],
    today: Callable[[str], date],
    as_of: date | None = None,
) -> ToldFiles:
    """Write down what clients see from today on.

    A page that was built for a day to come tells nobody anything; nor does one whose client was
    told the same before.

    Args:
        clients: The practice's folder.
        shown: What the pages show, by client.
        today: The day in a time zone.
        as_of: The day that the pages were asked for; one that is not today's is a look at another
            day and told nobody.
    """
    files: dict[str, bytes] = {}
    problems: list[Problem] = []
    for id, page in sorted(shown.items()):
        path = clients / f"{id}{TOLD}"
        day = today(page.zone)
        if as_of not in (None, day):
            continue
        try:
            with writing(clients):
                is_here = (clients / f"{id}.yaml").exists()
                new = _with(path, page.text, day) if is_here else None
                if new is not None and world.write_bytes_atomic(path, new, mode=0o600):
                    files[id] = new
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


def load(clients: Path, name: str = SHOWN_FILE) -> dict[str, dict[str, ShownPage]]:
    """What was built into each site and not yet written down: by site, and by client."""
    try:
        found = json.loads((clients / name).read_text(encoding="utf-8"))
        return {
            site: {id: ShownPage(*map(str, page)) for id, page in pages.items()}
            for site, pages in found.items()
        }
    except (OSError, ValueError, TypeError, AttributeError):
        return {}


def save(
    clients: Path, found: Mapping[str, Mapping[str, ShownPage]], name: str = SHOWN_FILE
) -> None:
    """Keep it whole or not at all.

    Raises:
        Refused: The file can't be written.
    """
    kept = {site: dict(sorted(pages.items())) for site, pages in sorted(found.items()) if pages}
    text = json.dumps(kept, indent=0, ensure_ascii=True)
    world.write_text_atomic(clients / name, text + "\n", mode=0o600)


def site_name(clients: Path, out: Path) -> str:
    """A site's name in the file: its way from the practice, so that both can be moved together."""
    with contextlib.suppress(ValueError):  # another drive
        return Path(os.path.relpath(out.resolve(), clients.resolve())).as_posix()
    return out.resolve().as_posix()


def keep(clients: Path, out: Path, shown: Mapping[str, ShownPage], ids: Iterable[str]) -> ToldFiles:
    """Keep aside what pages of a site show of who is here, until it is published."""
    here, name = frozenset(ids), site_name(clients, out)
    try:
        with writing(clients):
            found = load(clients)
            pages = {**found.get(name, {}), **shown}
            now = {**found, name: {id: page for id, page in pages.items() if id in here}}
            if now != found:
                save(clients, now)
    except world.Refused as error:
        place = Origin((clients / SHOWN_FILE).as_posix())
        hint = "mend that, and build again before you publish"
        return ToldFiles({}, (Problem(place, str(error), hint, "told", "warning"),))
    return ToldFiles({})


def forget_page(clients: Path, id: str) -> None:
    """Let go of what was kept aside of one client.

    Raises:
        Refused: The file can't be written.
    """
    with writing(clients):
        for name in (SHOWN_FILE, SEEN_STATES):
            found = load(clients, name)
            now = {site: {i: p for i, p in pages.items() if i != id}
                   for site, pages in found.items()}  # fmt: skip
            if now != found:
                save(clients, now, name)
