"""Pictures of every view, to be looked at: ``python tests/shots.py [VIEW ...]``.

They land in ``screenshots/``, which git ignores. Each view at 320, 390, 768 and 1280 px,
light and dark; the states that Now can be in; the door of a sealed portal; and paper.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
from datetime import datetime
from pathlib import Path

ROOT = Path(__file__).parents[1]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from playwright.sync_api import Browser, sync_playwright  # noqa: E402

from portal_builder import (  # noqa: E402
    KEY_TEXT,
    make_case,
    make_plan,
    write_sealed_site,
    write_site,
)

OUT = ROOT / "screenshots"
VIEWS = ("now", "weeks", "beat", "checkin", "drills", "cadence", "calendar", "care")
SIZES = {"small": (320, 700), "phone": (390, 844), "tablet": (768, 1024), "desk": (1280, 800)}
MID_WEEK = datetime(2027, 2, 16, 18, 5)  # a Tuesday, in the fifth week
STATES = {
    "before": datetime(2027, 1, 10, 9),
    "rest": datetime(2027, 2, 17, 9),
    "strength": datetime(2027, 2, 19, 9),
    "done": datetime(2027, 1, 24, 20),
    "after": datetime(2027, 4, 1, 9),
    "stale": datetime(2027, 3, 4, 9),
}
CHROMIUM_ARGS = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-sync"]


def shoot(browser: Browser, page_file: Path, name: str, view: str, size: str, scheme: str,
          now: datetime = MID_WEEK, full: bool = True) -> None:  # fmt: skip
    width, height = SIZES.get(size) or (int(size), 800)
    context = browser.new_context(
        viewport={"width": width, "height": height},
        color_scheme="dark" if scheme == "dark" else "light",
        device_scale_factor=1.5 if width < 700 else 1,
        timezone_id="Europe/Lisbon",
    )
    page = context.new_page()
    page.on("console", lambda message: print(f"{name}: {message.text}"))
    page.on("pageerror", lambda error: print(f"{name}: {error}"))
    page.clock.set_fixed_time(now)
    page.goto(f"{page_file.as_uri()}#{view}")
    page.wait_for_timeout(250)
    page.screenshot(path=OUT / f"{name}.png", full_page=full)
    context.close()


def paper(browser: Browser, page_file: Path, size: str) -> None:
    page = browser.new_context(timezone_id="Europe/Lisbon").new_page()
    page.clock.set_fixed_time(MID_WEEK)
    page.goto(page_file.as_uri())
    page.wait_for_selector("html[data-ready]")
    pdf = OUT / f"print-{size}.pdf"
    page.pdf(path=pdf, format=size)
    if shutil.which("pdftoppm"):
        subprocess.run(
            ["pdftoppm", "-r", "60", "-png", "-l", "5", str(pdf), str(pdf.with_suffix(""))],
            check=True,
        )


def main(wanted: list[str]) -> None:
    OUT.mkdir(exist_ok=True)
    chromium = shutil.which("chromium")
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=CHROMIUM_ARGS)
        sites = Path(folder)
        page = write_site(sites / "open")
        for view in VIEWS:
            if wanted and view not in wanted:
                continue
            for size in SIZES:
                for scheme in ("light", "dark"):
                    shoot(browser, page, f"{view}-{size}-{scheme}", view, size, scheme)
        if not wanted or "states" in wanted:
            for state, now in STATES.items():
                shoot(browser, page, f"state-{state}", "now", "phone", "light", now)
            for status in ("paused", "referred"):
                weeks = () if status == "referred" else make_plan().weeks
                log = [{"on": "2027-02-12", "signs": ["chest_pain"]}]
                case = make_case(log=log) if status == "referred" else make_case()
                other = write_site(sites / status, case, make_plan(status=status, weeks=weeks))
                shoot(browser, other, f"state-{status}", "now", "phone", "light")
                shoot(browser, other, f"state-{status}-desk", "now", "desk", "dark")
            none = write_site(sites / "none", make_case(log=[]))
            shoot(browser, none, "state-no-log", "cadence", "phone", "light")
        if not wanted or "door" in wanted:
            sealed = write_sealed_site(sites / "sealed", "two words here")
            shoot(browser, sealed, "door-no-key", "", "phone", "light")
            shoot(browser, sealed, "door-passphrase", KEY_TEXT, "phone", "dark")
            shoot(browser, sealed, "door-desk", "tooshort", "desk", "light")
        if not wanted or "print" in wanted:
            paper(browser, page, "A4")
            paper(browser, page, "Letter")
        browser.close()


if __name__ == "__main__":
    main(sys.argv[1:])
