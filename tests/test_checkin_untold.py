"""Now asks for a run of which nothing was told, and leads to its check-in."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from chromium import needs_chromium
from js.view_page import served
from portal_builder import PORTAL, make_case, make_plan, write_site

sync_api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
expect = sync_api.expect
pytestmark = needs_chromium


@pytest.fixture
def page(browser: Any, tmp_path: Path) -> Iterator[Any]:
    context = browser.new_context(
        viewport={"width": 390, "height": 664},
        timezone_id="Europe/Lisbon",
        permissions=["clipboard-read", "clipboard-write"],
    )
    with served(tmp_path) as address:
        page = context.new_page()
        page.address = f"{address}/{PORTAL}/"
        yield page
    context.close()


def opened(page: Any, day: int, hour: int = 8) -> Any:
    """Its line, on a morning of February 2027; runs are on Tuesday 16, Thursday and Sunday."""
    page.clock.set_fixed_time(datetime(2027, 2, day, hour))
    page.goto("about:blank")
    page.goto(page.address)
    page.wait_for_selector("html[data-ready]", state="attached")
    return page.locator(".untold").filter(visible=True)


def test_a_run_of_which_nothing_was_told_is_asked_for_until_it_is(page: Any, tmp_path: Path):
    write_site(tmp_path)
    expect(opened(page, 13)).to_have_count(0)
    asks = opened(page, 17)
    expect(asks).to_contain_text("nothing yet of your run on Tue 16 Feb")
    asks.locator("a").click()
    expect(page.locator("[data-c-session]")).to_have_value("w5d1")

    page.locator("[name=did][value=skipped]").check()
    page.locator("[name=skipped][value=time]").check()
    page.locator("[name=any][value=none]").check()
    page.locator("[data-c-form] [data-c-copy]").click()
    page.locator("[data-c-form] [data-c-sure-yes]").click()
    expect(opened(page, 17)).to_have_count(0)
    expect(opened(page, 19)).to_contain_text("Thu 18 Feb")


def test_it_is_asked_for_two_days_and_of_nobody_who_need_not_tell(page: Any, tmp_path: Path):
    write_site(tmp_path)
    expect(opened(page, 18)).to_contain_text("Tue 16 Feb")
    expect(opened(page, 19)).not_to_contain_text("Tue 16 Feb")

    write_site(tmp_path, make_case(checkins="none"))
    expect(opened(page, 17)).to_have_count(0)
    write_site(tmp_path, None, make_plan(status="paused"))
    expect(opened(page, 17)).to_have_count(0)


def test_a_day_on_which_a_stop_stood_is_not_asked_for(page: Any, tmp_path: Path):
    write_site(tmp_path)
    (file,) = tmp_path.glob(f"{PORTAL}/index.html")
    text = file.read_text()
    file.write_text(text.replace('"stopped":[]', '"stopped":["2027-02-16"]'))

    assert file.read_text() != text
    expect(opened(page, 17)).to_have_count(0)
    expect(opened(page, 19)).to_contain_text("Thu 18 Feb")


def test_the_morning_after_a_run_that_was_sent_now_leads_to_its_question(page: Any, tmp_path: Path):
    write_site(tmp_path)
    opened(page, 16)
    morning = page.locator("#now .morning")
    expect(morning).to_be_hidden()
    page.evaluate("""() => {
        const sent = { w5d1: { on: "2027-02-16", ran: true, id: "bcdfghjkmn", text: "Check-in" } };
        portal.own.set("checkin", JSON.stringify({ drafts: {}, sent, open: "" }));
    }""")
    opened(page, 17, 1)
    expect(morning).to_be_hidden()
    page.clock.set_fixed_time(datetime(2027, 2, 17, 8))
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    expect(morning).to_contain_text("How is this morning, after yesterday's run?")
    morning.locator("a").click()
    question = page.locator("[data-c-morning]")
    expect(question).to_be_visible()
    opened(page, 18)
    expect(morning).to_be_hidden()

    opened(page, 17)
    morning.locator("a").click()
    question.locator("[name=next][value='0']").check()
    question.locator("[data-c-copy]").click()
    question.locator("[data-c-sure-yes]").click()
    page.evaluate("portal.go('now')")
    expect(page.locator("#now .next")).to_be_visible()
    expect(morning).to_be_hidden()
