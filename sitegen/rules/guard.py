"""No week far above what is really run."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from sitegen.model.case import Case
from sitegen.model.sentence import say
from sitegen.rules import ease, fewer_days, returning, taper
from sitegen.rules.draft import Draft, Past, whole_minutes
from sitegen.rules.rule import Lived, Memory, Rule
from sitegen.rules.told import ToldRun
from sitegen.rules.volume import Level, level

SOURCE = "common practice, no source"
MOST_OVER = 1.5
MEASURED_WEEKS = 4
FEWEST_KNOWN = 3
# Below this no week is cut: a plan never sinks to nothing by itself.
LEAST_MIN = 30.0
LARGE_SHARE = 0.5  # of the largest week in rotation, from which another one is as large
MEASURED = ("build", "hold", "ease")
AFTER_BACK = ("build", "hold")


class Measured(NamedTuple):
    """Minutes that were really run in a week, of those that were told.

    ``ran`` has a run of which nothing was heard as told; ``known`` has it as not run. ``long``
    are those of the long run, known alike.
    """

    ran: float
    told: float
    known: float = 0.0
    long: float = 0.0


def _start(case: Case, monday: date, number: int, before: object) -> tuple[Measured, ...]:
    return ()


def _after(before: tuple[Measured, ...], lived: Lived) -> tuple[Measured, ...]:
    """What was run in the last weeks that say something of it, in minutes, newest last.

    Of a week that was told and heard of, runs count up to what was told; a run of which nothing
    was heard counts as told. An easier week counts as the building week that it stands for.
    """
    week, runs = lived.week, lived.on_monday
    built_on: Level = lived.memory["volume"]
    told = sum(run.minutes for run in runs)
    heard = [run for run in runs if run.fate != "unknown"]
    is_rota = len(lived.case.client.rota) > 1
    is_measured = week.began in MEASURED and not week.by_coach and (week.runs > 0 or is_rota)
    # A day still ahead is no word of those that passed: Sunday says of them what Monday does.
    is_silent = {run.fate for run in runs} <= {"unknown", "ahead"} and len(heard) < len(runs)
    if not is_measured or told <= 0 or is_silent or any(run.fate == "ill" for run in runs):
        return before
    share, known = (sum(map(_ran, them)) / told for them in (runs, heard))
    whole = told
    if week.began == "ease":
        # What else cut it, beside being easier, is no running: it stands for no more than it shows.
        cut_from = (told + len(runs)) / (1 - ease.RULE.values(lived.case).by.fraction)
        whole = min(week.worth or told, before[-1].told) if before else max(built_on.minutes, told)
        if is_rota:  # the week before it had other days
            whole = min(week.worth or told, cut_from)
        whole = cut_from if cut_from < min(whole, built_on.minutes) else whole
        if fewer_days.runs_that_fit(lived.case, week.start, lived.memory["spacing"]):
            whole = told  # less by its days alone
    ran = whole * share
    if week.worth <= 0 and before:  # it was held: what is run of it raises no bound
        mean = sum(one.ran for one in before) / len(before)
        ran = min(ran, before[0].ran if len(before) == MEASURED_WEEKS else mean)
    most = max(run.minutes for run in runs)
    long = whole * min(run.counted for run in runs if run.minutes == most) / told
    return (*before, Measured(ran, whole, whole * known, long))[-MEASURED_WEEKS:]


def _ran(run: ToldRun) -> float:
    """Minutes that were run of what was told; all of it where nothing was heard."""
    if run.fate == "done":
        return run.counted
    return 0.0 if run.fate == "missed" else run.minutes


def most_by_runs(past: Past, case: Case) -> float:
    """Most minutes of a building week by what was really run; no bound where too little is known.

    Before four are known it is the mean of those known, or with the baseline for the one that is
    missing where that is less.
    """
    mean = mean_run(past, case)
    if mean is None:
        return float("inf")
    most: float = MOST_OVER * mean
    if len(case.client.rota) > 1:
        # What is left out of a large week is no small part of a mean with small ones in it.
        weeks: tuple[Measured, ...] = RULE.remembered(past)
        large = [w.ran for w in weeks if w.told >= max(w.told for w in weeks) * LARGE_SHARE]
        told = sum(week.told for week in weeks) / len(weeks)
        most = max(most, MOST_OVER * min(told, sum(large) / len(large)))
    return max(most, LEAST_MIN)


def mean_run(past: Past, case: Case) -> float | None:
    """The mean minutes of the last weeks known; None where nothing is bound by it."""
    known: tuple[Measured, ...] = RULE.remembered(past)
    if len(known) < FEWEST_KNOWN:
        return None
    ran = sum(week.ran for week in known)
    fill = case.client.baseline.week.minutes * (MEASURED_WEEKS - len(known))
    return min(ran / len(known), (ran + fill) / MEASURED_WEEKS)


def _long_kept(past: Past, part: float) -> int:
    """Minutes that the long run of a week cut to what is run may keep: the least that was run of it
    in the weeks that are known.

    The minutes go where none are run: by its share of such a week who did the long run alone was
    told 52 min of it, and 12 some months later.
    """
    known: tuple[Measured, ...] = RULE.remembered(past)
    return round(min(week.long for week in known) * part)


def _after_back(past: Past, kind: str) -> float:
    """Most minutes of a week after one that went back for pain: that one counts in no mean, and of
    28 min at half there were 69 in the next."""
    last = past.previous
    if last is None or last.began != "back" or last.kind == "pause" or kind not in AFTER_BACK:
        return float("inf")
    return max(MOST_OVER * last.run_minutes, LEAST_MIN)


def _cut_from(draft: Draft, past: Past) -> float:
    """What a held week is less than: the level, or the largest week that days ever held of it. By
    the level alone a week after an event had 2 min of 12."""
    shown = taper.largest(past) if draft.kind == "hold" else 0.0
    return min(level(past), shown or level(past))


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Cut a week that is far above what was really run: one that builds, one of coming back, or an
    easier one while something holds the plan, as no building week before it was cut then. One that
    is held, or steps back, is as much less as it is of the level: half of a level that nobody runs
    was more than the week before."""
    is_held = draft.kind == "ease" and not draft.may_grow
    is_back = draft.kind == "return" and not returning.is_under_way(past)
    is_less = draft.kind in ("hold", "back") and not draft.walks and draft.minutes > 0
    if draft.stop is None and draft.kind == "ease" and level(past) > most_by_runs(past, case):
        draft = draft.but(long_kept=_long_kept(past, 1.0 - ease.RULE.values(case).by.fraction))
    if draft.stop is not None or not (draft.kind == "build" or is_back or is_held or is_less):
        return draft
    by = ease.RULE.values(case).by
    part = 1.0 - by.fraction if is_held else 1.0
    if is_less:
        part = draft.minutes / max(_cut_from(draft, past), draft.minutes)
    by_runs, by_last = most_by_runs(past, case) * part, _after_back(past, draft.kind)
    bound = min(by_runs, by_last)
    if draft.minutes <= bound:
        return draft
    bound = float(whole_minutes(bound))
    if not is_held and by_runs <= by_last:
        of_level = min(draft.minutes / max(level(past), 1.0), 1.0)
        draft = draft.but(long_kept=_long_kept(past, of_level))
    mean = mean_run(past, case) or 0.0
    says = say(
        "At most {after} min this week: half as much again as the {mean} min a week that were "
        "really run of late.",
        after=bound,
        mean=round(mean),
    )
    if by_last < by_runs:
        says = say(
            "At most {after} min this week: half as much again as in the week before, which went "
            "back.",
            after=bound,
        )
    elif is_held:
        says = say(
            "At most {after} min this week: {by} under the most that a week would be after the "
            "{mean} min a week that were really run of late.",
            after=bound,
            by=by,
            mean=round(mean),
        )
    elif is_less:
        says = say(
            "At most {after} min this week: counted from the {mean} min a week that were really "
            "run of late.",
            after=bound,
            mean=round(mean),
        )
    elif bound >= max(MOST_OVER * mean, LEAST_MIN) + 1:
        says = say(
            "At most {after} min this week, by what was really run of late in weeks as large.",
            after=bound,
        )
    elif bound > MOST_OVER * mean:
        says = say(
            "At most {after} min this week: from the {mean} min a week that were really run of "
            "late no week grows further than this.",
            after=bound,
            mean=round(mean),
        )
    return draft.decide(
        RULE.name,
        says,
        because=case.origins.at("baseline", "week"),
        source=SOURCE,
        before=draft.minutes,
        after=bound,
        minutes=bound,
    )


RULE = Rule(
    name="guard",
    promise=(
        "A building week, or one of coming back, is at most one and a half times the mean of what "
        "was really run in the last four weeks that were heard of, once three are known (with the "
        "baseline for the fourth where that is less); never cut below 30 min. An easier week is "
        "cut from that while something holds the plan; a week that is held or steps back is that "
        "part of it that it is of the level, and what is run of it makes none larger. After a week "
        "that went back for pain none has more than half as much again as that. The long run "
        "is cut last: it keeps the least that was run of it in one of those. Weeks in "
        "rotation count with the others, small ones as they are; where some of it was left out, "
        "weeks of at least half of the largest are compared with their like, up to one and a half "
        "times the mean of what was told."
    ),
    reason="A plan far above what somebody runs is a jump on the first good week.",
    source=SOURCE,
    evidence="judgement",
    apply=apply,
    needs=("volume",),
    memory=Memory(_start, _after),
    review="Take the mean of the last four heard weeks of the log; half as much again is the most.",
)
