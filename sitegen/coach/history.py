"""One client on one line of time: told, done, changed, rung and answered.

Each line comes from where it is kept: the ledger, the log, the client's file, what the tool noted
of its own acts, alarms and answers. Nothing is worked out anew, so a line says what was, and not
what the rules of today would make of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from pathlib import Path
from typing import Any, NamedTuple

from sitegen.checkins.words import entry_words
from sitegen.coach.alarms import LOUD
from sitegen.coach.link_versions import LINK_END
from sitegen.model.alarm import short_day, weekday_words
from sitegen.model.case import Case
from sitegen.model.client import Change
from sitegen.model.plan import Plan
from sitegen.model.told import Telling, ToldWeek
from sitegen.practice.opening import CLIENT
from sitegen.versions import KeptAct, kept_acts

KINDS_IN_ORDER = ("file", "coach", "decided", "told", "done", "alarm", "answer")
"""``file``: days in the client's file. ``coach``: what a command changed, on the day of doing it.
``decided``: changes, words and days away, on the day that they are about."""

DAY = timedelta(days=1)


class Happened(NamedTuple):
    """One line: its day, one of `KINDS_IN_ORDER`, and what it says."""

    on: date
    kind: str
    says: str

    @property
    def place(self) -> tuple[date, int]:
        return self.on, KINDS_IN_ORDER.index(self.kind)

    def as_json(self) -> dict[str, Any]:
        """One line of ``sitegen history --json``."""
        return {"on": self.on.isoformat(), "kind": self.kind, "says": self.says}


def history_of(case: Case, plan: Plan, clients: Path) -> tuple[Happened, ...]:
    """All that is known of one client, the oldest first.

    Args:
        case: The client's files.
        plan: The plan of them: for alarms, and the Mondays of weeks.
        clients: The practice's folder, for what the tool noted of acts.
    """
    found = [
        *_file(case),
        *_decided(case),
        *(Happened(one.on, "told", _told(one)) for one in case.told),
        *(Happened(entry.on, "done", entry_words(entry)) for entry in case.log),
        *_alarms(plan),
        *_acts(case.id, kept_acts(clients)),
    ]
    return tuple(sorted(found, key=lambda one: one.place))


def history_lines(found: Sequence[Happened]) -> Iterator[str]:
    """A line each; the day stands once."""
    before: date | None = None
    width = max(map(len, KINDS_IN_ORDER))
    for one in found:
        day = f"{one.on} {one.on:%a}" if one.on != before else " " * 14
        before = one.on
        yield f"{day}  {one.kind:<{width}}  {one.says}"
    if not found:
        yield "Nothing is known of these days."


# --- where each comes from ------------------------------------------------------------------------


def _file(case: Case) -> Iterator[Happened]:
    client = case.client
    yield Happened(client.screening.on, "file", "the screening questions were answered")
    if client.screening.cleared_on:
        by = f" by {client.screening.cleared_by}" if client.screening.cleared_by else ""
        yield Happened(client.screening.cleared_on, "file", f"cleared{by}")
    baseline = client.baseline
    week = f"{baseline.week.minutes:g} min a week"
    yield Happened(baseline.on, "file", f"the baseline: {week}, {baseline.cadence.spm} spm")
    event = f", {client.goal.event.name or 'the event'}" if client.goal.event else ""
    yield Happened(client.plan.from_, "file", f"the plan begins: {client.plan.weeks} weeks{event}")


def _decided(case: Case) -> Iterator[Happened]:
    monday = case.first_monday
    for change in case.client.changes:
        on = change.on or monday + (change.week - 1) * 7 * DAY if change.week else change.on
        if on is not None:
            yield Happened(on, "decided", f"{_change(change)}: {change.because}")
    for note in case.client.notes:
        on = monday + (note.week - 1) * 7 * DAY
        yield Happened(on, "decided", f"a word in week {note.week}: {' '.join(note.text.split())}")
    for away in case.client.away:
        until = f"away until {weekday_words(away.to)}"
        yield Happened(away.from_, "decided", f"{until}: {away.because}")


def _change(change: Change) -> str:
    what = []
    if change.rest is not None:
        what.append("rest" if change.rest else "no pause from here on")
    if change.minutes is not None:
        what.append(f"{change.minutes.minutes:g} min")
    if change.move_to is not None:
        what.append(f"moves to {weekday_words(change.move_to)}")
    what += [change.kind.replace("_", "/")] if change.kind else []
    what += [change.session] if change.session else []
    what += [f"{change.cadence.spm} spm"] if change.cadence else []
    if change.lifts is not None:
        seen = f", seen by {change.seen_by}" if change.seen_by else ""
        alarm = ", a false alarm" if change.false_alarm else ""
        what.append(f"lifts {change.lifts}{seen}{alarm}")
    return (f"week {change.week}, " if change.week else "") + ", ".join(what)


def _told(telling: Telling) -> str:
    return "; ".join(map(_week, telling.weeks)) or "nothing new"


def _week(week: ToldWeek) -> str:
    runs = [s for s in week.sessions if s.is_run]
    minutes = sum(s.run_minutes for s in week.sessions)
    days = ", ".join(f"{weekday_words(s.on).split()[0]} {s.run_minutes:.0f}" for s in runs)
    named = f"week {week.number} from {short_day(week.start)}, {week.kind}"
    return f"{named}: {minutes:.0f} min ({days})" if days else f"{named}: no run"


def _alarms(plan: Plan) -> Iterator[Happened]:
    for one in plan.alarms:
        yield Happened(one.since, "alarm", f"{LOUD[one.kind]} {one.number}: {one.says}")
        if one.answer is not None:
            by = f", seen by {one.answer.seen_by}" if one.answer.seen_by else ""
            says = f"alarm {one.number}: {one.answer.because}{by}"
            yield Happened(one.answer.on, "answer", says)


def _acts(id: str, acts: Sequence[KeptAct]) -> Iterator[Happened]:
    """Acts on the client's own file and link, and on what all share; those undone are told so."""
    mine = {f"{id}{CLIENT}", f"{id}{LINK_END}", "practice.yaml"}
    for act in reversed(acts):
        on = date.fromisoformat(act.at[:10])
        for version in act.versions:
            if version.name in mine:
                all_ = ", for all" if version.name == "practice.yaml" else ""
                undone = " (taken back)" if act.is_undone else ""
                yield Happened(on, "coach", f"{act.command}{all_}: {version.says}{undone}")
