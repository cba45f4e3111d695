"""What a listening check heard, from the page's own line to the log, Cadence and the coach's page;
and that no plan moves by it."""

from __future__ import annotations

import json
import re
import subprocess
from pathlib import Path
from typing import Any

import pytest

from desk_served import Visitor, lay_practice, served
from hearing import NODE
from portal_builder import LOG, make_case, make_plan, make_renderer
from receive_case_files import CODES, TODAY
from sitegen.checkins.words import entry_words
from sitegen.coach.panels import panels
from sitegen.model.checkin import CheckIn
from sitegen.plan.fold import expand
from sitegen.practice.records import read_log
from sitegen.rules.log import sessions
from support import case_of
from test_checkin_signed import KEY, LINK, by_page, needs_node, signed, sound_of, to_base64url
from test_receive import MARA, clients, sent, tree  # noqa: F401

HERE = Path(__file__).parent
HEARD: list[dict[str, Any]] = [
    {"part": "usual", "spm": 164, "steps": 158, "snr_db": 14.3, "place": "in my hand"},
    {"part": "quieter", "spm": 166, "steps": 160, "difference_db": -4.1, "snr_db": 12.2},
    {"part": "beat", "spm": 172, "steps": 109, "difference_db": 0, "snr_db": 13},
    {"part": "usual_again", "spm": 166, "steps": 159, "difference_db": 0.4, "snr_db": 14},
]
TREE = [{k: f"{v} spm" if k == "spm" else str(v) for k, v in one.items()} for one in HEARD]


@pytest.fixture(scope="module")
def line() -> str:
    """The page's own line of the log."""
    if NODE is None:
        pytest.skip("Node runs the page's script")
    script = (
        "require(process.argv[1]).load('beat/check.js');"
        "console.log(globalThis.portalParts.check.logText(JSON.parse(process.argv[2])))"
    )
    run = subprocess.run(
        [str(NODE), "-e", script, str(HERE / "js" / "load.js"), json.dumps(HEARD)],
        capture_output=True, text=True, check=True, timeout=60,
    )  # fmt: skip
    return run.stdout.strip()


def test_the_pages_line_is_taken_into_the_log_and_told(clients: Path, line: str) -> None:  # noqa: F811
    told = "\n".join(
        (f"Check-in {CODES['mara']}", "- on: 2027-02-09", "  ran: 31 min", f"  heard: {line}", "")
    )
    taken = sent(told)
    read = read_log((clients / "mara.log.yaml").read_bytes(), "mara.log.yaml")

    assert "\n".join(map(str, taken.lines)).count("heard: usual 164 spm; quieter 166 spm") == 1
    assert read.problems == () and read.value is not None
    assert [one.spm and one.spm.spm for one in read.value[-1].heard] == [164, 166, 172, 166]
    assert read.value[-1].heard[1].difference_db == -4.1

    before = tree(clients)
    sent(told)
    assert tree(clients) == before  # the same once more is known


def test_numbers_that_come_with_the_same_run_later_are_added(clients: Path, line: str) -> None:  # noqa: F811
    first = f"Check-in {CODES['mara']}\n- on: 2027-02-09\n  ran: 31 min\n"
    sent(first)
    sent(f"{first}  heard: {line}\n")
    read = read_log((clients / "mara.log.yaml").read_bytes(), "mara.log.yaml")

    assert read.value is not None and read.problems == ()
    runs = [one for one in read.value if one.on.day == 9 and one.ran]
    assert len(runs) == 1
    assert sum(len(one.heard) for one in read.value) == 4


@needs_node
def test_a_signed_line_is_known_and_a_changed_number_is_seen(line: str) -> None:
    entry = {"on": "2027-02-09", "ran": 31, "heard": line, "id": "kqvbnrtwzd"}
    (text,) = by_page({"key": to_base64url(KEY), "entries": [entry]})["texts"]

    assert signed(LINK, sound_of(text).tree) == "yes"
    wrapped = text.replace("}, {", "},\n{")
    assert wrapped != text and signed(LINK, sound_of(wrapped).tree) == "yes"
    for old, new in (("-4.1", "-4.2"), ("steps: 158", "steps: 157"), ("166 spm", "165 spm")):
        assert signed(LINK, sound_of(text.replace(old, new, 1)).tree) == "changed"


def test_a_plan_has_the_same_bytes_with_and_without_it() -> None:
    """Whatever was heard, also on a day with pain: no rule reads it."""
    days: list[dict[str, Any]] = [
        {"on": "2027-01-19", "ran": "26 min", "cadence": "158 spm"},
        {"on": "2027-01-21", "ran": "26 min", "pain": {"during": "3", "after": "4"}},
        {"on": "2027-01-26", "ran": "28 min"},
    ]
    silent = expand(case_of(MARA, days), TODAY)
    loud = [
        {**day, "heard": [{**TREE[1], "spm": "230 spm", "difference_db": "30"}]} for day in days
    ]
    alone = [{"on": f"2027-{on}", "heard": TREE} for on in ("01-19", "01-28", "02-09", "02-10")]
    for heard in ([{**day, "heard": TREE} for day in days], loud, *([*days, one] for one in alone)):
        assert repr(expand(case_of(MARA, heard), TODAY)) == repr(silent)


def test_a_slip_in_it_has_a_place_and_what_to_write_instead() -> None:
    head = "- on: 2027-02-09\n  ran: 31 min\n  heard:\n    - {part: usual, spm: 164 spm}\n"

    def told(line: str) -> list[str]:
        text = f"{head}    - {line}\n"
        return [str(one) for one in read_log(text.encode(), "mara.log.yaml").problems]

    [twice] = told("{part: usual, spm: 190 spm}")
    [slow] = told("{part: beat, spm: 90 spm}")
    [unknown] = told("{part: loudest}")
    assert twice.startswith("mara.log.yaml:5:14: error") and "keep one of them" in twice
    assert slow.startswith("mara.log.yaml:5:25: error") and "between 100 and 240" in slow
    assert unknown.startswith("mara.log.yaml:5:14: error") and "write usual, quieter" in unknown


# --- drawn ----------------------------------------------------------------------------------------

WITH_HEARD: list[dict[str, Any]] = [*LOG[:-1], {**LOG[-1], "heard": TREE}]


def page_of(log: list[dict[str, Any]]) -> str:
    return make_renderer().document(
        make_case(log), make_plan(), (), feed_url=None, code="K7", are_apart=True
    )


def test_under_cadence_stand_the_rates_and_the_differences_of_each_check() -> None:
    text = page_of(WITH_HEARD)
    [said] = text.split('id="cadence-heard"')[1:]

    assert 'aria-label="Thu 11 Feb: 165 steps a minute, heard by the phone"' in text
    assert text.count('<path class="heard"') == 3  # two drawings and the key
    told = " ".join(said.split("</section>")[0].split())
    assert "165 steps a minute as usual; 166 more quietly (−4.1 dB); 172 after the beat" in told
    assert "never two days" in told


def test_without_a_check_cadence_says_nothing_of_it() -> None:
    text = page_of(LOG)

    assert "cadence-heard" not in text and 'class="heard"' not in text


def test_the_coach_sees_a_lozenge_and_the_words() -> None:
    case, plan = make_case(WITH_HEARD), make_plan()
    drawn = {one.name: str(one.drawing) for one in panels(case, plan, sessions(case, plan.as_of))}

    assert drawn["rate"].count('class="heard"') == 1
    assert "heard by the phone: usual 164 spm; quieter 166 spm, 4.1 dB quieter" in drawn["rate"]
    assert entry_words(CheckIn.of_tree(WITH_HEARD[-1])).endswith(
        "heard: usual 164 spm; quieter 166 spm, 4.1 dB quieter; beat 172 spm, as loud; "
        "usual again 166 spm, 0.4 dB louder"
    )


def test_the_desk_shows_a_client_s_checks_newest_first(tmp_path: Path) -> None:
    """Step rate over the checks, the mean of both usual parts; and what differs within each."""
    practice = lay_practice(tmp_path)
    log = practice / "tomas.log.yaml"
    first = "- {on: 2027-03-09, heard: [{part: usual, spm: 160 spm}]}\n"
    line = "[" + ", ".join(json.dumps(one).replace('"', "") for one in TREE) + "]"
    log.write_text(f"{log.read_text()}{first}- {{on: 2027-03-17, heard: {line}}}\n")
    with served(practice) as desk:
        visitor = Visitor(desk)
        client, sheet = (visitor.get(f"/panel/{one}").text for one in ("client?id=tomas", "sheet"))
        ayla = visitor.get("/panel/client?id=ayla").text

    for text in (client, sheet):
        assert 'aria-label="step rate heard in the last checks: 160, 165 spm"' in text
    newest, before = (client.index(f"<li>{day}: usual") for day in ("Wed 17 Mar", "Tue 9 Mar"))
    assert newest < before
    assert "quieter 166 spm, 4.1 dB quieter; beat 172 spm, as loud" in client[newest:before]
    assert "never between two" in client
    assert "heard in the last checks" not in ayla and "What the phone heard" not in ayla


# --- what a message may do to it ------------------------------------------------------------------

HOSTILE = {
    "{part: usual, spm: 9999 spm}": '8:30: error: "9999 spm" is out of range',
    "{part: usual, spm: .nan}": '8:30: error: ".nan" is not a cadence',
    "{part: usual, spm: 164}": '8:30: error: "164" is not a cadence (write the unit too',
    f"{{part: usual, steps: {'9' * 5000}}}": "8:32: error: ",
    "{part: usual, steps: -1}": '8:32: error: "-1" is not a whole number',
    "{part: quieter, difference_db: -.inf}": '8:42: error: "-.inf" is not a number of decibels',
    "{part: quieter, difference_db: 1e999}": '8:42: error: "1e999" is not a number of decibels',
    "{part: quieter, difference_db: lots}": '8:42: error: "lots" is not a number of decibels',
    "{part: quieter, difference_db: 90}": "8:42: error: 90 dB louder than usual is no difference",
    "{part: usual, difference_db: 3}": "8:40: error: the usual part is what",
    "{part: usual, snr_db: -500}": '8:33: error: "-500" is out of range',
    f"{{part: usual, place: {'x' * 5000}}}": "8:32: error: this text has 5000 characters",
    "{spm: 164 spm}": '8:11: error: required "part" is missing',
    "{part: usual, lat: 38.7}": '8:25: error: unknown key "lat"',
    "[{part: usual}]": "8:11: error: a list stands where a map belongs",
    "{part: usual}, {part: usual}": "8:33: error: the part usual of this listening check",
    "{part: usual": "8:23: error: a comma is missing",
    "&a {part: usual}, *a": '9:11: error: "&a" names this part',
    '!!python/object/apply:os.system ["id"]': "9:11: error: ",
}


def test_what_no_check_could_have_heard_is_kept_aside_with_its_place(clients: Path) -> None:  # noqa: F811
    """One after the other; each with what to write instead, and the log stays as it was."""
    before = (clients / "mara.log.yaml").read_bytes()
    head = f"Check-in {CODES['mara']}\n- on: 2027-02-09\n  ran: 31 min\n  heard: "
    for given, says in HOSTILE.items():
        taken = sent(f"{head}[{given}]\n")
        place = re.sub(r"^.*?\.txt:", "", str(taken.problems[0]))

        assert taken.status == 1, given
        assert place.startswith(says) and "(" in place, given
    assert (clients / "mara.log.yaml").read_bytes() == before
