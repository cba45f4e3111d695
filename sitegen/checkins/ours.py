"""Messages without a check-in: which of them a person has to read, and which are plainly nobody's.

A folder of mail holds newsletters and photographs too. What is named, pasted or dropped is kept
whatever it says.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from functools import cache
from pathlib import Path
from typing import NamedTuple

from sitegen.care.words import is_of_health, plain
from sitegen.checkins.letters import Letter
from sitegen.checkins.said_lines import SaidLine
from sitegen.model.kinds import quoted
from sitegen.practice.namesakes import written_name
from sitegen.practice.opening import CLIENT
from sitegen.terminal.output import harmless

MOST_SEARCHED = 40_000  # characters, of its beginning
# Lines at the end of a message, of which one may be a name. Common practice, no source.
SIGNED_WITHIN = 3
# Names that are everyday words, too: in a text they count with a capital letter where no sentence
# begins, "thanks, Will" and not "will you". Common practice, no source; a name that is not here
# keeps a mail more.
_EVERYDAY = """
amber angel april art autumn bill carol chase dawn dean drew faith frank gene grace grant guy hope
hunter ivy jack joy june mark may miles olive pat penny rich rob rose ruby sandy summer sue will
abril alba alma angeles blanca consuelo cruz dolores esperanza estrella luz mar marina mercedes
nieves paz pilar remedios rosa sol soledad victoria
"""
EVERYDAY = frozenset(_EVERYDAY.split())
_WITHIN = re.compile(r"(?:(?<=\w )|(?<=\w, ))[A-ZÁÉÍÓÚÑ]\w*")
_ODD = re.compile(r"[\x00-\x08\x0b\x0e-\x1f\x7f-\x9f\ufffd]")
# As a page's own mail has it: `messageLink` in views/checkin/message.js.
_OWN_SUBJECT = re.compile(r"\bcheck\W?in\s+[A-Z2-7]{4}\W?[A-Z2-7]{4}\b", re.IGNORECASE)
_WORD = re.compile(r"\b[^\W\d_]{2,30}\b")


class SoughtWords(NamedTuple):
    """What a message is searched for: the coach's urgent words, and how clients are called."""

    urgent: tuple[str, ...] = ()
    names: Callable[[], frozenset[str]] = frozenset
    whole_names: Callable[[], tuple[tuple[str, str], ...]] = tuple  # and whose each is, by id


def sought_words(clients: Path, ids: Iterable[str], urgent: tuple[str, ...]) -> SoughtWords:
    """What is known of a practice. Names are looked up when the first message needs them."""

    @cache
    def written() -> tuple[tuple[str, list[str]], ...]:
        found = []
        for id in ids:
            with suppress(OSError):
                name = written_name((clients / f"{id}{CLIENT}").read_bytes())
                found.append((id, _words(name.alike) if name else []))
        return tuple(found)

    @cache
    def names() -> frozenset[str]:
        found = {" ".join(_words(id)) for id in ids}
        for _, words in written():
            found |= {word for word in words[:1] if len(word) > 2} | {" ".join(words)}
        return frozenset(found - {""})

    def whole_names() -> tuple[tuple[str, str], ...]:
        return tuple((" ".join(words), id) for id, words in written() if words)

    return SoughtWords(urgent, names, whole_names)


def named_in(letter: Letter, known: SoughtWords) -> str:
    """The one client whose whole name stands in a message, or who signed it; else empty."""
    text = f"{letter.sender}\n{letter.subject}\n{letter.text[:MOST_SEARCHED]}"
    said = f" {' '.join(_words(text))} "
    found = {id for name, id in known.whole_names() if " " in name and f" {name} " in said}
    found = found or {*writers(letter, known)}
    return found.pop() if len(found) == 1 else ""


def writers(letter: Letter, known: SoughtWords) -> frozenset[str]:
    """Clients who may have written a message: its sender, or who signed it, is called so."""
    own = [line for line in letter.text[:MOST_SEARCHED].splitlines() if line.strip()]
    own = [line for line in own if not line.lstrip().startswith(">")]
    signed = {" ".join(_words(line)) for line in own[-SIGNED_WITHIN:]}
    sender = f"{' '.join(_words(letter.sender.partition('<')[0]))} "
    return frozenset(
        id
        for name, id in known.whole_names()
        for first in [name.split()[0]]
        if signed & {name, first} or sender.startswith(f"{first} ") or f" {name} " in f" {sender}"
    )


def place_it(
    letter: Letter, signs: tuple[str, ...], path: str, known: SoughtWords
) -> Iterator[SaidLine]:
    """How a message that was kept aside comes into a log: nothing of it stops a plan before."""
    id = named_in(letter, known)
    does = f"sitegen receive --for {id or 'ID'} {path}"
    named = f" (it names {id}: make sure that it is theirs)" if id else ""
    if signs:
        yield SaidLine(
            f"it stops no plan yet; if you know whose it is: {does}{named}",
            "COUNT of them stop no plan yet; if you know whose: sitegen receive --for ID FILE",
        )
    elif id:
        yield SaidLine(f"kept aside, and in no log yet: {does}{named}")


def is_text(letter: Letter) -> bool:
    """Whether it has words that a person can read: no photograph."""
    some = letter.text[:MOST_SEARCHED]
    return len(_ODD.findall(some)) * 100 <= len(some) and bool(_WORD.search(some))


def is_ours(letter: Letter, names: frozenset[str]) -> bool:
    """Whether a client may have written it: it names one, or has a word of health in it.

    A mail to many, as a newsletter, has to name one: words of health are its trade. One with the
    subject of a page's check-in is a client's also where nothing in it can be read.
    """
    if not is_text(letter):
        return bool(_OWN_SUBJECT.search(letter.subject))
    text = f"{letter.subject}\n{letter.text[:MOST_SEARCHED]}"
    told = names - EVERYDAY
    said = f" {' '.join([*_words(letter.sender), *_words(text)])} "
    called = {*_words(letter.sender), *_words(" ".join(_WITHIN.findall(text)))}
    if any(f" {name} " in said for name in told) or called & names & EVERYDAY:
        return True
    return not letter.is_bulk and is_of_health(text)


def first_words(letter: Letter) -> str:
    """``: "Knee again"``, by which a coach knows a message: its subject and first words."""
    if not is_text(letter):
        return ""
    told = ": ".join(part for part in (letter.subject.strip(), letter.text.strip()) if part)
    return f": {harmless(quoted(told))}"


def _words(text: str) -> list[str]:
    return re.findall(r"\w+", plain(text))
