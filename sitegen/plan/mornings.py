"""One week, drawn as each of its mornings knows it.

Every session is drawn from what was known on the morning of its day, so that a check-in changes the
rest of its own week and never the days before it.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from datetime import date, timedelta
from functools import cache, partial

from sitegen.model.case import Case
from sitegen.model.plan import Decision, Session, Week
from sitegen.plan import changes
from sitegen.plan.condition import bears_on, condition, minutes_alone, untold
from sitegen.plan.drafting import Placed, minutes_by_day, minutes_placed, place_week
from sitegen.plan.placing import Pattern
from sitegen.plan.sizing import filled, none_longer, sized
from sitegen.rules.days import is_usual
from sitegen.rules.draft import Condition, Draft, Past
from sitegen.rules.log import Log

DAY = timedelta(days=1)
Usual = Callable[[], Mapping[date, int]]


def by_morning(
    case: Case, log: Log, past: Past, base: Draft, opens: date | None
) -> tuple[Week, tuple[Session, ...]]:
    """The week from Monday's draft on, changes obeyed; and its sessions as Monday has them.

    ``opens`` is the day from which days are chosen anew, as other ones hold the runs before it.
    """
    bare = untold(past.condition)
    usual: Usual | None = None
    if bare != past.condition or opens is not None:
        usual = cache(partial(_usual, case, log, past._replace(condition=bare)))
    if usual is not None and bare != past.condition:
        base = none_longer(base, usual)
    last = place_week(case, base, past, None, opens)
    monday = found = last.sessions
    if bears_on(log, past.start, past.condition):
        usual = usual or partial(minutes_by_day, monday)
        last, found = _day_by_day(case, log, usual, past, base, last, opens)
    week = _assembled(case, base, last, found, past.number, past.start)
    if not case.client.changes:
        return week, monday
    obeyed = changes.obey(case, week, last.draft, past)
    if obeyed.run_minutes != week.run_minutes:
        obeyed = obeyed._replace(by_coach=True)
    is_changed = obeyed.sessions != week.sessions
    return obeyed, obeyed.sessions if is_changed else monday


def _usual(
    case: Case,
    log: Log,
    past: Past,
    pattern: Pattern | None = None,
    opens: date | None = None,
    day: date | None = None,
) -> dict[date, int]:
    """The week's minutes by day as one morning, that of ``day``, has them: what moves none of
    those is left out. See `place_week`."""
    draft = filled(case, minutes_alone(log), past, sized(case, past, day))
    return minutes_placed(case, draft, past, pattern, opens)


def _day_by_day(
    case: Case,
    log: Log,
    usual: Usual,
    past: Past,
    base: Draft,
    last: Placed,
    since: date | None,
) -> tuple[Placed, tuple[Session, ...]]:
    """The week as its last day knows it, and each day's sessions as that day knew it.

    ``base`` and ``last`` are Monday's week. A condition that comes back leads to the same week;
    one whose draft differs in reasons alone, as a third or more do, to the same sessions, as they
    are placed by the draft and by what came before Monday. ``usual`` gives the week's minutes as
    its Monday has them if no pain, sign or illness is known; ``since`` is the day from which days
    are chosen anew, None for Monday.
    """
    start = past.start
    drawn = {known_as(past.condition): last}
    alike = {_placing(base, last.pattern, since): last}
    was_open = last.draft.stop is None
    pattern = last.pattern if was_open else None
    at_first = untold(past.condition)
    used = {s.on for s in last.sessions} | {past.end}
    found = [s for s in last.sessions if s.on == start]
    for day in (start + DAY * i for i in range(1, 7)):
        if was_open and day not in used:
            continue  # nothing stands there; the last day tells how the week ended
        now = condition(log, day, start, past.memory)
        key = known_as(now)
        if case.client.status != "active" and day >= log.as_of:
            key = ("paused", *key)
        if key not in drawn:
            then = past._replace(condition=now)
            draft = filled(case, log, then, sized(case, then, day))
            opens = day if pattern is None else since
            bare = untold(now)
            if bare == at_first and bare.stop is None:
                draft = none_longer(draft, usual)
            elif bare != now:
                other = then._replace(condition=bare)
                draft = none_longer(draft, partial(_usual, case, log, other, pattern, opens, day))
            same = alike.get(_placing(draft, pattern, opens))
            if same is not None:
                kept = same.draft.but(decisions=draft.decisions)
                drawn[key] = same._replace(draft=kept)
            else:
                drawn[key] = place_week(case, draft, past, pattern, opens, day.weekday())
                alike[_placing(draft, drawn[key].pattern, opens)] = drawn[key]
            if draft.stop is None:  # the days stay, also where Monday's plan had none
                pattern = drawn[key].pattern
        last = drawn[key]
        found += [s for s in last.sessions if s.on == day]
    return last, tuple(found)


def _placing(draft: Draft, pattern: Pattern | None, opens: date | None) -> Hashable:
    """All that a week's sessions follow from, once its Monday is known."""
    return draft[:-1], pattern, opens  # reasons stand last


def known_as(condition: Condition) -> tuple[object, ...]:
    """All of a condition that a draft follows from, to tell one from another."""
    return (condition.stop, *condition.known.values())


def _assembled(
    case: Case,
    base: Draft,
    last: Placed,
    found: Sequence[Session],
    number: int,
    start: date,
) -> Week:
    """One week from sessions that may stem from several drafts."""
    begin = case.client.plan.from_
    kept = tuple(sorted((s for s in found if s.on >= begin), key=lambda s: (s.on, s.id)))
    draft = last.draft
    decisions = _joined(base.decisions, draft.decisions) + last.decisions
    kind = draft.kind
    # A week that the plan began or was stopped in is none to build on.
    is_cut = base.stop is not None or draft.stop is not None or start < begin
    # Days close to an event say as little of a usual week as an odd one does.
    is_odd = not is_usual(case, start) or draft.event_on is not None or bool(draft.caps)
    if base.stop is not None and draft.stop is None and kind == "build":
        kind = "hold"  # lifted during the week: what is left of it is no week to build on
    return Week(
        number=number,
        start=start,
        kind=kind,
        cadence=draft.band,
        sessions=kept,
        decisions=decisions,
        steps=changes.steps(kept, case.client.baseline.cadence.spm),
        rung=None if draft.rung is None else draft.rung + 1,
        worth=0.0 if is_cut else draft.worth,
        runs=0 if is_cut or is_odd or draft.by_coach else max(draft.runs + draft.spared, 1),
        by_coach=draft.by_coach,
        began=base.kind,
    )


def _joined(first: Sequence[Decision], later: Sequence[Decision]) -> tuple[Decision, ...]:
    """Decisions of the week's last state, after those of its Monday that it no longer has."""
    if first == later:
        return tuple(later)
    seen = set(later)
    lost = [d for d in first if d not in seen and d.rule not in {x.rule for x in later}]
    return (*lost, *later)
