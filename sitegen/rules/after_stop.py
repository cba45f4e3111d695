"""After a stop by a sign: the dose of a return first, and nothing hard before a clinician says so.

That somebody saw the client ends the stop; it does not make the days since one more week of
building. A lift that says `false_alarm: yes` leaves nothing to come back from.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import NamedTuple

from sitegen.care import sentences
from sitegen.model.case import Case
from sitegen.model.problem import Origin
from sitegen.model.sentence import say
from sitegen.rules import absence, guard, hard, screening, signs
from sitegen.rules.draft import Draft, Past, whole_minutes
from sitegen.rules.lifts import cleared_for_all_after, is_false_alarm
from sitegen.rules.log import Log
from sitegen.rules.rule import Morning, Rule
from sitegen.rules.signs import ToldSign
from sitegen.rules.volume import cut_from, level

SOURCE = "common practice, no source"
# The days without a run that a stop counts as at the least: those of the mildest return.
LEAST_DAYS_AWAY = absence.RETURN_SHARES[-1][0]
DAY = timedelta(days=1)
WEEK = timedelta(days=7)


class Ran(NamedTuple):
    """Minutes run within seven days, and the share of a week that is left of such days since."""

    share: float
    minutes: float


class Ended(NamedTuple):
    """A stop by a sign that was known from ``since`` and freed on ``until``.

    ``share`` is what is come back to of the level, ``ran`` the most that was run, by what is left
    of it. Nothing is hard until the day ``hard_from``: None where no clinician has cleared that
    yet.
    """

    since: date
    until: date
    share: float
    ran: tuple[Ran, ...]
    hard_from: date | None
    because: Origin


class DoseKnown(NamedTuple):
    """What is known on a morning: the share that is come back to, of what was run, and whether
    nothing is hard."""

    share: float | None
    ran: tuple[Ran, ...]
    bars_hard: bool
    because: Origin


def _read(case: Case, log: Log) -> tuple[Ended, ...]:
    return tuple(_ended(case, log))


def _ended(case: Case, log: Log) -> Iterator[Ended]:
    for one, until in signs.read(log):
        if until is None or not _stopped(case, one, until):
            continue
        ran = log.last_run_before(until)
        away = (until - (ran or one.since)).days
        share = absence.share(max(away, LEAST_DAYS_AWAY))
        yield Ended(
            one.since, until, share, _ran(case, log, until), _hard_from(case, one), one.origin
        )


def _hard_from(case: Case, one: ToldSign) -> date | None:
    """The day from which something hard may stand after a sign; None where nobody cleared it."""
    return cleared_for_all_after(case, max(one.on, one.since)) if one.kind == "now" else one.since


def quick_allowed(case: Case, as_of: date, day: date) -> bool:
    """False where a clinician has to clear what is hard, by the screening or after a sign."""
    told = signs.signs_told(case, as_of)
    froms = [
        _hard_from(case, one) for one in told if _stopped(case, one, signs.freed_on(case, one))
    ]
    return screening.hard_allowed(case, day) and all(on is not None and on <= day for on in froms)


def _stopped(case: Case, one: ToldSign, until: date | None) -> bool:
    """False for what was freed on its own day: it was not the client's, and stopped nobody."""
    return (until is None or until > one.since) and not is_false_alarm(case, one.sign, one.on)


def _ran(case: Case, log: Log, until: date) -> tuple[Ran, ...]:
    """The most that was run within seven days, for each share of it that is left on ``until``.

    A baseline is seven days of who ran until the plan began. Of who tells of nothing by agreement
    nothing is known.
    """
    client = case.client
    if client.checkins == "none":
        return ()
    eve = max(client.plan.from_ - DAY, client.baseline.on)
    weeks = [(eve, client.baseline.week.minutes)]
    for run in log.runs_between(until - absence.NEW_BASELINE_DAYS * DAY, until):
        seven = log.runs_between(run.on - WEEK + DAY, run.on + DAY)
        weeks.append((run.on, sum(one.minutes for one in seven)))
    most: dict[float, float] = {}
    for on, minutes in weeks:
        share = absence.share(max((until - on).days, LEAST_DAYS_AWAY))
        most[share] = max(most.get(share, 0.0), minutes)
    return tuple(Ran(*one) for one in most.items())


def _knows(log: Log, morning: Morning) -> DoseKnown | None:
    """The dose holds for the rest of the week in which a stop ends, and the first whole one."""
    day, monday = morning.day, morning.week_start
    found: tuple[Ended, ...] = log.read[RULE.name]
    over = [one for one in found if one.since < day and one.until <= day]
    back = [one for one in over if one.until > monday - WEEK]
    barred = [one for one in over if one.hard_from is None or one.hard_from > day]
    if not back and not barred:
        return None
    share = min((one.share for one in back), default=None)
    ran = max(back, key=lambda one: one.until).ran if back else ()
    return DoseKnown(share, ran, bool(barred), (barred or back)[-1].because)


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Come back at a part of the level; say that nothing is hard where something would be."""
    known = past.condition.known[RULE.name]
    if draft.stop is not None or past.stop is not None or not isinstance(known, DoseKnown):
        return draft
    if known.bars_hard:
        draft = draft.but(bars_hard=True)
        if hard.is_asked_for(case) or case.client.goal.event is not None:
            says = say(sentences.LINE_NOT_HARD_YET)
            draft = draft.decide(RULE.name, says, because=known.because, source=SOURCE, warns=True)
    return draft if known.share is None else _coming_back(draft, past, known, known.share)


def _coming_back(draft: Draft, past: Past, known: DoseKnown, share: float) -> Draft:
    whole = _stood(draft, past)
    # Who starts from nothing has no level yet, and the first step is the way back.
    dose = _dose(whole, share, known.ran)
    minutes = min(draft.minutes, whole_minutes(dose) if whole else cut_from(draft, past))
    longest = past.longest_before(past.start) * share or draft.longest
    return draft.decide(
        RULE.name,
        say(sentences.LINE_AFTER_STOP, share=round(share * 100)),
        because=known.because,
        source=SOURCE,
        before=draft.minutes,
        after=float(minutes),
        minutes=float(minutes),
        longest=min(draft.longest, longest),
        kind="back" if draft.kind == "back" else "return",
        may_grow=False,
        worth=min(draft.worth, dose) if draft.kind == "return" else dose,
    )


def _dose(whole: float, share: float, ran: tuple[Ran, ...]) -> float:
    """The part of ``whole`` that is come back to: of half as much again as was run at the most.

    Weeks of a run or two, as around an illness before the stop, are nearly days without one: three
    of 65, 33 and 0 min were followed by 160 of 200. Each counts by how long ago it was.
    """
    most = max((part * min(whole, guard.MOST_OVER * run) for part, run in ran), default=whole)
    return min(whole * share, max(most, share * min(whole, guard.LEAST_MIN)))


def _stood(draft: Draft, past: Past) -> float:
    """Minutes of which the return is a part: what stood there, and no more than was really run.

    That is the level, or the easier week where this is one, and at most the fullest of the last
    weeks that were heard of, by what is known to be run: after a stop the smaller dose is right
    where nobody knows. As for `guard`, no less than its least week: a part of nothing is no week.
    """
    eased = [d.after for d in draft.decisions if d.rule == "ease" and d.after is not None]
    known = max((week.known for week in guard.RULE.remembered(past)), default=level(past))
    return min(level(past), max(known, guard.LEAST_MIN), *eased)


def longest_since(past: Past) -> float | None:
    """The longest run since the last stop that there is to come back from, in minutes, or None."""
    found: tuple[Ended, ...] = past.read[RULE.name]
    over = [one.until for one in found if one.until <= past.start]
    if not over:
        return None
    return max((run.minutes for run in past.runs if run.on >= max(over)), default=0.0)


RULE = Rule(
    name="after_stop",
    promise=(
        "In the week in which a stop by a sign is lifted or cleared, and in the first whole one "
        "after it: 80 % at most of the level, of an easier week where it is one, and of the "
        "fullest week known to be run of the last four (a run of which nothing was heard is none "
        "here, though it keeps the level; that week counts as 30 min at the least); less by the "
        "days without a run as after an absence, also by those on which hardly any was run: a part "
        "of half as much again as was run in any seven days, by how long ago; nothing hard, "
        "nothing that grows. Weeks then go on from that, also where nothing was heard of it. After "
        "a sign of *now* nothing is hard until a clinician's clearance for all that is dated after "
        "it (`cleared_for: all`). A lift with `false_alarm: yes` asks for neither."
    ),
    reason="That somebody looked ends a stop; it makes nobody fitter than before it.",
    source=SOURCE,
    evidence="judgement",
    apply=apply,
    needs=("volume", "ease", "absence", "pain", "signs"),
    reads=_read,
    knows=_knows,
    untold=None,
    review="After each lift compare the two weeks with the last building week before the sign.",
)
