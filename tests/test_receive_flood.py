"""A flood leaves the coach with one screen, on which each sign and each client is named."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from receive_case_files import CODES, TODAY, practice_with_mail
from sitegen.checkins.receive import Received, receive
from sitegen.checkins.said_lines import MOST_ALIKE, SaidLine, few, few_of_a_kind
from sitegen.checkins.words import sign_lines
from sitegen.model.checkin import CheckIn
from sitegen.practice.records import read_log
from support import case_of

MANY = 5 * MOST_ALIKE
SIGNS = ("chest_pain", "fainting", "limp", "dark_urine")
KINDS = {
    "with her code": f"Check-in {CODES['mara']}\n- on: DAY\n  signs: [SIGN]\n  said: number N\n",
    "with a slip": f"Check-in {CODES['mara']}\n- on: DAY\n  signs: [SIGN]\n  ran: N bananas\n",
    "with a code of nobody": "Check-in ABCD-EFGH\n- on: DAY\n  signs: [SIGN]\n  said: number N\n",
    "with words alone": "I had chest pain and fainted, my calf is hot and swollen, on run N\n",
}


@pytest.fixture
def clients(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    return practice_with_mail(tmp_path, monkeypatch)


def flood(clients: Path, kind: str, many: int = MANY) -> Received:
    for at in range(many):
        day = TODAY - timedelta(days=1 + at % 20)
        text = KINDS[kind].replace("DAY", str(day)).replace("SIGN", SIGNS[at % len(SIGNS)])
        Path(f"mail/{at:03}.eml").write_text(text.replace("N ", f"{at} ").replace("N\n", f"{at}\n"))
    return receive([Path("mail")], None, clients, TODAY)


@pytest.mark.parametrize("kind", KINDS)
def test_many_are_told_in_few_lines_that_name_each_sign(clients: Path, kind: str) -> None:
    told = flood(clients, kind)

    assert len(told.lines) <= 2 * MOST_ALIKE + 6
    loud = " ".join(told.lines)
    assert "URGENT" in loud and "chest pain" in loud and "fainting" in loud
    assert len([*few_of_a_kind(told.problems)]) <= MOST_ALIKE + 1
    assert len(told.told["urgent"]) >= MANY, "--json has each"


def test_what_is_signed_is_said_by_itself_in_a_flood() -> None:
    day = TODAY - timedelta(days=1)
    forged = [CheckIn.of_tree({"on": f"2027-01-{at:02}", "signs": ["limp"], "signed": "no"})
              for at in range(1, MOST_ALIKE + 2)]  # fmt: skip
    true = CheckIn.of_tree({"on": str(day), "signs": ["limp"], "signed": "yes"})
    mara = Path(__file__).with_name("cases") / "receive/clients/mara.yaml"
    lines = sign_lines(case_of(mara.read_text("utf-8"), "[]"), [*forged, true], TODAY)
    assert [*few(lines)] == [
        f"TODAY: runner: limp: told {MOST_ALIKE + 1} times; they stand in runner.log.yaml",
        "TODAY: runner: limp was told on Tuesday 9 February",
    ]


def test_few_are_told_one_by_one(clients: Path) -> None:
    lines = flood(clients, "with a code of nobody", 3).lines
    assert [line.partition(":")[0] for line in lines[:-1]] == ["URGENT", "URGENT", "TODAY"]


def test_what_is_put_into_the_log_of_one_kept_aside_counts_as_not_signed(clients: Path) -> None:
    """Else each would open an alarm of its own, which no `--not-client` ends."""
    flood(clients, "with a slip", 4)
    entries = read_log((clients / "mara.log.yaml").read_bytes(), "").value
    assert entries is not None
    salvaged = [entry for entry in entries if (entry.said or "").startswith("Not read whole")]
    assert [entry.signed for entry in salvaged] == ["no"] * 4


def test_a_sound_entry_beside_one_with_a_slip_stands_in_the_log_once(clients: Path) -> None:
    text = KINDS["with her code"].replace("DAY", "2027-02-08").replace("SIGN", "limp")
    receive([], f"{text}- on: 2027-02-09\n  ran: 3 bananas\n", clients, TODAY)
    assert (clients / "mara.log.yaml").read_text("utf-8").count("limp") == 1


def test_alike_lines_become_one_with_their_number_and_signs() -> None:
    lines = [SaidLine(f"{at}", "COUNT of SIGNS", (SIGNS[at % 2],)) for at in range(MOST_ALIKE + 1)]
    assert [*few([SaidLine("a"), *lines, SaidLine("b")])] == [
        "a", f"{MOST_ALIKE + 1} of chest pain, fainting", "b",
    ]  # fmt: skip
    assert [*few(lines[1:])] == [line.text for line in lines[1:]]
    assert [*few([SaidLine("a"), SaidLine("a")], once=True)] == ["a"]
