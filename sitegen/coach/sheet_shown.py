"""The sheet as lines for a terminal or a pipe, and as JSON."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any

from sitegen.coach.sheet import QUIET, Said, SheetRow, WeekAhead, WeekBehind
from sitegen.model.alarm import weekday_words

NAMES = 10  # columns of the words before a line
SAID = 3  # of the latest words of a client, in a row


def sheet_lines(rows: Sequence[SheetRow], width: int | None = 80) -> Iterator[str]:
    """Some lines a client; ``width`` None breaks none of them, as in a pipe."""
    for at, row in enumerate(rows):
        if at:
            yield ""
        group = f" ({row.group})" if row.group else ""
        state = f", {row.status}" if row.status not in ("active", "aside") else ""
        yield f"{row.id}  {row.name if row.name != row.id else ''}{group}{state}".rstrip(" ,")
        for name, text in _parts(row):
            yield from _wrapped(f"  {name:<{NAMES - 2}}", text, width)


def _parts(row: SheetRow) -> Iterator[tuple[str, str]]:
    if row.behind:
        yield "behind", behind_words(row.behind)
    if row.said:
        yield "said", said_words(row.said)
    if row.ahead:
        yield "ahead", ahead_words(row.ahead)
    if row.changed:
        seen = weekday_words(date.fromisoformat(row.seen_on))
        yield "changed", f"since {seen}: {'; '.join(row.changed)}"
    asks = any(one.kind not in QUIET for one in row.asks)
    yield "asks" if asks else "says", "; ".join(one.says for one in row.asks)
    if row.private:
        yield "note", " ".join(row.private.split())


def _wrapped(head: str, text: str, width: int | None) -> Iterator[str]:
    if width is None:
        yield f"{head}{text}"
        return
    yield from textwrap.wrap(
        text,
        width,
        initial_indent=head,
        subsequent_indent=" " * len(head),
        break_long_words=False,
        break_on_hyphens=False,
    )


def behind_words(week: WeekBehind) -> str:
    """``week 5: 240 of 247 min, 5 of 5 runs; effort 3.2, pain 1 (shin), 168 spm for 170``."""
    if week.told_runs or round(week.told_minutes):
        says = f"{week.done_minutes:.0f} of {week.told_minutes:.0f} min"
        says += f", {week.done_runs} of {week.told_runs} runs"
    elif week.done_runs or round(week.done_minutes):
        runs = "1 run" if week.done_runs == 1 else f"{week.done_runs} runs"
        says = f"{week.done_minutes:.0f} min, {runs}, where none was planned"
    else:
        says = "no run was planned"
    says = f"week {week.number}: {says}"
    told = []
    if week.effort is not None:
        told.append(f"effort {week.effort:g}")
    if week.pain is not None:
        told.append(f"pain {week.pain}" + (f" ({week.pain_site})" if week.pain_site else ""))
    if week.spm is not None:
        told.append(f"{week.spm} spm for {week.aim_spm}")
    return f"{says}; {', '.join(told)}" if told else says


def said_words(said: Sequence[Said]) -> str:
    """``Sat "Headache since the fall"; Tue "Felt light."; 2 more in the log``."""
    told = [f'{weekday_words(date.fromisoformat(s.on)).split()[0]} "{s.says}"' for s in said[:SAID]]
    more = [f"{len(said) - SAID} more in the log"] if len(said) > SAID else []
    return "; ".join((*told, *more))


def ahead_words(week: WeekAhead) -> str:
    """``week 6, build, 271 min running; with walking and all: Tue repeats 45, Wed beat 44``."""
    days = ", ".join(
        f"{weekday_words(date.fromisoformat(s.on)).split()[0]} "
        f"{s.kind.replace('_', '/')}{'!' if s.hard else ''} {s.minutes:.0f}"
        for s in week.sessions
    )
    kind = f"week {week.number}, {week.kind}, {week.run_minutes:.0f} min running"
    return f"{kind}; with walking and all: {days}" if days else f"{kind}: nothing stands in it"


def sheet_json(rows: Sequence[SheetRow]) -> list[dict[str, Any]]:
    """What ``sitegen sheet --json`` prints."""
    return [_as_json(row) for row in rows]


def _as_json(row: SheetRow) -> dict[str, Any]:
    is_aside = row.status == "aside"
    return {
        "client": None if is_aside else row.id,
        "name": None if is_aside else row.name,
        "group": row.group or None,
        "as_of": row.as_of or None,
        "status": row.status,
        "behind": row.behind
        and {**row.behind._asdict(), "pain_site": row.behind.pain_site or None},
        "said": [one._asdict() for one in row.said],
        "ahead": row.ahead
        and {
            **row.ahead._asdict(),
            "sessions": [
                {**s._asdict(), "at": s.at or None, "title": s.title or None}
                for s in row.ahead.sessions
            ],
        },
        "seen_on": row.seen_on or None,
        "changed": list(row.changed),
        "asks": [one._asdict() for one in row.asks],
        "alarm": row.has_alarm,
        "silent": row.is_silent,
        "private": row.private or None,
    }
