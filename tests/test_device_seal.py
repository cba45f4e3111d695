"""What a sealed page keeps of what its reader told is sealed too; a passphrase is kept if asked."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import expect

from chromium import needs_chromium
from js.view_page import served
from portal_builder import KEY_TEXT, PORTAL, write_sealed_site

pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
pytestmark = needs_chromium

WORDS = "quiet harbour walk"
KEPT = "() => Object.entries(localStorage)"
CHECKIN, STOP = f"portal.{PORTAL}.checkin", f"stop.{PORTAL}"


class Door:
    def __init__(self, page: Any, address: str) -> None:
        self.page, self.address = page, f"{address}/{PORTAL}/#k={KEY_TEXT}&v=checkin"

    def open(self, words: str = "") -> Any:
        self.page.goto("about:blank")
        self.page.goto(self.address)
        if words:
            self.page.fill("#passphrase", words)
            self.page.keyboard.press("Enter")
        self.page.wait_for_selector("html[data-ready]", state="attached")
        return self.page

    def kept(self, *names: str) -> dict[str, str]:
        """What stands in the browser's storage, once all of these are there."""
        self.page.wait_for_function("names => names.every(n => localStorage[n])", arg=list(names))
        return dict(self.page.evaluate(KEPT))


@pytest.fixture
def door(browser: Any, tmp_path: Path) -> Iterator[Door]:
    write_sealed_site(tmp_path)
    yield from _door(browser, tmp_path)


@pytest.fixture
def locked(browser: Any, tmp_path: Path) -> Iterator[Door]:
    write_sealed_site(tmp_path, WORDS)
    yield from _door(browser, tmp_path)


def _door(browser: Any, folder: Path) -> Iterator[Door]:
    # Without the worker, which shows the page as it was where a busy host lets it wait.
    context = browser.new_context(
        viewport={"width": 390, "height": 844}, bypass_csp=True, service_workers="block"
    )
    with served(folder) as address:
        page = context.new_page()
        page.clock.set_fixed_time(datetime(2027, 2, 16, 20))
        yield Door(page, address)
    context.close()


def tell(page: Any) -> None:
    page.locator("[name=did][value=shorter]").check()
    page.locator("[name=ran]").fill("11")
    page.locator("[name=said]").fill("windy")
    page.locator("[name=signs][value=chest_pain]").evaluate("box => box.click()")
    page.locator("[name=any][value=some]").check()


def test_what_was_told_is_kept_as_noise_and_is_there_again_with_the_link(door: Door):
    page = door.open()
    tell(page)
    for name, value in door.kept(CHECKIN, STOP).items():
        assert not any(word in value for word in ("windy", "chest", "signs", '"ran"', "{")), name

    door.open()
    assert page.locator("[name=said]").input_value() == "windy"
    expect(page.locator("#device-stop [data-grade=now]")).to_be_visible()


@pytest.mark.parametrize("value", ["", "AAAA", "not base64 at all", "A" * 200])
def test_what_cannot_be_opened_is_nothing(door: Door, value: str):
    page = door.open()
    page.evaluate("([n, v]) => localStorage.setItem(n, v)", [CHECKIN, value])

    door.open()
    assert page.locator("[name=said]").input_value() == ""
    tell(page)
    door.open()
    assert page.locator("[name=said]").input_value() == "windy"


def test_forgetting_takes_it_away_and_nothing_is_written_after_it(door: Door):
    page = door.open()
    page.locator("[name=did][value=shorter]").check()
    page.locator("[name=said]").fill("windy")
    page.click("#forget")
    page.click("#forget-yes")
    page.wait_for_selector("html[data-door=forgotten]", state="attached")
    # What was still to be sealed has had its turn by then.
    page.evaluate(
        "async () => { for (let n = 0; n < 50; n++)"
        " await crypto.subtle.digest('SHA-256', new Uint8Array(1024)); }"
    )

    assert page.evaluate(KEPT) == []


def test_a_passphrase_is_asked_for_until_its_reader_chose_otherwise(locked: Door):
    page = locked.open(WORDS)
    assert not page.is_checked("#keep-words")
    tell(page)
    locked.kept(CHECKIN)
    locked.open(WORDS)
    assert page.locator("[name=said]").input_value() == "windy"

    page.check("#keep-words")
    locked.open()
    assert page.is_checked("#keep-words")
    assert WORDS not in str(page.evaluate(KEPT))

    page.uncheck("#keep-words")
    page.goto("about:blank")
    page.goto(locked.address)
    page.wait_for_selector("#passphrase", state="visible")


def test_another_passphrase_of_the_coach_is_asked_for(locked: Door, tmp_path: Path):
    page = locked.open(WORDS)
    page.check("#keep-words")
    write_sealed_site(tmp_path, "another one")

    locked.open("another one")
    assert not page.is_checked("#keep-words")


@pytest.mark.parametrize("before", ["", WORDS], ids=["none", "another"])
def test_a_passphrase_that_the_coach_sets_ends_no_stop(door: Door, tmp_path: Path, before: str):
    write_sealed_site(tmp_path, before or None)
    page = door.open(before)
    tell(page)
    door.kept(STOP)
    write_sealed_site(tmp_path, "a third one")

    door.open("a third one")
    expect(page.locator("#device-stop [data-grade=now]")).to_be_visible()


@pytest.mark.parametrize(
    "then", [("the second",), ("the second", "the third"), ("the second", "")], ids=str
)
def test_a_check_in_that_was_begun_stays_under_another_passphrase(
    locked: Door, tmp_path: Path, then: tuple[str, ...]
):
    """What was written under the one before was lost, and the client was told nothing."""
    page = locked.open(WORDS)
    tell(page)
    locked.kept(CHECKIN)
    *between, last = then
    write_sealed_site(tmp_path, last, WORDS, *between)

    locked.open(last)
    assert page.locator("[name=said]").input_value() == "windy"
    kept = locked.kept(CHECKIN)[CHECKIN]
    page.locator("[name=said]").fill("windy, and cold")
    page.wait_for_function("([name, was]) => localStorage[name] !== was", arg=[CHECKIN, kept])
    write_sealed_site(tmp_path, last)
    locked.open(last)
    assert page.locator("[name=said]").input_value() == "windy, and cold", "written under the new"
