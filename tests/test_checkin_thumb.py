"""From Now to a check-in that is sent, by a thumb that is counted.

Eight taps and thirty seconds are the project's own aim, no source. A thumb takes 1.5 s a tap and as
much a flick here: common practice, no source.
"""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from chromium import needs_chromium
from js.view_page import served
from portal_builder import PORTAL, write_site

sync_api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
expect = sync_api.expect
pytestmark = needs_chromium

MOST_TAPS = 8
MOST_SECONDS = 30
SECONDS = 1.5


class Thumb:
    """Taps what it sees, and flicks the page up by two thirds of a screen until it sees it."""

    def __init__(self, page: Any) -> None:
        self.page = page
        self.taps = self.flicks = 0

    def tap(self, selector: str) -> None:
        at = self.page.locator(selector).filter(visible=True)
        for _ in range(9):
            bar, box = self.page.locator(".nav").bounding_box(), at.bounding_box()
            if box["y"] >= 0 and box["y"] + box["height"] <= bar["y"]:
                break
            self.page.evaluate("scrollBy(0, innerHeight * 2 / 3)")
            self.flicks += 1
        else:
            raise AssertionError(f"{selector} never comes into sight")
        self.page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        self.taps += 1

    @property
    def seconds(self) -> float:
        return (self.taps + self.flicks) * SECONDS


@pytest.mark.parametrize("way", ["share", "mail"])
def test_a_run_done_as_told_is_sent_from_now(browser: Any, tmp_path: Path, way: str):
    write_site(tmp_path)
    context = browser.new_context(
        viewport={"width": 390, "height": 664}, has_touch=True, timezone_id="Europe/Lisbon"
    )
    with served(tmp_path) as address:
        page = context.new_page()
        page.add_init_script("navigator.share = async () => {}")
        page.clock.install(time=datetime(2027, 2, 16, 20))
        page.goto(f"{address}/{PORTAL}/")
        page.wait_for_selector("html[data-ready]", state="attached")
        page.evaluate("addEventListener('click', e => e.target.href?.startsWith('mailto')"
                      " && e.preventDefault())")  # fmt: skip
        thumb = Thumb(page)

        thumb.tap("#now .go [href='#checkin']")
        thumb.tap("[name=did][value=told]")
        thumb.tap("[name=any][value=none]")
        thumb.tap("[name=effort][value='3']")
        thumb.tap("[name=hurt][value=none]")
        thumb.tap("[data-c-share]" if way == "share" else "a[data-c-message]")
        thumb.tap("[data-c-sure-yes]")

        text = page.locator("[data-c-sent-text]").text_content()
        assert "ran: 24 min\n  effort: 3\n  pain: {during: 0, after: 0}\n" in text
        assert thumb.taps <= MOST_TAPS
        assert thumb.seconds <= MOST_SECONDS

        page.evaluate("portal.go('now')")
        expect(page.locator("#now")).to_have_attribute("data-shows", "told")
        expect(page.get_by_text("Checked in for today")).to_be_visible()
        expect(page.locator("#now .next")).to_contain_text("Easy run")
        told = page.locator("#weeks [data-on='2027-02-16'] .is-told")
        assert told.all_text_contents() == ["told"]
    context.close()
