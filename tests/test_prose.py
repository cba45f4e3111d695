"""What people write, as a page shows it: the short way for plain sentences is the library's."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sitegen.portal.prose import SENTENCES, STRESSED, Prose

PROSE = Prose()
LIBRARY = PROSE.reader  # markdown-it-py, CommonMark

plain = st.text(st.sampled_from("aZäßłñ日09 ,.;!?'-"), min_size=1, max_size=30)
stressed = st.text(st.sampled_from("aß1 ,.'-**\n"), min_size=1, max_size=30)
pieces = st.sampled_from(
    ["*", "**", "a", "far ahead", "1.", " ", ", ", "\n", "\n\n", ".", "-", "'"]
)
anything = st.text(st.sampled_from("aZä09 ,.;!?'-_*`#>&<\"[]()\\/:\n\t~=+|\xa0\u0301"), max_size=30)


@given(st.one_of(plain, stressed, st.lists(pieces).map("".join), anything, st.text(max_size=20)))
@settings(max_examples=500)
def test_a_text_is_drawn_as_the_library_draws_it(text: str) -> None:
    assert PROSE(text) == LIBRARY.render(text)


@pytest.mark.parametrize(
    ("text", "is_plain"),
    [
        ("Felt light today.", True),
        ("Kept to the click - the whole way, wasn't it?", True),
        ("- a list", False),
        ("1. a list", False),
        ("two  spaces", False),
        ("a space behind ", False),
        ("Look *far ahead*, and **rest**.", True),
        ("*one* **two** 3", True),
        ("half*way*", False),
        ("*not closed", False),
        ("***", False),
        ("two\nlines", True),
        ("two\n- lines", False),
        ("two\n\nlines", False),
        ("a <b>", False),
        ("snake_case_word", False),
    ],
)
def test_only_a_paragraph_with_no_sign_but_stress_takes_the_short_way(
    text: str, is_plain: bool
) -> None:
    assert bool(SENTENCES.fullmatch(STRESSED.sub(r"\2", text))) == is_plain


def test_what_is_stressed_or_stands_in_paragraphs_is_drawn_without_the_library() -> None:
    prose = Prose()

    drawn = prose("Look *far ahead*.\n\nThen **rest**\na while.")

    assert drawn == "<p>Look <em>far ahead</em>.</p>\n<p>Then <strong>rest</strong>\na while.</p>\n"
    assert "reader" not in vars(prose)
