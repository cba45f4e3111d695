"""After an urgent sign, in Chromium: each view, paper, and the copy kept for times without a host.

What the files say of it is held in `test_one_stop`; here the page is opened, kept and printed.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from chromium import needs_chromium
from sitegen.portal.views import VIEWS
from test_cli import practice
from test_offline import Host
from test_one_stop import DAY, ID, ahead_in, build, open_practice

__all__ = ["open_practice", "practice"]  # fixtures

pytestmark = needs_chromium
needs_poppler = pytest.mark.skipif(
    shutil.which("pdftotext") is None, reason="poppler-utils is not on this machine"
)
AHEAD = ("Thu 18 Mar 18:30", "Fri 19 Mar", "Sun 21 Mar")  # from the sign on, as a week shows them
COPIES = """async () => {
    const found = [];
    for (const name of await caches.keys()) {
        const store = await caches.open(name);
        for (const asked of await store.keys())
            if (asked.url.endsWith("/")) found.push(await (await store.match(asked)).text());
    }
    return found;
}"""


@pytest.fixture
def host(open_practice: Path) -> Iterator[Host]:
    build(open_practice)
    host = Host(open_practice / "public")
    yield host
    host.stop()


@pytest.fixture
def page(browser: Any) -> Iterator[Any]:
    context = browser.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    page.clock.set_fixed_time(f"{DAY}T08:00:00")
    yield page
    context.close()


def visit(page: Any, host: Host, view: str = "", until: str = "ready") -> None:
    """Open the client's page at a view."""
    (found,) = [p for p in host.folder.glob("*/index.html") if "portal-data" in p.read_text()]
    page.goto("about:blank")
    page.goto(f"{host.address}/{found.parent.name}/#{view}")
    page.wait_for_selector(f"html[data-{until}]", state="attached")


def tell_sign(practice: Path) -> None:
    log = practice / "clients" / f"{ID}.log.yaml"
    log.write_text(log.read_text() + f"- {{on: {DAY}, signs: [chest_pain]}}\n")
    build(practice)


def in_sight(page: Any) -> str:
    return str(page.locator("main").inner_text())


def printed(page: Any, place: Path) -> str:
    """What a printer would get of the plan, a sheet for each week to come."""
    page.check("#sheets")
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    page.pdf(path=place / "out.pdf", format="A4")
    words = ["pdftotext", "-layout", str(place / "out.pdf"), "-"]
    return subprocess.run(words, capture_output=True, text=True, check=True).stdout


def test_the_copy_kept_on_the_device_is_stopped_with_the_page_and_stays_so_without_a_host(
    page: Any, host: Host, open_practice: Path
) -> None:
    visit(page, host, "now", "kept")
    assert "Start the run" in in_sight(page) and ahead_in(page.evaluate(COPIES)[0])
    tell_sign(open_practice)
    visit(page, host)
    page.locator("[data-news=fresh]").wait_for(state="visible")
    host.stop()

    (copy,) = page.evaluate(COPIES)
    assert ahead_in(copy) == [], "no other copy is left, and this one offers nothing"
    for view in VIEWS:
        visit(page, host, view.name)
        seen = in_sight(page)
        assert page.locator('a[href="tel:112"]:visible').count(), f"{view.name}: the number"
        assert "Start the run" not in seen and "Check in\n" not in seen
        assert not [day for day in AHEAD if day in seen], view.name
    assert not page.locator("#beat, #drills").count(), "nothing to practise, nothing to run to"


@needs_poppler
def test_paper_says_stop_first_and_offers_nothing_from_that_day_on(
    page: Any, host: Host, open_practice: Path, tmp_path: Path
) -> None:
    visit(page, host, "weeks")
    before = printed(page, tmp_path)
    assert "Sun 21 Mar" in before and "Drills:" in before
    tell_sign(open_practice)
    visit(page, host, "weeks")

    paper = printed(page, tmp_path)
    assert paper.split()[:6] == ["Stop.", "Call", "for", "help", "now.", "112"]
    days = re.findall(r"(?m)^\s+\w{3} (\d+) (Mar|Apr)\b", paper)
    assert ("17", "Mar") in days, "what was run stays"
    assert not {d for d in days if d[1] == "Apr" or int(d[0]) >= 18}
    assert "Drills:" not in paper
