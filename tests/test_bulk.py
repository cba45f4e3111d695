"""A house rule changed for all: each client shown first, one entry written, and taken back."""

from __future__ import annotations

import json
import shutil
from datetime import date
from pathlib import Path

import pytest

from commands import sitegen
from sitegen.coach import bulk
from sitegen.practice.opening import list_practice

ROOT = Path(__file__).resolve().parent.parent
DAY = ("--as-of", "2027-02-14")


@pytest.fixture
def practice(tmp_path: Path) -> Path:
    shutil.copytree(ROOT / "clients", tmp_path / "clients")
    return tmp_path


def house_of(home: Path) -> str:
    return (home / "clients" / "practice.yaml").read_text()


def minutes(home: Path, id: str) -> list[float]:
    done = sitegen("weeks", id, "--json", *DAY, cwd=home)
    return [week["run_minutes"] for week in json.loads(done.stdout)["weeks"]]


def test_each_client_is_shown_with_what_then_comes(practice: Path) -> None:
    ids = sorted(p.stem for p in (practice / "clients").glob("*.yaml") if "." not in p.stem
                 and p.stem != "practice")  # fmt: skip
    before = {id: minutes(practice, id) for id in ids}
    old = house_of(practice)
    told = json.loads(sitegen("house", "volume: {growth: 5 %}", *DAY, "--json", "--yes",
                              cwd=practice).stdout)  # fmt: skip
    after = {id: minutes(practice, id) for id in ids}

    assert told["done"] and {"ayla", "bram"} <= {one["client"] for one in told["acts"]}
    for one in told["acts"]:
        for week in one["weeks"]:
            shown = [before[one["client"]][week["number"] - 1],
                     after[one["client"]][week["number"] - 1]]  # fmt: skip
            assert week["run_minutes"] == shown, (one["client"], week["number"])
    assert told["same"] and all(before[id] == after[id] for id in told["same"])
    assert house_of(practice) == f"{old}rules: {{volume: {{growth: 5 %}}}}\n"
    assert sitegen("undo", "--yes", cwd=practice).returncode == 0
    assert house_of(practice) == old


@pytest.mark.parametrize(("typed", "is_written"), [("y\n", True), ("\n", False), ("", False)])
def test_it_asks_after_all_were_shown(practice: Path, typed: str, is_written: bool) -> None:
    old = house_of(practice)
    done = sitegen("house", "volume: {growth: 5 %}", *DAY, cwd=practice, typed=typed)
    shown, _, _ = done.stdout.partition("Write it?")

    assert "line 24: rules.volume.growth: 5 %" in shown and "\nbram: weeks " in shown
    assert "no change for " in shown
    assert (house_of(practice) != old) is is_written
    assert done.returncode == (0 if is_written else 1)


def test_a_group_has_it_alone_and_a_clients_own_file_wins(practice: Path) -> None:
    for id in ("bram", "ayla"):
        path = practice / "clients" / f"{id}.yaml"
        path.write_text(f"{path.read_text()}group: coming-back\n")
    own = practice / "clients" / "ayla.yaml"
    own.write_text(own.read_text().replace("plan: {", "plan: {growth: 9 %, "))
    own.write_text(own.read_text().replace("\nplan:\n", "\nplan:\n  growth: 9 %\n"))
    done = sitegen("house", "plan: {growth: 4 %}", "--group", "coming-back", "--yes", *DAY,
                   cwd=practice)  # fmt: skip

    assert done.returncode == 0, done.stderr
    assert "    plan: {growth: 4 %}\n" in house_of(practice)
    assert "\nbram: " in done.stdout and "\nayla: " not in done.stdout


def test_who_can_t_be_read_is_named_and_holds_nobody_up(practice: Path) -> None:
    with (practice / "clients" / "nia.yaml").open("a") as file:
        file.write("nonsense: 1\n")
    done = sitegen("house", "volume: {growth: 5 %}", "--yes", *DAY, cwd=practice)

    assert done.returncode == 0
    assert "not known, for errors in their files: nia" in done.stdout


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("volum: {growth: 5 %}",), '"volum" is not a rule (did you mean volume?'),
        (("volume: {growth: 99 %}",), "practice.yaml:24:26: error: "),
        (("volume: {grow: 5 %}",), "did you mean growth"),
        (("growth",), '"growth" is no setting (write it like volume: {growth: 8 %})'),
        (("plan: {growth: 5 %}",), '"plan" is not a rule (did you mean age or volume?'),
        (("plan: {growth: 5 %}", "--group", "none"), 'there is no group "none" (there are: com'),
    ],
)
def test_what_can_t_be_is_told_and_nothing_is_written(
    practice: Path, words: tuple[str, ...], says: str
) -> None:
    old = house_of(practice)
    done = sitegen("house", *words, "--yes", *DAY, cwd=practice)

    assert done.returncode == 1 and says in done.stderr
    assert house_of(practice) == old


def test_a_file_changed_since_it_was_shown_is_left_alone(practice: Path) -> None:
    clients = practice / "clients"
    found = bulk.propose_house(list_practice(clients), ["volume: {growth: 5 %}"], None,
                               date(2027, 2, 14))  # fmt: skip
    assert isinstance(found, bulk.HouseProposal)
    (clients / "practice.yaml").write_text(house_of(practice) + "# mine\n")
    done = bulk.write_house(clients, found)

    assert done.ids == () and [one.name for one in done.differs] == ["practice.yaml"]
    assert house_of(practice).endswith("# mine\n")
