"""Letters twice as large on the narrowest phone, in the longer language: no view scrolls sideways.

WCAG 2.2 is the source for 200 % (1.4.4).
"""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest

import language_builder
from chromium import ARGS, PROGRAM, needs_chromium
from portal_builder import LOOK, PORTAL, lay_down, make_case, make_drills, make_plan
from sitegen.site.building import build_site

pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
pytestmark = needs_chromium

VIEWS = ("now", "weeks", "beat", "checkin", "drills", "cadence", "calendar", "care")
BEYOND = """() => [...document.querySelectorAll('main *')]
    .filter(e => e.checkVisibility() && !e.closest('.scroll, svg, .hide'))
    .filter(e => e.getBoundingClientRect().right > innerWidth + 1
        && e.getBoundingClientRect().width > 1)
    .map(e => e.className || e.tagName)"""

LANES = """() => [...document.querySelectorAll('.week > summary')].map(row => [
    Math.round(row.querySelector('.span').getBoundingClientRect().height
        / parseFloat(getComputedStyle(row.querySelector('.span')).lineHeight)),
    row.querySelector('.lane-bar').getBoundingClientRect().width,
    row.getBoundingClientRect().width])"""


DATES = """() => {
    const ticks = [...document.querySelectorAll('.chart.phone text')]
        .filter(word => /^\\d+ [a-z]/.test(word.textContent))
        .map(word => word.getBoundingClientRect()).sort((a, b) => a.left - b.left);
    return ticks.slice(1).map((next, at) => next.left - ticks[at].right);
}"""


def spanish_page(folder: Path) -> str:
    renderer, address = language_builder.make_renderer(), "https://plans.example.org/feeds/x.ics"
    content = renderer.document(
        make_case(language="es"), make_plan(), make_drills(), feed_url=address, code="K7"
    )
    whole = renderer.page(content=content, sealed=None, language="es", portal=PORTAL, look=LOOK)
    return lay_down(folder, whole, renderer.assets(LOOK.accent), "").as_uri()


BROKEN = """() => [...document.querySelectorAll('#now .go .button')]
    .filter(e => e.checkVisibility()).flatMap(e => [...e.textContent.matchAll(/\\S+/g)]
        .filter(word => {
            const range = document.createRange();
            range.setStart(e.firstChild, word.index);
            range.setEnd(e.firstChild, word.index + word[0].length);
            return range.getClientRects().length !== 1;
        }).map(word => word[0]))"""


@pytest.mark.parametrize("width", [320, 360, 390])
def test_no_word_of_a_button_is_broken(browser: Any, tmp_path: Path, width: int):
    page = browser.new_page(viewport={"width": width, "height": 640})
    page.clock.set_fixed_time(datetime(2027, 2, 16, 9))
    page.goto(spanish_page(tmp_path))
    page.wait_for_selector("#now .go .button")
    assert page.evaluate(BROKEN) == []


FAR = """
name: Otto Brandt
privacy: open
screening: {on: 2027-01-01, regular_exercise: yes, known_disease: no, symptoms: no}
baseline: {on: 2027-01-04, cadence: 166 spm, pace: 7:10 /km, week: 90 min, longest: 40 min, runs: 3}
week: {tue: {}, thu: {}, sun: {}, long: sun}
goal: {event: {on: 2027-01-24, distance: marathon, name: Marathon of the Long Harbour Wall}}
plan: {from: 2027-01-04, weeks: 3}
"""


@pytest.mark.parametrize("width", [320, 390])
def test_the_long_name_of_an_event_leaves_its_title_room(
    browser: Any, tmp_path: Path, width: int
) -> None:
    """Its column took all of the line: one letter of "Your event" stood below the other."""
    clients = tmp_path / "clients"
    clients.mkdir()
    shared = "name: Stillwater\ncoach: Ines\ncontact: ines@example.org\nemergency: '112'\n"
    (clients / "practice.yaml").write_text(f"{shared}timezone: Europe/Lisbon\n")
    (clients / "otto.yaml").write_text(FAR)
    assert build_site(clients, tmp_path / "out", as_of=date(2027, 1, 18)).done
    pages = (tmp_path / "out").glob("*/index.html")
    address = next(page for page in pages if "Otto" in page.read_text())
    page = browser.new_page(viewport={"width": width, "height": 640})
    page.clock.set_fixed_time(datetime(2027, 1, 18, 9))
    page.goto(f"{address.as_uri()}#weeks")
    event = page.locator(".session:has(.long.event):visible")
    event.wait_for()
    lines = """e => {
        const words = document.createRange();
        words.selectNodeContents(e);
        return new Set([...words.getClientRects()].map(line => line.top)).size;
    }"""
    title = event.locator(".what").evaluate(lines)
    labels = event.locator(".facts dt:visible").evaluate_all(f"all => all.map({lines})")
    page.close()

    assert title <= 2
    assert len(labels) == 2 and set(labels) == {1}


@pytest.mark.parametrize("width", [320, 360, 390, 430])
def test_with_large_letters_now_s_buttons_stay_within_its_column(
    browser: Any, tmp_path: Path, width: int
):
    """Those of a reader's own setting; at 390 px "Registrar" stood 6 px beyond the lines above."""
    address = spanish_page(tmp_path)
    large = [*ARGS, "--blink-settings=defaultFontSize=32"]
    own = browser.browser_type.launch(executable_path=PROGRAM, args=large)
    page = own.new_page(viewport={"width": width, "height": 844})
    page.clock.set_fixed_time(datetime(2027, 2, 16, 9))
    page.goto(address)
    page.wait_for_selector("#now .go .button")
    column = page.locator("#now .go").bounding_box()
    buttons = [one.bounding_box() for one in page.locator("#now .go .button:visible").all()]
    own.close()
    assert len(buttons) == 2
    assert max(box["x"] + box["width"] for box in buttons) <= column["x"] + column["width"] + 1


def test_with_letters_twice_as_large_no_view_runs_off_the_side(browser: Any, tmp_path: Path):
    address = spanish_page(tmp_path)
    context = browser.new_context(viewport={"width": 320, "height": 640}, bypass_csp=True)
    page = context.new_page()
    page.clock.set_fixed_time(datetime(2027, 2, 16, 9))
    page.goto(address)
    page.wait_for_selector("html[data-ready]")
    page.add_style_tag(content="html { font-size: 200% !important }")
    page.evaluate("portal.go('weeks')")
    page.wait_for_selector("html[data-view=weeks]", state="attached")
    rows = page.evaluate(LANES)
    found = {}
    for view in VIEWS:
        page.evaluate("view => portal.go(view)", view)
        page.wait_for_selector(f"html[data-view={view}]", state="attached")
        if view == "checkin":
            for answer in ("[name=did][value=told]", "[name=any][value=some]"):
                page.locator(answer).check()
            page.locator("[data-c-today]").evaluate("more => { more.open = true; }")
        found[view] = page.evaluate(BEYOND)
    page.evaluate("portal.go('cadence')")
    words = page.locator(".chart.phone text")
    sizes = set(words.evaluate_all("all => all.map(word => getComputedStyle(word).fontSize)"))
    dates = page.evaluate(DATES)
    page.evaluate("portal.go('now')")
    page.locator("#now .go [href$='beat/start']").click()
    page.wait_for_selector("html[data-running]", state="attached")
    found["running"] = page.evaluate(BEYOND)
    context.close()

    assert found == {view: [] for view in (*VIEWS, "running")}
    assert sizes == {"18px"}, "of a drawing 400 wide; the table below it has the letters' own size"
    assert len(dates) > 2 and all(gap > 0 for gap in dates), "no date of the chart touches the next"
    assert len(rows) == 8
    for days, lane, row in rows:
        assert days == 1, "a date in one line"
        assert lane == row, "a lane has its row to itself"


def test_the_bar_grows_with_the_letters_and_the_start_stays_in_sight(browser: Any, tmp_path: Path):
    """As a reader sets it in the browser, who then has fewer of a page's own letters in a line."""
    address = spanish_page(tmp_path)
    large = [*ARGS, "--blink-settings=defaultFontSize=32"]
    own = browser.browser_type.launch(executable_path=PROGRAM, args=large)
    page = own.new_page(viewport={"width": 320, "height": 640}, bypass_csp=True)
    page.clock.set_fixed_time(datetime(2027, 2, 16, 9))
    page.goto(address)
    page.wait_for_selector("html[data-ready]")
    page.locator(".nav .more button").click()
    sizes = page.locator(".nav :is(a, button)").evaluate_all(
        "all => all.map(e => [getComputedStyle(e).fontSize, e.scrollWidth <= e.offsetWidth])"
    )
    page.keyboard.press("Escape")
    start = page.locator("#now .go [href$='beat/start']").bounding_box()
    beyond = page.evaluate(BEYOND)
    page.locator("#now .go [href$='beat/start']").click()
    page.wait_for_selector("html[data-running]", state="attached")
    page.locator("[data-b-stop]").wait_for()
    running = [
        page.locator(f"[data-b-{part}]").bounding_box()
        for part in ("left", "pause", "stop", "rate")
    ]
    own.close()

    assert sizes == [["24px", True]] * 9
    assert beyond == [] and start["y"] + start["height"] <= 640
    tops = [box["y"] for box in running]
    assert tops == sorted(tops) and tops[0] >= 0
    assert running[2]["y"] + running[2]["height"] <= 640, "the rate stands below"
