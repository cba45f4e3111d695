"""A log that a person keeps: what stands in it stays byte for byte, what is new goes below it."""

from __future__ import annotations

import json
import shutil
import subprocess
import textwrap
import time
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sitegen.checkins.letters import Letter, blocks, letter_of, read_block
from sitegen.checkins.logfile import LOG_HEAD, add, facts, what_is_new
from sitegen.checkins.posting import sift
from sitegen.model.checkin import CheckIn
from sitegen.model.problem import Problem
from sitegen.practice.records import read_log
from sitegen.practice.yaml_text import MAX_BYTES, read_yaml

ENTRY = {"on": "2027-02-09", "ran": "31 min", "pain": {"during": "1"}}
LINES = "- on: 2027-02-09\n  ran: 31 min\n  pain: {during: 1}\n"


def entry(**told: object) -> CheckIn:
    return CheckIn.of_tree({"on": "2027-02-09", **told})


# --- below what is there ----------------------------------------------------------------------


def test_a_first_check_in_begins_a_log_with_one_comment() -> None:
    assert add(None, "mara.log.yaml", [ENTRY]) == LOG_HEAD + LINES
    assert LOG_HEAD.startswith("#") and LOG_HEAD.count("\n") == 1


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("", LINES),
        ("# mine\n", "# mine\n" + LINES),
        ("- on: 2027-02-01", "- on: 2027-02-01\n" + LINES),
        ("- on: 2027-02-01\n\n\n# later\n", "- on: 2027-02-01\n\n\n# later\n" + LINES),
        ("---\n- {on: 2027-02-01}   # odd\n", "---\n- {on: 2027-02-01}   # odd\n" + LINES),
        ("\ufeff- on: 2027-02-01\n", "\ufeff- on: 2027-02-01\n" + LINES),
        ("- on: 2027-02-01\r\n", "- on: 2027-02-01\r\n" + LINES.replace("\n", "\r\n")),
        (
            "  - on: 2027-02-01\n    said: |\n      Mud.\n",
            "  - on: 2027-02-01\n    said: |\n      Mud.\n" + textwrap.indent(LINES, "  "),
        ),
        ("# none yet\n[]\n", "# none yet\n\n" + LINES),
    ],
)  # fmt: skip
def test_the_old_part_stays_as_it_was(old: str, new: str) -> None:
    assert add(old, "mara.log.yaml", [ENTRY]) == new


@pytest.mark.parametrize(
    "old",
    [
        "[{on: 2027-02-01, ran: 20 min}]\n",
        "- on: 2027-02-01\n...\n",
        "on: 2027-02-01\n",
        "- on: 2027-02-01\n\tran: 20 min\n",
        '- said: "open\n',
    ],
)
def test_where_nothing_can_go_below_that_is_said(old: str) -> None:
    told = add(old, "mara.log.yaml", [ENTRY])

    assert isinstance(told, Problem)
    assert told.origin.file == "mara.log.yaml" and told.hint


def test_a_log_never_grows_over_what_the_reader_takes() -> None:
    old = "# " + "x" * (MAX_BYTES - 20) + "\n"

    told = add(old, "mara.log.yaml", [ENTRY])

    assert isinstance(told, Problem) and told.code == "log-full"


WORDS = st.text(
    st.one_of(
        st.sampled_from(list("\n\n:#'\"{}[]-,&*!|>%@`\\ \t.?éß\u00a0“”\u2028\x85\u200b😬")),
        st.characters(exclude_categories=("Cs", "Cc"), exclude_characters="\ufeff\ufffe\uffff"),
    ),
    max_size=60,
).map(str.strip)


@settings(max_examples=300, deadline=None)
@given(said=WORDS, site=WORDS.map(lambda w: " ".join(w.split())), old=st.sampled_from(
    [None, "# mine\n- on: 2027-02-01\n", "   - {on: 2027-02-01}\r\n"]))  # fmt: skip
def test_any_words_come_back_as_they_were(said: str, site: str, old: str | None) -> None:
    """The reader takes back the same text; the old part is the beginning of the new."""
    tree = {"on": "2027-02-09", "said": said or "x", "pain": {"during": "2", "site": site or "x"}}

    text = add(old, "mara.log.yaml", [tree, ENTRY])

    assert isinstance(text, str)
    assert text.startswith(old or LOG_HEAD)
    read = read_yaml(text.encode(), "mara.log.yaml")
    assert read.problems == ()
    assert isinstance(read.tree, list) and read.tree[-2:] == [tree, ENTRY]


# --- what is new ------------------------------------------------------------------------------


def new(told: dict[str, object], *logged: CheckIn) -> dict[str, object] | None:
    tree = {"on": "2027-02-09", **told}
    found = what_is_new(CheckIn.of_tree(tree), tree, logged)  # type: ignore[arg-type]
    return None if found is None else {k: v for k, v in found.tree.items() if k != "on"}


RAN = {"ran": "31 min", "pain": {"during": "1", "after": "0"}}


def test_the_same_entry_is_taken_once() -> None:
    assert new(RAN, entry(**RAN)) is None
    assert new({"ran": "31 min"}, entry(**RAN)) is None, "less than the log has"
    assert new({"ran": "1860 s"}, entry(**RAN)) is None, "the same length, written otherwise"


def test_a_next_morning_is_new_once() -> None:
    morning = {"pain": {"next_morning": "2"}}

    assert new(morning, entry(**RAN)) == morning
    assert new(morning, entry(**RAN), entry(**morning)) is None
    assert new({"pain": {"next_morning": "3"}}, entry(**RAN), entry(**morning)) is not None


def test_a_session_sent_again_with_more_gives_only_what_it_adds() -> None:
    """Written whole it would count as a second run of that day."""
    more = {**RAN, "pain": {**RAN["pain"], "next_morning": "2"}, "signs": ["limp"], "said": "Odd."}

    assert new(more, entry(**RAN)) == {
        "pain": {"next_morning": "2"}, "signs": ["limp"], "said": "Odd.",
    }  # fmt: skip


def test_another_length_on_the_same_day_is_a_second_session() -> None:
    tree = {"on": "2027-02-09", "ran": "12 min"}
    found = what_is_new(CheckIn.of_tree(tree), tree, [entry(**RAN)])

    assert found is not None and found.second and found.tree == tree


def test_strength_work_is_no_part_of_that_days_run() -> None:
    assert new({"effort": "3"}, entry(ran="31 min", effort="3")) == {"effort": "3"}
    assert new({"effort": "3"}, entry(effort="3")) is None
    assert new({}, entry(ran="31 min")) == {}
    assert new({}, entry()) is None


def test_words_are_the_same_with_curly_quotes_and_other_line_breaks() -> None:
    logged = entry(ran="31 min", said='She said "run",\nso I ran.')

    assert new({"ran": "31 min", "said": "She said “run”, so I ran."}, logged) is None


def test_a_fact_is_kept_apart_from_every_other() -> None:
    told = facts(entry(ran="31 min", pain={"after": "0", "site": "shin"}, signs=["limp"]))

    assert set(told) == {("ran",), ("pain", "after"), ("pain", "site"), ("signs", "limp")}


# --- from the portal's own script, and back ---------------------------------------------------

NODE = shutil.which("node")


@pytest.mark.skipif(NODE is None, reason="Node runs the portal's script")
def test_five_hundred_nasty_check_ins_go_into_one_log_and_are_there_again() -> None:
    """All in one text, as the portal's script writes them; then the whole text once more."""
    script = Path(__file__).parent / "js" / "checkins.js"
    run = subprocess.run(
        [str(NODE), str(script), "500", "7"], capture_output=True, text=True, check=True
    )
    made = [one["text"] for one in json.loads(run.stdout)]
    letter = Letter("all.txt", "\n".join(made))

    found = [read_block(block, letter.name) for block in blocks(letter)]
    sound = [s for read in found for s in read.sound]
    assert [p for read in found for p in read.problems if p.level == "error"] == []
    assert len(sound) == 500

    taken, again = sift(sound, ())
    text = add(None, "mara.log.yaml", [t.new.tree for t in taken])
    assert isinstance(text, str) and len(taken) > 450
    log = read_log(text.encode(), "mara.log.yaml")
    assert [p for p in log.problems if p.level == "error"] == []
    assert log.value == tuple(t.entry for t in taken)
    assert again == 500 - len(taken)
    assert sift(sound, log.value)[0] == ()


# --- encodings --------------------------------------------------------------------------------

SENT = 'Check-in PWFU-YQPY\n- on: 2027-02-09\n  ran: 31 min\n  said: "à la plage"\n'


@pytest.mark.parametrize(
    "data",
    [
        SENT.encode(),
        SENT.encode("utf-8-sig"),
        SENT.encode("utf-16"),
        SENT.encode("cp1252"),
        SENT.replace("\n", "\r\n").encode(),
        SENT.replace("\n", "\r").encode(),
    ],
    ids=["utf-8", "with a mark", "utf-16", "cp1252", "crlf", "cr"],
)
def test_a_file_in_any_encoding_is_read(data: bytes) -> None:
    (block,) = blocks(letter_of("mara.txt", data))
    (sound,) = read_block(block, "mara.txt").sound

    assert sound.entry == entry(ran="31 min", said="à la plage")


@settings(max_examples=200, deadline=None)
@given(st.data())
def test_no_damage_on_the_way_ends_in_anything_but_an_entry_or_a_reason(
    data: st.DataObject,
) -> None:
    """One change anywhere, or a cut: each block gives its entry, or a problem with its place."""
    at = data.draw(st.integers(0, len(SENT) - 1))
    put = data.draw(
        st.sampled_from(["", "\n", " ", '"', "“", ":", "-", "{", "\t", "#", "\u00a0", ">"])
    )
    keep = data.draw(st.sampled_from([1, 0, len(SENT)]))
    text = SENT[:at] + put + SENT[at + keep :]

    for block in blocks(letter_of("mara.txt", text.encode())):
        read = read_block(block, "mara.txt")
        assert read.sound or read.problems
        assert all(1 <= p.origin.line <= text.count("\n") + 2 for p in read.problems)


@pytest.mark.parametrize(
    "text",
    [
        " " * 300_000 + "x",
        "Check-in PWFU-YQPY\n" + " " * 300_000 + "x",
        'Check-in PWFU-YQPY\n- on: 2027-02-09\n  said: "' + "word\n" * 60_000,
        "Check-in PWFU-YQPY\n" * 20_000,
        "> " * 100_000,
        "Check-in PWFU-YQPY\n- on: 2027-02-09\n  said: " + "\\" * 200_000,
    ],
    ids=["blanks", "blanks below", "never closed", "heads", "quoted", "backslashes"],
)
def test_no_text_takes_more_than_a_few_seconds(text: str) -> None:
    """A mail is anybody's; a crafted one may not hold the coach up. Measured well under 1 s of
    the processor's time, which how busy the machine is does not change."""
    started = time.process_time()
    for block in blocks(letter_of("mail.txt", text.encode())):
        read_block(block, "mail.txt")

    assert time.process_time() - started < 10


def test_an_id_that_the_log_lacks_is_added_once_though_all_else_is_there() -> None:
    """The device that sent it waits until a build lists it."""
    again = {**RAN, "id": "bcdfghjkmn"}

    assert new(again, entry(**RAN)) == {"id": "bcdfghjkmn"}
    assert new(again, entry(**RAN), entry(id="bcdfghjkmn")) is None
    assert new(again) == again
