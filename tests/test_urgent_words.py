"""Words of danger: what stops a plan, what stops nobody, in tables that a clinician can read.

The tables stand in tests/cases/words, one sentence a line, all invented. They are our own judgement
of what a coach must hear of; no published list of such sentences was found.
"""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from sitegen.care import words_en, words_es
from sitegen.care.signs import ALL, BY_THE_FILE, BY_WORDS_ONLY, ILL, sign_words, urgency
from sitegen.care.words import MOST_OF_SENTENCE, SHARED, WORD_LISTS, clauses, said, spoken
from sitegen.checkins.limits import limited
from sitegen.model.checkin import SIGNS

TABLES = Path(__file__).parent / "cases" / "words"
LANGUAGES = ("en", "es")


def lines(name: str) -> list[str]:
    told = (TABLES / name).read_text("utf-8").splitlines()
    return [line for line in told if line and not line.startswith("#")]


def alarming(language: str, table: str = "alarming") -> list[tuple[str, str]]:
    parted = [line.partition(": ") for line in lines(f"{language}.{table}.txt")]
    return [(sign, sentence) for sign, _, sentence in parted]


ALARMING = [(sign, text) for language in LANGUAGES for sign, text in alarming(language)]
# What the coach's side alone hears (`SignPattern.beyond_device`).
BEYOND = [(sign, text) for language in LANGUAGES for sign, text in alarming(language, "beyond")]
HARMLESS = [text for language in LANGUAGES for text in lines(f"{language}.harmless.txt")]


def test_an_alarming_sentence_tells_its_sign() -> None:
    unheard = [(sign, text) for sign, text in (*ALARMING, *BEYOND) if sign not in said(text)]
    assert unheard == [], unheard


def test_a_harmless_sentence_stops_nobody() -> None:
    stopped = [(found, text) for text in HARMLESS if (found := said(text))]
    assert stopped == [], stopped


@pytest.mark.parametrize("language", LANGUAGES)
def test_each_language_has_sixty_of_both_and_every_sign(language: str) -> None:
    told = alarming(language)
    assert len(told) >= 60
    assert len(lines(f"{language}.harmless.txt")) >= 60
    listed = {row.sign for row in {"en": words_en, "es": words_es}[language].SIGN_PATTERNS}
    assert {sign for sign, _ in (*told, *alarming(language, "beyond"))} == listed
    assert {sign for sign, _ in told} == listed - {"bleeding"}
    assert listed == {*ALL} - {"urgent_word"} - BY_THE_FILE


def test_every_sign_that_can_be_ticked_has_its_urgency() -> None:
    assert {*SIGNS} == {*ALL, *ILL} - BY_WORDS_ONLY


def test_harmless_sentences_around_it_hide_nothing() -> None:
    before, after = HARMLESS[0], HARMLESS[3]
    around = [(sign, f"{before}\n{text}\n\n{after}") for sign, text in ALARMING]
    hidden = [(sign, text) for sign, text in around if sign not in said(text)]
    assert hidden == [], hidden


def test_capitals_hide_nothing() -> None:
    hidden = [(sign, text) for sign, text in ALARMING if sign not in said(text.upper())]
    assert hidden == [], hidden


@pytest.mark.parametrize(
    ("sentence", "sign"),
    [
        ("No chest pain.", "chest_pain"),
        ("No chest pain, dizziness or fainting.", "fainting"),
        ("My father had chest pain last week.", "chest_pain"),
        ("Sin mareos.", "near_fainting"),
        ("Una amiga se desmayó.", "fainting"),
    ],
)
def test_what_is_denied_or_about_another_is_for_the_coachs_eye(sentence: str, sign: str) -> None:
    assert [(one.sign, one.is_denied) for one in spoken(sentence) if one.sign == sign] == [
        (sign, True)
    ]


@pytest.mark.parametrize(
    ("sentence", "told"),
    [
        ("Foot went numb, laces too tight.", ("cold_limb", True, True)),
        ("Heart pounding, steep hill.", ("palpitations", True, True)),
        ("My heart was pounding at the top of the hill.", ("palpitations", True, False)),
        ("Mareada no, el corazón disparado, otra cuesta.", ("palpitations", True, True)),
    ],
)
def test_what_may_be_explained_is_for_the_coachs_eye(
    sentence: str, told: tuple[str, bool, bool]
) -> None:
    """And is doubtful where the explanation stands further off."""
    found = [(one.sign, one.is_denied, one.is_doubtful) for one in spoken(sentence)]
    assert told in found


@pytest.mark.parametrize(
    ("text", "signs"),
    [
        ("My calf. It is swollen since the flight.", ("calf_swelling",)),
        ("El gemelo. Se me ha hinchado.", ("calf_swelling",)),
        ("Knee is fine. It was hot out.", ()),
        ("No calf pain. It is swollen since the flight.", ()),
        ("Boiling out there. I started staggering and seeing things.", ("heat_confusion",)),
        ("Fell on my hip, huge bruise. I take apixaban.", ("bleeding",)),
        ("My brother has a bad calf. It is swollen.", ()),
    ],
)
def test_a_second_sentence_goes_on_about_the_first(text: str, signs: tuple[str, ...]) -> None:
    assert said(text) == signs


def test_harmless_sentences_side_by_side_stop_nobody() -> None:
    """But few: every fiftieth is tried beside every seventh."""
    pairs = [(a, b) for a in HARMLESS[::50] for b in HARMLESS[::7]]
    rung = [(found, a, b) for a, b in pairs if (found := said(f"{a.rstrip('.!?')}. {b}"))]
    assert len(pairs) > 3_000
    assert len(rung) <= len(pairs) // 1_000, rung


@pytest.mark.parametrize(
    ("text", "signs"),
    [
        ("Two years ago I fainted in a race.", ()),
        ("Hace dos años me desmayé en una carrera.", ()),
        ("I fainted last year and again yesterday.", ("fainting",)),
        ("My knee has been locking since last year.", ("locking",)),
        ("Hace dos años que me mareo al correr.", ("near_fainting",)),
        ("I fainted last month.", ("fainting",)),
        ("Last year I wanted to kill myself.", ("self_harm",)),
    ],
)
def test_what_was_years_ago_and_is_over_is_for_the_coachs_eye(
    text: str, signs: tuple[str, ...]
) -> None:
    assert said(text) == signs
    assert spoken(text) != ()


def test_only_or_makes_a_list_of_what_is_not_there() -> None:
    assert said("No fainting, chest pain all day") == ("chest_pain",)
    assert said("No fainting, dizziness or chest pain") == ()


def test_said_once_wins_over_denied() -> None:
    assert said("No chest pain on Monday. Chest pain on Tuesday.") == ("chest_pain",)


@pytest.mark.parametrize(
    ("own", "text", "found"),
    [
        (["blue lips"], "She says I had BLUE  lips after it", "blue lips"),
        (["hypo*"], "A bad hypoglycaemia at km 6", "hypoglycaemia"),
        (["Schwindel"], "Mir war Schwindel und schlecht", "schwindel"),
        (["hypo"], "hypothetically fine", ""),
    ],
)
def test_the_coachs_own_words_count_in_any_language(own: list[str], text: str, found: str) -> None:
    told = [one.words for one in spoken(text, own) if one.sign == "urgent_word"]
    assert told == ([found] if found else [])
    assert urgency("urgent_word") == "now"


def test_a_text_without_words_tells_nothing_and_a_long_one_ends() -> None:
    assert said("") == ()
    assert said("....,,,!!! \n\n ;;") == ()
    assert said("run " * 200_000) == ()


@pytest.mark.parametrize("language", WORD_LISTS, ids=LANGUAGES)
def test_the_quick_look_passes_over_nothing(language: Any) -> None:
    """A sentence without any of a sign's key words is not searched for that sign."""
    texts = [*(text for _, text in (*ALARMING, *BEYOND)), *HARMLESS]
    unseen = [
        (sign, text)
        for text in texts
        for clause in clauses(text)
        for sign in {*language.keys} - {*language.could_be(clause)}
        if any((*language.found(sign, clause), *language.found(sign, clause, beyond=True)))
    ]
    assert unseen == []


def test_what_a_device_hears_no_rarer_words_over_it_hide() -> None:
    """The rarer words begin earlier, and are denied: "no nadie me echaria de menos si me muero"."""
    assert said("y no nadie me echaría de menos si me muero") == ("self_harm",)


def test_a_sentence_without_an_end_is_searched_in_pieces_that_share_a_phrase() -> None:
    """So the work grows with the text and not by its square; each word keeps what stands by it."""
    words = [f"w{n}" for n in range(50_000)]
    pieces = clauses(" ".join(words))

    assert max(map(len, pieces)) <= MOST_OF_SENTENCE
    assert sum(map(len, pieces)) < 1.3 * len(" ".join(words))
    assert {word for piece in pieces for word in piece.split()} == {*words}
    for before, after in pairwise(pieces):
        shared = before[before.index(after[:SHARED]) :]
        assert after.startswith(shared) and len(shared) >= SHARED

    assert [len(piece) for piece in clauses("x" * 4_500)] == [2_000, 2_000, 500]
    for long_word in ("x" * 1_800, f"w {'x' * 1_700}", "x" * 2_000):
        with limited():  # once this went on for ever
            pieces = clauses(f"{long_word} chest pain{' w' * 900}")
        assert "chest pain" in " ".join(pieces) and len(pieces) <= 3


def test_nothing_is_lost_where_a_long_sentence_is_cut() -> None:
    texts = ["la " * (at // 3) + "tight across the chest " + "la " * 900
             for at in range(1_200, 2_020, 7)]  # fmt: skip
    assert [text for text in texts if said(text) != ("chest_pain",)] == []


def test_the_page_for_coaches_shows_every_sign_with_its_urgency() -> None:
    page = (Path(__file__).parent.parent / "docs" / "urgent-words.md").read_text("utf-8")
    shown = [tuple(row.split(" | ")[:2]) for row in page.splitlines() if row.startswith("| ")]
    wanted = [(f"| {sign_words(s)}", urgency(s)) for s in ALL if s != "urgent_word"]
    assert [row for row in shown if row[0] != "| sign"] == wanted
