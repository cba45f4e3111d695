"""Alarms of one client, worked out afresh from log and files whenever anything is read.

Nothing here is stored: what a coach answered stands in ``ID.alarms.yaml``, and what was lifted
in the client's file.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from sitegen.care.signs import ALL, sign_words
from sitegen.care.words import BY_WORDS
from sitegen.model.alarm import KINDS, Alarm
from sitegen.model.case import Case
from sitegen.model.plan import Week
from sitegen.model.problem import Origin, Problem
from sitegen.plan import ledger
from sitegen.plan.joined_alarms import RUN_THROUGH, TREND, UNSIGNED, joined, some_keys
from sitegen.rules import asked_words, asks, overdone, pain, signs
from sitegen.rules.lifts import NAME_A_CLINICIAN, ONLY_A_CLINICIAN, counts, lift_by
from sitegen.rules.log import Log

NOT_SIGNED = ", in a check-in that is not signed"
DAY = timedelta(days=1)
WEEK = timedelta(days=7)
OF_NO_ENTRY = (
    "clearance",
    "pregnancy",
    "silent_since_stop",
    "silent_since_pain",
    "silent_since_illness",
)
NOTICE_DAYS = 14  # how long a notice is told; common practice, no source


def alarms(case: Case, log: Log, weeks: Sequence[Week] = ()) -> tuple[Alarm, ...]:
    """All alarms of a client up to the log's day, numbered, answered and freed ones too.

    ``weeks`` are those of the plan, for notices of what was more than told.

    They are numbered in the order in which they came into the log, whatever day they tell of, so
    what is added below changes no number of a sign; what stands in no entry of its own comes last.
    Those of check-ins that nobody signed are joined, under the number of the first, and so are runs
    through one stop, and one trend that goes on.
    """
    later = {(a.matter, a.because): a.stop or a.came for a in asks.matters(log).asks}

    def place(one: Alarm) -> tuple[tuple[float, int], date, int, str]:
        behind = (one.because, later.get((one.matter, one.because)))  # known once both are
        mine = [
            (o.line, o.column) for o in behind if o is not None and o.file == case.log_origins.file
        ]
        came = (math.inf, 0) if one.matter in OF_NO_ENTRY or not mine else max(mine)
        return came, one.since, KINDS.index(one.kind), one.matter

    found = sorted([*_signs(case, log), *_pain(case, log), *_asks(case, log)], key=place)
    numbered = [one._replace(number=at) for at, one in enumerate(found, 1)]
    return (*joined(numbered), *_notices(log, weeks))


def problems(found: Sequence[Alarm], case: Case) -> Iterator[Problem]:
    """Each open alarm as a warning until it is answered, and lifts that lift nothing."""
    for one in found:
        if one.is_open:
            yield Problem(
                one.because or case.origins.at("plan"),
                f"alarm {one.number}, {one.kind}: {one.says}",
                f"when you have acted: sitegen answer {case.id} {one.number} {one.matter} "
                "--because WHAT",
                "alarm",
                "warning",
            )
    yield from _idle_lifts(found, case)
    yield from _idle_answers(found, case)


def open_first(found: tuple[Alarm, ...]) -> tuple[Alarm, ...]:
    """Open ones first, each in its `Alarm.place`."""
    return tuple(
        sorted(
            found,
            key=lambda one: (not one.is_open, *one.place, one.number),
        )
    )


NOT_TOLD = (
    "is a log gone, or does it lie under another name, bring it back; was this never told, take it "
    "out"
)


def _idle_lifts(found: Sequence[Alarm], case: Case) -> Iterator[Problem]:
    """A lift of what nobody told on that day lifts nothing, and has to be seen to."""
    there = {key for one in found for key in one.keys}
    stands = (one for one in found if one.is_standing and one.kind in ("now", "today"))
    standing = [key for one in stands for key in one.keys]
    for index, change in enumerate(case.client.changes):
        lift = change.lifts
        if lift is not None and f"{lift.sign} {lift.on}" not in there:
            yield Problem(
                case.origins.at("changes", index, "lifts"),
                f"this lifts nothing: {lift.sign} was not told on {lift.on}",
                f"what stands is {some_keys(standing)}" if standing else NOT_TOLD,
                "lifts-nothing",
                "warning",
            )
        elif lift is not None and not counts(case, change) and f"{lift.sign} {lift.on}" in standing:
            yield Problem(
                case.origins.value("changes", index, "seen_by"),
                f"this lifts nothing, and the stop stands: {ONLY_A_CLINICIAN}",
                NAME_A_CLINICIAN,
                "lifts-nothing",
                "warning",
            )


def _idle_answers(found: Sequence[Alarm], case: Case) -> Iterator[Problem]:
    """A sign that was answered and stands in the log no more stops nothing: was it taken out?"""
    there = {key for one in found for key in one.keys}
    gone = [a for a in case.answers if a.matter in ALL and f"{a.matter} {a.since}" not in there]
    if not gone:
        return
    told = {(one.sign, one.on) for one in signs.signs_told(case, date.max)}
    for answer in gone:
        if (answer.matter, answer.since) not in told:
            yield Problem(
                answer.origin or case.origins.at("plan"),
                f"{sign_words(answer.matter)} of {answer.since} was answered here and stands in "
                "the log no more, so nothing is stopped for it",
                "put the check-in back, and lift it once the client was seen; was it never told, "
                "take this answer out",
                "answered-gone",
                "warning",
            )


def _signs(case: Case, log: Log) -> Iterator[Alarm]:
    for one, freed in signs.read(log):
        thinner = " with a blood thinner" if one.sign in signs.also_now(case) else ""
        what = f"{sign_words(one.sign)}{thinner}"
        unsigned = signs.is_unsigned(case, one)
        by_words = f" ({BY_WORDS})" if one.is_by_words and one.sign != "severe_pain" else ""
        is_freed = freed is not None and freed <= log.as_of
        yield Alarm(
            kind=one.kind,
            matter=one.sign,
            since=one.on,
            says=f"{what} was told on {one.on}{by_words}{NOT_SIGNED if unsigned else ''}",
            because=one.origin,
            answer=signs.sign_answer(case, one) or signs.muted_by(case, one),
            is_standing=not is_freed,
            freed_by=signs.freed_by(case, one) if is_freed else "",
            is_unsigned=unsigned,
            signs=(one.sign,),
            group=UNSIGNED if unsigned else "",
            by_words=one.is_doubtful,
        )


def _unsigned(log: Log) -> set[Origin]:
    """Where the check-ins stand that nobody signed: what came of them joins by its matter."""
    return {s.origin for s in log.logged if s.entry.signed in ("no", "changed")}


def _group(unsigned: set[Origin], matter: str, because: Origin | None) -> str:
    return f"{UNSIGNED} {matter}" if because in unsigned else ""


def _pain(case: Case, log: Log) -> Iterator[Alarm]:
    unsigned = _unsigned(log)
    for since, because, freed in pain.referrals(log):
        is_freed = freed is not None and freed <= log.as_of
        yield Alarm(
            kind="today",
            matter="pain",
            since=since,
            says=f"pain sent the plan back again, last on {since}: a clinician first",
            because=because,
            answer=asks.answer_to(case, "pain", since),
            is_standing=not is_freed,
            freed_by=lift_by(case, "pain", since) if is_freed else "",
            group=_group(unsigned, "pain", because),
        )


def _asks(case: Case, log: Log) -> Iterator[Alarm]:
    unsigned = _unsigned(log)
    for ask in asks.matters(log).asks:
        answer = asks.answer_to(case, ask.matter, ask.since, ask.was)
        yield Alarm(
            kind="ask",
            matter=ask.matter,
            since=ask.since,
            says=ask.says,
            because=ask.because,
            answer=answer,
            is_standing=answer is None or answer.on > log.as_of,
            group=_group(unsigned, ask.was or ask.matter, ask.because) or _same_question(ask),
        )


def _same_question(ask: asks.Ask) -> str:
    """What is asked again before it is answered: a run through one and the same stop, on each day
    that it is run through, and a trend of pain at one place, of easy runs or of words."""
    if ask.through:
        return f"{RUN_THROUGH} {ask.through}"
    is_trend = ask.matter.startswith((asks.OF_PAIN, asks.OF_EFFORT, asked_words.OF_WORDS))
    return f"{TREND} {ask.matter}" if is_trend else ""


def _notices(log: Log, weeks: Sequence[Week]) -> Iterator[Alarm]:
    for trend in asks.matters(log).trends:
        if trend.kind == "notice" and (log.as_of - trend.since).days < NOTICE_DAYS:
            because = log.logged[trend.at].origin
            says = asks.trend_words(trend)
            yield Alarm("notice", f"pain_{trend.how}", trend.since, says, 0, because)
    told = [session for week in weeks for session in week.sessions]
    found = [o for o in overdone.over(told, log.logged) if (log.as_of - o.on).days < NOTICE_DAYS]
    for how in ("effort", "minutes"):
        same = [one for one in found if one.how == how]
        if same:  # the last one stands for all: nobody reads a list of them
            last = same[-1]
            days = f"; {len(same)} such days in two weeks" if how == "minutes" and same[1:] else ""
            says = f"{overdone.over_words(last)}{days}"
            yield Alarm("notice", f"over_{how}", last.on, says, 0, last.because)
    if not any(one.how == "minutes" for one in found):  # else the week says no more than its runs
        yield from _week_over(log, weeks)


def _week_over(log: Log, weeks: Sequence[Week]) -> Iterator[Alarm]:
    """The last week in which far more was run than was told, each run by itself not far over it."""
    for week in reversed(weeks):
        if not week.start <= log.as_of < week.start + WEEK + NOTICE_DAYS * DAY:
            continue
        ran = log.between(week.start, week.start + WEEK)
        if overdone.over_week(week.sessions, ran) is None:
            continue
        one = overdone.over_week(ledger.as_at_dawn(week, log.case.told), ran)
        if one is not None and (log.as_of - one.on).days < NOTICE_DAYS:
            yield Alarm("notice", "over_week", one.on, overdone.over_words(one), 0, one.because)
            return
