"""Alarms of what nobody signed, or nobody could place, of runs through one stop, or of one trend
that goes on, joined to one: a flood is one line.

What each would say is one of its members, so nothing is hidden: the line names every sign, and
`sitegen alarms --all` every member. One alone stays as it is.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from sitegen.care.signs import most_urgent_first, sign_words
from sitegen.model.alarm import Alarm

UNSIGNED, KEPT_ASIDE, RUN_THROUGH, TREND = "unsigned", "aside", "ran_while_stopped", "trend"
MOST_NAMED = 6  # of many, in one sentence


def some_keys(keys: Sequence[str]) -> str:
    """``limp 2027-02-09 and chest_pain 2027-02-10``; of many the first, and how many more."""
    more = len(keys) - MOST_NAMED
    return " and ".join([*keys[:MOST_NAMED], *([f"{more} more"] if more > 0 else [])])


def joined(found: Iterable[Alarm]) -> tuple[Alarm, ...]:
    """Alarms in their order, with those of one group, kind and answer joined to the first of them.

    Each has its number already, so that no number changes by being joined.
    """
    groups: dict[object, list[Alarm]] = {}
    for one in found:
        answer = one.answer and one.answer._replace(
            matter="", since=one.answer.on, origin=None, tellings=None
        )
        alike = (one.group, one.kind, answer, one.is_standing, one.freed_by)
        groups.setdefault(alike if one.group else len(groups), []).append(one)
    return tuple(_one(members) for members in groups.values())


def _one(members: list[Alarm]) -> Alarm:
    if len(members) == 1:
        return members[0]
    number = members[0].number
    members = sorted(members, key=lambda one: one.since)
    by_words = all(one.by_words for one in members)
    return members[0]._replace(
        number=number, says=_says(members), members=tuple(members), by_words=by_words
    )


def _says(members: list[Alarm]) -> str:
    days = sorted({one.since for one in members})
    if members[0].group.startswith(RUN_THROUGH):
        return (
            f"runs were logged on {len(days)} days, the first on {days[0]} and the last on "
            f"{days[-1]}, while the plan was stopped"
        )
    if members[0].group.startswith(TREND):
        return f"{members[-1].says}; asked {len(members)} times since {days[0]}"
    when = f"on {days[0]}" if len(days) == 1 else f"from {days[0]} to {days[-1]}"
    if members[0].group not in (UNSIGNED, KEPT_ASIDE):
        more = f"{len(members) - 1} more like it, up to {days[-1]}"
        return f"{members[0].says}; {more}, in check-ins that nobody signed"
    signs = {sign for one in members for sign in one.signs}
    named = ", ".join(map(sign_words, most_urgent_first(signs)))
    count = len({one.because for one in members})
    if members[0].group == UNSIGNED:
        what = "1 check-in" if count == 1 else f"{count} check-ins"
        return f"{named}: told {when}, in {what} that nobody signed"
    tells = f" and tell of {named}" if named else ""
    return f"{count} messages wait in .aside, kept {when}{tells}: read them"
