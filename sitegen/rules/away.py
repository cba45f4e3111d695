"""Holidays known beforehand: nothing on those days, and a week that is shorter for it."""

from __future__ import annotations

from datetime import timedelta

from sitegen.model.case import Case
from sitegen.model.sentence import say
from sitegen.rules.days import is_away, offers
from sitegen.rules.draft import Draft, Past, Stop, share_of_week, whole_minutes
from sitegen.rules.event_days import last_built
from sitegen.rules.rule import Rule
from sitegen.rules.volume import cut_from, level

SOURCE = "the coach's decision"
DAY = timedelta(days=1)


def _as_usual(past: Past, runs: int, whole: float) -> float:
    """Minutes of a week of ``runs`` of which none but the longest is longer than it was last.

    What the longest may not take of a shorter week would else go to the others. ``whole`` is the
    week without the days away: in an easier one runs are shorter by the same part.
    """
    built, before = last_built(past), level(past)
    if not built or before <= 0 or runs < 1:
        return whole
    usual = sorted(built)[-2:][0] * min(whole / before, 1.0)
    return usual if runs == 1 else usual * (runs - 1) / (1 - share_of_week(runs))


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Leave the days away empty, and the week its part of the minutes."""
    if draft.stop is not None or not case.client.away:
        return draft
    away = [day for day in range(7) if is_away(case, draft.start + DAY * day)]
    if not away:
        return draft
    first = draft.start + DAY * away[0]
    index, written = next(
        (i, one) for i, one in enumerate(case.client.away) if one.from_ <= first <= one.to
    )
    because = case.origins.at("away", index)
    running = [day for day, offer in enumerate(offers(case, draft.start)) if offer.run]
    left = [day for day in running if day not in away]
    whole = min(cut_from(draft, past), draft.minutes)
    runs = min(draft.runs, len(left))  # a run's share of the week is one of those that are left
    minutes = min(whole * len(left) / max(len(running), 1), _as_usual(past, runs, whole))
    minutes = float(whole_minutes(minutes))
    says = say("Away until {to}: {why}", to=written.to, why=written.because)
    if not left:
        return draft.decide(
            RULE.name,
            says,
            because=because,
            source=SOURCE,
            before=draft.minutes,
            after=0.0,
            kind="pause",
            minutes=0.0,
            stop=Stop("paused", None, because, written.because),
        )
    return draft.decide(
        RULE.name,
        says,
        because=because,
        source=SOURCE,
        before=draft.minutes,
        after=minutes,
        kind="hold" if draft.kind == "build" else draft.kind,
        minutes=minutes,
        may_grow=False,
        worth=0.0,
        runs=runs,
        by_coach=True,
    )


RULE = Rule(
    name="away",
    promise=(
        "Nothing stands on a day of `away`; a week that holds such days is shorter by their part, "
        "does not grow, and is no measurement; the runs that are left stay about as long as they "
        "were. Days without a run count as they do else."
    ),
    reason="A holiday that is known is planned around, not missed.",
    source=SOURCE,
    evidence="judgement",
    apply=apply,
    needs=("volume", "ease", "absence", "pain"),
    audience="coach",
    review="Between `from` and `to` the calendar is empty; the week after says what came of it.",
)
