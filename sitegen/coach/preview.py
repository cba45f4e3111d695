"""Show the site on this computer alone, build it again when a file changes, reload open pages.

The site is served as it lies in its folder, but for one line: each page gets a script of ours
that asks whether it is still the newest. A file of its own, since the portal's content security
policy allows no script within the page. Of all open pages one asks, and tells the others: a
browser makes few connections to one address, and many open portals would use them all up.

World: a socket on 127.0.0.1, threads, the clock. Reading folders is `sitegen.world`.
"""

from __future__ import annotations

import contextlib
import errno
import os
import socketserver
import stat
import sys
import threading
import time
from collections.abc import Callable, Sequence
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler
from pathlib import Path
from types import TracebackType
from urllib.parse import quote, unquote

from sitegen.seal.keys_file import KEYS_FILE as LINKS
from sitegen.site.folder import site_files
from sitegen.terminal.output import echo
from sitegen.world import Refused, Stamp, draw_bytes, list_folder, template_folders

HOST = "127.0.0.1"
PORT = 8000
PORTS_TRIED = 10
LOOK_SECONDS = 0.3  # between two looks at the files
SETTLE_SECONDS = 0.1  # an editor may save in several steps
ANSWER_SECONDS = 20.0  # after this long without news a waiting page is told so, and asks again

Build = Callable[[], Sequence[object]]
"""Builds the site and returns the problems, each printed as its `str`. It keeps the old site
where it can't make a new one, and may raise `Refused`."""

LinkFinder = Callable[[str], Sequence[str]]
"""Given the address that the site is served under, such as ``http://127.0.0.1:8000/``: a line
for each client with the private link."""

MEDIA_TYPES = {
    ".css": "text/css; charset=utf-8",
    ".html": "text/html; charset=utf-8",
    ".ico": "image/x-icon",
    ".ics": "text/calendar; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".json": "application/json",
    ".md": "text/markdown; charset=utf-8",
    ".png": "image/png",
    ".svg": "image/svg+xml; charset=utf-8",
    ".txt": "text/plain; charset=utf-8",
    ".webmanifest": "application/manifest+json",
    ".woff2": "font/woff2",
    ".xml": "application/xml",
}

SCRIPT_PATH = "/_preview.js"
NEWS_PATH = "/_preview"

SCRIPT = """\
// Only in the preview: reload this page when the site has been built again.
"use strict";
(() => {
  const mine = new URL(document.currentScript.src).searchParams.get("build");
  const pages = new BroadcastChannel("preview");
  const follow = (build) => { if (build !== mine) location.reload(); };
  pages.onmessage = (message) => follow(message.data);
  const ask = async () => {
    for (;;) {
      try {
        const answer = await fetch("/_preview?build=" + mine, { cache: "no-store" });
        const build = await answer.text();
        if (answer.ok && build !== mine) {
          pages.postMessage(build);
          return follow(build);
        }
      } catch {
        await new Promise((done) => setTimeout(done, 1000)); // ended; it may be started again
      }
    }
  };
  if (navigator.locks) navigator.locks.request("preview", ask);
  else ask();
})();
"""


def serve(
    out: Path,
    build: Build,
    clients: Path,
    links: LinkFinder,
    *,
    port: int = PORT,
    say: Callable[[str], None] = echo,
) -> int:
    """Build, serve, and build again on change, until Ctrl-C.

    Args:
        out: The site's folder.
        clients: The practice's folder; it and the templates are watched.
        port: Where to listen; the next free one is taken if it is in use, 0 takes any.
        say: Prints one line for the coach.

    Returns:
        The exit status, 0.

    Raises:
        Refused: No port near this one is free.
        OutputLost: What it has to say can't be written.
    """
    try:
        with Preview(out, port) as preview:
            if port and preview.port != port:
                say(f"Port {port} is in use by another program; using {preview.port}.")
            _watch(preview, build, clients, links, say)
    except KeyboardInterrupt:
        say("")
        say("The preview has ended.")
    return 0


def _watch(
    preview: Preview, build: Build, clients: Path, links: LinkFinder, say: Callable[[str], None]
) -> None:
    shown: list[str] = []
    links_file = f"clients/{LINKS}"
    before: dict[str, Stamp] | None = None
    while True:
        now = _settled(clients)
        if now != before:
            is_first = before is None
            before = now  # taken ahead of the build, so that a change during it is seen
            started = time.monotonic()
            held: list[str] = []
            has_changed = _build(preview, build, held.append if is_first else say)
            if links_file in (after := _look(clients)):  # new links are the build's own doing
                before = {**now, links_file: after[links_file]}
            try:
                new = [line for line in links(preview.address) if line not in shown]
            except Refused as refused:
                new = [str(refused)]
            for line in (*new, *held):  # at first the links lead, whatever there is to warn of
                say(line)
            shown += new
            if is_first:
                say("Leave this running; save a file and open pages follow. Ctrl-C ends it.")
            elif has_changed:
                say(f"Built again in {time.monotonic() - started:.1f} s.")
        time.sleep(LOOK_SECONDS)


def _build(preview: Preview, build: Build, say: Callable[[str], None]) -> bool:
    """Build once and tell open pages if the site is another one now."""
    before = site_files(preview.out)
    try:
        problems = build()
    except Refused as refused:
        problems = [refused]
    except Exception as error:  # a template in the middle of being edited must not end the preview
        problems = [f"the build stopped: {type(error).__name__}: {error}"]
    for problem in problems:
        say(str(problem))
    has_changed = site_files(preview.out) != before
    if has_changed:
        preview.tell()
    elif problems:
        say("The site is as it was.")
    return has_changed


def _settled(clients: Path) -> dict[str, Stamp]:
    """The stamps of all watched files, once they have stopped changing."""
    stamps = _look(clients)
    while True:
        time.sleep(SETTLE_SECONDS)
        again = _look(clients)
        if again == stamps:
            return stamps
        stamps = again


def _look(clients: Path) -> dict[str, Stamp]:
    stamps: dict[str, Stamp] = {}
    with contextlib.suppress(Refused):  # the folder is being moved; the build will say
        stamps = {f"clients/{name}": stamp for name, stamp in list_folder(clients).items()}
    folders = [str(top) for top in template_folders().values()]
    for folder in folders:  # grows while it is read
        with contextlib.suppress(OSError), os.scandir(folder) as entries:
            for entry in entries:
                if entry.is_dir(follow_symlinks=False):
                    folders.append(entry.path)
                else:
                    status = entry.stat()
                    stamps[entry.path] = Stamp(status.st_size, status.st_mtime_ns, status.st_ino)
    return stamps


class Preview:
    """The server alone: a folder on 127.0.0.1, from ``with`` to its end."""

    def __init__(self, out: Path, port: int = PORT) -> None:
        """Take a port.

        Raises:
            Refused: None of ten ports from this one on is free, or none may be used.
        """
        self.out = out
        self._run = draw_bytes(4).hex()  # so that a page left open from an earlier run reloads
        self._count = 0
        self._is_over = False
        self._news = threading.Condition()
        self._server = _listen(port)
        self._server.preview = self
        self.port: int = self._server.server_address[1]
        self.address = f"http://{HOST}:{self.port}/"

    def __enter__(self) -> Preview:
        threading.Thread(target=self._server.serve_forever, args=(0.05,), daemon=True).start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        with self._news:
            self._is_over = True
            self._news.notify_all()
        self._server.shutdown()
        self._server.server_close()

    @property
    def build(self) -> str:
        """Names the build that is served now."""
        return f"{self._run}-{self._count}"

    def tell(self) -> None:
        """Tell open pages that the site has been built again."""
        with self._news:
            self._count += 1
            self._news.notify_all()

    def wait_for_news(self, build: str) -> str:
        """The build served now, as soon as it is another one, or after a while anyhow."""
        with self._news:
            self._news.wait_for(lambda: self._is_over or self.build != build, ANSWER_SECONDS)
            return self.build


class _Server(socketserver.ThreadingTCPServer):
    daemon_threads = True
    block_on_close = False  # a page may be waiting for news
    allow_reuse_address = sys.platform != "win32"  # there it would let two share one port
    preview: Preview

    def handle_error(self, request: object, client_address: object) -> None:
        """A browser that hangs up in the middle is nothing to tell the coach about."""


def _listen(port: int) -> _Server:
    last = port if port == 0 else min(port + PORTS_TRIED - 1, 65535)
    for candidate in range(port, last + 1):
        try:
            return _Server((HOST, candidate), _Handler)
        except PermissionError:
            raise Refused(
                f"port {candidate} may not be used; choose one over 1023, such as {PORT}"
            ) from None
        except OSError as error:
            if error.errno != errno.EADDRINUSE:
                raise Refused(
                    f"the preview can't listen on {HOST}:{candidate}: {error.strerror}"
                ) from None
    raise Refused(f"the ports {port} to {last} are all in use; choose another with --port")


class _Handler(BaseHTTPRequestHandler):
    """GET and HEAD of what lies in the site's folder, and the preview's own two paths."""

    protocol_version = "HTTP/1.1"
    server_version = "sitegen"
    sys_version = ""
    timeout = 60  # seconds that a silent connection is kept
    server: _Server

    def do_GET(self) -> None:
        self._answer()

    def do_HEAD(self) -> None:
        self._answer()

    def _answer(self) -> None:
        preview = self.server.preview
        if self.headers.get("Content-Length") or self.headers.get("Transfer-Encoding"):
            self.close_connection = True  # what follows is no request of ours
        # A page elsewhere can have its own name lead to 127.0.0.1; its requests carry that name.
        names = {f"{HOST}:{preview.port}", f"localhost:{preview.port}"}
        if self.headers.get_all("Host", []) not in [[name] for name in names]:
            self._say(HTTPStatus.FORBIDDEN, "This preview answers only to its own address.")
            return
        if not self.path.startswith("/"):
            self._say(HTTPStatus.BAD_REQUEST, "That is no address of this preview.")
            return
        path, _, query = self.path.partition("?")
        if path == SCRIPT_PATH:
            self._send(SCRIPT.encode(), MEDIA_TYPES[".js"])
        elif path == NEWS_PATH:
            build = query.removeprefix("build=")
            self._send(preview.wait_for_news(build).encode(), MEDIA_TYPES[".txt"])
        elif self.headers.get("Service-Worker"):
            # An offline copy would go on showing an old build.
            self._say(HTTPStatus.NOT_FOUND, "The preview keeps no offline copies.")
        else:
            self._send_file(path)

    def _send_file(self, path: str) -> None:
        file = find_file(self.server.preview.out, path)
        if isinstance(file, str):
            self.send_response(HTTPStatus.MOVED_PERMANENTLY)
            self.send_header("Location", file)
            self._end(b"", MEDIA_TYPES[".txt"])
            return
        build = self.server.preview.build  # before reading: rather one reload too many
        data = None if file is None else _read(file)
        if file is None or data is None:
            self._say(HTTPStatus.NOT_FOUND, "There is no such page.")
            return
        if file.suffix == ".html":
            script = f'<script src="{SCRIPT_PATH}?build={build}" defer></script>'
            data = data.replace(b"</head>", script.encode() + b"</head>", 1)
        self._send(data, MEDIA_TYPES.get(file.suffix, "application/octet-stream"))

    def _send(self, data: bytes, kind: str) -> None:
        self.send_response(HTTPStatus.OK)
        self._end(data, kind)

    def _say(self, status: HTTPStatus, sentence: str) -> None:
        self.send_response(status)
        self._end((sentence + "\n").encode(), MEDIA_TYPES[".txt"])

    def _end(self, data: bytes, kind: str) -> None:
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(data)))
        self.send_header("Cache-Control", "no-store")
        self.send_header("X-Content-Type-Options", "nosniff")
        self.send_header("Referrer-Policy", "no-referrer")
        self.send_header("Cross-Origin-Resource-Policy", "same-origin")
        if self.close_connection:
            self.send_header("Connection", "close")
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(data)

    def send_error(self, code: int, message: str | None = None, explain: str | None = None) -> None:
        """Answer what can't be answered, such as a POST, in a plain sentence."""
        self.close_connection = True
        status = HTTPStatus(code)
        if status == HTTPStatus.NOT_IMPLEMENTED:
            status = HTTPStatus.METHOD_NOT_ALLOWED
        self.send_response(status)
        if status == HTTPStatus.METHOD_NOT_ALLOWED:
            self.send_header("Allow", "GET, HEAD")
        self._end(b"This preview only shows pages.\n", MEDIA_TYPES[".txt"])

    def log_message(self, format: str, *args: object) -> None:
        """Requests are no news to the coach."""


def find_file(out: Path, path: str) -> Path | str | None:
    """The file that a path asks for, never one outside the folder nor a hidden one.

    Returns:
        The file; a path to go to instead (a folder asked for without its last stroke); or None.
    """
    try:
        parts = [unquote(part, errors="strict") for part in path.partition("#")[0].split("/")[1:]]
    except UnicodeDecodeError:
        return None
    is_folder = parts[-1] == ""
    names = [part for part in parts if part]
    if any(name.startswith(".") or set(name) & set('/\\\0:*?"<>|') for name in names):
        return None
    place = out.joinpath(*names)
    try:
        real = place.resolve(strict=True)
    except OSError:
        return None
    if not real.is_relative_to(out.resolve()):
        return None  # behind a link that leads out
    if not real.is_dir():
        return None if is_folder else real
    if not (real / "index.html").is_file():
        return None
    if is_folder:
        return find_file(out, quote("/" + "/".join([*names, "index.html"])))
    return quote("/" + "/".join(names) + "/")


def _read(file: Path) -> bytes | None:
    try:
        descriptor = os.open(file, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0))
        with open(descriptor, "rb") as opened:  # noqa: PTH123
            return opened.read() if stat.S_ISREG(os.fstat(descriptor).st_mode) else None
    except OSError:
        return None
