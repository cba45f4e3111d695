"""Publish to a folder, or to any address that a store can be opened for.

A run goes: look at the host; refuse what is not ours; take the lock; write down what is about to
change; send assets, portals, feeds and front pages, each file whole; remove what is gone; write
down what is there now. A run that is cut off leaves, for each file, the old or the new one, and a
manifest that names both, so the next run knows what to look at again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path, PurePosixPath

from sitegen.publish import stores
from sitegen.publish.address import read_address
from sitegen.publish.fault import Failed, Kind, tell
from sitegen.publish.line import Line, put
from sitegen.publish.lock import Lock, is_own_leftover
from sitegen.publish.manifest import MANIFEST, Manifest, digest_of, read_manifest
from sitegen.publish.order import ASSETS, FEEDS, FRONT, removal_order, sending_order, stage
from sitegen.publish.report import Halt, Report, Step, Trouble
from sitegen.publish.settings import Settings
from sitegen.publish.site import SiteFolder
from sitegen.publish.store import Entry, Store

HOPELESS = frozenset({Kind.CUT, Kind.FULL, Kind.SECRET, Kind.STRANGER, Kind.EXTRA, Kind.OTHER})
FEW = 5


def claims(target: str) -> bool:
    """Every target that is not a git branch."""
    return not target.strip().startswith("git+")


def publish_to(site: Mapping[str, bytes], target: str, settings: Settings) -> Report:
    """Bring a host to hold just what ``site`` holds, beside other people's files.

    Raises:
        Halt: The target can't be read, or it must not be published to.
    """
    address = read_address(target)
    if not address.scheme and isinstance(site, SiteFolder):
        _refuse_itself(site.folder, Path(address.path))
    return publish_into(
        lambda: stores.open_store(address, settings.environ), site, address.shown, settings
    )


def _refuse_itself(built: Path, target: Path) -> None:
    source, goal = built.resolve(), target.resolve()
    if source == goal or source in goal.parents or goal in source.parents:
        raise Halt(
            Trouble(
                "the target is the built folder itself, or one lies in the other",
                "name a folder of its own as the target",
                "target-itself",
            )
        )


@dataclass(frozen=True)
class Plan:
    """What a run has to do, worked out from what the host holds."""

    manifest: Manifest
    digests: Mapping[str, str]  # of the site
    send: tuple[str, ...]
    remove: tuple[str, ...]
    unchanged: tuple[str, ...]
    kept: tuple[str, ...]
    leftovers: tuple[str, ...]
    conflicts: tuple[str, ...]
    overwritten: tuple[str, ...]

    @property
    def is_done(self) -> bool:
        after = self.manifest.settled({path: self.digests[path] for path in self.unchanged}, _NONE)
        stale = set(after.files) - {name for path in self.digests for name in [_name(path)]}
        return not (self.send or self.remove or self.leftovers or stale) and after == self.manifest


@dataclass
class Tally:
    """What a run has done so far."""

    uploaded: list[str] = field(default_factory=list)
    removed: list[str] = field(default_factory=list)
    skipped: list[str] = field(default_factory=list)
    problems: list[Trouble] = field(default_factory=list)
