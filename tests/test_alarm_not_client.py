"""`answer --not-client`: a forger's stops end, and for 14 days no other of theirs begins."""

from __future__ import annotations

import json
import shutil
from datetime import date, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from sitegen.cli import main
from sitegen.practice.waits import alarm_number

ROOT = Path(__file__).resolve().parent.parent
FORGED = "- {on: 2027-02-14, signs: [chest_pain], signed: no}\n"


@pytest.fixture
def clients(tmp_path: Path) -> Path:
    folder = tmp_path / "clients"
    shutil.copytree(ROOT / "clients", folder)
    return folder


def run(clients: Path, *words: str, status: int = 0, day: str = "2027-02-15") -> Result:
    found = CliRunner().invoke(main, [*words, "--as-of", day, "--clients", str(clients)])
    assert found.exit_code == status, found.output
    return found


def log(clients: Path, line: str) -> None:
    path = clients / "nia.log.yaml"
    path.write_text(path.read_text("utf-8") + line, "utf-8")


def status(clients: Path, day: str) -> str:
    return str(json.loads(run(clients, "weeks", "nia", "--json", day=day).output)["status"])


def not_hers(clients: Path) -> str:
    words = ("answer", "nia", "1", "--because", "she wrote nothing", "--not-client")
    return run(clients, *words).output


def test_it_ends_the_stop_and_mutes_others_for_fourteen_days(clients: Path) -> None:
    log(clients, FORGED)
    listed = run(clients, "alarms", status=3).output
    assert "chest pain was told on 2027-02-14, in a check-in that is not signed" in listed
    assert status(clients, "2027-02-15") == "referred"

    assert "until 2027-03-01" in not_hers(clients)
    assert status(clients, "2027-02-15") == "active"
    log(clients, FORGED.replace("02-14", "03-01"))
    assert status(clients, "2027-03-01") == "active"
    assert run(clients, "alarms", day="2027-03-01").output == "no alarm is open\n"
    shown = run(clients, "alarms", "--all", day="2027-03-01").output
    assert "chest pain was told on 2027-03-01" in shown, "it is shown all the same"

    log(clients, FORGED.replace("02-14", "03-02"))
    assert status(clients, "2027-03-02") == "referred", "the fourteen days are over"


def test_a_run_meanwhile_was_not_run_through_a_stop(clients: Path) -> None:
    log(clients, FORGED.replace("02-14", "02-06"))
    log(clients, "- {on: 2027-02-14, ran: 20 min, signed: yes}\n")
    assert "while the plan was stopped" in run(clients, "alarms", status=3).output

    not_hers(clients)
    assert run(clients, "alarms").output == "no alarm is open\n"
    assert status(clients, "2027-02-15") == "active"


@pytest.mark.parametrize("also", ["ran: 120 min", "pain: {during: 4}", ""])
def test_what_a_forger_told_besides_is_to_be_taken_out(clients: Path, also: str) -> None:
    """A run of two hours that was nobody's would count as the longest of the month."""
    log(clients, FORGED.replace("signs:", f"{also}, signs:" if also else "signs:"))
    line = len((clients / "nia.log.yaml").read_text("utf-8").splitlines())
    place = f"what else it told still counts, take it out: {clients}/nia.log.yaml:{line}"

    assert (place in not_hers(clients)) is bool(also)


@pytest.mark.parametrize("signed", ["", ", signed: yes"])
def test_it_mutes_nothing_signed_or_of_the_coach(clients: Path, signed: str) -> None:
    log(clients, FORGED)
    not_hers(clients)
    log(clients, f"- {{on: 2027-02-15, signs: [limp]{signed}}}\n")

    assert status(clients, "2027-02-15") == "referred"
    words = ("answer", "nia", "2", "--because", "not hers", "--not-client")
    told = run(clients, *words, status=1)
    assert "is no sign from a check-in without a signature" in told.stderr


def test_an_answer_without_it_lifts_nothing(clients: Path) -> None:
    log(clients, FORGED)
    run(clients, "answer", "nia", "1", "--because", "spoke with her")

    assert status(clients, "2027-02-15") == "referred"


def flood(clients: Path, count: int) -> None:
    day = date(2027, 2, 14)
    for at in range(count):
        sign = ("chest_pain", "fainting", "limp")[at % 3]
        log(clients, f"- {{on: {day - timedelta(days=at // 60)}, signs: [{sign}], signed: no}}\n")


def test_a_flood_is_one_alarm_of_each_kind_and_a_signed_one_stands_alone(clients: Path) -> None:
    flood(clients, 60)
    log(clients, "- {on: 2027-02-15, signs: [dark_urine], signed: yes}\n")
    listed = run(clients, "alarms", status=3).output.splitlines()
    assert listed[:3] == [
        "NOW nia 1: chest pain, fainting: told on 2027-02-14, in 40 check-ins that nobody signed",
        "TODAY nia 3: limp: told on 2027-02-14, in 20 check-ins that nobody signed",
        "TODAY nia 61: dark urine was told on 2027-02-15",
    ]
    shown = run(clients, "alarms", "--all", status=3).output
    assert shown.count("  chest_pain 2027-02-14: chest pain was told on 2027-02-14") == 20


def test_answered_once_they_are_answered_and_what_comes_later_is_not(clients: Path) -> None:
    flood(clients, 180)
    told = run(clients, "answer", "nia", "1", "--because", "spoke with her").output
    assert "lifts: chest_pain 2027-02-12, seen_by" in told
    assert "chest_pain 2027-02-12 and fainting 2027-02-12 and chest_pain 2027-02-13" in told
    assert status(clients, "2027-02-15") == "referred", "an answer lifts nothing"
    listed = run(clients, "alarms", status=3).output.splitlines()
    (left,) = (line for line in listed if "nobody signed" in line)
    assert left.startswith("TODAY nia 3: limp: told from 2027-02-12 to 2027-02-14, in 60 check-ins")

    log(clients, "- {on: 2027-02-15, signs: [chest_pain], signed: no}\n")
    listed = run(clients, "alarms", status=3).output
    assert "NOW nia 182: chest pain was told on 2027-02-15, in a check-in that is" in listed


def test_a_flood_of_runs_through_a_stop_is_one_question(clients: Path) -> None:
    log(clients, "- {on: 2027-02-01, signs: [limp], signed: no}\n")
    for day in range(5, 15):
        log(clients, f"- {{on: 2027-02-{day:02}, ran: 20 min, signed: no}}\n")
    listed = run(clients, "alarms", status=3).output.splitlines()
    (forged,) = (line for line in listed if "nobody signed" in line)
    assert "a run was logged on 2027-02-05, while the plan was stopped; " in forged
    assert "more like it, up to 2027-02-14, in check-ins that nobody signed" in forged
    number = forged.split()[2].rstrip(":")
    run(clients, "answer", "nia", number, "--because", "spoke with her")
    assert "nobody signed" not in run(clients, "alarms", status=3).output


def test_lifted_one_by_one_the_rest_stands(clients: Path) -> None:
    flood(clients, 2)
    file = clients / "nia.yaml"
    lift = "  - {on: 2027-02-15, lifts: chest_pain 2027-02-14, seen_by: a physio, because: seen}\n"
    text = file.read_text("utf-8")
    changes = text if "\nchanges:\n" in text else text + "changes:\n"
    file.write_text(changes.replace("\nchanges:\n", f"\nchanges:\n{lift}"), "utf-8")

    listed = run(clients, "alarms", status=3).output
    assert "NOW nia 2: fainting was told on 2027-02-14" in listed
    assert status(clients, "2027-02-15") == "referred"


def test_files_aside_are_one_alarm_of_each_kind(clients: Path) -> None:
    folder = clients / ".aside"
    folder.mkdir()
    for at in range(30):
        words = "I had chest pain and fainted" if at % 3 else "hello"
        (folder / f"2027-02-14-{at:08x}.txt").write_text(f"# Kept aside\n\n{words} {at}\n")
    listed = run(clients, "alarms", status=3).output.splitlines()
    assert len(listed) == 3
    number = alarm_number("2027-02-14-00000001.txt")
    assert listed[0].startswith(f"NOW practice {number}: 20 messages wait in .aside, kept on")
    assert listed[1].startswith("ASK practice ")
    of_another = str(alarm_number("2027-02-14-00000008.txt"))
    run(clients, "answer", "practice", of_another, "--because", "read them all")
    (folder / "2027-02-15-00000099.txt").write_text("# Kept aside\n\nI had chest pain\n")
    again = run(clients, "alarms", status=3).output
    assert "2027-02-15-00000099.txt and tells of chest pain" in again
