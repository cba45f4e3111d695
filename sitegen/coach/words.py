"""Weeks and reasons as a coach reads them in a terminal, within 80 columns."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator
from itertools import groupby

from sitegen.model.alarm import DAYS_SHORT
from sitegen.model.plan import Decision, Part, Plan, Session, Week
from sitegen.model.sentence import Sentence
from sitegen.plan.ledger import InLedger
from sitegen.rules import RULES
from sitegen.rules.precedence import winner

WIDTH = 80
EVIDENCE = {rule.name: rule.evidence for rule in RULES}
EVIDENCE_SHORT = {"published": "published", "weak": "weak evidence", "judgement": "judgement"}
FEWEST_ALIKE = 4  # weeks without running, of which only the first has a row
IN = " " * 6
KIND_WORDS = {"run_walk": "run/walk"}
# What a part asks for, by its effort, where it is another thing than to run easily.
HOW = ((7, " quickly"), (5, " hard"), (4, " steadily"), (0, " very easily"))


NO_LEDGER = InLedger()


def weeks_table(plan: Plan, only: int | None = None, ledger: InLedger = NO_LEDGER) -> str:
    """The weeks: minutes, longest run, step rate, and each day's session.

    Under it stands which weeks of the past are not in the ledger.
    """
    lines = [f"{plan.client}, as of {plan.as_of}: {plan.status}", ""]
    lines.append("week  from        kind     run  long  spm   Mon  Tue  Wed  Thu  Fri  Sat  Sun")
    shown = [week for week in plan.weeks if only in (None, week.number)]
    for _, alike in groupby(shown, key=_without_running):
        lines += _rows(list(alike))
    lines += ["", "Minutes of running a day; s strength, ! hard, + to the beat, E the event."]
    if any(cell.endswith("w") for week in shown for cell in _cells(week)):
        lines.append("w: minutes of walking, where nothing is run.")
    return "\n".join([*lines, *_missing(plan, only, ledger)])


def _missing(plan: Plan, only: int | None, ledger: InLedger) -> list[str]:
    missing = [number for number in ledger.missing if only in (None, number)]
    if not missing:
        return []
    first, last = missing[0], missing[-1]
    is_row = len(missing) == last - first + 1 > 2
    which = f"{first} to {last}" if is_row else ", ".join(map(str, missing))
    one = len(missing) == 1
    text = (
        f"{'Week' if one else 'Weeks'} {which} {'is' if one else 'are'} not in "
        f"{plan.client}.told.yaml: what stands there for days that are over is worked out from "
        "today's files, and may be other than what was shown."
    )
    return textwrap.wrap(text, WIDTH)


def _without_running(week: Week) -> tuple[object, ...]:
    """Equal for neighbouring weeks in which nothing is run and that look the same."""
    return (week.number,) if week.run_minutes else (week.kind, *_cells(week))


def _rows(alike: list[Week]) -> list[str]:
    """A row a week; of weeks that wait for the same thing the first, and what that is."""
    if len(alike) < FEWEST_ALIKE:
        return [_row(week) for week in alike]
    first, last = alike[1].number, alike[-1].number
    won = winner(alike[0].kind, alike[0].decisions)
    waits = f": {won.decision.says}" if won else "."
    text = f"Weeks {first} to {last} are the same for now{waits}"
    return [
        _row(alike[0]),
        *textwrap.wrap(text, WIDTH - 6, initial_indent=IN, subsequent_indent=IN),
    ]


def _row(week: Week) -> str:
    days = [f"{cell:>4}" for cell in _cells(week)]
    return (
        f"{week.number:>4}  {week.start}  {week.kind:<7}{week.run_minutes:>5.0f}"
        f"{week.longest_minutes:>6.0f}{week.cadence.aim:>5}  {' '.join(days)}"
    ).rstrip()


def _cells(week: Week) -> list[str]:
    return [_cell([s for s in week.sessions if s.on.weekday() == day]) for day in range(7)]


def _cell(sessions: list[Session]) -> str:
    runs = [s for s in sessions if s.is_run]
    minutes = sum(s.run_minutes for s in runs)
    marks = ""
    marks += "E" if any(s.kind == "event" for s in runs) else ""
    marks += "!" if any(s.hard for s in runs) else ""
    marks += "+" if any(p.kind == "beat" for s in runs for p in s.parts) else ""
    marks += "s" if len(runs) < len(sessions) else ""
    walks = sum(s.total_minutes for s in runs)
    told = f"{minutes:.0f}" if minutes else f"{walks:.0f}w"
    return (told if runs else "") + marks or "·"


def session_lines(week: Week) -> Iterator[str]:
    """Each session of a week with its parts."""
    for s in week.sessions:
        at = f" {s.at:%H:%M}" if s.at else ""
        kind = KIND_WORDS.get(s.kind, s.kind)
        moved = f" (moved from {s.moved_from})" if s.moved_from else ""
        head = f"{DAYS_SHORT[s.on.weekday()]} {s.on}{at}  {kind}{moved}: "
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


def why(
    plan: Plan, only: int | None = None, sources: bool = False, ledger: InLedger = NO_LEDGER
) -> str:
    """Every decision in short: what, because of which line, how strong the evidence is.

    Of a whole plan a week leaves out what the one before it said in the same words. A single week
    says all, and comes with its sessions. ``sources`` adds where the numbers come from.
    """
    lines = [f"{plan.client}, as of {plan.as_of}: {plan.status}"]
    said: frozenset[tuple[str, Sentence]] = frozenset()
    for decision in plan.decisions:
        lines += _decision(decision, sources)
    for week in plan.weeks:
        if only not in (None, week.number):
            continue
        won = winner(week.kind, week.decisions)
        by = f"; decided by: {won.claim}" if won else ""
        told_on = ledger.told_on.get(week.number)
        by += f"; told on {told_on}" if told_on else ""
        lines += ["", f"Week {week.number}, from {week.start}: {week.kind}{by}"]
        if only is not None:
            lines += ["", *(f"  {line}" for line in session_lines(week)), ""]
        for decision in week.decisions:
            if (decision.rule, decision.says) not in said:
                lines += _decision(decision, sources)
        if only is None:
            said = frozenset((one.rule, one.says) for one in week.decisions)
    missing = _missing(plan, only, ledger)
    return "\n".join([*lines, *([""] if missing else []), *missing])


def strength(decision: Decision) -> str:
    """How strong the evidence under a decision is; empty where it only counts."""
    by_rule = EVIDENCE.get(decision.rule, "")
    return EVIDENCE_SHORT.get("judgement" if by_rule and decision.is_judgement else by_rule, "")


def _decision(decision: Decision, sources: bool) -> list[str]:
    numbers = ""
    if None not in (decision.before, decision.after) and decision.before != decision.after:
        numbers = f" ({decision.before:g} -> {decision.after:g})"
    about = f" [{decision.session}]" if decision.session else ""
    ground = [str(decision.because)] if decision.because else []
    ground += [words] if (words := strength(decision)) else []
    lines = textwrap.wrap(
        f"{decision.rule}{about}: {decision.says}{numbers}"
        + (f" [{'; '.join(ground)}]" if ground else ""),
        WIDTH - 2,
        initial_indent="  ",
        subsequent_indent="    ",
        break_long_words=False,
        break_on_hyphens=False,
    )
    if sources and decision.source:
        lines += textwrap.wrap(
            f"source: {decision.source}",
            WIDTH - 4,
            initial_indent="    ",
            subsequent_indent="      ",
        )
    return lines
