"""Acts on a whole week: keep it as it was shown, make it lighter, or the same as the one before.

Each sets the week's minutes; days and kinds stay the engine's to choose.
"""

from __future__ import annotations

from sitegen.acts.act import (
    WEEK,
    Act,
    ClientNow,
    Refusal,
    change,
    training_minutes,
    week_named,
    week_words,
)
from sitegen.model.kinds import Unfit, percent
from sitegen.model.plan import Week
from sitegen.model.values import Percent
from sitegen.plan.ledger import as_seen
from sitegen.rules.draft import whole_minutes
from sitegen.rules.ease import RULE as EASE

LESS = percent(1, 90)


def keep_week(known: ClientNow, week: str | None, because: str) -> Act | Refusal:
    """The week stays at the minutes that the client last saw, or else at those of the plan."""
    found = _week_with_runs(known, week)
    if isinstance(found, Refusal):
        return found
    sessions, until = as_seen(known.case, known.plan.as_of)
    minutes = whole_minutes(training_minutes(found.sessions))
    if found.start + WEEK <= until:
        mine = [s for s in sessions if found.start <= s.on < found.start + WEEK]
        minutes = whole_minutes(training_minutes(mine)) or minutes
    return _sized(found, minutes, because, "kept")


def lighter_week(
    known: ClientNow, week: str | None, because: str, by: str | None = None
) -> Act | Refusal:
    """The week with less running: by a share, or by as much as this client's easy weeks have."""
    found = _week_with_runs(known, week)
    if isinstance(found, Refusal):
        return found
    less: Percent = EASE.values(known.case).by
    if by is not None:
        try:
            less = LESS.validate(by if by.strip().endswith("%") else f"{by.strip()} %")
        except Unfit as unfit:
            return Refusal(f"--by: {unfit.message}", unfit.hint)
    minutes = whole_minutes(training_minutes(found.sessions) * (1 - less.fraction))
    return _sized(found, minutes, because, f"lighter by {less}")


def same_week(known: ClientNow, week: str | None, because: str) -> Act | Refusal:
    """The week gets the minutes of the one before it."""
    found = _week_with_runs(known, week)
    if isinstance(found, Refusal):
        return found
    before = next((w for w in known.plan.weeks if w.number == found.number - 1), None)
    if before is None or not training_minutes(before.sessions):
        return Refusal(
            f"there is no running in the week before {week_words(found)}",
            "write the minutes yourself, as under changes: - {week: 6, minutes: 60 min, ...}",
        )
    minutes = whole_minutes(training_minutes(before.sessions))
    return _sized(found, minutes, because, f"the same as week {before.number}")


def _week_with_runs(known: ClientNow, named: str | None) -> Week | Refusal:
    week = week_named(named, known.plan)
    if isinstance(week, Week) and not training_minutes(week.sessions):
        return Refusal(
            f"{week_words(week)} holds no run to make longer or shorter",
            f"see sitegen why {known.plan.client} --week {week.number}",
        )
    return week


def _sized(week: Week, minutes: int, because: str, how: str) -> Act:
    entry = change(because, week=str(week.number), minutes=f"{minutes} min")
    return Act(f"{week_words(week)} {how}: {minutes} min", (entry,), (week.number,))
