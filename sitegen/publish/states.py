"""The last two states that were published to a target, so that the one before can go out again.

They lie beside the site in the tool's own folder, as links to the files where that can be, and can
always be deleted. What clients were shown by each is kept beside the keys
(`sitegen.site.telling`), as the ledger is told again.
"""

from __future__ import annotations

import contextlib
import os
import shutil
from collections.abc import Collection, Iterable, Iterator, Mapping
from filecmp import cmp
from pathlib import Path

from sitegen.model.problem import Problem
from sitegen.publish.closed import lock_of, says_all
from sitegen.seal.addresses import feed_name, portal_name
from sitegen.seal.keys import Keys, Link
from sitegen.site.memory import hash_of
from sitegen.site.notes import SEEN_STATES, Notes
from sitegen.site.owned import CACHE
from sitegen.site.telling import ShownPage, as_note, shown_page
from sitegen.world import Refused

LAST_STATE, STATE_BEFORE, NEXT_STATE = "last", "before", "next"


class StateFiles(Mapping[str, bytes]):
    """A site as paths within it and where each file lies, read when it is asked for."""

    def __init__(self, places: Mapping[str, Path]) -> None:
        self.places = dict(sorted(places.items()))

    def __getitem__(self, name: str) -> bytes:
        return self.places[name].read_bytes()

    def __iter__(self) -> Iterator[str]:
        return iter(self.places)

    def __len__(self) -> int:
        return len(self.places)


def _folder(clients: Path, out: Path, target: str) -> Path:
    name = hash_of(str(clients.resolve()), str(out.resolve()), target)[:16]
    return out.resolve().parent / CACHE / f"published-{name}"


def _shown_name(target: str, which: str) -> str:
    return f"{which} {target}"


def keep_state(clients: Path, out: Path, target: str, site: Mapping[str, Path]) -> None:
    """Keep what was just published; what was published before that is the state before, without
    pages and feeds that are gone: they may not come back, and an erased client's feed is in clear.

    Where it can't be kept there is none to go back to.
    """
    top = _folder(clients, out, target)
    with contextlib.suppress(OSError):
        top.parent.mkdir(mode=0o700, exist_ok=True)
        top.mkdir(mode=0o700, exist_ok=True)
        shutil.rmtree(top / NEXT_STATE, ignore_errors=True)
        for name, path in site.items():
            (top / NEXT_STATE / name).parent.mkdir(parents=True, exist_ok=True)
            try:
                os.link(path, top / NEXT_STATE / name)
            except OSError:  # another disk, or one without links
                shutil.copy2(path, top / NEXT_STATE / name)
        if (top / LAST_STATE).exists():  # else the one before is there: a run was cut off here
            shutil.rmtree(top / STATE_BEFORE, ignore_errors=True)
            (top / LAST_STATE).rename(top / STATE_BEFORE)
        (top / NEXT_STATE).rename(top / LAST_STATE)
        for name, path in _files(top / STATE_BEFORE).items():
            if name not in site and not name.startswith("assets/"):
                path.unlink()
                with contextlib.suppress(OSError):  # another file is there still
                    path.parent.rmdir()


def is_last_state(clients: Path, out: Path, target: str, site: Mapping[str, Path]) -> bool:
    """Whether this is what is kept as the last state: not where a publish was cut off at its end,
    of which the next one has nothing to send."""
    kept = _files(_folder(clients, out, target) / LAST_STATE)
    return kept.keys() == site.keys() and all(cmp(kept[name], site[name]) for name in kept)


def _files(top: Path) -> dict[str, Path]:
    return {p.relative_to(top).as_posix(): p for p in top.rglob("*") if p.is_file()}


def _is_as_closed(old: Mapping[str, Path], now: Mapping[str, Path], link: Link) -> bool:
    """Whether a client's page was locked as it is now, and the feed said no more than now."""

    def lock_and_feed(site: Mapping[str, Path]) -> tuple[bytes, bool]:
        page, feed = (
            site[name].read_bytes() if name in site else b""
            for name in (portal_name(link), feed_name(link))
        )
        return lock_of(page), says_all(feed)

    (lock, is_full), (lock_now, is_full_now) = lock_and_feed(old), lock_and_feed(now)
    return lock == lock_now and is_full <= is_full_now


def keep_shown(
    clients: Path, target: str, pages: Iterable[tuple[str, ShownPage]], *, is_new: bool
) -> tuple[Problem, ...]:
    """Keep what clients see of it, as `keep_state` keeps the files; a warning where that fails.

    ``is_new`` says that this was kept as the last state just now; else what is kept already stays.
    """
    last, before = (_shown_name(target, which) for which in (LAST_STATE, STATE_BEFORE))
    follows = "publish --before may not note what clients see again"
    with Notes(clients, SEEN_STATES, last) as kept:
        for id, page in pages:
            kept.note(id, as_note(page))
        if not is_new and kept.is_as_new():
            return ()
        return kept.or_warn(lambda: kept.replace(before), "told", follows)


def site_before(
    clients: Path,
    out: Path,
    target: str,
    now: Mapping[str, Path],
    keys: Keys | None,
    stay: Collection[str],
) -> tuple[dict[str, Path], dict[str, ShownPage]]:
    """The built site with the pages and feeds that were published before the last ones.

    A link that was renewed or ended stays so, and who came since keeps their page. So does whose
    page was locked in another way, or whose feed said more: what was closed since stays closed.

    Args:
        clients: The practice's folder.
        out: The built folder.
        target: The address in full.
        now: The built site's files, by name.
        keys: The links as they are.
        stay: Clients whose page stays: it stops them, or an alarm of theirs is open.

    Returns:
        The files, and what the clients with a page of before see again.

    Raises:
        Refused: No state before the last one is known here.
    """
    old = _files(_folder(clients, out, target) / STATE_BEFORE)
    if not old:
        raise Refused(f"nothing is known here of what was published to {target} before the last")
    whose = {place: id for id, link in (keys.links if keys else {}).items() if id not in stay
             and _is_as_closed(old, now, link)
             for place in (link.portal, f"feeds/{link.feed}.ics")}  # fmt: skip
    site, back = dict(now), set()
    for name, path in old.items():
        id = whose.get(name) or whose.get(name.partition("/")[0])
        if id is not None and name in now:
            site[name] = path
            back.add(id)
        elif name.startswith("assets/"):
            site.setdefault(name, path)
    with Notes(clients, SEEN_STATES, _shown_name(target, STATE_BEFORE)) as shown:
        return site, {id: shown_page(shown.get(id)) for id in back.intersection(shown.ids())}
