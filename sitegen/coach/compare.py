"""Two plans side by side, week by week: a coach's what-if. Nothing is written."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import zip_longest
from typing import Any

import yaml

from sitegen.model.client import Client, PlanSettings
from sitegen.model.plan import Plan, Week

COLUMNS = "week  from        kind     run  long     kind     run  long     more"


class NoSetting(ValueError):
    """What was written as another setting is none. The text says what to write."""


def with_settings(text: bytes, settings: tuple[str, ...]) -> bytes:
    """A client's file with other settings, as text.

    Args:
        text: The file's bytes, sound YAML.
        settings: Like ``growth: 8 %`` (a field under ``plan``), or a field of the file itself.

    Raises:
        NoSetting: A setting is no map, or has a key that neither the plan nor the file has.
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
            if key in PlanSettings.ROWS:
                tree["plan"] = {**tree["plan"], key: value}
            elif key in Client.ROWS:
                tree[key] = value
            else:
                raise NoSetting(
                    f"{key} is no setting of a plan; write one of {', '.join(PlanSettings.ROWS)}, "
                    "or a field of the client's file"
                )
    return yaml.safe_dump(tree, allow_unicode=True, sort_keys=False).encode()


def plans_table(one: Plan, other: Plan, names: tuple[str, str]) -> str:
    """Both plans as columns, within 80 characters, and what each reaches."""
    width = len("kind     run  long") + 3
    lines = [f"{'':18}{names[0]:<{width}}{names[1]}", COLUMNS]
    for left, right in zip_longest(one.weeks, other.weeks):
        lines.append(_row(left, right))
    return "\n".join([*lines, "", *_reached(one, other, names)])


def _row(left: Week | None, right: Week | None) -> str:
    first = left or right
    assert first is not None
    more = (right.run_minutes if right else 0.0) - (left.run_minutes if left else 0.0)
    return f"{first.number:>4}  {first.start}  {_cells(left)}     {_cells(right)}{more:>+9.0f}"


def _cells(week: Week | None) -> str:
    if week is None:
        return f"{'·':<7}{'·':>5}{'·':>6}"
    return f"{week.kind:<7}{week.run_minutes:>5.0f}{week.longest_minutes:>6.0f}"


def reaches(plan: Plan) -> dict[str, float]:
    """What a plan comes to, in minutes: its largest week, its longest run, and all its running.

    The event itself is no training and counts in none of them.
    """
    runs = [[s.run_minutes for s in w.sessions if s.kind != "event"] for w in plan.weeks]
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
    """``{"plans": [...], "weeks": [...], "reaches": [...]}``; minutes, null for a missing week."""
    return {
        "plans": list(names),
        "weeks": [
            {
                "number": (left or right).number,
                "start": (left or right).start.isoformat(),
                "kind": [w.kind if w else None for w in (left, right)],
                "run_minutes": [w.run_minutes if w else None for w in (left, right)],
                "longest_minutes": [w.longest_minutes if w else None for w in (left, right)],
            }
            for left, right in zip_longest(one.weeks, other.weeks)
        ],
        "reaches": [reaches(one), reaches(other)],
        "problems": [p.as_json() for p in sorted({*one.problems, *other.problems})],
    }
