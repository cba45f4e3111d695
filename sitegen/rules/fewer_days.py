"""A week of fewer runs than usual, or than there were: runs stay about as long as they were."""

from __future__ import annotations

from datetime import date

from sitegen.model.case import Case
from sitegen.model.sentence import say
from sitegen.rules import ease, long_run, spacing
from sitegen.rules.days import is_away_in, is_usual, offers, run_days
from sitegen.rules.draft import Draft, Past, event_share, share_of_week, whole_minutes
from sitegen.rules.event_days import built_weeks, last_built
from sitegen.rules.longest import most_after
from sitegen.rules.rule import Rule
from sitegen.rules.run_walk import on_ladder
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
    return _with_long(draft, past, case, runs, built[-2:][0] * part)


def _with_long(draft: Draft, past: Past, case: Case, runs: int, each: float) -> float:
    """Minutes of a week of which all runs but the long one have ``each``."""
    others = each * (runs - 1)
    share, most = share_of_week(runs), event_share(runs)
    need = 0 if draft.kind == "ease" else long_run.needed(case, past.number)
    long = max(others * share / (1 - share), need)
    return others + min(long, others * most / (1 - most))


def _for_good(draft: Draft, past: Past, case: Case) -> Draft:
    """A usual week of fewer runs than one of the last four building weeks: no run but the long one
    is more than a tenth longer than any such run was in those, so minutes come back in steps.

    The level stays: it is the single run that would jump, not the week.
    """
    built = built_weeks(past)
    is_fewer = 1 < draft.runs < max(map(len, built), default=0)
    if not is_fewer or on_ladder(past) or draft.kind not in ("build", "hold", "ease"):
        return draft
    usual = max(sorted(week)[-2:][0] for week in built)
    each = float(most_after(usual) if draft.may_grow else whole_minutes(usual))
    part = 1 - ease.RULE.values(case).by.fraction if draft.kind == "ease" else 1.0
    minutes = float(whole_minutes(_with_long(draft, past, case, draft.runs, each) * part))
    if minutes >= draft.minutes:
        return draft
    written_at = ("plan", "runs") if case.client.plan.runs else ("week",)
    return draft.decide(
        RULE.name,
        say(
            "{runs} runs a week now: none but the long one is more than a tenth longer than it "
            "was: {after} min.",
            runs=draft.runs,
            after=minutes,
        ),
        because=case.origins.at(*written_at),
        source=SOURCE,
        before=draft.minutes,
        after=minutes,
        minutes=minutes,
    )


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Lower a week to the runs that its days hold."""
    if draft.stop is not None or draft.minutes <= 0 or level(past) <= 0:
        return draft
    if is_usual(case, draft.start):
        return _for_good(draft, past, case)
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
            runs=min(runs, draft.runs),  # fewer where a day lies between two
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
        "building week, and the long one keeps its share. Where there are fewer runs for good, no "
        "run but the long one is more than a tenth longer than it was in the last four building "
        "weeks: the level stays, and minutes come back in steps."
    ),
    reason="Fewer days are no reason for longer runs.",
    source=SOURCE,
    evidence="judgement",
    apply=apply,
    audience="coach",
    needs=("volume", "ease", "away", "event_days"),
    review="In weeks of fewer days compare each run with those of the week before.",
)
