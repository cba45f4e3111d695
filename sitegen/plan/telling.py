"""What a coach is told of a plan when she checks: one warning a client and matter.

A matter that fills many weeks is told once, with the weeks that it is about. Weeks that are over
ask for nothing any more and are left out. The coach's own changes are told one by one and
wherever they stand, since a slip in the date of one would go unseen otherwise.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta
from itertools import combinations, groupby

from sitegen.model.case import Case
from sitegen.model.client import DAYS
from sitegen.model.plan import Decision, Session, Week
from sitegen.model.problem import Origin, Problem
from sitegen.plan import habit
from sitegen.plan.drafting import CROWDED, LITTLE_HARD, NO_HARD, ONE_RUN
from sitegen.plan.more_runs import most_in_a_week, one_run_more
from sitegen.plan.running_days import NO_RUN_ON
from sitegen.plan.sharing import HELD, RUNS_WITH_LONGEST
from sitegen.plan.unheeded import unheeded
from sitegen.plan.week_names import enumerated, weeks_named
from sitegen.rules import hard, silence
from sitegen.rules.days import UNLIMITED, Offer, monday_of, neighbours, offers, week_days
from sitegen.rules.log import Log

WEEK = timedelta(days=7)
STILL_WEEKS = 6  # building weeks of the same minutes that are told; common practice, no source
UNHEARD_WEEKS = 2  # silent weeks in a row that a coach is told of; common practice, no source
FULL_WITHIN_MIN = 2  # a session that leaves this much of its day's limit, or less, fills it
FEWEST_OF_TWO_HARD = 4  # runs of a week that has days for two hard ones
OWN = "changes"  # the rule that carries the coach's own changes out

HINTS: Mapping[str, str] = {
    "absence": "write a new baseline, with the day on which it was taken",
    "after_stop": "once a clinician has cleared hard running, write cleared_on, cleared_by and "
    "cleared_for: all under screening; was the sign not meant, false_alarm: yes beside its lift",
    "longest": "write the up_to that you mean for the long day",
    "volume": "write a growth over 0 %, or a baseline with running in its week",
}
HINTS_OF: Mapping[str, str] = {
    CROWDED: "offer running days with a day between them",
    NO_HARD: "offer a day for a run with a day between it and the long run, or one for strength "
    "alone; or leave hard out",
}


def plan_warnings(
    case: Case, log: Log, weeks: Sequence[Week], standing: Sequence[Decision]
) -> list[Problem]:
    """All warnings of a plan but that of the event's reach.

    ``standing`` are the decisions for which nothing is planned today: they are told first, and
    the weeks that they empty are not told again.
    """
    return [
        *_standing(case, standing),
        *([] if standing or case.client.unasked else _unheard(case, log, weeks)),
        *([] if standing else habit.asks(case, log, weeks)),
        *_of_weeks(case, weeks, log, standing),
        *([] if standing else _still(case, weeks, log)),
        *([] if standing else unheeded(case, weeks, log.as_of)),
    ]


def _standing(case: Case, standing: Sequence[Decision]) -> Iterator[Problem]:
    """Why nothing is planned today: that must not be overlooked."""
    goes = "the plan has ended, so its page goes, which showed this; tell the client yourself"
    shows = goes if case.client.status == "ended" else "the portal shows this, and no session"
    for decision in standing:
        if decision.warns:
            yield _warning(
                decision.because or case.origins.at("plan"),
                str(decision.says),
                shows,
                f"stopped-{decision.rule}",
            )


def _unheard(case: Case, log: Log, weeks: Sequence[Week]) -> Iterator[Problem]:
    """That nobody knows what was run in the last weeks: the plan waits, and must not seem sure."""
    count = 0
    for week in reversed(weeks):
        if week.start > log.as_of:
            continue
        if log.between(week.start, week.start + WEEK):
            break  # a word in the week under way, too: it is asked for no more
        if week.start + WEEK <= log.as_of and week.sessions:
            count += 1
    if count >= UNHEARD_WEEKS:
        yield _warning(
            case.origins.at("plan"),
            f"no check-in came in the last {count} weeks of the plan: what was run is not known, "
            "and the weeks ahead assume that each is run as planned",
            "ask before the next run; after weeks without running write a new baseline",
            "unheard",
        )


def _of_weeks(
    case: Case, weeks: Sequence[Week], log: Log, standing: Sequence[Decision]
) -> Iterator[Problem]:
    """Decisions of the weeks that a coach should hear of, those of one matter together."""
    stopped = {(d.rule, d.because) for d in standing}
    matters: dict[tuple[str, Origin, str], list[tuple[Week, Decision]]] = {}
    for week in weeks:
        is_over = week.start + WEEK <= log.as_of
        is_heard = bool(log.between(week.start, log.as_of + timedelta(days=1)))
        for decision in week.decisions:
            is_own = decision.rule == OWN
            is_told = (decision.rule, decision.because) in stopped or (is_over and not is_own)
            is_answered = decision.rule == silence.RULE.name and is_heard
            if not decision.warns or is_told or is_answered:
                continue
            if decision.says.template == HELD and not week.run_minutes and week.kind != "build":
                continue  # where nobody is to run, days and limits are not what holds it
            origin = decision.because or case.origins.at("plan")
            words = str(decision.says) if is_own else decision.says.template
            matters.setdefault((decision.rule, origin, words), []).append((week, decision))
    for (rule, origin, words), found in matters.items():
        says, hint = _words(case, words, found)
        hint = hint or HINTS.get(rule, "")
        yield _warning(origin, says.removesuffix(".") if hint else says, hint, f"plan-{rule}")


def _still(case: Case, weeks: Sequence[Week], log: Log) -> Iterator[Problem]:
    """That days hold a plan where it is for weeks, by so little each week that none tells it."""
    ahead = [week for week in weeks if week.kind == "build" and week.start > log.as_of]
    alike = [list(found) for _, found in groupby(ahead, key=lambda week: round(week.run_minutes))]
    for found in alike:
        last = found[-1]
        is_held = last.worth > last.run_minutes + last.runs  # by more than whole minutes come to
        is_told = any(d.warns and d.says.template == HELD for w in found for d in w.decisions)
        if len(found) < STILL_WEEKS or not is_held or is_told:
            continue
        yield _warning(
            case.origins.at("week"),
            f"{weeks_named(week.number for week in found)} stand still at {last.run_minutes:.0f} "
            f"min, where the plan would grow to {last.worth:.0f}: days and limits leave no room",
            _room(case, found, last.worth),
            "plan-spacing",
        )


def _words(case: Case, words: str, found: Sequence[tuple[Week, Decision]]) -> tuple[str, str]:
    """One matter in the coach's words, and what to write instead."""
    when = weeks_named(week.number for week, _ in found)
    if words == HELD:
        most = max(decision.before or 0 for _, decision in found)
        return _held(when, found), _room(case, [week for week, _ in found], most)
    hint = HINTS_OF.get(words, "")
    if words == ONE_RUN:
        more = one_run_more(case, [week for week, _ in found])
        hint = f"{more}, or leave hard out" if more else "leave hard out"
    if words == LITTLE_HARD:
        hint = _harder(case, [week for week, _ in found])
    if words == NO_RUN_ON:
        hint = f"write a larger up_to for {found[0][1].says.values['day']}, or leave it"
    return f"{when}: {found[0][1].says}", hint


def _held(when: str, found: Sequence[tuple[Week, Decision]]) -> str:
    """Weeks whose minutes do not fit, and the one in which least of them do."""
    tightest, least = min(found, key=lambda one: (one[1].after or 0) / (one[1].before or 1))
    fits = f"{least.after:.0f} of {least.before:.0f} min fit"
    one = len(found) == 1
    where = "" if one else f" in week {tightest.number}, the tightest"
    hold = "holds" if one else "hold"
    return (
        f"{when} {hold} less running than the plan asks for, as the days and limits leave no "
        f"room: {fits}{where}"
    )


def _room(case: Case, weeks: Sequence[Week], wanted: float) -> str:
    """What would make room for ``wanted`` minutes a week, out of what these weeks lack."""
    filled = [day for week in weeks for day in _day_by_day(week) if _is_filled(case, day)]
    full = sorted({day[0].on.weekday() for day in filled})
    can = [f"write a larger up_to for {enumerated([DAYS[day] for day in full])}"] if full else []
    long = week_days(case, weeks[0].start).long
    days = offers(case, weeks[0].start)
    is_longest = most_in_a_week(weeks) >= RUNS_WITH_LONGEST
    if is_longest and long and DAYS.index(long) in full and _has_more_elsewhere(days, long):
        can.append("write another day under long")
    if any(not session.is_run for day in filled for session in day):
        can.append("offer a day for strength alone")
    if more := one_run_more(case, weeks):
        can.append(more)
    held = min(week.run_minutes for week in weeks)
    if held >= case.client.baseline.week.minutes < wanted:  # else the week was never to grow
        can.append("write a smaller growth")
    return f"{', or '.join([*can, 'leave it'])}: each week holds what fits"


def _has_more_elsewhere(days: Sequence[Offer], day: str) -> bool:
    """Whether another day is offered for a longer run."""
    return any(offer.run and offer.minutes > days[DAYS.index(day)].minutes for offer in days)


def _harder(case: Case, weeks: Sequence[Week]) -> str:
    """What would make room for the hard running that was asked for."""
    days = [day for week in weeks for day in _day_by_day(week)]
    can = []
    asked = hard.RULE.values(case).per_week
    if asked == 1 and most_in_a_week(weeks) >= FEWEST_OF_TWO_HARD:
        can.append("write hard: {per_week: 2}")
    if asked > 1 and any(_keeps_off_hard(week, asked) for week in weeks):
        can.append("offer strength on a day before none of the hard runs")
    if any(session.hard for day in days if _is_filled(case, day) for session in day):
        can.append("offer longer days apart from the long run")
    if any(day[0].is_run and not day[-1].is_run for day in days):
        can.append("offer a day for strength alone")
    return ", or ".join([*can, "write the share that you mean, like rules: {hard: {share: 10 %}}"])


def _keeps_off_hard(week: Week, asked: int) -> bool:
    """Whether strength stands where as many hard runs as were asked for would else find days."""
    if all(session.is_run for session in week.sessions):
        return False
    long = [s.on.weekday() for s in week.sessions if s.kind == "long"]
    runs = (s.on.weekday() for s in week.sessions if s.is_run and s.kind != "long")
    found = sum(session.hard for session in week.sessions)
    return found < asked and any(
        neighbours((*days, *long)) == 0 for days in combinations(runs, asked)
    )


def _day_by_day(week: Week) -> list[list[Session]]:
    """The sessions of each day, in their order."""
    return [list(of_day) for _, of_day in groupby(week.sessions, key=lambda session: session.on)]


def _is_filled(case: Case, of_day: Sequence[Session]) -> bool:
    """Whether a day's sessions, a run among them, leave nothing of what it offers."""
    limit = _limit(case, of_day[0].on)
    total = sum(session.total_minutes for session in of_day)
    has_run = any(session.is_run for session in of_day)
    return limit < UNLIMITED and has_run and total >= limit - FULL_WITHIN_MIN


def _limit(case: Case, day: date) -> int:
    return offers(case, monday_of(day))[day.weekday()].minutes


def _warning(origin: Origin, says: str, hint: str, code: str) -> Problem:
    return Problem(origin, says, hint, code, "warning")
