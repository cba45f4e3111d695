"""A session that runs: it says its parts, survives a reload and fills the check-in."""

from __future__ import annotations

import json
from collections.abc import Iterator
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

# Two voices, of which one sends its words away, as browsers tell of them.
VOICES = """
window.said = [];
const voices = [
  { lang: "en-GB", localService: false, name: "far" },
  { lang: "en-GB", localService: true, name: "near" },
];
Object.defineProperty(window, "speechSynthesis", { value: {
  getVoices: () => voices, addEventListener() {}, cancel() {},
  speak: (one) => window.said.push([one.voice.name, one.text]),
}});
window.SpeechSynthesisUtterance = class { constructor(text) { this.text = text; } };
navigator.vibrate = (how) => window.buzzed.push(how);
window.buzzed = [];
"""


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    folder: Path = tmp_path_factory.mktemp("running")
    write_site(folder)
    with served(folder) as url:
        yield f"{url}/{PORTAL}/"


@pytest.fixture
def page(browser: Any, address: str) -> Iterator[Any]:
    """Now, on the evening of a run of 33 minutes to the beat."""
    context = browser.new_context(
        viewport={"width": 390, "height": 664}, has_touch=True, timezone_id="Europe/Lisbon"
    )
    page = context.new_page()
    page.add_init_script(VOICES)
    page.clock.set_fixed_time(datetime(2027, 2, 16, 18))
    page.goto(address)
    page.wait_for_selector("html[data-ready]", state="attached")
    yield page
    context.close()


def begun(page: Any, time: float, ago: float) -> None:
    """As if the page had gone away at a time of today's session, so many seconds ago."""
    page.evaluate(
        """([time, ago]) => {
            const one = document.querySelector("[data-b-session]").value;
            portal.own.set("running", JSON.stringify(
                { id: one, spm: 166, time, at: Date.now() - ago * 1000 }));
        }""",
        [time, ago],
    )
    page.reload()
    page.wait_for_selector("html[data-ready]", state="attached")
    page.evaluate("portal.go('beat')")


def left(page: Any) -> float:
    """Seconds left in all."""
    words = page.locator("[data-b-next]").inner_text()
    minutes, _, seconds = words.split(" left in all")[0].split()[-1].partition(":")
    return int(minutes) * 60 + int(seconds)


def test_one_button_on_now_starts_it_and_each_part_is_said(page: Any):
    page.locator("#now .go [href$='beat/start']").tap()
    expect(page.locator("[data-b-pause]")).to_be_visible()
    expect(page.locator("[data-b-now]")).to_contain_text("warm-up")
    expect(page.locator("[data-b-now]")).to_contain_text("No clicks in this part.")
    assert page.evaluate("document.documentElement.hasAttribute('data-running')")
    assert page.title().startswith("▶ Beat")
    assert page.evaluate("window.said") == [], "only if it is wanted"
    assert page.evaluate("window.buzzed.length") == 1

    page.evaluate("portal.go('now')")
    expect(page.locator("#now .go .button:visible").first).to_have_text("Back to the session")
    expect(page.locator("#now .go [href$='beat/start']")).to_be_hidden()
    page.locator("#now .go .button:visible").first.tap()
    expect(page.locator("[data-b-pause]")).to_be_visible()

    page.check("[data-b-voice]")
    page.locator("[data-b-skip]").tap()
    page.wait_for_function("window.said.length > 0")
    [voice, words] = page.evaluate("window.said[0]")
    assert voice == "near" and words == page.locator("[data-b-now]").inner_text()
    expect(page.locator(".b-strip rect")).not_to_have_count(0)
    page.locator("[data-b-stop]").tap()
    assert not page.evaluate("document.documentElement.hasAttribute('data-running')")
    assert page.title().startswith("Beat")


def test_the_time_left_stays_the_largest_numeral_in_sight_while_it_is_held(page: Any):
    size = "e => parseFloat(getComputedStyle(e).fontSize)"
    page.locator("#now .go [href$='beat/start']").tap()
    expect(page.locator("[data-b-pause]")).to_be_visible()
    large = page.locator("[data-b-left]").evaluate(size)
    for button in ("pause", "start"):
        pressed = page.locator(f"[data-b-{button}]")
        box, bar = pressed.bounding_box(), page.locator(".nav").bounding_box()
        assert box["y"] >= 0 and box["y"] + box["height"] <= bar["y"]
        pressed.tap()
        expect(pressed).to_be_hidden()
        assert page.locator("[data-b-left]").evaluate(size) == large
        assert page.locator("[data-b-rate]").evaluate(size) < large


@pytest.mark.parametrize(("button", "done"), [("here", 460), ("stopped", 400)])
def test_after_a_reload_it_asks_where_to_go_on(page: Any, button: str, done: int):
    begun(page, 400, 60)
    expect(page.locator("[data-b-ask]")).to_contain_text("This session was begun.")
    expect(page.locator("[data-b-here]")).to_have_text("By the clock: 7:40 done")
    expect(page.locator("[data-b-stopped]")).to_have_text("Where it stopped: 6:40 done")

    page.locator(f"[data-b-{button}]").focus()
    page.keyboard.press("Enter")
    expect(page.locator("[data-b-pause]")).to_be_focused()
    expect(page.locator("[data-b-next]")).to_contain_text("left in all")
    assert left(page) == pytest.approx(33 * 60 - done, abs=20)


def test_a_clock_that_was_turned_back_offers_only_where_it_stopped(page: Any):
    begun(page, 400, -3600)
    expect(page.locator("[data-b-stopped]")).to_be_visible()
    expect(page.locator("[data-b-here]")).to_be_hidden()


def test_what_is_long_over_is_not_asked_about(page: Any):
    begun(page, 400, 8 * 3600)
    expect(page.locator("[data-b-start]")).to_be_visible()
    expect(page.locator("[data-b-ask]")).to_be_hidden()


def test_its_end_fills_the_check_in_and_chooses_nothing_on_pain_or_signs(page: Any):
    begun(page, 33 * 60 - 1, 0)
    page.locator("[data-b-stopped]").tap()
    expect(page.locator("[data-b-tell]")).to_be_visible()
    grounds = [
        page.locator(which).evaluate("button => getComputedStyle(button).backgroundColor")
        for which in ("[data-b-start]", "[data-b-tell] a")
    ]
    assert grounds[0] == "rgba(0, 0, 0, 0)" != grounds[1], "the check-in stands before another run"
    page.locator("[data-b-tell] a").tap()

    assert page.locator("[name=did]:checked").get_attribute("value") == "told"
    assert page.locator("[name=any]:checked, [name=hurt]:checked").count() == 0
    assert page.evaluate("portal.own.get('running')") is None


def test_a_run_that_was_stopped_early_gives_the_minutes_that_were_run(page: Any):
    begun(page, 20 * 60, 0)
    page.locator("[data-b-stopped]").tap()
    page.locator("[data-b-stop]").tap()
    page.locator("[data-b-tell] a").tap()

    assert page.locator("[name=did]:checked").get_attribute("value") == "shorter"
    minutes = int(page.locator("[name=ran]").input_value())
    assert 0 < minutes < 24
    kept = json.loads(page.evaluate("portal.own.get('checkin')"))
    assert [draft["did"] for draft in kept["drafts"].values()] == ["shorter"]


def test_what_is_being_told_of_another_stays_open_when_a_run_ends(page: Any):
    begun(page, 20 * 60, 0)
    page.locator("[data-b-stopped]").tap()
    expect(page.locator("[data-b-pause]")).to_be_visible()
    page.evaluate("portal.go('checkin')")
    page.select_option("[data-c-session]", "day")
    page.locator("[name=signs][value=chest_pain]").evaluate("box => box.click()")

    expect(page.locator("#device-stop [data-grade=now]")).to_be_visible()
    assert page.input_value("[data-c-session]") == "day"
    assert page.is_checked("[name=signs][value=chest_pain]")
    expect(page.locator("[data-c-list]")).to_contain_text("Today: Run to the beat")


def test_a_session_of_a_day_ahead_is_told_as_a_run_of_today(page: Any):
    """Its own day has not come, so a check-in of it could not be sent."""
    page.evaluate("portal.go('beat')")
    page.select_option("[data-b-session]", "w5d3")
    begun(page, 20 * 60, 0)
    page.locator("[data-b-stopped]").tap()
    page.locator("[data-b-stop]").tap()
    page.locator("[data-b-tell] a").tap()

    assert page.input_value("[data-c-session]") == "extra"
    assert 0 < int(page.locator("[name=ran]").input_value()) <= 20
    page.locator("[name=any][value=none]").check()
    page.locator("[name=hurt][value=none]").check()
    assert "on: 2027-02-16" in str(page.locator("[data-c-form] [data-c-text]").text_content())
    page.locator("[data-c-form] [data-c-copy]").tap()
    expect(page.locator("[data-c-form] [data-c-sure-yes]")).to_be_visible()
