"""Ctrl-C, and a polite request to end: what was begun is tidied up, and whatever is kept is whole.

A signal becomes a `KeyboardInterrupt` in the main thread, so that everything half done is taken
away on the way out. Only once: a second press in the middle of tidying up would leave what the
first began to remove. Where finishing is quicker than stopping, `past_return` lets it finish.
"""

from __future__ import annotations

import os
import signal
import sys
import threading
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

STATUS = 128  # and the signal's number, as shells count: 130 after Ctrl-C, 143 after SIGTERM

_held = 0


class Stopped(KeyboardInterrupt):
    """Asked to end, by this signal."""

    def __init__(self, number: int) -> None:
        super().__init__()
        self.status = STATUS + number


def status_of(error: BaseException) -> int:
    """The exit status after an interrupt."""
    return error.status if isinstance(error, Stopped) else STATUS + signal.SIGINT


@contextmanager
def stoppable(to_the_end: bool = False) -> Iterator[None]:
    """Within this, signals that ask for an end raise `Stopped`, the first of them alone.

    The next one says that the tidying is on its way, and lets a third end the process at once:
    a connection that hangs must not hold a person up. Processes forked from this one do not heed
    Ctrl-C: they go on with what they have in hand until this one tells them to go.

    Args:
        to_the_end: The process ends after this. A signal that comes that late changes nothing
            any more, the exit status neither.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    owner = os.getpid()
    presses = 0

    def stop(number: int, _frame: FrameType | None) -> None:
        nonlocal presses
        if os.getpid() != owner and number == signal.SIGTERM:
            os._exit(STATUS + number)
        if os.getpid() != owner or _held:
            return
        presses += 1
        if presses == 1:
            if to_the_end:
                _hush()
            raise Stopped(number)
        if presses == 2:
            os.write(sys.__stderr__.fileno() if sys.__stderr__ else 2, _ONCE_MORE)
            signal.signal(number, signal.SIG_DFL)

    numbers = [signal.SIGINT, signal.SIGTERM]
    before = {number: signal.getsignal(number) for number in numbers}
    for number in numbers:
        if before[number] is not signal.SIG_IGN:  # as under nohup, or in the background
            signal.signal(number, stop)
    try:
        yield
    finally:
        for number, handler in before.items():
            if to_the_end:
                signal.signal(number, signal.SIG_IGN)
            elif handler is not None:
                signal.signal(number, handler)


def _hush() -> None:
    """Let no library complain of what it had only half made, or begun, when the signal came:
    nobody can act on that. For a process that ends now."""
    sys.unraisablehook = lambda _: None
    threading.excepthook = lambda _: None  # its thread, whose connection was closed
    warnings.simplefilter("ignore")


_ONCE_MORE = b"sitegen: tidying up; once more ends it at once\n"


@contextmanager
def past_return() -> Iterator[None]:
    """Within this nothing stops: a few writes that belong together, done in a moment."""
    global _held
    _held += 1
    try:
        yield
    finally:
        _held -= 1
