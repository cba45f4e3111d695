"""`sitegen publish`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from sitegen.publish.closed import LESS_PRIVATE
from sitegen.publish.look import MANY, NEWER
from sitegen.publish.report import Report
from sitegen.terminal.command import (
    clients_option,
    command,
    fail,
    json_option,
    out_option,
    progress,
)
from sitegen.terminal.output import ask, echo, say_json, warn, warn_of


def _nothing_published(dry_run: bool, **_: Any) -> dict[str, Any]:
    from sitegen.publish.command import Published, report_json

    return report_json(Published(Report("", dry_run=dry_run)))


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
@click.option("--withdraw-many", is_flag=True, help="More than a quarter of the portals may go.")
@click.option(
    "--replace-newer",
    is_flag=True,
    help="What another computer published there gives way to what was built here.",
)
@click.option(
    "--less-private",
    is_flag=True,
    help="A page may lose its passphrase or its seal, and a calendar may say more.",
)
@click.option(
    "--before",
    is_flag=True,
    help="Publish the pages from before the last publish once more.",
)
@json_option
def publish(
    target: str | None,
    clients: Path,
    out: Path,
    dry_run: bool,
    adopt: bool,
    withdraw_missing: bool,
    withdraw_many: bool,
    replace_newer: bool,
    less_private: bool,
    before: bool,
    as_json: bool,
) -> int:
    """Upload what changed in the built site, and remove what is gone.

    TARGET is a name from practice.yaml, a folder, or an address such as sftp://user@host/folder.
    A client's page goes as it was built, also where the file has an error now. Pages and feeds
    of stopped clients go first. Where much would go, another computer published since, or a
    page would be less private than there, it asks first.
    """
    from sitegen.practice.opening import NotThere
    from sitegen.publish import command as publishing
    from sitegen.site.plans import open_plans

    opened = open_plans(clients)
    practice = opened.house.practice if opened.house else publishing.read_all_the_same(clients)
    if practice is None:
        return fail(opened.problems, as_json, _nothing_published(dry_run))
    try:
        address = publishing.target_of(practice, target, clients)
    except NotThere:
        if opened.house is not None:
            raise
        # It may be named where the error is.
        return fail(opened.problems, as_json, _nothing_published(dry_run))
    shared = (problem for problem in opened.problems if problem.code == "address-shared")
    warnings = (*(() if before else publishing.stale(clients, out)), *shared)
    if not as_json:
        warn_of(opened.errors)
        for warning in warnings:
            warn(f"{warning.message}: {warning.hint}")
    said = {MANY: withdraw_many or withdraw_missing, NEWER: replace_newer,
            LESS_PRIVATE: less_private}  # fmt: skip

    def publish_now() -> publishing.Published:
        with progress() as show:
            return publishing.run(
                clients, out, address, dry_run=dry_run, adopt=adopt, withdraws=withdraw_missing,
                said=[code for code, yes in said.items() if yes], here=opened.all_ids,
                before=before, progress=show,
            )  # fmt: skip

    done = publish_now()
    asked = frozenset[str]()
    if not as_json and not dry_run:
        asked = frozenset(t.code for t in done.report.problems) & YES.keys()
        if asked and _is_said(done.report, said):
            done = publish_now()
    report = done.report
    if practice.targets and not report.problems and not dry_run:
        told = publishing.tell_published(clients, out, address, done.again, is_new=done.is_new)
        warnings = (*warnings, *told)
        if not as_json:
            warn_of(told)
    status = 1 if report.problems or opened.errors else 0
    if as_json:
        say_json(publishing.report_json(done, (*opened.errors, *warnings)))
        return status
    for trouble in report.problems:
        if trouble.code not in asked:
            warn(f"publish: {trouble}")
    names = {id: case.client.name for id, case in opened.cases.items()}
    for line in publishing.report_lines(done, names):
        echo(line)
    if before and report.ok:
        echo(TOLD_BEFORE)
    return status


TOLD_BEFORE = (  # of what `site_before` does
    "What was withdrawn, erased, renewed or locked since stays so, and who is stopped or has an\n"
    "alarm open keeps the page that says it.\n"
    "A phone that has shown the newer page says that this one is older. The next publish brings\n"
    "the newer one again: take back first what it came from, as with sitegen undo, and build."
)
YES = {
    MANY: ("withdraw", "They go from the host, and their links lead nowhere"),
    NEWER: ("replace", "What lies there gives way to what was built here"),
    LESS_PRIVATE: ("open", "What was closed there can be read by more people"),
}
"""The word that says yes to each of what a publish asks, and what it does."""


def _is_said(report: Report, said: dict[str, bool]) -> bool:
    """Ask for each yes that is missing, and note it in ``said``; whether all were given."""
    for trouble in report.problems:
        if trouble.code not in YES:
            continue
        word, does = YES[trouble.code]
        warn(f"publish: {trouble}")
        try:
            typed = ask(f"{does}. Type {word} to do so", default="", show_default=False)
        except EOFError:
            typed = ""
        if typed.strip().lower() != word:
            return False
        said[trouble.code] = True
    return True
