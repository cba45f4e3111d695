"""What is used again: `copy` blocks of weeks, and the `sessions` that can be put on a day."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from sitegen.coach.act_commands import act_options, do_act, nothing_done, reason, stopped_act
from sitegen.terminal.command import clients_option, command, fail, json_option
from sitegen.terminal.completion import client_ids
from sitegen.terminal.output import echo, say_json, warn_of


@command(
    examples='sitegen copy mara theo --weeks 5-8 --because "the block before a race"\n'
    "sitegen copy mara theo --weeks 5-8 --at 9 --share 80",
    stopped=stopped_act,
    nothing=nothing_done,
)
@click.argument("source", metavar="FROM", shell_complete=client_ids)
@click.argument("whose", metavar="TO", shell_complete=client_ids)
@click.option("--weeks", required=True, help="Which weeks of FROM, like 5-8 or 6.")
@click.option("--at", help="The first week of TO, or a date in it; default: the one next.")
@click.option("--share", help="How much of the minutes, like 80 %; default: all.")
@click.option("--because", help="Your reason; the client reads it, too.")
@act_options
def copy(
    source: str,
    whose: str,
    weeks: str,
    at: str | None,
    share: str | None,
    because: str | None,
    **how: Any,
) -> int:
    """Copy the runs of one client's weeks to another's, day by day.

    TO is a client, or group:NAME for all of a group. Strength days and events
    stay as they are, and nothing of FROM's file or name goes over.
    """
    from sitegen.site.plans import open_plans

    why = reason(because, how)
    opened = open_plans(how["clients"], (source,), how["as_of"])
    plan = opened.plan(source)
    if plan is None:
        return fail(opened.problems, how["as_json"], nothing_done())
    return do_act("copy", whose, plan, weeks, why, at, share, **how)


@command(examples="sitegen sessions         each with what it is; yours are marked")
@clients_option
@json_option
def sessions(clients: Path, as_json: bool) -> int:
    """List the sessions that can be put on a day: the library's and your own."""
    from sitegen.coach.session_list import listed_sessions, session_json
    from sitegen.practice.opening import list_practice

    listed = list_practice(clients)
    house, problems = listed.read
    if house is None:
        return fail(problems, as_json)
    found = [house.workouts[name] for name in sorted(house.workouts)]
    if as_json:
        say_json([session_json(one) for one in found])
    else:
        warn_of(problem for problem in problems if problem.level == "error")
        for line in listed_sessions(found):
            echo(line)
    return 0
