"""A session file: what is wrong with it, and the workout that it makes.

Shipped files and a coach's own have the same form; one of hers with the name of a shipped one
takes its place.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import NamedTuple

from sitegen.model.case import Origins
from sitegen.model.kinds import is_id, nearest, quoted
from sitegen.model.problem import Origin, Problem
from sitegen.model.workout import (
    HARD_FROM_EFFORT,
    HARD_KINDS,
    PartText,
    Workout,
    WorkoutFile,
    workout_of,
)
from sitegen.practice.fields import read_fields
from sitegen.practice.partly import numbered
from sitegen.practice.translate import curly_warnings
from sitegen.practice.yaml_text import read_yaml

HOLDS = "title, purpose and kind"


class WorkoutRead(NamedTuple):
    """A session file as read: the workout, or None where there is an error."""

    workout: Workout | None
    problems: tuple[Problem, ...]


def read_workout(
    name: str,
    data: bytes,
    file: str,
    *,
    own: bool,
    drill_ids: Collection[str] | None = None,
) -> WorkoutRead:
    """One session file.

    Args:
        name: The file's name without its ending.
        data: What the file holds.
        file: Its name, for the places of problems.
        own: True for a coach's own.
        drill_ids: Drills that there are; None leaves them unchecked.
    """
    if not is_id(name):
        hint = "name the file with at most 40 small letters, digits and hyphens, like hills.yaml"
        told = Problem(Origin(file), f"{quoted(name)} is no session's name", hint, "session-id")
        return WorkoutRead(None, (told,))
    read = read_yaml(data, file)
    problems = list(read.problems)
    found: WorkoutFile | None = None
    if isinstance(read.tree, dict):
        found, told_of_fields = read_fields(WorkoutFile, read)
        problems += told_of_fields
    elif not problems:
        hint = f"write {HOLDS}"
        problems.append(Problem(Origin(file), "this file holds no session", hint, "shape"))
    if found is not None:
        problems += contradictions(found, read.origins)
        problems += _drills(found, read.origins, drill_ids)
    if own:
        problems += curly_warnings(read, problems)
    problems.sort()
    is_wrong = found is None or any(p.level == "error" for p in problems)
    workout = None if is_wrong or found is None else workout_of(name, found, own)
    return WorkoutRead(workout, tuple(problems))


def contradictions(found: WorkoutFile, origins: Origins) -> Iterator[Problem]:
    """What the fields of one file say against each other."""

    def told(path: tuple[str | int, ...], message: str, hint: str) -> Problem:
        return Problem(origins.value(*path), message, hint, "session-contradicts")

    hard = [n for n, part in enumerate(found.parts) if (part.effort or 0) >= HARD_FROM_EFFORT]
    for number, part in numbered(found.parts):
        yield from _of_part(part, ("parts", number), origins)
    if found.kind in HARD_KINDS and not hard:
        yield told(
            ("kind",),
            f"{found.kind} is hard, and no part has an effort of {HARD_FROM_EFFORT} or more",
            f"give a part its effort, like effort: {HARD_FROM_EFFORT + 1}, or write kind: easy",
        )
    for number in hard if found.kind not in HARD_KINDS else ():
        yield told(
            ("parts", number, "effort"),
            f"{found.kind} is easy running, and this part has an effort of "
            f"{found.parts[number].effort}",
            f"write at most {HARD_FROM_EFFORT - 1}, or kind: intervals",
        )
    if found.kind == "beat" and not any(part.beat for part in found.parts):
        yield told(("kind",), "no part is run to the beat", "add beat: yes to one, or kind: easy")
    if found.grows is not None and not found.parts:
        yield told(("grows",), "there is no part that could grow", "add parts, or leave grows out")
    elif found.grows is not None and found.grows.to < found.repeat:
        yield told(
            ("grows", "to"),
            f"it begins at {found.repeat} repeats and grows to {found.grows.to}",
            f"write {found.repeat} or more, or a smaller repeat",
        )
    if found.repeat > 1 and not found.parts:
        yield told(("repeat",), "there is no part to repeat", "add parts, or leave repeat out")
    if found.parts and not any(part.run for part in found.parts):
        yield told(("parts",), "no part is run", "add a part with run, like {run: 2 min}")
    suits = found.event
    if suits is not None and suits.least and suits.most and suits.least.metres > suits.most.metres:
        yield told(
            ("event", "to"),
            "the longest event is shorter than the shortest",
            "swap from and to",
        )


def _of_part(part: PartText, path: tuple[str | int, ...], origins: Origins) -> Iterator[Problem]:
    def told(key: str, message: str, hint: str) -> Problem:
        where = origins.value(*path, key) if key else origins.value(*path)
        return Problem(where, message, hint, "session-contradicts")

    if part.run is not None and part.walk is not None:
        yield told("walk", "this part is run and walked", "make two parts of it")
    if part.run is None and part.walk is None:
        yield told(
            "", "this part says neither run nor walk", "add run: and how long, like run: 2 min"
        )
    if part.walk is not None and part.beat:
        yield told("beat", "this part is walked, yet to the beat", "write run in place of walk")
    if part.walk is not None and (part.effort or 0) >= HARD_FROM_EFFORT:
        yield told(
            "effort",
            f"this part is walked, yet its effort is {part.effort}",
            "write run in place of walk, or a smaller effort",
        )
    if part.quick is not None and (part.effort or 0) < HARD_FROM_EFFORT:
        yield told(
            "quick",
            "this part is not hard, yet a share of it is quick",
            f"give it an effort of {HARD_FROM_EFFORT} or more",
        )
    length = part.run or part.walk
    if part.quick is not None and length is not None and part.quick.seconds > length.seconds:
        yield told(
            "quick", f"{part.quick} of {length} can't be quick", "write at most the part's length"
        )


def _drills(
    found: WorkoutFile, origins: Origins, known: Collection[str] | None
) -> Iterator[Problem]:
    for number, drill in numbered(found.drills):
        if known is not None and drill not in known:
            yield Problem(
                origins.value("drills", number),
                f"there is no drill {quoted(drill)}",
                f"{nearest(drill, list(known))}a drill of your own is a file drills/{drill}.md",
                "drill-unknown",
            )


def workouts_of(
    shipped: Mapping[str, bytes],
    own: Mapping[str, bytes],
    folder: str,
    drill_ids: Collection[str] | None = None,
) -> tuple[dict[str, Workout], list[Problem]]:
    """All workouts by name, in the order of names, and what is wrong with their files."""
    found: dict[str, Workout] = {}
    problems: list[Problem] = []
    for files, is_own in ((shipped, False), (own, True)):
        for name, data in files.items():
            file = f"{folder}/sessions/{name}.yaml" if is_own else f"library/sessions/{name}.yaml"
            read = read_workout(
                name, data, file, own=is_own, drill_ids=drill_ids if is_own else None
            )
            problems += read.problems
            if read.workout is not None:
                found[name] = read.workout
    return dict(sorted(found.items())), problems
