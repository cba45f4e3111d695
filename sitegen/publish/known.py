"""What this computer left at each target, beside the keys: ``.published.json``.

By it a publish knows that another computer came in between, and whose a portal was that goes. It
names portals' folders, so it is closed to others, as the keys are. Where it is lost, the next
publish to a host that holds something else than the built site asks once.
"""

from __future__ import annotations

import contextlib
import json
from collections.abc import Collection, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any, NamedTuple

from sitegen import world
from sitegen.locking import writing
from sitegen.publish.closed import (
    FEED_SAYS,
    LESS_PRIVATE,
    PAGE_LOCKS,
    Closed,
    closed_now,
    less_private,
)
from sitegen.publish.look import MANY, NEWER, HostLook, guard
from sitegen.publish.manifest import ABSENT, Manifest, name_of
from sitegen.publish.report import PublishProblem, Report

PUBLISHED_FILE = ".published.json"
ERASED = ""  # in place of the id of who was


class LastPublished(NamedTuple):
    """What is known of one target.

    ``at`` is when this computer published there last, UTC as ISO 8601; ``manifest`` what it left;
    ``whose`` the client of each page and feed, by path, empty where they were erased; ``closed``
    how closed these lie there, by client, who may have ended since.
    """

    at: str
    manifest: Manifest
    whose: Mapping[str, str]
    closed: Mapping[str, Closed] = MappingProxyType({})


def load_known(clients: Path) -> dict[str, LastPublished]:
    """By target; nothing where the file is lost or damaged."""
    try:
        found = json.loads((clients / PUBLISHED_FILE).read_text(encoding="utf-8"))
        return {target: _known(one) for target, one in found.items()}
    except (OSError, ValueError, TypeError, LookupError, AttributeError):
        return {}


def _known(one: Mapping[str, Any]) -> LastPublished:
    files = {str(name): tuple(map(str, digests)) for name, digests in one["files"].items()}
    closed = {
        str(id): Closed(page, feed)
        for id, (page, feed) in one.get("closed", {}).items()
        if page in PAGE_LOCKS and feed in FEED_SAYS
    }
    return LastPublished(
        str(one["at"]), Manifest(files), {str(p): str(id) for p, id in one["of"].items()}, closed
    )


def keep_known(clients: Path, target: str, known: LastPublished) -> None:
    """Note what one target holds.

    Raises:
        Refused: The file can't be written.
    """
    with writing(clients):
        _save(clients, {**load_known(clients), target: known})


def forget_published(clients: Path, id: str) -> None:
    """Let go of a client's id; that something of ours lies there is kept.

    Raises:
        Refused: The file can't be written.
    """
    with writing(clients):
        before = load_known(clients)
        after = {
            target: one._replace(
                whose={p: ERASED if i == id else i for p, i in one.whose.items()},
                closed={i: closed for i, closed in one.closed.items() if i != id},
            )
            for target, one in before.items()
        }
        if after != before:
            _save(clients, after)


def _save(clients: Path, known: Mapping[str, LastPublished]) -> None:
    told = {
        target: {
            "at": one.at,
            "files": {name: list(d) for name, d in sorted(one.manifest.files.items())},
            "of": dict(sorted(one.whose.items())),
            "closed": dict(sorted(one.closed.items())),
        }
        for target, one in sorted(known.items())
    }
    text = json.dumps(told, indent=0, ensure_ascii=True)
    world.write_text_atomic(clients / PUBLISHED_FILE, text + "\n", mode=0o600)


class HostKnown:
    """What this computer knows of a target before a publish, and what it notes of it.

    Args:
        clients: The practice's folder.
        target: The address in full.
        site: What is published, by path.
        mine: The client of each page and feed that the site has, by path.
        said: Codes of `sitegen.publish.look.guard` that were said yes to.
        stopped: Clients whose page stops them.
        ended: Clients whose plan has ended.
        retired: Pages of links that were renewed.
        keeps: Whether anything may be noted.
    """

    def __init__(
        self,
        clients: Path,
        target: str,
        site: Mapping[str, bytes],
        mine: Mapping[str, str],
        said: Collection[str],
        stopped: Collection[str],
        ended: Collection[str],
        retired: Collection[str] = (),
        *,
        keeps: bool,
    ) -> None:
        self.clients, self.target, self.said, self.stopped = clients, target, said, stopped
        self.site, self.retired = site, retired
        self.keeps, self.ended = keeps, {*ended, ERASED}
        self.before = load_known(clients).get(target)
        self.whose = {**(self.before.whose if self.before else {}), **mine}
        self.closed = dict(self.before.closed if self.before else {})
        self.now: Mapping[str, Closed] = {}
        self.look: HostLook | None = None

    @property
    def there(self) -> frozenset[str]:
        """Paths of ours that were on the host before."""
        look = self.look
        if look is None:
            return frozenset()
        paths = (*look.digests, *look.remove)
        return frozenset(path for path in paths if look.before.owns(path))

    def consider(self, look: HostLook) -> tuple[PublishProblem, ...]:
        """Why the publish may not go on; else it is noted what it may leave there."""
        self.look = look
        known = self.before.manifest if self.before else None
        wrong = guard(look, known, self.whose, self.said, self.stopped, self.ended, self.retired)
        self.now = closed_now(self.site, self.whose, self.closed, look.send)
        if LESS_PRIVATE not in self.said:
            wrong += (*less_private(look, self.now, self.closed, self.whose, self.stopped),)
        if not wrong:
            self._keep(look.expected())
        return wrong

    def remember(self, report: Report) -> None:
        """Note what the host holds now; what is in doubt may be either."""
        look = self.look
        asks = (MANY, NEWER, LESS_PRIVATE)
        if look is None or any(trouble.code in asks for trouble in report.problems):
            return
        if report.ok:
            self.closed |= self.now
            self._keep(look.settled(report.uploaded, report.skipped))
            return
        files = dict(look.expected().files)
        for path in report.removed:
            files[name_of(path)] = (ABSENT, *look.before.digests(path))
        self._keep(Manifest(files))

    def _keep(self, manifest: Manifest) -> None:
        if not self.keeps:
            return
        whose = {path: id for path, id in self.whose.items() if manifest.owns(path)}
        at = world.now_utc().strftime("%Y-%m-%dT%H:%M:%SZ")
        with contextlib.suppress(OSError, world.Refused):  # the next publish asks
            keep_known(self.clients, self.target, LastPublished(at, manifest, whose, self.closed))
