"""What the first talk found out about health: whom a clinician sees before anything is planned."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from sitegen.care import history as told
from sitegen.care import sentences
from sitegen.model.case import Case
from sitegen.model.sentence import N_, say
from sitegen.rules.draft import Draft, Past, Stop, whole_minutes
from sitegen.rules.lifts import clearance
from sitegen.rules.log import Log
from sitegen.rules.rule import Rule
from sitegen.rules.volume import level

SOURCE = (
    "judgement; fainting in effort and a sudden death in the family under 50 are asked for by "
    "sports cardiology (from memory); twelve weeks after a birth: advice of experts (from memory)"
)
RECENT_DAYS = 183  # an operation, a concussion or a stress injury of a bone
BIRTH_DAYS = 84
SLOWER = 0.5  # of the growth that a week would have; common practice, no source
# It names no answer: a page may be open. The coach's own line stands behind the decision.
SLOWLY = N_("What you told at the start asks for patience: weeks grow half as fast.")


def talked_on(case: Case) -> date:
    """The day of the talk; without one that of the screening."""
    told = case.client.history
    return (told.on if told is not None else None) or case.client.screening.on


def asked_for(case: Case, day: date) -> Iterator[tuple[str, date]]:
    """What asks for a clinician's word on ``day``: the field, and the day of what it tells.

    What was recent on the day of the talk asks until the word is there: time alone frees nothing.
    """
    history = case.client.history
    if history is None:
        return
    asked_on = talked_on(case)
    for name, days in (
        ("surgery", RECENT_DAYS), ("concussion", RECENT_DAYS), ("bone_stress", RECENT_DAYS),
        ("gave_birth", BIRTH_DAYS),
    ):  # fmt: skip
        on = getattr(history, name)
        if isinstance(on, int):  # a year alone: its last day, or that of the talk
            on = min(date(on, 12, 31), asked_on)
        if on is not None and on <= day and (asked_on - on).days < days:
            yield name, on
    for name in ("pregnant", "fainted", "sudden_death_in_family"):
        if getattr(history, name):
            yield name, asked_on
    if told.signs_now(history) or told.is_much_pain(history):
        yield "pain_now", asked_on
    if told.is_low(history):
        yield next(name for name in told.LOW_ENERGY if getattr(history, name)), asked_on
    if told.METABOLIC in history.medicines and not case.client.screening.known_disease:
        yield "medicines", asked_on


def has_word(case: Case, since: date, day: date) -> bool:
    """Whether a clinician's word not older than ``since`` stands on ``day``."""
    way = case.client.return_
    words = [clearance(case)]
    if way is not None and way.by:
        words.append(way.cleared_on)
    return any(on is not None and since <= on <= day for on in words)


def stop(case: Case, day: date) -> Stop | None:
    """Why nothing may be planned on ``day``, or None."""
    for name, since in asked_for(case, day):
        if not has_word(case, since, day):
            because = case.origins.at("history", name)
            says = say(sentences.LINE_HISTORY)
            return Stop("screening", None, because, "", RULE.name, says, SOURCE, refers=True)
    return None


def _may_stop(log: Log) -> bool:
    return log.case.client.history is not None


def _stops(log: Log, before: date, day: date) -> Stop | None:
    return stop(log.case, day)


def apply(draft: Draft, past: Past, case: Case) -> Draft:
    """Plan nothing for who has to be seen first."""
    found = past.stop
    if draft.stop is None and found is not None and found.rule == RULE.name:
        return draft.stopped(found)
    return _slower(draft, past, case) if draft.stop is None else draft


def slows(case: Case) -> str:
    """The field of the history for which the plan grows more slowly; empty where none does."""
    history = case.client.history
    slow = (n for n, asks in told.answered(history) if asks.effect == "slower") if history else ()
    name = next(iter(slow), "")
    return "medicines" if name in told.MEDICINE_ASKS else name


def _slower(draft: Draft, past: Past, case: Case) -> Draft:
    name, before = slows(case), level(past)
    if not name or draft.kind != "build" or draft.minutes <= before or before <= 0:
        return draft
    minutes = before + (draft.minutes - before) * SLOWER
    return draft.decide(
        RULE.name,
        say(SLOWLY),
        because=case.origins.at("history", name),
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
        "four, steroids or antibiotics: weeks grow half as fast."
    ),
    reason="A coach asks, stops and refers; a coach does not clear.",
    source=SOURCE,
    evidence="judgement",
    apply=apply,
    needs=("volume",),
    stops=_stops,
    may_stop=_may_stop,
    review="With `history: {concussion: …}` of last month and no word, no week holds a session.",
)
