"""Each message is read apart: one that would take too long, or that no reader can open, stops
no other. Its words are searched all the same.
"""

from __future__ import annotations

import binascii
import quopri
import re
import signal
import threading
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from types import FrameType

from sitegen.care.named import signs_in
from sitegen.care.signs import urgency
from sitegen.checkins.letters import Block, Letter, decoded_mail, is_mail, letter_of, without_tags
from sitegen.rules.signs import SEVERE

MEMORY = 512 * 2**20  # bytes that one message may add; the largest that are read take half of it
SECONDS = 1.0  # of processor time for one message; an ordinary one takes some thousandths
MOST_PARTS = 500  # of a mail: each is an object of some kilobytes
MOST_ENTRIES = 1000  # of a message: three years of days
MOST_WORDS = 40_000  # characters that are kept, and searched, of what can't be read
PIECE, OVERLAP = 4_000, 200  # characters

_ENTRY = re.compile(r"^[ \t>]*[-\u2010-\u2015*\u2022\u00b7][ \u00a0]*on[ \u00a0]*:", re.I | re.M)
_SEVERE_PAIN = re.compile(  # scores go up to 10
    r"\b(?:pain|before|during|after|next_morning|walking)[\"']?\s{0,9}:\s{0,9}[\"']?"
    rf"(?:{'|'.join(map(str, range(SEVERE, 11)))})(?![\d:])",
    re.IGNORECASE,
)
_BASE64 = re.compile(rb"(?:^[A-Za-z0-9+/]{20,100}={0,2}\r?$\n?)+", re.M)


class TooMuch(Exception):
    """A message goes past a limit. The text says which."""


@contextmanager
def limited(seconds: float = SECONDS) -> Iterator[None]:
    """Give what is done within so much processor time, and `MEMORY`.

    Where the system has no such clock (Windows), and outside of the main thread, only the limits
    of size hold; so it is with memory where the system does not say how much is taken (macOS).

    Raises:
        TooMuch: It took more time.
        MemoryError: It took more memory.
    """
    is_main = threading.current_thread() is threading.main_thread()
    if not is_main or not hasattr(signal, "setitimer"):
        yield
        return

    def end(_number: int, _frame: FrameType | None) -> None:
        raise TooMuch(f"reading it takes over {seconds:g} s")

    before = signal.signal(signal.SIGPROF, end)
    try:
        with _memory_limited():
            signal.setitimer(signal.ITIMER_PROF, seconds)
            try:
                yield
            finally:
                signal.setitimer(signal.ITIMER_PROF, 0)
    finally:
        signal.signal(signal.SIGPROF, before)


@contextmanager
def _memory_limited() -> Iterator[None]:
    """Let the process take `MEMORY` more than it has, where the system can hold it to that."""
    import resource  # there where SIGPROF is

    try:
        pages = int(Path("/proc/self/statm").read_text("ascii").split()[0])
    except OSError:
        yield
        return
    soft, hard = resource.getrlimit(resource.RLIMIT_AS)
    most = pages * resource.getpagesize() + MEMORY
    if soft not in (-1, resource.RLIM_INFINITY) and soft < most:
        yield  # somebody else's limit is closer
        return
    resource.setrlimit(resource.RLIMIT_AS, (most, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_AS, (soft, hard))


def check_mail(name: str, data: bytes) -> None:
    """Look at a mail's shape before it is opened.

    Raises:
        TooMuch: It has too many parts.
    """
    marks = data.count(b"\n--") + data.lower().count(b"\ncontent-type:")
    if marks > 2 * MOST_PARTS and is_mail(name, data):
        raise TooMuch(f"it has over {MOST_PARTS} parts")


def check_entries(found: tuple[Block, ...]) -> None:
    """
    Raises:
        TooMuch: There are more entries than one message tells of.
    """
    if sum(len(_ENTRY.findall(block.text)) for block in found) > MOST_ENTRIES:
        raise TooMuch(f"it has over {MOST_ENTRIES} entries")


def rough_words(data: bytes) -> str:
    """Whatever words stand in a message that can't be opened, each way that mail hides them.

    Takes no longer for twice the bytes than twice as long.
    """
    some = data if len(data) <= 8 * MOST_WORDS else data[: 4 * MOST_WORDS] + data[-4 * MOST_WORDS :]
    hidden = []
    for run in _BASE64.findall(some):
        with suppress(binascii.Error):
            hidden.append(binascii.a2b_base64(run))
    ways = (some, quopri.decodestring(some), b"\n\n".join(hidden))
    texts = dict.fromkeys(without_tags(decoded_mail(way)) for way in ways)
    return "\n\n".join(some_words(text, MOST_WORDS // len(ways)) for text in texts)


def some_words(text: str, most: int = MOST_WORDS) -> str:
    """Each paragraph, and each line in it, once; of what is too long the beginning and the end."""
    parts = (part.strip("\n") for part in text.replace("\r", "").split("\n\n"))
    once = dict.fromkeys("\n".join(dict.fromkeys(part.split("\n"))) for part in parts)
    text = "\n\n".join(once)
    return text if len(text) <= most else f"{text[: most // 2]}\n\n{text[-most // 2 :]}"


def spoken_signs(text: str, own: Sequence[str] = ()) -> tuple[str, ...]:
    """Signs of which words speak, of any length: a search takes longer for longer sentences.

    ``own`` are the coach's urgent words.
    """
    if len(text) <= PIECE:
        return signs_in(text, own)
    pieces = (text[at : at + PIECE + OVERLAP] for at in range(0, len(text), PIECE))
    return by_urgency(sign for piece in pieces for sign in signs_in(piece, own))


def entry_signs(text: str, own: Sequence[str] = ()) -> tuple[str, ...]:
    """Signs of which a check-in's lines tell, also where nobody can read them: a pain too.

    ``own`` are the coach's urgent words.
    """
    scores = {"severe_pain"} if _SEVERE_PAIN.search(text) else set()
    return by_urgency({*spoken_signs(text, own), *scores})


def by_urgency(signs: Iterable[str]) -> tuple[str, ...]:
    """Each sign once, the most urgent ones first."""
    return tuple(sorted(set(signs), key=lambda sign: (urgency(sign) != "now", sign)))


def opened_apart(name: str, data: bytes, aside: bool) -> Letter:
    """A message opened, or its rough words where it can't be."""
    try:
        with limited():
            check_mail(name, data)
            return letter_of(name, data, aside)
    except Exception as error:  # whatever a reader makes of what strangers send
        return Letter(name, rough_words(data), aside, unread=why_unread(error))


def why_unread(error: Exception) -> str:
    """The end of a sentence: this message can't be read."""
    if isinstance(error, TooMuch):
        return str(error)
    if isinstance(error, RecursionError):
        return "its parts lie in each other too deep"
    if isinstance(error, MemoryError):
        return f"reading it takes over {MEMORY // 2**20} MiB of memory"
    return f"it is damaged ({type(error).__name__})"
