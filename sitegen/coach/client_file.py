"""The client's file that a first talk makes: each field that is known, with a comment beside it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import NamedTuple

from sitegen.coach.day_answers import REST, DayOffer
from sitegen.coach.interview import is_referred
from sitegen.coach.question import Answers, Question, described, field_row, typed_list
from sitegen.coach.questions import BACKGROUND, GROUP, MATTERS, QUESTIONS, value
from sitegen.model.client import DAYS, Client
from sitegen.model.record import Path, all_rows
from sitegen.practice.writing import scalar

SCHEMA = ".schema.json"
COMMENT_COLUMN = 34

STAND_IN_RATE = "160 spm"
"""Stands where a step rate is needed and none was counted; with `keep` nothing is made of it.
Common practice, no source."""

BASELINE_LATER = "No baseline yet: take it after the clearance, in place of what stands in for it."


class FieldLine(NamedTuple):
    """A value as the file writes it, and the comment beside it."""

    written: str
    comment: str


def client_text(id: str, answers: Answers, today: date) -> str:
    """The client's file, in the order of the table of fields.

    Args:
        id: The client's id, for the remark on top.
        answers: What was answered, by question.
        today: The day of the talk.
    """
    lines = [
        f"# yaml-language-server: $schema={SCHEMA}",
        f"# First talk on {today}. Change what you like: sitegen check {id} tells what is wrong.",
        *_laid_out(_values(answers, today)),
    ]
    if open_keys := left_open(answers):
        lines.append(f"# Left open: {', '.join(open_keys)}.")
    if "cadence" in waiting(answers):
        lines.append(f"# {BASELINE_LATER}")
    return "\n".join(lines) + "\n"


def left_open(answers: Answers) -> list[str]:
    """Keys of what was asked and not known. Of the health history only what matters most, and
    where nothing of it is known, that."""
    told = (q for q in QUESTIONS if q.section != BACKGROUND or q.key in MATTERS)
    keys = [q.key for q in told if is_open(q, answers)]
    history = [value(answers, q.key) for q in QUESTIONS if q.section == BACKGROUND]
    return keys if any(known is not None for known in history) else [*keys, "history"]


def is_open(question: Question, answers: Answers) -> bool:
    """Whether a field's question was asked, and its answer is not known."""
    answer = answers.get(question.key)
    return bool(question.field) and answer is not None and answer.is_open


def waiting(answers: Answers) -> tuple[str, ...]:
    """What the baseline needs and a referred runner was not asked for."""
    needed = ("counted_on", "cadence", "week")
    return tuple(k for k in needed if k not in answers) if is_referred(answers) else ()


# --- what is written, by its place ------------------------------------------------------------


def _values(answers: Answers, today: date) -> dict[Path, FieldLine]:
    found: dict[Path, FieldLine] = {}
    for question in QUESTIONS:
        answer = answers.get(question.key)
        if question.field and answer is not None and answer.known:
            text = _written(question, answer.text, answer.value)
            found[tuple(question.field.split("."))] = FieldLine(text, described(question.field))
    if value(answers, GROUP.key) is not None:
        found[("group",)] = FieldLine(scalar(answers[GROUP.key].text), described("group"))
    found.update(_stand_ins(answers, today))
    found.update(_days(answers))
    if value(answers, "knee"):
        agreed = "agreed with the clinician who looks after the knee"
        found["rules", "pain"] = FieldLine("{profile: knee}", agreed)
    if value(answers, "fuel_cautions"):
        found["fuel", "asked_on"] = FieldLine(str(today), described("fuel.asked_on"))
    if any(path[0] == "history" for path in found):
        found["history", "on"] = FieldLine(str(today), described("history.on"))
    return found


def _written(question: Question, text: str, meant: object) -> str:
    if field_row(question.field).many:
        return f"[{', '.join(scalar(one) for one in typed_list(text))}]"
    # a weekday is written by its short name, however it was said
    return scalar(str(meant) if question.reads is not None else text)


def _stand_ins(answers: Answers, today: date) -> Iterator[tuple[Path, FieldLine]]:
    values = {
        "counted_on": ("on", str(today)),
        "cadence": ("cadence", STAND_IN_RATE),
        "week": ("week", "0 min"),
    }
    for key in waiting(answers):
        name, written = values[key]
        yield ("baseline", name), FieldLine(written, "stands in: taken after the clearance")
    never_ran = "cadence" in answers and value(answers, "cadence") is None
    if never_ran:
        why = "stands in: common practice, no source; put their own here, counted in a first run"
        yield ("baseline", "cadence"), FieldLine(STAND_IN_RATE, why)
    if (never_ran or "cadence" in waiting(answers)) and value(answers, "aim") is None:
        yield ("cadence", "aim"), FieldLine("keep", "until a step rate is counted")


def _days(answers: Answers) -> Iterator[tuple[Path, FieldLine]]:
    both = value(answers, "strength") or ()
    for day in DAYS:
        offer = value(answers, day)
        if isinstance(offer, DayOffer) and offer != REST:
            yield (
                ("week", day),
                FieldLine(_offer(offer, day in both), _offer_words(offer, day in both)),
            )


def _offer(offer: DayOffer, both: bool) -> str:
    uses = "strength" if offer.strength_alone else "[run, strength]" if both else ""
    fields = {"at": offer.at, "up_to": offer.up_to, "for": uses}
    told = ", ".join(f"{name}: {text}" for name, text in fields.items() if text)
    return f"{{{told}}}" if told else "yes"


def _offer_words(offer: DayOffer, both: bool) -> str:
    """What the day is for; hours would be wrong beside the field once `set` has changed it."""
    what = "strength alone" if offer.strength_alone else "a run or strength" if both else "a run"
    return what if offer.at else f"{what}, at any time"


# --- lines ------------------------------------------------------------------------------------


def _laid_out(values: Mapping[Path, FieldLine]) -> Iterator[str]:
    """Lines in the order of the table: a map in lines of its own, one within it in braces."""
    order: dict[Path, int] = {path: number for number, (path, _) in enumerate(all_rows(Client))}
    last = len(order)
    for key in Client.ROWS:
        below = sorted(
            (path for path in values if path[0] == key), key=lambda path: order.get(path, last)
        )
        if below == [(key,)]:
            yield _line(f"{key}: {values[key,].written}", values[key,].comment)
        elif below:
            yield _line(f"{key}:", described(key))
            yield from _within(below, values)


def _within(below: list[Path], values: Mapping[Path, FieldLine]) -> Iterator[str]:
    for name in dict.fromkeys(path[1] for path in below):
        here = [path for path in below if path[1] == name]
        if len(here[0]) == 2:
            written, comment = values[here[0]]
        else:
            fields = (f"{path[2]}: {values[path].written}" for path in here)
            written = f"{{{', '.join(fields)}}}"
            comment = described(f"{here[0][0]}.{name}")
        yield _line(f"  {name}: {written}", comment)


def _line(text: str, comment: str) -> str:
    return f"{text:<{COMMENT_COLUMN - 1}} # {comment}" if comment else text
