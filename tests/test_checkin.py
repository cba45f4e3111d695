"""A client's check-in as text, and back through the project's own reader."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import unicodedata
from pathlib import Path
from typing import Any

import pytest

from sitegen.model.checkin import CheckIn
from sitegen.practice.records import read_log

HERE = Path(__file__).parent
NODE = shutil.which("node")
pytestmark = pytest.mark.skipif(NODE is None, reason="Node runs the scripts' pure parts")


def node(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [str(NODE), *arguments], capture_output=True, text=True, timeout=120, check=False
    )


def check_ins(count: int, seed: int) -> list[dict[str, Any]]:
    run = node(str(HERE / "js" / "checkins.js"), str(count), str(seed))
    assert run.returncode == 0, run.stderr
    return json.loads(run.stdout)


def read_back(text: str) -> CheckIn:
    """The one entry of a message, as the coach's tool reads it; no problem is let pass."""
    first, _, log = text.partition("\n")
    assert first == "Check-in ABCD-EFGH"
    reading = read_log(log.encode(), "message")
    assert [p for p in reading.problems if p.level == "error"] == []
    assert reading.value is not None
    (entry,) = reading.value
    return entry


def told(entry: CheckIn) -> dict[str, Any]:
    """A check-in in the words of the script, with what was not told left out."""
    pain = {name: getattr(entry.pain, name) for name in entry.pain.written} if entry.pain else None
    values = {
        "on": entry.on.isoformat(),
        "ran": round(entry.ran.minutes) if entry.ran else None,
        "walked": round(entry.walked.minutes) if entry.walked else None,
        "metres": round(entry.distance.metres, 3) if entry.distance else None,
        "cadence": entry.cadence.spm if entry.cadence else None,
        "effort": entry.effort, "pain": pain, "landing": entry.landing,
        "signs": list(entry.signs) or None, "skipped": entry.skipped, "said": entry.said,
        "well_again": entry.well_again, "id": entry.id,
    }  # fmt: skip
    return {name: value for name, value in values.items() if value is not None}


def sent(entry: dict[str, Any]) -> dict[str, Any]:
    """The same of what the client filled in."""
    values = dict(entry)
    if distance := values.pop("distance", None):
        metres = float(distance["amount"]) * {"km": 1000, "mi": 1609.344}[distance["unit"]]
        values["metres"] = round(metres, 3)
    pain = values.get("pain", {})
    if not pain.get("site"):
        pain.pop("site", None)
    return values


def visible(text: str) -> str:
    """What ink a text leaves: no spaces, no control characters, halves of pairs as one sign."""
    whole = re.sub("[\ud800-\udfff]", "\ufffd", text)
    return "".join(
        c for c in whole
        if not c.isspace() and unicodedata.category(c) not in ("Cc",) and c != "\ufeff"
    )  # fmt: skip


def test_a_thousand_check_ins_come_back_as_they_were_sent():
    """Quotes, colons, line breaks, emoji, leading dashes, a bare no: nothing is lost or obeyed."""
    made = check_ins(1000, seed=20270210)

    assert len(made) == 1000
    for one in made:
        entry = read_back(one["text"])
        assert told(entry) == sent(one["entry"])
        assert visible(entry.said or "") == visible(one["typed"]["said"])
        site = entry.pain.site if entry.pain and entry.pain.site else ""
        assert visible(site) == visible(one["typed"]["site"])


def test_the_thousand_are_nasty_enough():
    """Most carry free text, and every kind of trouble is among them."""
    words = [one["typed"]["said"] for one in check_ins(1000, seed=20270210)]

    assert sum(bool(w) for w in words) > 500
    for trouble in ('"', "\\", ": ", "\n", "\r", "\u2028", "\x00", "\ufeff", "#", "- ", "🏃"):
        assert sum(trouble in w for w in words) >= 20, trouble
    assert any(w.startswith("-") for w in words)
    assert any(w.strip() == "no" for w in words)


def test_no_word_of_a_client_can_begin_a_line_of_the_message():
    """So nothing that is said can pass for another field, another entry or another code."""
    names = "ran|walked|distance|cadence|effort|pain|landing|signs|skipped|well_again|id|said"
    line = re.compile(rf"- on: |  ({names}): |$")
    for one in check_ins(200, seed=3):
        first, *rest = one["text"].split("\n")
        assert first == "Check-in ABCD-EFGH"
        assert all(line.match(text) for text in rest)
        assert sum(text.startswith("- ") for text in rest) == 1


def test_a_mail_program_that_breaks_long_lines_changes_no_word():
    """Many break at 76 characters; YAML joins such lines again inside the quotes."""
    said = " ".join(f"word{n}" for n in range(60))
    text = f'Check-in ABCD-EFGH\n- on: 2027-02-10\n  ran: 35 min\n  said: "{said}"\n'
    broken = "\n".join(
        piece.rstrip()
        for row in text.split("\n")
        for piece in re.findall(r".{1,75}(?: |$)|^$", row)
    )

    assert broken.count("\n") > text.count("\n") + 3
    assert read_back(broken).said == said
