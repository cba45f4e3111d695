"""Whatever else is read, with a byte changed, put in, taken out, or cut: a value, or what is wrong.

By day some hundred inputs beside those of `test_reading_fuzz`, by night 4,000 of each kind.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable
from pathlib import Path

import pytest

from nightly import IS_NIGHTLY
from sitegen.checkins.letters import blocks, read_block
from sitegen.checkins.limits import opened_apart
from sitegen.feed.history import history_text, read_history
from sitegen.model.problem import Problem
from sitegen.practice.address import AddressError, is_branch, read_address, read_branch
from sitegen.practice.answers import read_answers
from sitegen.practice.texts import read_text
from sitegen.practice.told import read_told
from sitegen.practice.workouts import read_workout
from sitegen.seal.keys import Keys, ensure, keys_text
from sitegen.seal.keys_yaml import read_keys

INPUTS = 4_000 if IS_NIGHTLY else 60
LIBRARY = Path(__file__).parent.parent / "sitegen/library"


KEYS = ensure(Keys(), ("ada", "bo"), random.Random(1).randbytes)
TOLD = b"""\
- told: 2027-01-18
  weeks:
  - {week: 3, from: 2027-01-18, kind: build, cadence: 162 spm, steps: 17010, worth: 105.27 min, runs: 3}
  - {on: 2027-01-19, session: w03-run-1, kind: easy, at: "18:30", effort: 2-3, parts: "warm_up 5 min, run 31 min x 2 at 162 spm"}
"""  # noqa: E501
ANSWERS = b"""\
- alarm: chest_pain 2027-02-09
  on: 2027-02-10
  because: spoken to; went to the clinic
  seen_by: a physician
"""
MAIL = b"""\
From: a@example.org
Subject: =?utf-8?q?Check-in?=
MIME-Version: 1.0
Content-Type: multipart/alternative; boundary=b

--b
Content-Type: text/html; charset=utf-8
Content-Transfer-Encoding: quoted-printable

<p>Check-in ABCD-EFGH<br>- on: 2027-02-09<br>&nbsp; ran: 31 min<br>&nbsp; pain: {during: 2}</p>
--b--
"""
TARGETS = (
    "sftp://coach@host.example:2222/www/site",
    "git+ssh://git@host.example/me/site.git#pages",
    "webdav+https://host.example/%7Eme/site",
    "../public html",
    "~nobody-of-this-name/site",
)
HISTORY = "0123456789ab\n0 20270104T000000 0123456789ab=0123456789ab 1123456789ab=ba9876543210"


def changed(data: bytes, seed: int = 2027) -> Iterable[bytes]:
    draw = random.Random(seed)
    for _ in range(INPUTS):
        at, byte = draw.randrange(len(data)), bytes([draw.randrange(256)])
        way = draw.randrange(5)
        if way == 0:
            yield data[:at]
        else:
            yield data[:at] + (b"" if way == 1 else byte) + data[at + (way != 2) :]


def placed(problems: Iterable[Problem], file: str) -> bool:
    for problem in problems:
        assert problem.origin.file == file and problem.origin.line >= 0
        assert problem.message and problem.code
    return bool(tuple(problems))


def a_ledger(data: bytes) -> bool:
    return placed(read_told(data, "f").problems, "f")


def some_answers(data: bytes) -> bool:
    return placed(read_answers(data, "f")[1], "f")


def a_session(data: bytes) -> bool:
    found = read_workout("beat", data, "f", own=True)
    assert found.workout is not None or found.problems
    return placed(found.problems, "f")


def a_text(data: bytes) -> bool:
    found, problems = read_text("shoes", data, "f")
    assert found is not None or problems
    return placed(problems, "f")


def keys(data: bytes) -> bool:
    found = read_keys(data.decode("latin-1"), "f")
    return isinstance(found, tuple) and not hasattr(found, "links") and placed(found, "f")


def a_message(data: bytes) -> bool:
    letter = opened_apart("f", data, aside=False)
    assert letter.text is not None
    for block in blocks(letter):
        placed(read_block(block, "f").problems, "f")
    return bool(letter.unread)


def a_target(data: bytes) -> bool:
    text = data.decode("latin-1")
    try:
        read_branch(text) if is_branch(text) else read_address(text)
    except AddressError as error:
        assert str(error)
        return True
    return False


def a_history(data: bytes) -> bool:
    found = read_history(data.decode("latin-1"), "x")
    return read_history(history_text("x", found), "x") != found


KINDS: dict[str, tuple[Callable[[bytes], bool], tuple[bytes, ...]]] = {
    "ledger": (a_ledger, (TOLD,)),
    "answers": (some_answers, (ANSWERS,)),
    "session": (a_session, ((LIBRARY / "sessions/beat.yaml").read_bytes(),)),
    "text": (
        a_text,
        (b"---\ntitle: Shoes\n---\n# Shoes\n\nTwo [pairs](drill:bridge), *in turn*.\n",),
    ),
    "keys": (keys, (keys_text(KEYS).encode(),)),
    "message": (a_message, (MAIL,)),
    "target": (a_target, tuple(target.encode() for target in TARGETS)),
}


@pytest.mark.parametrize("kind", KINDS)
def test_whatever_is_read_is_a_value_or_what_is_wrong(
    kind: str, record_property: Callable[[str, object], None]
) -> None:
    read, samples = KINDS[kind]
    assert [read(data) for data in samples].count(True) == (kind == "target")  # the last of them
    outcomes = [read(data) for sample in samples for data in changed(sample)]

    record_property("trials", len(outcomes))
    assert len(outcomes) == INPUTS * len(samples)
    assert False in outcomes
    assert True in outcomes or kind == "message"


def test_a_history_that_was_changed_is_read_as_it_would_be_written(
    record_property: Callable[[str, object], None],
) -> None:
    record_property("trials", INPUTS)
    assert not any(map(a_history, changed(HISTORY.encode())))
