"""Lines for the coach, of which a flood of alike ones becomes a single one. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from sitegen.care.signs import most_urgent_first, sign_words
from sitegen.model.problem import Problem

MOST_ALIKE = 12  # more lines of one kind are one; a judgement, no source


class SaidLine(NamedTuple):
    """A line, and what is said once in place of many that are ``alike``: ``COUNT`` and ``SIGNS``
    stand in it for how many there are, and of which signs they tell. Empty: it is always said, as
    what a signed check-in tells is.
    """

    text: str
    alike: str = ""
    signs: tuple[str, ...] = ()


def few(lines: Iterable[SaidLine], *, once: bool = False) -> Iterator[str]:
    """The lines as they are; where more than `MOST_ALIKE` are alike, one for all of them.

    ``once`` leaves out what was said already.
    """
    given = list(lines)
    groups: dict[str, list[SaidLine]] = {}
    for line in given:
        groups.setdefault(line.alike, []).append(line)
    told: set[str] = set()
    for line in dict.fromkeys(given) if once else given:
        alike = groups[line.alike]
        if not line.alike or len({*alike} if once else alike) <= MOST_ALIKE:
            yield line.text
        elif line.alike not in told:
            told.add(line.alike)
            yield _one_for(alike)


def _one_for(alike: Sequence[SaidLine]) -> str:
    signs = most_urgent_first(sign for line in alike for sign in line.signs)
    text = alike[0].alike.replace("COUNT", str(len(alike)))
    return text.replace("SIGNS", ", ".join(map(sign_words, signs)))


def few_of_a_kind(problems: Iterable[Problem]) -> Iterator[Problem]:
    """Problems as they are; of more than `MOST_ALIKE` with one code the first, and how many more.

    Each of the others stands in the file that is kept, and in ``--json``.
    """
    groups: dict[str, list[Problem]] = {}
    for problem in problems:
        groups.setdefault(problem.code, []).append(problem)
    for alike in groups.values():
        yield from alike[:MOST_ALIKE]
        if len(alike) > MOST_ALIKE:
            last = alike[MOST_ALIKE]
            says = f"this, and {len(alike) - MOST_ALIKE - 1} more of the same kind: {last.message}"
            yield last._replace(message=says)
