"""From build to build: what changed since the client's last plan, from files to the page."""

from __future__ import annotations

import re
import stat
from datetime import date
from pathlib import Path

import pytest

from commands import PAGES
from noted import note, noted
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
    (page,) = site.glob(PAGES)
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
    assert list(noted(clients, notes.SEEN_FILE)) == ["ada"]
    assert b"Ada" not in file.read_bytes()
    (clients / "bo.yaml").write_text(CLIENT.replace("Ada", "Bo"), encoding="utf-8")
    (clients / "ada.yaml").unlink()
    (clients / "ada.log.yaml").unlink()

    build_site(clients, clients.parent / "public", (), WEDNESDAY)

    assert list(noted(clients, notes.SEEN_FILE)) == ["bo"]


@pytest.mark.parametrize("text", ["", "what", "{}", "\x00"])
def test_a_damaged_memory_stops_no_build(clients: Path, text: str):
    note(clients, notes.SEEN_FILE, {"ada": text or "gone"})
    if not text:
        (clients / notes.SEEN_FILE).write_bytes(b"")

    assert since(built(clients, MONDAY)) == ""


def test_git_does_not_take_the_memory():
    ignored = (Path(__file__).parents[1] / ".gitignore").read_text(encoding="utf-8").split()

    assert {f"{name}*" for name in notes.NOTE_FILES} <= set(ignored)


LIFTED = """
changes: [{on: 2027-01-13, lifts: limp 2027-01-10, seen_by: me, because: she walks well again}]
"""
LIMPING = LOG.replace("36 min, effort: 3", "36 min, effort: 3, signs: [limp]")


@pytest.mark.parametrize("language", ["en", "es"])
def test_now_begins_with_what_the_coach_answered_and_says_it_once(clients: Path, language: str):
    with (clients / "practice.yaml").open("a", encoding="utf-8") as practice:
        practice.write("coach: Odile Marn\n")
    (clients / "ada.yaml").write_text(f"{CLIENT}language: {language}\n", encoding="utf-8")
    built(clients, MONDAY)
    (clients / "ada.log.yaml").write_text(LIMPING, encoding="utf-8")
    stopped = built(clients, date(2027, 1, 12))
    (clients / "ada.yaml").write_text(f"{CLIENT}language: {language}\n{LIFTED}", encoding="utf-8")

    page = built(clients, THURSDAY)

    now = page[page.index('id="now"') : page.index('id="weeks"')]
    after_old = re.search(r'<p class="stale" hidden>.*?</p>(.*)', now, re.DOTALL)
    assert after_old is not None
    first, says = re.findall(r'\s*<div class="(\w+)"><p>(.*?)</p>', after_old[1])[0]
    told = "stopped from" if language == "en" else "estuvo parado"
    assert 'class="answered"' not in stopped
    assert first == "answered" and told in says and "Odile Marn." in says
    assert now.count(told) == 1 and since(page).count("35 min") > 1
    assert "quien te entrena" not in page.lower() and "Odile Marn" in now
    weeks_later = built(clients, date(2027, 1, 28))
    assert 'class="answered"' not in weeks_later


def test_an_answer_to_what_was_told_is_said_without_its_words(clients: Path):
    signs = LOG.replace("36 min, effort: 3", "36 min, effort: 3, signs: [limp]")
    (clients / "ada.log.yaml").write_text(signs, encoding="utf-8")
    answers = "- {alarm: limp 2027-01-10, on: 2027-01-12, because: we spoke at length}\n"
    (clients / "ada.alarms.yaml").write_text(answers, encoding="utf-8")

    page = built(clients, WEDNESDAY)

    [said] = re.findall(r'<div class="answered"><p>(.*?)</p></div>', page)
    assert said == "On Tue 12 Jan your coach answered what you told on Sun 10 Jan."
    assert page.index('data-state="referred"') < page.index('class="answered"')
    assert "at length" not in page


def test_only_answers_to_the_client_s_own_words_are_said_and_each_once(clients: Path):
    """Not one to what somebody else wrote, and a lift alone where the alarm was answered, too."""
    (clients / "ada.log.yaml").write_text(LIMPING, encoding="utf-8")
    answers = clients / "ada.alarms.yaml"
    limp = "- {alarm: limp 2027-01-10, on: 2027-01-12, because: we spoke"

    answers.write_text(f"{limp}, not_client: yes}}\n", encoding="utf-8")
    assert 'class="answered"' not in built(clients, WEDNESDAY)

    answers.write_text(f"{limp}}}\n", encoding="utf-8")
    (clients / "ada.yaml").write_text(CLIENT + LIFTED, encoding="utf-8")
    (said,) = re.findall(r'<div class="answered">(.*?)</div>', built(clients, THURSDAY))
    assert said.count("<p>") == 1 and "stopped from" in said
