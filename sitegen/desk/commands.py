"""`sitegen desk`."""

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
from sitegen.terminal.output import echo, say_json, warn_of

DESK_PORT = 8100


def _no_desk(**_: Any) -> dict[str, Any]:
    from sitegen.coach.desk_page import desk_json

    return desk_json()


@command(
    examples="sitegen desk             opens the evening's page in your browser\n"
    "sitegen desk --page desk/index.html    writes a page that is only read",
    stopped="the page is whole, as it was or as it shall be",
    nothing=_no_desk,
)
@clients_option
@out_option
@as_of_option
@click.option("--port", type=click.IntRange(0, 65535), default=DESK_PORT, show_default=True)
@click.option("--no-browser", is_flag=True, help="Only print the address.")
@click.option(
    "--page",
    "file",
    type=click.Path(path_type=Path),
    help="Write a page that is only read, such as desk/index.html, and serve nothing.",
)
@click.option(
    "--to",
    type=click.Path(file_okay=False, path_type=Path),
    help="The same by its folder, such as desk.",
)
@json_option
def desk(
    clients: Path,
    out: Path,
    as_of: date | None,
    port: int,
    no_browser: bool,
    file: Path | None,
    to: Path | None,
    as_json: bool,
) -> int:
    """Do the evening's work on one page, served to this computer alone.

    With --page, --to or --json it writes the coach's overview as a page that
    is only read; it holds health data in clear.
    """
    if file is None and to is None and not as_json:
        from sitegen.desk.running import run_desk

        return run_desk(clients, out, as_of, port, not no_browser)
    if file is not None and to is not None:
        raise click.UsageError("write --page with a file, or --to with a folder")
    from sitegen.coach.desk_page import PAGE, SUFFIX, desk_json, write_desk

    if file is not None and file.suffix != SUFFIX:
        raise click.UsageError(f"--page: name a page in a folder of its own, like desk/{PAGE}")
    folder = file.parent if file is not None else to or Path("desk")
    with progress() as show:
        page, opened = write_desk(clients, folder, as_of, out, show, file.name if file else PAGE)
    if page is None:
        return fail(opened.problems if as_json else opened.errors, as_json, desk_json())
    if as_json:
        say_json(desk_json(page, opened.ids, opened.problems))
    else:
        warn_of(opened.errors)
        echo(f"{page}: open it in a browser; it is never published")
    return 1 if opened.has_errors else 0
