"""What a command prints: words, problems, JSON; and what happens where nobody can take it.

Standard output may be a full disk, a pipe whose reader has gone, or closed from the start. Then a
command ends with `LOST` and one sentence, never in the middle of a traceback.
"""

from __future__ import annotations

import contextlib
import errno
import io
import json
import os
import re
import sys
import warnings
from collections.abc import Iterable, Iterator
from getpass import GetPassWarning
from typing import TYPE_CHECKING, Any, NoReturn

import click

if TYPE_CHECKING:
    from sitegen.model.problem import Problem

LOST = 74  # EX_IOERR of sysexits.h
_NO_TAKER = frozenset({errno.EPIPE, errno.ENOSPC, errno.EBADF, errno.EIO, errno.EDQUOT})


class OutputLost(Exception):
    """What was to be told could not be written. The text is a sentence for the coach."""

    def __init__(self, error: OSError) -> None:
        super().__init__(f"what it had to tell can't be written: {error.strerror}")
        self.is_told = error.errno != errno.EPIPE  # who closed a pipe knows

    def after(self, so: str) -> OutputLost:
        """The same, with what is so because of it; told in any case."""
        self.args = (f"{self}, {so}",)
        self.is_told = True
        return self


@contextlib.contextmanager
def telling() -> Iterator[None]:
    """Within this something else prints.

    Raises:
        OutputLost: It could not.
    """
    try:
        yield
    except OSError as error:
        if error.errno not in _NO_TAKER:
            raise
        raise OutputLost(error) from None


@contextlib.contextmanager
def telling_of(done: str) -> Iterator[None]:
    """Within this is printed what was done; where that can't be, ``done`` is told in its place.

    Args:
        done: A few words, such as ``yet mara was removed``; empty where nothing was done.

    Raises:
        OutputLost: It can't be.
    """
    try:
        yield
    except OutputLost as lost:
        raise (lost.after(done) if done else lost) from None


# What a terminal obeys: control characters but tab and line break, and those that turn text round;
# besides halves of characters, which no output takes.
_COMMANDS = re.compile(
    r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u2028-\u202e\u2066-\u2069\ud800-\udfff]"
)


def harmless(text: str) -> str:
    """Text of others with each character that a terminal would obey shown, as ``\\x1b``."""

    def shown(found: re.Match[str]) -> str:
        number = ord(found[0])
        return f"\\x{number:02x}" if number < 0x100 else f"\\u{number:04x}"

    return _COMMANDS.sub(shown, text)


def echo(text: str = "", *, end: str = "\n") -> None:
    """Print to standard output, and see that it has got there.

    Raises:
        OutputLost: It has not.
    """
    _put(f"{harmless(text)}{end}", err=False)


def warn(text: str) -> None:
    """Print a line to standard error.

    Raises:
        OutputLost: It could not be written.
    """
    _put(f"{harmless(text)}\n", err=True)


def say_waiting(text: str) -> None:
    """Say what is waited for, on a line of its own."""
    clear = "\r\033[K" if sys.stderr.isatty() else ""  # of a line of progress
    _put(f"{clear}sitegen: {harmless(text)}\n", err=True)


def _put(text: str, err: bool) -> None:
    with telling():
        click.echo(text, nl=False, err=err)


def say_json(value: Any) -> None:
    """Print a value as JSON, to standard output."""
    is_whole = (getattr(sys.stdout, "encoding", None) or "utf-8").lower().startswith("utf")
    text = json.dumps(value, ensure_ascii=not is_whole, indent=1)
    echo(_COMMANDS.sub(lambda found: f"\\u{ord(found[0]):04x}", text))


def warn_of(problems: Iterable[Problem | str]) -> None:
    """Print problems, a line each."""
    if text := "\n".join(map(str, problems)):
        warn(text)


def count(number: int, noun: str) -> str:
    """``1 page`` or ``2 pages``."""
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def ask(text: str, **how: Any) -> str:
    """What is typed.

    Raises:
        EOFError: The input ended.
        OutputLost: The question could not be put.
    """
    try:
        with telling(), warnings.catch_warnings():
            # A terminal that can't hide what is typed: Python warns with a line of its own code.
            warnings.simplefilter("ignore", GetPassWarning)
            if not sys.stdin.isatty():  # from a script nothing is echoed, so nothing is to hide
                how.pop("hide_input", None)
            return str(click.prompt(harmless(text), **how))
    except click.Abort as abort:  # click's word for Ctrl-C and for the end alike
        if isinstance(abort.__context__, KeyboardInterrupt):
            raise abort.__context__ from None
        raise EOFError from None


class _Closed(io.TextIOBase):
    """Stands for an output that was closed before the process began."""

    def writable(self) -> bool:
        return True

    def write(self, _text: str) -> NoReturn:
        raise OSError(errno.EBADF, "it is closed")


def open_closed() -> None:
    """Give a process whose outputs are closed something that says so when it is written to.

    Their numbers are taken first: else the next file opened would get one, and be written over.
    """
    if os.name == "posix":
        while (number := os.open(os.devnull, os.O_RDWR)) < 3:
            continue
        os.close(number)
    if sys.stdout is None:
        sys.stdout = _Closed()
    if sys.stderr is None:
        sys.stderr = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115, PTH123, for good


def speak_anywhere() -> None:
    """Let a character that an output can't hold be a question mark there, and no fault.

    Windows gives a file or a pipe the encoding of old programs: it has no arrow.
    """
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper) and stream.errors == "strict":
            stream.reconfigure(errors="replace")


def give_up() -> None:
    """Let nothing that still waits to be written spoil the end of the process."""
    for stream in (sys.stdout, sys.stderr):
        with contextlib.suppress(Exception):
            stream.flush()
            continue
        with contextlib.suppress(Exception):
            nowhere = os.open(os.devnull, os.O_WRONLY)
            os.dup2(nowhere, stream.fileno())
            os.close(nowhere)
