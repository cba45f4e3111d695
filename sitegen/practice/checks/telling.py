"""How a check tells what it found."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from sitegen.model.case import Origins
from sitegen.model.client import Client
from sitegen.model.problem import Origin, Problem

Check = Callable[[Client, Origins], Iterator[Problem]]


def error(origin: Origin, code: str, message: str, hint: str) -> Problem:
    return Problem(origin, message, hint, code)


def warning(origin: Origin, code: str, message: str, hint: str) -> Problem:
    return Problem(origin, message, hint, code, "warning")
