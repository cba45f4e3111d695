"""Check-ins dated after the day of the plan: a slip of the year, mostly, and easily overlooked."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from sitegen.care.signs import most_urgent_first, sign_words
from sitegen.model.case import Case
from sitegen.model.problem import Problem
from sitegen.rules.signs import signs_said


def ahead(case: Case, day: date) -> Iterator[Problem]:
    """Warnings for what is dated after ``day`` and has to have happened: check-ins, a clearance."""
    yield from log_ahead(case, day)
    cleared = case.client.screening.cleared_on
    if cleared is not None and cleared > day:
        yield Problem(
            case.origins.value("screening", "cleared_on"),
            f"the clearance is dated {cleared}, after {day}: from then on runs are planned as if "
            "it had been given",
            "write it once the clinician has given it",
            "cleared-ahead",
            "warning",
        )


def log_ahead(case: Case, day: date) -> Iterator[Problem]:
    """A warning for check-ins dated after ``day``, which count for nothing until then.

    One for all of them, and one of its own for each that tells of a sign.
    """
    ahead = [index for index, entry in enumerate(case.log) if entry.on > day]
    signed = [
        index for index in ahead if case.log[index].signs or signs_said(case.log[index], case)
    ]
    for index in sorted({*ahead[:1], *signed}):
        entry = case.log[index]
        told = most_urgent_first({*entry.signs, *signs_said(entry, case)})
        signs = f", with {', '.join(map(sign_words, told))}" if told else ""
        more = len(ahead) - 1
        others = f" (and {more} more)" if index == ahead[0] and more else ""
        yield Problem(
            case.log_origins.value(index),
            f"this check-in{others} is dated {entry.on}, after {day}{signs}: "
            + ("a sign counts at once" if told else "it does not count yet"),
            "a sign does not wait for its date: speak to the client now, and mend the date"
            if told
            else "mend the date if it is a slip of the year or the month",
            "log-ahead",
            "warning",
        )
