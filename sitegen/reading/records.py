"""A coach's files as frozen models, or everything that is wrong with them at once."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from typing import TYPE_CHECKING, Any, Generic, NamedTuple, TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from sitegen.model.case import Origins
from sitegen.model.checkin import CheckIn
from sitegen.model.client import Client
from sitegen.model.practice import Group, Practice
from sitegen.model.problem import Origin, Problem
from sitegen.reading import guide, settings
from sitegen.reading.cross import check_client, check_log, check_practice
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
_STAND_IN_PRACTICE: Mapping[str, Tree] = {
    "name": "Stand In", "contact": "coach@example.org", "timezone": "UTC",
}  # fmt: skip
_STAND_IN: Mapping[str, Tree] = {
    "name": "Stand In",
    "screening": {
        "on": "2027-01-04", "regular_exercise": "yes", "known_disease": "no", "symptoms": "no",
    },
    "baseline": {"on": "2027-01-11", "cadence": "158 spm", "week": "0 min"},
    "plan": {"from": "2027-01-18", "weeks": "16"},
}  # fmt: skip


def read_practice(
    data: bytes,
    file: str,
    rules: Iterable[Rule] | None = None,
    drill_ids: Collection[str] | None = None,
    text_ids: Collection[str] | None = None,
) -> Reading[Practice]:
    """``practice.yaml``, its groups with it.

    Args:
        data: The file's bytes.
        file: Its name, for the places of problems.
        rules: The rules whose parameters ``rules`` may set; None leaves it unchecked.
        drill_ids: Drills that there are; None leaves them unchecked, and links too.
        text_ids: The coach's texts that there are; None leaves them unchecked, and links too.
    """
    read = read_yaml(data, file)
    practice, problems = _map(Practice, read, guide.PRACTICE, "name, contact and timezone")
    sound = practice
    if sound is None and isinstance(read.tree, dict):
        sound, _ = _sound_sections(Practice, read.tree, _STAND_IN_PRACTICE)
    if sound is not None:
        problems += check_practice(sound, read.origins, drill_ids, text_ids)
    rules = None if rules is None else tuple(rules)
    problems += _rules_of_groups(read, sound.groups if sound else {}, rules)
    return _reading(practice, read, problems + _rules(read, rules))


def read_client(
    data: bytes,
    file: str,
    drill_ids: Collection[str] | None = None,
    rules: Iterable[Rule] | None = None,
    text_ids: Collection[str] | None = None,
) -> Reading[Client]:
    """``ID.yaml``, each field and what fields say together.

    Args:
        data: The file's bytes.
        file: Its name, for the places of problems.
        drill_ids: Drills that there are; None leaves them unchecked.
        rules: The rules whose parameters ``rules`` may set; None leaves it unchecked.
        text_ids: The coach's texts that there are; None leaves them unchecked.
    """
    read = read_yaml(data, file)
    client, problems = _map(Client, read, guide.CLIENT, "name, screening, baseline, plan and week")
    if client is not None:
        problems += check_client(client, read.origins, (), drill_ids, text_ids)
    elif isinstance(read.tree, dict):
        sound, missing = _sound_sections(Client, read.tree, _STAND_IN)
        if sound is not None:
            problems += check_client(sound, read.origins, missing, drill_ids, text_ids)
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


def _rules_of_groups(
    read: YamlText, sound: Mapping[str, Group], rules: Iterable[Rule] | None
) -> list[Problem]:
    """The same for each group; ``sound`` are those without another error."""
    raw = read.tree.get("groups") if isinstance(read.tree, dict) else None
    told: list[Problem] = []
    if rules is None or not isinstance(raw, dict):
        return told
    for name, group in raw.items():
        within = read.origins.within("groups", name)
        written = group.get("rules") if isinstance(group, dict) else None
        if name in sound:
            told += settings.check_group(rules, sound[name], within)
        elif isinstance(written, dict) and ("groups", name, "rules") not in read.spoiled:
            told += settings.check(rules, written, within)[1]
    return told


def _problems_of(
    error: ValidationError,
    model: type[BaseModel],
    read: YamlText,
    written: Mapping[str, str],
    prefix: tuple[str | int, ...] = (),
) -> list[Problem]:
    """Problems behind an error. Those in a group are told as of a file of its own."""
    plain: list[ErrorDetails] = []
    of_group: dict[str, list[ErrorDetails]] = {}
    for one in error.errors(include_url=False):
        loc = one["loc"]
        if model is Practice and len(loc) > 1 and loc[0] == "groups":
            of_group.setdefault(str(loc[1]), []).append({**one, "loc": loc[2:]})
        else:
            plain.append(one)
    told = problems_of(plain, model, read, written, prefix)
    for name, errors in of_group.items():
        told += problems_of(errors, Group, read, guide.GROUP, ("groups", name))
    return told


def _sound_sections(
    model: type[Written], tree: dict[str, Tree], stand_in: Mapping[str, Tree]
) -> tuple[Written | None, frozenset[str]]:
    """A model of the sections without an error, and the names of those with one.

    Of the practice's groups only those go that have an error themselves.
    """
    known = names(model)
    kept: dict[str, Any] = {key: value for key, value in tree.items() if key in known}
    if isinstance(groups := kept.get("groups"), dict):
        kept["groups"] = dict(groups)
    bad: set[str] = set()
    while True:
        try:
            return model.model_validate(kept, by_alias=True, by_name=False), frozenset(bad)
        except ValidationError as error:
            broken = {e["loc"][:2] for e in error.errors(include_url=False)}
        if not any(_drop(kept, loc, stand_in) for loc in broken):
            return None, frozenset(bad)
        bad |= {str(loc[0]) for loc in broken}


def _drop(kept: dict[str, Any], loc: tuple[int | str, ...], stand_in: Mapping[str, Tree]) -> bool:
    """Leave out a broken section, or put another in its place; False where that changes nothing."""
    name = str(loc[0])
    if name == "groups" and len(loc) > 1:
        return kept["groups"].pop(loc[1], None) is not None
    before = kept.pop(name, None)
    if name in stand_in:
        kept[name] = stand_in[name]
    return bool(before != kept.get(name))


def _reading(value: Read | None, read: YamlText, problems: list[Problem]) -> Reading[Read]:
    problems = problems + curly_warnings(read, problems)
    wrong = any(problem.level == "error" for problem in problems)
    return Reading(None if wrong else value, read.origins, tuple(sorted(problems)))
