"""The coach's notes and changes: each does one thing, on a day or in a week that there is."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date

from sitegen.care.signs import LIFTED
from sitegen.model.case import Origins
from sitegen.model.client import SESSION_KINDS, WEEK_KINDS, Change, Client
from sitegen.model.kinds import nearest, one_of, quoted
from sitegen.model.problem import Problem
from sitegen.practice.checks.days import first_day, last_day, outside_plan
from sitegen.practice.checks.telling import Check, error, warning
from sitegen.practice.partly import as_far_as_known, gives, known, lacks, numbered


def _notes(client: Client, origins: Origins) -> Iterator[Problem]:
    for number, note in numbered(client.notes):
        if (known(note, "week") or 0) > client.plan.weeks:
            yield outside_plan(client, origins.value("notes", number, "week"), f"week {note.week}")


def _changes(client: Client, origins: Origins) -> Iterator[Problem]:
    for number, change in numbered(client.changes):
        for check in CHANGE_CHECKS:
            yield from as_far_as_known(check(change, origins, number))


def _change_day_or_week(change: Change, origins: Origins, number: int) -> Iterator[Problem]:
    if lacks(change, "on") and lacks(change, "week"):
        yield error(
            origins.value("changes", number),
            "change-when",
            "this change names neither a day nor a week",
            "add on: and a date, or week: and a number",
        )
    if gives(change, "on") and gives(change, "week"):
        yield error(
            origins.at("changes", number, "week"),
            "change-when",
            "this change names a day and a week",
            "keep one of the two",
        )


_DOES = ("minutes", "move_to", "kind", "cadence", "session")


def _change_does(change: Change, origins: Origins, number: int) -> Iterator[Problem]:
    if all(lacks(change, name) for name in ("rest", "lifts", *_DOES)):
        yield error(
            origins.value("changes", number),
            "change-nothing",
            "this change does nothing",
            "add rest: yes, minutes, move_to, kind, session, cadence or lifts",
        )


def _change_rest(change: Change, origins: Origins, number: int) -> Iterator[Problem]:
    if change.rest and (asked := [name for name in _DOES if gives(change, name)]):
        yield error(
            origins.at("changes", number, asked[0]),
            "change-rest",
            f"rest: yes and {asked[0]} cannot both be done",
            "keep one of the two",
        )


def _change_move(change: Change, origins: Origins, number: int) -> Iterator[Problem]:
    if gives(change, "move_to") and lacks(change, "on"):
        yield error(
            origins.at("changes", number, "move_to"),
            "change-move",
            "move_to needs the day from which to move",
            "add on: and the date of the session",
        )
    if change.move_to is not None and change.move_to == change.on:
        yield warning(
            origins.value("changes", number, "move_to"),
            "change-move",
            "this moves a session to the day on which it is",
            "check both dates",
        )


def _change_kind(change: Change, origins: Origins, number: int) -> Iterator[Problem]:
    kinds: tuple[str, ...]
    if gives(change, "on") and lacks(change, "week"):
        when, what, kinds = "on", "session", SESSION_KINDS
    elif gives(change, "week") and lacks(change, "on"):
        when, what, kinds = "week", "week", WEEK_KINDS
    else:
        return
    if change.kind is not None and change.kind not in kinds:
        yield error(
            origins.value("changes", number, "kind"),
            "change-kind",
            f"{quoted(change.kind)} is not a kind of {what}",
            f"with {when} write {one_of(kinds)}",
        )


def _change_lifts(change: Change, origins: Origins, number: int) -> Iterator[Problem]:
    """A lift lies after the day of its sign, and says who looked into it."""
    if gives(change, "false_alarm") and lacks(change, "lifts"):
        yield error(
            origins.at("changes", number, "false_alarm"),
            "change-lifts",
            "false_alarm says nothing without lifts",
            "add lifts: and the sign with its day, like chest_pain 2027-01-05, or take it out",
        )
    if change.lifts is None:
        return
    if lacks(change, "on") and gives(change, "week"):
        yield error(
            origins.at("changes", number, "lifts"),
            "change-when",
            "a lift stands on a day, not in a week, so this lifts nothing",
            "write on: and its date in place of week",
        )
    if change.false_alarm and change.lifts.sign == "pain":
        yield error(
            origins.at("changes", number, "false_alarm"),
            "change-lifts",
            "scores of pain that sent the plan back are no false alarm",
            "correct the scores in the log, or take this out",
        )
    if lacks(change, "seen_by"):
        yield error(
            origins.at("changes", number, "lifts"),
            "change-lifts",
            "seen_by is missing beside lifts",
            "add seen_by: and who looked into the sign",
        )
    if change.lifts.sign not in LIFTED:
        yield error(
            origins.value("changes", number, "lifts"),
            "change-lifts",
            f"{quoted(change.lifts.sign)} is no sign",
            f"{nearest(change.lifts.sign, LIFTED)}write one of {', '.join(LIFTED)}",
        )
    if change.on is not None and change.on <= change.lifts.on:
        yield error(
            origins.value("changes", number, "on"),
            "change-lifts",
            f"this is not after the day of the sign, {change.lifts.on}",
            "check both dates; a lift lies after the day of the sign",
        )


def _change_session(change: Change, origins: Origins, number: int) -> Iterator[Problem]:
    """A session says its own kind, and stands on a day."""
    if not gives(change, "session"):
        return
    if gives(change, "kind"):
        yield error(
            origins.at("changes", number, "kind"),
            "change-kind",
            "the session says its own kind",
            "keep one of session and kind",
        )
    if lacks(change, "on") and gives(change, "week"):
        yield error(
            origins.at("changes", number, "session"),
            "change-when",
            "a session stands on a day, not in a week",
            "write on: and its date in place of week",
        )


CHANGE_CHECKS: tuple[Callable[[Change, Origins, int], Iterator[Problem]], ...] = (
    _change_day_or_week,
    _change_does,
    _change_rest,
    _change_move,
    _change_kind,
    _change_session,
    _change_lifts,
)


def _changes_and_weeks(client: Client, origins: Origins) -> Iterator[Problem]:
    for number, change in numbered(client.changes):
        if (known(change, "week") or 0) > client.plan.weeks:
            what = f"week {change.week}"
            yield outside_plan(client, origins.value("changes", number, "week"), what)


def _changes_and_days(client: Client, origins: Origins) -> Iterator[Problem]:
    first, last = first_day(client), last_day(client)
    for number, change in numbered(client.changes):
        for name in ("on", "move_to"):
            day: date | None = known(change, name)
            if day is not None and not first <= day <= last:
                yield outside_plan(client, origins.value("changes", number, name), str(day))


CHECKS: tuple[Check, ...] = (
    _notes,
    _changes,
    _changes_and_weeks,
    _changes_and_days,
)
