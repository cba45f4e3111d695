"""Age, the screening and its clearance, and what they allow."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from sitegen.model.case import Origins
from sitegen.model.client import Client
from sitegen.model.kinds import quoted
from sitegen.model.problem import Problem
from sitegen.practice.checks.telling import Check, error, warning
from sitegen.practice.partly import lacks
from sitegen.practice.yaml_text import one_line
from sitegen.rules.history import asked_for
from sitegen.rules.lifts import names_no_clinician

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


_CLEAR = (
    "write cleared_on, cleared_by and cleared_for: all under screening once a clinician has "
    "cleared it"
)


def _asks(client: Client) -> str:
    """What asks for a clearance of who may run; empty for nothing. Who may not is told that."""
    asked, way = client.screening, client.return_
    has_word = asked.cleared_on is not None or (way is not None and bool(way.by))
    if asked.known_disease and (asked.regular_exercise or has_word):
        return "the known disease"
    if not has_word:
        return ""
    if asked.symptoms:
        return "what was answered to symptoms"
    fields = [name for name, _ in asked_for(client, client.plan.from_)]
    return f"what history says under {fields[0]}" if fields else ""


def _not_cleared(client: Client) -> str:
    """Why nothing hard is planned, as far as it is for want of a clearance; empty where none is."""
    asks, on = _asks(client), client.screening.cleared_on
    if not asks or (on is not None and client.screening.cleared_for == "all"):
        return ""
    says = "is for easy running" if client.screening.cleared_for else "does not say for what"
    there = f"that of {on} {says}" if on is not None else "there is none for hard running"
    return f"{asks} asks for a clearance, and {there}"


def _event_not_cleared(client: Client, origins: Origins) -> Iterator[Problem]:
    if client.goal.event is not None and (why := _not_cleared(client)):
        yield warning(
            origins.at("goal", "event"),
            "event-not-cleared",
            f"{why}: the event is planned as an easy run, no race",
            _CLEAR,
        )


def _hard_not_cleared(client: Client, origins: Origins) -> Iterator[Problem]:
    hard = client.plan.hard
    if hard is not None and hard.per_week != 0 and (why := _not_cleared(client)):
        yield warning(
            origins.at("plan", "hard"),
            "hard-not-cleared",
            f"{why}: nothing hard is planned",
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


def _by_no_clinician(client: Client, origins: Origins) -> Iterator[Problem]:
    way = client.return_
    for path, by in (
        (("screening", "cleared_by"), client.screening.cleared_by),
        (("return", "by"), None if way is None else way.by),
    ):
        if by and names_no_clinician(by, [client.name]):
            yield warning(
                origins.value(*path),
                "cleared-by-none",
                f"{quoted(one_line(by))} names no clinician, so this clearance does not count",
                'write first which clinician gave it, like "her GP"; take it out until one has',
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
    _by_no_clinician,
    _screening_and_plan,
    _baseline_before_clearance,
)
