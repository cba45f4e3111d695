"""Whether a cluster has this very tool: else it would build other bytes than this computer."""

from __future__ import annotations

import re
import zlib
import zoneinfo
from collections.abc import Mapping
from contextlib import suppress
from functools import cache
from importlib import metadata
from pathlib import Path
from typing import TYPE_CHECKING, Any

import sitegen
from sitegen.site.memory import hash_of
from sitegen.terminal.zones import version_read
from sitegen.world import Refused

if TYPE_CHECKING:
    from distributed import Client

CODE = "the code of sitegen"
ENGINE = ("dask", "distributed", "cloudpickle", "msgpack")  # who has to understand each other
PACKAGE = Path(sitegen.__file__).resolve().parent


def workers_alike(client: Client, address: str) -> tuple[str, ...]:
    """The workers' addresses, if all of them build the same bytes as this computer.

    Versions are asked for first: no code runs there before it is known to be the same.
    """
    names = ("python", "sitegen", *ENGINE)
    found: Any = client.get_versions(packages=names[1:])
    if not found["workers"]:
        raise Refused(f"no worker has joined the cluster at {address} yet")
    ours = {name: found["client"]["packages"][name] for name in names}
    for who, other in {"its scheduler": found["scheduler"], **found["workers"]}.items():
        _compare(address, who, ours, other["packages"])
    states: Any = client.run(state, on_error="return")
    for who, told in states.items():
        _compare(address, who, state(), told if isinstance(told, dict) else {})
    return tuple(found["workers"])


def _compare(address: str, who: str, ours: Mapping[str, Any], theirs: Mapping[str, Any]) -> None:
    if told := unlike(ours, theirs):
        raise Refused(
            f"the cluster at {address} would build another site than this computer. "
            f"{who[0].upper()}{who[1:]}: {told}. Install the same there and start it again"
        )


def unlike(ours: Mapping[str, Any], theirs: Mapping[str, Any]) -> str:
    """What is not the same there as here, in words; the first three are enough."""
    told = [
        f"{CODE} is another"
        if name == CODE
        else f"{name} is {theirs.get(name) or 'missing'} there, {own or 'missing'} here"
        for name, own in ours.items()
        if theirs.get(name) != own
    ]
    more = [f"and {len(told) - 3} more"] if len(told) > 3 else []
    return "; ".join(told[:3] + more)


@cache
def state() -> dict[str, str]:
    """What else decides about the bytes that this process builds. Runs on each worker.

    Looked at once, with the code loaded: a worker that runs on after an update keeps the old one.
    """
    import sitegen.site.client  # noqa: F401

    code: list[str | bytes] = []
    for file in sorted(PACKAGE.rglob("*.py")):
        code += file.relative_to(PACKAGE).as_posix(), file.read_bytes()
    return {
        CODE: hash_of(*code),
        "zlib": zlib.ZLIB_RUNTIME_VERSION,
        "time zone data": version_read(zoneinfo.TZPATH),
        **_packages("sitegen"),
    }


def _packages(name: str) -> dict[str, str]:
    """Versions of all that a package needs, and that these need, as far as they are installed."""
    found: dict[str, str] = {}
    todo, seen = [name], {name}
    while todo:
        with suppress(metadata.PackageNotFoundError):
            package = metadata.distribution(todo.pop())
            found[package.metadata["Name"]] = package.version
            needs = [line for line in package.requires or () if "extra ==" not in line]
            names = {re.split(r"[^\w.-]", line, maxsplit=1)[0] for line in needs} - seen
            todo += sorted(names)
            seen |= names
    return dict(sorted(found.items()))
