"""Every alarm of a practice, most urgent first, and the answer to one.

An alarm is worked out afresh from files, logs and what waits aside, also of a client whose files
have errors; only the answer is kept, in ``ID.alarms.yaml``.
"""

from __future__ import annotations

import contextlib
import os
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from sitegen import world
from sitegen.care.signs import sign_words, urgency
from sitegen.checkins.aside import ASIDE, Waiting, codes_of, read_aside
from sitegen.model.alarm import Alarm, AlarmAnswer
from sitegen.model.case import Case
from sitegen.model.problem import Origin, Problem
from sitegen.plan.alarms import alarms, open_first
from sitegen.plan.condition import log_with_readings
from sitegen.plan.fold import expand
from sitegen.plan.joined_alarms import KEPT_ASIDE, joined, some_keys
from sitegen.practice.answers import read_answers, with_answers
from sitegen.practice.opening import ANSWERS, Opened
from sitegen.practice.orphans import lenient_cases, orphans, practice_as_read
from sitegen.practice.waits import alarm_key, alarm_number
from sitegen.rules.signs import MUTED_DAYS
from sitegen.seal.keys_file import KEYS_FILE, load_keys
from sitegen.versions import recording

PRACTICE = "practice"  # whose alarms those are that nobody can be named for


@dataclass(frozen=True, slots=True)
class ToldAlarms:
    """All alarms, by whose they are; `PRACTICE` for nobody's. Each is most urgent first."""

    alarms: Mapping[str, tuple[Alarm, ...]]
    as_of: Mapping[str, date]

    @property
    def open(self) -> tuple[tuple[str, Alarm], ...]:
        """Those that wait for an answer, of everybody, most urgent first."""
        found = [(id, one) for id, mine in self.alarms.items() for one in mine if one.is_open]
        return tuple(sorted(found, key=lambda each: self.order(*each)))

    def order(self, id: str, one: Alarm) -> tuple[int, bool, date, str, bool, int]:
        """Sorts alarms of everybody: by kind. A run through a stop stands before the most urgent
        alarm of the same client, and so never before another client's that is more urgent."""
        is_other = one.place[0]
        mine = [each.place[1:] for each in self.alarms[id] if each.is_open]
        lead = one.place[1:] if is_other or not one.is_open else min(mine)
        return *lead, id, is_other, one.number


def alarms_of_case(case: Case, day: date) -> tuple[Alarm, ...]:
    """The alarms of one client, as of a day."""
    return alarms(case, log_with_readings(case, day))


def alarms_told(
    opened: Opened,
    everything: bool = False,
    of_case: Callable[[Case, date], tuple[Alarm, ...]] = alarms_of_case,
) -> ToldAlarms:
    """Every alarm of the clients who were asked for, and of what waits aside.

    With ``everything`` also notices of what was more than told, for which plans are drawn up. Who
    keeps alarms of cases hands in ``of_case``.
    """
    day = opened.as_of
    found: dict[str, tuple[Alarm, ...]] = {}
    days: dict[str, date] = {}
    waiting = _waiting(opened)
    cases = {**_lenient(opened), **opened.cases}
    is_whole = set(opened.ids) == set(opened.all_ids)
    alone = {one.id for one in orphans(opened.clients)} if is_whole else set()
    for id in sorted({*opened.ids, *alone}):
        case = cases.get(id)
        if case is None:
            continue
        days[id] = day or world.today(case.timezone)
        known = (
            expand(case, days[id]).alarms
            if everything and id in opened.cases
            else of_case(case, days[id])
        )
        numbers = {each.number for one in known for each in one.all}
        aside = _aside([w for w in waiting if w.id == id], case.answers, numbers)
        found[id] = open_first(joined((*known, *aside)))
    nobodys = [w for w in waiting if w.id not in found]
    if nobodys and is_whole:
        path = _path(opened, PRACTICE)
        answers, _ = read_answers(_bytes(path), path.as_posix())
        found[PRACTICE] = open_first(joined(_aside(nobodys, answers, set())))
    return ToldAlarms(found, days)


def _lenient(opened: Opened) -> dict[str, Case]:
    """Clients whose files have errors, as far as they can be read, and logs without a client."""
    lost = frozenset(opened.ids) - opened.cases.keys()
    alone = orphans(opened.clients)
    if not lost and not alone:
        return {}
    practice = practice_as_read(opened.clients, opened.house and opened.house.practice)
    place = opened.clients.as_posix()
    found = lenient_cases(opened.clients, lost, practice)
    return found | {one.id: one.case(practice, place) for one in alone}


def _waiting(opened: Opened) -> tuple[Waiting, ...]:
    if not (opened.clients / ASIDE).is_dir():
        return ()
    keys, _ = load_keys(opened.clients / KEYS_FILE)
    return read_aside(opened.clients, codes_of(keys), opened.all_ids)


def _aside(
    waiting: Sequence[Waiting], answers: Sequence[AlarmAnswer], numbers: set[int]
) -> Iterator[Alarm]:
    """What nobody could place, until it is in a log or answered.

    Each has a number of its own, by its file's name, so that none changes when another comes or
    goes; ``numbers`` are those that others have.
    """
    for one in waiting:
        matter, since = alarm_key(one.name)
        number = alarm_number(one.name)
        while number in numbers:  # one in some thousands
            number += 1
        numbers.add(number)
        tells = f" and tells of {', '.join(map(sign_words, one.signs))}" if one.signs else ""
        given = next((a for a in answers if (a.matter, a.since) == (matter, since)), None)
        yield Alarm(
            kind=urgency(one.signs[0]) if one.signs else "ask",
            matter=matter,
            since=since,
            says=f"a message waits in {ASIDE}/{one.name}{tells}: read it",
            number=number,
            because=Origin(f"{ASIDE}/{one.name}"),
            answer=given,
            is_standing=given is None,
            signs=one.signs,
            group=KEPT_ASIDE,
            by_words=bool(one.signs) and one.is_message,
        )


def _path(opened: Opened, id: str) -> Path:
    """Where answers are kept; the practice's own in a file that stands for no client."""
    return opened.clients / (ANSWERS if id == PRACTICE else f"{id}{ANSWERS}")


def _bytes(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError:
        return b""


# --- words ------------------------------------------------------------------------------------

LOUD = {"now": "NOW", "today": "TODAY", "ask": "ASK", "notice": "notice"}


def alarm_line(id: str, one: Alarm) -> str:
    """``NOW mara 2: chest pain was told on 2027-02-09``."""
    number = f" {one.number}" if one.number else ""
    done = ""
    if one.answer is not None:
        done = f"; answered on {one.answer.on}: {one.answer.because}"
    if one.freed_by:
        done += f"; seen by {one.freed_by}"
    stands = "; the plan is still stopped" if done and one.is_standing and one.kind != "ask" else ""
    return f"{LOUD[one.kind]} {id}{number}: {one.says}{done}{stands}"


def alarm_lines(found: ToldAlarms, everything: bool = False) -> list[str]:
    """Open alarms, most urgent first; with ``everything`` also answered ones and notices."""
    lines = [alarm_line(id, one) for id, one in found.open]
    if everything:
        answered = [
            (id, one) for id, mine in found.alarms.items() for one in mine if not one.is_open
        ]
        lines = [
            line
            for id, one in (*found.open, *answered)
            for line in (
                alarm_line(id, one),
                *(f"  {each.key}: {each.says}" for each in one.members),
            )
        ]
    count = len(found.open)
    if count:
        aside = f"; what waits in {ASIDE} stops no plan: if you know whose, receive --for ID FILE"
        lines.append(
            f"{count} alarm{'' if count == 1 else 's'} open; "
            'when you have acted: sitegen answer ID N --because "what you did"'
            + (aside if any(id == PRACTICE for id, _ in found.open) else "")
        )
    else:
        lines.append("no alarm is open")
    return lines


def alarms_json(found: ToldAlarms) -> list[dict[str, Any]]:
    """What ``sitegen alarms --json`` prints: open ones first."""
    rows = [(id, one) for id, mine in found.alarms.items() for one in mine]
    rows.sort(key=lambda each: (not each[1].is_open, *found.order(*each)))
    return [{"client": id, **one.as_json()} for id, one in rows]


# --- answering --------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Answered:
    """What `answer` did; ``problems`` where it could not."""

    line: str = ""
    hint: str = ""
    problems: tuple[Problem, ...] = ()


def answer(
    opened: Opened,
    id: str,
    number: int,
    because: str,
    seen_by: str | None,
    on: date | None,
    not_client: bool = False,
    matter: str | None = None,
) -> Answered:
    """Note the coach's answer to one alarm.

    Args:
        opened: The practice, with that client, or everybody for `PRACTICE`.
        id: The client, or `PRACTICE`.
        number: The alarm's, as `alarm_lines` shows it.
        because: What was done.
        seen_by: Who saw the client.
        not_client: The check-in behind it was somebody else's.
        on: The day; None for today, where the client is.
        matter: What the alarm is about, with its day or without: any other is not answered.
    """
    found = alarms_told(opened)
    mine = found.alarms.get(id, ())
    path = _path(opened, id)
    one = next((each for each in mine if each.has_number(number)), None)
    if one is None:
        listed = ", ".join(str(each.number) for each in mine if each.is_open) or "none"
        wrong = f"{id} has no alarm {number}"
        return _failed(path, wrong, f"open are: {listed}; see sitegen alarms")
    if not one.is_about(matter):
        wrong = f"alarm {number} of {id} is {some_keys(one.keys)}, not {matter}"
        return _failed(path, wrong, "look again: sitegen alarms")
    if not one.is_open:
        return _failed(path, f"alarm {number} of {id} is answered already", "see sitegen alarms")
    if not_client and not one.is_unsigned:
        wrong = f"alarm {number} of {id} is no sign from a check-in without a signature"
        return _failed(path, wrong, "answer it without --not-client")
    day = on or found.as_of.get(id) or world.today("UTC")
    if day < one.since <= (found.as_of.get(id) or day):
        return _failed(path, f"{day} is before the alarm, {one.since}", "check --on")
    matters = dict.fromkeys((each.matter, each.since) for each in one.all)
    if not_client:  # it holds for all of them, and for others to come
        matters = dict.fromkeys([min(matters, key=lambda each: each[1])])
    told = Counter((e.matter, e.since) for a in mine for e in a.all if e.matter in e.signs)
    given = [
        AlarmAnswer(*each, day, because, seen_by, None, not_client, told[each] or None)
        for each in matters
    ]
    old = _bytes(path).decode("utf-8", "replace") if path.exists() else None
    text = with_answers(old, path.as_posix(), given)
    if isinstance(text, Problem):
        return Answered(problems=(text,))
    if (_bytes(path).decode("utf-8", "replace") if path.exists() else None) != old:
        return _failed(path, "the file was changed at the same time", "run this again")
    try:
        with recording(opened.clients, "answer") as record:
            with contextlib.suppress(world.Refused):  # an answer counts for more than its undo
                record.keep(path, text.encode("utf-8"), f"alarm {number} answered")
            world.write_text_atomic(path, text, mode=0o600)
    except (OSError, world.Refused) as error:
        return _failed(path, str(error), "")
    stops = [each for each in mine if each.is_standing and each.kind in ("now", "today")]
    frees = _what_frees(id, one, day, not_client, stops)
    if not_client and (counts := _still_counts(opened, id, one)):
        frees += f"; what else it told still counts, take it out: {counts}"
    return Answered(f"answered: {alarm_line(id, one)}", frees)


def _still_counts(opened: Opened, id: str, one: Alarm) -> str:
    """Where in the log an alarm's check-ins stand that told of a run or of pain as well."""
    case = {**_lenient(opened), **opened.cases}.get(id)
    told = {each.because for each in one.all}
    found = [
        case.log_origins.value(number)
        for number, entry in enumerate(case.log)
        if entry.is_run_or_walk or entry.pain or entry.skipped
    ] if case else []  # fmt: skip
    return " and ".join(f"{at.file}:{at.line}" for at in found if at in told)


def _what_frees(
    id: str, one: Alarm, day: date, not_client: bool, stops: Sequence[Alarm] = ()
) -> str:
    """What an answer alone does not do; ``stops`` are the alarms that still stop the plan."""
    if not_client:
        until = day + timedelta(MUTED_DAYS)
        return (
            f"until {until} check-ins of {id} that are not signed are shown and their signs stop "
            f"nothing; say so to {id}, who calls you if anything is wrong; build and publish"
        )
    if one.matter.startswith("aside"):
        return "no log holds it: if a client wrote it, add what it tells to that client's log"
    if one.kind == "ask" and stops:
        numbers = " and ".join(str(each.number) for each in stops)
        return f"the plan stays stopped all the same, by alarm {numbers}"
    if one.kind == "ask":
        return "the plan goes on as it says; build and publish to show it"
    each = f", one each for {some_keys(one.keys)}" if one.members else ""
    return (
        f"the plan stays stopped: once somebody has seen the client: sitegen lift {id} "
        f"{one.number} {one.matter} --seen-by WHO --because WHAT; or write under changes in "
        f"{id}.yaml: - {{on: DATE, lifts: {one.key}, seen_by: WHO, because: WHAT}}{each}"
    )


def _failed(path: Path, message: str, hint: str) -> Answered:
    return Answered(problems=(Problem(Origin(os.fspath(path)), message, hint, "answer"),))
