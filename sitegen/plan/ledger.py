"""The ledger: what a client was told, day by day, and what a build adds to it.

A day that is over is read from here and never changes. Each entry tells weeks from its own day on;
the days before it stay as an earlier entry told them. So the order of entries in the file says
nothing, but among those of one day, and two copies of a ledger can be put together.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from types import MappingProxyType
from typing import NamedTuple

from sitegen.model.case import Case
from sitegen.model.plan import Decision, Part, Plan, Session, Week
from sitegen.model.sentence import say
from sitegen.model.told import Telling, ToldWeek, as_written
from sitegen.plan import changes
from sitegen.plan.told_words import with_words, without_usual
from sitegen.rules import cadence
from sitegen.rules.days import monday_of

DAY = timedelta(days=1)
WEEK = timedelta(days=7)
AHEAD_WEEKS = 4  # how far ahead is noted, the week of the day counted; weeks further off still move
LEDGER_HEAD = (
    "# What this client was shown, day by day, as sitegen noted it. Lines are only added at the\n"
    "# end; a day that is over is read from here and never changes. See docs/ledger.md.\n"
)
SAYS = say("This week is over, and stands as it was shown.")
DAYS_CHANGED = say(
    "The days of this week were changed while it was under way. What is over counts, so fewer runs "
    "are left: it has no more running than it had."
)


class InLedger(NamedTuple):
    """What the ledger has of weeks that are over or under way, by their numbers.

    ``told_on`` is the day on which a week was told last, ``missing`` are those that it has not
    whole: they are worked out from the files of today.
    """

    told_on: Mapping[int, date] = MappingProxyType({})
    missing: tuple[int, ...] = ()


class KnownWeek(NamedTuple):
    """A week as the ledger has it, all entries taken together: each day as it was told last before
    it was over.

    ``days`` are those of the week on which it was told anew, oldest first; before the first of
    them nothing is known. ``monday`` are the sessions as they were told on that first one. A
    session that the coach moved into another week stands in the one that it left, as it does in
    `sitegen.plan.fold` until all weeks are drawn. ``earlier`` are those that were known before the
    last of the days.
    """

    week: ToldWeek
    days: tuple[date, ...]
    monday: tuple[Session, ...] = ()
    earlier: tuple[Session, ...] = ()

    @property
    def since(self) -> date:
        return self.days[0]

    @property
    def is_whole(self) -> bool:
        return self.since <= self.week.start

    def openings(self, as_of: date) -> list[date | None]:
        """Days from which this week's days may have been chosen anew, the likeliest first."""
        return [None, *(day for day in self.days[1:] if day < as_of), as_of]


def merged(tellings: Iterable[Telling], as_of: date | None = None) -> dict[date, KnownWeek]:
    """Every told week by its Monday; entries of a day after ``as_of`` are left out.

    Of two entries of one day the later one in the file counts.
    """
    found: dict[date, KnownWeek] = {}
    for telling in sorted(tellings, key=lambda one: one.on):
        if as_of is not None and telling.on > as_of:
            break
        for week in telling.weeks:
            if telling.on >= week.start + WEEK:
                continue  # it was over: nothing can be told of it any more
            since = max(telling.on, week.start)
            before = found.get(week.start)
            new = tuple(s for s in week.sessions if s.on >= since)
            if before is None:
                found[week.start] = KnownWeek(week._replace(sessions=new), (since,), new)
                continue
            kept = tuple(s for s in before.week.sessions if s.on < since)
            days = before.days if since in before.days else (*before.days, since)
            monday = new if since == days[0] else before.monday
            worth = before.week.worth if _earns_on(before, week, since) else week.worth
            week = week._replace(sessions=(*kept, *new), worth=worth)
            is_again = since == before.days[-1]
            earlier = before.earlier if is_again else before.week.sessions
            found[week.start] = KnownWeek(week, days, monday, earlier)
    return _with_strays(found)


def _earns_on(known: KnownWeek, week: ToldWeek | Week, day: date) -> bool:
    """Whether a week told on its Monday earns what it was worth then, however it is seen on a later
    ``day``: what the coach writes for the weeks to come, as less growth, takes nothing from a week
    that is almost done, and gives it nothing."""
    is_whole = known.is_whole and week.start < day
    both_build = known.week.kind == week.kind == "build"
    return is_whole and both_build and min(known.week.worth, week.worth) > 0


def _with_strays(found: dict[date, KnownWeek]) -> dict[date, KnownWeek]:
    """Sessions that moved from another week put back into that one, where it is known."""
    for monday, known in list(found.items()):
        strays = [
            s for s in known.week.sessions if s.moved_from and monday_of(s.moved_from) != monday
        ]
        for stray in strays:
            assert stray.moved_from is not None
            left = found.get(monday_of(stray.moved_from))
            if left is not None:
                sessions = changes.in_order((*left.week.sessions, stray))
                found[left.week.start] = left._replace(week=left.week._replace(sessions=sessions))
        if strays:
            kept = tuple(s for s in found[monday].week.sessions if s not in strays)
            now = found[monday]
            found[monday] = now._replace(week=now.week._replace(sessions=kept))
    return found


def as_at_dawn(week: Week, tellings: Sequence[Telling]) -> list[Session]:
    """A week's sessions, but those of a day on which less was told by its own evening: who runs in
    the morning runs what stood there then."""
    sessions = list(week.sessions)
    for day in sorted({t.on for t in tellings if week.start < t.on < week.start + WEEK}):
        known = merged(tellings, day - DAY).get(week.start)
        before = [s for s in known.week.sessions if s.on == day] if known else []
        now = [s for s in sessions if s.on == day]
        if sum(s.run_minutes for s in before) > sum(s.run_minutes for s in now):
            sessions = [s for s in sessions if s.on != day] + before
    return sessions


# What a build adds ----------------------------------------------------------------------------


def shown(plan: Plan) -> Telling:
    """All that a plan shows of the weeks that are noted: the week of its day, and some ahead."""
    day, end = plan.as_of, plan.as_of + WEEK * AHEAD_WEEKS
    weeks = (week for week in plan.weeks if day < week.start + WEEK and week.start < end)
    told = map(_told_week, weeks)
    return Telling(day, tuple(one._replace(unasked=plan.unasked) for one in told))


def past_of(plan: Plan) -> tuple[Telling, ...]:
    """The weeks of a plan that began before its day, as if each was told on its Monday."""
    begun = (week for week in plan.weeks if week.start < plan.as_of)
    return tuple(Telling(week.start, (_told_week(week),)) for week in begun)


def _told_week(week: Week) -> ToldWeek:
    return ToldWeek(
        number=week.number,
        start=week.start,
        kind=week.kind,
        spm=week.cadence.aim,
        steps=week.steps,
        worth=as_written(week.worth),
        runs=week.runs,
        rung=week.rung,
        by_coach=week.by_coach,
        sessions=tuple(without_usual(s) for s in week.sessions),
        began=week.began if week.began != week.kind else None,
    )


def new_in(shown: Telling, tellings: Sequence[Telling], on: date) -> Telling | None:
    """What a client learns from a page that first lies there on ``on``; None for nothing new.

    Args:
        shown: What the page shows, from the day on which it was built.
        tellings: What was told before.
        on: The day on which the client can see the page: that of the build, or a later one.
    """
    if on < shown.on:
        return None  # it was drawn for a day to come
    known = merged(tellings, on)
    new: list[ToldWeek] = []
    for week in shown.weeks:
        if on >= week.start + WEEK:
            continue
        now = week._replace(sessions=tuple(s for s in week.sessions if s.on >= on))
        if _last_told(known, week.start, on) != now:
            new.append(now)
    return Telling(on, tuple(new)) if new else None


def _last_told(known: dict[date, KnownWeek], monday: date, on: date) -> ToldWeek | None:
    """A week as it was told last, from ``on`` on; sessions stand where they moved to."""
    mine = known.get(monday)
    if mine is None:
        return None
    end = monday + WEEK
    near = (s for one in known.values() for s in one.week.sessions if monday <= s.on < end)
    return mine.week._replace(sessions=changes.in_order(s for s in near if s.on >= on))


# As text ------------------------------------------------------------------------------------


def text_of(telling: Telling) -> str:
    """The lines that one entry adds to the file, each a line of YAML."""
    lines = [f"- told: {telling.on}", "  weeks:"]
    for week in telling.weeks:
        lines.append(f"  - {{{', '.join(_week_words(week))}}}")
        lines.extend(f"  - {{{', '.join(_session_words(s))}}}" for s in week.sessions)
    return "\n".join(lines) + "\n"


def _week_words(week: ToldWeek) -> Iterator[str]:
    yield from (f"week: {week.number}", f"from: {week.start}", f"kind: {week.kind}")
    yield from (f"cadence: {week.spm} spm", f"steps: {week.steps}")
    yield from (f"worth: {week.worth:.9g} min", f"runs: {week.runs}")
    if week.rung is not None:
        yield f"rung: {week.rung}"
    if week.by_coach:
        yield "coach: yes"
    if week.began is not None:
        yield f"began: {week.began}"
    if week.unasked:
        yield "checkins: none"


def _session_words(session: Session) -> Iterator[str]:
    yield from (f"on: {session.on}", f"session: {session.id}", f"kind: {session.kind}")
    if session.at is not None:
        yield f'at: "{session.at:%H:%M}"'
    yield f"effort: {session.effort_low}-{session.effort_high}"
    if session.hard:
        yield "hard: yes"
    if session.fuel_at is not None:
        yield f'fuel: "{session.fuel_at:%H:%M}"'
    if session.moved_from is not None:
        yield f"moved_from: {session.moved_from}"
    if session.drills:
        yield f'drills: "{" ".join(session.drills)}"'
    if session.workout:
        yield f"workout: {session.workout}"
    if session.title is not None:
        yield f"title: {json.dumps(str(session.title), ensure_ascii=False)}"
    if session.purpose is not None:
        yield f"purpose: {json.dumps(str(session.purpose), ensure_ascii=False)}"
    yield f'parts: "{", ".join(_part_words(part) for part in session.parts)}"'
    if any(part.text for part in session.parts):
        words = [str(part.text) if part.text else "" for part in session.parts]
        yield f"says: {json.dumps(words, ensure_ascii=False)}"


def _part_words(part: Part) -> str:
    words = f"{part.kind} {part.minutes:.9g} min"
    if part.repeat != 1:
        words += f" x {part.repeat}"
    if part.cadence_spm is not None:
        words += f" at {part.cadence_spm} spm"
    if part.effort is not None:
        words += f" effort {part.effort}"
    return f"{words} hard {part.hard_minutes:.9g} min" if part.hard_minutes else words


# As weeks -----------------------------------------------------------------------------------


def week_as_told(case: Case, known: KnownWeek, number: int, as_of: date) -> Week:
    """A told week that is over, as week ``number`` of the plan."""
    told = known.week
    return Week(
        number=number,
        start=told.start,
        kind=told.kind,
        cadence=cadence.band(told.spm),
        sessions=tuple(
            _session(case, s, number)
            for s in told.sessions
            if s.on < as_of or _still_moves(case, s)
        ),
        decisions=(Decision("told", SAYS, None, "what was shown"),),
        steps=told.steps,
        rung=told.rung,
        worth=told.worth,
        runs=told.runs,
        by_coach=told.by_coach,
        began=told.began or told.kind,
    )


def _over(known: KnownWeek, as_of: date, ran_today: int) -> list[Session]:
    """What was told of days that are over, and of today as many runs as were logged already: what
    comes in afterwards redraws no run that is done."""
    today = [s for s in known.week.sessions if s.on == as_of and s.is_run][:ran_today]
    return [s for s in known.week.sessions if s.on < as_of or s in today]


def with_days_over(
    case: Case, known: Mapping[date, KnownWeek], week: Week, as_of: date, ran_today: int = 0
) -> Week:
    """A week with its days that are over and were told, as they were told; so too where the coach
    moved a session of it to a day before its Monday.

    ``ran_today`` is how many runs are logged of ``as_of``, none where a stop was known before.
    """
    told = known[week.start].week
    over = _over(known[week.start], as_of, ran_today)
    mine = [_session(case, s, week.number) for s in over]
    used = {s.id for s in mine}
    is_run_today = any(s.on == as_of for s in mine)
    rest = []
    for session in week.sessions:
        its = known.get(monday_of(session.on))
        if its is not None and its.since <= session.on < as_of:
            continue
        if is_run_today and session.on == as_of and session.is_run:
            continue
        if session.id in used:
            session = session._replace(id=_free_id(session.id, used))
        used.add(session.id)
        rest.append(session)
    if mine and not _days(rest) <= _days(told.sessions):
        kept = _none_more(mine, rest, told.sessions, week.run_minutes)
        if len(kept) < len(rest):
            decision = Decision("told", DAYS_CHANGED, case.origins.at("week"), "arithmetic")
            week = week._replace(decisions=(*week.decisions, decision))
        rest = kept
    sessions = changes.in_order((*mine, *rest))
    steps = changes.steps(sessions, case.client.baseline.cadence.spm)
    week = week._replace(sessions=sessions, steps=steps)
    if is_run_today and week.start + 6 * DAY == as_of and week.kind == "return":
        # Away until today, whose run was told before that: nothing of the week is left to come back
        # in, and Monday reads it as it was told.
        week = week._replace(kind=told.kind, runs=told.runs)
    if week.start + WEEK > as_of:
        earns = _earns_on(known[week.start], week, as_of)
        return week._replace(worth=told.worth) if earns else week
    return week._replace(
        kind=told.kind,
        worth=told.worth,
        runs=told.runs,
        rung=told.rung,
        by_coach=told.by_coach,
        began=told.began or told.kind,
    )


def _none_more(
    over: list[Session], rest: list[Session], told: Sequence[Session], drawn: float
) -> list[Session]:
    """What is left of a week whose days were changed, without the shortest runs of days that held
    none, where with what is over it would have more running than it was told to, or is drawn to."""
    left, most = list(rest), max(drawn, _minutes(told))
    new = [s for s in rest if s.is_run and s.kind != "event" and s.on not in _days(told)]
    for run in sorted(new, key=lambda run: (run.run_minutes, run.on)):
        if _minutes(over) + _minutes(left) <= most:
            break
        left.remove(run)
    return left


def _minutes(sessions: Iterable[Session]) -> float:
    return sum(s.run_minutes for s in sessions)


def fits(known: KnownWeek, week: Week, as_of: date, opens: date | None) -> bool:
    """True where what is drawn of the week of today goes with the days of it that are over.

    The same days before today were drawn as were told, or the same days from today on: else runs
    that were placed otherwise would come on top of those told. ``opens`` is the first day that
    was drawn. What was told today has no say, or a build would change what the next one draws.
    """
    first = max(known.since, opens or week.start)
    drawn, told = _days(week.sessions), _days(known.week.sessions)
    is_same_before = {d for d in drawn if first <= d < as_of} == {
        d for d in told if first <= d < as_of
    }
    ahead = _days(known.earlier) if known.days[-1] == as_of else told
    return is_same_before or {d for d in drawn if d >= as_of} == {d for d in ahead if d >= as_of}


def _days(sessions: Iterable[Session]) -> set[date]:
    return {s.on for s in sessions if s.is_run}


def told_ids(
    case: Case, known: Mapping[date, KnownWeek], as_of: date, ran_today: int = 0
) -> frozenset[str]:
    """Ids of the sessions of days over that stand in the plan as they were told.

    ``ran_today`` is how many runs are logged of ``as_of``, none where a stop was known before.
    """
    return frozenset(
        _id(s, (monday - case.first_monday).days // 7 + 1)
        for monday, one in known.items()
        for s in _over(one, as_of, ran_today)
    )


def as_seen(case: Case, day: date) -> tuple[tuple[Session, ...], date]:
    """All sessions as they were told up to ``day``, and the first day of which nothing was."""
    known = merged(case.told, day)
    sessions = [
        _session(case, s, (monday - case.first_monday).days // 7 + 1)
        for monday, one in known.items()
        for s in one.week.sessions
    ]
    return changes.in_order(sessions), max((monday + WEEK for monday in known), default=day)


def _still_moves(case: Case, session: Session) -> bool:
    """Whether the coach's change that moved a session out of its week is still written."""
    return any(
        change.on == session.moved_from and change.move_to == session.on
        for change in case.client.changes
    )


def _session(case: Case, told: Session, number: int) -> Session:
    return with_words(case, told, _id(told, number))


def _id(told: Session, number: int) -> str:
    """A session's id in week ``number``: where the plan's first week moved, all have others."""
    begins, dash, rest = told.id.partition("-")
    return f"w{number:02}{dash}{rest}" if begins.startswith("w") else told.id


def _free_id(id: str, used: set[str]) -> str:
    begins, _, last = id.rpartition("-")
    name, number = (begins, int(last)) if last.isdigit() else (id, 1)
    while f"{name}-{number}" in used:
        number += 1
    return f"{name}-{number}"


def in_ledger(case: Case, weeks: Iterable[Week], as_of: date) -> InLedger:
    """Which of ``weeks`` were told, and when; which of those begun were not."""
    known = merged(case.told, as_of)
    last: dict[date, date] = {}
    for telling in case.told:
        for told in telling.weeks:
            if telling.on <= as_of and telling.on < told.start + WEEK:
                last[told.start] = max(telling.on, last.get(told.start, telling.on))
    first_day = case.client.plan.from_
    begun = [week for week in weeks if max(week.start, first_day) < as_of]
    told_on = {
        week.number: last[week.start]
        for week in begun
        if week.start in known and known[week.start].since <= max(week.start, first_day)
    }
    return InLedger(told_on, tuple(week.number for week in begun if week.number not in told_on))
