"""What a coach answered to alarms, ``ID.alarms.yaml``: read with places, and added to.

A slip in this file is a warning and never holds up a page: the alarm that it would have answered
stays open.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence

from sitegen.model.alarm import AlarmAnswer
from sitegen.model.kinds import nearest, parse_date, quoted
from sitegen.model.problem import Origin, Problem
from sitegen.practice.yaml_text import MAX_BYTES, YamlText, one_line, read_yaml

ANSWERS_HEAD = "# What you answered to alarms, newest last; the alarms themselves stand nowhere.\n"
ANSWER_KEYS = ("alarm", "on", "because", "seen_by", "not_client", "tellings")
FORM = "begin each answer with -, like - alarm: chest_pain 2027-02-09"


def read_answers(data: bytes, file: str) -> tuple[tuple[AlarmAnswer, ...], tuple[Problem, ...]]:
    """Every answer that can be read, in the order of the file; and what is wrong with others.

    Args:
        data: What the file holds.
        file: Its name, for the places of problems.
    """
    read = read_yaml(data, file)
    problems = [_warned(problem) for problem in read.problems]
    if read.tree is None:
        return (), tuple(problems)
    if not isinstance(read.tree, list):
        origin = Origin(file, *read.origins.values[()])
        problems.append(_problem(origin, "a list of answers belongs here", FORM))
        return (), tuple(sorted(problems))
    found: list[AlarmAnswer] = []
    for number, tree in enumerate(read.tree):
        answer = _answer(tree, number, read)
        if isinstance(answer, AlarmAnswer):
            found.append(answer)
        else:
            problems.append(answer)
    return tuple(found), tuple(sorted(problems))


def _answer(tree: object, number: int, read: YamlText) -> AlarmAnswer | Problem:
    at = read.origins.value(number)
    if not isinstance(tree, Mapping):
        return _problem(at, "an answer is a map", FORM)
    for key in tree:
        if key not in ANSWER_KEYS:
            hint = f"{nearest(str(key), ANSWER_KEYS)}write one of {', '.join(ANSWER_KEYS)}"
            return _problem(
                read.origins.at(number, str(key)), f"{quoted(str(key))} is unknown", hint
            )
    texts = {key: str(tree.get(key, "")).strip() for key in ANSWER_KEYS}
    for key in ("alarm", "on", "because"):
        if not texts[key]:
            return _problem(at, f"{key} is missing", FORM)
    matter, _, since = texts["alarm"].rpartition(" ")
    try:
        return AlarmAnswer(
            matter.strip(),
            parse_date(since),
            parse_date(texts["on"]),
            texts["because"],
            texts["seen_by"] or None,
            at,
            texts["not_client"].lower() == "yes",
            int(texts["tellings"]) if texts["tellings"] else None,
        )
    except ValueError:
        hint = "write the alarm and its day, like chest_pain 2027-02-09, and on: 2027-02-10"
        return _problem(at, "this answer's dates or tellings can't be read", hint)


def _problem(origin: Origin, message: str, hint: str) -> Problem:
    return Problem(origin, message, hint, "answer", "warning")


def _warned(problem: Problem) -> Problem:
    return Problem(problem.origin, problem.message, problem.hint, problem.code, "warning")


def _written(text: str) -> str:
    """A text as YAML, in double quotes."""
    return json.dumps(text, ensure_ascii=False)


def with_answers(old: str | None, file: str, answers: Sequence[AlarmAnswer]) -> str | Problem:
    """The file's text with answers below what is there, byte for byte.

    Args:
        old: What the file holds; None where there is none yet.
        file: Its name, for the place of a problem.
        answers: The new ones.

    Returns:
        The new text, or why nothing can be added.
    """
    new = [
        answer._replace(
            because=one_line(answer.because), seen_by=one_line(answer.seen_by or "") or None
        )
        for answer in answers
    ]
    text = ANSWERS_HEAD if old is None else old
    if text and not text.endswith("\n"):
        text += "\n"
    text += "".join(f"{line}\n" for answer in new for line in _lines(answer))
    before, _ = read_answers((old or "").encode("utf-8"), file)
    after, _ = read_answers(text.encode("utf-8"), file)
    is_whole = [_bare(a) for a in after] == [*map(_bare, before), *map(_bare, new)]
    if not is_whole or len(text.encode("utf-8")) > MAX_BYTES:
        wrong = "nothing can be added below what stands in this file"
        return Problem(Origin(file), wrong, f"mend it first; {FORM}", "answer")
    return text


def _lines(answer: AlarmAnswer) -> Iterator[str]:
    yield f"- alarm: {answer.matter} {answer.since}"
    yield f"  on: {answer.on}"
    yield f"  because: {_written(answer.because)}"
    if answer.seen_by:
        yield f"  seen_by: {_written(answer.seen_by)}"
    if answer.not_client:
        yield "  not_client: yes"
    if answer.tellings:
        yield f"  tellings: {answer.tellings}"


def _bare(answer: AlarmAnswer) -> AlarmAnswer:
    return answer._replace(origin=None)
