"""A drill's Markdown file: front matter between two lines of ``---``, then the text.

Shipped drills and a coach's own have the same form. Of her own, only the title is
required, and it may be the first heading of plain Markdown.
"""

from __future__ import annotations

import json
import re

from sitegen.model.drill import PLACES, STAGES, Drill
from sitegen.model.kinds import PROSE, TEXT, choice, is_id, quoted, whole
from sitegen.model.problem import Origin, Problem
from sitegen.model.record import Record, row
from sitegen.practice.fields import read_fields
from sitegen.practice.figure import figure_problems
from sitegen.practice.translate import curly_warnings
from sitegen.practice.yaml_text import MAX_BYTES, decoded, read_yaml, without_control

FRONT_MATTER = re.compile(
    r"---[ \t]*(?:\r\n|\r|\n)(?P<front>.*?)^---[ \t]*(?:(?:\r\n|\r|\n)(?P<text>.*))?\Z",
    re.DOTALL | re.MULTILINE,
)
HEADING = re.compile(r"[ ]{0,3}#[ \t]+(?P<title>[^\r\n]*?)[ \t#]*(?:\r\n|\r|\n|\Z)")
EMPTY_LINES = re.compile(r"(?:[ \t]*(?:\r\n|\r|\n))*")


class DrillFile(Record):
    """The front matter of a drill."""

    title: str = row(TEXT, "Quiet landing", needed=True)
    purpose: str = row(PROSE, default="")
    stages: list[str] | None = row(
        choice(*STAGES),
        "[building, step_rate]",
        "stages of a plan in which it is chosen; none: only where it is named",
        default=None,
        many="list",
    )
    where: str | None = row(choice(*PLACES), "warm_up")
    minutes: int | None = row(whole(1, 60, "minutes, a whole number"))
    dose: str = row(TEXT, default="")
    cues: list[str] = row(TEXT, "[Land softly]", many="list")
    slips: list[str] = row(TEXT, "[Stamping]", many="list")
    stop: list[str] = row(TEXT, "[Pain that rises]", many="list")
    source: str = row(PROSE, default="")
    timer: list[int] = row(
        whole(0, 600, "a whole number"),
        "[4, 20, 40]",
        "for a drill that is held: how often, the seconds of each, and the seconds between",
        many="list",
    )
    shows: str = row(TEXT, "", "the drawing in words, for who can't see it", default="")


def read_drill(
    id: str,
    data: bytes,
    file: str,
    *,
    own: bool,
    figure: str = "",
    instead_of: Drill | None = None,
) -> tuple[Drill | None, tuple[Problem, ...]]:
    """One drill.

    Args:
        id: The file's name without its ending.
        data: What the file holds.
        file: Its name, for the places of problems; lines count from the top of the file.
        own: True for a coach's own.
        figure: Its drawing, an SVG, or empty. It lies beside the file under the same name.
        instead_of: The shipped drill that this one replaces. Where and when it is practised is
            taken over where the file does not say; its words are not.

    Returns:
        The drill, or None where there is an error; and the problems, sorted.
    """
    if not is_id(id):
        hint = "name the file with at most 40 small letters, digits and hyphens, like my-drill.md"
        return None, (Problem(Origin(file), f"{quoted(id)} is no drill id", hint, "drill-id"),)
    drawing = f"{file.removesuffix('.md')}.svg"
    problems = figure_problems(figure, drawing) if own and figure else []
    if len(data) > MAX_BYTES:
        return None, tuple(sorted([*read_yaml(data, file).problems, *problems]))
    text, problem = decoded(data, file)
    if problem:
        return None, tuple(sorted([problem, *problems]))
    parts = FRONT_MATTER.fullmatch(text)
    heading = headed(text) if own else None
    if parts:
        read = read_yaml(parts["front"].encode(), file, skip_lines=1)
        begin = parts.start("text") if parts["text"] else len(text)
    elif heading:  # a page of plain Markdown: its first heading is the title
        title = f"title: {json.dumps(heading['title'], ensure_ascii=False)}"
        read = read_yaml(title.encode(), file, skip_lines=text[: heading.start()].count("\n"))
        begin = heading.end()
    else:
        return None, tuple(sorted([_no_front(text, file), *problems]))
    problems += read.problems
    front: DrillFile | None = None
    if isinstance(read.tree, dict):
        front, told = read_fields(DrillFile, read)
        problems += told
    elif not read.problems:
        problems.append(_no_front("", file))
    problems += curly_warnings(read, problems)
    problems += without_control(text[begin:], file, text.count("\n", 0, begin))[1]
    if front is not None and len(front.timer) not in (0, 3):
        problems.append(
            Problem(
                read.origins.value("timer"),
                "a timer has three numbers",
                "write how often, the seconds of each and the seconds between: [4, 20, 40]",
                "drill-timer",
            )
        )
    problems.sort()
    if front is None or any(p.level == "error" for p in problems):
        return None, tuple(problems)
    stages = front.stages if front.stages is not None else instead_of and instead_of.stages
    return Drill(
        id=id,
        title=front.title,
        purpose=front.purpose,
        stages=tuple(stages or ()),
        where=front.where or (instead_of.where if instead_of else "warm_up"),
        minutes=front.minutes or (instead_of.minutes if instead_of else 3),
        dose=front.dose,
        cues=tuple(front.cues),
        slips=tuple(front.slips),
        stop=tuple(front.stop),
        source=front.source,
        text=text[begin:].strip(),
        figure=figure,
        shows=front.shows,
        own=own,
        timer=tuple(front.timer) or (instead_of.timer if instead_of else ()),
    ), tuple(problems)


def headed(text: str) -> re.Match[str] | None:
    """The first heading of a text that begins with one; None where that says nothing."""
    begin = EMPTY_LINES.match(text)
    heading = HEADING.match(text, begin.end() if begin else 0)
    return heading if heading and heading["title"] else None


def below_front(data: bytes) -> tuple[str, int]:
    """The text below a file's front matter, and how many lines stand above it.

    Front matter without an end has nothing below it, and a file without one is all text.
    """
    text = data.decode("utf-8", "replace")
    front = FRONT_MATTER.fullmatch(text)
    if front is None:
        return ("", 0) if text.startswith("---") else (text, 0)
    begin = front.start("text") if front["text"] else len(text)
    return text[begin:], text.count("\n", 0, begin)


def _no_front(text: str, file: str) -> Problem:
    begun = text.startswith("---")
    return Problem(
        Origin(file),
        "the lines between --- and --- have no end" if begun else "the title is missing",
        "begin the file with # and the drill's name, or with three lines: ---, title: and it, ---",
        "front-matter",
    )
