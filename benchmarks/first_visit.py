"""What a first visit costs over the wire: ``first_visit.py [--limit KB] [--clients DIR]``.

Builds the six clients of the demo, serves them on this computer as a host with gzip would, opens
each private link in a fresh Chromium, waits until the copy for times without a connection is
there, and counts every byte that the server sent: status lines and headers too, but not TLS.
Until the page is ready counts all but what the page itself asked for after that, so the worker too.
kB are 1,000 bytes. Exit status 1 where a visit takes more than a limit.
"""

from __future__ import annotations

import argparse
import gzip
import shutil
import socket
import sys
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

from playwright.sync_api import sync_playwright  # noqa: E402

from sitegen.site.building import build_site  # noqa: E402

DAY = date(2027, 3, 18)
LIMIT_KB = 80.0  # until the page is ready
WHOLE_KB = 130.0  # until it opens without a connection too
NOTE_READY = """new MutationObserver((_, seen) => {
    if (document.documentElement.dataset.ready === undefined) return;
    window.readyAt = performance.now();
    seen.disconnect();
}).observe(document, { subtree: true, attributes: true, attributeFilter: ["data-ready"] })"""
LATER = """performance.getEntriesByType("resource").filter((e) => e.startTime > window.readyAt)
    .map((e) => new URL(e.name).pathname)"""
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

    @property
    def until_ready(self) -> int:
        """Bytes."""
        return sum(count for path, count in self.sent if path not in self.later)

    @property
    def whole(self) -> int:
        """Bytes."""
        return sum(count for _, count in self.sent)


def measure(ids: tuple[str, ...] = (), of: Path = ROOT / "clients") -> dict[str, Visit]:
    """For each client of a practice, what was sent in a first visit."""
    found: dict[str, Visit] = {}
    with tempfile.TemporaryDirectory() as place, sync_playwright() as playwright:
        clients, out = Path(place) / "clients", Path(place) / "public"
        shutil.copytree(of, clients)
        built = build_site(clients, out, ids, DAY)
        if not built.done:
            raise SystemExit("\n".join(map(str, built.problems)))
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=ARGS)
        for line in built.links:
            id, _, link = line.partition(": ")
            end = link[link.index("/", len("https://")) + 1 :] if "://" in link else link
            counter = Counter()
            with serving(out, counter) as address:
                page = browser.new_context().new_page()
                page.add_init_script(NOTE_READY)
                page.goto(address + end.strip())
                page.wait_for_selector("html[data-ready]", state="attached")
                page.wait_for_selector("html[data-kept]", state="attached")
                page.wait_for_timeout(500)
                later = frozenset(page.evaluate(LATER))
                page.context.close()
            found[id] = Visit(counter.sent, later)
        browser.close()
    return found


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--limit", type=float, default=LIMIT_KB, metavar="KB")
    parser.add_argument("--clients", type=Path, default=ROOT / "clients", metavar="DIR")
    parser.add_argument("--files", action="store_true", help="list each file of the first client")
    options = parser.parse_args()
    found = measure(of=options.clients)
    for id, visit in found.items():
        page = sum(count for path, count in visit.sent if path.endswith("/"))
        print(
            f"{id:<8} ready {visit.until_ready / 1000:6.1f} kB, whole {visit.whole / 1000:6.1f} kB "
            f"in {len(visit.sent):2} answers, page {page / 1000:5.1f} kB"
        )
    if options.files:
        for path, count in next(iter(found.values())).sent:
            print(f"    {count:6} {path if '/assets/' in path or '.' in path else '(the page)'}")
    ready = max(visit.until_ready for visit in found.values()) / 1000
    whole = max(visit.whole for visit in found.values()) / 1000
    print(f"ready: {ready:.1f} kB of {options.limit:.0f}; whole: {whole:.1f} of {WHOLE_KB:.0f}")
    return int(ready > options.limit or whole > WHOLE_KB)


if __name__ == "__main__":
    sys.exit(main())
