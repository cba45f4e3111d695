"""What goes out beside the site: `links` on paper, `remind` with messages to copy."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import click

from sitegen.terminal.command import (
    as_of_option,
    clients_option,
    command,
    fail,
    json_option,
    out_option,
    progress,
)
from sitegen.terminal.output import count, echo, say_json, warn_of


def _no_links(**_: Any) -> dict[str, Any]:
    from sitegen.coach.desk_page import desk_json

    return desk_json()


@command(
    examples="sitegen links            writes desk/links.html, to print and to cut",
    stopped="the links are whole, as they were or as they shall be",
    nothing=_no_links,
)
@click.option("--group", help="Only the clients of this group.")
@click.option(
    "--to",
    type=click.Path(file_okay=False, path_type=Path),
    default=Path("desk"),
    show_default=True,
    help="The folder of the page; whoever reads it can open every portal on it.",
)
@clients_option
@out_option
@json_option
def links(group: str | None, to: Path, clients: Path, out: Path, as_json: bool) -> int:
    """Write all private links with their QR codes as one page to print.

    Whoever has a link is in: give each client their own, and destroy the rest.
    """
    from sitegen.coach.desk_page import desk_json
    from sitegen.coach.links_page import write_links

    done = write_links(clients, to, out, group)
    if done.page is None:
        return fail(done.problems, as_json, desk_json())
    if as_json:
        say_json(desk_json(done.page, done.ids, done.problems))
    else:
        warn_of(done.problems)
        echo(f"{done.page}: {count(len(done.ids), 'link')}; open it in a browser and print it")
        echo("Whoever reads it can open every portal on it: delete it once it is printed.")
    return 1 if any(problem.level == "error" for problem in done.problems) else 0


@command(
    examples="sitegen remind           who was not heard from, a message to copy to each",
)
@click.option("--group", help="Only the clients of this group.")
@clients_option
@as_of_option
@json_option
def remind(group: str | None, clients: Path, as_of: date | None, as_json: bool) -> int:
    """Write a message to each client who was not heard from for a week or more.

    Nothing is sent: copy it. It is in the client's language, and tells nothing
    of their health.
    """
    from sitegen.coach.reminding import silent_lines, silent_ones

    with progress() as show:
        found = silent_ones(clients, as_of, group, show)
    if not found.is_whole:
        return fail(found.problems, as_json)
    warn_of(found.problems)
    if as_json:
        say_json([one.as_json() for one in found.silent])
    else:
        for line in silent_lines(found.silent):
            echo(line)
    return 1 if found.problems else 0
