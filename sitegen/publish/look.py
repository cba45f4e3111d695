"""What a publish finds on the host and is about to do, and when it needs a yes that says what.

Pure. `HostLook` is taken before anything is written; `guard` weighs it against what this computer
knows of the host (`sitegen.publish.known`).
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from typing import NamedTuple

from sitegen.publish.manifest import ABSENT, Manifest, name_of
from sitegen.publish.order import PORTALS, sending_of
from sitegen.publish.report import PublishProblem

MANY, NEWER = "publish-many", "publish-newer"  # codes
QUARTER = 4  # of the portals there, one in so many may go unasked: common practice, no source
MOST_CLIENTS_NAMED = 8


class HostLook(NamedTuple):
    """Before a publish writes.

    ``before`` is our list there, empty where there is none; ``digests`` are those of the whole
    site, by path; the rest are paths.
    """

    before: Manifest
    digests: Mapping[str, str]
    send: tuple[str, ...]
    remove: tuple[str, ...]
    unchanged: tuple[str, ...]

    @property
    def is_first(self) -> bool:
        """Whether nothing of ours was there."""
        return not self.before.files

    def expected(self) -> Manifest:
        """What the host may hold from the first file sent on."""
        return self.before.expecting({path: self.digests[path] for path in self.send})

    def settled(self, sent: Iterable[str], left: Iterable[str]) -> Manifest:
        """What the host holds once ``sent`` has arrived and ``left`` was left."""
        there = {path: self.digests[path] for path in (*self.unchanged, *sent)}
        return self.expected().settled(there, left)


Consider = Callable[[HostLook], tuple[PublishProblem, ...]]
"""Says why a publish may not go on; nothing where it may."""


def page_of(path: str) -> str:
    """The portal's page where the path is one, else nothing."""
    return path if sending_of(path) == PORTALS and path.endswith("/index.html") else ""


def others_work(look: HostLook, known: Manifest | None) -> tuple[frozenset[str], int]:
    """What the host holds that this computer neither put there nor would put there now.

    Args:
        look: What is there.
        known: What this computer left there last; None where it knows of nothing.

    Returns:
        Hashed paths of what is otherwise or new, and how many files of ours are gone.
    """
    ours = {name_of(path): digest for path, digest in look.digests.items()}
    left = known.files if known else {}
    other = frozenset(
        name
        for name, digests in look.before.files.items()
        if not {*digests} - {ABSENT} <= {*left.get(name, ()), ours.get(name)}
    )
    gone = [
        n for n, digests in left.items() if ABSENT not in digests and n not in look.before.files
    ]
    return other, len(gone)


def guard(
    look: HostLook,
    known: Manifest | None,
    whose: Mapping[str, str],
    said: Collection[str],
    stopped: Collection[str] = (),
    ended: Collection[str] = (),
    retired: Collection[str] = (),
) -> tuple[PublishProblem, ...]:
    """Why this publish needs a yes that was not said.

    Args:
        look: What is there and would be done.
        known: What this computer left there last.
        whose: The client of each page and feed, by path.
        said: Codes of what was said yes to.
        stopped: Clients whose page stops them; it goes out in any case.
        ended: Clients whose plan has ended, or "" for who was erased: their pages shall go.
        retired: Pages of links that were renewed.
    """
    found = []
    gone = gone_portals(look, whose, retired)
    going = [page for page in gone if whose.get(page) not in ended]
    there = {*gone, *(page for p in (*look.unchanged, *look.send) if (page := page_of(p))
                       and look.before.owns(page))}  # fmt: skip
    but = stops_sent(look, whose, stopped)
    if MANY not in said and len(going) * QUARTER > len(there):
        who = ids_named(whose.get(page, "") for page in going)
        found.append(
            PublishProblem(
                f"{len(going)} of the {len(there)} portals there would go: {who}; nothing was "
                f"sent{but}",
                "look whether a file is missing or misnamed, with sitegen check, or whether the "
                "links are others since .keys.yaml was lost; if they shall go, say "
                "--withdraw-many",
                MANY,
            )
        )
    other, fewer = others_work(look, known)
    if NEWER not in said and not look.is_first and (other or fewer):
        paths = {name_of(path): id for path, id in whose.items()}
        who = ids_named(paths.get(name, "") for name in other)
        what = f"what this computer did not put there: {who}" if other else ""
        less = f"{fewer} file{'s' * (fewer != 1)} fewer than this computer left there"
        less = less if fewer else ""
        found.append(
            PublishProblem(
                f"the host holds {' and '.join(filter(None, (what, less)))}; another computer may "
                f"have published since; nothing was sent{but}",
                "bring the folder of that computer here first (docs/moving.md); if what was built "
                "here shall take its place, say --replace-newer",
                NEWER,
            )
        )
    return tuple(found)


def stops_sent(look: HostLook, whose: Mapping[str, str], stopped: Collection[str]) -> str:
    """Whose page goes out where nothing else does, as it stops them: `` but what stops mara``."""
    stops = {whose.get(page, "") for page in look.send} & {*stopped}
    return f" but what stops {ids_named(stops)}" if stops else ""


def gone_portals(
    look: HostLook, whose: Mapping[str, str], retired: Collection[str] = ()
) -> list[str]:
    """Pages that go and leave their client none. One under a renewed link does not count, but
    where no link there is one of now and none was renewed: the file of links may be lost."""
    there = [page for path in look.digests if (page := page_of(path))]
    stay = {whose.get(page, page) for page in there}
    pages = [page for path in look.remove if (page := page_of(path))]
    is_lost = len(pages) > 1 and not any(map(look.before.owns, there))
    return [
        page
        for page in pages
        if whose.get(page, page) not in stay or (is_lost and page not in retired)
    ]


def ids_named(ids: Iterable[str]) -> str:
    """``ayla, mara and 2 files of no client here``; of many only some are named."""
    listed = list(ids)
    known = sorted({id for id in listed if id})
    strangers = sum(not id for id in listed)
    shown = known[:MOST_CLIENTS_NAMED]
    if len(known) > MOST_CLIENTS_NAMED:
        shown.append(f"{len(known) - MOST_CLIENTS_NAMED} more")
    if strangers:
        shown.append(f"{strangers} file{'s' * (strangers != 1)} of no client here")
    return " and ".join(filter(None, (", ".join(shown[:-1]), *shown[-1:])))
