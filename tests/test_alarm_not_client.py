"""`answer --not-client`: a forger's stops end, and for 14 days no other of theirs begins."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from sitegen.cli import main

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


@pytest.mark.parametrize("signed", ["", ", signed: yes"])
def test_it_mutes_nothing_signed_or_of_the_coach(clients: Path, signed: str) -> None:
    log(clients, FORGED)
    not_hers(clients)
    log(clients, f"- {{on: 2027-02-15, signs: [limp]{signed}}}\n")

    assert status(clients, "2027-02-15") == "referred"
    words = ("answer", "nia", "2", "--because", "not hers", "--not-client")
    told = run(clients, *words, status=1)
    assert "is not from a check-in without a signature" in told.stderr


def test_an_answer_without_it_lifts_nothing(clients: Path) -> None:
    log(clients, FORGED)
    run(clients, "answer", "nia", "1", "--because", "spoke with her")

    assert status(clients, "2027-02-15") == "referred"
