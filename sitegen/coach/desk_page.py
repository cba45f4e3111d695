"""The coach's overview as one page on her own computer: never part of the site, never published.

It holds names and health data in clear, and says so at its top. It is one file without scripts
that loads nothing; its folder is for its owner alone, and a git that looks into it is told to
ignore all of it.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from sitegen import world
from sitegen.coach.equations import VIGOROUS_MET, run_mets, two_trials
from sitegen.coach.loads import WeekLoad, daily, load_of, smoothed, week_load
from sitegen.coach.panels import Panel, panels, span_of
from sitegen.coach.paper import private_page
from sitegen.coach.roster import RosterRow, roster
from sitegen.model.case import Case
from sitegen.model.plan import Plan
from sitegen.model.problem import Problem
from sitegen.portal.words import Words
from sitegen.practice.house import House
from sitegen.practice.opening import Progress
from sitegen.publish.command import home_of, resolved
from sitegen.rules import pain
from sitegen.rules.log import Logged, sessions
from sitegen.site.owned import RECORD
from sitegen.site.plans import Planned, open_plans
from sitegen.world import Refused

PAGE, SHEET_PAGE, LINKS_PAGE = "index.html", "sheet.html", "links.html"
SUFFIX = ".html"
IGNORE = ".gitignore"
MARK = '<meta name="generator" content="sitegen desk'
TEMPLATE, DESK_STYLE = "desk.html", "desk-style.html"

DAY = timedelta(days=1)
WEEK = timedelta(days=7)
LAST_CHECK_INS = 12
SAID_DAYS = 28
UNSIGNED_SHOWN = 30  # of a flood the last; what is signed is always shown
SMOOTHED_DAYS = (7, 28)
ALL_OUT = 10  # effort of a trial run as hard as one can
UNKNOWN = "–"


# --- what the page shows ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class WeekLine:
    """One week that has begun. Texts are ready to be read; `UNKNOWN` where there is no number."""

    number: str
    dates: str
    kind: str
    minutes: str
    runs: str
    load: str
    monotony: str
    strain: str


@dataclass(frozen=True, slots=True)
class CheckInLine:
    day: str
    ran: str
    effort: str
    load: str
    rate: str
    pain: str
    landing: str
    also: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """One client on the page; one whose files can't be read has its row alone."""

    row: RosterRow
    goal: str = ""
    profile: str = ""
    panels: tuple[Panel, ...] = ()
    weeks: tuple[WeekLine, ...] = ()
    smoothed: str = ""
    physiology: tuple[str, ...] = ()
    check_ins: tuple[CheckInLine, ...] = ()
    said: tuple[tuple[str, str], ...] = ()


def sheet_of(row: RosterRow, case: Case, plan: Plan) -> Sheet:
    """Everything that the page shows of one client, as of the plan's day."""
    words = Words(units=case.units)
    logged = sessions(case, plan.as_of)
    goal = case.client.goal
    event = goal.event
    told = [goal.text] if goal.text else []
    if event is not None:
        name = f"{event.name}, " if event.name else ""
        told.append(f"{name}{words.distance(event.distance)} on {words.day_month(event.on)}")
    return Sheet(
        row=row,
        goal=" · ".join(told),
        profile=pain.RULE.values(case).profile,
        panels=panels(case, plan, logged),
        weeks=tuple(_weeks(plan, logged, words)),
        smoothed=_smoothed(logged, plan.as_of),
        physiology=tuple(_physiology(case, logged)),
        check_ins=tuple(_check_in(s, words) for s in reversed(logged[-LAST_CHECK_INS:])),
        said=tuple(_said(logged, plan.as_of, words)),
    )


def _weeks(plan: Plan, logged: Sequence[Logged], words: Words) -> Iterator[WeekLine]:
    """The weeks begun so far, the latest first."""
    by_start = {w.start: w for w in plan.weeks}
    for monday in reversed(span_of(plan).mondays):
        if monday > plan.as_of:
            continue
        week = by_start.get(monday)
        mine = [s for s in logged if monday <= s.on < monday + WEEK]
        runs = [s for s in mine if s.is_run]
        done = sum(s.entry.is_run_or_walk for s in mine)
        planned = [s for s in week.sessions if s.is_run] if week else []
        load = week_load(logged, monday, plan.as_of)
        yield WeekLine(
            number=str(week.number) if week else UNKNOWN,
            dates=words.span(monday, 7),
            kind=week.kind if week else "after the plan",
            minutes=f"{sum(s.minutes for s in runs):.0f} of {week.run_minutes if week else 0:.0f}",
            runs=f"{done} of {len(planned)}",
            load=_load(load),
            monotony=UNKNOWN if load.monotony is None else f"{load.monotony:.2f}",
            strain=UNKNOWN if load.strain is None else f"{load.strain:.0f}",
        )


def _load(load: WeekLoad) -> str:
    if load.unrated:
        return f"≥ {load.total:.0f}" if load.total else UNKNOWN
    return f"{load.total:.0f}"


def _smoothed(logged: Sequence[Logged], as_of: date) -> str:
    """The smoothed daily loads up to yesterday, once there are days enough for the slower one."""
    short, long = SMOOTHED_DAYS
    if not logged or (as_of - logged[0].on).days < long:
        return ""
    first, last = logged[0].on, as_of - DAY
    days = daily(logged, first, last)
    least = "≥ " if any(load_of(s) is None for s in logged if s.on <= last) else ""
    return (
        f"Smoothed load a day, up to yesterday: {least}{smoothed(days, short):.0f} with {short} "
        f"days in view, {least}{smoothed(days, long):.0f} with {long}."
    )


def _physiology(case: Case, logged: Sequence[Logged]) -> Iterator[str]:
    """What published equations say of this runner, each with its caveat."""
    pace = case.client.baseline.pace
    cost = run_mets(pace.seconds_per_km) if pace else None
    if pace is not None and cost is not None and cost >= VIGOROUS_MET:
        yield (
            f"At the baseline's pace running costs about {cost:.0f} times rest (ACSM equation; for "
            "one person it may be far off), so each minute counts as vigorous: the guideline's 75 "
            "to 150 min a week (World Health Organization 2020)."
        )
    trials = [
        (s.entry.distance.metres, float(s.entry.ran.seconds))
        for s in logged
        if s.entry.effort == ALL_OUT and s.entry.distance and s.entry.ran
    ]
    race = case.client.baseline.race
    if race is not None:
        trials.append((race.distance.metres, float(race.time.seconds)))
    found = two_trials(trials[-2], trials[-1]) if len(trials) >= 2 else None
    if found is not None:
        yield (
            f"Two all-out efforts point to a critical speed of {found.critical_speed:.2f} m/s and "
            f"a reserve of {found.reserve_m:.0f} m: good for efforts of 2 to 30 min, and the "
            "reserve is noisy (Kordi M et al. 2019)."
        )


def _check_in(session: Logged, words: Words) -> CheckInLine:
    entry, found = session.entry, session.pain
    ran = [words.minutes(entry.ran.minutes)] if entry.ran else []
    ran += [f"walked {words.minutes(entry.walked.minutes)}"] if entry.walked else []
    ran += [words.distance(entry.distance)] if entry.distance else []
    load = load_of(session) if entry.is_run and entry.effort is not None else None
    scores = (found.during, found.after, found.next_morning) if found else ()
    told = any(score is not None for score in scores)
    pain_words = " / ".join(UNKNOWN if s is None else str(s) for s in scores) if told else UNKNOWN
    also = [sign.replace("_", " ") for sign in entry.signs]
    also += [found.site] if found and found.site else []
    also += [f"heard {'; '.join(one.says for one in entry.heard)}"] if entry.heard else []
    return CheckInLine(
        day=words.day(session.on),
        ran=f"left out: {entry.skipped}" if entry.skipped else ", ".join(ran) or UNKNOWN,
        effort=UNKNOWN if entry.effort is None else str(entry.effort),
        load=UNKNOWN if load is None else f"{load:.0f}",
        rate=str(entry.cadence.spm) if entry.cadence else UNKNOWN,
        pain=pain_words,
        landing=entry.landing or UNKNOWN,
        also=", ".join(also),
    )


def _said(logged: Sequence[Logged], as_of: date, words: Words) -> Iterator[tuple[str, str]]:
    unsigned = 0
    for session in reversed(logged):
        if session.entry.said and (as_of - session.on).days <= SAID_DAYS:
            is_unsigned = session.entry.signed in ("no", "changed")
            unsigned += is_unsigned
            if unsigned <= UNSIGNED_SHOWN or not is_unsigned:
                yield words.day(session.on), session.entry.said
    if unsigned > UNSIGNED_SHOWN:
        yield "", f"{unsigned - UNSIGNED_SHOWN} more that nobody signed stand in the log"


# --- the page as text ---------------------------------------------------------------------------


def page(opened: Planned, templates: Mapping[str, str]) -> str:
    """The whole page: the roster, then each client in the roster's order."""
    sheets = [
        sheet_of(row, opened.cases[row.id], opened.plans[row.id])
        if row.id in opened.cases
        else Sheet(row)
        for row in roster(opened)
    ]
    days = [s.row.as_of for s in sheets if s.row.as_of]
    return private_page(
        templates,
        TEMPLATE,
        DESK_STYLE,
        practice=opened.house.practice.name if opened.house else "",
        as_of=Words().long_date(max(days)) if days else "",
        sheets=sheets,
    )


# --- on the disk --------------------------------------------------------------------------------


def write_desk(
    clients: Path,
    to: Path = Path("desk"),
    as_of: date | None = None,
    out: Path = Path("public"),
    progress: Progress | None = None,
    name: str = PAGE,
) -> tuple[Path | None, Planned]:
    """Write the page into a folder of its own, readable by its owner alone.

    Args:
        clients: The practice's folder.
        to: The page's folder; made if it is not there. Nothing else may lie in it.
        as_of: The day; default: today, where each client is.
        out: The built site's folder, which must not hold the page.
        progress: Told how far it is.
        name: The page's, ``.html`` at its end.

    Returns:
        Where the page is, or None where what all clients share has an error; and the practice
        as it was read, for its problems.

    Raises:
        Refused: The folder belongs to the site, to a target or to other files, or it can't be
            written; nothing was written. Or the practice can't be read.
    """
    opened = open_plans(clients, (), as_of, progress)
    if opened.house is None:
        return None, opened
    text = page(opened, world.read_templates())
    return put_page(opened.house, clients, to, out, name, text), opened


def put_page(house: House, clients: Path, to: Path, out: Path, name: str, text: str) -> Path:
    """Write a page for the coach's eyes into a folder of such pages, readable by its owner alone.

    Args:
        house: What all clients share: its targets must not hold the page.
        clients: The practice's folder.
        to: The page's folder; made if it is not there. Nothing else may lie in it.
        out: The built site's folder, which must not hold the page.
        name: The page's, ``.html`` at its end.
        text: The page.

    Raises:
        Refused: The folder belongs to the site, to a target or to other files, or it can't be
            written; nothing was written.
    """
    named = house.practice.targets.values()
    refuse_site(to, out, [resolved(target, home_of(clients)) for target in named])
    try:
        folder = _private_folder(to)
        for file, content in ((IGNORE, "*\n"), (name, text)):
            with contextlib.suppress(FileNotFoundError):
                (folder / file).chmod(0o600)  # before the new text: a file there keeps its mode
            world.write_text_atomic(folder / file, content, mode=0o600)
    except OSError as error:
        raise Refused(f"{to} can't be written: {error.strerror or error}") from error
    return folder / name


def desk_json(
    page: Path | None = None, ids: Sequence[str] = (), problems: Iterable[Problem] = ()
) -> dict[str, Any]:
    """What ``sitegen desk --json`` prints."""
    return {
        "done": page is not None,
        "page": page.as_posix() if page else None,
        "clients": len(ids),
        "problems": [problem.as_json() for problem in problems],
    }


def refuse_site(to: Path, out: Path, targets: Iterable[str] = ()) -> None:
    """Refuse a folder that is, holds or lies in the built site or a folder that is published to.

    Raises:
        Refused: It is one.
    """
    folder, site = to.resolve(), out.resolve()
    above = (folder, *folder.parents)
    if site in above or folder in site.parents or any((up / RECORD).exists() for up in above):
        raise Refused(
            f"{to} belongs to the built site, and this page is for your eyes alone; "
            "name a folder outside it, like desk"
        )
    for target in targets:
        place = _local_folder(target)
        if place is not None and place in above:
            raise Refused(f"{to} lies in a folder that is published to; name another, like desk")


def _local_folder(target: str) -> Path | None:
    """A target's folder on this computer; None for a host or a git remote."""
    text = target.strip().removeprefix("file://")
    if "://" in text or text.startswith("git+"):
        return None
    return Path(text).expanduser().resolve()


def _private_folder(to: Path) -> Path:
    """The folder with mode 0700; refused where anything but our own page is in it."""
    folder = to.resolve()
    folder.parent.mkdir(parents=True, exist_ok=True)
    with contextlib.suppress(FileExistsError):
        folder.mkdir(mode=0o700)
    if not folder.is_dir():
        raise Refused(f"{to} is a file; name a folder, like desk")
    for found in folder.iterdir():
        is_page = found.suffix == SUFFIX
        mine = is_page or found.name == IGNORE or found.name.endswith(".new")
        if not mine or found.is_symlink() or not found.is_file():
            raise Refused(
                f"{to} holds other things ({found.name}); name a folder for this page alone"
            )
        if is_page and MARK not in found.read_text(encoding="utf-8", errors="replace"):
            raise Refused(f"{to}/{found.name} is not a page of ours; name another folder")
    if os.name == "posix":
        folder.chmod(0o700)
    return folder
