"""What people write, as a page shows it: the short way for plain sentences is the library's."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sitegen.portal.prose import SENTENCES, Prose

PROSE = Prose()
LIBRARY = PROSE.reader  # markdown-it-py, CommonMark

plain = st.text(st.sampled_from("aZäßłñ日09 ,.;!?'-"), min_size=1, max_size=30)
anything = st.text(st.sampled_from("aZä09 ,.;!?'-_*`#>&<\"[]()\\/:\n\t~=+|\xa0\u0301"), max_size=30)


@given(st.one_of(plain, anything, st.text(max_size=20)))
@settings(max_examples=300)
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
        ("*far ahead*", False),
        ("two\nlines", False),
        ("a <b>", False),
        ("snake_case_word", False),
    ],
)
def test_only_a_line_without_any_sign_takes_the_short_way(text: str, is_plain: bool) -> None:
    assert bool(SENTENCES.fullmatch(text)) == is_plain
