"""The first talk, question by question: a generator that knows no terminal and no clock."""

from __future__ import annotations

import textwrap
from collections.abc import Generator, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from sitegen.care.history import signs_now
from sitegen.coach.question import Answer, Answers, NoAnswer, Question
from sitegen.coach.questions import QUESTIONS, screened, to_clear, value
from sitegen.model.case import Case
from sitegen.rules import history, screening

BACK = "back"
WIDTH = 80

WELCOME = (
    "Enter takes what is in brackets; don't know is an answer where there are some.",
    "back goes one question back. Ctrl-C ends this, and nothing is written.",
)


@dataclass(frozen=True, slots=True)
class Prompt:
    """What to show before an answer is typed, and which question it is."""

    key: str
    lines: tuple[str, ...]


def interview(
    today: date, questions: Sequence[Question] = QUESTIONS
) -> Generator[Prompt, str, Answers]:
    """Ask until all is known. Send what was typed; the answers are what it returns.

    Args:
        today: The day of the talk; dates are taken from it where nothing is typed.
        questions: What may be asked; `questions_for` gives those of a practice.
    """
    answers: dict[str, Answer] = {}
    before: Sequence[str] = WELCOME
    section = ""
    while (question := next_question(answers, questions)) is not None:
        heading = () if question.section == section else ("", question.section.upper())
        section = question.section
        asked = _asked(question, answers, today)
        typed = yield Prompt(question.key, (*before, *heading, "", *asked))
        if typed.strip().lower() == BACK:
            before = () if answers else ("This is the first question.",)
            if answers:
                answers.popitem()
            continue
        read = question.read(question.spoken(typed), answers, today)
        if isinstance(read, NoAnswer):
            is_missing = read.code == "answer-needed"  # how to write it follows anyway
            before = _indented(read.message if is_missing else str(read))
            continue
        answers[question.key] = read
        before = tuple(outcome(question.key, answers, today))
    return answers


def next_question(answers: Answers, questions: Sequence[Question] = QUESTIONS) -> Question | None:
    """The first question that is still open; who is referred is not asked for what can wait."""
    waits = is_referred(answers)
    return next(
        (
            q
            for q in questions
            if q.key not in answers and q.when(answers) and not (waits and q.later)
        ),
        None,
    )


def is_referred(answers: Answers) -> bool:
    """Whether what is told of health, the screening with it, asks for a clinician first."""
    if not {"screened_on", "regular_exercise", "known_disease", "symptoms"} <= answers.keys():
        return False
    return _is_stopped(screened(answers), date.max)


def _is_stopped(case: Case, day: date) -> bool:
    return (screening.stop(case, day) or history.stop(case, day)) is not None


def _asked(question: Question, answers: Answers, today: date) -> Iterator[str]:
    for line in question.asks.format(called=called_by(answers)).split("\n"):
        yield from textwrap.wrap(line, WIDTH, subsequent_indent="    " if line[0] == " " else "")
    yield from _indented(question.how)
    usual = question.usual(answers, today) or question.assumed
    if usual:
        yield from _indented(f"[{usual}]")


def _indented(text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent="  ", subsequent_indent="  ")


def called_by(answers: Answers) -> str:
    name = str(value(answers, "name") or "the client")
    return str(value(answers, "called") or name.split()[0] if name != "the client" else name)


def outcome(key: str, answers: Answers, today: date) -> Iterator[str]:
    """What an answer leads to, told at once: the screening, and fuel that stays off."""
    is_cleared = value(answers, "cleared_on") is not None
    last = "cleared_for" if is_cleared else "cleared_on"
    if key == last or (key == "symptoms" and not to_clear(answers)):
        yield ""
        yield from screening_words(answers, today)
    if key == "fuel_cautions" and not value(answers, "fuel_cautions"):
        yield "  Collagen stays off. Nothing about it is written."


def screening_words(answers: Answers, today: date) -> Iterator[str]:
    """What the three questions come to, and what came before, by the plan's own rules."""
    case = screened(answers)
    if _is_stopped(case, today):
        yield "  SCREENING: REFERRED. No running yet: a clinician first."
        yield "  No session is planned until a clearance stands in the file, under screening:"
        yield "  cleared_on, cleared_by and cleared_for; sitegen set writes them. Many are"
        yield "  referred; it is no verdict. The file is written all the same, and the portal"
        yield "  says why nothing is planned."
        told = case.client.history
        if value(answers, "symptoms") or (told is not None and signs_now(told)):
            yield "  If a symptom is there now, it can't wait: call the emergency number."
    elif not screening.hard_allowed(case, today):
        yield "  SCREENING: easy running only; nothing hard before a clinician's clearance."
    else:
        yield "  SCREENING: nothing in these three answers stands against a start."
        yield "  That is no medical clearance. New symptoms: stop, and see a clinician."
