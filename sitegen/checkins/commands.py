"""`sitegen receive`."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path
from typing import Any

import click

from sitegen.terminal.command import as_of_option, clients_option, command, json_option, progress
from sitegen.terminal.completion import client_ids
from sitegen.terminal.output import OutputLost, echo, say_json, warn_of


def _nothing_received(**_: Any) -> dict[str, Any]:
    from sitegen.checkins.receive import NOTHING, Received

    return Received((), (), 1, NOTHING).as_json()


@command(
    examples="sitegen receive mail.eml    or: sitegen receive < message.txt",
    stopped="each log is whole; receive the same again, nothing is taken twice",
    nothing=_nothing_received,
)
@click.argument("files", nargs=-1, type=click.Path(path_type=Path), metavar="[FILE]...")
@clients_option
@as_of_option
@click.option(
    "--for",
    "whose",
    metavar="ID",
    shell_complete=client_ids,
    help="You know that they are this client's, where no code does.",
)
@json_option
def receive(
    files: tuple[Path, ...], clients: Path, as_of: date | None, whose: str | None, as_json: bool
) -> int:
    """Take check-ins that clients sent into their logs, and tell what they change.

    FILE is a saved text or mail (.eml), or a folder of them; without one, standard input.
    What can't be told, as on a full disk, is not taken.
    """
    from sitegen.checkins import receive as receiving
    from sitegen.checkins.inbox import MOST_BYTES
    from sitegen.checkins.said_lines import few_of_a_kind

    typed = None if files else sys.stdin.buffer.read(MOST_BYTES + 1) if sys.stdin else b""
    with progress() as show:
        received = receiving.receive(files, typed, clients, as_of, whose, show)
    try:
        if as_json:
            say_json(received.as_json())
        else:
            warn_of(few_of_a_kind(received.problems))
            for line in received.lines:
                echo(line)
    except OutputLost as lost:
        received.take_back()
        raise lost.after("so nothing was taken; receive the same again") from None
    if received.stopped is not None:
        raise received.stopped
    return received.status
