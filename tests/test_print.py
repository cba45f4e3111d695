"""Paper: from Now the week that runs, from Weeks those to come on few sheets, or one clean sheet a
week on A4 and Letter; today's drills; and the link as a QR code for who asks.

The sheets are counted and read with poppler's tools; the code is read back with zxing-cpp.
"""

from __future__ import annotations

import base64
import re
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import expect

from chromium import needs_chromium
from commands import sitegen
from portal_builder import KEY_TEXT, PORTAL, ROOT, make_plan, write_site
from sitegen.model.sentence import say
from sitegen.portal.qr import squares
from sitegen.portal.reacting import DEVICE_RULES

needs_poppler = pytest.mark.skipif(
    shutil.which("pdftotext") is None, reason="poppler-utils is not on this machine"
)
pytestmark = needs_chromium

LINK = f"https://plans.example.org/{PORTAL}/#k={KEY_TEXT}"
FORMATS = {"A4": (595, 842), "Letter": (612, 792)}  # in points


@pytest.fixture(scope="module")
def page(browser: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    file = write_site(tmp_path_factory.mktemp("site"), link=LINK)
    page = browser.new_page()
    page.goto(f"{file.as_uri()}#weeks")
    page.wait_for_selector("html[data-ready]", state="attached")
    page.evaluate("window.print = () => {}")
    yield page
    page.close()


@pytest.fixture(autouse=True)
def afresh(page: Any) -> None:
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    page.uncheck("#qr")
    page.check("#sheets")


def sheets(page: Any, form: str, place: Path) -> list[str]:
    """The text of each sheet that a printer would get."""
    file = place / "out.pdf"
    page.pdf(path=file, format=form)
    told = subprocess.run(["pdfinfo", str(file)], capture_output=True, text=True, check=True)
    size = re.search(r"Page size:\s+([\d.]+) x ([\d.]+)", told.stdout)
    assert size
    assert (float(size[1]), float(size[2])) == pytest.approx(FORMATS[form], abs=2)
    text = subprocess.run(
        ["pdftotext", "-layout", str(file), "-"], capture_output=True, text=True, check=True
    )
    return text.stdout.split("\f")[:-1]


@needs_poppler
@pytest.mark.parametrize("form", FORMATS)
@pytest.mark.parametrize("with_code", [False, True], ids=["plain", "code"])
def test_the_plan_is_one_sheet_a_week(page: Any, form: str, with_code: bool, tmp_path: Path):
    page.set_checked("#qr", with_code)

    found = sheets(page, form, tmp_path)

    assert len(found) == len(make_plan().weeks)
    for number, text in enumerate(found, 1):
        assert re.search(rf"Week\s+{number}\b", text)
        assert "Strength" in text and "next morning" in text
        assert not re.search(r"Print|QR|Forget|Check in|Drills$|Reload", text, re.MULTILINE)


@needs_poppler
@pytest.mark.parametrize("form", FORMATS)
def test_a_week_of_five_runs_with_many_parts_still_fits_one_sheet(
    page: Any, form: str, tmp_path: Path
):
    plan = make_plan()
    week = plan.weeks[2]
    beat = next(s for s in week.sessions if s.kind == "beat")
    more = tuple(
        beat._replace(id=f"more{n}", on=week.sessions[2].on, drills=("quiet-landing",))
        for n in (1, 2)
    )
    purpose = say("Shorter, quicker steps at the same speed, until they are yours.")
    sessions = (*week.sessions[:3], *more, *week.sessions[3:])
    told = tuple(session._replace(purpose=purpose) for session in sessions)
    full = plan._replace(weeks=(week._replace(sessions=told),))
    file = write_site(tmp_path, plan=full, link=LINK)
    other = page.context.browser.new_page()
    other.goto(f"{file.as_uri()}#weeks")
    other.wait_for_selector("html[data-ready]", state="attached")
    other.check("#qr")
    other.check("#sheets")

    assert len(sheets(other, form, tmp_path)) == 1
    other.emulate_media(media="print")
    lines = other.evaluate(
        """() => [...document.querySelectorAll("#weeks .session")].map((session) =>
            [".purpose", ".facts"].map((part) => {
                const box = session.querySelector(part).getBoundingClientRect();
                return [box.left, box.right];
            }))"""
    )
    assert len(lines) == len(told)
    assert all(purpose == facts for purpose, facts in lines), "the purpose has its whole line"
    other.close()


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Of two demo clients the private links, of the second in Spanish."""
    root = tmp_path_factory.mktemp("demo")
    shutil.copytree(ROOT / "clients", root / "clients")
    file = root / "clients" / "ayla.yaml"
    drink = "fuel: {collagen: 15 g, vitamin_c: 50 mg, asked_on: 2027-01-02}"
    notes = "\n".join(
        f"  - {{week: {week}, text: 'Una palabra. {'Y otra. ' * 50}'}}" for week in (10, 11)
    )
    more = f"born: 1991\nlanguage: es\n{drink}\nnotes:\n{notes}\n"
    file.write_text(file.read_text().replace("born: 1991\n", more))
    with (root / "clients" / "practice.yaml").open("a") as practice:
        practice.write("address: https://plans.example.org/\n")
    made = sitegen("build", "--as-of", "2027-03-18", "--links", "bram", "ayla", cwd=root).stdout
    return {
        id: f"{(root / 'public').as_uri()}/{portal}/index.html{end}"
        for id, portal, end in re.findall(r"^(\w+): \S*?([\w-]{22})/(#\S+)", made, re.MULTILINE)
    }


def opened(browser: Any, link: str, view: str) -> Any:
    page = browser.new_page(timezone_id="Europe/Lisbon")
    page.clock.set_fixed_time("2027-03-18T08:00:00")
    page.goto(link)
    page.wait_for_selector("html[data-ready]", state="attached")
    page.evaluate("view => { window.print = () => {}; portal.go(view); }", view)
    return page


@needs_poppler
@pytest.mark.parametrize("form", FORMATS)
@pytest.mark.parametrize("id", ["bram", "ayla"])
def test_full_weeks_of_a_real_plan_have_one_sheet_each(
    browser: Any, demo: dict[str, str], id: str, form: str, tmp_path: Path
):
    """Six sessions with a drink before each; hard ones in Spanish; a logo; two notes."""
    page = opened(browser, demo[id], "weeks")
    page.check("#sheets")
    found = sheets(page, form, tmp_path)

    assert len(found) == page.locator(".week:not(.past)").count() >= 5
    assert all(re.search(r"(Week|Semana)\s+\d", text) for text in found)
    page.close()


@needs_poppler
@pytest.mark.parametrize(("id", "weeks"), [("bram", (10, 14)), ("ayla", (10, 16))])
def test_the_weeks_to_come_stand_on_two_or_three_sheets(
    browser: Any, demo: dict[str, str], id: str, weeks: tuple[int, int], tmp_path: Path
):
    page = opened(browser, demo[id], "weeks")
    found = sheets(page, "A4", tmp_path)

    assert len(found) <= 3
    told = [int(n) for text in found for n in re.findall(r"^ *(?:Week|Semana) +(\d+)", text, re.M)]
    assert told == list(range(weeks[0], weeks[1] + 1)), "each once, and none that is over"
    ahead = page.locator(".week:not(.past) .session").count()
    assert len(re.findall(r"^ +\w{3} \d+ \w{3}\b", "".join(found), re.M)) == ahead
    assert len(re.findall(r"112|call\s+for\s+help|pide\s+ayuda", "".join(found))) == 1, (
        "care once, last"
    )
    page.close()


@needs_poppler
def test_each_other_view_prints_what_it_is_about(
    browser: Any, demo: dict[str, str], tmp_path: Path
):
    """From Now, Beat and Check-in the week that runs; from the rest what stands there."""
    page = opened(browser, demo["bram"], "now")
    told = {}
    for view in ("now", "beat", "checkin", "drills", "cadence", "calendar", "care"):
        page.evaluate("view => portal.go(view)", view)
        page.wait_for_selector(f"html[data-view={view}]", state="attached")
        told[view] = sheets(page, "A4", tmp_path)

    for view in ("now", "beat", "checkin"):
        [sheet] = told[view]
        assert re.search(r"Week\s+10\b", sheet) and "next morning" in sheet, view
    words = {"cadence": "In your own numbers", "care": "112", "calendar": "reminder"}
    for view, said in words.items():
        assert said in told[view][0] and "Week 10" not in told[view][0], view
        assert len(told[view]) <= 3, view
    assert len(told["drills"]) == 1 and "Today Thu 18 Mar" in told["drills"][0]
    page.close()


@needs_poppler
@pytest.mark.parametrize("form", FORMATS)
def test_seven_drills_of_a_day_are_one_sheet_that_names_the_day(
    browser: Any, demo: dict[str, str], form: str, tmp_path: Path
):
    page = opened(browser, demo["ayla"], "drills")
    expect(page.locator("[data-drills-today] .drill")).to_have_count(7)
    expect(page.locator("[data-drills-today] [data-late]")).to_have_count(0)
    page.click("[data-drills-today] button")

    [text] = sheets(page, form, tmp_path)

    assert "Hoy jue 18 mar" in text
    page.close()


@needs_poppler
def test_on_a_day_without_drills_all_of_them_are_printed_on_few_sheets(
    browser: Any, demo: dict[str, str], tmp_path: Path
):
    page = opened(browser, demo["ayla"], "drills")
    expect(page.locator("[data-drills-today] [data-late]")).to_have_count(0)
    page.clock.set_fixed_time("2027-03-19T08:00:00")  # a rest day
    page.evaluate("document.dispatchEvent(new CustomEvent('portal:day'))")
    expect(page.locator("[data-drills-today]")).to_be_hidden()
    every = page.locator("#drills .drill").count()

    found = sheets(page, "A4", tmp_path)

    assert every >= 20 and len(found) <= 6
    assert len(re.findall("Piensa en", "".join(found))) >= every - 2
    page.close()


@needs_poppler
def test_paper_says_of_pain_what_the_rules_and_care_say(page: Any):
    """It said "above 5" where a plan holds, and Care asks for a word, from 3 on."""
    said = str(page.locator(".fill-in", has_text="Effort and pain").first.text_content())
    ask, rest = DEVICE_RULES["calm"] + 1, DEVICE_RULES["rest"]

    assert f"Pain of {ask} or more, or not down the next morning: ask your coach before" in said
    assert f"Pain of {rest} or more: stop, no run for two days." in said
    assert DEVICE_RULES["rest_days"] == 2
    assert f"pain of {DEVICE_RULES['severe']} or more: stop, and see a clinician today" in said
    assert f"pain of {ask} and more, or pain that is not down" in str(
        page.locator("#care").text_content()
    )


def test_one_week_alone_is_one_sheet(page: Any, tmp_path: Path):
    page.evaluate("document.querySelector('#weeks-5').open = true")
    page.click("[data-print='5']")

    [sheet] = sheets(page, "A4", tmp_path)

    assert re.search(r"Week\s+5\b", sheet)


def test_the_link_is_on_paper_only_for_who_asks(page: Any):
    page.evaluate("document.querySelector('#weeks-5').open = true")  # as a printer has it
    page.emulate_media(media="print")
    assert page.locator(".qr").count() == 0
    page.emulate_media(media="screen")
    page.check("#qr")
    expect(page.locator("#weeks-5 .qr")).to_be_hidden()  # on paper only
    assert "can open your plan" in page.locator(".print-qr:has(#qr)").inner_text()

    page.emulate_media(media="print")

    expect(page.locator("#weeks-5 .qr")).to_be_visible()
    page.emulate_media(media="screen")
    page.uncheck("#qr")
    assert page.locator(".qr").count() == 0


def test_the_printed_code_reads_back_as_the_private_link(page: Any, tmp_path: Path):
    zxing = pytest.importorskip("zxingcpp", reason="zxing-cpp is not installed")
    image = pytest.importorskip("PIL.Image", reason="Pillow is not installed")
    page.check("#qr")
    page.emulate_media(media="print")
    page.evaluate("document.querySelector('#weeks-5').open = true")
    picture = tmp_path / "code.png"
    page.locator("#weeks-5 .qr").screenshot(path=picture)
    page.emulate_media(media="screen")

    found = zxing.read_barcodes(image.open(picture).resize((500, 500)))

    assert [code.text for code in found] == [LINK]


def test_the_squares_are_those_of_the_code():
    """Three corners carry the finder pattern that every QR code has (ISO/IEC 18004)."""
    size, _, packed = squares(LINK).partition(":")
    side = int(size)
    bits = "".join(f"{byte:08b}" for byte in base64.b64decode(packed))
    rows = [bits[row * side : (row + 1) * side] for row in range(side)]
    finder = ["1111111", "1000001", "1011101", "1011101", "1011101", "1000001", "1111111"]

    assert side in range(21, 178, 4)
    assert [row[:7] for row in rows[:7]] == finder
    assert [row[-7:] for row in rows[:7]] == finder
    assert [row[:7] for row in rows[-7:]] == finder
    assert squares(LINK) == squares(LINK)


def test_a_plan_whose_address_is_not_known_offers_no_code(tmp_path: Path):
    text = write_site(tmp_path).read_text(encoding="utf-8")

    assert 'id="qr"' not in text
