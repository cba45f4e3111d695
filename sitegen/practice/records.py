"""A coach's files as frozen models, or everything that is wrong with them at once."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from typing import TYPE_CHECKING, Generic, NamedTuple, TypeVar

from sitegen.model.case import Origins
from sitegen.model.checkin import CheckIn
from sitegen.model.client import Client
from sitegen.model.practice import Practice
from sitegen.model.problem import Origin, Problem
from sitegen.model.record import FieldError, NotRead, Path, Record
from sitegen.practice import settings
from sitegen.practice.checks import check_client
from sitegen.practice.checks.log import check_log
from sitegen.practice.checks.shared import check_practice
from sitegen.practice.meant import Tell, as_meant
from sitegen.practice.partly import HIDES_KEYS, NotKnown, partly
from sitegen.practice.partly import known as partly_known
from sitegen.practice.translate import MAX_TOLD, curly_warnings, problems_of, unlisted
from sitegen.practice.yaml_text import YamlText, read_yaml

if TYPE_CHECKING:
    from sitegen.rules.rule import Rule

Value = TypeVar("Value")
WrittenRecord = TypeVar("WrittenRecord", bound=Record)


class Reading(NamedTuple, Generic[Value]):
    """What a file gave.

    ``value`` is None where there is an error; but a log keeps its sound entries. Problems are
    sorted by line and column, warnings among them. ``known`` is the value, or what could be read
    of it: asking that for more raises `NotKnown`. It is None where nothing could be read.
    """

    value: Value | None
    origins: Origins
    problems: tuple[Problem, ...]
    known: Value | None = None


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
    practice, read, problems = _map(Practice, read, "name, contact and timezone")
    known = _as_far_as_read(Practice, practice, read)
    rules = None if rules is None else tuple(rules)
    if known is not None:
        problems += check_practice(known, read.origins, drill_ids, text_ids)
        for name, group in (partly_known(known, "groups") or {}).items():
            at: Path = ("groups", name)
            problems += settings.out_of_bounds(rules or (), group, read.origins, at)
    problems += [*_rules_of_groups(read, rules), *_rules(read, rules)]
    return _reading(practice, read, problems, known)


def read_client(
    data: bytes,
    file: str,
    drill_ids: Collection[str] | None = None,
    rules: Iterable[Rule] | None = None,
    text_ids: Collection[str] | None = None,
    groups: Collection[str] | None = None,
    session_names: Collection[str] = (),
    return_names: Collection[str] = (),
) -> Reading[Client]:
    """``ID.yaml``, each field and what fields say together.

    Args:
        data: The file's bytes.
        file: Its name, for the places of problems.
        drill_ids: Drills that there are; None leaves them unchecked.
        rules: The rules whose parameters ``rules`` may set; None leaves it unchecked.
        text_ids: The coach's texts that there are; None leaves them unchecked.
        groups: The practice's groups; None leaves the client's unchecked.
        session_names: Kinds of session that there are; none leaves them unchecked.
        return_names: Ways back that there are; none leaves them unnamed.
    """
    read = read_yaml(data, file)
    holds = "name, screening, baseline, plan and week"
    client, read, problems = _map(Client, read, holds)
    known = _as_far_as_read(Client, client, read)
    if known is not None:
        names = (drill_ids, text_ids, groups, session_names, return_names)
        problems += check_client(known, read.origins, *names)
        rules = None if rules is None else tuple(rules)
        problems += settings.out_of_bounds(rules or (), known, read.origins)
    return _reading(client, read, problems + _rules(read, rules), known)


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
    known: dict[int, CheckIn] = {}
    wrong: list[int] = []
    for number, tree in enumerate(read.tree):
        try:
            known[number] = CheckIn.of_tree(tree)
        except NotRead:
            wrong.append(number)
    sound = tuple(known.values())
    if wrong:
        read = _wrong_entries(read, wrong, known, problems)
    problems += check_log(sorted(known.items()), read.origins)
    problems += curly_warnings(read, problems)
    return Reading(sound, read.origins, tuple(sorted(problems)))


def _wrong_entries(
    read: YamlText, wrong: Sequence[int], known: dict[int, CheckIn], problems: list[Problem]
) -> YamlText:
    """What is wrong with some entries of a log, and what is known of each all the same."""
    some = [(number,) for number in wrong[:MAX_TOLD]]
    read, told = as_meant(CheckIn, read, _tell(CheckIn), some)
    problems += told
    left = 0
    for count, number in enumerate(wrong):
        assert isinstance(read.tree, list)
        tree = read.tree[number]
        try:
            entry: CheckIn | None = CheckIn.of_tree(tree)
        except NotRead as error:
            if len(problems) < MAX_TOLD:
                problems += problems_of(error.errors, CheckIn, read, (number,))
            else:
                left += len(error.errors)
            entry = None
            if count < MAX_TOLD:
                entry = partly(CheckIn, tree, read, (number,))
        if entry is not None:
            known[number] = entry
    if left:
        problems.append(unlisted(left, read.origins.file))
    return read


def group_names(practice: Reading[Practice]) -> tuple[str, ...] | None:
    """The practice's groups, those with an error too; None where they can't be known."""
    if practice.known is None or any(p.code in HIDES_KEYS for p in practice.problems):
        return None
    try:
        _ = practice.known.groups
    except NotKnown:
        return None
    return tuple(
        str(path[1]) for path in practice.origins.keys if len(path) == 2 and path[0] == "groups"
    )


def _map(
    model: type[WrittenRecord], read: YamlText, holds: str
) -> tuple[WrittenRecord | None, YamlText, list[Problem]]:
    """The model that a file's map makes, the file as it was meant, and every problem of fields."""
    problems = list(read.problems)
    if read.tree is None:
        if not problems:
            origin = Origin(read.origins.file)
            hint = f"it needs at least {holds}"
            problems.append(Problem(origin, "the file is empty", hint, "empty-file"))
        return None, read, problems
    if not isinstance(read.tree, dict):
        origin = Origin(read.origins.file, *read.origins.values[()])
        message = "a list stands here" if isinstance(read.tree, list) else "one text stands here"
        hint = f"write a line with key: value for each; it needs at least {holds}"
        problems.append(Problem(origin, f"{message}, where keys belong", hint, "shape"))
        return None, read, problems
    try:
        return model.of_tree(read.tree), read, problems
    except NotRead as error:
        errors = error.errors
    if any(one.code == "unknown" for one in errors):
        read, told = as_meant(model, read, _tell(model))
        problems += told
        try:
            return model.of_tree(read.tree), read, problems
        except NotRead as error:
            errors = error.errors
    return None, read, problems + problems_of(errors, model, read)


def _as_far_as_read(
    model: type[WrittenRecord], value: WrittenRecord | None, read: YamlText
) -> WrittenRecord | None:
    """The model, or what could be read of it."""
    if value is not None and not any(p.code in HIDES_KEYS for p in read.problems):
        return value
    return partly(model, read.tree, read)


def _rules(read: YamlText, rules: Iterable[Rule] | None) -> list[Problem]:
    """What is wrong in the ``rules`` of a file."""
    if rules is None or not isinstance(read.tree, dict):
        return []
    return settings.check_all(rules, read.tree, read.origins)


def _rules_of_groups(read: YamlText, rules: Iterable[Rule] | None) -> list[Problem]:
    """The same for each group."""
    groups = read.tree.get("groups") if isinstance(read.tree, dict) else None
    told: list[Problem] = []
    if rules is None or not isinstance(groups, dict):
        return told
    for name, group in groups.items():
        if isinstance(group, dict) and "rules" in group:
            told += settings.check_all(rules, group, read.origins.within("groups", name))
    return told


def _tell(model: type[Record]) -> Tell:
    def tell(errors: list[FieldError], read: YamlText, prefix: Path) -> list[Problem]:
        return problems_of(errors, model, read, prefix)

    return tell


def _reading(
    value: Value | None, read: YamlText, problems: list[Problem], known: Value | None = None
) -> Reading[Value]:
    problems = problems + curly_warnings(read, problems)
    wrong = any(problem.level == "error" for problem in problems)
    return Reading(None if wrong else value, read.origins, tuple(sorted(problems)), known)
