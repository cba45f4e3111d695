"""Messages that wait in ``.aside`` unanswered: open alarms that stand in no client's files.

What they tell is worked out by `sitegen.coach.alarms`; here it is only known that they wait, so
that a build and a publish name them before any other.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from contextlib import suppress
from datetime import date
from pathlib import Path

from sitegen.model.problem import Origin, Problem
from sitegen.practice.opening import ANSWERS

ASIDE = ".aside"


def alarm_key(name: str) -> tuple[str, date]:
    """The matter of a waiting file's alarm and the day from which it counts, by its name."""
    stem = Path(name).stem
    try:
        return f"aside{stem[10:]}", date.fromisoformat(stem[:10])
    except ValueError:
        return f"aside-{stem}", date(2000, 1, 1)


def alarm_number(name: str) -> int:
    """By what a coach answers a waiting file's alarm: four digits out of its name alone, so that no
    number changes when another file comes or goes."""
    return 1000 + int(hashlib.sha256(name.encode("utf-8")).hexdigest(), 16) % 9000


def unanswered(clients: Path) -> tuple[str, ...]:
    """Names of the files that wait and whose alarm nobody has answered."""
    folder = clients / ASIDE
    names: list[str] = []
    with suppress(OSError):
        names = sorted(p.name for p in folder.iterdir() if p.is_file() and p.name[0] != ".")
    if not names:
        return ()
    given = set(_answered(clients))
    return tuple(name for name in names if alarm_key(name) not in given)


def _answered(clients: Path) -> Iterator[tuple[str, date]]:
    from sitegen.practice.answers import read_answers  # with YAML, which few builds need for this

    for path in clients.glob(f"*{ANSWERS}"):
        data = b""
        with suppress(OSError):
            data = path.read_bytes()
        if b"aside" in data:
            for one in read_answers(data, path.as_posix())[0]:
                yield one.matter, one.since


def waiting_problems(clients: Path) -> tuple[Problem, ...]:
    """One warning for all of them, as an open alarm of a client is one; none where none waits."""
    names = unanswered(clients)
    if not names:
        return ()
    many = "a message waits that is" if len(names) == 1 else f"{len(names)} messages wait that are"
    place = Origin((clients / ASIDE).as_posix())
    hint = "read what waits; see sitegen alarms"
    return (Problem(place, f"alarm of the practice: {many} in no log", hint, "alarm", "warning"),)
