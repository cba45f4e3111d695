"""After an urgent sign no surface offers activity, from the hour at which it is known.

One practice is built into a site, and every surface of it is read: the weeks as text and as JSON,
every view of the page, its block of data, the feed with its alarms, print, and what the page's
worker keeps for times without a connection. Another client's error changes nothing of it.
"""

from __future__ import annotations

import json
import re
from datetime import date, timedelta
from pathlib import Path

import pytest

from commands import PAGES, sitegen
from sitegen.portal.views import VIEWS
from test_cli import practice

__all__ = ["practice"]  # a fixture

ID, DAY = "bram", "2027-03-18"
TOLD = {
    "ticked": f"- {{on: {DAY}, signs: [chest_pain]}}\n",
    "in words": f'- {{on: {DAY}, said: "Tight across the chest."}}\n',
    "with a slip": f"- {{on: {DAY}, mood: low, signs: [chest_pain]}}\n",
    "dated ahead": "- {on: 2028-03-18, signs: [chest_pain]}\n",
}


@pytest.fixture
def open_practice(practice: Path) -> Path:
    """The demo practice with open pages, so that all can be read, and an emergency number."""
    file = practice / "clients" / f"{ID}.yaml"
    file.write_text(f"{file.read_text()}\nprivacy: open\nemergency: '112'\n")
    return practice


def build(practice: Path, *ids: str) -> int:
    words = ("build", *ids, "--as-of", DAY, "--json", "--links")
    done = sitegen(*words, cwd=practice)
    told = json.loads(done.stdout)
    assert told["done"]
    return done.returncode


def surfaces(practice: Path) -> tuple[str, str]:
    """The page and the feed of the client."""
    public = practice / "public"
    pages = [p.read_text("utf-8") for p in public.glob(PAGES)]
    (page,) = [text for text in pages if 'id="portal-data"' in text]
    feeds = [f.read_text("utf-8") for f in (public / "feeds").glob("*.ics")]
    link = re.search(r"feeds/([\w-]+)\.ics", page)
    assert link
    (feed,) = [f for f in feeds if (public / "feeds" / f"{link[1]}.ics").read_text("utf-8") == f]
    return page, feed


def ahead_in(page: str) -> list[str]:
    """Days of sessions ahead in the page's block of data, by which its scripts show them."""
    found = re.search(r'id="portal-data">(.*?)</script>', page, re.DOTALL)
    assert found
    weeks = json.loads(found[1])["weeks"]
    return [s["on"] for week in weeks for s in week["sessions"] if s["on"] >= DAY]


def ahead_in_json(practice: Path) -> list[str]:
    told = json.loads(sitegen("weeks", ID, "--as-of", DAY, "--json", cwd=practice).stdout)
    return [s["on"] for week in told["weeks"] for s in week["sessions"] if s["on"] >= DAY]


def ahead_in_text(practice: Path) -> list[str]:
    """Cells of the table of ``weeks`` that hold a session from the day on."""
    told = sitegen("weeks", ID, "--as-of", DAY, cwd=practice).stdout
    found = []
    rows = re.findall(r"(?m)^ +\d+  (\d{4}-\d\d-\d\d)  \w+ +\S+ +\S+ +\S+ (.*)$", told)
    # Weeks that are as empty as the one before stand in one line below the table.
    alike = re.search(r"Weeks (\d+) to (\d+) are the same for now", told)
    empty = int(alike[2]) - int(alike[1]) + 1 if alike else 0
    shown = int(alike[1]) - 1 if alike else 14
    assert (len(rows), shown + empty) == (shown, 14), "all weeks of the plan are told"
    for monday, cells in rows:
        days = [f"{cells[at : at + 5]}".strip() for at in range(0, 35, 5)]
        begins = date.fromisoformat(monday)
        ahead = [d for n, d in enumerate(days) if f"{begins + timedelta(days=n)}" >= DAY]
        found += [d for d in ahead if d not in ("", "·")]
    return found


def alarms_ahead(feed: str) -> int:
    """Reminders in events from the day on, also in cancelled ones."""
    ahead = [
        e
        for e in feed.replace("\r\n ", "").split("BEGIN:VEVENT")[1:]
        if (s := re.search(r"DTSTART[^:]*:(\d{8})", e)) and s[1] >= "20270318"
    ]
    return sum("BEGIN:VALARM" in e for e in ahead)


def days_in(feed: str, ahead: str) -> list[str]:
    unfolded = feed.replace("\r\n ", "")
    alive = [e for e in unfolded.split("BEGIN:VEVENT")[1:] if "STATUS:CANCELLED" not in e]
    starts = [re.search(r"DTSTART[^:]*:(\d{8})", e) for e in alive]
    return [s[1] for s in starts if s and s[1] >= ahead]


@pytest.mark.parametrize("beside", ["nothing", "another client's error", "built by name"])
@pytest.mark.parametrize("how", TOLD)
def test_no_surface_offers_anything_from_the_hour_of_the_sign(
    open_practice: Path, how: str, beside: str
) -> None:
    build(open_practice)
    page, feed = surfaces(open_practice)
    assert days_in(feed, "20270318") and ahead_in(page), "there was something to withhold"
    assert ahead_in_json(open_practice) and ahead_in_text(open_practice)
    assert alarms_ahead(feed) and 'id="beat"' in page and 'id="drills"' in page

    log = open_practice / "clients" / f"{ID}.log.yaml"
    log.write_text(log.read_text() + TOLD[how])
    if beside == "another client's error":
        (open_practice / "clients" / "ayla.yaml").write_text("name: [\n")
    build(open_practice, *((ID,) if beside == "built by name" else ()))
    page, feed = surfaces(open_practice)

    assert days_in(feed, "20270318") == [] and not alarms_ahead(feed)
    assert '"status":"referred"' in page.replace(": ", ":") and ahead_in(page) == []
    # Print and the copy kept offline are this very page (`test_one_stop_browser` opens both).
    sections = re.split(r'<section class="view" id="', page)[1:]
    shown = {text.partition('"')[0]: text for text in sections}
    assert set(shown) <= {view.name for view in VIEWS} and not {"beat", "drills"} & {*shown}
    for name, text in shown.items():
        assert 'href="tel:112"' in text, f"{name}: the number is on every view"
    if how != "with a slip":  # then the file has to be mended before its weeks can be drawn
        assert ahead_in_json(open_practice) == ahead_in_text(open_practice) == []
