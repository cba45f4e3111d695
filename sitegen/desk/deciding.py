"""Acts on clients' files, as panels take them: the same functions as the commands, shown first."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import NamedTuple

from markupsafe import Markup

from sitegen import world
from sitegen.acts import ACTS
from sitegen.coach.acting import OF_GROUP, Proposal, Proposed, carry_out, clients_meant, propose
from sitegen.desk.panel import FileChange, Outcome, Prepare, Sent, Shown
from sitegen.desk.warm import Warm
from sitegen.locking import writing
from sitegen.model.problem import Origin, Problem
from sitegen.portal.prose import Prose
from sitegen.versions import Differs, recording

CHANGED = "A file was changed since this was shown, so nothing was written."
DONE = "Written. Build and publish to show it; Back takes it back."
DONE_WITH_ERROR = (
    "Written, with an error: the page stays as it is until that is mended; Back takes it back."
)


class ActForm(NamedTuple):
    """What an act asks for: ``asks`` are names of fields in the order in which the act takes
    them; those in ``needs`` can't be left empty."""

    title: str
    hint: str
    asks: tuple[str, ...]
    needs: frozenset[str] = frozenset({"because"})


FORMS: Mapping[str, ActForm] = MappingProxyType(
    {
        "lighter": ActForm(
            "Lighter week", "Less running in a week.", ("week", "because", "by")
        ),
        "keep": ActForm(
            "Keep the week", "The minutes that the client last saw.", ("week", "because")
        ),
        "same": ActForm(
            "Same again", "The minutes of the week before.", ("week", "because")
        ),
        "rest": ActForm(
            "Rest", "Nothing on a day, or in a whole week.", ("day", "because", "week")
        ),
        "move": ActForm(
            "Move", "A day's session to another day.", ("day", "to", "because"),
            frozenset({"day", "to", "because"}),
        ),
        "swap": ActForm(
            "Swap days", "Two days change places.", ("day", "to", "because"),
            frozenset({"day", "to", "because"}),
        ),
        "put": ActForm(
            "Put a session", "One of the library, or your own.",
            ("day", "session", "because", "minutes"), frozenset({"day", "session", "because"}),
        ),
        "word": ActForm("A word", "The client reads it in a week.", ("text", "week"),
            frozenset({"text"})),
        "away": ActForm(
            "Away", "A holiday: first and last day.", ("from", "until", "because"),
            frozenset({"from", "until", "because"}),
        ),
        "set": ActForm(
            "Setting", "Like growth: 8 %, or tue: rest.", ("setting",), frozenset({"setting"})
        ),
        "lift": ActForm(
            "Lift", "A stop ends, once somebody has seen the client.",
            ("number", "seen_by", "because", "false_alarm", "key"),
            frozenset({"number", "seen_by", "because"}),
        ),
    }
)  # fmt: skip
"""By the act's name, in the order in which a coach is offered them."""
MISSING = {
    "because": "say why; the client reads it",
    "day": "name a day, like tue or 2027-02-16",
    "to": "name the other day, like thu",
    "session": "name a session",
    "text": "write the word",
    "from": "write the first day away, like 2027-03-01",
    "until": "write the last day away",
    "setting": "write one like growth: 8 %",
    "number": "name the alarm",
    "seen_by": "say who saw the client",
}


def desk_name(warm: Warm, whose: str) -> str:
    """How the desk calls a client of this id, or ``group:NAME``, in its sentences."""
    if whose.startswith(OF_GROUP):
        return f"the group {whose.removeprefix(OF_GROUP)}"
    return warm.known(whose).name


def _comes_to(warm: Warm, one: Proposal) -> Iterator[str]:
    """What the weeks become, and new warnings; the entry stands in the file's difference."""
    yield f"{desk_name(warm, one.id)}: {one.comes_to}"
    for problem in one.warnings:
        hint = f" ({problem.hint})" if problem.hint else ""
        yield f"  {problem.level}: {problem.message}{hint}"
    yield from (f"  {line}" for line in one.left_to_answer)


def proposed_acts(warm: Warm, command: str, says: str, found: Proposed) -> Shown:
    """What acts would do to clients' files, to be shown.

    Args:
        warm: The practice.
        command: What the act is called, for `undo`.
        says: The heading.
        found: What was proposed.
    """
    proposals = found.proposals

    def do() -> Outcome:
        done = carry_out(warm.clients, command, proposals)
        return Outcome(CHANGED, done.differs) if done.differs else Outcome(DONE)

    return Shown(
        says,
        tuple(line for one in proposals for line in _comes_to(warm, one)),
        tuple(FileChange(one.path.name, one.before, one.after) for one in proposals),
        found.problems,
        do if proposals else None,
    )


def write_file(warm: Warm, command: str, change: FileChange, says: str, done: str) -> Outcome:
    """Write one file of the practice whole, as one act, if it is as it was shown.

    Args:
        warm: The practice.
        command: What the act is called, for `undo`.
        change: The file, as it was shown and as it shall be.
        says: What is done to it.
        done: What is told once it is written.

    Raises:
        Refused: It can't be written.
    """
    path = warm.clients / change.name
    assert change.after is not None
    with writing(warm.clients):
        now = path.read_bytes() if path.exists() else None
        if now != change.before:
            return Outcome(CHANGED, (Differs(change.name, change.before, now),))
        with recording(warm.clients, command) as record:
            record.keep(path, change.after, says)
            world.write_bytes_atomic(path, change.after)
    return Outcome(done)


def deciding(name: str) -> Prepare:
    """How a panel takes one act: ``whose`` is a client's id or ``group:NAME``, the rest are the
    fields of the act's form."""
    form = FORMS[name]

    def prepare(warm: Warm, given: Sent) -> Shown:
        whose = str(given.get("whose", "")).strip()
        told = {ask: str(given.get(ask) or "").strip() for ask in form.asks}
        missing = [MISSING[ask] for ask in form.asks if ask in form.needs and not told[ask]]
        if name == "rest" and bool(told["day"]) == bool(told["week"]):
            missing.append("name a day, like tue, or a week by its number")
        if missing:
            where = Origin((warm.clients / f"{whose}.yaml").as_posix())
            wrong = tuple(Problem(where, says, "", "act") for says in missing)
            return Shown(form.title, problems=wrong)
        args: list[str | int | None] = [told[ask] or None for ask in form.asks]
        if name == "set":
            args = [*filter(None, map(str.strip, told["setting"].splitlines()))]
        if name == "lift":
            args[0] = int(told["number"]) if told["number"].isdecimal() else 0
            args[3] = bool(told["false_alarm"])
        listed = warm.listed()
        ids = clients_meant(listed, whose)
        found = propose(listed, ids, lambda known: ACTS[name](known, *args), warm.as_of)
        shown = proposed_acts(warm, name, f"{form.title}: {desk_name(warm, whose)}", found)
        drawn = Prose()(told["text"]) if name == "word" and found.proposals else Markup("")
        if drawn.count("<") <= 2:  # one paragraph: the line above has it as it is read
            return shown
        return shown._replace(lines=(*shown.lines, "As the portal draws it:", drawn))

    return prepare


DECISIONS: Mapping[str, Prepare] = MappingProxyType({name: deciding(name) for name in FORMS})
"""What the sheet and a client's page can do."""
