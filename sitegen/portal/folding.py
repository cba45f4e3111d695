"""The lines of folded texts, each written once.

What is folded in a sealed page repeats itself over a whole plan: the same session, the same words
for how to run it, the same reason. Deflate finds again what stood within the last 32 KiB, which is
three weeks of a plan. So each different line stands in the document once, and a folded text is one
character for each of its lines; ``views/weeks/folded.js`` writes them out.
"""

from __future__ import annotations

from markupsafe import Markup

FIRST = 0x100
SURROGATES = range(0xD800, 0xE000)  # no characters, so no codes


class FoldedLines:
    """The different lines of one document, in the order in which they came."""

    def __init__(self) -> None:
        self._codes = _Codes()

    def fold(self, text: str) -> Markup:
        """A text as the characters that stand for its lines."""
        lines = str.split(text, "\n")  # of a Markup, its own would make each line one
        return Markup("".join(map(self._codes.__getitem__, lines)))

    @property
    def text(self) -> Markup:
        """Every line, in the order of the characters that stand for them."""
        return Markup("\n".join(self._codes))


class _Codes(dict[str, str]):
    """The character that stands for each line; a new line gets the next one."""

    def __missing__(self, line: str) -> str:
        at = FIRST + len(self)
        code = self[line] = chr(at if at < SURROGATES.start else at + len(SURROGATES))
        return code
