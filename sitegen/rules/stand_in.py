"""Numbers that only stand in for a baseline: nothing is planned on them."""

from __future__ import annotations

from datetime import date

from sitegen.model.case import Case
from sitegen.model.sentence import N_, say
from sitegen.rules.draft import Draft, Past, Stop
from sitegen.rules.log import Log
from sitegen.rules.rule import Rule

SOURCE = "the coach's decision"
WAITS_FOR_START = N_(
    "Your coach has still to take down where you start from. Nothing is planned until then."
)


def _may_stop(log: Log) -> bool:
    return bool(log.case.client.baseline.stands_in)


def _stops(log: Log, before: date, day: date) -> Stop | None:
    because = log.case.origins.at("baseline", "stands_in")
    return Stop("paused", None, because, "baseline", RULE.name, say(WAITS_FOR_START), SOURCE)


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Plan nothing while the baseline only stands in."""
    stop = past.stop
    if draft.stop is None and stop is not None and stop.rule == RULE.name:
        return draft.stopped(stop)
    return draft


RULE = Rule(
    name="stand_in",
    promise="A baseline with `stands_in: yes` plans nothing until it is replaced.",
    reason="A plan on numbers that nobody measured is a guess with a stop watch.",
    source=SOURCE,
    evidence="arithmetic",
    apply=apply,
    stops=_stops,
    may_stop=_may_stop,
    review="With `stands_in: yes` no week holds a session.",
)
