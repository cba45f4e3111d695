"""What is otherwise than a client last saw, in words for the coach. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from sitegen.model.alarm import weekday_words

FEW_GONE = 3  # so many are named one by one


def change_words(sessions: Sequence[Mapping[str, Any]]) -> tuple[str, ...]:
    """Changes of `sitegen.portal.told_before.changes_json` in words, a sentence for each reason,
    which comes first: ``Away until 28 Feb: Sun 21 Feb long 70 min (was 80 min), Tue 23 Feb easy 40
    min is gone``."""
    by_reason: dict[str, list[Mapping[str, Any]]] = {}
    for one in sessions:
        reason = one["why"][0].rstrip(".") if one["why"] else ""
        by_reason.setdefault(reason, []).append(one)
    rest = "no single rule" if len(by_reason) > 1 else ""  # else it reads as the reason before it
    return tuple(
        f"{reason or rest}: {_listed(told)}" if reason or rest else _listed(told)
        for reason, told in sorted(by_reason.items(), key=lambda each: not each[0])
    )


def further_words(weeks: Sequence[Mapping[str, Any]]) -> str:
    """Weeks further on for which the coach set the minutes, of the same: ``week 9, from Mon 4 Jan,
    82 min in place of 92``; empty where there is none."""
    return ", ".join(
        f"week {one['week']}, from {weekday_words(date.fromisoformat(one['start']))}, "
        f"{one['after']:.0f} min in place of {one['before']:.0f}"
        for one in weeks
    )


def _listed(told: Sequence[Mapping[str, Any]]) -> str:
    """Each session; of many that all go, as by a stop, how many and from when to when."""
    if len(told) > FEW_GONE and all(one["after"] is None for one in told):
        first, last = (weekday_words(date.fromisoformat(told[i]["before"]["on"])) for i in (0, -1))
        return f"{len(told)} sessions from {first} to {last} are gone"
    return ", ".join(_change(one["before"], one["after"]) for one in told)


def _change(before: Mapping[str, Any] | None, after: Mapping[str, Any] | None) -> str:
    if after is None:
        assert before is not None
        return f"{_named(before)} is gone"
    if before is None:
        return f"{_named(after)} is new"
    if before["on"] != after["on"]:
        return f"{_named(after)} (was {_named(before)})"
    kind = f"{_kind(before)} " if before["kind"] != after["kind"] else ""
    return f"{_named(after)} (was {kind}{_minutes(before)})"


def _named(once: Mapping[str, Any]) -> str:
    day = weekday_words(date.fromisoformat(once["on"]))
    return f"{day} {_kind(once)} {_minutes(once)}"


def _minutes(once: Mapping[str, Any]) -> str:
    """Of running and walking in turn both: more minutes in all can be less running."""
    run = f" with {once['run']} of running" if "run" in once else ""
    return f"{once['minutes']} min{run}"


def _kind(once: Mapping[str, Any]) -> str:
    return str(once["kind"]).replace("_", "/")
