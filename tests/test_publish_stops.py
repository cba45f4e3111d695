"""Stops go out first, and an error in what all clients share holds pages, but no stop."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from commands import sitegen
from sitegen.publish import TransferStep, publish
from sitegen.publish.command import OwnFiles, stopped_files
from sitegen.publish.order import ASSETS, sending_of, sending_order
from sitegen.publish.outgoing import memory_of
from test_cli import practice, tree

__all__ = ["practice"]  # a fixture

DAY = "2027-03-18"
CHEST = '- {on: 2027-03-17, ran: 20 min, said: "Tight across the chest on the hill."}\n'


def build(practice: Path) -> int:
    return sitegen("build", "--as-of", DAY, cwd=practice).returncode


def tell(practice: Path, id: str, entry: str) -> None:
    log = practice / "clients" / f"{id}.log.yaml"
    log.write_text(log.read_text() + entry)


def test_pages_and_feeds_of_the_stopped_go_before_all_others_but_what_they_load(
    practice: Path,
) -> None:
    tell(practice, "tomas", CHEST)
    assert build(practice) == 0
    public = practice / "public"
    first = stopped_files(memory_of(practice / "clients", public))
    assert len(first) >= 2 and any(name.startswith("feeds/") for name in first)

    sent: list[str] = []

    def note(step: TransferStep) -> None:
        sent.append(step.path)

    report = publish(OwnFiles(public), str(practice / "host"), progress=note, first=first)
    assert not report.problems
    portals = [path for path in sent if sending_of(path) != ASSETS]
    assert {*portals[: len(first)]} == first
    assert sent == sending_order(sent, first)


BROKEN = {
    "a slip": ("practice.yaml", "timezone: Europe/", "timezone: Europe,"),
    "a slip in a rule": ("practice.yaml", "units: ", "unitz: "),
    "no YAML": ("practice.yaml", "name: ", "name: [ "),
    "no such host": ("practice.yaml", "name: ", "targets: {x: 'zip:/x.zip'}\nname: "),
    "a drill": ("drills/hops.md", "", "---\nnonsense: 1\n---\n"),
    "a text": ("texts/shoes.md", "", "# Shoes\n\n[here](#texts/gone)\n"),
    "a session": ("sessions/hills.yaml", "", "nonsense: 1\n"),
}


@pytest.mark.parametrize("slip", BROKEN)
def test_an_error_in_what_all_share_holds_pages_but_no_stop(practice: Path, slip: str) -> None:
    assert build(practice) == 0
    before = tree(practice / "public")
    name, right, wrong = BROKEN[slip]
    shared = practice / "clients" / name
    shared.parent.mkdir(exist_ok=True)
    text = shared.read_text() if shared.exists() else ""
    changed = text.replace(right, wrong, 1)
    shared.write_text(changed if changed != text else f"{text}\nnonsense: 1\n")
    tell(practice, "tomas", CHEST)
    tell(practice, "nia", "- {on: 2027-03-17, ran: 20 min}\n")

    done = sitegen("build", "--as-of", DAY, cwd=practice)
    after = tree(practice / "public")
    assert done.returncode == 1 and shared.name in done.stderr
    assert before.keys() <= after.keys(), "nothing goes"
    other = {name for name in after if after[name] != before.get(name)}
    portals = {name.partition("/")[0] for name in other if sending_of(name) != ASSETS}
    assert len(portals - {"feeds"}) == 1, "one client's page, and no other"
    feeds = [name for name in other if name.startswith("feeds/")]
    assert len(feeds) == 1 and b"SUMMARY:Run" not in _ahead(after[feeds[0]])

    host = practice / "host"
    sent = sitegen("publish", str(host), cwd=practice)
    assert sent.returncode == 1 and shared.name in sent.stderr
    assert {*tree(practice / "public")} - {".sitegen-files"} <= {*tree(host)}

    shared.write_text(text) if text else shared.unlink()
    assert build(practice) == 0, "once it is mended all are built"


def _ahead(feed: bytes) -> bytes:
    """The events of a feed from the day of the sign on."""
    events = feed.split(b"BEGIN:VEVENT")[1:]
    return b"".join(
        event
        for event in events
        if event.partition(b"DTSTART")[2].partition(b":")[2][:8] > b"20270317"
    )


def test_a_stop_in_spite_of_a_slip_is_told_as_such_by_each_build(practice: Path) -> None:
    """Also by one that finds the page as it is to be."""
    tell(practice, "tomas", CHEST + "- {on: 2027-03-17x, ran: 20 min}\n")
    for written in (True, False):
        done = sitegen("build", "--as-of", DAY, "--json", cwd=practice)
        told = json.loads(done.stdout)
        assert done.returncode == 1
        assert (told["held"], told["stopped"]) == (["tomas"], ["tomas"])
        assert told["clients"] == 5 and (told["written"] > 0) == written
    done = sitegen("build", "tomas", "--as-of", DAY, cwd=practice)
    assert done.returncode == 1
    assert "the page says that nothing is to be run, and why: tomas" in done.stderr
