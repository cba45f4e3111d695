"""Draw docs/plan-and-portal.png: a client's file beside the portal that it makes.

usage: python tools/picture.py          needs chromium and the test extra
"""

from __future__ import annotations

import html
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

ROOT = Path(__file__).resolve().parent.parent
DAY = "2027-03-18"
ID = "tomas"
ARGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync"]

PAGE = """<!doctype html><meta charset="utf-8"><style>
body {{ margin: 0; background: #fbfaf7; color: #1c2024; width: 1280px; height: 800px;
  display: flex; gap: 36px; align-items: flex-start; padding: 36px; box-sizing: border-box;
  font: 15px/1.5 system-ui, sans-serif; overflow: hidden }}
pre {{ margin: 0; padding: 16px 0; font: 13.5px/1.5 "DejaVu Sans Mono", monospace;
  border-top: 2px solid #1c2024; height: 690px; overflow: hidden; white-space: pre-wrap }}
figure {{ margin: 0; flex: none }}
figcaption, .file {{ font-weight: 600; margin: 0 0 10px }}
img {{ height: 696px; border: 1px solid #c9c6bd; border-radius: 22px; display: block }}
.left {{ flex: 1 1 0; min-width: 0; display: flex; flex-direction: column }}
</style>
<div class="left"><p class="file">clients/{id}.yaml</p><pre>{text}</pre></div>
<figure><figcaption>The portal, today</figcaption><img src="{now}"></figure>
<figure><figcaption>Step rate, planned and logged</figcaption><img src="{cadence}"></figure>
"""


def main() -> None:
    with tempfile.TemporaryDirectory() as home:
        folder = Path(home)
        shutil.copytree(ROOT / "clients", folder / "clients", ignore=shutil.ignore_patterns(".*"))
        file = folder / "clients" / f"{ID}.yaml"
        text = file.read_text(encoding="utf-8")
        file.write_text(f"{text}privacy: open\n", encoding="utf-8")
        words = [sys.executable, "-m", "sitegen", "build", "--as-of", DAY, "--links"]
        done = subprocess.run(words, cwd=folder, check=True, capture_output=True, text=True)
        link = next(line.split(": ")[1] for line in done.stdout.splitlines() if ID in line)
        page_file = folder / "public" / link.split("#")[0] / "index.html"
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(
                executable_path=shutil.which("chromium"), args=ARGS
            )
            shots = {}
            for view in ("now", "cadence"):
                context = browser.new_context(
                    viewport={"width": 390, "height": 844}, device_scale_factor=2
                )
                page = context.new_page()
                page.clock.install(time=f"{DAY}T09:00:00")
                page.goto(f"{page_file.as_uri()}#{view}")
                page.wait_for_selector("html[data-ready]", state="attached")
                shots[view] = folder / f"{view}.png"
                page.screenshot(path=shots[view])
                context.close()
            sheet = folder / "sheet.html"
            short = text.split("rules:")[0].strip()
            sheet.write_text(
                PAGE.format(
                    id=ID,
                    text=html.escape(short),
                    now=shots["now"].as_uri(),
                    cadence=shots["cadence"].as_uri(),
                ),
                encoding="utf-8",
            )
            page = browser.new_page(viewport={"width": 1280, "height": 800})
            page.goto(sheet.as_uri())
            page.screenshot(path=ROOT / "docs" / "plan-and-portal.png")
            browser.close()


if __name__ == "__main__":
    main()
