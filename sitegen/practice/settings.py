"""Values of every rule's parameters for one client.

Later ones win: the rule's default, the practice's ``rules``, the group's ``rules``, the group's
own field, the client's ``rules``, the client's own field.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Any

from sitegen.model.case import Origins
from sitegen.model.client import Client
from sitegen.model.kinds import Unfit, nearest, quoted
from sitegen.model.practice import Group, Practice
from sitegen.model.problem import Problem
from sitegen.model.record import NotRead, Path, Record, row_at
from sitegen.practice.partly import known
from sitegen.practice.translate import names, problems_of, value_place
from sitegen.practice.yaml_text import YamlText

if TYPE_CHECKING:
    from sitegen.rules.rule import Rule

Raw = dict[str, dict[str, Any]]


def check_parameters(
    rules: Iterable[Rule], raw: Mapping[str, Any], origins: Origins
) -> tuple[Raw, list[Problem]]:
    """The sound part of a file's ``rules`` map, and what is wrong with the rest.

    ``practice.yaml`` is checked once with this, not again for each client.
    """
    by_name = {rule.name: rule for rule in rules}
    sound: Raw = {}
    problems: list[Problem] = []
    for name, written in raw.items():
        rule = by_name.get(name)
        if rule is None:
            hint = f"{nearest(name, list(by_name))}there are {', '.join(by_name)}"
            problems.append(
                Problem(
                    origins.at("rules", name),
                    f"there is no rule {quoted(name)}",
                    hint,
                    "unknown-rule",
                )
            )
            continue
        kept, told = _check_rule(rule, written, origins)
        sound[name] = kept
        problems += told
    return sound, problems


def _check_rule(rule: Rule, written: Any, origins: Origins) -> tuple[dict[str, Any], list[Problem]]:
    path: Path = ("rules", rule.name)
    if not isinstance(written, dict):
        known = names(rule.parameters)
        origin = value_place(origins, path) if written else origins.at(*path)
        message = (
            f"{quoted(written)} stands where a map belongs"
            if isinstance(written, str) and written
            else "a list stands where a map belongs"
            if isinstance(written, list)
            else f'nothing is written under "{rule.name}"'
        )
        hint = "take the line out"
        if known:
            hint = f"write what it sets, like {rule.name}: {{{known[0]}: …}}"
            if isinstance(written, str) and written.lower() in ("off", "no", "none", "false"):
                hint = f"no rule can be switched off; take the line out, or {hint}"
        return {}, [Problem(origin, message, hint, "shape" if written else "empty")]
    kept = dict(written)
    try:
        rule.parameters.of_tree(kept)
    except NotRead as error:
        for one in error.errors:
            kept.pop(str(one.path[0]), None) if one.path else kept.clear()
        read = YamlText(None, origins)
        return kept, problems_of(error.errors, rule.parameters, read, path)
    return kept, []


def merge(
    rules: Iterable[Rule],
    practice: Practice,
    client: Client,
    practice_origins: Origins,
    client_origins: Origins,
) -> tuple[dict[str, Any], tuple[Problem, ...]]:
    """Parameters by rule name, and what is wrong with them together.

    What is wrong with one file's is not told here, but where that file is read: `check_all`.
    """
    rules = tuple(rules)
    problems: list[Problem] = []
    house = check_parameters(rules, practice.rules, practice_origins)[0]
    own = check_parameters(rules, client.rules, client_origins)[0]
    group = practice.groups.get(client.group) if client.group is not None else None
    shared = check_parameters(rules, group.rules, practice_origins)[0] if group else {}
    settings: dict[str, Any] = {}
    for rule in rules:
        written = {
            **house.get(rule.name, {}),
            **shared.get(rule.name, {}),
            **(_fields(rule, group) if group else {}),
            **own.get(rule.name, {}),
            **_fields(rule, client),
        }
        try:
            settings[rule.name] = rule.parameters.of_tree(written)
        except NotRead as error:  # sound one by one, but not together
            origins = client_origins if own.get(rule.name) else practice_origins
            read = YamlText(None, origins)
            problems += problems_of(error.errors, rule.parameters, read, ("rules", rule.name))
    return settings, tuple(sorted(problems))


def check_all(rules: Iterable[Rule], tree: Mapping[str, Any], origins: Origins) -> list[Problem]:
    """What is wrong with the ``rules`` of a file's map, and what its fields set as well.

    ``tree`` is the map as it was read, a client's, a group's or the practice's; ``origins`` are
    those within it.
    """
    raw = tree.get("rules")
    if not isinstance(raw, dict):
        return []
    rules = tuple(rules)
    problems = check_parameters(rules, raw, origins)[1]
    for rule in rules:
        problems += _twice(rule, raw, tree, origins)
    return problems


def out_of_bounds(
    rules: Iterable[Rule], written: Record, origins: Origins, above: Path = ()
) -> Iterator[Problem]:
    """Values of a file's own fields that lie outside the bounds of the rule that they set.

    Args:
        rules: The rules; each field may be bound more narrowly by one than by the table.
        written: A client or a group, or what could be read of one.
        origins: Where it was written.
        above: Where in the file it stands.
    """
    record = Group if above else Client
    for rule in rules:
        for parameter, path in rule.client_fields.items():
            kind = rule.parameters.ROWS[parameter].value
            value = _known_at(record, written, path)
            if kind is None or value is None:
                continue
            try:
                kind.validate(value)
            except Unfit as unfit:
                origin = origins.value(*above, *path)
                yield Problem(origin, unfit.message, unfit.hint, unfit.code)


def _known_at(record: type[Record], written: Any, path: Path) -> Any:
    """The value at ``path``; None where it is not written, not known, or no field of the record."""
    for end in range(1, len(path) + 1):
        row = row_at(record, path[:end])
        if row is None or written is None:
            return None
        written = known(written, row.name)
    return written


def _fields(rule: Rule, written: Record) -> dict[str, Any]:
    """The parameters that a file's own fields set."""
    found = {name: _field(written, path) for name, path in rule.client_fields.items()}
    return {name: value for name, value in found.items() if value is not None}


def _twice(
    rule: Rule, raw: Mapping[str, Any], tree: Mapping[str, Any], origins: Origins
) -> Iterator[Problem]:
    """A warning for each parameter that stands under ``rules`` and in a field of its own."""
    under_rules = raw.get(rule.name)
    if not isinstance(under_rules, dict):
        return
    for parameter, path in rule.client_fields.items():
        if under_rules.get(parameter) and _at(tree, path):
            yield _set_twice(origins, rule.name, parameter, path)


def _at(tree: Any, path: Path) -> Any:
    """What is written at ``path``."""
    for step in path:
        tree = tree.get(step) if isinstance(tree, dict) else None
    return tree


def _field(written: Record, path: Path) -> Any:
    """The field at ``path``; None where the coach did not write it, or a group has no such."""
    here: Any = written
    for step in path:
        if not isinstance(here, Record):
            return None
        one = type(here).ROWS.get(str(step))
        if one is None:
            if isinstance(written, Group):
                return None
            raise KeyError(f"a rule names a field that no client has: {path}")
        if one.name not in here.written:
            return None
        here = getattr(here, one.name)
    return here


def _set_twice(origins: Origins, rule: str, parameter: str, path: Path) -> Problem:
    field = ".".join(str(step) for step in path)
    return Problem(
        origins.at("rules", rule, parameter),
        f"{field} sets this too, and counts",
        "keep one of the two",
        "set-twice",
        "warning",
    )
