"""What the log says of a runner on the morning of a day: every rule is asked, none by name."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from sitegen.model.case import Case
from sitegen.rules import FILLING, RULES
from sitegen.rules.draft import GRAVEST, Condition, Stop
from sitegen.rules.log import Log, log_of
from sitegen.rules.rule import HEARD, Back, Morning

DAY = timedelta(days=1)
WEEK = timedelta(days=7)
READING = tuple((rule.name, rule.reads) for rule in RULES if rule.reads)
OF_NOTHING_TOLD = {rule.name: rule.untold for rule in RULES if rule.untold is not HEARD}
KNOWING = tuple((rule.name, rule.knows) for rule in RULES if rule.knows)
SEEING = tuple(rule.sees for rule in RULES if rule.sees)
STOPPING = tuple((rule.stops, rule.may_stop) for rule in RULES if rule.stops)
FILLS = tuple(rule.apply for rule in FILLING)
FILLS_MINUTES = tuple(rule.apply for rule in FILLING if rule.moves_minutes)
BACKING = tuple(rule.backs for rule in RULES if rule.backs)


def as_planned(case: Case) -> Case:
    """The case as each rule that has a say in it lets it be planned."""
    for sees in SEEING:
        case = sees(case)
    return case


def log_with_readings(case: Case, as_of: date) -> Log:
    """The log up to ``as_of``, with what each rule reads in it."""
    log = log_of(case, as_of)
    for name, reads in READING:  # in order: one may read what another has laid out
        log = log._replace(read={**log.read, name: reads(case, log)})
    may_stop = (stops for stops, may in STOPPING if may is None or may(log))
    return log._replace(stopping=tuple(may_stop), filling=FILLS)


def minutes_alone(log: Log) -> Log:
    """The log for weeks of which only the minutes and the days of their runs are asked."""
    return log._replace(filling=FILLS_MINUTES)


def runs_alone(log: Log) -> Log:
    """The log with the runs in it and no more: as if no pain, sign or illness had been told of."""
    ran = tuple(
        entry.but(pain=None, signs=[], said=None, effort=None)
        for entry in log.case.log
        if entry.is_run
    )
    return log_with_readings(replace(log.case, log=ran), log.as_of)


def condition(log: Log, day: date, week_start: date, memory: Mapping[str, Any]) -> Condition:
    """The runner's condition on ``day`` of the week that starts on ``week_start``.

    Only what was logged before ``day`` counts; ``memory`` is of the weeks before.
    """
    morning = Morning(day, week_start, memory)
    return Condition({name: knows(log, morning) for name, knows in KNOWING}, stop_on(log, day))


def untold(known: Condition) -> Condition:
    """A condition as if no pain, sign or illness were known, nor anything stopped by them."""
    found = {name: OF_NOTHING_TOLD.get(name, what) for name, what in known.known.items()}
    is_heard = known.stop is not None and known.stop.rule in OF_NOTHING_TOLD
    return Condition(found, None if is_heard else known.stop)


def stop_now(log: Log) -> Stop | None:
    """Why nothing may be planned as of today, today's check-ins counted."""
    return stop_known(log, log.as_of + DAY, log.as_of)


def stop_on(log: Log, day: date) -> Stop | None:
    """Why nothing may be planned on ``day``, as known that morning; None where nothing stops."""
    return stop_known(log, day, day)


def stop_known(log: Log, before: date, day: date) -> Stop | None:
    """The gravest stop on ``day`` by what was known before the day ``before``."""
    found = [stop for stops in log.stopping if (stop := stops(log, before, day)) is not None]
    return min(found, key=lambda stop: GRAVEST.index(stop.reason)) if found else None


def bears_on(log: Log, week_start: date, on_monday: Condition) -> bool:
    """True where days of this week may differ from its Monday.

    Today is in it, or something was logged in it, or what stops the plan begins or ends in it.
    """
    end = week_start + WEEK
    if week_start <= log.as_of < end or log.between(week_start, end):
        return True
    return stop_on(log, end - DAY) != on_monday.stop


def backs(log: Log, before: date, week_start: date) -> Back:
    """How many steps back the log before a day asks for in one week."""
    found: Sequence[Back] = [steps(log, before, week_start) for steps in BACKING]
    because = next((b.because for b in found if b.because is not None), None)
    return Back(sum(b.times for b in found), because)
