"""The portal in three engines: every view, light and dark, read by axe-core; and offline.

Source of the rules: axe-core, which holds pages against WCAG 2.2 A and AA and its own best
practices; target size (WCAG 2.5.8) is asked for as well.
"""

from __future__ import annotations

import base64
import itertools
import json
import shutil
import subprocess
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from engines import NAMES, Engine, engine, until
from nightly import by_night, some_of
from portal_builder import AS_OF, KEY_TEXT, PORTAL, ROOT, make_plan, write_sealed_site, write_site
from run_files import RUN, gpx, points
from sitegen.portal.changed import seen_of
from test_changed import PAIN, plan_then, shorter, with_session
from test_offline import Host

VIEWS = ("now", "weeks", "beat", "checkin", "drills", "cadence", "calendar", "care")
AXE = ROOT / "node_modules" / "axe-core" / "axe.min.js"
VNU = ROOT / "node_modules" / "vnu-jar" / "build" / "dist" / "vnu.jar"
LINK = f"https://plans.example.org/{PORTAL}/#k={KEY_TEXT}"
GROUND = {"light": "rgb(251, 250, 247)", "dark": "rgb(22, 24, 27)"}
AXE_RUN = """() => axe.run(document, {
    rules: {'target-size': {enabled: true}},
    resultTypes: ['violations'],
}).then(r => r.violations.map(
    v => v.id + ': ' + v.nodes.map(n => n.target.join(' ')).join(', ')))"""


def write_full_site(folder: Path) -> Path:
    """An open portal that has everything to show: changes, a QR code, a feed."""
    after = with_session(make_plan(), "w5d3", shorter, PAIN)
    return write_site(folder, plan=after, before=seen_of(plan_then()), link=LINK)


def each_view(page: Engine) -> Any:
    for view in VIEWS:
        page.ask(f"portal.go('{view}')")
        page.wait_for(f'html[data-view="{view}"]')
        yield view


@by_night
@pytest.mark.skipif(not AXE.exists(), reason="axe-core is not installed; npm install axe-core")
@pytest.mark.parametrize(
    ("name", "scheme"),  # Chromium: test_portal_browser, phone and desk
    list(itertools.product(NAMES[1:], GROUND)),
)
def test_axe_finds_nothing_in_any_view(name: str, scheme: str, tmp_path: Path):
    """By night: what axe finds, it finds in Chromium too, which is asked by day."""
    write_full_site(tmp_path)
    host = Host(tmp_path)
    found: dict[str, list[str]] = {}
    wide: dict[str, int] = {}
    with engine(name, scheme) as page:
        page.open(f"{host.address}/{PORTAL}/")
        page.wait_for("html[data-ready]")
        assert (
            page.ask("getComputedStyle(document.documentElement).backgroundColor")
            == (GROUND[scheme])
        )
        page.ask("(() => {" + AXE.read_text(encoding="utf-8") + "})()")
        for view in each_view(page):
            found[view] = page.ask(AXE_RUN)
            wide[view] = page.ask("document.documentElement.scrollWidth - innerWidth")
    host.stop()

    assert {view: faults for view, faults in found.items() if faults} == {}
    assert max(wide.values()) <= 0
    assert len(found) == len(VIEWS)


def read_run(page: Engine) -> str:
    """What the check-in says of a run's own file, chosen there; Chromium: test_run_file_page."""
    data = base64.b64encode(gpx(list(points(RUN, 5.0)))).decode()
    page.wait_for("[data-c-file]:not([hidden])")
    page.ask(f"""void (() => {{
        const list = new DataTransfer();
        const bytes = Uint8Array.from(atob("{data}"), (letter) => letter.charCodeAt(0));
        list.items.add(new File([bytes], "run.gpx"));
        const input = document.querySelector("[data-c-file] input");
        input.files = list.files;
        input.dispatchEvent(new Event("change"));
    }})()""")
    page.wait_for("[data-c-told] strong")
    told = str(page.ask("document.querySelector('[data-c-told] strong').textContent"))
    return told.partition(": ")[2]


@pytest.mark.parametrize("name", NAMES[1:])  # Chromium: test_offline
def test_a_sealed_portal_opens_again_with_the_server_gone(name: str, tmp_path: Path):
    write_sealed_site(tmp_path)
    host = Host(tmp_path)
    with engine(name) as page:
        page.open(f"{host.address}/{PORTAL}/#k={KEY_TEXT}")
        page.wait_for("html[data-kept]")
        assert read_run(page) == "20 min moving, 20 min in all"
        host.stop()
        page.ask("void (document.documentElement.dataset.old = '', location.reload())")
        page.wait_for("html[data-ready]:not([data-old])")

        assert page.ask("document.querySelector('#now .title').textContent")
        page.ask("void document.querySelector('#forget').click()")
        page.ask("void document.querySelector('#forget-yes').click()")
        page.wait_for("html[data-door=forgotten]")
        assert page.ask("caches.keys()") == []


@pytest.mark.parametrize("name", NAMES[1:])  # Chromium: test_reacting_page
def test_a_sign_that_was_left_and_come_back_to_stays(name: str, tmp_path: Path):
    """A tick that is taken back and words that are erased; before, both go at once, as slips do."""
    write_site(tmp_path)
    host = Host(tmp_path)
    words = """text => {
        const form = document.querySelector("[data-c-form]");
        if (text) form.elements.any[1].click();
        form.elements.said.value = text;
        form.elements.said.dispatchEvent(new Event("input", { bubbles: true }));
    }"""
    tick = "document.querySelector('[name=signs][value=limp]').click()"
    grade = "document.querySelector('#device-stop:not([hidden]) [data-grade]:not([hidden])')"
    with engine(name) as page:
        page.open(f"{host.address}/{PORTAL}/#checkin")
        page.wait_for("html[data-ready]")
        until(lambda: page.ask("Boolean(portalParts.worries && portalParts.wordLists)"))
        page.ask("document.querySelector('[name=did]').click()")
        said: list[list[Any]] = []
        for _ in range(2):
            page.ask(f"({words})('I want to die.')")
            page.ask(tick)
            said.append([page.ask(f"{grade}.dataset.grade")])
            if len(said) == 2:
                page.ask("portal.go('now')")
                page.wait_for("html[data-view=now]")
                page.ask("portal.go('checkin')")
                page.wait_for("html[data-view=checkin]")
            page.ask(f"({words})('')")
            said[-1].append(page.ask(f"{grade} ? {grade}.dataset.grade : ''"))
            page.ask(tick)
            said[-1].append(page.ask(f"{grade} ? {grade}.dataset.grade : ''"))
    host.stop()

    assert said == [["self_harm", "today", ""], ["self_harm", "self_harm", "self_harm"]]


def test_every_view_of_the_full_page_passes_axe_in_chromium_too(tmp_path: Path):
    """With changes to tell and a QR code to offer, which the other test's page lacks."""
    if not AXE.exists():
        pytest.skip("axe-core is not installed; npm install axe-core")
    file = write_full_site(tmp_path)
    for scheme in some_of(list(GROUND), "light"):
        with engine("chromium", scheme) as page:
            page.open(file.as_uri())
            page.wait_for("html[data-ready]")
            page.ask("void (document.querySelector('[data-news=newer]').hidden = false)")
            page.ask("(() => {" + AXE.read_text(encoding="utf-8") + "})()")
            assert page.ask("document.querySelector('.since li').checkVisibility()")
            for view in each_view(page):
                assert page.ask(AXE_RUN) == [], (scheme, view)


@pytest.mark.parametrize(("width", "height", "scale"), [(640, 400, 2), (195, 422, 2)])
def test_at_200_percent_no_view_scrolls_sideways(
    width: int, height: int, scale: int, tmp_path: Path
):
    """A window of 1280 and a phone of 390 pixels, each zoomed to twice the size."""
    file = write_full_site(tmp_path)
    with engine("chromium") as page:
        context = page.page.context.browser.new_context(  # type: ignore[attr-defined]
            viewport={"width": width, "height": height}, device_scale_factor=scale
        )
        page.page = context.new_page()  # type: ignore[attr-defined]
        page.open(file.as_uri())
        page.wait_for("html[data-ready]")
        wide = {v: page.ask("document.documentElement.scrollWidth") for v in each_view(page)}

    assert {view: found for view, found in wide.items() if found > width} == {}


@pytest.mark.skipif(not VNU.exists(), reason="vnu-jar is not installed; npm install vnu-jar")
@pytest.mark.skipif(shutil.which("java") is None, reason="no Java on this machine")
def test_the_nu_checker_finds_no_error_in_open_sealed_and_front_pages(tmp_path: Path):
    open_page = write_full_site(tmp_path / "open")
    paused = write_site(tmp_path / "paused", plan=make_plan(status="paused"))
    none = write_site(tmp_path / "none", plan=make_plan(status="referred", weeks=()))
    sealed = write_sealed_site(tmp_path / "sealed")
    front = tmp_path / "open" / "index.html"
    wrong = write_full_site(tmp_path / "wrong")  # so that an empty list is no empty check
    twice = wrong.read_text(encoding="utf-8").replace('id="main"', 'id="now"')
    wrong.write_text(twice, encoding="utf-8")
    files = list(map(str, (open_page, paused, none, sealed, front, wrong)))
    done = subprocess.run(
        ["java", "-Xss4m", "-jar", str(VNU), "--format", "json", *files],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )

    told = json.loads(done.stderr)["messages"]

    errors = [m for m in told if m["type"] == "error"]
    assert errors and all(m["url"].endswith(str(wrong)) for m in errors)
    assert any("Duplicate ID" in m["message"] for m in errors)
    assert done.returncode == 1


def test_the_full_page_has_all_that_it_is_meant_to_have(tmp_path: Path):
    text = write_full_site(tmp_path).read_text(encoding="utf-8")

    assert "Since your plan of" in text
    assert 'data-squares="' in text
    assert plan_then().as_of == AS_OF - timedelta(days=3)
