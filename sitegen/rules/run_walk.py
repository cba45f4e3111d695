"""Run and walk in turn, on a ladder to thirty minutes without a walk."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from sitegen.model.case import Case
from sitegen.model.kinds import DISTANCE, DURATION, DURATION_OR_ZERO, SCORE, whole
from sitegen.model.record import Record, row
from sitegen.model.sentence import say
from sitegen.model.values import Distance, Duration
from sitegen.rules.draft import Draft, Past, Rung, share_of_week, whole_minutes
from sitegen.rules.log import Log
from sitegen.rules.rule import Lived, Memory, Parameters, Rule

SOURCE = (
    "our own ladder, common practice, no source; a published one: Table 1 of the protocol in "
    "Trials 2023;24 (doi 10.1186/s13063-023-07502-x), standard care, itself not tested"
)
CONTINUOUS_MIN = 30.0
# Share of the last rung's thirty minutes that a logged run has to reach to count as done.
DONE_SHARE = 0.9


class RungText(Record):
    """One rung as a practice writes it. ``run`` left out means all of it without a walk."""

    run: Duration | None = row(DURATION)
    walk: Duration = row(DURATION_OR_ZERO, default=Duration(0))
    distance: Distance | None = row(DISTANCE)
    effort: int | None = row(SCORE)


def _rung(run: float, walk: float) -> RungText:
    return RungText(run=Duration(round(run * 60)), walk=Duration(round(walk * 60)))


DEFAULT_LADDER: tuple[RungText, ...] = (
    _rung(1, 2),
    _rung(2, 2),
    _rung(3, 2),
    _rung(4, 2),
    _rung(5, 2),
    _rung(7, 2),
    _rung(10, 2),
    _rung(15, 2),
    _rung(20, 2),
    RungText(),
)


class RunWalkParameters(Parameters):
    """The ladder, and what each rung asks for."""

    ladder: list[RungText] = row(
        RungText, "", "rungs, lowest first", default=DEFAULT_LADDER, many="list"
    )
    sessions: int = row(
        whole(1, 7, "sessions, a whole number"), "", "sessions on a rung before the next", default=1
    )
    rest_days: int = row(
        whole(0, 6, "days, a whole number"),
        "",
        "days off between runs, in the ladder's shortest course",
        default=1,
    )
    most_effort: int = row(SCORE, "", "mean logged effort over which the rung is kept", default=6)


def rungs(values: RunWalkParameters) -> tuple[Rung, ...]:
    """The ladder in minutes; a rung without ``run`` is thirty minutes without a walk."""
    return tuple(
        Rung(r.run.minutes if r.run else CONTINUOUS_MIN, r.walk.minutes if r.run else 0.0)
        for r in values.ladder
    )


def starting_rung(ladder: Sequence[Rung], continuous: float) -> int | None:
    """The highest rung whose running stretch is no longer than ``continuous`` minutes.

    None where the runner already runs thirty minutes without a walk.
    """
    if continuous >= CONTINUOUS_MIN or not ladder:
        return None
    within = [i for i, r in enumerate(ladder[:-1]) if r.run <= continuous]
    return within[-1] if within else 0


def _start(case: Case, monday: date, number: int, before: int | None) -> int | None:
    return starting_rung(rungs(RULE.values(case)), continuous_minutes(case))


def continuous_minutes(case: Case) -> float:
    """Minutes run without a walk, as the baseline says."""
    baseline = case.client.baseline
    found = baseline.continuous or baseline.longest
    return found.minutes if found else 0.0


def _after(before: int | None, lived: Lived) -> int | None:
    """The rung reached; None once the last one, thirty minutes, was run or is planned."""
    week = lived.week
    if week.kind == "pause":
        return None if before is None else max(before - lived.backs, 0)
    if week.rung is None:
        return None
    now = week.rung - 1
    if before is not None and now > before and not lived.all_done:
        return before  # a run that was missed repeats the week
    top = lived.read[RULE.name][now]
    if top.walk > 0 or top.run < CONTINUOUS_MIN:
        return now
    logged = [run.ran for run in lived.runs if run.fate == "done"]
    ran = max(logged) if logged else lived.week.longest_minutes
    return None if ran >= CONTINUOUS_MIN * DONE_SHARE and lived.any_done else now


def _opens(draft: Draft, past: Past, case: Case) -> Draft:
    return draft._replace(rung=RULE.remembered(past), ladder=past.read[RULE.name])


def _read(case: Case, log: Log) -> tuple[Rung, ...]:
    return rungs(RULE.values(case))


def shortest_course(rung_count: int, sessions: int, rest_days: int) -> int:
    """Days from the first run to the last, when each rung takes its fewest sessions."""
    return (rung_count * sessions - 1) * (rest_days + 1) + 1


def distance_minutes(rung: RungText, seconds_per_km: float) -> float | None:
    """Running and walking minutes of a rung that is written as a distance, at one pace."""
    found: Distance | None = rung.distance
    return found.km * seconds_per_km / 60 if found else None


def _too_hard(past: Past, most: int) -> bool:
    """True where the last week's logged efforts say that its rung is not yet easy."""
    if past.previous is None:
        return False
    first = past.previous.start
    told = (s.entry.effort for s in past.recent if s.on >= first)
    efforts = [effort for effort in told if effort is not None]
    return bool(efforts) and sum(efforts) / len(efforts) > most


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Go up one rung in a building week, if the log and the week's minutes allow it."""
    if draft.rung is None or draft.stop is not None:
        return draft
    values = RULE.values(case)
    because = case.origins.at("baseline", "continuous")
    here = draft.ladder[draft.rung]
    stay = say("Run {run} min, walk {walk} min, in turn.", run=here.run, walk=here.walk)
    is_first = past.previous is None or 0 <= (past.start - case.client.baseline.on).days < 7
    if draft.kind != "build" or not draft.may_grow or is_first:
        return draft.decide(RULE.name, stay, because=because, source=SOURCE)
    if draft.rung + 1 >= len(draft.ladder):
        return draft.decide(RULE.name, stay, because=because, source=SOURCE)
    above = draft.ladder[draft.rung + 1]
    if _too_hard(past, values.most_effort):
        return draft.decide(
            RULE.name,
            say(
                "Last week's runs felt hard, so the running stretches stay at {run} min.",
                run=here.run,
            ),
            because=because,
            source=SOURCE,
        )
    room = whole_minutes(draft.minutes * share_of_week(draft.runs))
    if above.run > room:
        return draft.decide(
            RULE.name,
            say(
                "Running stretches stay at {run} min: the week is too short for longer ones yet.",
                run=here.run,
            ),
            because=because,
            source=SOURCE,
        )
    says = (
        say("Up a rung: {run} min without a walk.", run=above.run)
        if above.walk == 0
        else say(
            "Up a rung: run {run} min, walk {walk} min, in turn.", run=above.run, walk=above.walk
        )
    )
    return draft.decide(
        RULE.name,
        says,
        because=because,
        source=SOURCE,
        before=here.run,
        after=above.run,
        rung=draft.rung + 1,
    )


RULE = Rule(
    name="run_walk",
    promise=(
        "Under 30 min without a walk, runs are run and walk in turn on a ladder; up one rung a "
        "week at most, and only if the log of the last rung allows it."
    ),
    reason="Short stretches of running let tissue and breath keep up.",
    source=SOURCE,
    evidence="judgement",
    apply=apply,
    parameters=RunWalkParameters,
    needs=("volume", "pain"),
    opens=_opens,
    memory=Memory(_start, _after),
    reads=_read,
    review="Week by week the running stretch is the same as before, or that of the next rung.",
)
