"""What the commands say, as it is said on the desk's page: there a press does it, nothing is typed,
and a client has a name."""

from __future__ import annotations

import re
from collections.abc import Mapping

from sitegen.model.problem import Problem

_HERE = tuple(
    (re.compile(typed), pressed)
    for typed, pressed in (
        (r"without --false-alarm", "without the tick"),
        (r" ?\(--false-alarm\)|--(?:seen-by|by|minutes|share):? ", ""),
        (
            r"receive (?:this file|it) with --for (?:and (?:that|the) (?:client's id|client|id)"
            r"(?: whose it is)?)",
            "choose the client beside it",
        ),
        (r"receive (?:this file|it) with --for ([a-z0-9-]+)", r"choose \1 beside it"),
        (r": sitegen receive --for \S+ \S+", ": choose the client beside it"),
        (r"; (?:or )?answer: sitegen alarms", "; or answer its alarm above"),
        (r"(?:, then|[:;] see|; look again:) sitegen alarms(?: --all)?", ""),
        (r"when you have acted: sitegen answer .*", "answer it above"),
        (
            r"(?:run )?sitegen build(?: first)?, then publish(?: again)?",
            "press Build…, then Publish…",
        ),
        (r": sitegen check lists (it|them)", r"; each client's page lists \1"),
        (r" in (?:\S*/)?\.aside\b(?:/\S+\.txt)?", ""),
        (r"; see sitegen (?:check|why) \S+(?: --week \d+)?", ""),
    )
)
_BEGINS = re.compile(r"(?P<loud>(?:[A-Z]+: )?)(?P<id>[a-z0-9-]+)(?: \([^)]*\))?(?=: )")


FOLDED_OVER = 160  # letters
_SESSIONS = re.compile(r": (?=(?:Mon|Tue|Wed|Thu|Fri|Sat|Sun) \d+ \w+ |\d+ sessions )")


def reason_first(says: str) -> tuple[str, str]:
    """What changed and why: of a long one up to its first session, and the rest by itself."""
    found = _SESSIONS.search(says) if len(says) > FOLDED_OVER else None
    return (says[: found.start()], says[found.end() :]) if found else (says, "")


def here(says: str) -> str:
    """A sentence of a command, without what would have to be typed."""
    for typed, pressed in _HERE:
        says = typed.sub(pressed, says)
    return says


def of_client(one: Problem, names: Mapping[str, str]) -> str:
    """A problem of a client's file, by the client's name and the line."""
    file = one.origin.file.rpartition("/")[2]
    whose = names.get(file.partition(".")[0], file)
    line = f", line {one.origin.line}" if one.origin.line else ""
    hint = f" ({one.hint})" if one.hint else ""
    return f"{whose}{line}: {one.level}: {one.message}{hint}"


def by_name(says: str, names: Mapping[str, str]) -> str:
    """A line that begins with a client's id, like ``mara: taken`` or ``mara (Mara Quint): a new
    page``, with the name in its place."""
    found = _BEGINS.match(says)
    if found is None or found["id"] not in names:
        return says
    return f"{found['loud']}{names[found['id']]}{says[found.end() :]}"
