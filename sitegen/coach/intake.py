"""A first talk with a client becomes a file: asked question by question, or from a file of answers.

The interview is a generator: it gives what to show and takes what was typed, so it needs no
terminal and knows no clock. What it makes is a client's file with a comment beside each field,
which the reader takes without an error. Only `intake` touches the world.
"""

from __future__ import annotations

import json
import textwrap
from collections.abc import Callable, Generator, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from sitegen import world
from sitegen.checkins.logfile import scalar
from sitegen.coach.questions import (
    GROUP,
    HEALTH,
    QUESTIONS,
    REST,
    WEEK,
    Answer,
    Answers,
    DayOffer,
    Question,
    Slip,
    described,
    questions_for,
    unknown_key_hint,
    value,
)
from sitegen.model.case import Case
from sitegen.model.client import DAYS, Client
from sitegen.model.kinds import quoted
from sitegen.model.practice import Practice
from sitegen.model.problem import Origin, Problem
from sitegen.practice.case import id_problem
from sitegen.practice.house import House, Texts, case_of
from sitegen.practice.opening import list_practice
from sitegen.practice.records import read_client
from sitegen.practice.yaml_text import Tree, read_yaml
from sitegen.rules import screening
from sitegen.terminal.stopping import past_return

SCHEMA = ".schema.json"
BACK = "back"
COMMENT_COLUMN = 34
WIDTH = 80
SHEET = "sheet.html"

WELCOME = (
    "Enter takes what is in brackets; don't know is an answer where there are some.",
    "back goes one question back. Ctrl-C ends this, and nothing is written.",
)


# --- the interview ----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Ask:
    """What to show before an answer is typed, and which question it is."""

    key: str
    lines: tuple[str, ...]


def interview(
    today: date, questions: Sequence[Question] = QUESTIONS
) -> Generator[Ask, str, Answers]:
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
        typed = yield Ask(question.key, (*before, *heading, "", *asked))
        if typed.strip().lower() == BACK:
            before = () if answers else ("This is the first question.",)
            if answers:
                answers.popitem()
            continue
        read = question.read(typed, answers, today)
        if isinstance(read, Slip):
            before = _indented(str(read))
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
    """Whether the screening, once it is answered, asks for a clinician before any run."""
    if not {"screened_on", "regular_exercise", "known_disease", "symptoms"} <= answers.keys():
        return False
    return screening.stop(_screened(answers), date.max) is not None


def _asked(question: Question, answers: Answers, today: date) -> Iterator[str]:
    for line in question.asks.format(called=_called(answers)).split("\n"):
        yield from textwrap.wrap(line, WIDTH, subsequent_indent="    " if line[0] == " " else "")
    yield from _indented(question.how)
    usual = question.usual(answers, today) or question.assumed
    if usual:
        yield from _indented(f"[{usual}]")


def _indented(text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent="  ", subsequent_indent="  ")


def _called(answers: Answers) -> str:
    name = str(value(answers, "name") or "the client")
    return str(value(answers, "called") or name.split()[0] if name != "the client" else name)


def outcome(key: str, answers: Answers, today: date) -> Iterator[str]:
    """What an answer leads to, told at once: the screening, and fuel that stays off."""
    unclear = value(answers, "symptoms") or value(answers, "known_disease")
    is_cleared = value(answers, "cleared_on") is not None
    last = "cleared_for" if is_cleared else "cleared_on"
    if key == last or (key == "symptoms" and not unclear):
        yield ""
        yield from screening_words(answers, today)
    if key == "fuel_cautions" and not value(answers, "fuel_cautions"):
        yield "  Collagen stays off. Nothing about it is written."


def screening_words(answers: Answers, today: date) -> Iterator[str]:
    """What the three questions come to, by the plan's own rule."""
    case = _screened(answers)
    if screening.stop(case, today) is not None:
        yield "  SCREENING: REFERRED. No running yet: a clinician first."
        yield "  No session is planned until the day of a clearance stands in the file, as"
        yield "  cleared_on under screening. Many are referred; it is no verdict. The file is"
        yield "  written all the same, and the portal says why nothing is planned."
        if value(answers, "symptoms"):
            yield "  If a symptom is there now, it can't wait: call the emergency number."
    elif not screening.hard_allowed(case, today):
        yield "  SCREENING: easy running only; nothing hard before a clinician's clearance."
    else:
        yield "  SCREENING: nothing in the answers stands against a start."
        yield "  That is no medical clearance. New symptoms: stop, and see a clinician."


def _screened(answers: Answers) -> Case:
    """A case that holds the answers to the screening, and nothing else of meaning."""
    asked = {
        name: answers[key].text
        for name, key in (
            ("on", "screened_on"),
            ("regular_exercise", "regular_exercise"),
            ("known_disease", "known_disease"),
            ("symptoms", "symptoms"),
            ("cleared_on", "cleared_on"),
            ("cleared_by", "cleared_by"),
            ("cleared_for", "cleared_for"),
        )
        if key in answers and answers[key].known
    }
    on = asked["on"]
    client = Client.of_tree(
        {
            "name": "Stand In",
            "screening": asked,
            "baseline": {"on": on, "cadence": "158 spm", "week": "0 min"},
            "plan": {"from": on, "weeks": "1"},
        }
    )
    house = {"name": "Stand In", "contact": "coach@example.org", "timezone": "UTC"}
    return Case("stand-in", client, Practice.of_tree(house))


# --- a file of answers ------------------------------------------------------------------------


def read_answers(
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
    for question in questions:
        unsure = any(key in bad for key in question.needs)
        origin = read.origins.value(question.key)
        if not unsure and not question.when(answers):
            if tree.get(question.key):
                problems.append(_not_asked(question, origin))
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
            found = Slip(wrong, hint, "missing")
        problems.append(Problem(origin, found.message, found.hint, found.code))
    if any(p.level == "error" for p in problems):
        return tuple(sorted(problems))
    return answers


def _plainly(question: Question, answers: Answers) -> str:
    asks = question.asks.format(called=_called(answers)).split("\n")[-1]
    return asks[:1].lower() + asks[1:] if len(asks) < 90 else f"see {question.section.lower()}"


def _not_asked(question: Question, origin: Origin) -> Problem:
    why = " and ".join(question.needs)
    message = f"{quoted(question.key)} is not asked after the other answers"
    return Problem(origin, message, f"take it out, or see {why}", "answer-unasked")


def _as_typed(answer: Tree) -> str:
    """An answer as one line: a list, or a day's map, as it would be typed."""
    if isinstance(answer, dict):
        return ", ".join(_as_typed(part) for part in answer.values())
    return ", ".join(map(_as_typed, answer)) if isinstance(answer, list) else answer


# --- the client's file ------------------------------------------------------------------------

# Where the models say nothing of a field, or less than a coach wants to read beside it.
COMMENTS: Mapping[str, str] = {
    "goal": "the client's own words",
    "collagen": "5 to 20 g",
    "vitamin_c": "about 50 mg is usual; over 200 mg warns",
}

Row = tuple[str, str]
"""A line of the file, and the comment beside it."""


def client_text(id: str, answers: Answers, today: date) -> str:
    """The client's file: each field that is known, with a comment beside it."""
    rows: list[Row] = [
        *_fields("name", "called", "born", "height", answers=answers),
        *_group(answers),
        ("screening:", described("screening")),
        *_fields("screened_on", "regular_exercise", "known_disease", "symptoms", "cleared_on",
                 "cleared_by", "cleared_for", answers=answers),
        ("baseline:", described("baseline")),
        *_stand_ins(answers, today),
        *_fields("counted_on", "cadence", "pace", "week", "longest", "continuous", "runs",
                 answers=answers),
        *_race(answers),
        *_goal(answers),
        *_week(answers),
        ("plan:", described("plan")),
        *_fields("from", "weeks", "growth", answers=answers),
        *_aim(answers),
        *_knee(answers),
        *_fuel(answers, today),
    ]  # fmt: skip
    lines = [
        f"# yaml-language-server: $schema={SCHEMA}",
        f"# First talk on {today}. Change what you like: sitegen check {id} tells what is wrong.",
        *(_line(text, comment) for text, comment in rows),
    ]
    open_keys = [q.key for q in QUESTIONS if q.key in answers and _left_open(q, answers)]
    if open_keys:
        lines.append(f"# Left open: {', '.join(open_keys)}.")
    if "cadence" in _waiting(answers):
        lines.append(f"# {BASELINE_LATER}")
    return "\n".join(lines) + "\n"


STAND_IN_RATE = "160 spm"
"""Stands where a step rate is needed and none was counted; with `keep` nothing is made of it."""

BASELINE_LATER = "No baseline yet: take it after the clearance, in place of what stands in for it."


def _waiting(answers: Answers) -> tuple[str, ...]:
    """What the baseline needs and a referred runner was not asked for."""
    needed = ("counted_on", "cadence", "week")
    return tuple(k for k in needed if k not in answers) if is_referred(answers) else ()


def _stand_ins(answers: Answers, today: date) -> Iterator[Row]:
    values = {"counted_on": f"on: {today}", "cadence": f"cadence: {STAND_IN_RATE}",
              "week": "week: 0 min"}  # fmt: skip
    for key in _waiting(answers):
        yield f"  {values[key]}", "stands in: taken after the clearance"


def _group(answers: Answers) -> Iterator[Row]:
    if value(answers, GROUP.key) is not None:
        yield f"group: {scalar(answers[GROUP.key].text)}", described("group")


def _left_open(question: Question, answers: Answers) -> bool:
    return bool(question.field) and not answers[question.key].known


def _line(text: str, comment: str) -> str:
    return f"{text:<{COMMENT_COLUMN - 1}} # {comment}" if comment else text


def _fields(*keys: str, answers: Answers) -> Iterator[Row]:
    """A row for each of these that is known, one step in where the field is inside a map."""
    for question in QUESTIONS:
        if question.key in keys and question.key in answers and answers[question.key].known:
            *parents, name = question.field.split(".")
            indent = "  " * len(parents)
            written = scalar(answers[question.key].text)
            comment = COMMENTS.get(question.key) or described(question.field)
            yield f"{indent}{name}: {written}", comment


def _known(answers: Answers, **fields: str) -> dict[str, str]:
    """Answers by the name of their field, where they are known."""
    return {
        name: answers[key].text
        for name, key in fields.items()
        if key in answers and answers[key].known
    }


def _flow(fields: Mapping[str, str]) -> str:
    return "{" + ", ".join(f"{name}: {scalar(text)}" for name, text in fields.items()) + "}"


def _race(answers: Answers) -> Iterator[Row]:
    race = _known(answers, distance="race_distance", time="race_time", on="race_on")
    if race:
        yield f"  race: {_flow(race)}", "a race that was run"


def _goal(answers: Answers) -> Iterator[Row]:
    event = _known(answers, on="event_on", distance="event_distance", name="event_name")
    if not event and value(answers, "goal") is None:
        return
    yield "goal:", described("goal")
    yield from _fields("goal", answers=answers)
    if event:
        yield f"  event: {_flow(event)}", "the plan freshens up before it"


def _week(answers: Answers) -> Iterator[Row]:
    yield "week:", described("week")
    both = value(answers, "strength") or ()
    for day in DAYS:
        offer = value(answers, day)
        if isinstance(offer, DayOffer) and offer != REST:
            yield f"  {day}: {_offer(offer, day in both)}", _offer_words(offer, day in both)
    if value(answers, "long") is not None:
        yield f"  long: {value(answers, 'long')}", described("week.long")


def _offer(offer: DayOffer, both: bool) -> str:
    uses = "strength" if offer.strength_alone else "[run, strength]" if both else ""
    fields = {"at": offer.at, "up_to": offer.up_to, "for": uses}
    told = ", ".join(f"{name}: {text}" for name, text in fields.items() if text)
    return f"{{{told}}}" if told else "yes"


def _offer_words(offer: DayOffer, both: bool) -> str:
    what = "strength alone" if offer.strength_alone else "a run or strength" if both else "a run"
    at = f"from {offer.at}" if offer.at else "at any time"
    return f"{what}, {at}{f', {offer.up_to} in all at most' if offer.up_to else ''}"


def _aim(answers: Answers) -> Iterator[Row]:
    if value(answers, "aim") is not None:
        yield "cadence:", described("cadence")
        yield f"  aim: {answers['aim'].text}", "steps a minute, both feet; or keep"
    elif "cadence" in _waiting(answers):
        yield "cadence:", described("cadence")
        yield "  aim: keep", "until a step rate is counted"


def _knee(answers: Answers) -> Iterator[Row]:
    if value(answers, "knee"):
        yield "rules:", described("rules")
        yield "  pain: {profile: knee}", "agreed with the clinician who looks after the knee"


def _fuel(answers: Answers, today: date) -> Iterator[Row]:
    if not value(answers, "fuel_cautions"):
        return
    yield "fuel:", described("fuel")
    yield from _fields("collagen", answers=answers)
    yield from _fields("vitamin_c", answers=answers)
    yield from _fields("before", answers=answers)
    yield f"  asked_on: {today}", described("fuel.asked_on")


# --- a sheet for the client's own pen ---------------------------------------------------------


@dataclass(frozen=True, slots=True)
class SheetPart:
    """A part of the sheet: its heading, and its questions with the width of their answer."""

    heading: str
    questions: tuple[tuple[str, str], ...]
    days: bool = False


def sheet_parts() -> tuple[SheetPart, ...]:
    """The questions that a client can answer with a pen, in the order of the talk."""
    found: list[SheetPart] = []
    for section in dict.fromkeys(q.section for q in QUESTIONS):
        mine = tuple((q.sheet, _pen(q)) for q in QUESTIONS if q.section == section and q.sheet)
        if mine:
            found.append(SheetPart(section, mine, section == WEEK))
    return tuple(found)


def _pen(question: Question) -> str:
    if question.how.startswith("yes or no"):
        return "yes-no"
    return "wide" if question.key in ("name", "goal", "week") else "short"


def sheet(practice: Practice | None, templates: Mapping[str, str]) -> str:
    """The question sheet as one HTML page to print; it loads nothing."""
    from jinja2 import DictLoader, Environment, StrictUndefined

    page = Environment(
        loader=DictLoader({SHEET: templates[SHEET]}),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    ).get_template(SHEET)
    return page.render(
        parts=sheet_parts(),
        health=HEALTH,
        days=("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"),
        practice=practice,
        language="en",
    )


# --- the world --------------------------------------------------------------------------------


def sheet_of(clients: Path) -> str:
    """The question sheet with the practice's name on it, where the folder has one.

    Raises:
        Refused: The folder or the templates can't be read.
    """
    house = list_practice(clients).house
    return sheet(house.practice if house else None, world.read_templates())


@dataclass(frozen=True, slots=True)
class Taken:
    """What `intake` did: lines to print at the end, problems, and the exit status."""

    lines: tuple[str, ...]
    problems: tuple[Problem, ...] = ()
    status: int = 0
    path: Path | None = None  # what was written

    def as_json(self, id: str) -> dict[str, Any]:
        """What ``sitegen intake --answers FILE --json`` prints."""
        return {
            "done": self.path is not None,
            "client": id,
            "file": self.path.as_posix() if self.path else None,
            "says": list(self.lines),
            "problems": [problem.as_json() for problem in self.problems],
        }


def intake(
    id: str,
    clients: Path,
    *,
    ask: Callable[[str], str],
    say: Callable[[str], None],
    answers_file: Path | None = None,
    as_of: date | None = None,
) -> Taken:
    """Take a client in, and write the file.

    Args:
        id: The client's id, which is the file's name.
        clients: The practice's folder.
        ask: Prints its argument without a line break, and gives what was typed, empty for Enter.
            Raises KeyboardInterrupt, EOFError or click's Abort where the talk is broken off.
        say: Prints one line.
        answers_file: Takes the answers from here; then nothing is asked.
        as_of: The day of the talk; None is today.

    Returns:
        Exit status 0 once the file is written, 2 for an id that can't be one, else 1.
    """
    path = clients / f"{id}.yaml"
    if wrong := id_problem(id, path.as_posix()):
        return Taken((), (wrong,), 2)
    try:
        listed = list_practice(clients)
    except world.Refused as error:
        return Taken((), (Problem(Origin(clients.as_posix()), str(error), "", "refused"),), 1)
    texts = listed.texts
    house, told = listed.read
    if _is_there(path):
        return Taken((), (_there_already(path),), 1)
    today = as_of or world.today(house.practice.timezone if house else "UTC")
    questions = questions_for(tuple(house.practice.groups) if house else ())
    answers = (
        _answers_of(answers_file, today, questions)
        if answers_file
        else _talk(today, questions, ask, say)
    )
    if not isinstance(answers, Mapping):
        return Taken(("Nothing was written.",), answers or (), 1)
    text = client_text(id, answers, today)
    problems = _problems(id, text, texts._replace(clients={id: text.encode("utf-8")}), house)
    if answers_file and any(p.level == "error" for p in problems):
        return Taken(("Nothing was written.",), problems, 1)
    try:
        if _is_there(path):
            return Taken(("Nothing was written.",), (_there_already(path),), 1)
        with past_return():  # the file points at the schema
            world.write_text_atomic(path, text, mode=0o600)  # health is nobody else's business
            _write_schema(clients)
    except world.Refused as error:
        return Taken((), (Problem(Origin(path.as_posix()), str(error), "", "client-write"),), 1)
    status = 1 if any(p.level == "error" for p in problems) else 0
    lines = (*_end(path, answers, today), *_no_practice(house, told))
    return Taken(lines, problems, status, path)


def _is_there(path: Path) -> bool:
    return path.exists() or path.is_symlink()


def _there_already(path: Path) -> Problem:
    wrong = "this file is there already, and is left as it is"
    hint = "change it in an editor, or take another id"
    return Problem(Origin(path.as_posix()), wrong, hint, "client-there")


def _talk(
    today: date,
    questions: Sequence[Question],
    ask: Callable[[str], str],
    say: Callable[[str], None],
) -> Answers | tuple[Problem, ...]:
    """The interview at a terminal. Broken off, it gives no problem and no answers."""
    from click import Abort

    talk = interview(today, questions)
    shown = next(talk)
    try:
        while True:
            for line in shown.lines:
                say(line)
            shown = talk.send(ask("> "))
    except StopIteration as end:
        answers: Answers = end.value
        return answers
    except (KeyboardInterrupt, EOFError, Abort):
        say("")
        return ()


def _answers_of(
    path: Path, today: date, questions: Sequence[Question]
) -> Answers | tuple[Problem, ...]:
    try:
        with path.open("rb") as file:
            data = file.read(world.LARGEST_BYTES + 1)
    except OSError as error:
        why = f"the answers can't be read: {error.strerror}"
        return (Problem(Origin(path.as_posix()), why, "check the file's name", "answers-file"),)
    return read_answers(data, path.as_posix(), today, questions)


def _problems(id: str, text: str, texts: Texts, house: House | None) -> tuple[Problem, ...]:
    """What `check` will say of the new file."""
    if house is None:
        return read_client(text.encode("utf-8"), f"{texts.folder}/{id}.yaml").problems
    return case_of(texts, house, id)[1]


def _write_schema(clients: Path) -> None:
    """The schema that the first line of the file points an editor at, beside it."""
    from sitegen.practice.schema import client_schema

    schema = json.dumps(client_schema(), ensure_ascii=False, indent=1) + "\n"
    world.write_text_atomic(clients / SCHEMA, schema)


def _end(path: Path, answers: Answers, today: date) -> Iterator[str]:
    yield f"{path.as_posix()} is written."
    yield from (line.strip() for line in screening_words(answers, today))
    for question in QUESTIONS:
        if question.key not in answers:
            continue
        if _left_open(question, answers):
            yield f"Assumed: {question.key}: {question.assumed}"
        elif answers[question.key].is_usual and isinstance(value(answers, question.key), date):
            yield f"Assumed: {question.key}: {answers[question.key].text}"
    if value(answers, "fuel_cautions"):
        yield f"Assumed: asked_on of fuel: {today}"
    if waiting := _waiting(answers):
        yield f"Not asked yet: {', '.join(waiting)}. {BASELINE_LATER}"


def _no_practice(house: House | None, told: Sequence[Problem]) -> Iterator[str]:
    if house is None and told:
        yield f"Before a plan can be drawn: {told[0]}"
