"""Commands as they are typed: in this process, which is quick, or in a process of their own.

`test_cli` holds that both say the same. What only a process has (signals, a lost output, what it
loads) is tried in one.
"""

from __future__ import annotations

import contextlib
import os
import subprocess
import sys
from importlib.metadata import version
from inspect import signature
from pathlib import Path
from typing import Any

from click.testing import CliRunner

from sitegen.cli import main

Done = subprocess.CompletedProcess[str]
# Until click 8.2 its runner keeps standard error apart only where that is asked for; before 8.3 it
# never tells a command that asks that the input has ended.
OLD_CLICK = tuple(map(int, version("click").split(".")[:2])) < (8, 3)
ASKING = {"erase", "intake"}
PAGES = f"{'?' * 22}/index.html"  # clients' pages in a built site, and no other
APART: dict[str, Any] = (
    {"mix_stderr": False} if "mix_stderr" in signature(CliRunner).parameters else {}
)


def sitegen(*words: str, cwd: Path, typed: str = "", prefix: str | None = None, **env: str) -> Done:
    """Run a command in ``cwd``, with ``typed`` as its input and ``env`` beside the environment.

    ``prefix`` begins the names of variables that stand for options, as click has it.

    Raises:
        Exception: Whatever the command let out, which no command may.
    """
    # click's runner prints what is typed where the input is no terminal; a process does not.
    in_its_own = "--passphrase" in words or (OLD_CLICK and ASKING.intersection(words))
    if in_its_own and prefix is None:
        return process(*words, cwd=cwd, typed=typed, **env)
    with contextlib.chdir(cwd):
        result = CliRunner(**APART).invoke(
            main, list(words), typed, env, prog_name="sitegen", auto_envvar_prefix=prefix,
            terminal_width=78,  # what click takes where 80 columns are
        )  # fmt: skip
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return Done(words, result.exit_code, result.stdout, result.stderr)


def process(*words: str, cwd: Path, typed: str = "", **env: str) -> Done:
    """Run a command as a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "sitegen", *words],
        cwd=cwd,
        input=typed,
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, **env},
        timeout=120,
        start_new_session=True,  # a passphrase is asked for on a terminal, where there is one
    )
