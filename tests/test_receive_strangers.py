"""Strangers' mail: a message that no reader can open, or only in an hour, stops no other one."""

from __future__ import annotations

import base64
import re
import signal
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

import pytest

from commands import process
from receive_case_files import CODES, TODAY, practice
from sitegen.checkins.aside import read_aside
from sitegen.checkins.inbox import keep_unread
from sitegen.checkins.letters import (
    Letter,
    blocks,
    html_text,
    letter_of,
    mended_lines,
    without_tags,
)
from sitegen.checkins.limits import SECONDS, TooMuch, limited
from sitegen.checkins.receive import receive
from sitegen.checkins.said_lines import SaidLine

HEAD = b"From: stranger@example.org\nSubject: hello\nMIME-Version: 1.0\n"
HTML = HEAD + b"Content-Type: text/html\n\n"
MIXED = b"Content-Type: multipart/mixed; boundary=%b\n\n--%b\n"
SIGN = b"\nI had chest pain and fainted on the run.\n"
CHECK_IN = f"Check-in {CODES['mara']}\n- on: 2027-02-09\n  ran: 31 min\n".encode()


def nested(depth: int) -> bytes:
    mixed = b"".join(MIXED % (b"b%d" % n, b"b%d" % n) for n in range(depth))
    return HEAD + mixed + b"Content-Type: text/plain\n\n" + SIGN


READ = {  # each stopped `receive` once, and can be read
    "subject": b"From: stranger@example.org\nSubject: =?utf-8?b?a?=\n\n" + SIGN,
    "marked section": HTML + b"<p>hello<![foo[x]]>" + SIGN,
    "no charset": HEAD + b"Content-Type: text/plain; charset=undefined\n\n" + SIGN,
    "charset with NUL": HEAD + b'Content-Type: text/plain; charset="a\0b"\n\n' + SIGN,
    "a head that nothing ends": HTML + b"<head><title>x</title><style>p{}</style><p>" + SIGN,
    "a word of 1,800 letters": HEAD + b"\n" + b"1" * 1_800 + b" y" * 800 + SIGN,
    "spaces in pre": HTML + b"<pre>" + b" " * 60_000 + b"x</pre>" + SIGN,
}
UNREAD = {
    "1,500 parts in each other": nested(1500),
    "mails in each other": HEAD + b"Content-Type: message/rfc822\n\n" * 2000 + SIGN,
    "2,000 parts": HEAD + MIXED % (b"b", b"b")
    + b"Content-Type: message/rfc822\n\nSubject: x\n\nx\n--b\n" * 2000 + SIGN,
    "tags that never end": HTML + SIGN + b"<a " * 20_000,
    "comments that never end": HTML + SIGN + b"<!-- " * 40_000,
    "120,000 entries": b"Check-in ABCD-EFGH\n" + b"- on: 2027-02-09\n" * 120_000 + b"\n" + SIGN,
    "in base64": HEAD + b"Content-Type: message/rfc822\n\n" * 2000
    + base64.encodebytes(SIGN + b"and more words that fill a line of a mail. " * 3),
}  # fmt: skip


@pytest.fixture
def clients(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    practice(tmp_path)
    Path("mail").mkdir()
    Path("mail/z.txt").write_bytes(CHECK_IN)
    return Path("clients")


@pytest.mark.parametrize("name", [*READ, *UNREAD])
def test_one_message_stops_no_other_and_its_words_are_searched(clients: Path, name: str) -> None:
    Path("mail/a.eml").write_bytes({**READ, **UNREAD}[name])
    began = time.process_time()
    result = receive([Path("mail")], None, clients, TODAY)
    seconds = time.process_time() - began

    assert "mara: taken, not signed: Tuesday 9 February: ran 31 min" in result.lines
    assert any("URGENT" in line and "chest pain" in line for line in result.lines), result.lines
    assert [p.code for p in result.problems] == [
        "checkin-unread" if name in UNREAD else "checkin-none"
    ]
    assert result.problems[0].origin.file == "mail/a.eml"
    (kept,) = read_aside(clients, {}, ())
    assert "chest_pain" in kept.signs
    assert seconds < 4 * SECONDS


def test_what_opens_and_then_takes_too_long_is_told_and_kept_once() -> None:
    letter = Letter("mail/a.eml", "I had chest pain.")
    first = [SaidLine("URGENT: the words around a check-in speak of chest pain")]
    problems, loose = [], [(letter, ("chest_pain",))]
    keep_unread(letter, TooMuch("reading it takes over 1 s"), problems, first, loose)

    assert len(first) == 1
    ((kept, signs),) = loose
    assert kept.unread == "reading it takes over 1 s" and signs == ("chest_pain",)
    assert [p.code for p in problems] == ["checkin-unread"]

    worse = replace(letter, text="I had chest pain and fainted.")
    keep_unread(worse, TooMuch("reading it takes over 1 s"), problems, first, loose)
    assert len(first) == 2 and "fainting" in first[1].text
    assert [signs for _, signs in loose] == [("chest_pain", "fainting")]


def test_what_is_kept_says_why(clients: Path) -> None:
    Path("mail/a.eml").write_bytes(nested(1500).replace(SIGN, b"hello"))
    receive([Path("mail")], None, clients, TODAY)

    (kept,) = (clients / ".aside").iterdir()
    head = kept.read_text("utf-8").splitlines()[0]
    assert head == (
        "# Kept aside on 2027-02-10, from mail/a.eml: a message that can't be read: "
        "it has over 500 parts."
    )


def test_standard_input_is_read_in_any_bytes(clients: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "sitegen", "receive", "--as-of", "2027-02-10"],
        input=b"\xff\xfe" + CHECK_IN.decode().encode("utf-16-le"),
        capture_output=True, check=False,
        env={"PYTHONPATH": str(Path(__file__).parent.parent), "PYTHONUTF8": "1"},
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, b"")
    assert b"mara: taken" in done.stdout
    latin = CHECK_IN.replace(b"31 min", b"32 min\n  said: caf\xe9").replace(b"02-09", b"02-08")
    assert receive([], latin + b"\n\x81\x00\xff", clients, TODAY).status == 0
    assert "said: café" in (clients / "mara.log.yaml").read_text("utf-8")


def test_a_file_of_strangers_among_those_that_wait_stops_no_command(clients: Path) -> None:
    (clients / ".aside").mkdir()
    (clients / ".aside/a.eml").write_bytes(nested(1500))

    assert process("roster", "--as-of", "2027-02-10", cwd=Path.cwd()).returncode == 0
    assert "chest_pain" in read_aside(clients, {}, ())[0].signs


def test_time_is_up_within_one_regular_expression() -> None:
    with pytest.raises(TooMuch, match="reading it takes over"), limited(0.05):
        re.search(r"(a+)+b", "a" * 40)
    with limited(0.05):  # what comes after has its own time
        assert signal.getitimer(signal.ITIMER_PROF)[0] > 0
    assert signal.getitimer(signal.ITIMER_PROF)[0] == 0


@pytest.mark.parametrize("quotes", [4_000, 18_000])
def test_quotes_that_never_close_take_no_longer_than_they_are_long(quotes: int) -> None:
    text = CHECK_IN.decode() + '  said: "x\n' + '  "x\n' * quotes
    (block,) = blocks(letter_of("a.txt", text.encode()))
    began = time.process_time()
    mended_lines(block.lines)
    assert time.process_time() - began < SECONDS


def test_broken_html_gives_its_words() -> None:
    assert html_text("<p>Fell &amp; rose<![foo[x]]>") == without_tags(
        "<p>Fell &amp; rose<![foo[x]]>"
    )
    assert without_tags("<p>Fell &amp; rose<br>").split() == ["Fell", "&", "rose"]
