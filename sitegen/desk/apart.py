"""Check-ins received in a process of their own: there a message may take only so much time and
memory, which holds in a main thread alone. A module without the desk, so that it begins quickly."""

from __future__ import annotations

import os
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from datetime import date
from multiprocessing import get_context
from pathlib import Path
from typing import NamedTuple

from sitegen.model.problem import Problem


class Landed(NamedTuple):
    """What became of what came in: lines for the coach, urgent ones first, and what is wrong."""

    lines: tuple[str, ...]
    problems: tuple[Problem, ...]


def receive_apart(
    folder: Path, names: Sequence[str], clients: Path, as_of: date | None, whose: str | None
) -> Landed:
    """Take the check-ins of some files into the logs, as `receive` does.

    Args:
        folder: Where the files lie.
        names: Theirs, by which they are named in what is told.
        clients: The practice's folder.
        as_of: The day; None for today, where each client is.
        whose: The client whose they are, where no code says it.
    """
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as apart:
        place = clients.resolve()
        return apart.submit(_receive, folder, tuple(names), place, as_of, whose).result()


def _receive(
    folder: Path, names: tuple[str, ...], clients: Path, as_of: date | None, whose: str | None
) -> Landed:
    from sitegen.checkins.receive import receive

    os.chdir(folder)
    done = receive([Path(name) for name in names], None, clients, as_of, whose)
    place = f"{clients}/"  # on this page a file is known by its name
    return Landed(tuple(line.replace(place, "") for line in done.lines), done.problems)
