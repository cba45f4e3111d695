"""What the first talk found out about health: whom a clinician sees before anything is planned."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from sitegen.care import history as told
from sitegen.care import sentences
from sitegen.model.case import Case
from sitegen.model.client import Client
from sitegen.model.sentence import N_, say
from sitegen.rules import pain
from sitegen.rules.draft import Draft, Past, Stop, whole_minutes
from sitegen.rules.lifts import clearance, cleared_for_hard, names_nobody_else
from sitegen.rules.log import Log
from sitegen.rules.rule import Rule
from sitegen.rules.volume import hold_at_level, level

SOURCE = (
    "judgement; fainting in effort and a sudden death in the family under 50 are asked for by "
    "sports cardiology (from memory); twelve weeks after a birth: advice of experts (from memory)"
)
RECENT_DAYS = 183  # an operation, a concussion or a stress injury of a bone
BIRTH_DAYS = 84
# So long after a birth or an operation weeks grow more slowly, as after an injury of the last 12
# months. Common practice, no source.
SLOW_DAYS = 365
SLOWER = 0.5  # of the growth that a week would have; common practice, no source
HELD_AHEAD = timedelta(days=7)  # pain told at the start holds the weeks that begin by then
# It names no answer: a page may be open. The coach's own line stands behind the decision.
SLOWLY = N_("What you told of your health asks for patience: weeks grow half as fast.")
NOT_CALM_YET = N_(
    "This week does not grow yet: two runs in a row, told with pain of 0 to 2, come first."
)


def talked_on(client: Client) -> date:
    """The day of the talk; without one that of the screening."""
    told = client.history
    return (told.on if told is not None else None) or client.screening.on


def asked_for(client: Client, day: date) -> Iterator[tuple[str, date]]:
    """What asks for a clinician's word on ``day``: the field, and the day of what it tells.

    What was recent on the day of the talk asks until the word is there: time alone frees nothing.
    """
    history = client.history
    if history is None:
        return
    asked_on = talked_on(client)
    for name, days in (
        ("surgery", RECENT_DAYS), ("concussion", RECENT_DAYS), ("bone_stress", RECENT_DAYS),
        ("gave_birth", BIRTH_DAYS),
    ):  # fmt: skip
        on = _day_of(getattr(history, name), asked_on)
        if on is not None and on <= day and (asked_on - on).days < days:
            yield name, on
    for name in ("pregnant", "fainted", "sudden_death_in_family"):
        if getattr(history, name):
            yield name, asked_on
    if told.signs_now(history) or told.is_much_pain(history):
        yield "pain_now", asked_on
    if told.is_low(history):
        yield next(name for name in told.LOW_ENERGY if getattr(history, name)), asked_on
    if told.METABOLIC in history.medicines and not client.screening.known_disease:
        yield "medicines", asked_on


def _day_of(on: date | int | None, asked_on: date) -> date | None:
    """The day of what is told; of a year alone its last day, or that of the talk."""
    return min(date(on, 12, 31), asked_on) if isinstance(on, int) else on


def words_given(case: Case) -> tuple[date, ...]:
    """The days of a clinician's words that count: a clearance, and what opened a way back."""
    way, cleared = case.client.return_, clearance(case)
    found = [cleared] if cleared is not None else []
    if way is not None and way.by and way.cleared_on and not names_nobody_else(case, way.by):
        found.append(way.cleared_on)
    return tuple(found)


def has_word(case: Case, since: date, day: date) -> bool:
    """Whether a clinician's word not older than ``since`` stands on ``day``."""
    return any(since <= on <= day for on in words_given(case))


def stop(case: Case, day: date) -> Stop | None:
    """Why nothing may be planned on ``day``, or None."""
    for name, since in asked_for(case.client, day):
        if not has_word(case, since, day):
            because = case.origins.at("history", name)
            says = say(sentences.LINE_HISTORY)
            return Stop("screening", None, because, "", RULE.name, says, SOURCE, refers=True)
    return None


def _may_stop(log: Log) -> bool:
    return log.case.client.history is not None


def _stops(log: Log, before: date, day: date) -> Stop | None:
    return stop(log.case, day)


def _read(case: Case, log: Log) -> date | None:
    """The day on which two sessions in a row since the talk were calm; None where none was yet."""
    calm, since = 0, talked_on(case.client)
    for session in log.logged:
        grade = pain.session_grade(session, pain.RULE.values(case).profile)
        if session.on >= since and grade is not None:
            calm = calm + 1 if grade == "calm" else 0
            if calm == pain.CALM_SESSIONS:
                return session.on
    return None


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Plan nothing for who has to be seen first; hold what pain holds, and grow slowly."""
    found = past.stop
    if draft.stop is None and found is not None and found.rule == RULE.name:
        return draft.stopped(found)
    if draft.stop is not None or draft.kind != "build":
        return draft
    return _held(draft, past, case) if _is_sore(past, case) else _slower(draft, past, case)


def _is_sore(past: Past, case: Case) -> bool:
    """Whether pain of 3 and more, or of no score, was told at the start, and nothing calm since.

    Weeks further ahead take it that calm runs will be told.
    """
    history = case.client.history
    if history is None or not history.pain_now:
        return False
    score, calm = told.pain_score(history), past.read[RULE.name]
    is_near = past.start < max(past.as_of, case.client.plan.from_) + HELD_AHEAD
    is_calm = calm is not None and calm < past.start
    return is_near and not is_calm and (score is None or score > pain.CALM_UP_TO)


def _held(draft: Draft, past: Past, case: Case) -> Draft:
    because = case.origins.at("history", "pain_now")
    return hold_at_level(draft, past, RULE.name, say(NOT_CALM_YET), SOURCE, because)


def slows(case: Case, day: date) -> tuple[str, str] | None:
    """The field for which a week that begins on ``day`` grows more slowly; None where none does.

    A word for easy running is none for more of it each week: who has a known disease grows as fast
    as others once cleared for all.
    """
    history, asked = case.client.history, case.client.screening
    for name, asks in told.answered(history) if history else ():
        if asks.effect == "slower":
            return "history", "medicines" if name in told.MEDICINE_ASKS else name
    for name in ("gave_birth", "surgery", "pregnant") if history else ():
        on = getattr(history, name)
        if on is True or (isinstance(on, date) and (day - on).days < SLOW_DAYS):
            return "history", name
    if asked.known_disease and not cleared_for_hard(case, day, asked.on):
        return "screening", "known_disease"
    return None


def _slower(draft: Draft, past: Past, case: Case) -> Draft:
    field, before = slows(case, past.start), level(past)
    if field is None or draft.minutes <= before or before <= 0:
        return draft
    minutes = before + (draft.minutes - before) * SLOWER
    return draft.decide(
        RULE.name,
        say(SLOWLY),
        because=case.origins.at(*field),
        source=SOURCE,
        before=draft.minutes,
        after=float(whole_minutes(minutes)),
        minutes=float(whole_minutes(minutes)),
        worth=min(draft.worth, minutes),
    )


RULE = Rule(
    name="history",
    promise=(
        "An operation, a concussion or a stress injury of a bone in the last six months, a birth "
        "in the last twelve weeks, a pregnancy, fainting in effort, a sudden death in the family "
        "under 50: no session until a clinician's word that is not older is written down "
        "(`cleared_on` with `cleared_by`, or `return` with `cleared_on` and `by`). The same for "
        "insulin where `known_disease` says no, for present pain told in words of danger or with "
        "6 of 10 and more, and for two of low energy, weight loss, missed periods and a stress "
        "injury of a bone. Other present pain, an injury in the last 12 months, one of those "
        "four, steroids or antibiotics, a birth or an operation in the last 12 months, a "
        "pregnancy, a known disease not cleared for all: weeks grow half as fast (common practice, "
        "no source). Present pain of 3 and more, or of no score: no week grows, and nothing is "
        "hard, before the Monday after two sessions in a row at 0 to 2."
    ),
    reason="A coach asks, stops and refers; a coach does not clear.",
    source=SOURCE,
    evidence="judgement",
    apply=apply,
    needs=("volume",),
    reads=_read,
    stops=_stops,
    may_stop=_may_stop,
    review="With `history: {concussion: …}` of last month and no word, no week holds a session.",
)
