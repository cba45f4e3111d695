"""One client's files, read together: the file, the log, and the values of every rule."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from typing import TYPE_CHECKING, Any, TypeVar

from sitegen.model.case import Case, Origins
from sitegen.model.client import Client
from sitegen.model.kinds import quoted
from sitegen.model.practice import Group, Practice
from sitegen.model.problem import Origin, Problem
from sitegen.model.record import Record
from sitegen.practice.answers import read_answers
from sitegen.practice.checks.shared import emergency_abroad
from sitegen.practice.records import Reading, read_client, read_log
from sitegen.practice.settings import merge
from sitegen.practice.told import read_told

if TYPE_CHECKING:
    from sitegen.rules.rule import Rule

PRACTICE_ID = "practice"
_ID = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")


def is_client_id(text: str) -> bool:
    """True for an id that a client can have; ``practice.yaml`` is the practice's own file."""
    return _ID.fullmatch(text) is not None and text != PRACTICE_ID


def id_problem(id: str, file: str) -> Problem | None:
    """What is wrong with a client's id, and so with the name of the file."""
    if is_client_id(id):
        return None
    wrong = (
        "practice is no client: practice.yaml holds the practice's own settings"
        if id == PRACTICE_ID
        else f"{quoted(id)} is no client id"
    )
    hint = "name the file with at most 40 small letters, digits and hyphens, like mara-q.yaml"
    return Problem(Origin(file), wrong, hint, "client-id")


def read_case(
    id: str,
    client_bytes: bytes,
    client_file: str,
    log_bytes: bytes | None,
    log_file: str,
    practice: Practice | None,
    practice_origins: Origins,
    rules: Iterable[Rule],
    drill_ids: Collection[str],
    text_ids: Collection[str] = (),
    groups: Collection[str] | None = None,
    answers_bytes: bytes | None = None,
    answers_file: str = "",
    session_names: Collection[str] = (),
    told_bytes: bytes | None = None,
    told_file: str = "",
    return_names: Collection[str] = (),
) -> tuple[Case | None, tuple[Problem, ...]]:
    """Everything of one client.

    Args:
        id: The client's id, the file's name without its ending.
        client_bytes: What ``ID.yaml`` holds.
        client_file: Its name, for the places of problems.
        log_bytes: What ``ID.log.yaml`` holds; None where there is no such file yet.
        log_file: Its name.
        practice: The practice, already read without an error; None where it has one: then there
            is no case, and what depends on a setting of the practice is not judged.
        practice_origins: Where that was written.
        rules: The rules, in order.
        drill_ids: Drills that there are, shipped and the coach's own.
        text_ids: The coach's texts for clients.
        groups: Names of the groups of a practice with an error, as far as they are known.
        answers_bytes: What ``ID.alarms.yaml`` holds; None where there is no such file.
        answers_file: Its name.
        session_names: Kinds of session that there are; none leaves them unchecked.
        told_bytes: What ``ID.told.yaml`` holds; None where there is no such file.
        told_file: Its name.
        return_names: Ways back that there are; none leaves them unnamed.

    Returns:
        The case, or None where there is an error; and the problems of both files, sorted. What is
        wrong in the practice's own file is not told again for each client: `read_practice`.
    """
    rules = tuple(rules)
    names = groups if practice is None else practice.groups
    client = read_client(
        client_bytes, client_file, drill_ids, rules, text_ids, names, session_names, return_names
    )
    log = Reading((), Origins(log_file), ()) if log_bytes is None else read_log(log_bytes, log_file)
    answers, wrong = (
        ((), ()) if answers_bytes is None else read_answers(answers_bytes, answers_file)
    )
    ledger = read_told(told_bytes, told_file)
    problems = {*client.problems, *log.problems, *wrong, *ledger.problems}
    if found := id_problem(id, client_file):
        problems.add(found)
    settings: dict[str, Any] = {}
    if client.value is not None and practice is not None:
        settings, told = merge(rules, practice, client.value, practice_origins, client.origins)
        problems |= {p for p in told if p.origin.file != practice_origins.file}
    whole = None
    if client.value is not None and practice is not None:
        name = client.value.group
        shared = None if name is None else practice.groups.get(name)
        whole = client.value if shared is None else with_group(client.value, shared)
        problems |= {*emergency_abroad(whole, client.origins, practice)}
    told = tuple(sorted(problems))
    is_wrong = any(p.level == "error" for p in told)
    if whole is None or log.value is None or practice is None or is_wrong:
        return None, told
    case = Case(
        id=id,
        client=whole,
        practice=practice,
        log=log.value,
        answers=answers,
        settings=settings,
        origins=client.origins,
        log_origins=log.origins,
        practice_origins=practice_origins,
        told=ledger.tellings,
    )
    return case, told


NOT_FILLED = frozenset({"rules", "notes"})  # notes are `Case.notices`
Model = TypeVar("Model", bound=Record)


def with_group(client: Client, group: Group) -> Client:
    """The client, with what the group says where the file is silent."""
    rules = {
        name: {**_map(group.rules.get(name)), **_map(client.rules.get(name))}
        for name in {**group.rules, **client.rules}
    }
    return _filled(client, group).but(**({"rules": rules} if rules else {}))


def _map(written: object) -> dict[str, Any]:
    return written if isinstance(written, dict) else {}


def _filled(own: Model, shared: Record) -> Model:
    """``own`` with the fields of ``shared`` that it lacks, map by map."""
    taken: dict[str, Any] = {}
    for name in shared.written - NOT_FILLED:
        mine, theirs = getattr(own, name), getattr(shared, name)
        if isinstance(mine, Record) and isinstance(theirs, Record):
            taken[name] = _filled(mine, theirs)
        elif name not in own.written:
            taken[name] = theirs
    return own.but(**taken)
