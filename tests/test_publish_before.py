"""Back: after a publish the state before goes out again, but for what must not come back."""

from __future__ import annotations

import json
import shutil
import stat
from datetime import timedelta
from pathlib import Path

import pytest

from sitegen.seal.keys import with_passphrase
from sitegen.seal.keys_file import load_keys, update_keys
from sitegen.site.notes import SEEN_STATES, Notes
from sitegen.world import draw_bytes
from test_ledger_files import CLIENT, PRACTICE, Coach

AWAY = 'changes: [{on: 2027-01-07, rest: yes, because: "You travel."}]\n'


@pytest.fixture
def coach(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Coach:
    """Ada, Bo and Cy were published on Monday; on Tuesday each had a day of rest put in."""
    found = Coach(tmp_path / "home", monkeypatch)
    found.write("practice.yaml", f"{PRACTICE}targets:\n  host: ./host\n")
    for id, name in (("bo", "Bo Lind"), ("cy", "Cy Moor")):
        found.write(f"{id}.yaml", CLIENT.replace("Ada Holm", name))
    out(found)
    found.day += timedelta(days=1)
    for id in ("ada", "bo", "cy"):
        found.write(f"{id}.yaml", found.read(f"{id}.yaml") + AWAY)
    return found


def out(coach: Coach, *words: str) -> str:
    coach.run("build")
    return coach.run("publish", *words)


def host(coach: Coach) -> dict[str, bytes]:
    top = coach.home / "host"
    return {p.relative_to(top).as_posix(): p.read_bytes() for p in top.rglob("*") if p.is_file()}


def pages(coach: Coach) -> dict[str, bytes]:
    keys, _ = load_keys(coach.clients / ".keys.yaml")
    assert keys is not None
    return {id: host(coach)[f"{link.portal}/index.html"] for id, link in keys.links.items()}


def test_every_page_is_as_it_was_and_the_next_publish_brings_the_newer_one(coach: Coach) -> None:
    first = pages(coach)
    out(coach)
    second = pages(coach)
    done = coach.run("publish", "--before")

    assert all(first[id] != second[id] for id in first) and pages(coach) == first
    assert "  the page of before: ada, bo, cy" in done
    assert "A phone that has shown the newer page says that this one is older." in done
    assert "What was withdrawn, erased, renewed or locked since stays so" in done
    coach.run("publish")
    assert pages(coach) == second


def test_twice_is_there_and_back(coach: Coach) -> None:
    out(coach)
    second = pages(coach)
    coach.run("publish", "--before")
    coach.run("publish")  # what was built, which is the second again
    assert pages(coach) == second
    coach.run("publish", "--before")
    coach.run("publish", "--before")
    assert pages(coach) == second


def test_after_a_publish_that_was_cut_off_at_its_end_the_state_before_is_the_same(
    coach: Coach,
) -> None:
    """All is on the host then, and the next run has nothing to send."""
    kept, states = coach.clients / SEEN_STATES, coach.home / ".sitegen-cache"
    shown = kept.read_bytes()
    shutil.copytree(states, coach.home / "states")
    out(coach)
    second = pages(coach)
    shutil.rmtree(states)  # as if it had been killed before it kept anything
    (coach.home / "states").rename(states)

    for _ in range(2):
        kept.write_bytes(shown)  # in the second round between the files and what they show
        assert "0 files sent" in coach.run("publish")
        coach.run("publish")
        with Notes(coach.clients, SEEN_STATES, f"before {coach.home}/host") as before:
            assert "on: 2027-01-07" in before.get("ada") and before.ids() == ["ada", "bo", "cy"]
    [top] = states.glob("published-*")
    shutil.rmtree(top / "before")
    (top / "last").rename(top / "before")  # between two folders that change their names
    coach.run("publish")
    coach.run("publish", "--before")
    assert pages(coach) == second


def test_what_clients_see_again_is_what_they_were_told(coach: Coach) -> None:
    out(coach)
    assert "on: 2027-01-07" not in coach.read("ada.told.yaml").rpartition("- told:")[2]
    coach.run("publish", "--before")
    last = coach.read("ada.told.yaml").rpartition("- told:")[2]

    assert last.startswith(" 2027-01-05") and "on: 2027-01-07" in last
    coach.day += timedelta(days=3)
    stood = json.loads(coach.run("weeks", "ada", "--json"))["weeks"][0]["sessions"]
    assert "2027-01-07" in [s["on"] for s in stood if s["told"]], (
        "the day over stays as it was seen"
    )


def test_a_stop_a_renewed_link_and_a_newcomer_stay(coach: Coach) -> None:
    coach.write("bo.log.yaml", "- {on: 2027-01-05, signs: [chest_pain]}\n")
    keys, _ = load_keys(coach.clients / ".keys.yaml")
    assert keys is not None
    old = keys.links["cy"]
    coach.run("link", "cy", "--renew")
    coach.write("di.yaml", CLIENT.replace("Ada Holm", "Di Vale"))
    first = host(coach)
    out(coach)
    second = pages(coach)
    done = coach.run("publish", "--before")
    third = pages(coach)

    assert third["ada"] != second["ada"] and third["ada"] in first.values()
    for id in ("bo", "cy", "di"):
        assert third[id] == second[id]
    assert "  the page of before: ada" in done and "an alarm is open" in done
    assert not {p for p in host(coach) if p.startswith(f"{old.portal}/")}, "the old link ended"


def test_what_was_closed_since_is_not_opened_again(coach: Coach) -> None:
    """A page that had no passphrase, one that was open, and a calendar that told more."""
    closed = {id: coach.read(f"{id}.yaml") for id in ("bo", "cy")}
    coach.write("bo.yaml", f"{closed['bo']}privacy: open\n")
    coach.write("cy.yaml", f"{closed['cy']}calendar: full\n")
    out(coach, "--less-private")
    assert b"Bo" in pages(coach)["bo"]
    for id, text in closed.items():
        coach.write(f"{id}.yaml", text)
    keys = coach.clients / ".keys.yaml"
    update_keys(keys, lambda now: with_passphrase(now, "ada", "lane four, quiet", draw_bytes))
    coach.run("build")
    coach.run("publish")
    second = host(coach)

    assert "the page of before" not in coach.run("publish", "--before")
    assert host(coach) == second


def test_who_was_erased_does_not_come_back(coach: Coach) -> None:
    keys, _ = load_keys(coach.clients / ".keys.yaml")
    assert keys is not None
    portal = keys.links["bo"].portal
    assert (coach.home / "host" / portal).exists()
    coach.run("erase", "bo", "--yes")
    out(coach)
    kept = {path.name for path in (coach.home / ".sitegen-cache").rglob("*")}
    assert keys.links["ada"].portal in kept
    assert not kept & {portal, f"{keys.links['bo'].feed}.ics"}, "a feed is in clear"
    coach.run("publish", "--before")

    assert not (coach.home / "host" / portal).exists()
    with Notes(coach.clients, SEEN_STATES) as shown:
        assert shown.everyone() == ["ada", "cy"]
    assert stat.S_IMODE((coach.clients / SEEN_STATES).stat().st_mode) == 0o600


def test_a_dry_run_changes_nothing_and_without_a_state_before_it_says_so(coach: Coach) -> None:
    done = coach.run("publish", "--before", status=1)
    assert done == "" or "sent" not in done
    out(coach)
    second = host(coach)
    coach.run("publish", "--before", "--dry-run")
    assert host(coach) == second
    told = json.loads(coach.run("publish", "--before", "--json"))
    assert {one["gets"] for one in told["clients"]} == {"before"}
