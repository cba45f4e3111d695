"""The sentences that a client reads in danger: all in one file, in each language, on each page."""

from __future__ import annotations

import re
import runpy
from pathlib import Path

import pytest

from sitegen.care import sentences
from sitegen.care.signs import ALL, ILL
from sitegen.model.languages import LANGUAGES

ROOT = Path(__file__).resolve().parent.parent
EVERY = [sentence for _, told in sentences.SECTIONS for sentence in told]


def test_the_page_for_review_is_fresh():
    made = runpy.run_path(str(ROOT / "tools" / "care-sentences"))["page"]()

    assert (ROOT / "docs" / "care-sentences.md").read_text("utf-8") == made


def test_every_marked_sentence_of_the_file_is_listed_for_review():
    files = [ROOT / "sitegen" / "care" / name for name in ("sentences.py", "own_lines.py")]
    text = "".join(file.read_text("utf-8") for file in files)
    assert len(re.findall(r"\bN_\(", text)) == len(set(EVERY)) > 60


@pytest.mark.parametrize("language", [tag for tag in LANGUAGES if tag != "en"])
def test_every_one_is_said_in_every_language(language):
    import gettext

    said = gettext.translation("messages", ROOT / "sitegen" / "locale", [language])
    assert [s for s in set(EVERY) if said.gettext(s) == s] == []


def test_every_sign_has_its_words():
    assert set(sentences.SIGN_WORDS) == {*ALL, *ILL}


@pytest.mark.parametrize("word", ["diagnos", "cleared", "guarantee", "cure", "prevent", "safe"])
def test_no_sentence_diagnoses_clears_or_promises(word):
    allowed = {sentences.NOT_A_CLINIC}  # says that nothing is diagnosed
    assert [s for s in EVERY if word in s.lower() and s not in allowed] == []


@pytest.mark.parametrize(
    ("word", "why"),
    [("tender", "a sore calf is not meant"), ("drinking for hours", "it reads as alcohol")],
)
def test_two_sentences_that_frightened_or_misled_are_gone(word, why):
    assert [s for s in EVERY if word in s.lower()] == [], why


def test_what_care_lists_under_call_now_comes_before_today_and_before_the_coach():
    template = (ROOT / "sitegen" / "portal" / "views" / "care" / "view.html").read_text("utf-8")
    order = [template.index(part) for part in ("view.call_now", "view.today", "view.ask")]
    assert order == sorted(order)


@pytest.mark.parametrize(
    "part", ["droops", "speech", "coughing up blood", "out of shape", "cold, pale"]
)
def test_what_was_missing_stands_under_call_now(part):
    assert any(part in line for line in sentences.CALL_NOW)


@pytest.mark.parametrize("kind", sentences.STOPS)
def test_no_emergency_number_stands_without_saying_when_to_call_it(kind):
    """A number that does not stand first comes after the last line, which has to ask for it."""
    words = sentences.STOPS[kind]
    assert words.calls or words.do[-1].endswith("call:")


def test_what_comes_back_after_two_days_is_told_for_who_walks_too():
    assert "on the lowest rung it is walking alone" in sentences.LINE_REST
