"""An act on ``practice.yaml``: a value of a rule for all clients, or a setting of a group."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from sitegen.acts.act import Act, Refusal, settings_named
from sitegen.model.kinds import nearest, one_of, quoted
from sitegen.model.nearest import nearest_of
from sitegen.model.practice import Group, Practice
from sitegen.practice.entry import Entry
from sitegen.rules import RULES
from sitegen.rules.rule import Rule

LEFT_OUT = ("rules", "notes")  # of a group: rules go by their names, a note is a text of lines


def change_house(
    practice: Practice, settings: Sequence[str], group: str | None = None
) -> Act | Refusal:
    """Values of rules for all clients, or of a group: ``volume: {growth: 8 %}``.

    Args:
        practice: As ``practice.yaml`` is.
        settings: Each as a line that a coach could write.
        group: Only for the clients of this group.
    """
    if group is not None and group not in practice.groups:
        there = ", ".join(practice.groups) or "none"
        return Refusal(f"there is no group {quoted(group)}", f"there are: {there}")
    found = settings_named(settings, "volume: {growth: 8 %}")
    if isinstance(found, Refusal):
        return found
    entries: list[Entry] = []
    for key, value in found:
        home = _home_of(key, value, group)
        if isinstance(home, Refusal):
            return home
        entries += _leaves((*home, key), value)
    return Act(", ".join(map(str, entries)), tuple(entries))


def _home_of(key: str, value: Any, group: str | None) -> tuple[str, ...] | Refusal:
    """Above what a setting stands."""
    names = [rule.name for rule in RULES]
    above = () if group is None else ("groups", group)
    if key in names:
        return (*above, "rules")
    also = [] if group is None else [name for name in Group.ROWS if name not in LEFT_OUT]
    if key in also:
        return above
    what = "a rule" if group is None else "a rule or a setting of a group"
    listed = ", ".join([*also, *sorted(names)])
    meant = [rule.name for rule in RULES if _has_all(rule, value)]
    hint = nearest(key, (*also, *names))
    if meant and nearest_of(key, names) not in meant:
        hint = f"did you mean {one_of((*meant,))}? "
    return Refusal(f"{quoted(key)} is not {what}", f"{hint}write {listed}")


def _has_all(rule: Rule, value: Any) -> bool:
    """Whether a map's keys are all parameters of a rule, as those of ``plan: {growth: 5 %}``."""
    known = rule.parameters.ROWS if rule.parameters else {}
    return isinstance(value, dict) and bool(value) and known.keys() >= value.keys()


def _leaves(path: tuple[str, ...], value: Any) -> Iterator[Entry]:
    """Each value that is no map, at its own place."""
    if isinstance(value, dict) and value:
        for key, below in value.items():
            yield from _leaves((*path, str(key)), below)
    else:
        yield Entry(path, value)
