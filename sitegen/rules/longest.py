"""No run much longer than what was run in the last thirty days."""

from __future__ import annotations

from bisect import bisect_left
from datetime import date, timedelta
from operator import attrgetter

from sitegen.model.case import Case
from sitegen.model.kinds import DURATION
from sitegen.model.record import row
from sitegen.model.sentence import N_, say
from sitegen.model.values import Duration
from sitegen.rules import ease
from sitegen.rules.days import UNLIMITED, offers
from sitegen.rules.draft import Draft, Past, share_of_week, whole_minutes
from sitegen.rules.rule import Parameters, Rule
from sitegen.rules.run_walk import CONTINUOUS_MIN

BY_HISTORY = (
    "Frandsen JSB et al., Br J Sports Med 2025;59(17):1203-1210 (observational, 5,205 runners)"
)
BY_SHARE = "common practice, no source; no trial of a long run's share of a week was found"
SOURCE = f"{BY_HISTORY}; share of the week: common practice, no source"
OVER_LONGEST = 1.10
WINDOW_DAYS = 30
FIRST_RUN_MIN = 10.0
# In run/walk the running of one session grows by at most this much. Common practice, no source; a
# published table, itself not tested, gains up to 4.9 min from phase to phase (see `run_walk`).
RUN_WALK_STEP_MIN = 5.0
BOUND = N_("No run is over {most} min.")
OF_WEEK = N_("No run is over {most} min: that is {share} % of the week, and none is more.")
FAR_LONGER = N_(
    "No run is over {most} min: at most a tenth over {known} min, which is what counts of a run "
    "far longer than all before it."
)
AS_BEFORE = N_(
    "No run is over {most} min, as before: of the last long ones nothing was heard, so none grows "
    "from them."
)


_HEARD = attrgetter("heard")


class LongestParameters(Parameters):
    """How long a single run may ever be."""

    most: Duration = row(
        DURATION,
        "",
        "most of a single run, where no day of the week says more (`up_to`), or what was run before"
        " the plan",
        default=Duration(3 * 60 * 60),  # as a marathon's longest run; common practice, no source
    )


def most_ever(case: Case, past: Past) -> float:
    """Most minutes of any run of the week, whatever it grew from; no bound but the day's own where
    one is offered for longer."""
    written: Duration = RULE.values(case).most
    brought = case.client.baseline.longest
    most = max(written.minutes, brought.minutes if brought else 0.0)
    limits = (o.minutes for o in offers(case, past.start) if o.run and o.minutes < UNLIMITED)
    return float("inf") if max(limits, default=0) > most else float(whole_minutes(most))


def most_after(day_longest: float) -> int:
    """Most running minutes where ``day_longest`` is the longest run of the 30 days before.

    A tenth of less than ten minutes is no whole minute: up to ten, a run may grow by one.
    """
    return whole_minutes(max(day_longest * OVER_LONGEST, min(day_longest + 1, FIRST_RUN_MIN)))


def most_on(past: Past, day: date) -> int:
    """Most running minutes of a run on ``day``, one of the week's.

    A tenth over the longest of the 30 days before it; what nobody told of is repeated, and no step.
    """
    late = past.runs_since(day, WINDOW_DAYS)
    longest = past.longest_of(late)
    if all(map(_HEARD, late)):
        return most_after(longest)
    heard = max([run.minutes for run in late if run.heard], default=0.0)
    return max(most_after(heard), whole_minutes(longest))


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Cap each run by the last thirty days and by its share of the week."""
    if draft.stop is not None or draft.minutes <= 0 or draft.walks:
        return draft
    known = past.longest_before(past.start, WINDOW_DAYS)
    if draft.is_run_walk:
        by_history = FIRST_RUN_MIN if known <= 0 else known + RUN_WALK_STEP_MIN
        by_history = min(by_history, CONTINUOUS_MIN)
    else:
        by_history = float(most_on(past, past.start))
    ever = most_ever(case, past)
    longest = draft.longest
    if draft.kind == "ease" and not draft.is_run_walk:  # its share alone may leave it as it was
        eased = by_history * (1 - ease.RULE.values(case).by.fraction)
        longest = min(longest, float(whole_minutes(eased)))
    runs = draft.runs
    share = 1.0 if draft.event_on else share_of_week(runs)  # the event is the long run then
    by_share = float(whole_minutes(draft.minutes * share))
    needs = max(draft.long_need, draft.long_kept)
    is_more = needs > by_share
    if is_more:
        by_share = float(needs)
    most = min(longest, by_history, by_share, ever)
    shown = whole_minutes(most)
    is_most_ever = most == ever < min(longest, by_history, by_share)
    source = "common practice, no source"
    if draft.is_run_walk:
        says = say("No session has more than {most} min of running.", most=shown)
    elif is_most_ever:
        says = say("No run is over {most} min, where no day says more.", most=shown)
    elif longest < min(by_history, by_share) or (share >= 1 and by_share <= by_history):
        says = say(BOUND, most=shown)  # what holds it says why
    elif by_share <= by_history:
        source = BY_SHARE
        says = say("No run is over {most} min, as the event asks for.", most=shown)
        if draft.long_kept == needs:
            says = say("No run is over {most} min, as long as it was run of late.", most=shown)
        if not is_more:
            says = say(OF_WEEK, most=shown, share=round(share * 100))
    else:
        source = BY_HISTORY
        says = say(
            "No run is over {most} min: at most a tenth over the longest of the last 30 days, "
            "{known} min.",
            most=shown,
            known=known,
        )
        since = bisect_left(past.recent, (past.start - timedelta(days=WINDOW_DAYS),))
        if by_history < most_after(known):
            says = say(AS_BEFORE, most=shown)
        elif any(one.is_run and one.minutes > known for one in past.recent[since:]):
            says = say(FAR_LONGER, most=shown, known=known)
    return draft.decide(
        RULE.name,
        says,
        because=case.origins.at("baseline", "longest"),
        source=source,
        before=known,
        after=most,
        warns=is_most_ever,
        longest=most,
        share=share,
        minutes=min(draft.minutes, most * runs) if draft.is_run_walk else draft.minutes,
    )


RULE = Rule(
    name="longest",
    promise=(
        "Once a runner runs 30 min without a walk: no run is longer than 110 % of the longest in "
        "the 30 days before it, in an easier week less by as much as that is easier; nor more than "
        "half of the week with two runs, 40 % with three, 35 % with more; a single run where days "
        "are offered for two, and no number of runs is written, no more than half of the level, "
        "50 min or what an event needs; where the guard cuts the week, up to two thirds of it, as "
        "far as the long run was run in each of the last four. "
        "From none: at most 10 min of running; up to 10 min a run may grow by one minute. Of a run "
        "far over all before it count half as much again as the longest of those, or 15 min more. "
        "A run of which nothing was heard may come again, and none grows from it. None is over "
        "`most`, where no day of the week is offered for longer (`up_to`) and nobody ran longer "
        "before the plan."
    ),
    reason="A single run far longer than any lately goes with more overuse injuries.",
    source=SOURCE,
    evidence="published",
    apply=apply,
    parameters=LongestParameters,
    audience="coach",
    needs=("volume", "spacing", "run_walk"),
    review="For each run, look for the longest of the 30 days before it, logged or planned.",
)
