"""What changed since the plan that the client had before, and which decisions say why.

What the client saw is in the ledger (`sitegen.portal.told_before`). Where there is none, a build
notes for each client what the next two weeks look like (`Seen`), and the next build on a later day
compares. What is compared with stays until something changes again, so building twice on a day, or
each day without a change, gives the same page. The reasons are kept as hashes: they tell which are
new, and nothing of what they say.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from datetime import date, timedelta
from typing import Literal, NamedTuple, cast, get_args

from sitegen.model.plan import Decision, Plan, Session, SessionKind, Week
from sitegen.rules.precedence import FLOOR, GROWTH, winner

# How far ahead a change is told; weeks further off still move. From a Sunday the second one is in
# sight, too: what a week's long run has less goes to its other runs, and it is what says why.
AHEAD_DAYS = 15
OLD_DAYS = 14  # a plan older than this is not compared with any more
MAX_REASONS = 2
WHY_LETTERS = 8
# Rules whose decisions do not bear on which sessions there are, when, and for how long.
COACHS = "changes"  # the rule of the coach's own changes: her reason comes before any other
NOT_OF_SESSIONS = frozenset({"cadence", "fuel", "feasible"})
# Rules that only bound what others ask for: no run is longer for them.
BOUNDS = frozenset(
    {"age", "event_days", "fewer_days", "guard", "hard", "history", "longest", "spacing"}
)
# Rules whose word alone shapes runs, whatever their minutes were before.
SHAPING = frozenset({"longest", "run_walk"})
# Rules that hold a week or make it less: no run is longer for them either.
HOLDS_BACK = frozenset({"asks", "ease", "overdone", "pain"})


class Once(NamedTuple):
    """A session as it stood: ``minutes`` are whole minutes in all, ``run`` those of them that are
    running, where walking stands between; walking alone is a kind here."""

    id: str
    on: date
    kind: SessionKind | Literal["walk"]
    minutes: int
    run: int = 0


class Seen(NamedTuple):
    """The near part of a plan as of one day, and the hashes of its reasons.

    ``until`` is the first day of which nothing was seen, where it is not two weeks later.
    """

    as_of: date
    sessions: tuple[Once, ...]
    reasons: frozenset[str]
    until: date | None = None


class Kept(NamedTuple):
    """What is remembered of a client: the plan last built, and the one that it is told from."""

    last: Seen
    earlier: Seen | None = None


class Difference(NamedTuple):
    """One session, before and after; None where it was not, or is no more."""

    before: Once | None
    after: Once | None
    because: tuple[Decision, ...] = ()


def seen_of(plan: Plan) -> Seen:
    """What is noted of a plan."""
    # told from for so long, it has to know the reasons of the weeks that come into sight by then
    near = _near(plan.weeks, plan.as_of, AHEAD_DAYS + OLD_DAYS)
    sessions = tuple(_once(plan.weeks, plan.as_of))
    return Seen(plan.as_of, sessions, frozenset(_hash(w, d) for w in near for d in w.decisions))


def remember(kept: Kept | None, plan: Plan) -> Kept:
    """What is remembered once ``plan`` is built."""
    now = seen_of(plan)
    if kept is None:
        return Kept(now)
    if plan.as_of > kept.last.as_of and changes(kept.last, plan):
        return Kept(now, kept.last)
    # Someone may have looked ahead with another day: what is told from has to be an earlier one.
    is_earlier = kept.earlier is not None and kept.earlier.as_of < plan.as_of
    return Kept(now, kept.earlier if is_earlier else None)


def compared_with(kept: Kept | None, plan: Plan) -> Seen | None:
    """The plan to tell changes from: of an earlier day, and not too old."""
    earlier = remember(kept, plan).earlier
    if earlier is None or (plan.as_of - earlier.as_of).days > OLD_DAYS:
        return None
    return earlier


def changes(before: Seen, plan: Plan) -> tuple[Difference, ...]:
    """Sessions from the plan's day on that moved, changed, came or went, by day, for the client.

    None while the plan is not active: the page then says what holds instead.
    """
    return changes_for_coach(before, plan) if plan.status == "active" else ()


def changes_for_coach(before: Seen, plan: Plan) -> tuple[Difference, ...]:
    """The same also where the plan stands still: the client's page has runs until it goes out."""
    until = before.until or before.as_of + timedelta(days=AHEAD_DAYS)
    old = {s.id: s for s in before.sessions}
    new = {s.id: s for s in _once(plan.weeks, plan.as_of)}
    ahead = {s.id for s in old.values() if s.on >= plan.as_of}
    ahead |= {s.id for s in new.values() if s.on < until}
    told = [
        (was, now)
        for was, now in ((old.get(id), new.get(id)) for id in ahead)
        if was != now and not (was and was.on < plan.as_of and now is None)
    ]
    whys = _Whys(before, plan)
    found = [Difference(was, now, whys.of(was, now)) for was, now in _by_day(told)]
    return tuple(sorted(found, key=_when))


_Pair = tuple[Once | None, Once | None]


def _by_day(told: list[_Pair]) -> list[_Pair]:
    """The same, told by days where a session took the day of another that went or moved on.

    Where Monday's run falls away, Wednesday's is no Monday's that moved, with Wednesday's gone.
    """
    for at, (left, then) in enumerate(told):
        if left is None or (then and then.on == left.on):
            continue
        for other, (was, now) in enumerate(told):
            if at != other and was and now and was.on != now.on == left.on and _is_alike(left, now):
                rest = [pair for n, pair in enumerate(told) if n not in (at, other)]
                is_same = left._replace(id=now.id) == now
                return _by_day([*rest, (was, then), *([] if is_same else [(left, now)])])
    return told


def _is_alike(one: Once, other: Once) -> bool:
    """Whether both are runs, or both strength: of those alone one stands for the other."""
    return (one.kind == "strength") == (other.kind == "strength")


def set_further_on(plan: Plan) -> tuple[tuple[Week, Decision], ...]:
    """Weeks beyond those that changes are told of for which the coach set the minutes herself."""
    last = plan.as_of + timedelta(days=AHEAD_DAYS)
    return tuple(
        (week, one)
        for week in plan.weeks
        if week.start >= last
        for one in week.decisions
        if one.rule == COACHS and one.session is None and one.before != one.after and not one.warns
    )


def _when(change: Difference) -> tuple[date, str]:
    session = change.after or change.before
    assert session is not None
    return session.on, session.id


class _Whys:
    """Finds the new decisions that bear on a session."""

    def __init__(self, before: Seen, plan: Plan) -> None:
        self.weeks = [
            (week, [d for d in week.decisions if _hash(week, d) not in before.reasons])
            for week in _near(plan.weeks, plan.as_of)
        ]
        since_then = (w for w in plan.weeks if before.as_of < w.start + timedelta(days=7))
        freed = ((w, d) for w in since_then if w.start <= plan.as_of for d in w.decisions)
        new = [d for w, d in freed if _frees(d) and _hash(w, d) not in before.reasons]
        self.freed = new[-1:]

    def of(self, was: Once | None, now: Once | None) -> tuple[Decision, ...]:
        """Those about the session, else about its week, else about a week that leads there.

        A session that is new since a stop is there because the stop is over. Where a session has
        other minutes on its own day, a change of the coach's that took none is not what did it; nor
        is a bound where it has more.
        """
        session = now or was
        if session is None:
            return ()
        freed = self.freed if was is None else []
        is_sized = was and now and was.on == now.on and was[3:] != now[3:]
        is_longer = is_sized and was and now and _amount(now, was) > _amount(was, now)
        before = [(w, new) for w, new in self.weeks if w.start <= session.on]
        bounding: list[Decision] = []  # told only where nothing says what made the week smaller
        for week, new in reversed(before):
            its_own = [d for d in new if d.session == session.id]
            if is_sized:
                its_own = [d for d in its_own if d.rule != COACHS or d.before != d.after]
            weeks_own = [d for d in new if d.session is None and d.rule not in NOT_OF_SESSIONS]
            if is_longer:
                weeks_own = [d for d in weeks_own if d.rule not in BOUNDS | HOLDS_BACK]
            warning = [d for d in weeks_own if d.warns]
            moving = [d for d in weeks_own if not d.warns and _moves(d)]
            coachs = [d for d in (*its_own, *moving) if d.rule == COACHS]
            won = winner(week.kind, weeks_own)
            holding = [won.decision] if won and won.claim not in (FLOOR, GROWTH) else []
            if is_longer:
                found = its_own or [*warning, *moving] or holding
            else:
                found = its_own or [*holding, *warning, *moving]
            if bounding:  # of a week before it
                found = [*holding, *warning]
            found = list(dict.fromkeys([*coachs, *found]))
            if found and not is_longer and all(d.rule in BOUNDS for d in found):
                bounding, found = bounding or found, []
            if found:
                return tuple([*freed, *found][:MAX_REASONS])
            if week.start + timedelta(days=6) < session.on - timedelta(days=7):
                break
        return tuple([*freed, *bounding][:MAX_REASONS])


def _amount(one: Once, beside: Once) -> int:
    """Minutes of running where both are run and walked in turn, else all of them."""
    return one.run if one.run and beside.run else one.minutes


def _moves(decision: Decision) -> bool:
    """Whether it says what runs are like: by minutes, or of how long each may be, or in turn."""
    return decision.before != decision.after or decision.rule in SHAPING


def _frees(decision: Decision) -> bool:
    """Whether it tells of a stop that is over; one that holds warns."""
    return decision.rule == "signs" and not decision.warns


def _near(weeks: Iterable[Week], day: date, ahead: int = AHEAD_DAYS) -> list[Week]:
    last = day + timedelta(days=ahead)
    return [w for w in weeks if w.start < last and w.start + timedelta(days=7) > day]


def _once(weeks: Iterable[Week], day: date) -> Iterable[Once]:
    last = day + timedelta(days=AHEAD_DAYS)
    for week in weeks:
        for s in week.sessions:
            if day <= s.on < last:
                yield as_once(s)


def as_once(session: Session) -> Once:
    kind = session.read_as
    run = round(session.run_minutes) if kind == "run_walk" else 0
    return Once(session.id, session.on, kind, round(session.total_minutes), run)


def _hash(week: Week, decision: Decision) -> str:
    """Of a decision in its week: "room for 60 min" is new where it stood for the week before."""
    text = f"{week.start}\n{decision.rule}\n{decision.session}\n{decision.says}"
    return hashlib.sha256(text.encode("utf-8")).hexdigest()[:WHY_LETTERS]


# As text ------------------------------------------------------------------------------------


def kept_text(kept: Kept) -> str:
    """A few lines for a file: the day, a line for each session, the reasons; a blank between."""
    return "\n\n".join(_lines(seen) for seen in (kept.last, kept.earlier) if seen is not None)


def read_kept(text: str | None) -> Kept | None:
    """What `text_of` made; None for anything else: what is remembered can always be lost."""
    try:
        last, *earlier = (_seen(part) for part in (text or "").split("\n\n"))
        return Kept(last, *earlier)
    except (ValueError, TypeError):
        return None


def _lines(seen: Seen) -> str:
    sessions = (f"{s.id} {s.on} {s.kind} {s.minutes} {s.run}" for s in seen.sessions)
    return "\n".join((seen.as_of.isoformat(), *sessions, " ".join(sorted(seen.reasons))))


def _seen(text: str) -> Seen:
    day, *sessions, reasons = text.split("\n")
    return Seen(
        date.fromisoformat(day),
        tuple(_once_of(*line.split(" ")) for line in sessions),
        frozenset(reasons.split()),
    )


def _once_of(id: str, on: str, kind: str, minutes: str, run: str) -> Once:
    if kind not in (*get_args(SessionKind), "walk"):
        raise ValueError(kind)
    return Once(id, date.fromisoformat(on), cast(SessionKind, kind), int(minutes), int(run))
