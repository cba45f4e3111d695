"""Which time zone data is read: the newer of the system's and the package's."""

from __future__ import annotations

import os
import zoneinfo
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

import tzdata  # type: ignore[import-untyped]


def use_newest_zones() -> None:
    """Let this process, and those that it starts, read the newer data.

    A law that moves a clock is months old before every computer has it. Who has set PYTHONTZPATH
    has chosen, and is left alone.
    """
    if "PYTHONTZPATH" in os.environ:
        return
    if system_version(zoneinfo.TZPATH) < tzdata.IANA_VERSION:
        os.environ["PYTHONTZPATH"] = ""
        zoneinfo.reset_tzpath(())


def zones_told() -> str:
    """The version that is read, and whose it is: ``2026f, of the package tzdata``."""
    whose = "this computer" if zoneinfo.TZPATH else "the package tzdata"
    return f"{version_read(zoneinfo.TZPATH)}, of {whose}"


def version_read(folders: Iterable[str]) -> str:
    """The version that is read where ``folders`` are searched first; with none the package's."""
    folders = tuple(folders)
    if not folders:
        return str(tzdata.IANA_VERSION)
    return system_version(folders) or "of no known version"


def dask_setup(_worker: object) -> None:
    """For a worker of a cluster, which is no command: ``--preload sitegen.terminal.zones``."""
    use_newest_zones()


def system_version(folders: Iterable[str]) -> str:
    """The version of the data in the first folder that says it, like ``2025b``; else empty.

    Source, from memory: ``tzdata.zi`` begins with ``# version``; macOS has a file ``+VERSION``.
    """
    for folder in folders:
        for name, before in (("tzdata.zi", "# version "), ("+VERSION", "")):
            with (
                suppress(OSError, UnicodeDecodeError),
                Path(folder, name).open(encoding="ascii") as file,
            ):
                line = file.readline(40).strip()
                if line.startswith(before):
                    return line.removeprefix(before)
    return ""
