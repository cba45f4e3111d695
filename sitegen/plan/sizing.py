"""The rules' say in a week, before days are chosen: its size, what fills it, and the most of a day.

What a client told of pain, signs or illness may shorten a session and make it easier, never
longer: the same minutes on fewer days, or easy ones in the place of hard ones, would.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, timedelta

from sitegen.model.case import Case
from sitegen.model.sentence import say
from sitegen.rules import RULES, SIZING
from sitegen.rules.draft import Draft, Past, Stop
from sitegen.rules.log import Log

DAY = timedelta(days=1)
OPENING = tuple(rule.opens for rule in RULES if rule.opens)


def none_longer(draft: Draft, usual: Callable[[], Mapping[date, int]]) -> Draft:
    """A held week's draft with no day longer than in the ``usual`` minutes by day: those of the
    same week without what was told."""
    if draft.may_grow or draft.stop is not None or draft.by_coach or draft.walks > 0:
        return draft
    caps = {draft.start + DAY * day: 0 for day in range(7)} | {**usual()}
    if not any(caps.values()):
        return draft  # what stops it then is no matter of these words
    return draft.but(usual=tuple(caps.items()))


def sized(case: Case, past: Past, day: date | None = None) -> Draft:
    """The week as the rules that size it leave it on ``day`` (None: its Monday).

    A coach's pause begins on the plan's day: it takes away no day that is over.
    """
    draft = Draft(past.number, past.start)
    for opens in OPENING:
        draft = opens(draft, past, case)
    if case.client.status != "active" and (day or past.start) >= past.as_of:
        return not_active(case, draft)
    for rule in SIZING:
        draft = rule.apply(draft, past, case)
    return draft


def filled(case: Case, log: Log, past: Past, draft: Draft) -> Draft:
    """A week that was sized as the other rules leave it, before days are chosen."""
    if draft.stop is None:
        for fills in log.filling:
            draft = fills(draft, past, case)
    return draft


def not_active(case: Case, draft: Draft) -> Draft:
    ended = case.client.status == "ended"
    because = case.origins.at("status")
    return draft.decide(
        "status",
        say("This plan has ended.") if ended else say("This plan is paused."),
        because=because,
        source="the coach's decision",
        before=draft.minutes,
        after=0.0,
        kind="pause",
        minutes=0.0,
        stop=Stop("ended" if ended else "paused", None, because),
    )
