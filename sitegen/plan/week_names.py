"""Weeks by their numbers, and things in a row, as a coach reads them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby


def weeks_named(numbers: Iterable[int]) -> str:
    """``week 9``, ``weeks 3 and 4``, ``weeks 5 to 7, 9 and 15``; of more spans than are read
    ``28 of weeks 15 to 51``."""
    weeks = sorted(set(numbers))
    spans: list[str] = []
    for _, run in groupby(enumerate(weeks), key=lambda one: one[1] - one[0]):
        span = [number for _, number in run]
        is_long = len(span) > 2
        spans += [f"{span[0]} to {span[-1]}"] if is_long else map(str, span)
    if len(spans) > 3:
        return f"{len(weeks)} of weeks {weeks[0]} to {weeks[-1]}"
    return f"week{'' if len(weeks) == 1 else 's'} {enumerated(spans)}"


def enumerated(words: Sequence[str]) -> str:
    """``tue, thu and sun``."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
