"""The desk in browsers: read by axe-core, worked by keyboard alone, at two widths, light and
dark.

Source of the rules: axe-core, which holds pages against WCAG 2.2 A and AA and its own best
practices.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from chromium import needs_chromium
from desk_served import lay_practice, served
from nightly import some_of
from sitegen.desk.server import Desk

ROOT = Path(__file__).resolve().parent.parent
AXE = ROOT / "node_modules" / "axe-core" / "axe.min.js"
AXE_RUN = "() => axe.run(document, { iframes: false, resultTypes: ['violations', 'passes'] })"
SIZES = {"wide": (1280, 800), "narrow": (820, 1180), "phone": (390, 844)}
LOOKS = [("light", "wide"), ("dark", "narrow"), ("dark", "wide"), ("light", "narrow")]

pytestmark = needs_chromium


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    clients = lay_practice(tmp_path)
    with (clients / "ayla.yaml").open("a") as file:
        file.write("private: Ask about the new shoes.\n")
    with served(clients, watches=True) as running:
        yield running


def come_in(browser: Any, desk: Desk, scheme: str = "light", size: str = "wide") -> Page:
    width, height = SIZES[size]
    context = browser.new_context(
        viewport={"width": width, "height": height}, color_scheme=scheme, bypass_csp=False
    )
    page: Page = context.new_page()
    page.goto(desk.new_address())
    expect(page.get_by_role("heading", name="The week behind and the week ahead")).to_be_visible()
    return page


def go(page: Page, part: str) -> None:
    page.evaluate("part => { location.hash = part; }", part)


def read_by_axe(page: Page, what: str) -> list[tuple[str, str, str]]:
    """What axe finds; its script comes in by the debugger, which no policy of a page holds off."""
    found = page.evaluate(AXE_RUN)
    assert len(found["passes"]) > 12, what
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), f"{what} is wider"
    return [(what, v["id"], v["nodes"][0]["html"]) for v in found["violations"]]


@pytest.mark.skipif(not AXE.exists(), reason="axe-core is not installed; npm install axe-core")
@pytest.mark.parametrize(("scheme", "size"), some_of(LOOKS, ("dark", "narrow")))
def test_axe_finds_nothing_in_any_part(browser: Any, desk: Desk, scheme: str, size: str) -> None:
    page = come_in(browser, desk, scheme, size)
    page.evaluate(AXE.read_text(encoding="utf-8"))
    found = read_by_axe(page, "sheet")
    page.get_by_text("Answer or lift").click()
    page.get_by_role("button", name="Decide… for Mirela Castell").click()
    page.get_by_text("Lighter week").click()
    found += read_by_axe(page, "decide")
    page.get_by_role("textbox", name="Why? Your client reads it").first.fill("work")
    page.get_by_role("button", name="Show what it does…").first.click()
    expect(page.get_by_role("button", name="Write it")).to_be_visible()
    found += read_by_axe(page, "shown")
    page.keyboard.press("Escape")
    go(page, "client?id=ayla")
    expect(page.frame_locator("iframe.phone").get_by_text("Run to the beat").first).to_be_visible()
    page.locator("#whatif > summary").click()
    page.get_by_label("Growth a week").fill("5 %")
    expect(page.get_by_role("region", name="Both plans")).to_be_visible()
    found += read_by_axe(page, "client")
    page.get_by_role("button", name="Why week 10").click()
    expect(page.get_by_role("heading", name="Ayla Verne, week 10")).to_be_visible()
    found += read_by_axe(page, "why")
    page.keyboard.press("Escape")
    number = page.get_by_role("button", name="min, the longest run, week 10: why")
    number.click()
    expect(page.locator("#ask .lead")).to_contain_text("longest run")
    found += read_by_axe(page, "why of a number")
    page.keyboard.press("Escape")
    expect(number).to_be_focused()
    go(page, "taking")
    page.get_by_label("Paste messages here").fill("Check-in ABCD-EFGH\n- on: 2027-03-17\n")
    page.get_by_role("button", name="Take them in").click()
    expect(page.locator("#came")).to_contain_text("kept aside")
    found += read_by_axe(page, "taking")
    go(page, "back")
    expect(page.get_by_role("heading", name="What was done lately")).to_be_visible()
    found += read_by_axe(page, "back")
    go(page, "many")
    expect(page.get_by_role("heading", name="For many")).to_be_visible()
    found += read_by_axe(page, "many")
    held: list[Any] = []
    page.route("**/act/many/house", lambda route: held.append(route))
    page.get_by_label("Setting").fill("volume: {growth: 4 %}")
    with page.expect_request("**/act/many/house"):
        page.get_by_role("button", name="Show what it does…").first.click()
    expect(page.get_by_role("status").first).to_contain_text("This takes a moment")
    held[0].continue_()
    expect(page.get_by_role("heading", name="A house rule for all")).to_be_focused()
    expect(page.get_by_role("status").first).to_have_text("")
    page.keyboard.press("Escape")
    go(page, "out")
    expect(page.get_by_role("heading", name="Out", exact=True)).to_be_visible()
    found += read_by_axe(page, "out")
    page.get_by_role("button", name="Build…").click()
    expect(page.get_by_role("heading", name="Build all pages")).to_be_focused()
    found += read_by_axe(page, "build")
    page.keyboard.press("Escape")
    go(page, "client?id=ayla")
    page.get_by_role("button", name="One line of time…").click()
    expect(page.get_by_role("heading", name="Ayla Verne, the latest first")).to_be_focused()
    found += read_by_axe(page, "history")
    page.context.close()
    assert found == []


def test_on_a_phone_no_part_is_wider_than_it_and_the_frame_runs_without_a_fault(
    browser: Any, desk: Desk
) -> None:
    page = come_in(browser, desk, size="phone")
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    wider = {}
    for part, words in (
        ("sheet", "The week behind and the week ahead"), ("client?id=ayla", "The weeks"),
        ("many", "For many"), ("out", "Links on paper"), ("back", "What was done lately"),
    ):  # fmt: skip
        go(page, part)
        expect(page.get_by_role("heading", name=words)).to_be_visible()
        if part.startswith("client"):
            frame = page.frame_locator("iframe.phone")
            expect(frame.get_by_text("Run to the beat").first).to_be_visible()
            frame.locator(".months").wait_for(state="attached")
            expect(frame.locator(".b-listen")).to_have_count(1)  # the last of what comes late
        wider[part] = page.evaluate("document.documentElement.scrollWidth - innerWidth")
    page.context.close()
    assert max(wider.values()) <= 0, wider
    assert faults == []


def test_an_act_by_keyboard_alone_keeps_the_place(browser: Any, desk: Desk) -> None:
    """From the row to its act, shown, written, and the focus is where it was; then taken back."""
    page = come_in(browser, desk)
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    button = page.get_by_role("button", name="Decide… for Mirela Castell")
    button.focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Decide for Mirela Castell")).to_be_focused()
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")  # the first of the acts opens
    for key in ("Tab", "Tab"):
        page.keyboard.press(key)
    page.keyboard.type("a hard week")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Lighter week: Mirela Castell")).to_be_focused()
    expect(page.get_by_text("+ changes:")).to_be_visible()
    page.get_by_role("button", name="Write it").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("status").first).to_contain_text("Written.")
    expect(button).to_be_focused()
    assert "a hard week" in (desk.warm.clients / "mirela.yaml").read_text()

    page.keyboard.press("Shift+Tab")
    go(page, "back")
    take = page.get_by_role("button", name="Take the last act back…")
    take.focus()
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Take it back", exact=True).press("Enter")
    expect(page.get_by_role("status").first).to_contain_text("Taken back.")
    assert "a hard week" not in (desk.warm.clients / "mirela.yaml").read_text()
    assert faults == []
    page.context.close()


def test_what_changes_outside_appears_by_itself_and_what_she_writes_stays(
    browser: Any, desk: Desk
) -> None:
    page = come_in(browser, desk)
    file = desk.warm.clients / "jonas.yaml"
    file.write_text(file.read_text().replace("name: ", "name: Old ", 1))
    expect(page.get_by_role("link", name="Old Jonas")).to_be_visible()

    go(page, "client?id=jonas")
    field = page.get_by_label("jonas.yaml")
    field.fill(field.input_value() + "# mine\n")
    file.write_text(file.read_text() + "# another's\n")
    expect(page.get_by_role("status").first).to_contain_text("what you write here is kept")
    assert field.input_value().endswith("# mine\n")
    page.get_by_role("button", name="Save…").click()
    expect(page.get_by_text("changed since you opened it here")).to_be_visible()
    assert "# mine" not in file.read_text()
    page.context.close()


def test_a_page_that_was_reloaded_is_still_in_and_an_ended_desk_says_so(
    browser: Any, tmp_path: Path
) -> None:
    with served(lay_practice(tmp_path)) as desk:
        page = come_in(browser, desk)
        assert "#" not in page.url, "the token stands in no history"
        page.reload()
        expect(page.get_by_role("link", name="Ayla Verne")).to_be_visible()
    go(page, "back")
    expect(page.get_by_role("status").first).to_contain_text("The desk does not answer")
    page.context.close()


def test_a_second_press_does_nothing_and_her_own_act_is_no_news(browser: Any, desk: Desk) -> None:
    page = come_in(browser, desk)
    asked: list[str] = []
    page.on("request", lambda one: asked.append(one.url) if "/act/" in one.url else None)
    page.evaluate(
        """() => { window.said = []; new MutationObserver(() => window.said.push(
          document.querySelector("#says").textContent)).observe(
          document.querySelector("#says"), { childList: true }); }"""
    )
    go(page, "taking")
    field = page.get_by_label("Paste messages here")
    field.fill("See you on Tuesday.")
    page.evaluate(
        """() => { const form = document.querySelector("form.taking");
          form.requestSubmit(); setTimeout(() => form.requestSubmit(), 0); }"""
    )
    expect(page.locator("#came")).to_contain_text("1 kept aside")
    expect(page.get_by_role("button", name="Put it away")).to_be_visible()
    assert len(asked) == 1
    expect(page.locator("#came")).to_contain_text("1 kept aside")

    field.fill("half a message")  # she writes on while another of her acts is written
    page.get_by_role("button", name="Put it away").click()
    page.get_by_role("button", name="Put it away", exact=True).click()
    expect(page.locator("#came")).to_contain_text("Back brings it again")
    file = desk.warm.clients / "jonas.yaml"
    file.write_text(file.read_text() + "# another's\n")
    expect(page.get_by_role("status").first).to_contain_text("Something changed")
    assert field.input_value() == "half a message"
    assert sum("Something changed" in one for one in page.evaluate("window.said")) == 1
    page.context.close()


def test_an_alarm_that_she_opens_while_they_are_read_stays_open(browser: Any, desk: Desk) -> None:
    page = come_in(browser, desk)
    held: list[Any] = []
    page.route("**/panel/alarms", lambda route: held.append(route))
    go(page, "taking")
    field = page.get_by_label("Paste messages here")
    field.fill("See you on Tuesday.")
    with page.expect_request("**/panel/alarms"):
        page.get_by_role("button", name="Take them in").click()
    page.locator("#above summary").first.click()
    for route in held:
        route.continue_()
    held.clear()
    expect(page.locator("#above")).to_contain_text("a message waits")
    expect(page.locator("#above [name=because]").first).to_be_visible()
    page.context.close()


def test_what_she_types_while_messages_are_taken_in_stays(browser: Any, desk: Desk) -> None:
    page = come_in(browser, desk)
    go(page, "taking")
    held: list[Any] = []
    page.route("**/act/taking/receive", lambda route: held.append(route))
    field, answer = page.get_by_label("Paste messages here"), page.locator("#above [name=because]")
    page.locator("#above summary").first.click()
    answer.first.fill("I rang")
    field.fill("See you on Tuesday.")
    page.get_by_role("button", name="Take them in").click()
    field.press_sequentially(" And the next one")
    held[0].continue_()
    expect(page.locator("#came")).to_contain_text("1 kept aside")
    expect(page.locator("#above")).to_contain_text("a message waits")  # it was drawn anew
    assert field.input_value().endswith(" And the next one")
    assert answer.first.input_value() == "I rang"
    page.unroute("**/act/taking/receive")
    page.get_by_role("button", name="Take them in").click()
    expect(field).to_have_value("")
    page.context.close()


def test_what_is_read_in_closes_no_dialog_that_she_opened_meanwhile(
    browser: Any, desk: Desk
) -> None:
    page = come_in(browser, desk)
    go(page, "taking")
    page.get_by_role("textbox", name="Paste messages here").fill("See you on Tuesday.")
    held: list[Any] = []
    page.route("**/act/taking/receive", lambda route: held.append(route))
    page.get_by_role("button", name="Take them in").click()
    expect(page.locator("#says")).to_have_text("They are read…")
    page.locator("#above summary").first.click()
    page.get_by_role("textbox", name="What you did").first.fill("Rang her.")
    page.get_by_role("button", name="Answer…").first.click()
    expect(page.get_by_role("button", name="Note it")).to_be_visible()
    held[0].continue_()
    expect(page.locator("#came")).to_contain_text("1 kept aside")
    page.get_by_role("button", name="Note it").click()
    expect(page.locator("#ask")).to_contain_text("Your answer was noted.")
    page.context.close()


def test_the_page_below_is_new_while_a_dialog_tells_what_was_done(browser: Any, desk: Desk) -> None:
    page = come_in(browser, desk)
    go(page, "back")
    expect(page.locator("#main")).to_contain_text("Nothing was done yet")
    page.locator("#above summary").first.click()
    page.get_by_role("textbox", name="What you did").first.fill("Rang her.")
    page.get_by_role("button", name="Answer…").first.click()
    page.get_by_role("button", name="Note it").click()
    expect(page.locator("#main")).to_contain_text("alarm 1 answered")
    expect(page.locator("#ask")).to_contain_text("Your answer was noted.")
    page.context.close()


def test_what_was_built_is_published_from_the_same_dialog(browser: Any, desk: Desk) -> None:
    host = desk.warm.clients.parent / "host"
    with (desk.warm.clients / "practice.yaml").open("a") as file:
        file.write(f"targets: {{site: {host}}}\n")
    page = come_in(browser, desk)
    go(page, "out")
    ask = page.locator("#ask")
    page.get_by_role("button", name="Build…").click()
    ask.get_by_role("button", name="Build", exact=True).click()
    ask.get_by_role("button", name="Publish…").click()
    expect(ask.get_by_role("heading")).to_contain_text("Publish: ")
    assert not host.exists(), "it was only shown"
    ask.get_by_role("button", name="Publish", exact=True).click()
    expect(ask.get_by_role("heading")).to_contain_text("files sent")
    assert (host / "index.html").exists()
    page.context.close()


def test_a_table_that_fits_has_no_bar_below_or_beside_it(browser: Any, desk: Desk) -> None:
    """A word for those who hear the page stood a pixel outside."""
    page = come_in(browser, desk)
    table = page.locator("#main .scroll").last
    wider = "one => [one.scrollWidth - one.clientWidth, one.offsetWidth - one.clientWidth]"
    assert table.evaluate(wider) == [0, 0]
    go(page, "client?id=mirela")
    expect(page.frame_locator("iframe.phone").get_by_role("heading").first).to_be_visible()
    assert table.evaluate(wider) == [0, 0]
    page.context.close()
