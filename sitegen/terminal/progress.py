"""What is being done, how much of it is done, and about how long the rest may take.

One line on a terminal that rewrites itself. In a pipe, in a file, and for a program that reads
the output there is none. Common libraries draw it too, but click's stays on the terminal when it is
done, and rich takes 60 ms to load and brings 13 MB.
"""

from __future__ import annotations

import shutil
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Protocol, TextIO

from sitegen.terminal.output import harmless

AT_ONCE_FROM = 20  # things to do; with fewer the line waits, as most are done in a moment
WAITS_S = 0.5
ESTIMATE_FROM_S = 1.0  # before that, a rate says little
REDRAWN_S = 0.1
CLEARED = "\r\033[K"


class Show(Protocol):
    """Told what is done, of how many, and what is being done.

    ``share``, from 0 to 1, says how much of the work that is, where the things are not alike.
    """

    def __call__(self, done: int, total: int, what: str, share: float | None = None) -> None: ...


def left(done: float, total: float, elapsed_s: float) -> float | None:
    """Seconds that the rest takes if it goes on as so far; None where that can't be said yet.

    Args:
        done: How many, or what share, were done in ``elapsed_s``.
        total: How many there were to do at the start of it.
        elapsed_s: Seconds since the first began.
    """
    if elapsed_s < ESTIMATE_FROM_S or done <= 0 or total <= done:
        return None
    return elapsed_s / done * (total - done)


def roughly(seconds: float) -> str:
    """A length of time no finer than the guess that it is: ``about 40 s``."""
    if seconds < 5:
        return "a few seconds"
    if seconds < 57.5:
        return f"about {5 * round(seconds / 5)} s"
    minutes = round(seconds / 60)
    if minutes < 5:
        halves = round(seconds / 30) / 2
        return f"about {halves:g} min"
    if minutes < 60:
        return f"about {minutes} min"
    hours, rest = divmod(5 * round(seconds / 300), 60)
    return f"about {hours} h" + (f" {rest} min" if rest else "")


def line_of(done: int, total: int, what: str, rest_s: float | None = None) -> str:
    """``building: 120 of 1000, about 40 s left``. With ``total`` 0 it is not known how many."""
    if total <= 0:
        return f"{what} …"
    rest = "" if rest_s is None else f", {roughly(rest_s)} left"
    return f"{what}: {done} of {total}{rest}"


class ProgressLine:
    """The line. Call it with what is done, of how much, and what is being done.

    Each new ``what`` is timed on its own. What was done already when it was first told of, as the
    clients of a build that had not changed, does not count as quick work.

    Args:
        to: Where to write.
        now: Seconds on a clock that never goes back.
        width: Columns; a longer line would not be wiped.
    """

    def __init__(
        self, to: TextIO, now: Callable[[], float] = time.monotonic, width: int = 80
    ) -> None:
        self.to, self.now, self.width = to, now, width
        self.what = ""
        self.began = self.drawn = now()
        self.first = 0.0
        self.text = ""

    def __call__(self, done: int, total: int, what: str, share: float | None = None) -> None:
        now = self.now()
        is_new = what != self.what
        work, whole = (done, total) if share is None else (share, 1.0)
        if is_new:
            self.what, self.began, self.first = what, now, work
        soon = now - self.began < WAITS_S and 0 < total < AT_ONCE_FROM
        if soon or (not is_new and done < total and now - self.drawn < REDRAWN_S):
            return
        rest = left(work - self.first, whole - self.first, now - self.began)
        self._draw(line_of(done, total, what, rest), now)

    def _draw(self, text: str, now: float) -> None:
        self.drawn = now
        if text != self.text:
            self.text = text
            self.to.write(f"{CLEARED if text else ''}{harmless(text)[: self.width - 1]}")
            self.to.flush()

    def clear(self) -> None:
        """Leave the terminal as if nothing had been shown."""
        if self.text:
            self.text = ""
            self.to.write(CLEARED)
            self.to.flush()


def silent(done: int, total: int, what: str, share: float | None = None) -> None:
    """For who wants no progress."""


@contextmanager
def progress_line(to: TextIO) -> Iterator[Show]:
    """The line while something is done, and gone when it is; nothing where nobody looks at it."""
    if not to.isatty():
        yield silent
        return
    line = ProgressLine(to, width=shutil.get_terminal_size().columns)
    try:
        yield line
    finally:
        line.clear()
