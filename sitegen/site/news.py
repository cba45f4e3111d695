"""What of a build's problems is news to the coach, and what a build told before. Pure.

Most warnings stand for months: a list that says them all again each week is read over, and a
danger with it. So what was told is folded into a count, and `check` lists it; a danger never is.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from sys import intern

from sitegen.model.problem import Problem
from sitegen.practice.naming import is_error

_WEEKS = re.compile(r"(?:\b(\d+) of )?\bweeks? (\d+(?:(?:, | and | to )\d+)*)")
_LASTS = re.compile(r"\b\d+ (?:weeks|days)\b")
# An event out of reach: its figures move a little most weeks.
_REACH = re.compile(r"\bwill be (\d+) min, and the event asks for about (\d+) min\b")
_DATES = re.compile(r"\bon \d{4}-\d\d-\d\d\b")
_REACH_MIN = 10  # what the run lacks more is told again by so many minutes; a judgement, no source
_DANGERS = frozenset({"alarm", "log-ahead", "lifts-nothing", "answered-gone", "habit-more"})
# Of rules that act on what a client told of the body; what was known at intake is told once.
_CARE = frozenset({"screening", "signs", "pain", "illness", "asks"})

Matter = tuple[str, str, str]


def is_danger(problem: Problem) -> bool:
    """Whether it is told each time: an error, an alarm, a stop, what the body said."""
    kind, _, rule = problem.code.partition("-")
    return (
        problem.level == "error"
        or problem.code in _DANGERS
        or kind == "stopped"
        or (kind == "plan" and rule in _CARE)
    )


def told_before(problems: Iterable[Problem], before: Sequence[Problem]) -> frozenset[Problem]:
    """Those of a client's problems that were told, and are no danger.

    One is as before where its words are, whatever its line: but for how long it has lasted, and
    for weeks that it names no more. One that names a week which it did not name before is new. An
    event out of reach is as before until it lacks more.

    Args:
        problems: The client's, now.
        before: Those that were told of the same client.
    """
    if not before:
        return frozenset()
    found = {p for p in problems if not is_danger(p)}
    same = found.intersection(before)
    if found != same:
        old: dict[Matter, set[int]] = {}
        for problem in before:
            old.setdefault(_matter(problem), set()).update(_weeks(problem))
        same |= {p for p in found - same if _is_in(p, old)}
    return frozenset(same)


def problem_lines(problems: Iterable[Problem]) -> Iterator[str]:
    """Problems as lines: those of one kind in one file on one line, each danger on its own."""
    alike: dict[tuple[object, ...], list[Problem]] = {}
    for at, p in enumerate(problems):
        kind = at if is_danger(p) else p.code
        alike.setdefault((p.origin.file, kind), []).append(p)
    for first, *more in alike.values():
        message, hint = first.message, first.hint
        for p, line in zip(more, [first.origin.line, *(p.origin.line for p in more)], strict=False):
            where = f"line {p.origin.line}: " if p.origin.line != line else ""
            message, hint = f"{message}{f' ({hint})' if hint else ''}; {where}{p.message}", p.hint
        yield str(first._replace(message=message, hint=hint))


class Findings:
    """All that is wrong: what is news, and what the coach was told before.

    Attributes:
        news: What is to be told.
        as_before: What is to be counted.
    """

    def __init__(self, problems: Iterable[Problem], reports: bool) -> None:
        self.news, self.as_before = set(problems), set[Problem]()
        self._reports = reports

    def update(self, problems: Iterable[Problem]) -> None:
        """Take up what is no client's, or is told each time."""
        self.news.update(problems)

    def take(self, problems: Sequence[Problem], before: Sequence[Problem]) -> tuple[int, ...]:
        """Take up a client's, of whom some were told before; the places of those never told."""
        is_same = problems is before  # of a client whose page stays: nothing is to be compared
        known = frozenset() if is_same else told_before(problems, before)
        for p in problems:  # of many clients in the same words, which other processes sent
            is_told = not is_danger(p) if is_same else p in known
            of = self.as_before if is_told else self.news
            of.add(p._replace(message=intern(p.message), hint=intern(p.hint)))
        if self._reports or is_same:
            return ()
        return tuple(at for at, p in enumerate(problems) if p not in known)

    @property
    def all(self) -> tuple[Problem, ...]:
        """All of them, sorted."""
        return tuple(sorted([*self.news, *self.as_before]))

    @property
    def has_errors(self) -> bool:
        return any(map(is_error, self.news))


def _is_in(problem: Problem, old: dict[Matter, set[int]]) -> bool:
    weeks = old.get(_matter(problem))
    if weeks is None:
        return False
    return bool(_LASTS.search(problem.message)) or weeks.issuperset(_weeks(problem))


def _matter(problem: Problem) -> Matter:
    hint = _DATES.sub("", problem.hint or "") if _REACH.search(problem.message) else problem.hint
    words = _LASTS.sub("", _WEEKS.sub("", _REACH.sub("", f"{problem.message} ({hint})")))
    return problem.origin.file, problem.code, words


def _weeks(problem: Problem) -> Iterator[int]:
    """The numbers of the weeks that a problem names; below 0 how many, where it says ``9 of``, and
    by how much an event is out of reach."""
    for reached, asked in _REACH.findall(problem.message):
        yield from range((int(reached) - int(asked)) // _REACH_MIN, 0)
    for many, named in _WEEKS.findall(problem.message):
        yield from range(-int(many or 0), 0)
        for some in re.split(", | and ", named):
            first, *last = map(int, some.split(" to "))
            yield from range(first, (last or [first])[0] + 1)
