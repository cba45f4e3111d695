"""The sheet: one row a client, for the week behind and the week ahead.

What was told and done, what is next, what is otherwise than what the client last saw, what the tool
asks, and the coach's own note. A row is remembered by what it was made of, in `SHEET_FILE`, so that
the sheet of an evening draws up only the plans of who changed.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from datetime import date, timedelta
from pathlib import Path
from statistics import fmean
from typing import TYPE_CHECKING, Any, NamedTuple

from sitegen import world
from sitegen.practice.naming import is_error
from sitegen.practice.opening import ClientFiles, Listed, Progress, list_practice
from sitegen.site.change_words import change_words
from sitegen.site.made_of import house_made_of
from sitegen.site.memory import hash_of
from sitegen.site.notes import SEEN_FILE, SHEET_FILE, Notes
from sitegen.site.remember import tool, zone

if TYPE_CHECKING:
    from sitegen.coach.roster import RosterRow
    from sitegen.model.case import Case
    from sitegen.model.plan import Plan, Week
    from sitegen.model.problem import Problem

WEEK = timedelta(days=7)
DAY = timedelta(days=1)
SAID_LENGTH = 120  # characters of what a client said: about what its cell of the printed page holds


class WeekBehind(NamedTuple):
    """The week before the one ahead: what was told, and what was heard of it.

    Minutes are of running. ``pain`` is the worst score, ``effort`` the mean one, ``spm`` the mean
    step rate as logged; None where nobody told.
    """

    number: int
    start: str
    told_minutes: float
    done_minutes: float
    told_runs: int
    done_runs: int
    pain: int | None
    pain_site: str
    effort: float | None
    spm: int | None
    aim_spm: int


class SessionAhead(NamedTuple):
    """A session of the week ahead; ``at`` is its hour, or empty."""

    on: str
    at: str
    kind: str
    title: str
    minutes: float
    hard: bool


class WeekAhead(NamedTuple):
    """The week that begins today or next."""

    number: int
    start: str
    kind: str
    run_minutes: float
    sessions: tuple[SessionAhead, ...]


class Said(NamedTuple):
    """What a client told in words on a day, shortened and on one line."""

    on: str
    says: str


QUIET = frozenset({"not-begun", "as-planned"})
"""Kinds of reasons that ask nothing of the coach."""


class Asked(NamedTuple):
    """What the tool asks of the coach, or has to say: a reason of the roster."""

    kind: str
    says: str


class SheetRow(NamedTuple):
    """One client. ``place`` sorts rows as the roster does; ``changed`` are sentences, of what is
    otherwise than what was seen on ``seen_on``; ``said`` is what the client told in words since the
    week behind began, newest first. Days are ISO 8601."""

    id: str
    name: str
    group: str
    as_of: str
    status: str
    place: tuple[int, float]
    behind: WeekBehind | None = None
    ahead: WeekAhead | None = None
    seen_on: str = ""
    changed: tuple[str, ...] = ()
    asks: tuple[Asked, ...] = ()
    has_alarm: bool = False
    is_silent: bool = False
    private: str = ""
    said: tuple[Said, ...] = ()

    def is_one_of(self, only: Sequence[str]) -> bool:
        """Whether it is among those asked for; all are where nothing was."""
        kinds = {"alarm": self.has_alarm, "changed": bool(self.changed), "silent": self.is_silent}
        return not only or any(kinds[one] for one in only)


class SheetOfAll(NamedTuple):
    """Rows, most urgent first; and errors of who is in none, or of the whole practice.

    ``is_whole`` is False where what all clients share can't be read: then only who is stopped all
    the same has a row.
    """

    rows: tuple[SheetRow, ...]
    problems: tuple[Problem, ...] = ()
    is_whole: bool = True


def evening_sheet(
    clients: Path,
    as_of: date | None = None,
    group: str | None = None,
    only: Sequence[str] = (),
    progress: Progress | None = None,
    judged: Callable[[ClientFiles], tuple[Case | None, tuple[Problem, ...]]] | None = None,
    planned: Callable[[ClientFiles], Plan | None] | None = None,
) -> SheetOfAll:
    """The rows of all clients, or of some.

    Args:
        clients: The practice's folder.
        as_of: The day; None for today, where each client is.
        group: Only those of this group.
        only: Only those of whom one is so: ``alarm``, ``changed``, ``silent``.
        progress: Told of each client looked at.
        judged: Who has read files already gives here what they say, as `Listed.judge` does.
        planned: Who has plans already gives them here, as of the same day.

    Raises:
        Refused: The folder can't be read.
    """
    listed = list_practice(clients)
    house = house_made_of(listed.shared, tool())
    rows: list[SheetRow] = []
    problems = {*filter(is_error, listed.problems)}
    with (
        Notes(clients, SHEET_FILE, is_spare=True) as remembered,
        Notes(clients, SEEN_FILE, is_spare=True) as noted,
    ):
        for done, (files, told) in enumerate(listed.files(listed.ids)):
            if progress is not None:
                progress(done, len(listed.ids), "looking at clients")
            problems.update(told)
            seen = noted.get(files.id)
            of = hash_of(house, seen, *files.contents)
            row = _remembered(remembered.get(files.id), of, as_of)
            if row is None:
                case, wrong = (judged or listed.judge)(files)
                if listed.house is None:
                    told = tuple(sorted({*problems, *listed.read[1]}))
                    return SheetOfAll(tuple(_stopped(listed, as_of)), told, is_whole=False)
                problems.update(filter(is_error, wrong))
                plan = planned(files) if planned is not None and case is not None else None
                row, text = _drawn(listed, files.id, case, of, as_of, seen, plan)
                remembered.note(files.id, text)
            rows.append(row)
        with suppress(world.Refused):
            remembered.keep(listed.all_ids)
    rows += [*_aside(listed), *_alone(listed, as_of)]
    kept = (row for row in rows if group in (None, row.group) and row.is_one_of(only))
    return SheetOfAll(
        tuple(sorted(kept, key=lambda row: (*row.place, row.id))), tuple(sorted(problems))
    )


def _drawn(
    listed: Listed,
    id: str,
    case: Case | None,
    of: str,
    as_of: date | None,
    seen: str,
    plan: Plan | None,
) -> tuple[SheetRow, str]:
    """A client's row, worked out, and the text by which it is remembered; empty for none."""
    from sitegen.coach.rows_beside import unreadable_row
    from sitegen.site.plans import open_plans, plan_of

    if case is None:  # danger that a log tells of is told all the same
        row = _row(unreadable_row(open_plans(listed.clients, (id,), as_of), id))
        return row._replace(has_alarm=any(one.kind in ("urgent", "sign") for one in row.asks)), ""
    assert listed.house is not None
    plan = plan or plan_of(case, listed.house, as_of or world.today(case.timezone))
    row = row_of_sheet(case, plan, seen)
    return row, json.dumps([of, case.timezone, zone(case.timezone), row])


def _aside(listed: Listed) -> Iterator[SheetRow]:
    """One row for all that waits aside, as the roster has it."""
    from sitegen.checkins.aside import ASIDE

    if (listed.clients / ASIDE).is_dir():
        from sitegen.coach.rows_beside import aside_rows

        for row in aside_rows(listed.clients, listed.all_ids):
            yield _row(row)._replace(has_alarm=True)


def _stopped(listed: Listed, as_of: date | None) -> Iterator[SheetRow]:
    """Rows of who is stopped where the practice's own file has an error, as the roster has them."""
    from sitegen.coach.rows_beside import stopped_rows
    from sitegen.practice.opening import Opened

    of = Opened(listed.clients, listed.ids, listed.all_ids, None, {}, (), as_of)
    for row in sorted(stopped_rows(of), key=lambda row: row.place):
        yield _row(row)._replace(has_alarm=True)


def _alone(listed: Listed, as_of: date | None) -> Iterator[SheetRow]:
    """Rows of logs without a client, as the roster has them."""
    if listed.lost or any(p.code == "log-alone" for p in listed.problems):
        from sitegen.coach.rows_beside import rows_alone
        from sitegen.practice.opening import Opened

        nobody = Opened(listed.clients, (), (), listed.house, {}, (), as_of)
        for row in rows_alone(nobody):
            yield _row(row)._replace(has_alarm=True)


# --- one row ----------------------------------------------------------------------------------


def row_of_sheet(case: Case, plan: Plan, seen: str = "") -> SheetRow:
    """One client's row, as of the plan's day.

    Args:
        case: The client's files.
        plan: The plan of them.
        seen: What the last build noted of what the client saw (`sitegen.portal.changed`).
    """
    from sitegen.coach.roster import row_of
    from sitegen.portal.changed import read_kept
    from sitegen.portal.edition import split_edition
    from sitegen.portal.told_before import changes_json

    row = _row(row_of(case, plan))
    ahead = next((week for week in plan.weeks if week.start >= plan.as_of), None)
    start = ahead.start if ahead else plan.as_of + DAY
    behind = next((w for w in reversed(plan.weeks) if w.start < start), None)
    if behind is not None and behind.start + WEEK < start - 6 * DAY:
        behind = None
    if behind is not None and plan.unasked and not _is_heard(case, behind):
        behind = None  # nobody tells of it, by agreement: "0 of 3 runs" would be no truth
    _, kept = split_edition(seen)
    told = changes_json(case, plan, read_kept(kept)) or {}
    return row._replace(
        behind=_behind(case, plan, behind) if behind else None,
        ahead=_ahead(ahead) if ahead else None,
        seen_on=told.get("seen_on", ""),
        changed=change_words(told.get("sessions", ())),
        has_alarm=any(one.is_open for one in plan.alarms),
        private=case.client.private or "",
        said=tuple(_said(case, plan.as_of, behind.start if behind else plan.as_of - WEEK)),
    )


def _said(case: Case, as_of: date, since: date) -> Iterator[Said]:
    from sitegen.checkins.words import on_one_line

    lately = [entry for entry in case.log if entry.said and since <= entry.on <= as_of]
    for entry in sorted(lately, key=lambda entry: entry.on, reverse=True):
        yield Said(entry.on.isoformat(), on_one_line(entry.said or "", SAID_LENGTH))


def _is_heard(case: Case, week: Week) -> bool:
    return any(week.start <= entry.on < week.start + WEEK for entry in case.log)


def _row(row: RosterRow) -> SheetRow:
    index, weight, _ = row.place
    return SheetRow(
        id=row.id,
        name=row.name,
        group=row.group or "",
        as_of=row.as_of.isoformat() if row.as_of else "",
        status=row.status,
        place=(index, min(weight, 1e300)),  # JSON knows no infinity
        asks=tuple(Asked(one.kind, one.says) for one in row.reasons),
        is_silent=any(one.kind == "silence" for one in row.reasons),
    )


def _behind(case: Case, plan: Plan, week: Week) -> WeekBehind:
    from sitegen.plan.ledger import as_at_dawn
    from sitegen.rules.log import sessions

    end = week.start + WEEK
    logged = [s for s in sessions(case, plan.as_of) if week.start <= s.on < end]
    runs = [s for s in logged if s.is_run]
    efforts = [s.entry.effort for s in runs if s.entry.effort is not None]
    rates = [s.entry.cadence.spm for s in runs if s.entry.cadence]
    pains = [s.pain for s in logged if s.pain and s.pain.worst is not None]
    worst = max(pains, key=lambda pain: pain.worst or 0, default=None)
    told = [s for s in as_at_dawn(week, case.told) if s.is_run]
    return WeekBehind(
        number=week.number,
        start=week.start.isoformat(),
        told_minutes=round(sum(s.run_minutes for s in told), 1),
        done_minutes=round(sum(s.minutes for s in runs), 1),
        told_runs=len(told),
        done_runs=sum(s.entry.is_run_or_walk for s in logged),
        pain=worst.worst if worst else None,
        pain_site=(worst.site or "") if worst else "",
        effort=round(fmean(efforts), 1) if efforts else None,
        spm=round(fmean(rates)) if rates else None,
        aim_spm=week.cadence.aim,
    )


def _ahead(week: Week) -> WeekAhead:
    sessions = tuple(
        SessionAhead(
            on=s.on.isoformat(),
            at=f"{s.at:%H:%M}" if s.at else "",
            kind=s.read_as,
            title=str(s.title) if s.title else "",
            minutes=round(s.total_minutes, 1),
            hard=s.hard,
        )
        for s in week.sessions
    )
    minutes = round(week.run_minutes, 1)
    return WeekAhead(week.number, week.start.isoformat(), week.kind, minutes, sessions)


# --- remembered -------------------------------------------------------------------------------


def _remembered(text: str | None, of: str, as_of: date | None) -> SheetRow | None:
    """The row of before, where it is made of the same and of the same day."""
    if not text or not text.startswith(f'["{of}"'):
        return None
    try:
        _, timezone, state, raw = json.loads(text)
        row = _of_json(raw)
        if state != zone(timezone) or row.as_of != str(as_of or world.today(timezone)):
            return None
        return row
    except (ValueError, TypeError, LookupError):
        return None


def _of_json(raw: Sequence[Any]) -> SheetRow:
    row = SheetRow(*raw)
    ahead = WeekAhead(*row.ahead) if row.ahead else None
    return row._replace(
        place=(int(row.place[0]), float(row.place[1])),
        behind=WeekBehind(*row.behind) if row.behind else None,
        ahead=ahead and ahead._replace(sessions=tuple(SessionAhead(*s) for s in ahead.sessions)),
        changed=tuple(row.changed),
        asks=tuple(Asked(*one) for one in row.asks),
        said=tuple(Said(*one) for one in row.said),
    )
