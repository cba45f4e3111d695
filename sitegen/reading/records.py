"""A coach's files as frozen models, or everything that is wrong with them at once."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from typing import TYPE_CHECKING, Any, Generic, NamedTuple, TypeVar

from pydantic import BaseModel, ValidationError

from sitegen.model.case import Origins
from sitegen.model.checkin import CheckIn
from sitegen.model.client import Client
from sitegen.model.practice import Practice
from sitegen.model.problem import Origin, Problem
from sitegen.reading import guide, settings
from sitegen.reading.cross import check_client, check_log, unknown_language
from sitegen.reading.translate import curly_warnings, names, problems_of
from sitegen.reading.yaml_text import Tree, YamlText, read_yaml

if TYPE_CHECKING:
    from sitegen.rules.rule import Rule

Read = TypeVar("Read")
Written = TypeVar("Written", bound=BaseModel)


class Reading(NamedTuple, Generic[Read]):
    """What a file gave.

    ``value`` is None where there is an error; but a log keeps its sound entries. Problems are
    sorted by line and column, warnings among them.
    """

    value: Read | None
    origins: Origins
    problems: tuple[Problem, ...]


# A sound stand-in for a section with an error, so that the others can still be checked.
_STAND_IN: Mapping[str, Tree] = {
    "name": "Stand In",
    "screening": {
        "on": "2027-01-04", "regular_exercise": "yes", "known_disease": "no", "symptoms": "no",
    },
    "baseline": {"on": "2027-01-11", "cadence": "158 spm", "week": "0 min"},
    "plan": {"from": "2027-01-18", "weeks": "16"},
}  # fmt: skip


def read_practice(data: bytes, file: str, rules: Iterable[Rule] | None = None) -> Reading[Practice]:
    """``practice.yaml``. Its ``rules`` are checked where the rules are given."""
    read = read_yaml(data, file)
    practice, problems = _map(Practice, read, guide.PRACTICE, "name, contact and timezone")
    if practice is not None:
        problems += unknown_language(practice.language, read.origins)
    return _reading(practice, read, problems + _rules(read, rules))


def read_client(
    data: bytes,
    file: str,
    drill_ids: Collection[str] | None = None,
    rules: Iterable[Rule] | None = None,
) -> Reading[Client]:
    """``ID.yaml``, each field and what fields say together.

    Args:
        data: The file's bytes.
        file: Its name, for the places of problems.
        drill_ids: Drills that there are; None leaves them unchecked.
        rules: The rules whose parameters ``rules`` may set; None leaves it unchecked.
    """
    read = read_yaml(data, file)
    client, problems = _map(Client, read, guide.CLIENT, "name, screening, baseline, plan and week")
    if client is not None:
        problems += check_client(client, read.origins, drill_ids=drill_ids)
    elif isinstance(read.tree, dict):
        sound, missing = _sound_sections(read.tree)
        if sound is not None:
            problems += check_client(sound, read.origins, missing, drill_ids)
    return _reading(client, read, problems + _rules(read, rules))


def read_log(data: bytes, file: str) -> Reading[tuple[CheckIn, ...]]:
    """``ID.log.yaml``. A file with nothing in it is a log with no entries.

    One bad entry loses none of the others: ``value`` holds those that are sound, in the order of
    the file. It is None where the file cannot be read as a list at all.
    """
    read = read_yaml(data, file)
    problems = list(read.problems)
    if read.tree is None:
        return Reading(None if problems else (), read.origins, tuple(problems))
    if not isinstance(read.tree, list):
        problems.append(
            Problem(
                Origin(file, *read.origins.values[()]),
                "a list of check-ins belongs here",
                "begin each check-in with -, like - on: 2027-01-19",
                "shape",
            )
        )
        return _reading(None, read, problems)
    entries: list[tuple[int, CheckIn]] = []
    for number, tree in enumerate(read.tree):
        try:
            entries.append((number, CheckIn.model_validate(tree, by_alias=True, by_name=False)))
        except ValidationError as error:
            problems += _problems_of(error, CheckIn, read, guide.CHECK_IN, (number,))
    problems += check_log(entries, read.origins)
    problems += curly_warnings(read, problems)
    return Reading(tuple(entry for _, entry in entries), read.origins, tuple(sorted(problems)))


def _map(
    model: type[Written], read: YamlText, written: Mapping[str, str], holds: str
) -> tuple[Written | None, list[Problem]]:
    """The model that a file's map makes, and every problem of its fields."""
    problems = list(read.problems)
    if read.tree is None:
        if not problems:
            origin = Origin(read.origins.file)
            hint = f"it needs at least {holds}"
            problems.append(Problem(origin, "the file is empty", hint, "empty-file"))
        return None, problems
    if not isinstance(read.tree, dict):
        origin = Origin(read.origins.file, *read.origins.values[()])
        message = "a list stands here" if isinstance(read.tree, list) else "one text stands here"
        hint = f"write a line with key: value for each; it needs at least {holds}"
        problems.append(Problem(origin, f"{message}, where keys belong", hint, "shape"))
        return None, problems
    try:
        value = model.model_validate(read.tree, by_alias=True, by_name=False)
    except ValidationError as error:
        return None, problems + _problems_of(error, model, read, written)
    return value, problems


def _rules(read: YamlText, rules: Iterable[Rule] | None) -> list[Problem]:
    """What is wrong in the ``rules`` of a file."""
    raw = read.tree.get("rules") if isinstance(read.tree, dict) else None
    if rules is None or not isinstance(raw, dict) or ("rules",) in read.spoiled:
        return []
    return settings.check(rules, raw, read.origins)[1]


def _problems_of(
    error: ValidationError,
    model: type[BaseModel],
    read: YamlText,
    written: Mapping[str, str],
    prefix: tuple[str | int, ...] = (),
) -> list[Problem]:
    return problems_of(error.errors(include_url=False), model, read, written, prefix)


def _sound_sections(tree: dict[str, Tree]) -> tuple[Client | None, frozenset[str]]:
    """A client of the sections without an error, and the names of those with one."""
    known = names(Client)
    kept: dict[str, Any] = {key: value for key, value in tree.items() if key in known}
    bad: set[str] = set()
    for _ in known:
        try:
            client = Client.model_validate(kept, by_alias=True, by_name=False)
        except ValidationError as error:
            broken = {str(e["loc"][0]) for e in error.errors(include_url=False)}
            for name in broken:
                kept.pop(name, None)
                if name in _STAND_IN:
                    kept[name] = _STAND_IN[name]
            bad |= broken
        else:
            return client, frozenset(bad)
    return None, frozenset(bad)


def _reading(value: Read | None, read: YamlText, problems: list[Problem]) -> Reading[Read]:
    problems = problems + curly_warnings(read, problems)
    wrong = any(problem.level == "error" for problem in problems)
    return Reading(None if wrong else value, read.origins, tuple(sorted(problems)))
