"""What the page takes to read a run's file of 50 MB: ``run_file.py [--slow TIMES]``.

Writes a track of 50 MB with known truth, chooses it in the check-in of a fresh Chromium, and prints
seconds on the clock, seconds of the page's own work, the longest task in ms (how long a finger
waits), and the most that the heap grew, in MB. Exit status 1 where the numbers are wrong.
"""

from __future__ import annotations

import argparse
import shutil
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from playwright.sync_api import sync_playwright  # noqa: E402

from first_visit import ARGS  # noqa: E402
from js.view_page import served, write_page  # noqa: E402
from run_files import Part, gpx, points  # noqa: E402

BYTES = 50_000_000
PARTS = [Part(60, 2.8, 164)] * 80
WATCH = """() => {
    window.longest = 0;
    new PerformanceObserver((list) => {
        for (const { duration } of list.getEntries())
            window.longest = Math.max(window.longest, duration);
    }).observe({ entryTypes: ["longtask"] });
}"""


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--slow", type=int, default=1, metavar="TIMES", help="a slower processor")
    slow = parser.parse_args().slow
    with tempfile.TemporaryDirectory() as place, sync_playwright() as playwright:
        folder = Path(place)
        data = gpx(list(points(PARTS, every=0.0145)))
        assert len(data) > BYTES
        (folder / "run.gpx").write_bytes(data)
        write_page(folder, "checkin", "Check-in")
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=ARGS)
        with served(folder) as address:
            page = browser.new_page(timezone_id="Europe/Lisbon")
            page.clock.set_system_time("2027-02-10T20:00:00")
            page.goto(f"{address}/checkin.html")
            page.evaluate(WATCH)
            cdp = page.context.new_cdp_session(page)
            cdp.send("Performance.enable")
            cdp.send("Emulation.setCPUThrottlingRate", {"rate": slow})

            def metric(name: str) -> float:
                found = cdp.send("Performance.getMetrics")["metrics"]
                return next(float(m["value"]) for m in found if m["name"] == name)

            cdp.send("HeapProfiler.collectGarbage")
            heaps = [metric("JSHeapUsedSize")]
            before, began = metric("TaskDuration"), time.monotonic()
            page.locator("[data-c-file] input").set_input_files(folder / "run.gpx")
            while page.locator("[data-c-told] :is(strong, p)").count() < 2:
                heaps.append(metric("JSHeapUsedSize"))
            clock, work = time.monotonic() - began, metric("TaskDuration") - before
            told = page.locator("[data-c-told] :is(strong, p)").all_text_contents()
            longest = page.evaluate("window.longest")
            grew = (max(heaps) - heaps[0]) / 1e6
        browser.close()
    print(f"{len(data) / 1e6:.1f} MB, processor {slow} times slower: {clock:.1f} s on the clock, ")
    print(
        f"{work:.1f} s of work, longest task {longest:.0f} ms, heap grew by {grew:.0f} MB at most"
    )
    print("\n".join(told))
    return int("80 min moving, 80 min in all" not in told[0])


if __name__ == "__main__":
    sys.exit(main())
