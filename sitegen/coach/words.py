"""Weeks and reasons as a coach reads them in a terminal, within 80 columns."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator
from itertools import groupby

from sitegen.model.plan import Decision, Part, Plan, Session, Week
from sitegen.rules import RULES

WIDTH = 80
EVIDENCE = {rule.name: rule.evidence for rule in RULES}
WEAK = {"weak": " (weak evidence)", "judgement": " (a coach's judgement)"}
KINDS = {"run_walk": "run/walk"}
# What a part asks for, by its effort, where it is another thing than to run easily.
HOW = ((7, " quickly"), (5, " hard"), (4, " steadily"), (0, " very easily"))
DAY_NAMES = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def weeks_table(plan: Plan, only: int | None = None) -> str:
    """The weeks: minutes, longest run, step rate, and each day's session."""
    lines = [f"{plan.client}, as of {plan.as_of}: {plan.status}", ""]
    lines.append("week  from        kind     run  long  spm   Mon  Tue  Wed  Thu  Fri  Sat  Sun")
    for week in plan.weeks:
        if only in (None, week.number):
            lines.append(_row(week))
    lines += ["", "Minutes of running a day; s strength, ! hard, + to the beat, E the event."]
    return "\n".join(lines)


def _row(week: Week) -> str:
    days = []
    for day in range(7):
        here = [s for s in week.sessions if s.on.weekday() == day]
        days.append(f"{_cell(here):>4}")
    return (
        f"{week.number:>4}  {week.start}  {week.kind:<7}{week.run_minutes:>5.0f}"
        f"{week.longest_minutes:>6.0f}{week.cadence.aim:>5}  {' '.join(days)}"
    ).rstrip()


def _cell(sessions: list[Session]) -> str:
    runs = [s for s in sessions if s.is_run]
    minutes = sum(s.run_minutes for s in runs)
    marks = ""
    marks += "E" if any(s.kind == "event" for s in runs) else ""
    marks += "!" if any(s.hard for s in runs) else ""
    marks += "+" if any(p.kind == "beat" for s in runs for p in s.parts) else ""
    marks += "s" if len(runs) < len(sessions) else ""
    return (f"{minutes:.0f}" if runs else "") + marks or "·"


def session_lines(week: Week) -> Iterator[str]:
    """Each session of a week with its parts."""
    for s in week.sessions:
        at = f" {s.at:%H:%M}" if s.at else ""
        kind = KINDS.get(s.kind, s.kind)
        moved = f" (moved from {s.moved_from})" if s.moved_from else ""
        head = f"{DAY_NAMES[s.on.weekday()]} {s.on}{at}  {kind}{moved}: "
        parts = ", ".join(_parts(s.parts))
        text = f"{head}{parts}; {s.total_minutes:.0f} min in all"
        yield from textwrap.wrap(text, WIDTH - 2, subsequent_indent="    ")


def _parts(parts: Iterable[Part]) -> Iterator[str]:
    """Neighbours with the same repeat above 1 are done in turn, as the portal has it."""
    for repeat, group in groupby(parts, key=lambda part: part.repeat):
        pieces = [_part(part) for part in group]
        if repeat > 1:
            yield f"{repeat} times ({', '.join(pieces)})"
        else:
            yield from pieces


def _part(part: Part) -> str:
    beat = f" at {part.cadence_spm} spm" if part.cadence_spm else ""
    name = part.kind.replace("_", "-")
    how = _how(part)
    return f"{part.minutes:g} min {name}{how}{beat}"


def _how(part: Part) -> str:
    if 0 < part.hard_minutes < part.minutes:
        return f" with {part.hard_minutes * 60:.0f} s quicker"
    if part.effort is None or part.kind == "walk":
        return ""
    return next(words for least, words in HOW if part.effort >= least)


def why(plan: Plan, only: int | None = None) -> str:
    """Every decision: what it says, the numbers, the rule, the source, the coach's line."""
    lines = [f"{plan.client}, as of {plan.as_of}: {plan.status}"]
    for decision in plan.decisions:
        lines += ["", *_decision(decision)]
    for week in plan.weeks:
        if only not in (None, week.number):
            continue
        lines += ["", f"Week {week.number}, from {week.start}: {week.kind}", ""]
        lines += [f"  {line}" for line in session_lines(week)]
        for decision in week.decisions:
            lines += ["", *_decision(decision)]
    return "\n".join(lines)


def _decision(decision: Decision) -> list[str]:
    numbers = ""
    if decision.before is not None and decision.after is not None:
        numbers = f" ({decision.before:g} -> {decision.after:g})"
    about = f" [{decision.session}]" if decision.session else ""
    lines = textwrap.wrap(
        f"{decision.rule}{about}: {decision.says}{numbers}",
        WIDTH - 2,
        initial_indent="  ",
        subsequent_indent="    ",
    )
    if decision.because:
        lines.append(f"    because {decision.because}")
    if decision.source:
        weak = WEAK.get(EVIDENCE.get(decision.rule, ""), "")
        lines += textwrap.wrap(
            f"source{weak}: {decision.source}",
            WIDTH - 4,
            initial_indent="    ",
            subsequent_indent="      ",
        )
    return lines
