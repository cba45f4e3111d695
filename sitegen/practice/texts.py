"""A coach's own text for clients, a Markdown file: its title, and what stands below.

The title stands as in a drill, between two lines of ``---``, or it is the first heading.
"""

from __future__ import annotations

from sitegen.model.handout import Handout
from sitegen.model.kinds import MAX_PROSE, MAX_TEXT, TEXT, is_id, quoted
from sitegen.model.problem import Origin, Problem
from sitegen.model.record import Record, row
from sitegen.practice.drills import FRONT_MATTER, headed
from sitegen.practice.fields import read_fields
from sitegen.practice.translate import curly_warnings
from sitegen.practice.yaml_text import MAX_BYTES, YamlText, decoded, read_yaml, without_control


class TextFile(Record):
    """The front matter of a text."""

    title: str = row(TEXT, needed=True)


def read_text(id: str, data: bytes, file: str) -> tuple[Handout | None, tuple[Problem, ...]]:
    """One text.

    Args:
        id: The file's name without its ending.
        data: What the file holds.
        file: Its name, for the places of problems.

    Returns:
        The text, or None where there is an error; and the problems, sorted.
    """
    if not is_id(id):
        hint = "name the file with at most 40 small letters, digits and hyphens, like shoes.md"
        return None, (Problem(Origin(file), f"{quoted(id)} is no text's id", hint, "text-id"),)
    if len(data) > MAX_BYTES:
        return None, read_yaml(data, file).problems
    text, problem = decoded(data, file)
    if problem:
        return None, (problem,)
    title, start, problems = _title(text, file)
    body = text[start:]
    lines = text[:start].count("\n")
    body, invisible = without_control(body, file, lines)
    problems += invisible
    if title is not None and not body.strip():
        hint = "write what clients shall read, or take the file away"
        problems.append(
            Problem(Origin(file, lines + 1), "nothing is written below the title", hint, "empty")
        )
    if len(body) > MAX_PROSE:
        hint = f"write at most {MAX_PROSE}, or make two texts of it"
        said = f"this text has {len(body)} characters"
        problems.append(Problem(Origin(file, lines + 1), said, hint, "text-length"))
    problems.sort()
    if title is None or any(p.level == "error" for p in problems):
        return None, tuple(problems)
    above = len(body) - len(body.lstrip("\r\n"))
    return Handout(id, title, body.strip(), lines + body[:above].count("\n")), tuple(problems)


def _title(text: str, file: str) -> tuple[str | None, int, list[Problem]]:
    """The title, where the rest begins, and what is wrong."""
    if front := FRONT_MATTER.fullmatch(text):
        title, problems = _front_title(read_yaml(front["front"].encode(), file, skip_lines=1))
        return title, front.start("text") if front["text"] else len(text), problems
    heading = headed(text)
    if heading is None:
        hint = "begin the file with # and the title, like # Shoes"
        return None, 0, [Problem(Origin(file), "the title is missing", hint, "text-title")]
    if len(heading["title"]) > MAX_TEXT:
        line = text[: heading.start()].count("\n") + 1
        said = f"this title has {len(heading['title'])} characters"
        told = Problem(Origin(file, line), said, f"write at most {MAX_TEXT}", "text-length")
        return None, heading.end(), [told]
    return heading["title"], heading.end(), []


def _front_title(read: YamlText) -> tuple[str | None, list[Problem]]:
    problems = list(read.problems)
    title: str | None = None
    if isinstance(read.tree, dict):
        found, told = read_fields(TextFile, read)
        title = found.title if found else None
        problems += told
    elif not problems:
        hint = "write title: and the text's title between the lines of ---"
        problems.append(
            Problem(Origin(read.origins.file), "the title is missing", hint, "text-title")
        )
    return title, problems + curly_warnings(read, problems)
