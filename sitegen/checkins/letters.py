"""What came in, as check-ins: a file or a saved mail as text, the check-ins in it, their entries.

A check-in is a line ``Check-in CODE`` and a client's log entry below it, as the portal writes it
(``sitegen/portal/views/checkin/message.js``). On its way a mail program or a phone may quote it,
wrap it, curl its quotes or take its indents away. It is read as it stands first; only what can't
be read so is mended, and only in ways that change no value.

Pure: bytes in, values and problems out.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from email import message_from_bytes
from email.errors import HeaderParseError
from email.header import decode_header, make_header
from email.message import Message
from email.parser import BytesHeaderParser
from html import unescape
from html.parser import HTMLParser

from sitegen.checkins.run_sum import RunRead
from sitegen.model.checkin import CheckIn
from sitegen.model.problem import Origin, Problem
from sitegen.practice.records import read_log
from sitegen.practice.translate import names
from sitegen.practice.yaml_text import Tree, read_yaml

# --- a file or a mail as text -----------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Letter:
    """One text that came in. ``aside`` is True for one that was kept aside before, and mended."""

    name: str
    text: str
    aside: bool = False
    subject: str = ""  # of a mail
    sender: str = ""  # of a mail
    is_bulk: bool = False  # a mail to many, by the headers that such a one has
    unread: str = ""  # why it can't be read; then its text is whatever words stand in it
    runs: tuple[RunRead, ...] = ()  # of a run's own file; then its text is the entries of those


_MAIL_START = re.compile(
    r"(?:From |(?:From|To|Return-Path|Delivered-To|Received|MIME-Version|Message-ID|Subject|Date"
    r"|DKIM-Signature|Authentication-Results|X-[\w-]+):)",
    re.IGNORECASE,
)
_HEADERS_END = re.compile(rb"\r?\n\r?\n")
_TAG = re.compile(r"<[^<>]{0,2000}>")
_UNREAL = re.compile(r"[\ud800-\udfff\x00]")


def letter_of(name: str, data: bytes, aside: bool = False) -> Letter:
    """What a file holds, as text: a saved mail is opened, any encoding is tried."""
    opens = is_mail(name, data)
    text = mail_text(data) if opens else decoded_mail(data)
    if not opens:
        return Letter(name, _UNREAL.sub("\ufffd", text), aside)
    head = BytesHeaderParser().parsebytes(data)
    text, subject, sender = (
        _UNREAL.sub("\ufffd", part) for part in (text, _subject(head), _header(head, "From"))
    )
    return Letter(name, text, aside, subject, sender, "List-Unsubscribe" in head)  # RFC 2369


def decoded_mail(data: bytes, charset: str = "utf-8") -> str:
    """Text from bytes, whatever they are: UTF-16 where a mark says so, else as named, else 1252."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16", "replace")
    for name in (charset, "utf-8-sig"):
        with suppress(ValueError, LookupError):  # also of a name that is none
            return data.decode(name).removeprefix("\ufeff")
    return data.decode("cp1252", "replace")


def is_mail(name: str, data: bytes) -> bool:
    """Whether it is opened as a mail: by its name, or by how it begins."""
    if name.lower().endswith(".eml"):
        return True
    start = data[:400].decode("ascii", "replace").lstrip("\ufeff")
    return bool(_MAIL_START.match(start) and _HEADERS_END.search(data))


def mail_text(data: bytes) -> str:
    """The words of a saved mail: its plain text, or that of its HTML where plain text has none.

    A subject ``Check-in CODE`` stands in for the first line, where the client has deleted that.
    """
    mail = message_from_bytes(data)
    plain: list[str] = []
    styled: list[str] = []
    for part in mail.walk():
        if part.get_content_maintype() == "text":
            is_html = part.get_content_subtype() == "html"
            (styled if is_html else plain).append(_part_text(part))
    text = "\n\n".join(plain)
    if not _has_head(text) and styled:
        from_html = "\n\n".join(html_text(t) for t in styled)
        text = from_html if _has_head(from_html) or not text.strip() else text
    if not _has_head(text) and _ENTRY_START.search(text):
        subject = _subject(mail)
        if found := _HEAD.search(subject):
            text = f"{found[0].strip()}\n{text[_ENTRY_START.search(text).start() :]}"  # type: ignore[union-attr]
    return text


def _has_head(text: str) -> bool:
    return any(True for _ in blocks_of(text))


def _subject(mail: Message) -> str:
    return re.sub(r"^(?:\s*\w{1,4}:)+\s*", "", _header(mail, "Subject"))


def _header(mail: Message, name: str) -> str:
    raw = str(mail.get(name, ""))
    with suppress(ValueError, LookupError, HeaderParseError):
        raw = str(make_header(decode_header(raw)))
    return raw


def _part_text(part: Message) -> str:
    raw = part.get_payload(decode=True)
    data = raw if isinstance(raw, bytes) else b""
    text = decoded_mail(data, part.get_content_charset() or "utf-8").replace("\r\n", "\n")
    if str(part.get_param("format", "")).lower() == "flowed":
        return _unflowed(text, str(part.get_param("delsp", "")).lower() == "yes")
    return text


def _unflowed(text: str, delsp: bool) -> str:
    """Lines as they were before ``format=flowed`` broke and stuffed them (RFC 3676)."""
    lines: list[str] = []
    joins = False
    for line in text.split("\n"):
        bare = line.removeprefix(" ")
        soft = bare.endswith(" ") and bare != "-- "
        piece = bare[:-1] if soft and delsp else bare
        if joins:
            lines[-1] += piece
        else:
            lines.append(piece)
        joins = soft
    return "\n".join(lines)


class _Stripper(HTMLParser):
    """Text of an HTML mail, a line for each block."""

    BLOCKS = frozenset(
        {"p", "div", "br", "li", "tr", "table", "blockquote", "h1", "h2", "h3", "hr"}
    )
    # Not the head itself: nothing need say where it ends (HTML standard, 13.1.2.4).
    UNSHOWN = frozenset({"script", "style", "title"})

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.parts: list[str] = []
        self.unshown = 0
        self.pre = 0

    def handle_starttag(self, tag: str, attrs: object) -> None:
        self.unshown += tag in self.UNSHOWN
        self.pre += tag == "pre"
        if tag in self.BLOCKS or tag == "pre":
            self.parts.append("\n")

    def handle_endtag(self, tag: str) -> None:
        self.unshown = max(0, self.unshown - (tag in self.UNSHOWN))
        self.pre = max(0, self.pre - (tag == "pre"))
        if (tag in self.BLOCKS or tag == "pre") and tag != "br":
            self.parts.append("\n")

    def handle_data(self, data: str) -> None:
        if not self.unshown:
            self.parts.append(data if self.pre else re.sub(r"[ \t\r\n]+", " ", data))


def html_text(html: str) -> str:
    """The text that an HTML mail shows. One blank line at most between two others."""
    stripper = _Stripper()
    try:
        stripper.feed(html)
        stripper.close()
    except AssertionError:  # of markup that the parser does not know
        return without_tags(html)
    lines = "".join(stripper.parts).split("\n")
    return re.sub(r"\n{2,}", "\n", "\n".join(line.rstrip(" \t") for line in lines))


def without_tags(html: str) -> str:
    """The words of any HTML, however broken, without a look at what it means."""
    return unescape(_TAG.sub(" ", html))


# --- where check-ins stand in a text ----------------------------------------------------------

MOST_HEAD = 300  # characters in which the line that begins a check-in is looked for
MOST_MENDED = 100_000  # characters; the longest text that a field takes has 20 000

_KEYS = "|".join(names(CheckIn))
_DASHES = "‐‑‒–—−"
_BULLET = rf"[-{_DASHES}•*·]"
_LINE_END = re.compile(r"\r\n|\r|\n")
_SPACES = re.compile(r"[\u00a0\u1680\u2000-\u200a\u202f\u205f\u3000\t]")
_UNSEEN = re.compile(r"[\u00ad\u200b-\u200f\u2028-\u202e\u2060-\u2064\ufeff]")
_HEAD = re.compile(
    r"^(?P<quote>[ \t]*(?:>[ \t]?)*)(?P<before>.{0,80}?[\]:][ \t])??"
    r"[ \t\u00a0\u200b\ufeff*_\"“]*"
    rf"check[ {_DASHES}\u00ad-]?in\b[ \t\u00a0*_:]*(?P<code>[^\s*_,.\"”]+)[*_\"”.,]*(?P<rest>.*)$",
    re.IGNORECASE | re.MULTILINE,
)
_KEY_LINE = re.compile(
    rf"\s{{0,80}}(?P<bullet>{_BULLET}?)\s{{0,80}}(?P<key>{_KEYS})\s{{0,80}}:(?P<rest>.*)",
    re.IGNORECASE | re.DOTALL,
)
_ENTRY_START = re.compile(rf"^[ \t>\u00a0]*{_BULLET}[ \u00a0]*on[ \u00a0]*:.*\d", re.I | re.M)
_OTHER_KEY = re.compile(r"[a-z_]+:(?:\s|$)")
_RULE = re.compile(r"\s*-{2,}")
_CODE = re.compile(r"[A-Z2-7]{8}")
_OPENS_WITH = '"“„”'
_CLOSED = re.compile(r'(?<!\\)(?:\\\\)*["“”]\s*$')

NumberedLines = tuple[tuple[int, str], ...]
"""Lines with their number in the text, counted from 1."""


@dataclass(frozen=True, slots=True)
class Block:
    """One check-in as it stands in a text: its code, and the lines below it.

    ``apart`` are numbers of lines that look like a part of it but stand below other words.
    """

    code: str
    line: int
    lines: NumberedLines
    apart: tuple[int, ...] = ()

    @property
    def text(self) -> str:
        return "\n".join([f"Check-in {self.code}", *(text for _, text in self.lines)]) + "\n"


def tidy_code(text: str) -> str:
    """``ABCD-EFGH`` of whatever hyphens and case it came with; anything else as it is."""
    bare = re.sub(rf"[-{_DASHES}\u00ad\s]", "", _UNSEEN.sub("", text)).upper()
    return f"{bare[:4]}-{bare[4:]}" if _CODE.fullmatch(bare) else text


def blocks_of(text: str) -> Iterator[Block]:
    """Each check-in of a text, in order. Greetings, signatures and quoted answers are left out."""
    lines = _LINE_END.split(text)
    heads = [(at, found) for at, line in enumerate(lines) if (found := _head(line))]
    found_blocks: list[tuple[Block, bool]] = []
    for at, found in heads:
        code = tidy_code(found["code"])
        below = _below(lines, at + 1, found["quote"].count(">"))
        if rest := lines[at][found.start("rest") :].strip():
            below.insert(0, (at + 1, rest))
        first = next((line for _, line in below if line.strip()), "")
        if _CODE.fullmatch(code.replace("-", "")) or _KEY_LINE.match(_seen(first)):
            found_blocks.append((_block(code, at + 1, below), bool(found["before"])))
    for number, (block, is_header) in enumerate(found_blocks):
        follows = found_blocks[number + 1][0].code if number + 1 < len(found_blocks) else ""
        if block.lines or not (is_header or follows == block.code):
            yield block


def _head(line: str) -> re.Match[str] | None:
    """The line that begins a check-in. A client's own words in quotes are none."""
    found = _HEAD.match(line[:MOST_HEAD])
    if found and found["before"] and ('"' in line or _KEY_LINE.match(line)):
        return None
    return found


def _below(lines: Sequence[str], start: int, level: int) -> list[tuple[int, str]]:
    """The lines from ``start`` on, up to the next check-in, without marks of quoting."""
    found: list[tuple[int, str]] = []
    for at in range(start, len(lines)):
        if _head(lines[at]):
            break
        found.append((at + 1, _unquoted(lines[at], level)))
    return found


def _block(code: str, line: int, below: Sequence[tuple[int, str]]) -> Block:
    """A check-in of the lines that belong to it; with what stands apart, if there is any."""
    mine = _entry_part(below)
    last = mine[-1][0] if mine else line
    apart = tuple(n for n, text in below if n > last and _KEY_LINE.match(_seen(text)))
    if not mine or not apart:
        return Block(code, line, mine)
    return Block(code, line, tuple(one for one in below if one[0] <= apart[-1]), apart)


def _seen(text: str) -> str:
    """The line as it looks: without characters that nobody sees."""
    return _UNSEEN.sub("", text)


def _unquoted(line: str, level: int) -> str:
    """A line without the marks that ``level`` answers or forwards put before it."""
    return re.sub(rf"^[ \t]*(?:>[ ]?){{1,{level}}}", "", line) if level else line


def _entry_part(below: Sequence[tuple[int, str]]) -> NumberedLines:
    """The lines that belong to a check-in; what follows it is somebody else's."""
    kept: list[tuple[int, str]] = []
    waiting: list[tuple[int, str]] = []
    opened = ""
    for number, line in below:
        bare = _seen(line)
        if not bare.strip():
            waiting.append((number, ""))
            continue
        key = _KEY_LINE.match(bare)
        if opened:
            opened = _opened(bare.strip(), opened)
        elif key:
            opened = _opened(key["rest"].strip())
        elif (
            _RULE.match(bare)
            or (waiting and not bare.startswith("    "))
            or not (bare[0] in " \t\u00a0-#" or _OTHER_KEY.match(bare))
        ):
            break
        kept += [*waiting, (number, line)] if kept else [(number, line)]
        waiting = []
    return tuple(kept)


def _opened(text: str, opened: str = "") -> str:
    """The quote or bracket that is still open after ``text``, where a value goes on below."""
    if not opened:
        opened, text = text[:1], text[1:]
    if opened and opened in _OPENS_WITH:
        return "" if _CLOSED.search(text) else opened
    end = {"{": "}", "[": "]"}.get(opened, "")
    return opened if end and not text.rstrip().endswith(end) else ""


def lines_of(text: str) -> list[str]:
    """A text's lines, as `Block` numbers them."""
    return _LINE_END.split(text)


def blocks(letter: Letter) -> tuple[Block, ...]:
    """A letter's check-ins; entries without any ``Check-in`` line are one of nobody."""
    found = tuple(blocks_of(letter.text))
    start = None if found else _ENTRY_START.search(letter.text)
    if start is None:
        return found
    lines = _LINE_END.split(letter.text)
    first = len(_LINE_END.split(letter.text[: start.start()])) - 1
    return (_block("?", first + 1, _below(lines, first, start[0].count(">"))),)


# --- reading one check-in ---------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Sound:
    """An entry that can be taken, with its values as they were written."""

    entry: CheckIn
    tree: Mapping[str, Tree]


@dataclass(frozen=True, slots=True)
class BlockRead:
    """What a block gave. Problems have their line in the text."""

    sound: tuple[Sound, ...]
    problems: tuple[Problem, ...]

    @property
    def errors(self) -> int:
        return sum(1 for p in self.problems if p.level == "error")


def read_block(block: Block, file: str) -> BlockRead:
    """The entries of a block: as they stand, or else with mends that change no value.

    A block with a part that stands apart gives none: what it tells would be half of it.
    """
    if block.apart:
        hint = "take the words between them out, or put them into said"
        wrong = "this stands apart from the check-in above it"
        return BlockRead((), tuple(Problem(Origin(file, n), wrong, hint, "checkin-apart")
                              for n in block.apart))  # fmt: skip
    first = _read(block.lines, file, block.line)
    curled = any(p.code == "curly-quotes" for p in first.problems)
    if not (first.errors or curled) or len(block.text) > MOST_MENDED:
        return first
    second = _read(mended_lines(block.lines), file, block.line)
    return second if second.errors < first.errors or not second.errors else first


# Entries may stand in any order, and strength work that was done tells little but its date.
_UNTOLD = frozenset({"log-order", "log-nothing"})


def _read(lines: NumberedLines, file: str, head: int) -> BlockRead:
    data = ("\n".join(text for _, text in lines) + "\n").encode("utf-8")
    whole, log = read_yaml(data, file), read_log(data, file)
    found = [p for p in log.problems if p.code not in _UNTOLD]
    trees = whole.tree if isinstance(whole.tree, list) else []
    if not trees and not found:
        origin = Origin(file, head)
        hint = "an entry begins with - on: and the date"
        found.append(Problem(origin, "nothing is told under this line", hint, "checkin-empty"))
    bad: set[int] = set(range(len(trees))) if whole.problems else set()
    starts = [whole.origins.values[(n,)][0] for n in range(len(trees))]
    bad |= {bisect_right(starts, p.origin.line) - 1 for p in found if p.level == "error"}
    sound = tuple(
        Sound(CheckIn.of_tree(tree), tree)
        for number, tree in enumerate(trees)
        if number not in bad and isinstance(tree, dict)
    )
    return BlockRead(sound, tuple(_in_text(p, lines, head) for p in found))


def _in_text(problem: Problem, lines: NumberedLines, head: int) -> Problem:
    at = problem.origin.line - 1
    number = lines[at][0] if at < len(lines) else head
    return problem._replace(origin=problem.origin._replace(line=number))


def mended_lines(lines: NumberedLines) -> NumberedLines:
    """The same entries with what mail programs and phones do to them undone.

    Indents, bullets, capitals of keys, odd spaces, unseen characters, dashes in dates, curly
    quotes round a text, and lines broken in the middle. No number and no word changes.
    """
    out: list[tuple[int, str, list[str]]] = []  # a value in pieces, as it may go on for long
    opened = ""
    for number, line in lines:
        text = _SPACES.sub(" ", _UNSEEN.sub("", line)).strip()
        key = _KEY_LINE.match(text)
        if opened:
            out[-1][2].append(text)
            opened = _opened(text, opened)
            continue
        if key:
            out.append((number, key["key"].lower(), [key["rest"].strip()]))
        elif text and _OTHER_KEY.match(text):
            name, _, value = text.partition(":")
            out.append((number, name, [value.strip()]))
        elif text and out:
            out[-1][2].append(text)
        elif text:
            out.append((number, "", [text]))
        opened = _still_open(out[-1][2]) if out and text else opened
    return tuple((number, _line(key, " ".join(value))) for number, key, value in out)


def _still_open(pieces: Sequence[str]) -> str:
    """The quote or bracket with which a value in pieces began, where its last piece leaves it."""
    first, last = pieces[0], pieces[-1]
    if len(pieces) == 1:
        return _opened(first)
    return _opened(last, first[:1]) if first[:1] in (*_OPENS_WITH, "{", "[") else ""


def _line(key: str, value: str) -> str:
    if not key:
        return value
    if key == "on":
        return f"- on: {re.sub(f'[{_DASHES}]', '-', value)}"
    return f"  {key}: {_straight(value)}"


def _straight(value: str) -> str:
    """Straight quotes round a text, where a phone has curled them."""
    if value[:1] in ("{", "["):
        return re.sub("[“„”]([^“„”]*)[“”]", r'"\1"', value)
    if len(value) > 1 and value[0] in _OPENS_WITH and value[-1] in _OPENS_WITH:
        inner = re.sub(r"\\[“”„]", r"\\" + '"', value[1:-1])
        inner = re.sub(r'(?<!\\)"', r"\\" + '"', inner)
        return f'"{inner}"'
    return value
