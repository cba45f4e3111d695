"""Run and walk in turn, on a ladder to thirty minutes without a walk."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from math import ceil
from typing import NamedTuple

from sitegen.model.case import Case
from sitegen.model.kinds import DISTANCE, DURATION, DURATION_OR_ZERO, SCORE, whole
from sitegen.model.record import Record, row
from sitegen.model.sentence import N_, say
from sitegen.model.values import Distance, Duration
from sitegen.rules.draft import Draft, Past, Rung, share_of_week, whole_minutes
from sitegen.rules.log import SLOW_PACE, Log
from sitegen.rules.pain import WALK_MIN
from sitegen.rules.rule import Lived, Memory, Parameters, Rule

SOURCE = (
    "our own ladder, common practice, no source; a published one: Table 1 of the protocol in "
    "Trials 2023;24 (doi 10.1186/s13063-023-07502-x), standard care, itself not tested"
)
# Brisk walking, for ladders written in distances: 5.5 km an hour. Common practice, no source.
WALK_S_PER_KM = 3600 / 5.5
CONTINUOUS_MIN = 30.0
# Share of the last rung's thirty minutes that a logged run has to reach to count as done.
DONE_SHARE = 0.9
# Up to this length stretches are whole ones. Common practice, no source.
WHOLE_STRETCH_MIN = 5
LEAST_STRETCH_MIN = 2  # of the last of them; common practice, no source
IN_TURN = N_("Run {run} min, walk {walk} min, in turn.")
WHOLE = N_("Runs are up to {run} min long, without a walk.")
UP_A_RUNG = N_("Up a rung: run {run} min, walk {walk} min, in turn.")
SLOW_PACE_S = SLOW_PACE.seconds_per_km


class RungText(Record):
    """One rung as a practice writes it. ``run`` left out means all of it without a walk."""

    run: Duration | None = row(DURATION)
    walk: Duration = row(DURATION_OR_ZERO, default=Duration(0))
    distance: Distance | None = row(
        DISTANCE, "", "how far a session goes, walks and all; it goes no further"
    )
    effort: int | None = row(
        SCORE, "", "how hard a session is at most; while the log says more, the rung is kept"
    )


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
        whole(1, 7, "sessions, a whole number"),
        "",
        "sessions on a rung, as far as the rung says, before the next",
        default=1,
    )
    rest_days: int = row(
        whole(0, 1, "days, 0 or 1"),
        "",
        "days off between runs on the ladder; in the first twelve weeks there is one in any case",
        default=1,
    )
    most_effort: int = row(
        SCORE,
        "",
        "mean logged effort over which the rung is kept, where the rung says none",
        default=6,
    )


def stretches(minutes: float, run: float) -> tuple[float, ...]:
    """``minutes`` of running in stretches of ``run`` minutes, none of them a scrap.

    What is left over is a last stretch where it is half of one or more, and two minutes at least
    where the others are. Less than that is left
    out where stretches are short, and where they are long the last two share it.
    """
    whole, left = divmod(minutes, run)
    count = int(whole)
    if count == 0 or left <= 0:
        return (run,) * count or (minutes,)
    if left * 2 >= run and left >= min(run, LEAST_STRETCH_MIN):
        return (*(run,) * count, left)
    if run <= WHOLE_STRETCH_MIN:
        return (run,) * count
    first = float(ceil((run + left) / 2))
    return (*(run,) * (count - 1), first, run + left - first)


class Standing(NamedTuple):
    """Where a runner stands: the rung, and how many whole sessions it has been run in."""

    rung: int
    sessions: int = 0


def rungs(values: RunWalkParameters, seconds_per_km: float = SLOW_PACE_S) -> tuple[Rung, ...]:
    """The ladder in minutes; a rung without ``run`` is thirty minutes without a walk."""
    return tuple(
        Rung(
            r.run.minutes if r.run else CONTINUOUS_MIN,
            r.walk.minutes if r.run else 0.0,
            _session_minutes(r, seconds_per_km),
            r.effort,
        )
        for r in values.ladder
    )


def _session_minutes(rung: RungText, seconds_per_km: float) -> float:
    """Running minutes of a session that goes a rung's distance and no further; 0 without one."""
    if rung.distance is None:
        return 0.0
    most = whole_minutes(distance_minutes(rung, seconds_per_km))
    if rung.run is None or rung.walk.minutes <= 0 or most <= 0:
        return float(most)
    return sum(stretches(most, rung.run.minutes))


def starting_rung(ladder: Sequence[Rung], continuous: float) -> int | None:
    """The highest rung whose running stretch is no longer than ``continuous`` minutes.

    None where the runner already runs thirty minutes without a walk.
    """
    if continuous >= CONTINUOUS_MIN or not ladder:
        return None
    within = [i for i, r in enumerate(ladder[:-1]) if r.run <= continuous]
    return within[-1] if within else 0


def _start(case: Case, monday: date, number: int, before: Standing | None) -> Standing | None:
    rung = starting_rung(_ladder(case), continuous_minutes(case))
    return None if rung is None else Standing(rung)


def _ladder(case: Case) -> tuple[Rung, ...]:
    pace = case.client.baseline.pace
    return rungs(RULE.values(case), pace.seconds_per_km if pace else SLOW_PACE_S)


def continuous_minutes(case: Case) -> float:
    """Minutes run without a walk, as the baseline says."""
    baseline = case.client.baseline
    found = baseline.continuous or baseline.longest
    return found.minutes if found else 0.0


def _after(before: Standing | None, lived: Lived) -> Standing | None:
    """The rung reached; None once the last one, thirty minutes, was run or is planned."""
    week = lived.week
    if week.kind == "pause":
        return None if before is None else Standing(max(before.rung - lived.backs, 0))
    if week.rung is None:
        return None
    now = week.rung - 1
    if before is not None and now > before.rung and not lived.all_done:
        return before  # a run that was missed repeats the week
    top = lived.read[RULE.name][now]
    if top.walk > 0 or top.run < CONTINUOUS_MIN:
        earlier = before.sessions if before is not None and before.rung == now else 0
        return Standing(now, earlier + _whole_sessions(lived, top))
    logged = [run.ran for run in lived.runs if run.fate == "done"]
    ran = max(logged) if logged else lived.week.longest_minutes
    is_over = ran >= CONTINUOUS_MIN * DONE_SHARE and lived.any_done
    return None if is_over else Standing(now)


def _whole_sessions(lived: Lived, rung: Rung) -> int:
    """Sessions of a week that went as far as the rung says, to a minute."""
    done = [run.minutes for run in lived.runs if run.fate in ("done", "ahead")]
    return sum(1 for minutes in done if minutes > rung.session - 1)


def _opens(draft: Draft, past: Past, case: Case) -> Draft:
    standing: Standing | None = RULE.remembered(past)
    return draft.but(
        rung=standing and standing.rung,
        ladder=past.read[RULE.name],
    )


def on_ladder(past: Past) -> bool:
    """True where runs are still run and walk in turn."""
    return RULE.remembered(past) is not None


def _read(case: Case, log: Log) -> tuple[Rung, ...]:
    return _ladder(case)


def distance_minutes(rung: RungText, seconds_per_km: float) -> float:
    """Running minutes of a session that goes a rung's distance, walks counted in; 0 without one.

    Source: running at the baseline's pace; walking at 5.5 km an hour, common practice, no source.
    """
    if rung.distance is None:
        return 0.0
    if rung.run is None or rung.walk.minutes <= 0:
        return rung.distance.km * seconds_per_km / 60
    turn = rung.run.minutes * 60 / seconds_per_km + rung.walk.minutes * 60 / WALK_S_PER_KM
    return rung.distance.km / turn * rung.run.minutes


def _too_hard(past: Past, most: int) -> bool:
    """True where the last week's logged efforts say that its rung is not yet easy."""
    if past.previous is None:
        return False
    first = past.previous.start
    told = (s.entry.effort for s in past.recent if s.on >= first)
    efforts = [effort for effort in told if effort is not None]
    return bool(efforts) and sum(efforts) / len(efforts) > most


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """The week's rung, and no session further than it says."""
    if draft.rung is None or draft.stop is not None:
        return draft
    if draft.walks:  # the rule that has them walk says so
        return draft.but(novice=draft.novice or RULE.values(case).rest_days > 0)
    is_run = draft.minutes > 0 or draft.kind == "return"
    if is_run and whole_minutes(draft.minutes * share_of_week(draft.runs)) < 1:
        return _walked(draft, case)
    draft = _climbed(draft, draft.rung, past, case)
    draft = draft.but(novice=draft.novice or RULE.values(case).rest_days > 0)
    most = draft.ladder[draft.rung or 0].session
    if most <= 0:
        return draft
    minutes = min(draft.minutes, most * draft.runs)
    return draft.but(longest=min(draft.longest, most), minutes=minutes)


def _walked(draft: Draft, case: Case) -> Draft:
    """Walking in the place of runs that would have less than a minute each."""
    return draft.decide(
        RULE.name,
        say("Walking this week: so few minutes are no run yet."),
        because=case.origins.at("baseline", "continuous"),
        source=SOURCE,
        before=draft.minutes,
        after=0.0,
        warns=True,  # a plan that has sunk to this is the coach's to look at
        minutes=float(WALK_MIN * draft.runs),  # by which days are chosen; none of it is run
        longest=float(WALK_MIN),
        walks=WALK_MIN,
    )


def _climbed(draft: Draft, rung: int, past: Past, case: Case) -> Draft:
    """Go up one rung in a building week, if the log and the week's minutes allow it."""
    values = RULE.values(case)
    because = case.origins.at("baseline", "continuous")
    here = draft.ladder[rung]
    stay = say(IN_TURN, run=here.run, walk=here.walk) if here.walk else say(WHOLE, run=here.run)
    before = past.previous
    # A week that began after its Monday held one or two sessions: the first whole one comes yet.
    is_first = before is None or before.start < case.client.plan.from_
    is_first = is_first or 0 <= (past.start - case.client.baseline.on).days < 7
    if draft.kind != "build" or not draft.may_grow or is_first:
        return draft.decide(RULE.name, stay, because=because, source=SOURCE)
    if rung + 1 >= len(draft.ladder):
        return draft.decide(RULE.name, stay, because=because, source=SOURCE)
    above = draft.ladder[rung + 1]
    if _too_hard(past, values.most_effort if here.effort is None else here.effort):
        return draft.decide(
            RULE.name,
            say(
                "Last week's runs felt hard, so no running stretch is over {run} min.", run=here.run
            ),
            because=because,
            source=SOURCE,
        )
    standing: Standing | None = RULE.remembered(past)
    is_same = standing is not None and standing.rung == rung
    if standing is not None and is_same and standing.sessions < values.sessions:
        return draft.decide(
            RULE.name,
            say(
                "No running stretch is over {run} min yet: {done} of {wanted} sessions of this "
                "rung are run.",
                run=here.run,
                done=standing.sessions,
                wanted=values.sessions,
            ),
            because=because,
            source=SOURCE,
        )
    room = whole_minutes(draft.minutes * share_of_week(draft.runs))
    if above.run > room:
        return draft.decide(
            RULE.name,
            say(
                "No running stretch is over {run} min yet: the week is too short for longer ones.",
                run=here.run,
            ),
            because=because,
            source=SOURCE,
        )
    says = (
        say("Up a rung: {run} min without a walk.", run=above.run)
        if above.walk == 0
        else say(UP_A_RUNG, run=above.run, walk=above.walk)
    )
    return draft.decide(
        RULE.name,
        says,
        because=because,
        source=SOURCE,
        before=here.run,
        after=above.run,
        rung=rung + 1,
    )


RULE = Rule(
    name="run_walk",
    promise=(
        "Under 30 min without a walk, runs are run and walk in turn on a ladder; up one rung a "
        "week at most, after `sessions` whole sessions on it, and only if the log of the last rung "
        "allows it. No session ends in a scrap of running."
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
