"""A week whose own days hold fewer runs than usual: runs stay as long as they were."""

from __future__ import annotations

from datetime import date

from sitegen.model.case import Case
from sitegen.model.sentence import say
from sitegen.rules import long_run, spacing
from sitegen.rules.away import is_away_in
from sitegen.rules.days import is_usual, offers, run_days
from sitegen.rules.draft import Draft, Past, event_share, share_of_week, whole_minutes
from sitegen.rules.event_days import last_built
from sitegen.rules.rule import Rule
from sitegen.rules.volume import level

SOURCE = "common practice, no source"


def runs_that_fit(case: Case, start: date, usual_runs: int) -> int:
    """How many runs the days of an odd week or one of a rota hold, where those are fewer than
    usual; else 0."""
    if is_usual(case, start):
        return 0
    runs = len(run_days(offers(case, start)))
    return runs if runs < (case.client.plan.runs or usual_runs) else 0


def _most(draft: Draft, past: Past, case: Case, runs: int, usual_runs: int) -> float:
    """Minutes of a week of ``runs`` runs of which none but the long one is longer than usual.

    The usual run is the longest but the long one of the last building week; shorter on the way
    back by what that takes. An easier week and those before an event are less by fewer runs
    already: shortened twice, the week after it was more than twice as long.
    """
    whole = level(past)
    built = sorted(last_built(past)) or [whole / usual_runs] * 2
    part = 1.0 if draft.kind in ("ease", "taper", "event") else min(draft.minutes / whole, 1.0)
    if runs == 1:
        return built[-1] * part
    others = built[-2:][0] * part * (runs - 1)
    share, most = share_of_week(runs), event_share(runs)
    need = 0 if draft.kind == "ease" else long_run.needed(case, past.number)
    long = max(others * share / (1 - share), need)
    return others + min(long, others * most / (1 - most))


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Lower a week of a rota, or an odd one, to the runs that its days hold."""
    if draft.stop is not None or draft.minutes <= 0 or level(past) <= 0:
        return draft
    usual_runs: int = case.client.plan.runs or spacing.RULE.remembered(past)
    runs = runs_that_fit(case, draft.start, usual_runs)
    if not runs or is_away_in(case, draft.start):
        return draft
    minutes = float(whole_minutes(_most(draft, past, case, runs, usual_runs)))
    if minutes >= draft.minutes:
        return draft
    return draft.decide(
        RULE.name,
        say(
            "{runs} of {usual} runs fit this week's days, each as long as usual: {after} min.",
            runs=runs,
            usual=usual_runs,
            after=minutes,
        ),
        because=case.origins.at("week"),
        source=SOURCE,
        before=draft.minutes,
        after=minutes,
        minutes=minutes,
    )


RULE = Rule(
    name="fewer_days",
    promise=(
        "An odd week, or one of a rotation, whose days hold fewer runs than usual is smaller by "
        "those that are missing: no run but the long one is longer than it was in the last "
        "building week, and the long one keeps its share."
    ),
    reason="Fewer days are no reason for longer runs.",
    source=SOURCE,
    evidence="judgement",
    apply=apply,
    audience="coach",
    needs=("volume", "ease", "away", "event_days"),
    review="In weeks of fewer days compare each run with those of the week before.",
)
