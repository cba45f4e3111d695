"""What a first visit costs: ``first_visit.py [--limit KB] [--clients DIR] [--year] [--phone N]``.

Builds the six clients of the demo, serves them on this computer as a host with gzip would, opens
each private link in a fresh Chromium, waits until the copy for times without a connection is
there, and counts every byte that the server sent: status lines and headers too, but not TLS.
Until the page is ready counts all but what the page itself asked for after that, so the worker too.
kB are 1,000 bytes. Elements are those of the whole document once it is ready, templates' too.
Exit status 1 where a visit takes more than a limit.

With ``--year`` one client with 52 weeks and 300 check-ins is made from the demo's first. With
``--phone N`` each visit is made N times as on a slow phone, and the median time until the page is
ready is told: processor at a quarter, and the network that Lighthouse calls slow 4G (150 ms there
and back, 1.6 Mbit/s down, 0.75 up; from its documentation, quoted from memory). Times count for
nothing on a busy machine.
"""

from __future__ import annotations

import argparse
import gzip
import shutil
import socket
import statistics
import sys
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, timedelta
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any, NamedTuple

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

from playwright.sync_api import sync_playwright  # noqa: E402

from sitegen.site.building import build_site  # noqa: E402

DAY = date(2027, 3, 18)
YEAR_DAY = date(2027, 12, 20)
LIMIT_KB = 80.0  # until the page is ready
YEAR_KB = 95.0  # with 52 weeks and 300 check-ins
MOST_ELEMENTS = 4000
SLOW_4G = {
    "offline": False,
    "latency": 150,
    "downloadThroughput": 200_000,
    "uploadThroughput": 93_750,
}
QUARTER = {"rate": 4}
WHOLE_KB = 130.0  # until it opens without a connection too
NOTE_READY = """new MutationObserver((_, seen) => {
    if (document.documentElement.dataset.ready === undefined) return;
    window.readyAt = performance.now();
    seen.disconnect();
}).observe(document, { subtree: true, attributes: true, attributeFilter: ["data-ready"] })"""
LATER = """performance.getEntriesByType("resource").filter((e) => e.startTime > window.readyAt)
    .map((e) => new URL(e.name).pathname)"""
ELEMENTS = """(() => {
    const count = (root) => {
        const all = Array.from(root.querySelectorAll("*"));
        const inside = all.filter((e) => e.localName === "template").map((e) => count(e.content));
        return inside.reduce((sum, more) => sum + more, all.length);
    };
    return count(document);
})()"""
TYPES = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".webmanifest": "application/manifest+json",
    ".png": "image/png",
    ".ics": "text/calendar; charset=utf-8",
}
ARGS = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-sync", "--disable-quic"]


class Counter:
    """Bytes that a server sent, by path."""

    def __init__(self) -> None:
        self.sent: list[tuple[str, int]] = []

    @property
    def total(self) -> int:
        return sum(count for _, count in self.sent)


@contextmanager
def serving(folder: Path, counter: Counter) -> Iterator[str]:
    """A host that sends gzip, with the usual headers."""

    class Handler(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def log_message(self, format: str, *args: object) -> None:
            pass

        def do_GET(self) -> None:
            path = self.path.split("?")[0]
            file = folder / path.strip("/") / ("index.html" if path.endswith("/") else "")
            if not file.is_file():
                self._send(path, 404, b"", ".html")
                return
            self._send(path, 200, file.read_bytes(), file.suffix)

        def _send(self, path: str, status: int, data: bytes, kind: str) -> None:
            packed = data if kind == ".png" else gzip.compress(data, 6, mtime=0)
            head = (
                f"HTTP/1.1 {status} OK\r\nContent-Type: {TYPES.get(kind, 'text/plain')}\r\n"
                f"Content-Length: {len(packed)}\r\nDate: Thu, 18 Mar 2027 08:00:00 GMT\r\n"
                f'Cache-Control: max-age=600\r\nETag: "{len(data):x}"\r\n'
                + ("" if kind == ".png" else "Content-Encoding: gzip\r\n")
                + "\r\n"
            ).encode("ascii")
            self.wfile.write(head + packed)
            counter.sent.append((path, len(head) + len(packed)))

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    server.socket.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield f"http://127.0.0.1:{server.server_port}/"
    finally:
        server.shutdown()
        server.server_close()


class Visit(NamedTuple):
    """What was sent in a first visit, by path, and the paths asked for once it was ready."""

    sent: list[tuple[str, int]]
    later: frozenset[str]
    elements: int = 0
    ready_ms: float = 0.0  # median of the visits as on a slow phone

    @property
    def until_ready(self) -> int:
        """Bytes."""
        return sum(count for path, count in self.sent if path not in self.later)

    @property
    def whole(self) -> int:
        """Bytes."""
        return sum(count for _, count in self.sent)


def a_year(folder: Path) -> Path:
    """The demo with one client only, who has 52 weeks and 300 check-ins."""
    clients = folder / "year"
    clients.mkdir()
    shutil.copytree(ROOT / "clients" / "texts", clients / "texts")
    for name in ("practice.yaml", "logo.png"):
        shutil.copy(ROOT / "clients" / name, clients)
    text = (ROOT / "clients" / "ayla.yaml").read_text(encoding="utf-8")
    text = text.replace("weeks: 16", "weeks: 52").replace("on: 2027-05-02", "on: 2028-01-02")
    (clients / "ayla.yaml").write_text(text, encoding="utf-8")
    days = (date(2027, 1, 11) + timedelta(days=n) for n in range(350))
    runs = [day for day in days if day.weekday() != 4][:300]
    log = "".join(
        f"- on: {day}\n  ran: {30 + n % 17} min\n  distance: {5 + n % 4}.{n % 10} km\n"
        f"  cadence: {160 + n * 7 % 11} spm\n  effort: {2 + n % 3}\n"
        f"  pain: {{during: {n % 2}, after: {n % 3 // 2}}}\n"
        f"  said: Run {n}, wind from the {n % 8}.\n"
        for n, day in enumerate(runs)
    )
    (clients / "ayla.log.yaml").write_text(log, encoding="utf-8")
    return clients


def measure(
    ids: tuple[str, ...] = (),
    of: Path = ROOT / "clients",
    day: date = DAY,
    phone: int = 0,
) -> dict[str, Visit]:
    """For each client of a practice, what a first visit costs; ``phone`` visits are timed."""
    found: dict[str, Visit] = {}
    with tempfile.TemporaryDirectory() as place, sync_playwright() as playwright:
        clients, out = Path(place) / "clients", Path(place) / "public"
        shutil.copytree(of, clients)
        built = build_site(clients, out, ids, day)
        if not built.done:
            raise SystemExit("\n".join(map(str, built.problems)))
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=ARGS)
        for line in built.links:
            id, _, link = line.partition(": ")
            end = link[link.index("/", len("https://")) + 1 :] if "://" in link else link
            counter = Counter()
            with serving(out, counter) as address:
                path, _, key = end.strip().partition("#")
                link = f"{address}{path}?day={day}#{key}"  # a page on this computer takes a day
                page = browser.new_context().new_page()
                page.add_init_script(NOTE_READY)
                page.goto(link)
                page.wait_for_selector("html[data-ready]", state="attached")
                page.wait_for_selector("html[data-kept]", state="attached")
                page.wait_for_timeout(500)
                later = frozenset(page.evaluate(LATER))
                elements, sent = page.evaluate(ELEMENTS), counter.sent[:]
                page.context.close()
                times = [as_on_a_phone(browser, link) for _ in range(phone)]
            found[id] = Visit(sent, later, elements, statistics.median(times) if times else 0.0)
        browser.close()
    return found


def as_on_a_phone(browser: Any, link: str) -> float:
    """Milliseconds until the page is ready, in a fresh profile on a slow phone."""
    context = browser.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    page.add_init_script(NOTE_READY)
    page.set_default_timeout(180_000)
    tools = context.new_cdp_session(page)
    tools.send("Network.enable")
    tools.send("Network.emulateNetworkConditions", SLOW_4G)
    tools.send("Emulation.setCPUThrottlingRate", QUARTER)
    page.goto(link)
    page.wait_for_selector("html[data-ready]", state="attached")
    ready = float(page.evaluate("window.readyAt"))
    context.close()
    return ready


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--limit", type=float, default=None, metavar="KB")
    parser.add_argument("--clients", type=Path, default=ROOT / "clients", metavar="DIR")
    parser.add_argument("--year", action="store_true", help="52 weeks and 300 check-ins")
    parser.add_argument("--phone", type=int, default=0, metavar="N", help="N visits as on a phone")
    parser.add_argument("--files", action="store_true", help="list each file of the first client")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as place:
        of = a_year(Path(place)) if options.year else options.clients
        day = YEAR_DAY if options.year else DAY
        found = measure(of=of, day=day, phone=options.phone)
    for id, visit in found.items():
        page = sum(count for path, count in visit.sent if path.endswith("/"))
        print(
            f"{id:<8} ready {visit.until_ready / 1000:6.1f} kB, whole {visit.whole / 1000:6.1f} kB "
            f"in {len(visit.sent):2} answers, page {page / 1000:5.1f} kB, {visit.elements} elements"
            + (f", {visit.ready_ms / 1000:.2f} s on a phone" if options.phone else "")
        )
    if options.files:
        for path, count in next(iter(found.values())).sent:
            print(f"    {count:6} {path if '/assets/' in path or '.' in path else '(the page)'}")
    ready = max(visit.until_ready for visit in found.values()) / 1000
    whole = max(visit.whole for visit in found.values()) / 1000
    limit = options.limit or (YEAR_KB if options.year else LIMIT_KB)
    elements = max(visit.elements for visit in found.values())
    print(
        f"ready: {ready:.1f} kB of {limit:.0f}; whole: {whole:.1f} of {WHOLE_KB:.0f}; "
        f"elements: {elements} of {MOST_ELEMENTS}"
    )
    return int(ready > limit or whole > WHOLE_KB or elements > MOST_ELEMENTS)


if __name__ == "__main__":
    sys.exit(main())
