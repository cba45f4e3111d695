"""What must not wait for a mend: a sign in a check-in kept aside, words in a message without one.

A check-in that can't be read whole waits aside; but its client is known, and what it tells of
danger goes into the log at once, so that the plan stops. A message without a check-in that speaks
of danger is kept too, as an alarm of the practice.

Pure: texts in, texts and entries out.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from datetime import date
from typing import NamedTuple

from sitegen.care.named import kept_words, signs_in
from sitegen.care.signs import sign_words
from sitegen.checkins.letters import Letter
from sitegen.checkins.posting import DAYS_BACK
from sitegen.model.case import Case
from sitegen.model.checkin import SIGNS, CheckIn
from sitegen.practice.lenient import lenient_log
from sitegen.practice.yaml_text import Tree, one_line
from sitegen.rules.signs import SEVERE, freed_on, sign_answer, signs_told
from sitegen.terminal.output import harmless

MOST_SAID = 600  # of a text that goes into the log
APART = "Not read whole, kept aside:"


class StopEntry(NamedTuple):
    """What stops the plan, as an entry for the log; whether its day is the check-in's own."""

    tree: dict[str, Tree]
    has_own_day: bool


def stop_entries(
    text: str,
    sound: Sequence[CheckIn],
    today: date,
    own: Sequence[str] = (),
    judged: Sequence[CheckIn] = (),
) -> tuple[StopEntry, ...]:
    """Entries for the log that stop the plan, from a check-in's text that can't be taken whole.

    Args:
        text: The lines below ``Check-in CODE``.
        sound: Its entries that are taken as they are.
        today: The day; a date ahead or none becomes it.
        own: The coach's urgent words.
        judged: Those of which is known whether they were signed; any other counts as not signed.

    Returns:
        One for each entry with a sign, words of danger or a pain of 8, which ``sound`` lacks.
    """
    found: list[StopEntry] = []
    taken = [_unsigned(entry) for entry in sound]
    for entry in lenient_log(text.encode("utf-8"), "", own)[0]:
        if _unsigned(entry) in taken:
            continue
        signed = (one.signed for one in judged if _unsigned(one) == _unsigned(entry))
        words = ". ".join(part for part in (entry.said, entry.pain and entry.pain.site) if part)
        signs = tuple(dict.fromkeys((*entry.signs, *signs_in(words, own))))
        scores = {
            name: score
            for name in ("before", "during", "after", "next_morning", "walking")
            if entry.pain and (score := getattr(entry.pain, name)) is not None and score >= SEVERE
        }
        if not signs and not scores:
            continue
        tree: dict[str, Tree] = {"on": entry.on.isoformat()}
        has_own_day = 0 <= (today - entry.on).days <= DAYS_BACK
        if not has_own_day:  # a slip: the stop counts from now
            tree["on"] = today.isoformat()
        if scores:
            tree["pain"] = {name: str(score) for name, score in scores.items()}
        if ticked := [sign for sign in signs if sign in SIGNS]:
            tree["signs"] = list(ticked)
        tree["signed"] = next(signed, None) or "no"
        tree["received"] = today.isoformat()
        told = kept_words(one_line(words or ", ".join(signs)), MOST_SAID, own)
        tree["said"] = f"{APART} {told}"
        found.append(StopEntry(tree, has_own_day))
    return tuple(found)


def said_entry(
    text: str, signs: Sequence[str], today: date, own: Sequence[str], is_vouched: bool
) -> dict[str, Tree]:
    """The entry for a message without a check-in, or words around one, whose client is known.

    Args:
        text: The message.
        signs: The signs of which it speaks.
        today: The day.
        own: The coach's urgent words.
        is_vouched: The coach says whose it is, so that it is as by her hand; else nobody signed it.
    """
    said = kept_words(one_line(text), MOST_SAID, own)
    heard = signs_in(one_line(text)[:MOST_SAID], own)
    # a sign that stood further on, or across lines, stops the plan all the same
    lost = [sign for sign in signs if sign not in heard and sign in SIGNS]
    tree: dict[str, Tree] = {"on": today.isoformat()}
    if lost:
        tree["signs"] = list(lost)
    return {**tree, **({} if is_vouched else {"signed": "no"}), "said": said}


def is_cut(text: str) -> bool:
    """Whether a message is longer than what of it goes into the log."""
    return len(one_line(text)) > MOST_SAID


def _unsigned(entry: CheckIn) -> CheckIn:
    """An entry without what it says of its signature, which is not yet looked at in a text."""
    told = entry.written - {"signed"}
    return CheckIn(**{name: getattr(entry, name) for name in told})


def is_known(
    tree: Mapping[str, Tree],
    case: Case,
    as_of: date,
    written: date | None,
    has_own_day: bool = False,
) -> bool:
    """Whether the log has this already, from an earlier day's receiving.

    What was answered or lifted since is not the same when it is told once more: nobody has looked
    at that yet. A file that lay there at the first receiving tells nothing once more.

    Args:
        tree: The entry.
        case: The client, with the log.
        as_of: The day.
        written: The day on which its file was written; None where that is not known, or no file is.
        has_own_day: The entry's day stands in the check-in: one of another day is another one.
    """
    said, signs = tree.get("said"), {*tree.get("signs", [])}
    alike = [at for at, e in enumerate(case.log) if e.said == said and {*e.signs} >= signs]
    if any(case.log[at].on.isoformat() == tree["on"] for at in alike):
        return True
    if has_own_day or not alike:
        return False
    done = _settled(case, as_of)
    return any(
        at not in done or not is_written_after(written, case.log[at].received or case.log[at].on)
        for at in alike
    )


def is_written_after(written: date | None, day: date) -> bool:
    """Whether a message may tell what that of ``day`` did not; one without a day of its own may."""
    return written is None or written > day


def _settled(case: Case, as_of: date) -> frozenset[int]:
    """Entries of the log of which a sign was answered or lifted by ``as_of``."""
    return frozenset(
        one.entry
        for one in signs_told(case, as_of)
        if sign_answer(case, one) or ((freed := freed_on(case, one)) is not None and freed <= as_of)
    )


def kept_message(letter: Letter, text: str, signs: Sequence[str], day: date) -> tuple[str, str]:
    """The name and the text of the file in which a message waits that has, or gives, no check-in.

    Args:
        letter: Where it came from, and why it can't be read.
        text: The message, its subject with it.
        signs: The signs of which it speaks.
        day: The day.
    """
    mark = hashlib.sha256(text.encode("utf-8")).hexdigest()[:8]
    told = ", ".join(map(sign_words, signs))
    what = "a message without a check-in"
    if letter.unread:
        what = f"a message that can't be read: {letter.unread}"
    sender = one_line(letter.sender)
    wrote = f"# The mail says that it is from {sender}.\n" if sender else ""
    speaks = f"# By its words it speaks of {told}.\n" if told else ""
    head = (
        f"# Kept aside on {day}, from {' '.join(letter.name.split())}: {what}.\n{wrote}{speaks}"
        "# Read it, speak to who wrote it, and take it away; or answer: sitegen alarms\n"
        "# If you know whose it is: sitegen receive --for ID and this file.\n\n"
    )
    return f"{day}-{mark}.txt", harmless(f"{head}{text.rstrip()}\n")
