"""A stop that is over, told as past: what freed it explains what stands ahead, not the stop.

The rule that stops a plan says what holds on the day for which a week is drawn. A week in which
the stop was lifted would go on to say "Stop" beside its sessions, so its words are put right here,
and only where nothing stops the plan today.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from typing import NamedTuple

from sitegen.care import sentences
from sitegen.model.case import Case
from sitegen.model.plan import Decision, Week
from sitegen.model.sentence import Sentence, say
from sitegen.plan.condition import stop_now
from sitegen.rules import signs
from sitegen.rules.lifts import is_false_alarm
from sitegen.rules.log import Log

WEEK = timedelta(days=7)


class Freed(NamedTuple):
    """A stop by a sign: the words of then, those of now, and the first free day."""

    then: Sentence
    now: Decision
    until: date


def told_as_past(case: Case, log: Log, weeks: Sequence[Week]) -> tuple[Week, ...]:
    """The weeks with each stop that a lift or a clearance ended told as past.

    As they are where anything stops the plan on the log's day.
    """
    found = list(_freed(case, log)) if stop_now(log) is None else []
    return tuple(_week(week, found) for week in weeks) if found else tuple(weeks)


def _freed(case: Case, log: Log) -> Iterator[Freed]:
    """Stops of which somebody lifted the sign; together with others as long as the last of them."""
    ended = [
        (one, freed)
        for one, freed in signs.read(log)
        if freed is not None and one.since < freed <= log.as_of
    ]
    for one, until in ended:
        for other, freed in ended:
            if other.since < until:
                until = max(until, freed)
        values = {"since": one.since, "until": until, "by": signs.seen_by(case, one)}
        if is_false_alarm(case, one.sign, one.on):
            says = say(sentences.LINE_FREED_FALSE, **values)
        elif one.sign == "self_harm":
            says = say(sentences.LINE_FREED_UNNAMED, **values)
        else:
            sign = say(sentences.SIGN_WORDS[one.sign])
            says = say(sentences.LINE_FREED, sign=sign, **values)
        decision = Decision(signs.RULE.name, says, one.origin, signs.SOURCE)
        yield Freed(signs.sign_line(one), decision, until)


def _week(week: Week, found: Sequence[Freed]) -> Week:
    decisions = tuple(_past(decision, found) for decision in week.decisions)
    # A stop that began and ended inside the week has left no decision there.
    ended = [one.now for one in found if week.start <= one.until < week.start + WEEK]
    if ended and not any(d.rule == signs.RULE.name for d in decisions):
        decisions = (ended[0], *decisions)
    return week._replace(decisions=decisions)


def _past(decision: Decision, found: Sequence[Freed]) -> Decision:
    then = (decision.says, decision.because)
    is_stop = decision.rule == signs.RULE.name and decision.warns
    same = (one.now for one in found if is_stop and (one.then, one.now.because) == then)
    return next(same, decision)
