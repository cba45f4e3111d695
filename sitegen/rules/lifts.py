"""What frees a stop: a lift that names the sign, or a clinician's clearance.

Both name who saw the client and when. Neither is older than what it frees; time frees nothing, and
a later "fine again" does not either.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from datetime import date, timedelta

from sitegen.care.signs import urgency
from sitegen.model.case import Case
from sitegen.model.client import Change

# For anything hard a clearance holds this long. Source: the three-question screening of Riebe D et
# al. 2015 asks for one within the last 12 months (from memory).
HARD_DAYS = 365

MYSELF = frozenset({"me", "i", "myself", "yo", "yo misma", "yo mismo"})  # a coach of herself
# Words that name no clinician, without "the" and "her": a closed list, as one of professions would
# never end. Any other word, a name too, is taken for who gave it. Judgement, no source.
_NO_CLINICIAN = re.compile(
    "no|nobody|no one|none|nadie|ninguno|ninguna|n/a|no doctor|no clinician|coach|trainer"
    "|client|runner|she|he|they|herself|himself|themselves|self|ella|él|ella misma|él mismo"
    "|entrenadora|entrenador|clienta|cliente|corredora|corredor|feeling|gut feeling|sensación"
    "|internet|web|website|forum|online|app|book|article|magazine|foro|libro|artículo|revista"
    "|husband|wife|spouse|partner|boyfriend|girlfriend|friend|friends|family|parents|mother|mum"
    "|mom|father|dad|sister|brother|daughter|son|aunt|uncle|cousin|neighbour|neighbor|colleague"
    "|marido|mujer|esposo|esposa|pareja|novio|novia|amigo|amiga|amigos|familia|padres|madre"
    "|padre|hermana|hermano|hija|hijo|tía|tío|prima|primo|vecina|vecino|compañera|compañero"
)
_WHOSE = re.compile(
    r"((the|an?|my|her|his|their|our|own|el|la|los|las|una?|mi|mis|su|sus|propi[ao])\s+)+"
)
_STILL = re.compile(r"\s+(yet|so far|still|todavía|aún)$")
# Somebody is still to say it, whoever that is.
_NOT_YET = re.compile(
    r"(not (yet|asked|seen)|pending|waiting|awaiting|to (be )?ask(ed)?|to do|to come|tb[acd]"
    r"|unknown|appointment|will ask|asks|pendiente|por preguntar|sin preguntar|todavía no|aún no"
    r"|a la espera|esperando|cita|desconocid[ao])\b.*"
)
# "me, by phone", "myself (Tuesday)"; no further word, as in "me and her doctor", names another.
_MYSELF_FIRST = re.compile(
    r"(me|i|myself|yo( mism[ao])?)\W*((by|on|over|at|in|this|today|yesterday|por|el|ayer|hoy)\b.*)?"
)
_ANOTHER = re.compile(r"\b(?:and|with|y|con)\b|[&+]")


MAY_BE_NOW = ("palpitations", "head_injury", "bleeding")

ONLY_A_CLINICIAN = (
    "a sign that may be an emergency, and any stop of somebody with a known disease or its "
    "symptoms, ends when a clinician has seen the client"
)
NAME_A_CLINICIAN = (
    'write in seen_by which clinician saw the client, and when, like "a cardiologist, on Monday"; '
    "or, was the sign not meant or not there, write false_alarm: yes"
)


def names_nobody_else(case: Case, by: str) -> bool:
    """Whether words on who saw the client name no clinician: the coach or the client, or nobody."""
    names = (case.practice.coach, case.client.name)
    return names_no_clinician(by, [case.id, *(name for name in names if name)])


def names_no_clinician(by: str, own: Collection[str] = ()) -> bool:
    """Whether no clinician is named; ``own`` are names of who is none, the coach and the client."""
    told = " ".join(by.casefold().split())
    if _NOT_YET.match(told):
        return True
    named = {name for one in own for name in (one.casefold(), one.casefold().split()[0])}
    return all(_is_none(part.strip(), named) for part in _ANOTHER.split(told))


def _is_none(told: str, own: Collection[str]) -> bool:
    first = re.split(r"[,;:(]", told)[0].strip(" .?-\"'")
    if not first or first in {*MYSELF, *own} or _MYSELF_FIRST.fullmatch(told):
        return True
    return _NO_CLINICIAN.fullmatch(_WHOSE.sub("", _STILL.sub("", first), count=1)) is not None


def needs_clinician(case: Case, matter: str) -> bool:
    """Whether only somebody other than the coach can end the stop by ``matter``.

    So for signs of *now*, for those that can be it (a heart after an infection, a knock to the head
    with a blood thinner), for what else a blood thinner makes grave, and for whoever has a known
    disease, or symptoms of one. Judgement, no source.
    """
    asked = case.client.screening
    is_now = urgency(matter) == "now" or matter in MAY_BE_NOW
    return is_now or asked.known_disease or asked.symptoms


def counts(case: Case, change: Change) -> bool:
    """Whether a lift says who saw the client, and that is enough for its sign."""
    if change.lifts is None or not change.seen_by:
        return False
    if change.false_alarm or not needs_clinician(case, change.lifts.sign):
        return True
    return not names_nobody_else(case, change.seen_by)


def lifted_on(case: Case, matter: str, told_on: date, known_on: date) -> date | None:
    """The first day on which the coach lifted ``matter`` that was told on ``told_on``.

    The lift lies after that day, or after the day on which it was known, and says who saw the
    client. A sign dated ahead is lifted by who names its date as it was written.
    """
    days = [
        change.on
        for change in case.client.changes
        if change.lifts is not None
        and change.on is not None
        and counts(case, change)
        and change.lifts.sign == matter
        and change.lifts.on == told_on
        and change.on > min(told_on, known_on - timedelta(days=told_on > known_on))
    ]
    return min(days, default=None)


def lift_days(case: Case) -> tuple[date, ...]:
    """Days on which the coach lifted anything: somebody spoke with the client then."""
    found = (c for c in case.client.changes if c.lifts is not None or c.rest is False)
    return tuple(c.on for c in found if c.on is not None)


def lift_by(case: Case, matter: str, told_on: date) -> str:
    """Who saw the client, as the lift of ``matter`` says; empty where nothing lifts it."""
    for change in case.client.changes:
        lift = change.lifts
        is_it = lift is not None and (lift.sign, lift.on) == (matter, told_on)
        if is_it and counts(case, change):
            return change.seen_by or ""
    return ""


def is_false_alarm(case: Case, matter: str, told_on: date) -> bool:
    """Whether a lift of ``matter`` says that it was none."""
    return any(
        change.false_alarm and lift is not None and (lift.sign, lift.on) == (matter, told_on)
        for change in case.client.changes
        for lift in [change.lifts]
    )


def clearance(case: Case) -> date | None:
    """The day of a clinician's clearance that counts: it says by whom, and is not too old.

    None where there is none, or where it is older than the screening that asked for it.
    """
    return None if holds_not(case) else case.client.screening.cleared_on


def clearance_of_signs(case: Case) -> date | None:
    """The day of a clearance that says for what, too: without it a sign goes on to stop.

    A clearance that does not say it is for the screening alone, and for easy running.
    """
    return clearance(case) if case.client.screening.cleared_for else None


def holds_not(case: Case) -> str:
    """Why a clearance that is written down does not count; empty where it does, or none is."""
    asked = case.client.screening
    if asked.cleared_on is None:
        return ""
    if asked.cleared_on < asked.on:
        return f"the clearance of {asked.cleared_on} is older than the screening of {asked.on}"
    if not asked.cleared_by:
        return f"the clearance of {asked.cleared_on} does not say by whom: write cleared_by"
    if names_nobody_else(case, asked.cleared_by):
        on = asked.cleared_on
        return (
            f"the clearance of {on} is no clinician's: write in cleared_by which one gave it, "
            'like "her GP"'
        )
    return ""


def cleared_for_all_after(case: Case, day: date) -> date | None:
    """The day of a clearance for hard running, too, that lies after ``day``; None without one."""
    on = clearance(case)
    is_later = on is not None and on > day
    return on if is_later and case.client.screening.cleared_for == "all" else None


def cleared_for_hard(case: Case, day: date, since: date) -> bool:
    """Whether a clearance for all, of ``since`` or later and of the last 12 months, stands on
    ``day``."""
    on = clearance(case)
    if on is None or not since <= on <= day:
        return False
    return case.client.screening.cleared_for == "all" and (day - on).days <= HARD_DAYS
