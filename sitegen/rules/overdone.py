"""Runs that were more than what was told: felt far harder, or went on far longer."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta
from typing import Literal, NamedTuple

from sitegen.model.alarm import short_day
from sitegen.model.case import Case
from sitegen.model.plan import Session
from sitegen.model.problem import Origin
from sitegen.model.sentence import N_, say
from sitegen.rules.draft import Draft, Past
from sitegen.rules.log import Logged
from sitegen.rules.rule import Lived, Memory, Rule
from sitegen.rules.volume import WHOLE_OVER, hold_at_level

SOURCE = "common practice, no source"
EFFORT_OVER = 3  # over the top of what was told, on the 0-10 scale
IN_A_ROW = 2
DAY = timedelta(days=1)
MINUTES_OVER = 15.0
SHARE_OVER = 1.5
# Of a short run 15 min more are never reached, and twice as much is no slip of the watch.
FEW_MINUTES_OVER = 5.0
TWICE_OVER = 2.0
WEEK_SHARE_OVER = 1.25
WEEK_MINUTES_OVER = 30.0

FELT_HARD = N_(
    "Your last two easy runs felt much harder than easy, so nothing grows until one feels easy "
    "again. Slower is right; walking is fine."
)


class Over(NamedTuple):
    """One finding about a run of the day ``on``: ``was`` against what was ``told``.

    ``in_a_row`` counts easy runs that felt far harder, up to and with this one.
    """

    how: Literal["effort", "minutes", "week"]
    on: date
    told: float
    was: float
    because: Origin
    in_a_row: int = 1


def _by_told_day(told: Sequence[Session], logged: Sequence[Logged]) -> dict[date, list[Logged]]:
    """Runs of the log by the day of the told run that they stand for.

    That is their own; of a day with nothing told the day after it, else the one before, where
    nothing was logged on it: a run is done within a day, as `sitegen.rules.told` has it.
    """
    planned = {session.on for session in told if session.is_run}
    runs = [run for run in logged if run.is_run]
    taken = {run.on for run in runs} & planned
    found: dict[date, list[Logged]] = {}
    moved: dict[date, date] = {}
    for run in sorted(runs, key=lambda run: run.on):
        for day in (run.on, run.on + DAY, run.on - DAY):
            is_free = day == run.on or moved.get(run.on) == day or day not in taken
            if day in planned and is_free:
                moved[run.on] = day
                taken.add(day)
                found.setdefault(day, []).append(run)
                break
    return found


def _pairs(
    told: Sequence[Session], ran: Mapping[date, list[Logged]]
) -> Iterator[tuple[Session, Logged]]:
    """Each run that was logged of a told one, with it; several of a day in their order."""
    planned: dict[date, list[Session]] = {}
    for session in told:
        if session.is_run:
            planned.setdefault(session.on, []).append(session)
    for day in sorted(ran):
        yield from zip(planned[day], ran[day], strict=False)


class Felt(NamedTuple):
    """How many easy runs in a row felt far harder than told, up to and with this one."""

    in_a_row: int
    run: Logged
    told: int


def felt(told: Sequence[Session], logged: Sequence[Logged], before: int = 0) -> list[Felt]:
    """Each easy run whose effort was logged.

    Args:
        told: The sessions that a client was told.
        logged: What was logged of those days.
        before: How many in a row came before.
    """
    return _felt(told, _by_told_day(told, logged), before)


def _felt(told: Sequence[Session], ran: Mapping[date, list[Logged]], before: int = 0) -> list[Felt]:
    found: list[Felt] = []
    for session, run in _pairs(told, ran):
        effort = run.entry.effort
        if effort is None or session.hard or session.kind == "event":
            continue
        before = before + 1 if effort >= session.effort_high + EFFORT_OVER else 0
        found.append(Felt(before, run, session.effort_high))
    return found


def over(told: Sequence[Session], logged: Sequence[Logged]) -> Iterator[Over]:
    """Every finding: twice or more in a row far harder and none easy since, or half as long again
    and 15 min over, or twice as long and 5 min over.

    All runs of a day are set beside the running that was told of it, or of the day beside it. Many
    a client logs a session of running and walking as a whole: up to its length, and a tenth,
    nothing is found.
    """
    ran = _by_told_day(told, logged)
    for one in _felt(told, ran)[-1:]:
        if one.in_a_row >= IN_A_ROW:
            was = one.run.entry.effort or 0
            yield Over("effort", one.run.on, one.told, was, one.run.origin, one.in_a_row)
    planned: dict[date, float] = {}
    whole: dict[date, float] = {}
    for session in (s for s in told if s.is_run and s.on in ran):
        minutes = session.run_minutes
        planned[session.on] = planned.get(session.on, 0.0) + minutes
        longest = session.total_minutes if session.kind == "run_walk" else minutes
        whole[session.on] = whole.get(session.on, 0.0) + longest
    for day, runs in sorted(ran.items()):
        minutes, total, last = planned[day], sum(run.minutes for run in runs), runs[-1]
        is_long = total >= minutes * SHARE_OVER and total >= minutes + MINUTES_OVER
        is_twice = total >= minutes * TWICE_OVER and total >= minutes + FEW_MINUTES_OVER
        if (is_long or is_twice) and total > whole[day] * WHOLE_OVER:
            yield Over("minutes", last.on, minutes, total, last.origin)


def over_week(told: Sequence[Session], logged: Sequence[Logged]) -> Over | None:
    """That a week held a quarter more than was told, and 30 min more: in runs that nobody told of
    too, or in each run a little.

    Args:
        told: The sessions of one week.
        logged: What was logged in it.
    """
    minutes, most, total = 0.0, 0.0, 0.0
    for session in (session for session in told if session.is_run):
        minutes += session.run_minutes
        is_whole = session.kind == "run_walk"
        most += session.total_minutes * WHOLE_OVER if is_whole else session.run_minutes
    last = None
    for run in (run for run in logged if run.is_run):
        total += run.minutes
        last = run
    is_over = total >= minutes * WEEK_SHARE_OVER and total >= minutes + WEEK_MINUTES_OVER
    if last is None or not minutes or not is_over or total <= most:
        return None
    return Over("week", last.on, minutes, total, last.origin)


def over_words(one: Over) -> str:
    """What the coach reads of it."""
    if one.how == "effort":
        return (
            f"{one.in_a_row} easy runs in a row felt {EFFORT_OVER} or more harder than told, the "
            f"last on {short_day(one.on)}: effort {one.was:.0f}"
        )
    told = f"{one.told:.0f} min of running were told"
    if one.how == "week":
        return f"ran {one.was:.0f} min in the week up to {short_day(one.on)}, where {told}"
    return f"ran {one.was:.0f} min on {short_day(one.on)}, where {told}"


def _start(case: Case, monday: date, number: int, before: int | None) -> int:
    return before or 0


def _after(before: int, lived: Lived) -> int:
    efforts = [run.entry.effort for run in lived.logged if run.entry.effort is not None]
    easiest = min((s.effort_high for s in lived.week.sessions), default=0)
    if not efforts or (before == 0 and max(efforts) < easiest + EFFORT_OVER):
        return before  # nothing felt far harder
    found = felt(lived.week.sessions, lived.logged, before)
    return found[-1].in_a_row if found else before


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Let nothing grow while easy runs do not feel easy."""
    if draft.stop is not None or RULE.remembered(past) < IN_A_ROW:
        return draft
    felt_on = {run.on: n for n, run in enumerate(case.log) if run.effort and run.on < past.start}
    because = case.log_origins.value(felt_on[max(felt_on)]) if felt_on else None
    return hold_at_level(draft, past, RULE.name, say(FELT_HARD), SOURCE, because)


RULE = Rule(
    name="overdone",
    promise=(
        "Effort of three or more over what was told, on two easy runs in a row: the next week "
        "holds, until an easy run feels easy, and the coach reads a notice. A run of half as long "
        "again and 15 min over the running that was told, or of twice as long and 5 min over: a "
        "notice; of run and walk in turn only over the whole session and a tenth, as many log its "
        "walks too. A week of a quarter more and 30 min over, in runs of which none is that much: "
        "a notice."
    ),
    reason="An easy run that feels hard is hard, whatever the plan calls it.",
    source=SOURCE,
    evidence="judgement",
    apply=apply,
    needs=("volume",),
    memory=Memory(_start, _after),
    review="Set the efforts of easy runs beside 2 to 3; after two of 6 and over a week holds.",
)
