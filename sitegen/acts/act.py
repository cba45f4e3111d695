"""What every act is given and gives, and how a coach names a day or a week."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any, NamedTuple

import yaml

from sitegen.model.alarm import short_day, weekday_words
from sitegen.model.case import Case
from sitegen.model.client import DAYS
from sitegen.model.kinds import Unfit, parse_date, quoted
from sitegen.model.plan import Plan, Session, Week
from sitegen.practice.entry import Entry
from sitegen.practice.yaml_text import one_line

DAY = timedelta(days=1)
WEEK = timedelta(days=7)


class ClientNow(NamedTuple):
    """A client's files, and the plan as of one day."""

    case: Case
    plan: Plan


class Act(NamedTuple):
    """What an act does, in a few words, the entries that it writes, and the weeks it is about.

    ``shows`` is told of an act that moves no minutes, in place of what the weeks become. One that
    ``lifts`` ends a stop, and says which questions are still to be answered.
    """

    says: str
    entries: tuple[Entry, ...]
    weeks: tuple[int, ...] = ()
    shows: str = ""
    lifts: bool = False


class Refusal(NamedTuple):
    """Why an act has nothing to write, and what to do instead."""

    message: str
    hint: str


def change(because: str, **fields: str) -> Entry:
    """A further entry under ``changes``; what was said is put on one line, as the field is."""
    told = {key: one_line(text) for key, text in {**fields, "because": because}.items()}
    return Entry(("changes",), {**told}, adds=True)


def settings_named(settings: Sequence[str], like: str) -> list[tuple[str, Any]] | Refusal:
    """Each key with its value, of lines that a coach could write; ``like`` is such a line."""
    found: list[tuple[str, Any]] = []
    for written in settings:
        try:
            read: Any = yaml.load(written, yaml.BaseLoader)
        except yaml.YAMLError:
            read = None
        if not isinstance(read, dict) or not read:
            return Refusal(f"{quoted(written)} is no setting", f"write it like {like}")
        found += read.items()
    return found or Refusal("no setting was named", f"write one like {like}")


def day_named(text: str, plan: Plan) -> date | Refusal:
    """The day of ``2027-02-16``, or of ``tue``: the next one after the plan's day."""
    word = text.strip().lower()
    if len(word) >= 3 and word[:3] in DAYS and _FULL[DAYS.index(word[:3])].startswith(word):
        ahead = (DAYS.index(word[:3]) - plan.as_of.weekday() - 1) % 7 + 1
        return plan.as_of + DAY * ahead
    try:
        return parse_date(text.strip())
    except Unfit:
        return Refusal(f'"{text}" is no day', "write a weekday like tue, or a date like 2027-02-16")


_FULL = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


def week_named(text: str | None, plan: Plan) -> Week | Refusal:
    """The week of ``6``, or of a date in it; of None the one that begins today or next."""
    if text is None:
        found = next((w for w in plan.weeks if w.start >= plan.as_of), None)
        if found is None:
            return Refusal(
                f"the plan of {plan.client} has no week ahead",
                "write plan: weeks: in the client's file, or name a week",
            )
        return found
    if text.strip().isdecimal():
        found = next((w for w in plan.weeks if w.number == int(text)), None)
        if found is None:
            many = f"{len(plan.weeks)} week{'' if len(plan.weeks) == 1 else 's'}"
            return Refusal(f"there is no week {text.strip()}", f"the plan has {many}")
    else:
        day = day_named(text, plan)
        if isinstance(day, Refusal):
            return Refusal(
                f'"{text}" is no week', "write its number like 6, or a date in it like 2027-02-16"
            )
        found = plan.week_of(day)
        if found is None:
            return outside(plan, day)
    if found.start + WEEK <= plan.as_of:
        return Refusal(f"week {found.number} is over", "what was run stays as it was told")
    return found


def outside(plan: Plan, day: date) -> Refusal:
    """That a day lies in no week of the plan."""
    if not plan.weeks:
        return Refusal(f"{plan.client} has no plan", "see sitegen why " + plan.client)
    first, last = plan.weeks[0].start, plan.weeks[-1].start + 6 * DAY
    return Refusal(
        f"{day} lies outside the plan of {plan.client}", f"it goes from {first} to {last}"
    )


def day_ahead(text: str, plan: Plan) -> date | Refusal:
    """A day of the plan that is not over."""
    day = day_named(text, plan)
    if isinstance(day, Refusal):
        return day
    if plan.week_of(day) is None:
        return outside(plan, day)
    if day < plan.as_of:
        return Refusal(f"{weekday_words(day)} is over", "what was run stays as it was told")
    return day


def sessions_on(plan: Plan, day: date) -> tuple[Session, ...]:
    return tuple(s for s in plan.sessions if s.on == day)


def training_minutes(sessions: Sequence[Session]) -> float:
    """Minutes of running but for an event."""
    return sum(s.run_minutes for s in sessions if s.kind != "event")


def week_words(week: Week) -> str:
    """``week 6 (15 to 21 Feb)``."""
    last = week.start + 6 * DAY
    first = str(week.start.day) if last.month == week.start.month else short_day(week.start)
    return f"week {week.number} ({first} to {short_day(last)})"
