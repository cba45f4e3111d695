"""`compare`: two plans side by side."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import click

from sitegen.terminal.command import as_of_option, clients_option, command, fail, json_option
from sitegen.terminal.completion import client_ids
from sitegen.terminal.output import echo, say_json


@command(
    examples='sitegen compare mara --with "growth: 8 %"\n'
    'sitegen compare mara --with "tue: rest" --with "long: sat"'
)
@click.argument("id", shell_complete=client_ids)
@click.argument("other", required=False, shell_complete=client_ids)
@click.option(
    "--with",
    "settings",
    multiple=True,
    help="Another setting for the second plan, like 'growth: 8 %'; again for more.",
)
@clients_option
@as_of_option
@json_option
def compare(
    id: str,
    other: str | None,
    settings: tuple[str, ...],
    clients: Path,
    as_of: date | None,
    as_json: bool,
) -> int:
    """Show what is ahead of two plans side by side, and what they reach. Nothing is written.

    The second is another client's, or the same one's with other settings: those
    of sitegen set, or a field of the file.
    """
    from sitegen.coach import compare as two
    from sitegen.plan.ledger import past_of
    from sitegen.practice.opening import list_practice
    from sitegen.site.plans import open_plans, plan_of

    if other is None and not settings:
        raise click.UsageError("name another client, or --with a setting like 'growth: 8 %'")
    second = other or id
    opened = open_plans(clients, tuple({id, second}), as_of)
    first_plan, second_plan = opened.plan(id), opened.plan(second)
    if first_plan is None or second_plan is None:
        return fail(opened.problems, as_json)
    name = second
    if settings:
        name = f"{second} with {', '.join(settings)}"
        listed = list_practice(clients, (second,))
        ((files, _),) = listed.files((second,))
        assert files.client is not None and opened.house is not None
        try:
            text = two.with_settings(files.client, settings)
        except two.NoSetting as slip:
            raise click.UsageError(str(slip)) from slip
        case, problems = listed.judge(files._replace(client=text))
        if case is None:  # the file is sound, so the setting is not; it stands in no line of a file
            wrong = "; ".join(f"{p.message} ({p.hint})" for p in problems if p.level == "error")
            raise click.UsageError(f"--with: {wrong}")
        if other is None:  # what is over stays as it is, whatever the setting would have made of it
            case = replace(case, told=(*past_of(first_plan), *case.told))
        second_plan = plan_of(case, opened.house, opened.day(case))
    if as_json:
        say_json(two.as_json(first_plan, second_plan, (id, name)))
    else:
        echo(two.plans_table(first_plan, second_plan, (id, name)))
    return 0
