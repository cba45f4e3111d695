"""Days without a run: come back to less than was left."""

from __future__ import annotations

from sitegen.model.case import Case
from sitegen.model.sentence import say
from sitegen.rules.draft import Draft, Past, Stop, whole_minutes
from sitegen.rules.rule import Rule

SOURCE = "common practice, no source"
# Days since the last run, and the share of the last building week that is come back to.
STEPS: tuple[tuple[int, float], ...] = ((28, 0.5), (14, 0.6), (7, 0.8))
RUNG_DOWN_DAYS = 28
NEW_BASELINE_DAYS = 56


def share(away_days: int) -> float:
    """Share of the last building week after ``away_days`` without a run."""
    return next((part for days, part in STEPS if away_days >= days), 1.0)


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Return at a part of what was left; ask for a new baseline after eight weeks."""
    away = past.condition.away_days
    if draft.stop is not None or away is None or share(away) == 1.0:
        return draft
    because = case.origins.at("baseline", "on")
    if away >= NEW_BASELINE_DAYS:
        return draft.decide(
            RULE.name,
            say(
                "{days} days without a logged run: before the plan goes on, a new baseline has to "
                "be taken.",
                days=away,
            ),
            because=because,
            source=SOURCE,
            before=draft.minutes,
            after=0.0,
            warns=True,
            kind="pause",
            minutes=0.0,
            stop=Stop("paused", None, because, "baseline"),
        )
    part = share(away)
    minutes = float(whole_minutes(min(draft.minutes, past.reference * part)))
    rung = draft.rung
    if away >= RUNG_DOWN_DAYS and draft.ladder:
        top = len(draft.ladder) - 1
        rung = max((top if rung is None else rung) - 1, 0)
    return draft.decide(
        RULE.name,
        say(
            "{days} days since the last run: back at {share} % of the last building week.",
            days=away,
            share=round(part * 100),
        ),
        because=because,
        source=SOURCE,
        before=draft.minutes,
        after=minutes,
        minutes=minutes,
        longest=past.longest_before(past.start) * part,
        rung=rung,
        kind="return",
        may_grow=False,
    )


RULE = Rule(
    name="absence",
    promise=(
        "Days since the last run: under 7 as planned; 7-13 return at 80 %; 14-27 at 60 %; 28 and "
        "over at 50 % and one rung down; 8 weeks and over: a new baseline is asked for."
    ),
    reason="What was adapted to fades; a step down costs little.",
    source=SOURCE,
    evidence="judgement",
    apply=apply,
)
