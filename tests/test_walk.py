"""From a client's file to a page in a browser: what the engine decided is what the client reads."""

from __future__ import annotations

import shutil
import threading
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest
import recurring_ical_events
from icalendar import Calendar

from sitegen.seal.keys_file import load_keys
from sitegen.site.building import build_site
from sitegen.site.plans import open_plans

ROOT = Path(__file__).resolve().parent.parent
DAY = date(2027, 3, 18)  # a Thursday in the middle of the demo plans

# No talk with the network but to the server that the test starts.
QUIET = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
]  # fmt: skip


class Handler(SimpleHTTPRequestHandler):
    def log_message(self, format: str, *args: Any) -> None:
        """Quiet."""


@pytest.fixture(scope="module")
def practice(tmp_path_factory: pytest.TempPathFactory) -> Path:
    home = tmp_path_factory.mktemp("walk")
    shutil.copytree(ROOT / "clients", home / "clients", ignore=shutil.ignore_patterns(".*"))
    built = build_site(home / "clients", home / "public", (), DAY)
    assert built.done, built.problems
    return home


@pytest.fixture(scope="module")
def address(practice: Path) -> Iterator[str]:
    server = ThreadingHTTPServer(
        ("127.0.0.1", 0), partial(Handler, directory=str(practice / "public"))
    )
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_port}/"
    server.shutdown()


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    from playwright.sync_api import sync_playwright

    chromium = shutil.which("chromium")
    if chromium is None:
        pytest.skip("chromium is not installed (tools/test-needs brings it)")
    with sync_playwright() as playwright:
        found = playwright.chromium.launch(executable_path=chromium, args=QUIET)
        yield found
        found.close()


def open_portal(browser: Any, practice: Path, address: str, id: str, day: date) -> Any:
    keys, _ = load_keys(practice / "clients" / ".keys.yaml")
    assert keys is not None
    link = keys.links[id]
    page = browser.new_context(timezone_id="Europe/Lisbon").new_page()
    page.clock.install(time=datetime(day.year, day.month, day.day, 9, 0, tzinfo=UTC))
    page.goto(f"{address}{link.portal}/#k={link.key_text}")
    page.wait_for_selector("#weeks", state="attached")
    return page


@pytest.mark.parametrize("id", ["ayla", "bram", "mirela", "nia", "tomas"])
def test_the_weeks_view_shows_what_the_engine_decided(browser, practice, address, id):
    plan = open_plans(practice / "clients", (id,), DAY).plan(id)
    assert plan is not None
    page = open_portal(browser, practice, address, id, DAY)
    shown = page.locator("details.week")
    assert shown.count() == len(plan.weeks)
    page.evaluate("dispatchEvent(new Event('beforeprint'))")  # weeks that are folded are drawn
    for index, week in enumerate(plan.weeks):
        there = shown.nth(index)
        assert there.get_attribute("data-start") == week.start.isoformat()
        minutes = there.locator("summary .sum b").text_content()
        assert minutes == f"{week.run_minutes:.0f}"
        ids = there.locator("article[data-session]").evaluate_all(
            "all => all.map(a => [a.dataset.session, a.dataset.on])"
        )
        assert ids == [[s.id, s.on.isoformat()] for s in week.sessions]
    page.context.close()


def test_now_shows_the_next_session_on_each_of_seven_days(browser, practice, address):
    """Built once; the page opened on seven days shows what the plan holds for each."""
    plan = open_plans(practice / "clients", ("tomas",), DAY).plan("tomas")
    assert plan is not None
    for offset in range(7):
        day = DAY + timedelta(days=offset)
        here = [s for s in plan.sessions if s.on == day]
        page = open_portal(browser, practice, address, "tomas", day)
        page.wait_for_selector("#now:not([hidden])")
        text = page.locator("#now").inner_text()
        if here:
            assert f"{here[0].total_minutes:.0f}" in text
            beats = [p.cadence_spm for p in here[0].parts if p.cadence_spm]
            assert all(str(spm) in text for spm in beats)
        else:
            assert "rest" in text.lower()
        page.context.close()


def test_a_paused_client_is_shown_the_pause_and_no_session(browser, practice, address):
    page = open_portal(browser, practice, address, "jonas", DAY)
    page.wait_for_selector("#now:not([hidden])")
    assert "paused" in page.locator("#now").inner_text().lower()
    page.context.close()


def test_the_feed_holds_the_same_sessions(practice):
    """Read back by icalendar and recurring-ical-events, over the change to summer time."""
    opened = open_plans(practice / "clients", (), DAY)
    keys, _ = load_keys(practice / "clients" / ".keys.yaml")
    assert keys is not None
    assert len(opened.plans) == 6
    for id, plan in opened.plans.items():
        feed = practice / "public" / "feeds" / f"{keys.links[id].feed}.ics"
        calendar = Calendar.from_ical(feed.read_bytes())
        first, last = plan.weeks[0].start, plan.weeks[-1].start + timedelta(days=7)
        events = recurring_ical_events.of(calendar).between(first, last)
        seen = sorted(
            (e["DTSTART"].dt.strftime("%Y-%m-%d %H:%M"))
            for e in events
            if isinstance(e["DTSTART"].dt, datetime)
        )
        planned = sorted(f"{s.on} {s.at:%H:%M}" for s in plan.sessions if s.at)
        assert seen == planned
        assert len(events) == len(plan.sessions)
