"""Check-ins that nobody signed stop a plan at once, and never ease it without the coach's yes."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from receive_case_files import CODES, TODAY, practice
from sitegen.checkins.receive import Received, receive
from sitegen.checkins.signing import proof
from sitegen.practice.yaml_text import Tree, read_yaml
from sitegen.seal.keys_file import KEYS_FILE, load_keys
from sitegen.seal.sealing import checkin_key

CALM = """\
- {on: 2027-01-31, ran: 32 min}
- {on: 2027-02-02, ran: 28 min}
- {on: 2027-02-04, ran: 28 min}
"""
HELD = f"{CALM}- {{on: 2027-02-07, ran: 32 min, pain: {{during: 4, after: 4}}}}\n"
RUN = ("- on: 2027-02-09", "  ran: 20 min", "  pain: {during: 0, after: 0}", "  id: bcdfghjkmn")
LOG = Path("clients/mara.log.yaml")


@pytest.fixture(autouse=True)
def _clients(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    practice(tmp_path)
    LOG.write_text(HELD)


def unsigned(*lines: str) -> str:
    return "\n".join([f"Check-in {CODES['mara']}", *lines]) + "\n"


def signed(*lines: str) -> str:
    """As Mara's page would send it."""
    tree = read_yaml("\n".join(lines).encode(), "").tree
    keys, _ = load_keys(Path("clients") / KEYS_FILE)
    assert keys is not None and isinstance(tree, list)
    entry: Tree = tree[0]
    assert isinstance(entry, dict)
    link = keys.links["mara"]
    letters = proof(checkin_key(link.key, None, link.portal), entry)
    return unsigned(*lines, f"  signed: {letters}")


def sent(text: str, whose: str | None = None, day: date = TODAY) -> Received:
    return receive([], text, Path("clients"), day, whose)


def test_a_calm_run_that_nobody_signed_waits_while_the_plan_is_held() -> None:
    result = sent(unsigned(*RUN))

    (problem,) = result.problems
    assert (result.status, problem.code) == (1, "checkin-unsigned")
    assert problem.message == "this is not signed, and it would ease the plan of mara"
    assert "--for mara" in problem.hint
    assert LOG.read_text() == HELD, "nothing of it is in the log"


def test_the_same_is_taken_at_once_where_it_is_signed() -> None:
    result = sent(signed(*RUN))

    assert result.status == 0
    assert any(line.startswith("mara: taken, signed: Tuesday 9 February") for line in result.lines)
    assert "  signed: yes\n" in LOG.read_text()
    assert [one["signed"] for one in result.told["taken"]] == ["yes"]


def test_the_coach_may_say_yes() -> None:
    sent(unsigned(*RUN))
    (file,) = Path("clients/.aside").iterdir()
    result = receive([file], None, Path("clients"), TODAY, "mara")

    assert result.status == 0 and not list(Path("clients/.aside").iterdir())
    assert "  signed: no\n" in LOG.read_text()


def test_the_id_in_place_of_the_code_says_yes_too() -> None:
    sent(unsigned(*RUN))
    (file,) = Path("clients/.aside").iterdir()
    file.write_text(file.read_text().replace(CODES["mara"], "mara"))

    assert receive([file], None, Path("clients"), TODAY).status == 0
    assert "  signed: no\n" in LOG.read_text()


def test_one_that_was_changed_is_not_signed_and_says_what_that_means() -> None:
    result = sent(signed(*RUN).replace("20 min", "30 min"))

    assert [p.code for p in result.problems] == ["checkin-unsigned"]
    assert "changed since the page signed it" in result.problems[0].message
    LOG.write_text(CALM)
    told = sent(signed("- on: 2027-02-09", "  skipped: time").replace("time", "other"))
    assert "mara: taken, changed, so not signed: Tuesday 9 February: skipped, other" in told.lines
    assert any("ask before you rely on it" in line for line in told.lines)


def test_well_again_that_nobody_signed_ends_no_illness() -> None:
    LOG.write_text(f"{CALM}- {{on: 2027-02-07, skipped: ill, signs: [fever]}}\n")
    lines = ("- on: 2027-02-09", "  well_again: yes")

    assert [p.code for p in sent(unsigned(*lines)).problems] == ["checkin-unsigned"]
    assert sent(signed(*lines)).status == 0


def test_it_stops_a_plan_at_once_all_the_same() -> None:
    LOG.write_text(CALM)
    result = sent(unsigned("- on: 2027-02-09", "  ran: 20 min", "  signs: [chest_pain]"))

    assert result.lines[0].startswith("URGENT: mara: chest pain was told")
    assert "mara: the plan STOPS (referred); no session is planned" in result.lines
    assert "  signed: no\n" in LOG.read_text()


def test_one_that_eases_nothing_is_taken_as_ever() -> None:
    LOG.write_text(f"{CALM}- {{on: 2027-02-07, ran: 32 min}}\n")
    result = sent(unsigned("- on: 2027-02-09", "  ran: 31 min"))

    assert result.status == 0 and "mara: taken, not signed: Tuesday 9 February: ran 31 min" in (
        result.lines
    )


def test_a_replay_is_said_and_not_taken_again() -> None:
    """Also where the coach has changed the entry since."""
    text = signed(*RUN)
    sent(text)
    LOG.write_text(LOG.read_text().replace("{during: 0, after: 0}", "{during: 3, after: 4}"))
    before = LOG.read_bytes()
    result = sent(text)

    assert LOG.read_bytes() == before
    assert result.told["again"] == 1 and "1 there already" in result.lines[-1]


def test_a_forgery_under_a_known_id_keeps_nothing_from_the_true_one() -> None:
    """Whoever sees a message first, and sends another under its id."""
    sent(unsigned("- on: 2027-02-09", "  skipped: time", "  id: bcdfghjkmn"))
    result = sent(signed(*RUN))

    assert [one["signed"] for one in result.told["taken"]] == ["yes"]


def test_many_that_nobody_signed_wait_together() -> None:
    """A plan is not drawn for each of a flood."""
    days = [f"- on: 2027-01-{day:02}\n  ran: 20 min" for day in range(10, 30)]
    result = sent("".join(unsigned(day) for day in days))

    assert {p.code for p in result.problems} == {"checkin-unsigned"}
    assert LOG.read_text() == HELD
