"""Age, the screening and its clearance, and what they allow."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from sitegen.model.case import Origins
from sitegen.model.client import Client
from sitegen.model.problem import Problem
from sitegen.practice.checks.telling import Check, error, warning
from sitegen.practice.partly import lacks

ADULT_YEARS = 18  # the trials and thresholds behind the rules are about adults


def _born(client: Client, origins: Origins) -> Iterator[Problem]:
    born = client.born
    taken = client.baseline.on
    late = born > taken if isinstance(born, date) else born is not None and born > taken.year
    if late:
        yield error(
            origins.value("born"),
            "born-late",
            f"this is after the baseline was taken, {taken}",
            "write the year or date of birth, like 1984",
        )


def _adult(client: Client, origins: Origins) -> Iterator[Problem]:
    born = client.born
    start = client.plan.from_
    if born is None or (isinstance(born, int) and born > start.year):
        return
    if isinstance(born, date):
        years = start.year - born.year - ((start.month, start.day) < (born.month, born.day))
        age = f"{years}"
    else:  # of a year alone the youngest age that it allows
        years = max(start.year - born - 1, 0)
        age = f"{years} or {years + 1}"
    if 0 <= years < ADULT_YEARS:
        yield warning(
            origins.value("born"),
            "not-adult",
            f"{age} years old when the plan begins: its limits and their evidence are adults'",
            "check the date; who is still growing needs other limits, and a coach trained for them",
        )


def _awaits_clearance(client: Client) -> bool:
    """Whether a known disease without a clearance limits what the coach may ask for."""
    asked = client.screening
    is_cleared = asked.cleared_on is not None and asked.cleared_for == "all"
    return asked.known_disease and asked.regular_exercise and not is_cleared


_CLEAR = (
    "write cleared_on, cleared_by and cleared_for: all under screening once a clinician has "
    "cleared it"
)


def _event_not_cleared(client: Client, origins: Origins) -> Iterator[Problem]:
    if _awaits_clearance(client) and client.goal.event is not None:
        yield warning(
            origins.at("goal", "event"),
            "event-not-cleared",
            "the known disease has no clearance, so the event is planned as an easy run, no race",
            _CLEAR,
        )


def _hard_not_cleared(client: Client, origins: Origins) -> Iterator[Problem]:
    if not _awaits_clearance(client) or client.plan.hard is None:
        return
    if client.plan.hard.per_week != 0:
        yield warning(
            origins.at("plan", "hard"),
            "hard-not-cleared",
            "the known disease has no clearance, so nothing hard is planned",
            _CLEAR,
        )


def _screening(client: Client, origins: Origins) -> Iterator[Problem]:
    cleared = client.screening.cleared_on
    if cleared is not None and lacks(client.screening, "cleared_by"):
        yield warning(
            origins.value("screening", "cleared_on"),
            "cleared-by",
            "this clearance does not say by whom, so it does not count",
            "add cleared_by: and who gave it; cleared_for: all where hard running is meant too",
        )
    elif cleared is not None and lacks(client.screening, "cleared_for"):
        yield warning(
            origins.value("screening", "cleared_on"),
            "cleared-for",
            "this clearance does not say for what, so it counts for easy running alone, and ends "
            "the stop of no sign",
            "add cleared_for: easy; or all, where hard running is meant too",
        )
    if cleared is not None and cleared < client.screening.on:
        yield warning(
            origins.value("screening", "cleared_on"),
            "cleared-before-screening",
            f"the clearance is older than the screening, {client.screening.on}",
            "check both dates; a clearance answers what the screening found",
        )


def _screening_and_plan(client: Client, origins: Origins) -> Iterator[Problem]:
    if client.screening.on > client.plan.from_:
        yield warning(
            origins.value("screening", "on"),
            "screening-after-plan",
            f"the screening is dated after the plan begins, {client.plan.from_}",
            "check both dates; the questions come first",
        )


def _baseline_before_clearance(client: Client, origins: Origins) -> Iterator[Problem]:
    """What was true of somebody who was not to run need not be true of who runs again."""
    asked, counted = client.screening, client.baseline.on
    was_referred = asked.symptoms or (asked.known_disease and not asked.regular_exercise)
    if was_referred and asked.cleared_on is not None and counted < asked.cleared_on:
        yield warning(
            origins.value("baseline", "on"),
            "baseline-before-clearance",
            f"the baseline is older than the clearance, {asked.cleared_on}, and may no longer hold",
            "take it again, step rate and weekly running, before the first run",
        )


CHECKS: tuple[Check, ...] = (
    _born,
    _adult,
    _event_not_cleared,
    _hard_not_cleared,
    _screening,
    _screening_and_plan,
    _baseline_before_clearance,
)
