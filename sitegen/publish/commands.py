"""`sitegen publish`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from sitegen.terminal.command import (
    clients_option,
    command,
    fail,
    json_option,
    out_option,
    progress,
)
from sitegen.terminal.output import echo, say_json, warn, warn_of


def _nothing_published(dry_run: bool, **_: Any) -> dict[str, Any]:
    from sitegen.publish import Report
    from sitegen.publish.command import report_json

    return report_json(Report("", dry_run=dry_run))


@command(
    examples="sitegen publish --dry-run    what would be sent to the one target there is",
    stopped="every portal on the host is whole, old or new; publish again to finish",
    nothing=_nothing_published,
)
@click.argument("target", required=False)
@clients_option
@out_option
@click.option("--dry-run", is_flag=True, help="Tell what would be sent and removed; do nothing.")
@click.option("--adopt", is_flag=True, help="Publish beside files that lie there already.")
@click.option(
    "--withdraw-missing",
    is_flag=True,
    help="Files that were built and are gone here go from the host, too.",
)
@json_option
def publish(
    target: str | None,
    clients: Path,
    out: Path,
    dry_run: bool,
    adopt: bool,
    withdraw_missing: bool,
    as_json: bool,
) -> int:
    """Upload what changed in the built site, and remove what is gone.

    TARGET is a name from practice.yaml, a folder, or an address such as sftp://user@host/folder.
    A client's page goes as it was built, also where the file has an error now. Pages and feeds
    of stopped clients go first.
    """
    from sitegen.publish import command as publishing
    from sitegen.site.plans import open_plans

    opened = open_plans(clients)
    practice = opened.house.practice if opened.house else publishing.read_all_the_same(clients)
    if practice is None:
        return fail(opened.problems, as_json, _nothing_published(dry_run))
    address = publishing.target_of(practice, target, clients)
    shared = (problem for problem in opened.problems if problem.code == "address-shared")
    warnings = (*publishing.stale(clients, out), *shared)
    if not as_json:
        warn_of(opened.errors)
        for warning in warnings:
            warn(f"{warning.message}: {warning.hint}")
    with progress() as show:
        report = publishing.run(
            clients, out, address, dry_run=dry_run, adopt=adopt, withdraws=withdraw_missing,
            progress=show,
        )  # fmt: skip
    if practice.targets and not report.problems and not dry_run:
        told = publishing.tell_published(clients, out)
        warnings = (*warnings, *told)
        if not as_json:
            warn_of(told)
    status = 1 if report.problems or opened.errors else 0
    if as_json:
        say_json(publishing.report_json(report, (*opened.errors, *warnings)))
        return status
    for trouble in report.problems:
        warn(f"publish: {trouble}")
    for line in publishing.report_lines(report):
        echo(line)
    return status
