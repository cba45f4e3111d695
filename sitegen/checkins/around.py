"""What a client wrote around check-ins in the same message: theirs to be heard too."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import groupby

from sitegen.care.words import is_of_health
from sitegen.checkins.inbox import message_of
from sitegen.checkins.letters import Letter
from sitegen.checkins.posting import Posted

MOST_GREETING = 11  # words, of which none is of health and none asks; a judgement, no source
_ADDED = re.compile(  # by mail programs and phones
    r"\s*(?:>|-{3,}|sent from my\b|enviado desde mi\b|.*(?:wrote|escribi[oó]|message|mensaje):\s*$"
    r"|\**(?:from|sent|to|cc|date|subject|reply-to|de|enviado|para|fecha|asunto)\**:)",
    re.IGNORECASE,
)
_CHECK_IN = re.compile(r"\s*check\W?in\b", re.IGNORECASE)


def words_around(letter: Letter) -> str:
    """The words of a letter around its check-ins, without what it quotes and what programs add.

    Empty where they are a greeting and no more.
    """
    own: list[str] = []
    for line in message_of(letter).splitlines():
        if line.rstrip() == "--":
            break  # a signature: RFC 3676, 4.3
        if not (_ADDED.match(line) or _CHECK_IN.match(line)):
            own.append(line)
    text = "\n".join(own).strip()
    is_greeting = len(text.split()) <= MOST_GREETING and "?" not in text
    return "" if is_greeting and not is_of_health(text) else text


def notes_around(
    posted: Sequence[Posted], heard: frozenset[str]
) -> Iterator[tuple[Letter, str, str]]:
    """Each letter's words around its check-ins as a letter, and whose they are.

    Args:
        posted: The check-ins, those of one letter in a row.
        heard: Names of letters whose words were told of already.

    Yields:
        The words; the one client whose all check-ins of that letter are, empty where that is not
        sure; the client as far as the code says.
    """
    for name, group in groupby(posted, key=lambda one: one.letter.name):
        mine = list(group)
        letter = mine[0].letter
        if letter.aside or letter.runs or name in heard:
            continue
        if words := words_around(letter):
            ids = {"" if one.problems else one.id for one in mine}
            note = replace(letter, text=words, subject="")
            yield note, ids.pop() if len(ids) == 1 else "", mine[0].coded
