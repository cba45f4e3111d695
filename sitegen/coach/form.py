"""A first talk that was held by a form: a file of answers, read with every mistake at its place."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from itertools import chain

from sitegen.coach.interview import called_by, is_referred
from sitegen.coach.question import Answer, Answers, NoAnswer, Question
from sitegen.coach.questions import QUESTIONS, unknown_key_hint
from sitegen.model.kinds import quoted
from sitegen.model.problem import Origin, Problem
from sitegen.practice.yaml_text import Tree, read_yaml


def read_form(
    data: bytes, file: str, today: date, questions: Sequence[Question] = QUESTIONS
) -> Answers | tuple[Problem, ...]:
    """Answers from a YAML file with the questions' keys, or all that is wrong with them."""
    read = read_yaml(data, file)
    problems = list(read.problems)
    if not isinstance(read.tree, dict):
        if not problems:
            hint = "write a line with key: answer for each question, like name: Mara Quist"
            problems.append(Problem(Origin(file), "no answers stand here", hint, "shape"))
        return tuple(problems)
    tree = {key: _as_typed(answer) for key, answer in read.tree.items()}
    known = {question.key for question in questions}
    for key in tree:
        if key not in known:
            wrong = f"there is no question {quoted(key)}"
            hint = unknown_key_hint(key, questions)
            problems.append(Problem(read.origins.at(key), wrong, hint, "unknown-key"))
    answers: dict[str, Answer] = {}
    bad: set[str] = set()
    later: list[Question] = []
    for question in chain(questions, later):  # a clearance is asked for after some of what follows
        unsure = any(key in bad for key in question.needs)
        origin = read.origins.value(question.key)
        if not unsure and not question.when(answers):
            if question in later:
                problems.append(_not_asked(question, origin))
            elif tree.get(question.key):
                later.append(question)
            continue
        typed = tree.get(question.key, "")
        if not typed and (unsure or (question.later and is_referred(answers))):
            continue
        found = question.read(typed, answers, today, alone=unsure)
        if isinstance(found, Answer):
            answers[question.key] = found
            continue
        bad.add(question.key)
        if question.key not in tree:
            origin = Origin(file)
        if found.code == "answer-needed" and question.key not in tree:
            wrong = f'"{question.key}" is missing: {_plainly(question, answers)}'
            key, example = question.key, question.example
            hint = f"add {key}: {example}"
            if example in ("yes", "no"):  # an example would answer in the client's place
                hint = f"add {key}: yes, or {key}: no"
            found = NoAnswer(wrong, hint, "missing")
        problems.append(Problem(origin, found.message, found.hint, found.code))
    if any(p.level == "error" for p in problems):
        return tuple(sorted(problems))
    return answers


def _plainly(question: Question, answers: Answers) -> str:
    """The line that asks; what it lists is on the question sheet."""
    lines = question.asks.format(called=called_by(answers)).split("\n")
    asks = next((line for line in lines if line.endswith(("?", ":"))), lines[-1])
    return asks[:1].lower() + asks[1:]


def _not_asked(question: Question, origin: Origin) -> Problem:
    why = " and ".join(question.needs)
    message = f"{quoted(question.key)} is not asked after the other answers"
    return Problem(origin, message, f"take it out, or see {why}", "answer-unasked")


def _as_typed(answer: Tree) -> str:
    """An answer as one line: a list, or a day's map, as it would be typed."""
    if isinstance(answer, dict):
        return ", ".join(_as_typed(part) for part in answer.values())
    return ", ".join(map(_as_typed, answer)) if isinstance(answer, list) else answer
