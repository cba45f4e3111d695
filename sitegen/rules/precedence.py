"""Who wins where several rules have a say in one week's minutes.

`CLAIMS` is the one table, strongest first. What is stronger is never undone by what is weaker: a
weaker claim may make the week smaller, not larger. The coach's own words for a week go before
whatever stands below them, and yield to what stands above.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from sitegen.model.plan import Decision, WeekKind


class Claim(NamedTuple):
    """One claim on a week: its name, and the rules that lay it."""

    name: str
    rules: tuple[str, ...]


STOP = "stop"
ILLNESS, PAIN, QUESTION = "ill", "pain", "question"
COACH = "coach"
FLOOR, GROWTH = "floor", "growth"
CLAIMS = (
    Claim(
        STOP,
        (
            "signs", "screening", "history", "pain", "asks", "illness", "silence", "absence",
            "returning", "stand_in", "status",
        ),
    ),
    Claim("return", ("absence", "returning", "after_stop")),
    Claim(ILLNESS, ("illness",)),
    # What either holds in weeks ahead nothing but a word ends.
    Claim(PAIN, ("pain",)),
    Claim(QUESTION, ("asks",)),  # that waits for the coach
    Claim("away", ("away",)),
    Claim(COACH, ("changes",)),
    Claim("race week", ("taper",)),
    Claim("ease", ("ease", "fewer_days")),
    Claim("silence", ("silence",)),
    Claim("guard", ("guard", "overdone")),
    Claim(FLOOR, ("volume",)),  # the level, repeated
    Claim(GROWTH, ("volume", "history")),
)  # fmt: skip
ORDER = tuple(claim.name for claim in CLAIMS)


class Won(NamedTuple):
    """The claim that a week is as it is for, and the decision that laid it."""

    claim: str
    decision: Decision


def sets_rate(decision: Decision) -> bool:
    """Whether it is a step rate of the coach's own: it lies with her other changes."""
    return decision.rule == "changes" and "aim" in dict(decision.says.values)


def sets_minutes(decision: Decision) -> bool:
    """Whether its figures are a whole week's minutes: not a session's, not a step rate."""
    is_figure = decision.session is None and decision.after is not None
    return is_figure and not sets_rate(decision)


def claims(kind: WeekKind, decisions: Iterable[Decision]) -> list[Won]:
    """Every claim on a week of ``kind``, strongest first.

    A decision lays one where it sets the minutes of the week.
    """
    found = [
        Won(_claim(kind, decision), decision) for decision in decisions if sets_minutes(decision)
    ]
    return sorted((won for won in found if won.claim), key=lambda won: ORDER.index(won.claim))


def winner(kind: WeekKind, decisions: Iterable[Decision]) -> Won | None:
    """The strongest claim on a week; None where no rule set its minutes."""
    return next(iter(claims(kind, decisions)), None)


def beats_the_coach(kind: WeekKind, decisions: Iterable[Decision]) -> Won | None:
    """The strongest claim on a week, where the coach's words for it yield to it."""
    won = winner(kind, decisions)
    return won if won and ORDER.index(won.claim) < ORDER.index(COACH) else None


def _claim(kind: WeekKind, decision: Decision) -> str:
    rule, after = decision.rule, decision.after
    if kind == "pause" and after == 0 and rule in CLAIMS[0].rules:
        return STOP
    if rule == "history" and kind == "hold":
        return FLOOR
    if rule == "volume":
        return GROWTH if (after or 0) > (decision.before or 0) else FLOOR
    return next((name for name, rules in CLAIMS[1:] if rule in rules), "")
