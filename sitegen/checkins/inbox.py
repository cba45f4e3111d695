"""What came in, read: files, folders and standard input as letters.

Words of danger around check-ins are told at once.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import BinaryIO

from sitegen.care.signs import sign_words, urgency
from sitegen.care.words import BY_WORDS, said
from sitegen.checkins.aside import ASIDE, STANDARD_INPUT, uncommented
from sitegen.checkins.letters import (
    Block,
    Letter,
    blocks,
    letter_of,
    lines_of,
)
from sitegen.checkins.limits import (
    TooMuch,
    by_urgency,
    check_entries,
    check_mail,
    limited,
    rough_words,
    some_words,
    spoken_signs,
    why_unread,
)
from sitegen.checkins.ours import SoughtWords, first_words, is_ours
from sitegen.checkins.posting import Posted, post
from sitegen.checkins.run_file import SNIFFED, looks_like_a_run
from sitegen.checkins.run_gpx import Local
from sitegen.checkins.run_letters import run_letter
from sitegen.checkins.said_lines import SaidLine
from sitegen.checkins.words import URGENCY_WORDS
from sitegen.model.problem import Origin, Problem, Severity
from sitegen.portal.run_file import LIMITS
from sitegen.practice.opening import Progress

ALL_ASIDE = f"read them now, they are kept in {ASIDE} ({BY_WORDS})"
NOBODY = SoughtWords()
MOST_BYTES = 32 * 1024 * 1024  # a mail with photographs


def letters_in(
    paths: Sequence[Path],
    typed: bytes | None,
    clients: Path,
    problems: list[Problem],
    first: list[SaidLine],
    loose: list[tuple[Letter, tuple[str, ...]]],
    progress: Progress | None,
    local: Local | None = None,
    known: SoughtWords = NOBODY,
) -> Iterator[Letter]:
    """What can be read of what was named; what can't is a problem.

    A run's own file is read with ``local``, the clock where its client is. Words of danger outside
    of check-ins, the coach's own with them, go to ``first``: nothing else would tell of them.
    """
    if typed is not None:
        if looks_like_a_run("", typed):
            size = len(typed) if len(typed) <= MOST_BYTES else LIMITS["most_bytes"] + 1
            letter = run_letter(STANDARD_INPUT, size, lambda a, b: typed[a:b], local, problems)
            yield from [letter] if letter else []
        else:
            yield from _read(STANDARD_INPUT, typed, False, problems, first, loose, "error", known)
    for done, path in enumerate(paths):
        if progress is not None:
            progress(done, len(paths), "reading")
        if not path.is_dir():
            yield from _read_file(path, clients, problems, first, loose, "error", local, known)
            continue
        try:
            inside = sorted(p for p in path.iterdir() if p.is_file() and p.name[0] != ".")
        except OSError as error:
            why = f"this folder can't be read: {error.strerror}"
            problems.append(Problem(Origin(path.as_posix()), why, "", "checkin-file"))
            continue
        for done_inside, one in enumerate(inside):
            if progress is not None:
                progress(done_inside, len(inside), f"reading {path.name}")
            yield from _read_file(one, clients, problems, first, loose, "warning", local, known)


def _read_file(
    path: Path,
    clients: Path,
    problems: list[Problem],
    first: list[SaidLine],
    loose: list[tuple[Letter, tuple[str, ...]]],
    level: Severity,
    local: Local | None,
    known: SoughtWords,
) -> Iterator[Letter]:
    origin = Origin(path.as_posix())
    try:
        if path.exists() and not path.is_file():
            problems.append(Problem(origin, "this is no plain file", "", "checkin-file"))
            return
        with path.open("rb") as file:
            head = file.read(SNIFFED)
            if looks_like_a_run(path.name, head):
                letter = _run_in(file, path, local, problems)
                yield from [letter] if letter else []
                return
            data = head + file.read(MOST_BYTES + 1 - len(head))
    except OSError as error:
        why = f"this file can't be read: {error.strerror}"
        problems.append(Problem(origin, why, "check its name", "checkin-file"))
        return
    aside = path.resolve().parent == (clients / ASIDE).resolve()
    yield from _read(path.as_posix(), data, aside, problems, first, loose, level, known)


def _run_in(
    file: BinaryIO, path: Path, local: Local | None, problems: list[Problem]
) -> Letter | None:
    def slice(start: int, end: int) -> bytes:
        file.seek(start)
        return file.read(end - start)

    return run_letter(path.as_posix(), path.stat().st_size, slice, local, problems)


def _read(
    name: str,
    data: bytes,
    aside: bool,
    problems: list[Problem],
    first: list[SaidLine],
    loose: list[tuple[Letter, tuple[str, ...]]],
    level: Severity,
    known: SoughtWords,
) -> Iterator[Letter]:
    if len(data) > MOST_BYTES:
        letter = Letter(name, rough_words(data), aside)
        keep_unread(letter, TooMuch("it has over 32 MiB"), problems, first, loose, known.urgent)
        return
    told: list[Problem] = []
    urgent: list[SaidLine] = []
    found: list[tuple[Letter, tuple[str, ...]]] = []
    try:
        with limited():
            check_mail(name, data)
            letter = letter_of(name, data, aside)
            letters = [*_with_check_in(letter, told, urgent, found, level, known)]
    except Exception as error:  # whatever a reader makes of what strangers send
        letter = Letter(name, rough_words(data), aside)
        keep_unread(letter, error, problems, first, loose, known.urgent)
        return
    problems += told
    first += urgent
    loose += found
    yield from letters


def keep_unread(
    letter: Letter,
    error: Exception,
    problems: list[Problem],
    first: list[SaidLine],
    loose: list[tuple[Letter, tuple[str, ...]]],
    own: Sequence[str] = (),
) -> None:
    """Keep a message that can't be read, and tell of danger of which its words speak."""
    before = [sign for kept, found in loose if kept.name == letter.name for sign in found]
    signs = by_urgency((*before, *spoken_signs(letter.text, own)))
    why = why_unread(error)
    if len(signs) > len(before):  # else it was told when the message was opened
        told = ", ".join(map(sign_words, signs))
        loud = URGENCY_WORDS[urgency(signs[0])]
        first.append(
            SaidLine(
                f"{loud}: a message that can't be read speaks of {told}: read it now, "
                f"{letter.name} ({BY_WORDS})",
                f"{loud}: COUNT messages that can't be read speak of SIGNS: {ALL_ASIDE}",
                signs,
            )
        )
    hint = "open it in a mail program; if there is a check-in in it, save that as plain text"
    origin = Origin(letter.name)
    problems.append(Problem(origin, f"this message can't be read: {why}", hint, "checkin-unread"))
    if not letter.aside:
        loose[:] = [one for one in loose if one[0].name != letter.name]
        loose.append((replace(letter, unread=why), signs))


def post_apart(
    letters: Iterable[Letter],
    codes: Mapping[str, str],
    ids: Iterable[str],
    whose: str,
    problems: list[Problem],
    first: list[SaidLine],
    loose: list[tuple[Letter, tuple[str, ...]]],
    own: Sequence[str] = (),
) -> list[Posted]:
    """`post`, each letter apart: one that can't be read in time is kept."""
    known = frozenset(ids)
    posted: list[Posted] = []
    for letter in letters:
        try:
            with limited():
                posted += post([letter], codes, known, whose)
        except Exception as error:  # as above
            short = replace(letter, text=some_words(letter.text))
            keep_unread(short, error, problems, first, loose, own)
    return posted


def _with_check_in(
    letter: Letter,
    problems: list[Problem],
    first: list[SaidLine],
    loose: list[tuple[Letter, tuple[str, ...]]],
    level: Severity,
    known: SoughtWords,
) -> Iterator[Letter]:
    found = blocks(letter)
    check_entries(found)
    signs = said(_outside(letter, found), known.urgent)
    if signs:
        what = (
            "the words around a check-in speak" if found else "a message without a check-in speaks"
        )
        told = ", ".join(map(sign_words, signs))
        loud = URGENCY_WORDS[urgency(signs[0])]
        first.append(
            SaidLine(
                f"{loud}: {what} of {told}: read it now, {letter.name} ({BY_WORDS})",
                f"{loud}: in COUNT messages words outside of check-ins speak of SIGNS: {ALL_ASIDE}",
                signs,
            )
        )
    # pasted, or named itself: it may lie nowhere else; in a folder there are others' mails too
    is_kept = not found and (
        bool(uncommented(letter.text).strip())
        if level == "error"
        else is_ours(letter, known.names())
    )
    if (signs or is_kept) and (not letter.aside or not found):
        loose.append((letter, signs))
    if found:
        yield letter
        return
    hint = "a check-in begins with a line like Check-in ABCD-EFGH"
    if signs:  # never mildly, wherever it lay
        level, hint = "error", f"read it and act on it, then take it away; {hint}"
    elif is_kept and not letter.aside:
        level, hint = "error", f"it is kept aside: read it, then sitegen alarms; {hint}"
    wrong = f"no check-in stands here{first_words(letter)}"
    problems.append(Problem(Origin(letter.name), wrong, hint, "checkin-none", level))


def _outside(letter: Letter, found: Sequence[Block]) -> str:
    """A letter's words in no check-in; of one that waited aside not the reasons on top."""
    if letter.aside:
        return "" if found else uncommented(letter.text)
    inside = {number for block in found for number in (block.line, *(n for n, _ in block.lines))}
    lines = enumerate(lines_of(letter.text), 1)
    return "\n".join([letter.subject, *(line for n, line in lines if n not in inside)])


def message_of(letter: Letter) -> str:
    """What stands in a letter outside of check-ins, its subject first."""
    words = letter.text if letter.unread else _outside_of(letter)
    if letter.aside:
        words = uncommented(words).strip()
    subject = letter.subject.rstrip()
    ended = f"{subject}." if subject[-1:].isalnum() else subject  # in a log both are one line
    return "\n".join(part for part in (ended, words) if part)


def written_on(letter: Letter) -> date | None:
    """The day on which a letter's file was last written; None where it is none."""
    with suppress(OSError):
        return date.fromtimestamp(Path(letter.name).stat().st_mtime)
    return None


def _outside_of(letter: Letter) -> str:
    """The lines of a message that stand in no check-in."""
    inside = {n for b in blocks(letter) for n in (b.line, *(n for n, _ in b.lines))}
    return "\n".join(line for n, line in enumerate(lines_of(letter.text), 1) if n not in inside)
