"""From build to build: what changed since the client's last plan, from files to the page."""

from __future__ import annotations

import re
import stat
from datetime import date
from pathlib import Path

import pytest

from sitegen.site import notes
from sitegen.site.building import build_site

PRACTICE = """
name: Harbour Running
contact: coach@harbour.example
timezone: Europe/Lisbon
privacy: open
"""
CLIENT = """
name: Ada Holm
screening: {on: 2027-01-01, regular_exercise: yes, known_disease: no, symptoms: no}
baseline: {on: 2027-01-02, cadence: 160 spm, pace: 6:30 /km, week: 90 min, longest: 40 min, runs: 3}
week: {tue: {}, thu: {}, sun: {}, long: sun}
plan: {from: 2027-01-04, weeks: 8}
"""
LOG = """
- {on: 2027-01-05, ran: 30 min, effort: 3}
- {on: 2027-01-07, ran: 30 min, effort: 3}
- {on: 2027-01-10, ran: 36 min, effort: 3}
"""
# Two runs in a row at 3 to 5: a step back.
PAINFUL = (
    LOG.replace("36 min, effort: 3", "36 min, effort: 3, pain: {during: 4}")
    + """
- {on: 2027-01-12, ran: 30 min, effort: 4, pain: {during: 4, after: 4, next_morning: 2}}
"""
)
MONDAY, WEDNESDAY, THURSDAY = date(2027, 1, 11), date(2027, 1, 13), date(2027, 1, 14)


@pytest.fixture
def clients(tmp_path: Path) -> Path:
    folder = tmp_path / "clients"
    folder.mkdir()
    (folder / "practice.yaml").write_text(PRACTICE, encoding="utf-8")
    (folder / "ada.yaml").write_text(CLIENT, encoding="utf-8")
    (folder / "ada.log.yaml").write_text(LOG, encoding="utf-8")
    return folder


def built(clients: Path, day: date, out: str = "public") -> str:
    """Ada's page as of a day."""
    site = clients.parent / out
    result = build_site(clients, site, (), day)
    assert result.done, result.problems
    [page] = [p for p in site.glob("*/index.html") if len(p.parent.name) == 22]
    return page.read_text(encoding="utf-8")


def since(page: str) -> str:
    found = re.search(r'<div class="block since">.*?</div>', page, re.DOTALL)
    return " ".join(re.sub(r"<[^>]+>", " ", found[0]).split()) if found else ""


def test_pain_in_the_log_shortens_the_next_runs_and_the_page_says_so_with_the_reason(
    clients: Path,
):
    assert since(built(clients, MONDAY)) == ""
    (clients / "ada.log.yaml").write_text(PAINFUL, encoding="utf-8")

    told = since(built(clients, WEDNESDAY))

    assert told.startswith("Since your plan of Mon 11 Jan")
    assert re.search(r"Thu 14 Jan[,:] .*\d+\smin instead of .*\d+\smin", told)
    assert "Pain" in told


def test_the_same_day_builds_the_same_page_into_whatever_folder(clients: Path):
    built(clients, MONDAY)
    (clients / "ada.log.yaml").write_text(PAINFUL, encoding="utf-8")
    first = built(clients, WEDNESDAY)

    assert since(first)
    assert built(clients, WEDNESDAY) == first
    assert built(clients, WEDNESDAY, "elsewhere") == first


def test_a_day_later_without_a_change_the_news_still_stands(clients: Path):
    built(clients, MONDAY)
    (clients / "ada.log.yaml").write_text(PAINFUL, encoding="utf-8")
    built(clients, WEDNESDAY)

    assert since(built(clients, THURSDAY)).startswith("Since your plan of Mon 11 Jan")


def test_the_memory_is_closed_to_others_and_forgets_who_is_gone(clients: Path):
    built(clients, MONDAY)
    file = clients / notes.SEEN_FILE
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert list(notes.load_notes(clients, notes.SEEN_FILE)) == ["ada"]
    assert "Ada" not in file.read_text(encoding="utf-8").replace('"ada"', "")
    (clients / "bo.yaml").write_text(CLIENT.replace("Ada", "Bo"), encoding="utf-8")
    (clients / "ada.yaml").unlink()
    (clients / "ada.log.yaml").unlink()

    build_site(clients, clients.parent / "public", (), WEDNESDAY)

    assert list(notes.load_notes(clients, notes.SEEN_FILE)) == ["bo"]


@pytest.mark.parametrize("text", ["", "{", "[]", '{"ada": 1}', '{"ada": "what"}', "\x00"])
def test_a_damaged_memory_stops_no_build(clients: Path, text: str):
    (clients / notes.SEEN_FILE).write_text(text, encoding="utf-8")

    assert since(built(clients, MONDAY)) == ""


def test_git_does_not_take_the_memory():
    ignored = (Path(__file__).parents[1] / ".gitignore").read_text(encoding="utf-8").split()

    assert {notes.SEEN_FILE, notes.FEEDS_FILE} <= set(ignored)
