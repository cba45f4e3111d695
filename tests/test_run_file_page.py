"""A run's own file chosen in the check-in: shown, filled in, changed, sent, and let go of."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

pytest.importorskip("playwright.sync_api", reason="playwright is not installed")

from playwright.sync_api import Browser, Page, expect

import run_files as made
from chromium import needs_chromium
from js.view_page import served, write_page
from run_files import gpx, points
from test_checkin_page import button, copied, opened, tick

pytestmark = needs_chromium
EVENING = datetime(2027, 2, 10, 18, 30, tzinfo=UTC)
MONDAY = datetime(2027, 2, 8, 7, 0, tzinfo=UTC)
RUN = list(points(made.RUN, 5.0))
RUN_WALK = list(points(made.RUN_WALK, 5.0))


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    folder = tmp_path_factory.mktemp("view")
    write_page(folder, "checkin", "Check-in")
    with served(folder) as url:
        yield f"{url}/checkin.html"


@pytest.fixture
def page(browser: Browser, address: str) -> Iterator[Page]:
    """The check-in on the evening of Wednesday 10 February 2027; silent on the console."""
    context = browser.new_context(
        viewport={"width": 390, "height": 844}, has_touch=True, locale="en-GB",
        timezone_id="Europe/Lisbon", permissions=["clipboard-read", "clipboard-write"],
    )  # fmt: skip
    yield from opened(context, address)
    context.close()


def choose(page: Page, data: bytes, name: str = "run.gpx") -> None:
    if not page.locator("[data-c-file]").evaluate("(box) => box.open"):
        page.get_by_text("Take the numbers from the run's own file").tap()
    page.locator("[data-c-file] input").set_input_files(
        {"name": name, "mimeType": "application/octet-stream", "buffer": data}
    )
    expect(page.locator("[data-c-told]")).not_to_have_text("Reading …")


def told(page: Page) -> list[str]:
    return page.locator("[data-c-told] :is(strong, p)").all_text_contents()


def test_a_file_fills_the_check_in_that_is_then_sent(page: Page) -> None:
    choose(page, gpx(RUN_WALK, foot=1, start=EVENING))
    assert told(page) == [
        "Wed 10 Feb, 18:30: 18 min moving, 18 min in all",
        "2.34 km, 7:42 a km",
        "162 steps a minute",
        "The file counts one foot (81 a minute), so the step rate is doubled.",
        "By its steps, 12 min of it were running.",
        "Filled in under “Today: Run to the beat, 30 min”. Change what isn't so.",
        "Neither the file nor where you ran is kept.",
    ]
    expect(page.locator("[data-c-file] input")).to_have_value("")
    expect(page.get_by_role("radio", name="Shorter")).to_be_checked()
    page.get_by_label("Distance (km)").fill("2.4")  # the client knows better
    for label in ("Nothing of the kind", "None"):
        tick(page, label)
    button(page, "Copy").tap()
    assert copied(page) == (
        "Check-in ABCD-EFGH\n- on: 2027-02-10\n  ran: 12 min\n  distance: 2.4 km\n"
        "  cadence: 162 spm\n  pain: {during: 0, after: 0}\n"
    )
    kept = page.evaluate("JSON.stringify(Object.entries(localStorage))")
    assert json.loads(kept) and "38.7" not in kept and "9.14" not in kept
    assert page.evaluate(
        "performance.getEntriesByType('resource').every(e => /\\.(js|css)$/.test(e.name))"
    )


def test_a_file_of_another_day_goes_to_that_day_s_session(page: Page) -> None:
    choose(page, gpx(RUN, rated=False, start=MONDAY))
    expect(page.get_by_label("Session")).to_have_value("mon-1")
    assert "Walking before and after counts in the minutes: take it off." in told(page)
    expect(page.get_by_label("Minutes of running")).to_have_value("20")
    choose(page, gpx(RUN, start=datetime(2027, 2, 6, 7, 0, tzinfo=UTC)))  # a day without a session
    expect(page.get_by_label("Session")).to_have_value("extra")
    expect(page.get_by_label("Day", exact=True)).to_have_value("2027-02-06")


def test_what_can_t_be_told_is_asked_and_not_filled_in(page: Page) -> None:
    choose(page, gpx(RUN_WALK, rated=False, start=EVENING))
    assert any(line.startswith("The file can't tell running from walking") for line in told(page))
    expect(page.locator("[name=did]:checked")).to_have_count(0)
    page.get_by_role("button", name="Empty this check-in").tap()
    for name in ("a ride", "billion laughs", "a device's own form", "cut off in a tag"):
        choose(page, made.ODD[name])
        assert told(page)
        expect(page.locator("[name=did]:checked")).to_have_count(0)
        expect(page.get_by_label("Distance (km)")).to_have_value("")
    choose(page, gpx(RUN, start=datetime(2026, 2, 10, 7, 0, tzinfo=UTC)))
    assert "A check-in is for the last four weeks; this was on 2026-02-10." in told(page)
    expect(page.get_by_label("Distance (km)")).to_have_value("")


def test_of_several_runs_in_a_file_one_is_chosen(page: Page) -> None:
    choose(page, Path(__file__).parents[1].joinpath("docs/run-example.csv").read_bytes(), "r.csv")
    assert "The file holds several runs. Which one?" in told(page)
    runs = page.get_by_role("combobox", name="Run")
    assert runs.locator("option").all_text_contents()[-1].startswith("Wed 10 Feb, 18:30: 31 min")
    runs.select_option("0")
    expect(page.get_by_label("Minutes of running")).to_have_value("31")
    expect(page.get_by_label("Steps a minute, both feet")).to_have_value("164")
