"""The recipe for a new view: a folder in ``sitegen/portal/views`` and its name in ``VIEWS``."""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import expect

from chromium import chromium, needs_chromium
from commands import PAGES
from recipe import Copy

TESTS = Path(__file__).parent
VIEWS = "sitegen/portal/views/__init__.py"
FOLDER = "sitegen/portal/views/gear"

PYTHON = '''"""Gear: shoes, and what else a runner takes along."""

from __future__ import annotations

from sitegen.model.sentence import N_
from sitegen.portal.scene import Scene, View


def build(scene: Scene) -> str:
    """Whose gear it is."""
    return scene.case.client.greeting


VIEW = View("gear", N_("Gear"), N_("Your gear"), build)
'''
HTML = "<p data-whose>{{ view }}</p>\n<p data-told></p>\n"
SCRIPT = """"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});
  function getReady(section) {
    section.querySelector("[data-told]").textContent = "two pairs";
  }
  parts.views = Object.assign(parts.views || {}, { gear: { getReady } });
})(typeof self === "undefined" ? globalThis : self);
"""
BUILD = f"""
import sys
from pathlib import Path
sys.path.append({str(TESTS)!r})
from portal_builder import write_sealed_site, write_site
write_site(Path(sys.argv[1]) / "open")
write_sealed_site(Path(sys.argv[1]) / "sealed")
"""


def followed(folder: Path) -> Copy:
    """The recipe as DEVELOPERS.md has it; a script is for a view that needs one."""
    copy = Copy(folder)
    copy.write(f"{FOLDER}/__init__.py", PYTHON)
    copy.write(f"{FOLDER}/view.html", HTML)
    copy.write(f"{FOLDER}/view.js", SCRIPT)
    names = "beat, cadence, calendar, care, checkin, drills, now, weeks"
    copy.replace(VIEWS, f"import {names}\n", f"import {names}, gear\n")
    copy.replace(VIEWS, "    care.VIEW,\n", "    care.VIEW,\n    gear.VIEW,\n")
    return copy


@needs_chromium
def test_a_new_view_is_one_folder_and_its_name_and_its_link_leads_there(tmp_path: Path):
    from portal_builder import KEY_TEXT

    copy = followed(tmp_path / "copy")
    assert copy.touched() == [
        VIEWS, f"{FOLDER}/__init__.py", f"{FOLDER}/view.html", f"{FOLDER}/view.js"
    ]  # fmt: skip
    built = copy.run("-c", BUILD, str(tmp_path))
    assert built.returncode == 0, built.stderr

    with chromium() as browser:
        for kind, key in (("open", ""), ("sealed", KEY_TEXT)):
            page = browser.new_page()
            faults: list[str] = []
            page.on("pageerror", lambda error, faults=faults: faults.append(str(error)))
            file = next((tmp_path / kind).glob(PAGES))
            page.goto(file.as_uri() + (f"#{key}" if key else ""))
            page.wait_for_selector("html[data-ready]")
            page.get_by_role("link", name="Gear", exact=True).click()

            expect(page.get_by_role("heading", name="Your gear")).to_be_visible()
            expect(page.locator("#gear [data-whose]")).not_to_be_empty()
            expect(page.locator("#gear [data-told]")).to_have_text("two pairs")
            assert page.url.endswith(f"#{key}/gear" if key else "#gear")

            page.goto("about:blank")
            page.goto(file.as_uri() + (f"#{key}/gear" if key else "#gear"))
            expect(page.get_by_role("heading", name="Your gear")).to_be_visible()
            assert faults == []
