"""`sitegen history`."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from sitegen.terminal.command import as_of_option, clients_option, command, fail, json_option
from sitegen.terminal.completion import client_ids
from sitegen.terminal.output import echo, say_json


@command(
    examples="sitegen history mara\nsitegen history mara --since 2027-03-01 --only told",
)
@click.argument("id", shell_complete=client_ids)
@click.option("--since", help="Only from this day on, like 2027-03-01.")
@click.option(
    "--only",
    multiple=True,
    type=click.Choice(["file", "coach", "decided", "told", "done", "alarm", "answer"]),
    help="Only lines of this kind; again for more.",
)
@clients_option
@as_of_option
@json_option
def history(
    id: str,
    since: str | None,
    only: tuple[str, ...],
    clients: Path,
    as_of: date | None,
    as_json: bool,
) -> int:
    """Tell one client's time as one line: told, done, changed, alarms and answers."""
    from sitegen.coach.history import history_lines, history_of
    from sitegen.site.plans import open_plans

    try:
        first = date.min if since is None else date.fromisoformat(since)
    except ValueError:
        raise click.BadParameter(f"{since!r} is no day; write it like 2027-03-01") from None
    opened = open_plans(clients, (id,), as_of)
    plan = opened.plan(id)
    if plan is None:
        return fail(opened.problems, as_json)
    told = history_of(opened.cases[id], plan, clients)
    found = [one for one in told if one.on >= first and (not only or one.kind in only)]
    if as_json:
        say_json([one.as_json() for one in found])
    else:
        for line in history_lines(found):
            echo(line)
    return 0
