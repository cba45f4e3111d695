"""A first talk with a client becomes a file: asked at the terminal, or from a file of answers.

`interview` asks, `form` reads a file of answers, `client_file` writes; only this file touches the
world.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from click import Abort

from sitegen import world
from sitegen.acts.templates import lent
from sitegen.coach.client_file import BASELINE_LATER, SCHEMA, client_text, is_open, waiting
from sitegen.coach.form import read_form
from sitegen.coach.interview import interview, screening_words
from sitegen.coach.question import Answers, Question
from sitegen.coach.questions import BACKGROUND, MATTERS, QUESTIONS, questions_for, value
from sitegen.locking import writing
from sitegen.model.case import Case
from sitegen.model.problem import Origin, Problem
from sitegen.practice.case import id_problem
from sitegen.practice.entry import Entry, with_entries
from sitegen.practice.house import House, Texts, case_of
from sitegen.practice.opening import LOG, Listed, list_practice
from sitegen.practice.records import read_client
from sitegen.practice.schema import client_schema
from sitegen.practice.yaml_text import read_yaml
from sitegen.rules import history, screening, silence
from sitegen.site.plans import plan_of
from sitegen.terminal.stopping import past_return
from sitegen.versions import recording


@dataclass(frozen=True, slots=True)
class TakenIn:
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


# "Naming Files, Paths, and Namespaces", Microsoft's page for who writes programs for Windows.
WAYS_BACK = {"gave_birth": "birth", "bone_stress": "bone-stress"}
"""What the first talk finds out, and the shipped way back that goes by steps after it."""
_DEVICES = frozenset(
    {"con", "prn", "aux", "nul"} | {f"{n}{i}" for n in ("com", "lpt") for i in range(1, 10)}
)


def _device(id: str, path: Path) -> Problem | None:
    """What is wrong with an id that is no file's name on Windows, where a practice may move to."""
    if id not in _DEVICES:
        return None
    wrong = f"{id} is the name of a device on Windows, so no file can have it there"
    return Problem(Origin(path.as_posix()), wrong, f"take another id, like {id}-a", "client-id")


def intake(
    id: str,
    clients: Path,
    *,
    ask: Callable[[str], str],
    say: Callable[[str], None],
    answers_file: Path | None = None,
    like: str | None = None,
    as_of: date | None = None,
) -> TakenIn:
    """Take a client in, and write the file.

    Args:
        id: The client's id, which is the file's name.
        clients: The practice's folder.
        ask: Prints its argument without a line break, and gives what was typed, empty for Enter.
            Raises KeyboardInterrupt, EOFError or click's Abort where the talk is broken off.
        say: Prints one line.
        answers_file: Takes the answers from here; then nothing is asked.
        like: Another client, whose settings are taken over where no answer says otherwise.
        as_of: The day of the talk; None is today.

    Returns:
        Exit status 0 once the file is written, 2 for an id that can't be one, else 1.
    """
    path = clients / f"{id}.yaml"
    if wrong := id_problem(id, path.as_posix()) or _device(id, path):
        return TakenIn((), (wrong,), 2)
    try:
        listed = list_practice(clients)
    except world.Refused as error:
        return TakenIn((), (Problem(Origin(clients.as_posix()), str(error), "", "refused"),), 1)
    texts = listed.texts
    house, told = listed.read
    if _is_there(path):
        return TakenIn((), (_there_already(path),), 1)
    today = as_of or world.today(house.practice.timezone if house else "UTC")
    questions = questions_for(tuple(house.practice.groups) if house else ())
    answers = (
        _answers_of(answers_file, today, questions)
        if answers_file
        else _talk(today, questions, ask, say)
    )
    if not isinstance(answers, Mapping):
        return TakenIn(("Nothing was written.",), answers or (), 1)
    text = client_text(id, answers, today)
    copied: tuple[Entry, ...] = ()
    if like is not None:
        lending = _like(listed, like, text, path.as_posix())
        if isinstance(lending, Problem):
            return TakenIn(("Nothing was written.",), (lending,), 1)
        text, copied = lending
    case, problems = _judged(id, text, texts._replace(clients={id: text.encode("utf-8")}), house)
    if answers_file and any(p.level == "error" for p in problems):
        return TakenIn(("Nothing was written.",), problems, 1)
    try:
        with writing(clients):
            if _is_there(path):
                return TakenIn(("Nothing was written.",), (_there_already(path),), 1)
            with past_return(), recording(clients, "intake") as record:
                record.keep(path, text.encode("utf-8"), "the first talk")
                # the file points at the schema
                world.write_text_atomic(path, text, mode=0o600)  # health is nobody else's business
                _write_schema(clients)
    except world.Refused as error:
        return TakenIn((), (Problem(Origin(path.as_posix()), str(error), "", "client-write"),), 1)
    status = 1 if any(p.level == "error" for p in problems) else 0
    took = (f"As in {like}: {', '.join(map(str, copied)) or 'nothing'}.",) if like else ()
    stops = (*_stops(case, house, today),)
    lines = (*_end(path, answers, today), *stops, *took, *_no_practice(house, told))
    if house is not None and not status and not stops:
        lines += (
            f"Next: sitegen check {id}, then sitegen build, and sitegen link {id} for the link.",
        )
    return TakenIn(lines, problems, status, path)


def _like(
    listed: Listed, like: str, text: str, file: str
) -> tuple[str, tuple[Entry, ...]] | Problem:
    """The newcomer's file with settings of another client's, and which; or why it can't be.

    Raises:
        NotThere: There is no such client.
    """
    if like not in listed.all_ids:
        list_practice(listed.clients, (like,))  # says who may have been meant
    ((files, _),) = listed.files((like,))
    other = read_yaml(files.client or b"", f"{listed.clients.as_posix()}/{like}.yaml")
    mine = read_yaml(text.encode("utf-8"), file)
    if other.tree is None or mine.tree is None:
        return next(iter((*other.problems, *mine.problems)))
    entries = lent(other.tree, mine.tree)
    written = with_entries(text.encode("utf-8"), file, entries)
    if isinstance(written, Problem):
        return written
    return written.data.decode("utf-8"), entries


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
    return read_form(data, path.as_posix(), today, questions)


def _judged(
    id: str, text: str, texts: Texts, house: House | None
) -> tuple[Case | None, tuple[Problem, ...]]:
    """The new client, where the file is sound, and what `check` will say of it."""
    if house is None:
        return None, read_client(text.encode("utf-8"), f"{texts.folder}/{id}.yaml").problems
    return case_of(texts, house, id)


def _stops(case: Case | None, house: House | None, today: date) -> Iterator[str]:
    """Why nothing is planned, where answers after the screening stand against a start."""
    if case is None or house is None or screening.stop(case, today) is not None:
        return
    first = case.client.plan.from_
    plan = plan_of(case, house, max(today, first))
    for problem in plan.problems if plan.status != "active" else ():
        if problem.code == f"stopped-{silence.RULE.name}":  # its words are for who was shown a plan
            yield f"NOT YET: the plan began on {first}, and no check-in since is in {case.id}{LOG}."
            yield "Write down what was run since, or a later start: nothing is planned until then."
        elif problem.code.startswith("stopped-"):
            yield f"NOT YET: nothing is planned for {case.id}, who reads: {problem.message}"
            if problem.code == f"stopped-{history.RULE.name}":
                yield f'Once one has said so: sitegen set {case.id} "cleared_on: DATE" ' + (
                    '"cleared_by: WHO" "cleared_for: easy"'
                )
                known = case.client.history
                for told, way in WAYS_BACK.items():
                    if getattr(known, told, None):
                        yield f"Or step by step, as a line of {case.id}.yaml: return: {{after: " + (
                            f"{way}, cleared_on: DATE, by: WHO}}"
                        )


def _write_schema(clients: Path) -> None:
    """The schema that the first line of the file points an editor at, beside it."""
    schema = json.dumps(client_schema(), ensure_ascii=False, indent=1) + "\n"
    world.write_text_atomic(clients / SCHEMA, schema)


def _end(path: Path, answers: Answers, today: date) -> Iterator[str]:
    yield f"{path.as_posix()} is written."
    yield from (line.strip() for line in screening_words(answers, today))
    for question in QUESTIONS:
        if question.key not in answers:
            continue
        if is_open(question, answers) and question.section != BACKGROUND:
            yield f"Assumed: {question.key}: {question.assumed}"
        elif answers[question.key].is_usual and isinstance(value(answers, question.key), date):
            yield f"Assumed: {question.key}: {answers[question.key].text}"
    unknown = [q.key for q in QUESTIONS if q.key in MATTERS and is_open(q, answers)]
    if unknown:
        yield f"Not known, and it decides who sees a clinician first: {', '.join(unknown)}."
    if value(answers, "fuel_cautions"):
        yield f"Assumed: asked_on of fuel: {today}"
    if waits := waiting(answers):
        yield f"Not asked yet: {', '.join(waits)}. {BASELINE_LATER}"


def _no_practice(house: House | None, told: Sequence[Problem]) -> Iterator[str]:
    if house is None and told:
        yield f"Before a plan can be drawn: {told[0]}"
