"""How much running a week may hold: the level, which rises with each week done, and a little."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from sitegen.model.case import Case, once
from sitegen.model.kinds import DURATION, percent
from sitegen.model.problem import Origin
from sitegen.model.record import row
from sitegen.model.sentence import N_, Sentence, say
from sitegen.model.values import Duration, Percent
from sitegen.rules import age
from sitegen.rules.days import offers, run_days
from sitegen.rules.draft import BACK_SHARE, Draft, Past, whole_minutes
from sitegen.rules.event import needed_week
from sitegen.rules.rule import Lived, Memory, Parameters, Rule

SOURCE = (
    "common practice, no source; the one randomised trial of a graded 10 % plan found no fewer "
    "injuries (Buist I et al., Am J Sports Med 2008;36(1):33-39)"
)
NOT_RUN = ("missed", "ill")  # what becomes of a told run that lowers no level by itself
SMALL_STEP_MIN = 10.0
SMALL_REFERENCE_MIN = 100.0
USUAL_GROWTH = 0.10
# A week of which a smaller share was run, every run of it told, is none to grow on: common
# practice, no source.
LEAST_RUN_SHARE = 2 / 3
# Nor is one of which so much more was run than was told, and by so many minutes; of running and
# walking in turn by a tenth over the whole session too, as many log its walks. Common practice, no
# source.
OVERRUN_SHARE = 1.25
OVERRUN_MIN = 10.0
WHOLE_OVER = 1.10
# Where growth ends without an event: common practice; 150 to 300 min a week of moderate activity
# is the range of the World Health Organization (Bull FC et al., Br J Sports Med 2020;54(24):
# 1451-1462).
ENOUGH_MIN = 150.0
# "Room for": rules after this one may still lower the week, and each says so.
GROWS = N_(
    "Room for {after} min of running this week, from a usual week of {before} min: at most "
    "{growth} more."
)
FIRST_STEP = N_("Room for {after} min of running this week, as a first step.")
STILL_FIRST = N_(
    "Room for {after} min of running this week: the first step stays until a whole week of it was "
    "run."
)
GROWS_SHORT = N_(
    "Room for {after} min of running this week, from a usual week of {before} min. While weeks are "
    "short a few minutes more than {growth} are allowed, at most 10."
)
FELL_SHORT = N_(
    "Room for {after} min of running: of the last building week {ran} of {told} min were run, so "
    "the plan does not grow on it."
)
SAME_RETURN = N_(
    "Room for {after} min of running, as much as the week of coming back had: the plan goes on "
    "once most of such a week is run and told."
)
WENT_OVER = N_(
    "Room for {after} min of running: in the last building week {ran} min were run where {told} "
    "were told, so the plan does not grow on it. Once runs are about as long as told, it does."
)


class VolumeParameters(Parameters):
    """How fast the week grows, and where it stops growing."""

    growth: Percent = row(
        percent(0, 30),
        "",
        "most that a building week grows over the last one done",
        default=Percent(10),
    )
    most: Duration | None = row(
        DURATION,
        "",
        "running a week at which growth ends, or the baseline where larger",
        usual="150 min, or what an event needs",
    )


class Strayed(NamedTuple):
    """Minutes run and told of a week that was told of whole, where far less or far more was run."""

    ran: float
    told: float


class Level(NamedTuple):
    """What a building week is worth for this runner, in minutes, and where that was written.

    ``strayed`` is the last building week, where clearly less or more of it was run than was told.
    ``repeats`` is what that week was worth where it was not earned, for the next one is the same.
    ``waits`` is what a week of coming back had of which too little was run and told: the next step
    waits for a week of which enough was.
    """

    minutes: float
    because: Origin | None
    strayed: Strayed | None = None
    repeats: float = float("inf")
    waits: float = float("inf")


def level(past: Past) -> float:
    """Minutes that a week is built on."""
    found: Level = RULE.remembered(past)
    return found.minutes


def waits(past: Past) -> bool:
    """Whether a week of coming back is repeated, as too little of it was run and told."""
    found: Level = RULE.remembered(past)
    return found.waits < float("inf")


def cut_from(draft: Draft, past: Past) -> float:
    """Minutes that a week is held at, or an easier or shortened one is cut from: the level.

    Who starts from nothing has none until a week is done. The first step stands for it then, where
    the week has room for it: a part of nothing would be no week.
    """
    return level(past) or min(draft.minutes, SMALL_STEP_MIN)


def of_return(draft: Draft) -> float:
    """What a held week is worth: nothing is earned by it, but that a return comes back to less
    stays so, whatever else is told in its week."""
    return draft.worth if draft.kind == "return" else 0.0


def hold_at_level(
    draft: Draft, past: Past, rule: str, says: Sentence, source: str, because: Origin | None = None
) -> Draft:
    """The week at the level at most, with no growth of any kind and earning none, by ``rule``."""
    minutes = min(draft.minutes, cut_from(draft, past))
    return draft.decide(
        rule,
        says,
        because=because,
        source=source,
        before=draft.minutes,
        after=minutes,
        minutes=minutes,
        kind="hold" if draft.kind == "build" else draft.kind,
        may_grow=False,
        worth=of_return(draft),
    )


def _start(case: Case, monday: date, number: int, before: Level | None) -> Level:
    return Level(case.client.baseline.week.minutes, case.origins.at("baseline", "week"))


def _after(before: Level, lived: Lived) -> Level:
    """A week whose runs are all done raises the level to what it was worth; a miss repeats it.

    So does a week whose runs were all told of and much shorter or longer than planned: telling of
    them costs what silence does, and no more. Only a step back after pain and a return lower
    it, a return also where nothing was heard of it: more than its dose is for who has run that.
    A return that is repeated counts as one.
    The last step of a way back raises it to what was run of it, where the baseline was less.
    Where days or limits left no room for all that a week was worth, it is worth what was placed.
    Nor is it worth more than the one that it repeats: who leaves out each Sunday and tells of it on
    Monday was told on Sunday evening of more, as that run might still be done.
    """
    minutes, because, strayed, repeats, waits = before
    week, training = lived.week, lived.training
    if not week.by_coach and week.worth > 0 and lived.runs:
        worth = min(week.worth, repeats)
        is_build, is_return = week.kind == "build", week.began == "return"
        is_repeated = is_build and before.waits < float("inf")
        is_back = is_return or is_repeated
        if is_build:
            strayed = _strayed(lived)
            repeats = worth
        if is_build and lived.all_done and strayed is None:
            is_whole = training >= whole_minutes(worth) - len(lived.runs)
            earned = worth if is_whole else min(worth, training)
            repeats = float("inf")
            # Whole minutes, as they are shown, but where rounding would keep it from growing.
            earned = float(whole_minutes(earned)) if earned - minutes >= 1 else earned
            minutes = max(min(minutes, worth) if is_repeated else minutes, earned)
            ran = next((s for s in lived.logged if s.is_run), None)
            because = ran.origin if ran and minutes > before.minutes else because
        elif (is_back or week.began == "back") and _may_be_run(lived):
            is_done = lived.all_done and _strayed(lived) is None
            # A way back that was gone to its last dose is what there is to build on, also for who
            # brought no running; an absence comes back to a part of the level, and raises none.
            least = min(week.worth, training) if is_done else 0.0
            minutes = max(min(minutes, week.worth), least)
        if is_build or is_return:
            # What the guard cut far below its dose it cuts again, and says so.
            dose = training if training >= week.worth / 2 else week.worth
            waits = _waits(lived, min(waits, dose) if is_back else waits)
    if lived.backs:
        minutes = min(before.minutes, minutes) * BACK_SHARE**lived.backs
        because = lived.back_because or because
    return Level(minutes, because, strayed, repeats, waits)


def _may_be_run(lived: Lived) -> bool:
    """Whether a week was run as far as is known: one of which nothing but runs left out was told
    was not, as `absence` has it. Each of such weeks would else be a part of the one before."""
    return lived.any_done or not any(run.fate in NOT_RUN for run in lived.runs)


def _waits(lived: Lived, minutes: float) -> float:
    """What the next week has at most: ``minutes``, until enough of a week was run and told, all of
    it but one run at least. Of who tells of nothing by agreement no word is waited for."""
    told = sum(run.minutes for run in lived.runs)
    left = sum(run.fate not in ("done", "ahead") for run in lived.runs)
    is_run = lived.ran_minutes >= LEAST_RUN_SHARE * told or left == 1 < len(lived.runs)
    return float("inf") if is_run or lived.case.client.checkins == "none" else minutes


def _strayed(lived: Lived) -> Strayed | None:
    """What was run of a week, counted up to what was told, where that is clearly too little; or all
    of its runs, where they were clearly too long."""
    if not lived.all_done:
        return None
    ran, told = lived.ran_minutes, sum(run.minutes for run in lived.runs)
    if ran < LEAST_RUN_SHARE * told:
        return Strayed(ran, told)
    least = _ran_at_least(lived)
    whole = sum(s.total_minutes for s in lived.week.sessions if s.is_run and s.run_minutes > 0)
    turns = any(s.kind == "run_walk" for s in lived.week.sessions)
    is_over = least >= max(OVERRUN_SHARE * told, told + OVERRUN_MIN)
    if not is_over or (turns and least <= WHOLE_OVER * whole):
        return None
    return Strayed(sum(run.ran + run.beside for run in lived.runs), told)


def _ran_at_least(lived: Lived) -> float:
    """Minutes of a week's told runs, each with the shortest run that may stand for it.

    So a run kept quiet, of a day off too, never makes a week look more like the one that was told:
    what any part of the log says of it is as much or leaves a run unheard of.
    """
    ran = [(s.on, s.minutes) for s in lived.logged if s.is_run]
    total = 0.0
    for run in lived.runs:
        near = (minutes for on, minutes in ran if abs((on - run.on).days) <= 1)
        total += min((run.ran if run.fate == "done" else run.minutes, *near))
    return total


def _opens(draft: Draft, past: Past, case: Case) -> Draft:
    return draft.but(minutes=level(past))


def limit(reference: float, growth: float) -> float:
    """The most minutes that a building week may hold.

    ``growth`` over ``reference``, or 10 minutes over it where that is more and the reference is
    under 100 minutes. No growth at all where the coach wrote 0 %.
    """
    if growth <= 0:
        return reference
    if reference < SMALL_REFERENCE_MIN:
        return max(reference * (1 + growth), reference + SMALL_STEP_MIN)
    return reference * (1 + growth)


def wanted(reference: float, growth: float) -> float:
    """What a building week aims at, never over `limit`.

    The 10-minute step of small weeks shrinks where the coach wrote less than 10 %, but the first
    one from nothing, of which three runs would be a minute or two each.
    """
    is_first = reference < 1 and growth > 0
    step = SMALL_STEP_MIN * (1.0 if is_first else min(1.0, growth / USUAL_GROWTH))
    aim = max(reference * (1 + growth), reference + step)
    return min(aim, limit(reference, growth))


@once
def most(case: Case) -> float:
    """Minutes a week at which growth ends: the file's, else what an event needs, else 150.

    Never under the baseline.
    """
    written: Duration | None = RULE.values(case).most
    enough = ENOUGH_MIN
    if written is not None:
        enough = written.minutes
    elif case.client.goal.event is not None:
        runs = len(run_days(offers(case)))
        enough = needed_week(case, min(runs, case.client.plan.runs or runs)) or ENOUGH_MIN
    return max(enough, case.client.baseline.week.minutes)


def growth_of(case: Case, on: date) -> Percent:
    """The most that a week grows: what was written for the client, else what age asks for, or less
    where the practice writes less for all; else the default."""
    found: Percent = RULE.values(case).growth
    by_age = age.growth(case, on)
    if by_age is None:
        return found
    if case.client.plan.growth is not None or _writes_growth(case.client.rules.get(RULE.name)):
        return found
    of_all = _writes_growth(case.practice.rules.get(RULE.name))
    return min(found, by_age, key=lambda one: one.fraction) if of_all else by_age


def _writes_growth(values: object) -> bool:
    return isinstance(values, dict) and "growth" in values


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Set the week's minutes from the level."""
    if draft.stop is not None:
        return draft
    if draft.start < case.client.plan.from_:
        return _part_week(draft, past, case)
    most_growth = growth_of(case, draft.start)
    growth = most_growth.fraction
    before, logged_at, strayed, _, waits = RULE.remembered(past)
    is_waiting = waits < float("inf")
    aim = min(before, waits) if is_waiting else wanted(before, growth)
    ceiling = max(most(case), before)  # growth ends there; what was reached is not taken back
    worth = max(min(aim, ceiling), 0.0)
    minutes = float(whole_minutes(min(worth, waits)))
    because = case.setting_origin(RULE.name, "growth", "plan", "growth")
    if minutes <= 0:
        says = say("Nothing can be planned: growth of 0 % on a week of 0 min stays at 0 min.")
    elif is_waiting:
        says = say(SAME_RETURN, after=minutes)
    elif strayed is not None and before < ceiling:
        ran, told = map(round, strayed)
        says = say(FELL_SHORT if ran < told else WENT_OVER, after=minutes, ran=ran, told=told)
    elif before < 1:
        says = say(STILL_FIRST if past.previous else FIRST_STEP, after=minutes)
    elif minutes > before:
        is_small_step = minutes > before * (1 + growth)
        says = say(
            GROWS_SHORT if is_small_step else GROWS,
            before=round(before),
            after=minutes,
            growth=str(most_growth),
        )
    elif aim > ceiling:
        says = say(
            "Room for {after} min of running: the week has grown to its full size.", after=minutes
        )
    else:
        says = say("Room for {after} min of running, as much as before.", after=minutes)
    return draft.decide(
        RULE.name,
        says,
        because=because or logged_at,
        source=SOURCE,
        before=before,
        after=minutes,
        warns=minutes <= 0,
        minutes=minutes,
        worth=worth,
    )


def _part_week(draft: Draft, past: Past, case: Case) -> Draft:
    """A first week that begins after its Monday: its part of the baseline, and no growth."""
    offered = [day for day, offer in enumerate(offers(case, draft.start)) if offer.run]
    begun = (case.client.plan.from_ - draft.start).days
    left = sum(1 for day in offered if day >= begun)
    whole = level(past)
    if whole <= 0 and growth_of(case, draft.start).fraction > 0:
        whole = SMALL_STEP_MIN  # who starts from nothing: a part of the first step
    minutes = float(whole_minutes(whole * left / max(len(offered), 1)))
    return draft.decide(
        RULE.name,
        say("The plan begins during this week, so the week is shorter and does not grow yet."),
        because=case.origins.at("plan", "from"),
        source=SOURCE,
        before=whole,
        after=minutes,
        minutes=minutes,
        kind="hold",
        may_grow=False,
    )


RULE = Rule(
    name="volume",
    promise=(
        "A building week is at most `growth` above the level, or 10 min where that is more and the "
        "level is under 100 min; from nothing the first week has 10 min. The level rises to what a "
        "week was worth once all its runs are done; a run that was missed, or of which nothing was "
        "heard, repeats the week and lowers nothing, and so does a week of which under two thirds "
        "of the told minutes were run, or a quarter and 10 min more than told, in the told runs "
        "alone. A return of which under two thirds was run and told, and more than one run left "
        "out, is repeated until a week was run. Growth ends at `most`; where nobody says, at 150 "
        "min a week, with an event at a week in which its longest run has its usual share, with "
        "two runs 60 % (at most 5 h, or twice that run), and never under the baseline."
    ),
    reason="Tissue adapts over months; the dose grows slowly.",
    source=SOURCE,
    evidence="judgement",
    apply=apply,
    parameters=VolumeParameters,
    client_fields={"growth": ("plan", "growth"), "most": ("plan", "enough")},
    audience="coach",
    opens=_opens,
    memory=Memory(_start, _after),
    review="Of two building weeks in a row, compare the minutes; an ease week counts for nothing.",
)
