"""Two plans side by side, week by week from today's on: a coach's what-if. Nothing is written."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from itertools import zip_longest
from typing import Any

import yaml

from sitegen.acts.file import no_setting, setting_path
from sitegen.model.client import Client
from sitegen.model.plan import Plan, Week

WEEK = timedelta(days=7)
COLUMNS = "week  from        kind     run  long     kind     run  long     more"


class NoSetting(ValueError):
    """What was written as another setting is none. The text says what to write."""


def with_settings(text: bytes, settings: tuple[str, ...]) -> bytes:
    """A client's file with other settings, as text.

    Args:
        text: The file's bytes, sound YAML.
        settings: Those of `set`, like ``growth: 8 %`` or ``tue: rest``, or a field of the file
            itself, whole.

    Raises:
        NoSetting: A setting is no map, or has a key that is none of these.
    """
    tree = yaml.load(text, yaml.BaseLoader)  # texts alone, as the reader takes them
    for setting in settings:
        try:
            changed = yaml.load(setting, yaml.BaseLoader)
        except yaml.YAMLError:
            changed = None
        if not isinstance(changed, dict):
            raise NoSetting(f"{setting!r} is no setting; write it like growth: 8 %")
        for key, value in changed.items():
            path = setting_path(key) or ((key,) if key in Client.ROWS else None)
            if path is None:
                wrong = no_setting(key)
                raise NoSetting(f"{wrong.message}; {wrong.hint}, or a field of the client's file")
            if path[0] == "week" and isinstance(tree.get("week"), list) and len(path) > 1:
                raise NoSetting(f"weeks go in rotation: write all of week in place of {key}")
            _put(tree, path, value)
    return yaml.safe_dump(tree, allow_unicode=True, sort_keys=False).encode()


def _put(tree: dict[str, Any], path: tuple[str, ...], value: Any) -> None:
    """As `set` writes it: of a map that stands there only the keys that are named change."""
    for step in path[:-1]:
        below = tree.get(step)
        tree[step] = dict(below) if isinstance(below, dict) else {}
        tree = tree[step]
    there = tree.get(path[-1])
    if len(path) > 1 and isinstance(there, dict) and isinstance(value, dict):
        value = {**there, **value}
    tree[path[-1]] = value


def plans_table(one: Plan, other: Plan, names: tuple[str, str]) -> str:
    """Both plans as columns, within 80 characters, and what each reaches."""
    width = len("kind     run  long") + 3
    lines = [f"{'':18}{names[0]:<{width}}{names[1]}", COLUMNS]
    lines += [_row(left, right) for left, right in _pairs(one, other)]
    over = weeks_over(one, other)
    if over:
        are = "week is over and is" if over == 1 else "weeks are over and are"
        lines += ["", f"{over} {are} left out, here and below: nothing can change what was run."]
    return "\n".join([*lines, "", *_reached(one, other, names)])


def _is_over(week: Week | None, plan: Plan) -> bool:
    return week is None or week.start + WEEK <= plan.as_of


def _pairs(one: Plan, other: Plan) -> list[tuple[Week | None, Week | None]]:
    """The weeks of both, by their numbers, that are not over in both."""
    both = zip_longest(one.weeks, other.weeks)
    return [(a, b) for a, b in both if not (_is_over(a, one) and _is_over(b, other))]


def _either(left: Week | None, right: Week | None) -> Week:
    found = left or right
    assert found is not None
    return found


def weeks_over(one: Plan, other: Plan) -> int:
    """How many weeks are left out, as they are over in both plans."""
    return max(len(one.weeks), len(other.weeks)) - len(_pairs(one, other))


def _row(left: Week | None, right: Week | None) -> str:
    first = _either(left, right)
    more = (right.run_minutes if right else 0.0) - (left.run_minutes if left else 0.0)
    return f"{first.number:>4}  {first.start}  {_cells(left)}     {_cells(right)}{more:>+9.0f}"


def _cells(week: Week | None) -> str:
    if week is None:
        return f"{'·':<7}{'·':>5}{'·':>6}"
    return f"{week.kind:<7}{week.run_minutes:>5.0f}{week.longest_minutes:>6.0f}"


def reaches(plan: Plan) -> dict[str, float]:
    """What a plan still comes to, in minutes: its largest week, its longest run, all its running.

    Weeks that are over count in none of them, nor does the event itself, which is no training.
    """
    ahead = (week for week in plan.weeks if not _is_over(week, plan))
    runs = [[s.run_minutes for s in w.sessions if s.kind != "event"] for w in ahead]
    return {
        "largest_week": max(map(sum, runs), default=0.0),
        "longest_run": max((m for week in runs for m in week), default=0.0),
        "all_running": sum(map(sum, runs)),
    }


def _reached(one: Plan, other: Plan, names: tuple[str, str]) -> Iterator[str]:
    for what, before in reaches(one).items():
        after = reaches(other)[what]
        said = what.replace("_", " ").capitalize()
        yield f"{said + ':':<14}{before:>6.0f} and {after:.0f} min, {after - before:+.0f}."
    for name, mine, others in ((names[0], one, other), (names[1], other, one)):
        for problem in mine.problems:
            if (problem.code, problem.message) not in {
                (p.code, p.message) for p in others.problems
            }:
                yield f"Only {name}: {problem.message.rstrip('.')}."


def as_json(one: Plan, other: Plan, names: tuple[str, str]) -> dict[str, Any]:
    """``{"plans": [...], "over": 4, "weeks": [...], "reaches": [...]}``; minutes, null for none."""
    return {
        "plans": list(names),
        "over": weeks_over(one, other),
        "weeks": [
            {
                "number": _either(left, right).number,
                "start": _either(left, right).start.isoformat(),
                "kind": [w.kind if w else None for w in (left, right)],
                "run_minutes": [w.run_minutes if w else None for w in (left, right)],
                "longest_minutes": [w.longest_minutes if w else None for w in (left, right)],
            }
            for left, right in _pairs(one, other)
        ],
        "reaches": [reaches(one), reaches(other)],
        "problems": [p.as_json() for p in sorted({*one.problems, *other.problems})],
    }
