"""What one client's file can lend another's: settings for a newcomer, blocks of weeks.

Nothing of a person goes over: no screening, baseline, goal, score, history, age, day offered, note
or log, nor a rule's value that says something of a body.
"""

from __future__ import annotations

from collections.abc import Sequence

from sitegen.acts.act import (
    DAY,
    WEEK,
    Act,
    ClientNow,
    Refusal,
    change,
    sessions_on,
    week_named,
    week_words,
)
from sitegen.model.kinds import Unfit, percent, quoted
from sitegen.model.plan import Plan, Session, Week
from sitegen.model.record import Path
from sitegen.practice.entry import Entry
from sitegen.practice.yaml_text import Tree
from sitegen.rules.draft import whole_minutes

LENT_RULES = (
    "cadence", "ease", "event_days", "hard", "long_run", "run_walk", "sessions", "spacing",
    "strength", "taper", "volume",
)  # fmt: skip
LENT: tuple[Path, ...] = (
    ("group",),
    ("units",),
    ("language",),
    ("plan", "growth"),
    ("plan", "enough"),
    ("plan", "runs"),
    ("plan", "ease"),
    ("plan", "hard"),
    ("cadence", "step"),
    ("cadence", "hold"),
    ("drills",),
    ("privacy",),
    ("calendar",),
    *(("rules", name) for name in LENT_RULES),
)
"""What ``intake --like`` takes over, by its place in a client's file."""
LENT_SHARE = percent(10, 100)


def lent(other: Tree, mine: Tree) -> tuple[Entry, ...]:
    """Entries for what another client's file says and this one does not.

    Args:
        other: The other client's file, as text.
        mine: The newcomer's.
    """
    found = []
    for path in LENT:
        value = _at(other, path)
        if value not in (None, "") and _at(mine, path) is None:
            assert value is not None
            found.append(Entry(path, value))
    return tuple(found)


def _at(tree: Tree | None, path: Path) -> Tree | None:
    for step in path:
        if not isinstance(tree, dict):
            return None
        tree = tree.get(str(step))
    return tree


def copy_weeks(
    known: ClientNow,
    source: Plan,
    weeks: str,
    because: str,
    at: str | None = None,
    share: str | None = None,
) -> Act | Refusal:
    """The runs of another plan's weeks, day by day, in this client's weeks.

    Strength days stay as they are; an event is nobody else's, and is left out.

    Args:
        known: The client who gets them.
        source: The plan that they come from, perhaps the same.
        weeks: Which, like ``5-8`` or ``6``.
        because: The reason, which the client reads.
        at: The first week that gets them; None for the one that begins next.
        share: How much of the minutes; None for all.
    """
    block = _block(source, weeks)
    if isinstance(block, Refusal):
        return block
    first = week_named(at, known.plan)
    if isinstance(first, Refusal):
        return first
    part = 1.0
    if share is not None:
        try:
            part = LENT_SHARE.validate(
                share if share.strip().endswith("%") else f"{share} %"
            ).fraction
        except Unfit as unfit:
            return Refusal(f"--share: {unfit.message}", unfit.hint)
    numbers = range(first.number, first.number + len(block))
    mine = {week.number: week for week in known.plan.weeks}
    if numbers[-1] not in mine:
        return Refusal(
            f"the plan of {known.plan.client} ends with week {len(known.plan.weeks)}",
            f"copy {len(known.plan.weeks) - first.number + 1} weeks, or begin earlier with --at",
        )
    entries: list[Entry] = []
    for number, theirs in zip(numbers, block, strict=True):
        entries += _week(known, mine[number], theirs, part, because)
    if not entries:
        return Refusal("nothing stands in those weeks", f"see sitegen weeks {source.client}")
    last = "" if len(block) == 1 else f" to {week_words(mine[numbers[-1]])}"
    whose = "the client's own" if source.client == known.plan.client else "another client's"
    says = f"{whose} weeks {weeks.strip()} stand in {week_words(first)}{last}"  # kept: no name
    return Act(says, tuple(entries), tuple(numbers))


def _block(source: Plan, weeks: str) -> Sequence[Week] | Refusal:
    first, dash, last = weeks.strip().partition("-")
    many = len(source.weeks)
    if not first.strip().isdecimal() or (dash and not last.strip().isdecimal()):
        return Refusal(f"{quoted(weeks)} names no weeks", "write them like 5-8, or 6")
    numbers = range(int(first), int(last or first) + 1)
    found = [week for week in source.weeks if week.number in numbers]
    if not numbers or len(found) != len(numbers):
        return Refusal(
            f"{source.client} has no weeks {weeks.strip()}", f"that plan has weeks 1 to {many}"
        )
    return found


def _week(known: ClientNow, mine: Week, theirs: Week, part: float, because: str) -> list[Entry]:
    entries: list[Entry] = []
    for offset in range(7):
        on = mine.start + DAY * offset
        if on < known.plan.as_of:
            continue
        runs = [s for s in sessions_on_week(theirs, offset) if s.is_run and s.kind != "event"]
        there = [s for s in sessions_on(known.plan, on) if s.is_run]
        if runs:
            entries.append(_run(known, str(on), runs[0], part, because))
        elif there and not any(s.kind == "event" for s in there):
            entries.append(change(because, on=str(on), rest="yes"))
    return entries


def sessions_on_week(week: Week, offset: int) -> list[Session]:
    """Sessions on one day of a week; 0 is its Monday."""
    on = week.start + DAY * offset
    return [s for s in week.sessions if s.on == on and on < week.start + WEEK]


def _run(known: ClientNow, on: str, run: Session, part: float, because: str) -> Entry:
    minutes = f"{max(whole_minutes(run.run_minutes * part), 1)} min"
    if run.workout in known.case.workouts:
        return change(because, on=on, session=run.workout, minutes=minutes)
    return change(because, on=on, kind=run.kind, minutes=minutes)
