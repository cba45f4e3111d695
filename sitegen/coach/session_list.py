"""The library and the coach's own sessions as a list, to choose from."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from sitegen.model.workout import Workout


def session_json(workout: Workout) -> dict[str, Any]:
    """One session of ``sitegen sessions --json``."""
    return {
        "session": workout.name,
        "title": str(workout.title),
        "purpose": str(workout.purpose),
        "kind": workout.kind,
        "hard": workout.hard,
        "own": workout.own,
        "chosen": workout.chosen,
    }


def listed_sessions(workouts: Sequence[Workout]) -> Iterator[str]:
    """A line each, one's own first: its name, kind, title, and where it only stands by hand."""
    width = max((len(one.name) for one in workouts), default=0)
    for one in sorted(workouts, key=lambda each: (not each.own, each.name)):
        all_marks = {
            "yours": one.own, "hard": one.hard, "only where you put it": not one.chosen,
        }  # fmt: skip
        marks = [mark for mark, holds in all_marks.items() if holds]
        told = f" ({', '.join(marks)})" if marks else ""
        yield f"{one.name:<{width}}  {one.kind}: {one.title}{told}"
