"""Sentences that more than one family of targets says."""

from __future__ import annotations

from collections.abc import Sequence

from sitegen.publish.report import PublishProblem

FEW_NAMES = 3


def short_list(paths: Sequence[str]) -> str:
    """The first few of ``paths``, and how many more there are."""
    shown = ", ".join(paths[:FEW_NAMES])
    more = len(paths) - FEW_NAMES
    return f"{shown} and {more} more" if more > 0 else shown


def conflict(path: str) -> PublishProblem:
    return PublishProblem(
        "someone else's file has this name on the host, so it was left alone",
        "move it away there; or publish with --adopt to replace it",
        "publish-conflict",
        path,
    )


def changed_there(path: str) -> PublishProblem:
    return PublishProblem(
        "this file was ours and is withdrawn, but someone changed it on the host, so it was left "
        "alone",
        "look at it and delete it there by hand",
        "publish-changed",
        path,
    )


def site_moved() -> PublishProblem:
    return PublishProblem(
        "the site was built anew while it was being published", "publish again", "site-moved"
    )
