"""Publish a built site to any host.

`sitegen.practice.targets` lists the kinds of targets, one file each. Nothing here is loaded
before something is published, and no back end before a target asks for it.
"""

from __future__ import annotations

import os
import random
import time
from collections.abc import Callable, Collection, Mapping
from importlib import import_module
from pathlib import Path

from sitegen.practice.address import AddressError, scheme_of
from sitegen.practice.targets import kind_of_scheme
from sitegen.publish import host
from sitegen.publish.fault import PublishError, told_as
from sitegen.publish.look import Consider
from sitegen.publish.report import (
    PublishProblem,
    Report,
    TransferProgress,
    TransferStep,
    publish_problem,
)
from sitegen.publish.settings import Settings
from sitegen.publish.site import SiteFiles, check_site

__all__ = ["PublishProblem", "Report", "SiteFiles", "TransferStep", "publish"]


RETRIES = 4


def publish(
    site: Mapping[str, bytes] | Path,
    target: str,
    *,
    adopt: bool = False,
    dry_run: bool = False,
    retries: int = RETRIES,
    progress: TransferProgress | None = None,
    first: Collection[str] = (),
    consider: Consider | None = None,
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
        first: Portals and feeds that are sent before all others: those of stopped clients.
        consider: Asked before anything is written; where it objects, nothing is.
        sleep, now, chance: Pauses in seconds, seconds since 1970, a number between 0 and 1.
        environ: Where secrets are looked up; this process's environment if left out.

    Returns:
        What was done. What went wrong is in ``problems``; nothing is raised for it but a
        programming error, as it is.
    """
    environ = os.environ if environ is None else environ
    settings = Settings(
        adopt, dry_run, retries, sleep, now, chance, environ, progress, frozenset(first), consider
    )
    shown = target.partition("://")[0] if "://" in target else target
    try:
        files = SiteFiles(site) if isinstance(site, Path) else site
        check_site(files)
        return _way_to(target)(files, target, settings)
    except AddressError as wrong:
        return Report(shown, problems=(publish_problem(wrong),), dry_run=dry_run)
    except PublishError as error:
        return Report(shown, problems=(told_as(error, "publishing"),), dry_run=dry_run)
    except OSError as error:  # of a host they are a `PublishError`
        moved = error.strerror or str(error)
        wrong_site = f"the built folder can't be read: {moved}"
        unread = PublishProblem(wrong_site, "build again, then publish", "site-unread")
        return Report(shown, problems=(unread,), dry_run=dry_run)


def _way_to(target: str) -> Callable[[Mapping[str, bytes], str, Settings], Report]:
    """The function that publishes to a target: its kind's own, or file by file into a store."""
    module = import_module(f"sitegen.publish.{kind_of_scheme(scheme_of(target)).module}")
    return getattr(module, "publish_to", host.publish_to)
