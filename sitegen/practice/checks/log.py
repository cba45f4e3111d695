"""Check-ins: each says what was done, once, and in the order of days."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date

from sitegen.model.case import Origins
from sitegen.model.checkin import CheckIn
from sitegen.model.problem import Problem
from sitegen.practice.checks.days import odd_pace
from sitegen.practice.checks.telling import error, warning
from sitegen.practice.partly import NotKnown, gives


def check_log(entries: Sequence[tuple[int, CheckIn]], origins: Origins) -> list[Problem]:
    """Problems of check-ins, given with their number in the file."""
    told: list[Problem] = []
    disordered = 0
    latest: date | None = None
    for number, entry in entries:
        for check in CHECK_IN_CHECKS:
            try:
                found = check(number, entry, origins)
            except NotKnown:
                continue
            if found is not None:
                told.append(found)
        try:
            on = entry.on
        except NotKnown:
            continue
        if latest is not None and on < latest:
            if gives(entry, "signed"):
                continue  # `sitegen receive` wrote it there: it adds at the end, whatever the day
            disordered += 1
            if disordered > MOST_DISORDERED:
                continue
            told.append(
                warning(
                    origins.value(number, "on"),
                    "log-order",
                    f"this check-in stands below one of {latest}",
                    "check the date; it is taken in the order of dates all the same",
                )
            )
        else:
            latest = on
    return told


MOST_DISORDERED = 12  # that are told; a flood brings hundreds
MOST_DIFFERENCE_DB = 40  # judgement: far over what two ways to run differ by


def _ran(entry: CheckIn) -> str:
    """The field that tells of a run, if there is one."""
    return "ran" if gives(entry, "ran") else "distance" if gives(entry, "distance") else ""


def _heard_twice(number: int, entry: CheckIn, origins: Origins) -> Problem | None:
    parts = [one.part for one in entry.heard if gives(one, "part")]
    for at, part in enumerate(parts):
        if part in parts[:at]:
            return error(
                origins.value(number, "heard", at, "part"),
                "heard-twice",
                f"the part {part} of this listening check stands here twice",
                "keep one of them; a second check belongs to a check-in of its own",
            )
    return None


def _heard_difference(number: int, entry: CheckIn, origins: Origins) -> Problem | None:
    for at, one in enumerate(entry.heard):
        if one.difference_db is None:
            continue
        where = origins.value(number, "heard", at, "difference_db")
        if one.part == "usual":
            return error(
                where,
                "heard-usual",
                "the usual part is what the others are compared with, so it has no difference",
                "take it out, or write it in quieter, beat or usual_again",
            )
        if abs(one.difference_db) > MOST_DIFFERENCE_DB:
            way = "quieter" if one.difference_db < 0 else "louder"
            return error(
                where,
                "heard-difference",
                f"{abs(one.difference_db):g} dB {way} than usual is no difference of steps",
                f"write one from -{MOST_DIFFERENCE_DB} to {MOST_DIFFERENCE_DB}, or take it out",
            )
    return None


def _says_nothing(number: int, entry: CheckIn, origins: Origins) -> Problem | None:
    if _ran(entry) or entry.skipped or entry.signs or entry.said or entry.heard:
        return None  # what was heard may come later than the run
    pain = entry.pain
    if pain is not None and {pain.worst, pain.before, pain.walking} != {None}:
        return None
    if entry.walked or entry.well_again:
        return None
    return warning(
        origins.value(number),
        "log-nothing",
        "this check-in does not say what was done",
        "add ran: 30 min, distance: 5 km, or skipped: and why",
    )


def _skipped_and_ran(number: int, entry: CheckIn, origins: Origins) -> Problem | None:
    if not gives(entry, "skipped") or not (ran := _ran(entry)):
        return None
    return error(
        origins.at(number, "skipped"),
        "log-skipped-ran",
        f"this session is skipped, yet {ran} is given",
        "keep one of the two",
    )


def _log_pace(number: int, entry: CheckIn, origins: Origins) -> Problem | None:
    if entry.ran is None or entry.distance is None:
        return None
    if not (odd := odd_pace(entry.ran, entry.distance)):
        return None
    return warning(
        origins.value(number, "distance"),
        "log-pace",
        f"this run makes {odd} per km",
        "check ran and distance",
    )


CHECK_IN_CHECKS: tuple[Callable[[int, CheckIn, Origins], Problem | None], ...] = (
    _says_nothing,
    _heard_twice,
    _heard_difference,
    _skipped_and_ran,
    _log_pace,
)
