"""Signs that stop the plan, ticked or in words, until somebody who saw the client lifts them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import date, timedelta
from typing import NamedTuple

from sitegen.care import illness, sentences
from sitegen.care.pregnancy import pregnancy_said
from sitegen.care.signs import BY_WORDS_ONLY, ILL, Urgency, most_urgent_first, urgency
from sitegen.care.words import is_bruised, said, takes_thinner
from sitegen.model.alarm import AlarmAnswer
from sitegen.model.case import Case, kept
from sitegen.model.checkin import CheckIn
from sitegen.model.problem import Origin
from sitegen.model.sentence import Sentence, say
from sitegen.rules.draft import Draft, Past, Stop
from sitegen.rules.lifts import MYSELF, clearance_of_signs, is_false_alarm, lift_by, lifted_on
from sitegen.rules.log import Log
from sitegen.rules.rule import Rule

SOURCE = (
    "usual red flags; bone: Knobloch AC et al., Curr Sports Med Rep 2025;24(9):281-291; heart: "
    "symptom list of Riebe D et al. 2015, quoted from memory; the list is not complete"
)
DAY = timedelta(days=1)
SEVERE = 8  # pain from which a clinician is asked for the same day; common practice, no source
# A date this far from the day on which a check-in came, or from those around it, is a slip.
SLIP_DAYS = 60
# A racing or skipping heart so soon after an infection is *now*. Common practice, no source for the
# number of days.
INFECTION_DAYS = 28
# *Now* with a blood thinner, whether the first talk or the message itself tells of it.
WITH_THINNER = ("head_injury",)

# For so long after the coach's answer that they are not the client's, check-ins that nobody signed
# stop nothing. Common practice, no source.
MUTED_DAYS = 14


class ToldSign(NamedTuple):
    """A sign of which a check-in tells.

    ``on`` is its day as it was written, ``since`` the day from which it counts; ``entry`` is the
    place of the check-in in the log, and ``telling`` the how many-th it is, from 1, that tells this
    sign of this day. It ``is_by_words`` where nobody ticked it; ``kind`` is how urgent it is.
    """

    sign: str
    on: date
    since: date
    entry: int
    origin: Origin
    is_by_words: bool = False
    kind: Urgency = "today"
    telling: int = 1

    @property
    def is_doubtful(self) -> bool:
        """Found in words alone, though it could have been ticked."""
        return self.is_by_words and self.sign not in BY_WORDS_ONLY


@kept
def signs_told(case: Case, as_of: date) -> tuple[ToldSign, ...]:
    """Every sign of the log that is known on ``as_of``, by the day from which it counts.

    An entry dated ahead counts at once: a sign does not wait for its date.
    """
    found: list[ToldSign] = []
    infected: list[date] = []
    hers = also_now(case)
    times: Counter[tuple[str, date]] = Counter()
    for index, entry, since in counted(case, as_of):
        if not (entry.signs or entry.said or entry.pain or entry.skipped):
            continue  # nothing told that a sign could be found in
        ticked = {*entry.signs} - {*ILL}
        if illness.grade(entry) is not None:
            infected.append(since)
        signs = {*ticked, *signs_said(entry, case), *_severe(entry)}
        for sign in most_urgent_first(signs) if signs else ():
            origin = case.log_origins.value(index)
            is_now = sign in hers or (sign in WITH_THINNER and takes_thinner(written_in(entry)))
            kind = "now" if is_now else urgency(sign)
            times[sign, entry.on] += 1
            by_words, nth = sign not in ticked, times[sign, entry.on]
            found.append(ToldSign(sign, entry.on, since, index, origin, by_words, kind, nth))
    return tuple(
        sorted(
            (_after_infection(one, infected) for one in found),
            key=lambda one: (one.since, one.entry),
        )
    )


def counted(case: Case, as_of: date) -> Iterator[tuple[int, CheckIn, date]]:
    """Place, check-in and the day from which it counts, of each that is known on ``as_of``."""
    latest = date.min
    for index, entry in enumerate(case.log):
        since = _counts_from(entry, latest, as_of)
        if since <= as_of:
            yield index, entry, since
        if entry.on <= as_of:
            latest = max(latest, entry.on)


def also_now(case: Case) -> tuple[str, ...]:
    """Signs that are *now* for this client alone: with a blood thinner, a knock to the head.

    Source: NICE guideline NG232, head injury, 2023: without a delay to a hospital with a medicine
    against clotting (from memory, and the safer reading of it).
    """
    return WITH_THINNER if _is_known_to_thin(case) else ()


def _is_known_to_thin(case: Case) -> bool:
    history = case.client.history
    return history is not None and "blood_thinner" in history.medicines


def _after_infection(one: ToldSign, infected: list[date]) -> ToldSign:
    """The heart after an infection: the emergency number, where it else is a clinician today."""
    soon = (0 <= (one.since - day).days <= INFECTION_DAYS for day in infected)
    return one._replace(kind="now") if one.sign == "palpitations" and any(soon) else one


def signs_said(entry: CheckIn, case: Case) -> tuple[str, ...]:
    """Signs of which an entry's own words tell."""
    words = written_in(entry)
    if not words:
        return ()
    found = said(words, case.practice.urgent_words)
    if _is_pregnant(case) and pregnancy_said(words):
        found = (*found, "pregnancy_sign")
    is_new = "bleeding" not in found and _is_known_to_thin(case) and is_bruised(words)
    return (*found, "bleeding") if is_new else found


def _is_pregnant(case: Case) -> bool:
    history = case.client.history
    return history is not None and bool(history.pregnant)


def written_in(entry: CheckIn) -> str:
    """What somebody wrote in a check-in, the place of a pain too."""
    site = entry.pain.site if entry.pain is not None else None
    return ". ".join(text for text in (entry.said, site) if text)


def _severe(entry: CheckIn) -> tuple[str, ...]:
    pain = entry.pain
    if pain is None:
        return ()
    scores = (pain.before, pain.during, pain.after, pain.next_morning, pain.walking)
    return (
        ("severe_pain",) if max((s for s in scores if s is not None), default=0) >= SEVERE else ()
    )


def _counts_from(entry: CheckIn, latest: date, as_of: date) -> date:
    """The day from which an entry's signs count: its own, unless that is a slip.

    ``latest`` is the last day of the entries above it, as a log has the newest last.
    """
    came = entry.received
    if came is not None and came > as_of:
        return came  # as of that day nobody knew
    if came is not None and (entry.on > came or (came - entry.on).days > SLIP_DAYS):
        return came
    if entry.on > as_of:
        return as_of
    return latest if latest != date.min and (latest - entry.on).days > SLIP_DAYS else entry.on


def freed_on(case: Case, one: ToldSign) -> date | None:
    """The day from which a sign no longer stops the plan; None where nobody has lifted it.

    One that the coach says was not the client's never did.
    """
    lifted = lifted_on(case, one.sign, one.on, one.since)
    cleared = clearance_of_signs(case)
    if cleared is not None and cleared <= max(one.on, one.since):
        cleared = None
    # What was not the client's stopped nobody: a run meanwhile was not run through a stop.
    not_hers = None if muted_by(case, one) is None else one.since
    return min((day for day in (lifted, cleared, not_hers) if day is not None), default=None)


def sign_answer(case: Case, one: ToldSign) -> AlarmAnswer | None:
    """What the coach answered to a sign, if she did: told once more since, it waits for another.

    An answer that does not say how many tellings it knew is for what came up to its day.
    """
    came = case.log[one.entry].received
    for answer in case.answers:
        if (answer.matter, answer.since) == (one.sign, one.on):
            known = answer.tellings
            if one.telling <= known if known else came is None or came <= answer.on:
                return answer
    return None


def is_unsigned(case: Case, one: ToldSign) -> bool:
    """Whether `receive` took it in without a signature; what the coach wrote says nothing of it."""
    return case.log[one.entry].signed in ("no", "changed")


def muted_by(case: Case, one: ToldSign) -> AlarmAnswer | None:
    """The coach's answer that check-ins like this one are not the client's, while it holds."""
    if not is_unsigned(case, one):
        return None
    said_so = (
        a
        for a in case.answers
        if a.not_client and a.since <= one.since <= a.on + timedelta(MUTED_DAYS)
    )
    return next(said_so, None)


def seen_by(case: Case, one: ToldSign) -> str:
    """Who saw the client, where a lift or a clearance says so; a coach's "me" by her name."""
    by = lift_by(case, one.sign, one.on) or case.client.screening.cleared_by or ""
    return case.practice.coach or by if by.casefold() in MYSELF else by


def freed_by(case: Case, one: ToldSign) -> str:
    """Who saw the client, for the coach's eye; and that it was a false alarm, where she says so."""
    by = seen_by(case, one)
    return f"{by}: a false alarm" if is_false_alarm(case, one.sign, one.on) else by


def read(log: Log) -> tuple[tuple[ToldSign, date | None], ...]:
    """Every sign told, and the day on which it was freed."""
    found: tuple[tuple[ToldSign, date | None], ...] = log.read[RULE.name]
    return found


def _read(case: Case, log: Log) -> tuple[tuple[ToldSign, date | None], ...]:
    return tuple((one, freed_on(case, one)) for one in signs_told(case, log.as_of))


def standing(log: Log, before: date, day: date) -> Iterator[ToldSign]:
    """Signs known before the day ``before`` that nobody has lifted by ``day``."""
    for one, freed in read(log):
        if one.since < before and (freed is None or freed > day):
            yield one


def sign_line(one: ToldSign) -> Sentence:
    """What client and coach read of it, wherever the plan is shown."""
    if one.sign == "self_harm":
        return say(sentences.LINE_SELF_HARM)
    line = sentences.LINE_NOW if one.kind == "now" else sentences.LINE_TODAY
    return say(line, sign=say(sentences.SIGN_WORDS[one.sign]))


def _may_stop(log: Log) -> bool:
    return bool(read(log))


def _stops(log: Log, before: date, day: date) -> Stop | None:
    found = list(standing(log, before, day))
    if not found:
        return None
    one = next((t for t in found if t.kind == "now"), found[0])
    return Stop(
        "urgent" if one.kind == "now" else "sign",
        one.since,
        one.origin,
        one.sign,
        RULE.name,
        sign_line(one),
        SOURCE,
        refers=True,
    )


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Plan nothing while a sign stands."""
    found = past.stop
    if draft.stop is not None or found is None or found.rule != RULE.name:
        return draft
    return draft.stopped(found)


RULE = Rule(
    name="signs",
    promise=(
        "A sign, ticked or in the client's own words, or pain of 8 or more: no session from the "
        "hour at which it is known. *Now* (chest pain, fainting, breathless at rest and others) "
        "shows the emergency number, *today* asks for a clinician that day. Only a lift that names "
        "the sign, its day and who saw the client (`lifts`, `seen_by`), or a clinician's clearance "
        "after it that says for what (`cleared_on`, `cleared_by`, `cleared_for`), brings sessions "
        "back."
    ),
    reason="A coach does not diagnose; a sign is a reason to be seen.",
    source=SOURCE,
    evidence="judgement",
    apply=apply,
    reads=_read,
    untold=None,
    stops=_stops,
    may_stop=_may_stop,
    review="From a sign's day on no session stands, until the day of the clearance or the lift.",
)
