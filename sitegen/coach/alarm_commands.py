"""Commands: `alarms` lists what waits for an answer, `answer` notes one."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from sitegen.terminal.command import (
    DateParam,
    as_of_option,
    clients_option,
    command,
    json_option,
    progress,
)
from sitegen.terminal.completion import client_ids
from sitegen.terminal.output import echo, say_json, telling_of, warn_of

OPEN = 3  # exit status while an alarm is open, for scripts


@command(
    examples="sitegen alarms           what waits for an answer, most urgent first\n"
    "sitegen alarms --all     answered ones and notices too"
)
@click.argument("ids", nargs=-1, shell_complete=client_ids)
@click.option("--all", "everything", is_flag=True, help="Answered alarms and notices too.")
@clients_option
@as_of_option
@json_option
def alarms(
    ids: tuple[str, ...], everything: bool, clients: Path, as_of: date | None, as_json: bool
) -> int:
    """What needs a person's answer, most urgent first. Status 3 while an alarm is open."""
    from sitegen.coach import alarms as doing
    from sitegen.practice.opening import open_practice

    with progress() as show:
        opened = open_practice(clients, ids, as_of, show)
        found = doing.alarms_told(opened, everything or as_json)
    if as_json:
        say_json(doing.alarms_json(found))
    else:
        echo("\n".join(doing.alarm_lines(found, everything)))
    return OPEN if found.open else 0


@command(
    examples='sitegen answer mara 2 --because "spoke with her, she saw a doctor today"',
    stopped="nothing is half written; see sitegen alarms",
)
@click.argument("id", shell_complete=client_ids)
@click.argument("number", type=click.IntRange(1))
@click.argument("matter", required=False)
@click.option("--because", required=True, help="What you did.")
@click.option("--seen-by", help="Who saw the client.")
@click.option(
    "--not-client", is_flag=True, help="Somebody else wrote it: no such stops for 14 days."
)
@click.option("--on", type=DateParam(), help="The day; default: today, where the client is.")
@click.option("--yes", is_flag=True, expose_value=False, help="As for other acts; it never asks.")
@clients_option
@as_of_option
@json_option
def answer(
    id: str,
    number: int,
    matter: str | None,
    because: str,
    seen_by: str | None,
    not_client: bool,
    on: date | None,
    clients: Path,
    as_of: date | None,
    as_json: bool,
) -> int:
    """Note what you did about an alarm. It acknowledges; a stop ends by a lift or a clearance.

    With a MATTER, like limp, nothing is noted if the alarm of that number is about another.
    """
    from sitegen.coach import alarms as doing
    from sitegen.locking import writing
    from sitegen.practice.opening import open_practice
    from sitegen.practice.orphans import orphans

    with writing(clients):
        is_alone = id == doing.PRACTICE or id in (one.id for one in orphans(clients))
        opened = open_practice(clients, () if is_alone else (id,), as_of)
        done = doing.answer(opened, id, number, because, seen_by, on, not_client, matter)
    if done.problems and not as_json:
        warn_of(done.problems)
        return 1
    with telling_of("" if done.problems else "yet your answer was noted"):
        if as_json:
            problems = [problem.as_json() for problem in done.problems]
            told = {"done": not problems, "line": done.line, "hint": done.hint}
            say_json({**told, "problems": problems})
        else:
            echo(f"{done.line}\n{done.hint}")
    return 1 if done.problems else 0
