"""What a first visit costs over the wire: ``python benchmarks/first_visit.py [--limit KB]``.

Builds the six clients of the demo, serves them on this computer as a host with gzip would, opens
each private link in a fresh Chromium, waits until the copy for times without a connection is
there, and counts every byte that the server sent: status lines and headers too, but not TLS.
kB are 1,000 bytes. Exit status 1 where a visit takes more than the limit.
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

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

from playwright.sync_api import sync_playwright  # noqa: E402

from sitegen.site.building import build_site  # noqa: E402

DAY = date(2027, 3, 18)
LIMIT_KB = 90.0
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


def measure(ids: tuple[str, ...] = ()) -> dict[str, list[tuple[str, int]]]:
    """For each client, what was sent in a first visit."""
    found: dict[str, list[tuple[str, int]]] = {}
    with tempfile.TemporaryDirectory() as place, sync_playwright() as playwright:
        clients, out = Path(place) / "clients", Path(place) / "public"
        shutil.copytree(ROOT / "clients", clients)
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
                page.goto(address + end.strip())
                page.wait_for_selector("html[data-ready]", state="attached")
                page.wait_for_selector("html[data-kept]", state="attached")
                page.wait_for_timeout(500)
                page.context.close()
            found[id] = counter.sent
        browser.close()
    return found


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--limit", type=float, default=LIMIT_KB, metavar="KB")
    parser.add_argument("--files", action="store_true", help="list each file of the first client")
    options = parser.parse_args()
    found = measure()
    for id, sent in found.items():
        page = sum(count for path, count in sent if path.endswith("/"))
        total = sum(count for _, count in sent)
        print(
            f"{id:<8} {total / 1000:6.1f} kB in {len(sent):2} answers, page {page / 1000:5.1f} kB"
        )
    if options.files:
        for path, count in next(iter(found.values())):
            print(f"    {count:6} {path if '/assets/' in path or '.' in path else '(the page)'}")
    most = max(sum(count for _, count in sent) for sent in found.values()) / 1000
    print(f"most: {most:.1f} kB; limit {options.limit:.0f} kB")
    return int(most > options.limit)


if __name__ == "__main__":
    sys.exit(main())
