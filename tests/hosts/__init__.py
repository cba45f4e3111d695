"""Real servers that tests start on loopback, on free ports, and stop again.

Each is one file with a context manager that yields a :class:`Host`. What is not installed is
skipped with the name of what is missing.
"""

from __future__ import annotations

import contextlib
import shutil
import socket
import subprocess
import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import pytest

LOOPBACK = "127.0.0.1"


@dataclass(frozen=True)
class Host:
    """A running server.

    ``root`` is its folder on disk; ``environ`` what a coach would set; ``secret`` must never be
    printed; ``wrong`` is the environment with a secret that the server refuses.
    """

    address: str
    port: int
    root: Path
    environ: Mapping[str, str] = field(default_factory=dict)
    wrong: Mapping[str, str] = field(default_factory=dict)
    secret: str = ""


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind((LOOPBACK, 0))
        return int(probe.getsockname()[1])


def need(program: str, package: str) -> str:
    """The path of a program; the test is skipped, and says why, if it isn't installed."""
    found = shutil.which(program) or shutil.which(program, path="/usr/sbin:/usr/local/sbin")
    if found is None:
        pytest.skip(f"{program} is missing: install {package}")
    return found


def wait_for(port: int, seconds: float = 60.0) -> None:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        with contextlib.suppress(OSError), socket.create_connection((LOOPBACK, port), 1):
            return
        time.sleep(0.02)
    raise TimeoutError(f"nothing answers on port {port}")


@contextlib.contextmanager
def running(words: Sequence[str], port: int, log: Path) -> Iterator[None]:
    """Run a server until the block ends."""
    with log.open("wb") as out:
        process = subprocess.Popen(words, stdout=out, stderr=out, stdin=subprocess.DEVNULL)
        try:
            wait_for(port)
            yield
        finally:
            process.terminate()
            try:
                process.wait(5)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait()
