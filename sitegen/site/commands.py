"""`sitegen check` and `sitegen build`."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from sitegen.terminal.command import (
    as_of_option,
    clients_option,
    command,
    json_option,
    out_option,
    progress,
    usage_if_nobody,
)
from sitegen.terminal.completion import client_ids
from sitegen.terminal.output import OutputLost, count, echo, say_json, warn, warn_of

if TYPE_CHECKING:
    from concurrent.futures import Executor


@command(
    examples="sitegen check            every client\nsitegen check mara       one client",
)
@click.argument("ids", nargs=-1, metavar="[ID]...", shell_complete=client_ids)
@clients_option
@out_option
@as_of_option
@json_option
def check(ids: tuple[str, ...], clients: Path, out: Path, as_of: date | None, as_json: bool) -> int:
    """Tell every problem of the practice, or of the clients named.

    Open alarms stand first, then what is new since the last build, then what that told already.
    """
    from sitegen.site import checking, news, remember

    with progress() as show:
        found = checking.check(clients, ids, as_of, show)
    if as_json:
        say_json([p.as_json() for p in found.problems])
        return 1 if found.errors else 0
    memory = remember.load_cache(remember.memory_file(clients, out), remember.tool())
    told = news.told_before(found.problems, memory.told_of(ids))
    warn_of(news.problem_lines(p for p in found.problems if p not in told))
    if told:
        warn("as at the last build:")
        warn_of(news.problem_lines(p for p in found.problems if p in told))
    echo(
        f"{count(found.clients, 'client')} checked: {count(found.errors, 'error')}, "
        f"{count(len(found.problems) - found.errors, 'warning')}"
        + (f", {len(told)} of them as at the last build" if told else "")
    )
    return 1 if found.errors else 0


def _nothing_built(out: Path, **_: Any) -> dict[str, Any]:
    from sitegen.site.built import Built

    return Built(False, ()).as_json(out)


@command(
    examples="sitegen build            writes public/",
    stopped="the site is whole, as it was or as it shall be; build again",
    nothing=_nothing_built,
)
@click.argument("ids", nargs=-1, metavar="[ID]...", shell_complete=client_ids)
@clients_option
@out_option
@as_of_option
@click.option("--links", is_flag=True, help="Print each private link, too.")
@click.option("--cluster", metavar="ADDRESS", help="Build on a cluster, like tls://scheduler:8786.")
@json_option
def build(
    ids: tuple[str, ...],
    clients: Path,
    out: Path,
    as_of: date | None,
    links: bool,
    cluster: str | None,
    as_json: bool,
) -> int:
    """Check everything, then write the site.

    A client with an error is left out, keeps the page of before, and is named. An error in what
    all clients share, such as practice.yaml, leaves the whole site as it was. A stop goes out all
    the same.
    """
    from sitegen import world
    from sitegen.practice.waits import waiting_problems
    from sitegen.site import remember
    from sitegen.site.building import build_site
    from sitegen.site.built import other_day

    with _executor(cluster) as executor, progress() as show:
        built = build_site(
            clients, out, ids, as_of, show, executor=executor, tells=True, reports=not as_json
        )
    usage_if_nobody(built.problems)
    built = replace(built, problems=(*waiting_problems(clients), *built.problems))
    status = 1 if built.errors else 0
    if as_json:
        say_json(built.as_json(out, links))
        return status
    try:
        warn_of(built.told)
    except OutputLost:  # else the next build would count as told what nobody read
        remember.forget_build(clients, out)
        raise
    if not built.done:
        warn(f"nothing was written: {count(built.errors, 'error')}")
        return status
    for line in built.links if links else ():
        echo(line)
    echo(built.summary)
    if as_of and (other := other_day(as_of, world.now_utc().astimezone().date())):
        warn(other)
    waiting = [id for id in built.held if id not in built.stopped]
    if waiting:
        warn(f"not built, for errors; a page of before stays as it is: {', '.join(waiting)}")
    if built.stopped:
        named = ", ".join(built.stopped)
        warn(f"with errors, but the page says that nothing is to be run, and why: {named}")
    return status


@contextmanager
def _executor(cluster: str | None) -> Iterator[Executor | None]:
    """Where to build.

    Raises:
        Refused: It can't be there.
    """
    if cluster is None:
        yield None
        return
    from sitegen.site.cluster import connected

    with connected(cluster, lambda told: warn(f"sitegen: {told}")) as executor:
        yield executor
