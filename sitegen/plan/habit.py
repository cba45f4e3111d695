"""Less run than told for weeks, or far more, is a habit and no accident: the coach is asked.

Source: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import timedelta
from itertools import pairwise

from sitegen.model.case import Case
from sitegen.model.plan import Week
from sitegen.model.problem import Problem
from sitegen.rules import guard, overdone, volume
from sitegen.rules.draft import whole_minutes
from sitegen.rules.log import Log
from sitegen.rules.told import ToldRun, fates

WEEK = timedelta(days=7)
HABIT_WEEKS = 4  # so many weeks in a row make a habit
OVER_WEEKS = 3  # in a row, in each of which far more was run than was told
SHORT_SHARE = 0.9  # of a week's told minutes, under which its runs ended early
CUT_SHARE = 0.5  # of a week, below which the guard's cut is told
FEWEST_LEFT = 2  # a run a week is not proposed
LATE_TIMES = 2  # a week was repeated for a run that was told too late to count
LATE_WITHIN_WEEKS = 8
NONE_WEEKS = 3  # in a row, of which nothing but a run left out was heard
COUNTED = ("build", "hold", "ease")
ALTERNATING = (*COUNTED, "return")  # after a week left out the next one is a return


def asks(case: Case, log: Log, weeks: Sequence[Week]) -> Iterator[Problem]:
    """What to ask of who runs less than is told, or more: about a habit, or that a plan shrinks."""
    habits = [*fewer_runs(case, log, weeks), *shorter_runs(case, log, weeks)]
    yield from habits or far_cut(case, log, weeks)
    yield from none_run(case, log, weeks)
    yield from far_more(case, log, weeks)
    yield from told_late(case, log, weeks)


def far_more(case: Case, log: Log, weeks: Sequence[Week]) -> Iterator[Problem]:
    """What to ask of who ran far more than was told in each of the last weeks: a notice tells of
    the last one, and of too much too soon nobody should read in passing."""
    over = [w for w in weeks if w.start + WEEK <= log.as_of][-OVER_WEEKS:]
    ran = [log.between(week.start, week.start + WEEK) for week in over]
    is_over = [
        overdone.over_week(week.sessions, runs) is not None
        or any(one.how == "minutes" for one in overdone.over(week.sessions, runs))
        for week, runs in zip(over, ran, strict=True)
    ]
    if len(over) < OVER_WEEKS or not all(is_over):
        return
    told = sum(week.run_minutes for week in over)
    minutes = sum(run.minutes for runs in ran for run in runs if run.is_run)
    yield Problem(
        case.origins.at("baseline", "week"),
        f"{minutes:.0f} min were run in the last {OVER_WEEKS} weeks, where {told:.0f} min were "
        "told, and far more than was told in each: no week grows from that, and so sudden a load "
        "is what the plan is to keep off",
        "ask why, and how it feels the morning after; if it is what they are used to, write a new "
        "baseline, with the day on which it was taken",
        "habit-more",
        "warning",
    )


def told_late(case: Case, log: Log, weeks: Sequence[Week]) -> Iterator[Problem]:
    """What to ask where weeks were repeated though all of the one before is told as done by now: a
    plan that goes out before Sunday's run is told grows half as fast, and nothing said so."""
    over = [w for w in weeks if w.start + WEEK <= log.as_of][-LATE_WITHIN_WEEKS:]
    repeated = [
        after.number
        for before, after in pairwise(over)
        if after.began == before.kind == "build"
        and not (before.by_coach or after.by_coach)
        and after.worth < before.worth + 1 <= _next_worth(case, before)
        and _grows_after(after, weeks)
        and _is_earned(case, log, before)
    ]
    if len(repeated) >= LATE_TIMES:
        named = " and ".join(map(str, repeated[-LATE_TIMES:]))
        yield Problem(
            case.origins.at("plan"),
            f"weeks {named} were no more than the week before, of which every run is told as done: "
            "not all were told yet when the plan went out",
            "publish on the last day of the week, when its run still counts as ahead, or once it "
            "is told",
            "habit-late",
            "warning",
        )


def _grows_after(repeated: Week, weeks: Sequence[Week]) -> bool:
    """Whether the next building week is more: where none grew, nobody asked for it then."""
    later = (w.worth for w in weeks if w.number > repeated.number and w.kind == "build")
    return next(later, 0.0) >= repeated.worth + 1


def _is_earned(case: Case, log: Log, week: Week) -> bool:
    """Whether a week is one to grow on: all of it done, and about as long as told."""
    runs = fates(week.sessions, log, week.start)
    told, ran = sum(run.minutes for run in runs), sum(run.ran + run.beside for run in runs)
    is_near = volume.LEAST_RUN_SHARE * told <= ran < volume.OVERRUN_SHARE * told
    return bool(runs) and all(run.fate == "done" for run in runs) and is_near


def _next_worth(case: Case, week: Week) -> float:
    """Minutes that the building week after this one is worth, where that one is earned whole."""
    if whole_minutes(week.worth) - len(week.sessions) > week.run_minutes:
        return week.worth  # days or limits left no room for it
    growth = volume.growth_of(case, week.start).fraction
    return min(volume.wanted(week.worth, growth), volume.most(case))


def fewer_runs(case: Case, log: Log, weeks: Sequence[Week]) -> Iterator[Problem]:
    """What to ask who left out as many runs, and told so, in each of four weeks, or every second
    week of them whole; nothing once the weeks ahead are as they are run."""
    done = [(len(kept), len(told)) for kept, told in _done(log, weeks, COUNTED)]
    ahead = [w for w in weeks if w.start >= log.as_of and w.kind in COUNTED]
    most = max((sum(s.is_run for s in week.sessions) for week in ahead), default=0)
    if len(done) == HABIT_WEEKS and len(set(done)) == 1 and 0 < done[0][0] < min(done[0][1], most):
        yield _fewer(case, *done[0])
    alternating = _done(log, weeks, ALTERNATING)
    whole = [len(kept) == len(told) if kept else None for kept, told in alternating]
    every_second = len(whole) == HABIT_WEEKS and whole[:2] == whole[2:]
    if every_second and set(whole) == {True, None} and len(case.client.rota) < 2:
        yield Problem(
            case.origins.at("week"),
            f"every second week was left out, {HABIT_WEEKS // 2} of the last {HABIT_WEEKS}: a "
            "habit, it seems, and each time the plan comes back with less",
            "ask what those weeks have room for, and write week as a list of two weeks in "
            "rotation, with a day or two for a short run in the second one",
            "habit-weeks",
            "warning",
        )


def shorter_runs(case: Case, log: Log, weeks: Sequence[Week]) -> Iterator[Problem]:
    """What to ask whose runs were shorter than told in each of four weeks: none is told far over
    the longest that was really run, so that each month's are shorter than those before."""
    done = [kept for kept, _ in _done(log, weeks, COUNTED) if kept]
    minutes = [(sum(r.counted for r in kept), sum(r.minutes for r in kept)) for kept in done]
    if len(minutes) == HABIT_WEEKS and all(ran < SHORT_SHARE * told for ran, told in minutes):
        ran, told = (sum(column) for column in zip(*minutes, strict=True))
        yield Problem(
            case.origins.at("week"),
            f"the runs of the last {HABIT_WEEKS} weeks ended early, {ran:.0f} of {told:.0f} min, "
            "in each of them: a habit, it seems, and as no run is told far over those that were "
            "really run, they get shorter and shorter",
            "ask what ends them early; for want of time write what there is as up_to, else a new "
            "baseline, with the day on which it was taken",
            "habit-short",
            "warning",
        )


def far_cut(case: Case, log: Log, weeks: Sequence[Week]) -> Iterator[Problem]:
    """What to ask where the next building week is less than half of what it would be if all were
    run: a plan does not shrink without a word."""
    ahead = [w for w in weeks if w.start + WEEK > log.as_of and w.kind == "build"]
    for cut in (d for week in ahead[:1] for d in week.decisions if d.rule == guard.RULE.name):
        before, after = cut.before or 0.0, cut.after or 0.0
        if after < before * CUT_SHARE:
            yield Problem(
                case.origins.at("week"),
                f"week {ahead[0].number} has at most {after:.0f} min, where {before:.0f} min would "
                "be due if all were run: it is cut by what was really run, and shrinks on while "
                "runs are left out",
                "ask what there is room for, and write fewer runs under plan, other days under "
                "week, or a new baseline",
                "habit-cut",
                "warning",
            )


def none_run(case: Case, log: Log, weeks: Sequence[Week]) -> Iterator[Problem]:
    """What to ask of who told of a run left out in each of the last weeks, and nothing of the
    others: a word came, so nobody asked for one, and each week the plan came back with less."""
    over = [w for w in weeks if w.start + WEEK <= log.as_of and not w.by_coach][-NONE_WEEKS:]
    became = [{run.fate for run in fates(w.sessions, log, w.start)} for w in over]
    if len(over) == NONE_WEEKS and all(found == {"missed", "unknown"} for found in became):
        yield Problem(
            case.origins.at("plan"),
            f"of each of the last {NONE_WEEKS} weeks a run was told as left out, and of the others "
            "nothing was heard: the plan takes it that none was run, and comes back with less",
            "ask what was run; where it was nothing, write a new baseline before the next run",
            "habit-none",
            "warning",
        )


def _done(
    log: Log, weeks: Sequence[Week], kinds: Sequence[str]
) -> list[tuple[list[ToldRun], Sequence[ToldRun]]]:
    """Runs done and told of each of the last weeks; none unless of all of these all was heard."""
    found: list[tuple[list[ToldRun], Sequence[ToldRun]]] = []
    over = [w for w in weeks if w.start + WEEK <= log.as_of and w.began in kinds]
    for week in over[-HABIT_WEEKS:]:
        runs = fates(week.sessions, log, week.start)
        kept = [run for run in runs if run.fate == "done"]
        missed = sum(run.fate == "missed" for run in runs)
        if week.by_coach or not runs or len(kept) + missed < len(runs):
            return []
        found.append((kept, runs))
    return found


def _fewer(case: Case, kept: int, told: int) -> Problem:
    were = "were" if kept > 1 else "was"
    hint = f"ask, and if it suits both of you write runs: {kept} under plan"
    if kept < FEWEST_LEFT:
        hint = "ask what keeps the others from being run, and write the days that suit under week"
    return Problem(
        case.origins.at("plan", "runs"),
        f"{kept} of {told} runs {were} done in each of the last {HABIT_WEEKS} weeks: a habit, it "
        "seems, and the plan repeats its week as long as one is missed",
        hint,
        "habit-runs",
        "warning",
    )
