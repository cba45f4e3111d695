"""A sheet of questions to print, for the client's own pen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from sitegen import world
from sitegen.coach.paper import environment_of
from sitegen.coach.question import Question
from sitegen.coach.questions import BACKGROUND, HEALTH, QUESTIONS, THE_WEEK
from sitegen.model.languages import ENGLISH, LANGUAGES, fitting
from sitegen.model.practice import Practice
from sitegen.portal.catalogue import Languages
from sitegen.portal.cldr import DATE_WORDS
from sitegen.portal.words import ENGLISH_DATES
from sitegen.practice.opening import list_practice

SHEET = "sheet.html"


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
            found.append(SheetPart(section, mine, section == THE_WEEK))
    return tuple(found)


def _pen(question: Question) -> str:
    """The room for an answer: two boxes, a word, or a line of its own."""
    if question.how.startswith("yes or no"):
        return "yes-no"
    is_told = question.section == BACKGROUND and "date" not in question.how
    return "wide" if is_told or question.key in ("name", "goal", "week") else "short"


def sheet(
    practice: Practice | None,
    templates: Mapping[str, str],
    languages: Languages | None = None,
    language: str = ENGLISH,
) -> str:
    """The question sheet as one HTML page to print, in a client's language; it loads nothing."""
    languages = languages or Languages()
    said = languages.said(language)
    return (
        environment_of(templates, SHEET)
        .get_template(SHEET)
        .render(
            parts=sheet_parts(),
            health=HEALTH,
            days=tuple(map(str.capitalize, DATE_WORDS.get(said, ENGLISH_DATES).days)),
            practice=practice,
            language=said,
            _=languages.catalogue(said).gettext,
        )
    )


def printed_sheet(clients: Path, language: str | None = None) -> str:
    """The question sheet with the practice's name on it, where the folder has one.

    Args:
        clients: The practice's folder.
        language: The client's; None for the practice's.

    Raises:
        Refused: The folder or the templates can't be read, or nobody speaks that language here.
    """
    house = list_practice(clients).house
    practice = house.practice if house else None
    if language is not None and fitting(language) is None:
        raise world.Refused(f"no sheet is in {language}; there are {', '.join(LANGUAGES)}")
    language = language or (practice.language if practice else None) or ENGLISH
    return sheet(practice, world.read_templates(), Languages(world.read_languages()), language)
