"""What frees a stop: a lift that names the sign, or a clinician's clearance.

Both name who saw the client and when. Neither is older than what it frees; time frees nothing, and
a later "fine again" does not either.
"""

from __future__ import annotations

from datetime import date, timedelta

from sitegen.model.case import Case

# For anything hard a clearance holds this long. Source: the three-question screening of Riebe D et
# al. 2015 asks for one within the last 12 months (from memory).
HARD_DAYS = 365


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
        and change.seen_by
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
        if lift is not None and (lift.sign, lift.on) == (matter, told_on):
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
    asked = case.client.screening
    if asked.cleared_on is None or not asked.cleared_by or asked.cleared_on < asked.on:
        return None
    return asked.cleared_on


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
    return ""


def cleared_for_all_after(case: Case, day: date) -> date | None:
    """The day of a clearance for hard running, too, that lies after ``day``; None without one."""
    on = clearance(case)
    is_later = on is not None and on > day
    return on if is_later and case.client.screening.cleared_for == "all" else None


def cleared_for_hard(case: Case, day: date) -> bool:
    """Whether a clearance for all, not older than 12 months, stands on ``day``."""
    on = clearance(case)
    if on is None or not on <= day:
        return False
    return case.client.screening.cleared_for == "all" and (day - on).days <= HARD_DAYS
