"""What is known of a feed's events outlives the site, a pause and the computer: whole builds."""

from __future__ import annotations

import shutil
import stat
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from icalendar import Calendar

from noted import noted
from sitegen import world
from sitegen.coach.leaving import erase
from sitegen.site import notes
from sitegen.site.building import build_site
from test_seen import CLIENT, LOG, PRACTICE

MONDAY, TUESDAY = date(2027, 1, 11), date(2027, 1, 12)  # of the runs ahead both know the same
MOVED = CLIENT + "changes:\n- {on: 2027-01-19, move_to: 2027-01-20, because: a trip}\n"


@pytest.fixture
def clients(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A practice of one, whose clock goes on by some hours with each look."""
    hours = iter(range(100))
    monkeypatch.setattr(
        world, "now_utc", lambda: datetime(2027, 1, 11, next(hours) % 20, tzinfo=UTC)
    )
    folder = tmp_path / "here/clients"
    folder.mkdir(parents=True)
    (folder / "practice.yaml").write_text(PRACTICE, encoding="utf-8")
    (folder / "ada.yaml").write_text(CLIENT, encoding="utf-8")
    (folder / "ada.log.yaml").write_text(LOG, encoding="utf-8")
    return folder


def built(clients: Path, day: date, out: str = "public", *, tells: bool = True) -> bytes:
    """The feed as of a day."""
    site = clients.parent / out
    result = build_site(clients, site, (), day, tells=tells)
    assert result.done, result.problems
    [feed] = (site / "feeds").glob("*.ics")
    return feed.read_bytes()


def revisions(feed: bytes) -> dict[str, tuple[int, date]]:
    """Each event's sequence, and the day of its stamp."""
    found = Calendar.from_ical(feed).events
    return {str(e["UID"]): (int(e["SEQUENCE"]), e["DTSTAMP"].dt.date()) for e in found}


def test_the_clock_has_no_say_in_a_feed(clients: Path) -> None:
    first = built(clients, MONDAY, "one")

    assert built(clients, MONDAY, "two") == first
    copy = clients.parent.parent / "there/clients"
    shutil.copytree(clients, copy, ignore=lambda _, names: set(names) & {notes.FEEDS_FILE})
    assert built(copy, MONDAY) == first
    assert set(revisions(first).values()) == {(0, MONDAY)}


def test_what_has_changed_is_known_without_the_site_and_on_another_computer(clients: Path) -> None:
    built(clients, MONDAY)
    (clients / "ada.yaml").write_text(MOVED, encoding="utf-8")
    after = built(clients, TUESDAY)
    changed = [one for one in revisions(after).values() if one != (0, MONDAY)]

    assert changed == [(1, TUESDAY)]
    shutil.rmtree(clients.parent / "public")
    assert built(clients, TUESDAY) == after
    copy = clients.parent.parent / "there/clients"
    shutil.copytree(clients, copy)
    assert built(copy, TUESDAY) == after


def test_after_a_pause_events_are_the_same_as_before(clients: Path) -> None:
    before = revisions(built(clients, MONDAY))
    (clients / "ada.yaml").write_text(f"status: paused\n{CLIENT}", encoding="utf-8")
    paused = revisions(built(clients, MONDAY))
    (clients / "ada.yaml").write_text(CLIENT, encoding="utf-8")

    assert 0 < len(paused) < len(before) and paused.items() <= before.items()
    assert revisions(built(clients, MONDAY)) == before


def test_a_history_that_is_lost_or_put_back_counts_in_the_next_build(clients: Path) -> None:
    built(clients, MONDAY)
    old = (clients / notes.FEEDS_FILE).read_bytes()
    (clients / "ada.yaml").write_text(MOVED, encoding="utf-8")
    built(clients, TUESDAY)
    (clients / notes.FEEDS_FILE).unlink()

    assert set(revisions(built(clients, TUESDAY)).values()) == {(0, TUESDAY)}
    (clients / notes.FEEDS_FILE).write_bytes(old)
    assert set(revisions(built(clients, TUESDAY)).values()) == {(0, MONDAY), (1, TUESDAY)}


def test_who_only_looks_on_notes_nothing(clients: Path) -> None:
    built(clients, MONDAY, tells=False)
    assert not (clients / notes.FEEDS_FILE).exists()

    built(clients, MONDAY)
    before = (clients / notes.FEEDS_FILE).read_bytes()
    (clients / "ada.yaml").write_text(MOVED, encoding="utf-8")
    assert (1, TUESDAY) in revisions(built(clients, TUESDAY, "look", tells=False)).values()
    assert (clients / notes.FEEDS_FILE).read_bytes() == before


def test_the_history_is_the_coachs_alone_and_goes_with_the_client(clients: Path) -> None:
    built(clients, MONDAY)
    file = clients / notes.FEEDS_FILE

    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert erase(clients, "ada", lambda _: "ada").done
    assert noted(clients, notes.FEEDS_FILE) == {}


def test_a_history_that_cannot_be_written_is_told_and_stops_no_page(clients: Path) -> None:
    (clients / notes.FEEDS_FILE).mkdir()
    result = build_site(clients, clients.parent / "public", (), MONDAY, tells=True)

    assert result.done
    [told] = [p for p in result.problems if p.code == "feeds"]
    assert told.level == "warning" and told.origin.file.endswith(notes.FEEDS_FILE)
    assert told.hint.startswith("mend that, and build again")


def test_a_history_that_could_not_be_written_is_noted_by_the_next_build(
    clients: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    built(clients, MONDAY)
    before = noted(clients, notes.FEEDS_FILE)
    (clients / "ada.yaml").write_text(MOVED, encoding="utf-8")

    def held(*_: object) -> None:
        raise world.Refused("another program holds it")

    with monkeypatch.context() as meanwhile:
        meanwhile.setattr(notes.Notes, "keep", held)
        told = built(clients, TUESDAY)
    assert noted(clients, notes.FEEDS_FILE) == before

    assert built(clients, TUESDAY) == told
    assert noted(clients, notes.FEEDS_FILE) != before


def test_what_was_looked_at_first_is_told_all_the_same(clients: Path) -> None:
    """A preview into the site's folder leaves its pages there; the build after it takes them up."""
    looked = built(clients, MONDAY, tells=False)

    assert not (clients / "ada.told.yaml").exists()
    assert built(clients, MONDAY) == looked
    assert (clients / "ada.told.yaml").exists() and (clients / notes.FEEDS_FILE).exists()


@pytest.mark.parametrize("tells", [True, False])
def test_a_pause_takes_away_no_day_that_is_over(clients: Path, tells: bool) -> None:
    """Whether or not the ledger has it, Tuesday's run stays when the plan pauses on Thursday."""
    built(clients, MONDAY, tells=tells)
    (clients / "ada.yaml").write_text(f"status: paused\n{CLIENT}", encoding="utf-8")
    paused = Calendar.from_ical(built(clients, date(2027, 1, 14), tells=tells)).events

    assert max(event["DTSTART"].dt for event in paused) == date(2027, 1, 12)
