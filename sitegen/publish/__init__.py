"""Publish a built site to any host.

``TARGETS`` lists the families of targets, one file each; the first that claims a target gets it.
Nothing here is loaded before something is published, and no back end before a target asks for it.
"""

from __future__ import annotations

import os
import random
import time
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Protocol

from sitegen.practice.address import AddressError
from sitegen.publish import branch, host
from sitegen.publish.redact import redact, secrets_in
from sitegen.publish.report import Halt, Progress, Report, Step, Trouble, trouble_of
from sitegen.publish.settings import Settings
from sitegen.publish.site import SiteFolder, check_site

__all__ = ["TARGETS", "Report", "SiteFolder", "Step", "Trouble", "publish"]


class Family(Protocol):
    """A family of targets: a module with these two functions."""

    def claims(self, target: str) -> bool: ...

    def publish_to(self, site: Mapping[str, bytes], target: str, settings: Settings) -> Report: ...


TARGETS: tuple[Family, ...] = (branch, host)

RETRIES = 4


def publish(
    site: Mapping[str, bytes] | Path,
    target: str,
    *,
    adopt: bool = False,
    dry_run: bool = False,
    retries: int = RETRIES,
    progress: Progress | None = None,
    sleep: Callable[[float], None] = time.sleep,
    now: Callable[[], float] = time.time,
    chance: Callable[[], float] = random.random,
    environ: Mapping[str, str] | None = None,
) -> Report:
    """Bring a host to hold what ``site`` holds: what changed is sent, what is gone is removed.

    Args:
        site: Relative path → bytes, or the built folder.
        target: A folder, an address such as ``sftp://user@host/folder``, or ``git+REMOTE#BRANCH``.
        adopt: Publish even where other files lie already; they are kept, but for those that have
            the name of one of ours.
        dry_run: Look and report; write nothing.
        retries: How often an operation is tried again when the connection breaks.
        progress: Called after each file.
        sleep, now, chance: Pauses in seconds, seconds since 1970, a number between 0 and 1.
        environ: Where secrets are looked up; this process's environment if left out.

    Returns:
        What was done. What went wrong is in ``problems``; nothing is raised for it.
    """
    environ = os.environ if environ is None else environ
    settings = Settings(adopt, dry_run, retries, sleep, now, chance, environ, progress)
    shown = target.partition("://")[0] if "://" in target else target
    try:
        files = SiteFolder(site) if isinstance(site, Path) else site
        check_site(files)
        family = next(family for family in TARGETS if family.claims(target))
        return family.publish_to(files, target, settings)
    except AddressError as wrong:
        return Report(shown, problems=(trouble_of(wrong),), dry_run=dry_run)
    except Halt as halt:
        return Report(shown, problems=(halt.trouble,), dry_run=dry_run)
    except Exception as error:
        said = redact(f"{type(error).__name__}: {error}", secrets_in(environ))
        slip = Trouble(
            f"something that should never happen happened: {said}",
            "publish again; if it stays, report it with this line",
            "publish-slip",
        )
        return Report(shown, problems=(slip,), dry_run=dry_run)
