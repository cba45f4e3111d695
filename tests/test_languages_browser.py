"""The layout holds in Spanish, in a language with longer words, and from right to left.

In real Chromium, at the widths of a small phone, a phone and a desk. Without it the tests are
skipped and say so.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from chromium import needs_chromium
from language_builder import BACKWARDS, LONGER, make_renderer
from portal_builder import KEY, PORTAL, lay_down, make_case, make_drills, make_plan
from sitegen.seal.sealing import seal, sealed_text, stretch

pytestmark = needs_chromium

VIEWS = ("now", "weeks", "beat", "checkin", "drills", "cadence", "calendar", "care")
WIDTHS = (320, 390, 1280)
TONGUES = ("es", LONGER, BACKWARDS)
TUESDAY = datetime(2027, 2, 16, 18, 5)

# What sticks out of the page sideways, what is cut off by its own box, and what runs into its
# neighbour. A list that scrolls by design, and what only a screen reader finds, are left out.
FAULTS = """() => {
  const wide = document.documentElement.clientWidth;
  const faults = [];
  if (document.documentElement.scrollWidth > wide) faults.push("the page scrolls sideways");
  const unseen = (e) => e.closest(".hide, .skip, .c-unseen, .scroll, [hidden], noscript, option");
  const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  let looked = 0;
  while (texts.nextNode()) {
    const text = texts.currentNode, parent = text.parentElement;
    if (!text.data.trim() || unseen(parent) || !parent.checkVisibility()) continue;
    const range = document.createRange();
    range.selectNodeContents(text);
    for (const box of range.getClientRects()) {
      looked += 1;
      if (box.left < -0.5 || box.right > wide + 0.5)
        faults.push("out of the page: " + text.data.trim());
    }
    for (let e = parent; e && e !== document.body; e = e.parentElement) {
      const style = getComputedStyle(e);
      if (style.overflowX === "visible" || style.display === "inline") continue;
      if (e.scrollWidth > e.clientWidth + 1) faults.push("cut: " + text.data.trim());
    }
  }
  for (const box of document.querySelectorAll("button, .button, .nav a, summary, dt, dd, .kind")) {
    if (unseen(box) || !box.checkVisibility()) continue;
    if (box.scrollWidth > box.clientWidth + 1 && getComputedStyle(box).display !== "inline")
      faults.push("wider than its box: " + box.textContent.trim());
  }
  for (const svg of document.querySelectorAll("svg.chart")) {
    if (!svg.checkVisibility()) continue;
    const whole = svg.getBoundingClientRect();
    for (const text of svg.querySelectorAll("text")) {
      const box = text.getBoundingClientRect();
      if (box.left < whole.left - 1 || box.right > whole.right + 1)
        faults.push("out of the chart: " + text.textContent);
    }
  }
  return {looked, faults: [...new Set(faults)]};
}"""

# Words that were broken in two without a hyphen; addresses and other long rows may.
BROKEN = """() => {
  const found = [];
  const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (texts.nextNode()) {
    const text = texts.currentNode;
    if (!text.parentElement.checkVisibility() || text.parentElement.closest("svg, .hide, noscript"))
      continue;
    for (const word of text.data.matchAll(/[\\p{L}]{2,16}/gu)) {
      const range = document.createRange();
      range.setStart(text, word.index);
      range.setEnd(text, word.index + word[0].length);
      const lines = new Set(Array.from(range.getClientRects(), (box) => Math.round(box.top)));
      if (lines.size > 1) found.push(word[0]);
    }
  }
  return found;
}"""


@pytest.fixture(scope="module")
def sites(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Mara's portal in each language, open; and the locked door of it."""
    root = tmp_path_factory.mktemp("tongues")
    renderer = make_renderer()
    pages: dict[str, Path] = {}
    for language in TONGUES:
        case = make_case(language=language)
        feed_url = "https://plans.example.org/feeds/x.ics"
        content = renderer.document(case, make_plan(), make_drills(), feed_url=feed_url, code="K7")
        page = renderer.page(content=content, sealed=None, language=language, portal=PORTAL)
        pages[language] = lay_down(root / language, page, renderer.assets(), "")
        lock = stretch("two words", bytes(range(16)), 100_000)
        closed = sealed_text(seal(content.encode(), portal=PORTAL, key=KEY, passphrase=lock))
        door = renderer.page(content=None, sealed=closed, language=language, portal=PORTAL)
        pages[f"{language} door"] = lay_down(root / f"{language}-door", door, renderer.assets(), "")
    return pages


@pytest.fixture
def visit(browser: Any, sites: dict[str, Path]) -> Iterator[Any]:
    contexts: list[Any] = []

    def open_page(site: str, width: int, end: str = "", ready: str = "html[data-ready]") -> Any:
        context = browser.new_context(
            viewport={"width": width, "height": 844}, timezone_id="Europe/Lisbon", locale="en-GB"
        )
        contexts.append(context)
        page = context.new_page()
        page.clock.set_fixed_time(TUESDAY)
        page.goto(sites[site].as_uri() + end)
        page.wait_for_selector(ready, state="attached")
        return page

    yield open_page
    for context in contexts:
        context.close()


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("language", TONGUES)
def test_nothing_sticks_out_and_nothing_is_cut(visit, language, width):
    page = visit(language, width)
    for view in VIEWS:
        page.evaluate("view => window.portal.go(view)", view)
        page.wait_for_selector(f"#{view}:not([hidden])")
        page.evaluate(
            "() => document.querySelectorAll('details, [data-c-form] [hidden]').forEach("
            "e => e.tagName === 'DETAILS' ? e.open = true : e.hidden = false)"
        )
        found = page.evaluate(FAULTS)

        assert found["looked"] > 15, f"{view}: no words were seen; is the test blind?"
        assert found["faults"] == [], f"{view} at {width}"


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("language", TONGUES)
def test_the_door_holds_too(visit, language, width):
    page = visit(f"{language} door", width, ready="html[data-door]")
    page.evaluate(
        "() => document.querySelectorAll('.door [hidden]').forEach(e => e.hidden = false)"
    )
    found = page.evaluate(FAULTS)

    assert found["looked"] > 15
    assert found["faults"] == []


@pytest.mark.parametrize("width", (320, 390))
def test_no_spanish_word_is_broken_in_two(visit, width):
    page = visit("es", width)
    for view in VIEWS:
        page.evaluate("view => window.portal.go(view)", view)
        page.wait_for_selector(f"#{view}:not([hidden])")

        assert page.evaluate(BROKEN) == [], view


def test_a_right_to_left_page_runs_from_the_right(visit):
    page = visit(BACKWARDS, 1280)
    nav = page.locator(".nav").bounding_box()
    title = page.locator("#now .title").bounding_box()

    assert page.evaluate("getComputedStyle(document.body).direction") == "rtl"
    assert nav["x"] > title["x"], "the views stand to the right of the page"


def test_the_browser_says_days_in_spanish(visit):
    """The title of Now comes from the browser's own words for days."""
    page = visit("es", 390)

    assert page.locator("#now .title").inner_text().endswith("martes, 16 de febrero, 18:30")
    assert "jue 18 feb" in page.locator("#weeks").text_content()
    page.evaluate("window.portal.go('checkin')")
    assert page.locator("[data-c-session] option").first.inner_text().startswith("Hoy: ")


def test_a_spanish_check_in_goes_out_in_the_logs_own_words(visit):
    page = visit("es", 390)
    page.evaluate("window.portal.go('checkin')")
    form = page.locator("[data-c-form]")
    form.get_by_label("Más corto").check()
    form.get_by_label("Minutos corriendo").fill("24")
    form.get_by_text("Pisada, distancia y cadencia").click()
    form.get_by_label("Ruidosa").check()
    form.get_by_label("Algo: ver la lista").check()
    form.locator("details", has=page.get_by_label("Cojera")).locator("summary").click()
    form.get_by_label("Cojera").check()
    text = page.locator("[data-c-form] [data-c-text]").text_content()
    filled = "Check-in K7\n- on: 2027-02-16\n  ran: 24 min\n  landing: loud\n  signs: [limp]\n"

    assert text.startswith(filled + "  id: ")
