"""Show the site on this computer alone, build it again when a file changes, reload open pages.

The site is served as it lies in its folder, but for one line: each page gets a script of ours
that asks whether it is still the newest. A file of its own, since the portal's content security
policy allows no script within the page. Of all open pages one asks, and tells the others: a
browser makes few connections to one address, and many open portals would use them all up.

World: a socket on 127.0.0.1, threads, the clock, the system's news of folders.
"""

from __future__ import annotations

import asyncio
import contextlib
import os
import queue
import stat
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from urllib.parse import quote, unquote

from aiohttp import web

from sitegen.coach.serving import HOST, MEDIA_TYPES, NEVER_KEPT, Latest, LocalServer
from sitegen.coach.watching import concerns, watch
from sitegen.seal.keys_file import KEYS_FILE
from sitegen.site.folder import site_files
from sitegen.terminal.output import echo
from sitegen.world import Refused, Stamp, draw_bytes, list_folder, stamp_of, template_folders

PORT = 8000
LOOK_SECONDS = 0.5

Build = Callable[[], Sequence[object]]
"""Builds the site and returns the problems, each printed as its `str`. It keeps the old site
where it can't make a new one, and may raise `Refused`."""

LinkFinder = Callable[[str], Sequence[str]]
"""Given the address that the site is served under, such as ``http://127.0.0.1:8000/``: a line
for each client with the private link."""

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
        Refused: There is no such folder, or no port near this one is free.
        OutputLost: What it has to say can't be written.
    """
    list_folder(clients)
    try:
        with Preview(out, port, clients) as preview:
            if port and preview.port != port:
                say(f"Port {port} is in use by another program; using {preview.port}.")
            _follow(preview, build, clients / KEYS_FILE, links, say)
    except KeyboardInterrupt:
        say("")
        say("The preview has ended.")
    return 0


def _follow(
    preview: Preview, build: Build, keys: Path, links: LinkFinder, say: Callable[[str], None]
) -> None:
    shown: list[str] = []
    is_first = True
    while True:
        started = time.monotonic()
        held: list[str] = []
        has_changed = _build(preview, build, held.append if is_first else say)
        own_keys = _stamp(keys)  # new links are the build's own doing
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
        is_first = False
        while {Path(name).name for name in preview.wait_for_changes()} == {KEYS_FILE}:
            if _stamp(keys) != own_keys:
                break


def _stamp(file: Path) -> Stamp | None:
    try:
        return stamp_of(file.stat())
    except OSError:
        return None


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


class Preview(LocalServer):
    """The server: a folder on 127.0.0.1, and the news of another one."""

    def __init__(self, out: Path, port: int = PORT, clients: Path | None = None) -> None:
        """Nothing is served yet.

        Args:
            out: The site's folder.
            port: Where to listen; the next free one is taken if it is in use, 0 takes any.
            clients: The practice's folder, where it and the templates are to be watched.
        """
        super().__init__("the preview", port)
        self.out, self._clients = out, clients
        self._run_name = draw_bytes(4).hex()  # so that a page left open from before reloads
        self._latest = Latest()
        self._changes: queue.SimpleQueue[frozenset[str]] = queue.SimpleQueue()

    @property
    def address(self) -> str:
        return f"{self.origin}/"

    @property
    def build(self) -> str:
        """Names the build that is served now."""
        return f"{self._run_name}-{self._latest.version}"

    def tell(self) -> None:
        """Tell open pages that the site has been built again."""
        asyncio.run_coroutine_threadsafe(self._latest.tell(), self._loop).result()

    def wait_for_changes(self) -> frozenset[str]:
        """Names of files that changed since last asked, as soon as there are any."""
        found: frozenset[str] = frozenset()
        while not found:  # not without end: a signal just before such a wait would not end it
            with contextlib.suppress(queue.Empty):
                found = self._changes.get(timeout=LOOK_SECONDS)
        while not self._changes.empty():
            found |= self._changes.get()
        return found

    async def _serve(self) -> None:
        server = web.Server(self._answer, access_log=None)
        runner = web.ServerRunner(server, handle_signals=False, shutdown_timeout=0.2)
        watching: asyncio.Task[None] | None = None
        try:
            self.port = await self._listen(runner, self.asked_port)
            if self._clients is not None:
                watching = asyncio.create_task(self._watch(self._clients.resolve()))
                await asyncio.sleep(0)  # it begins: what changes from here on is news
            self._ready.set()
            await self._stop.wait()
            await self._latest.tell(is_over=True)
        finally:
            if watching is not None:
                watching.cancel()
                await asyncio.gather(watching, return_exceptions=True)
            await runner.cleanup()

    async def _watch(self, clients: Path) -> None:
        keys = str(clients / KEYS_FILE)
        templates = [folder.resolve() for folder in template_folders().values()]

        def matters(name: str) -> bool:
            below = (clients, *templates)
            return name == keys or any(concerns(top, name) for top in below)

        async def note(names: frozenset[str]) -> None:
            self._changes.put(names)

        await watch([clients, *templates], matters, self._stop, note)

    # --- what it answers --------------------------------------------------------------------

    async def _answer(self, request: web.BaseRequest) -> web.Response:
        """GET and HEAD of what lies in the site's folder, and of the preview's own two paths."""
        response = await self._found(request)
        response.headers.update(NEVER_KEPT)
        response.headers["Cross-Origin-Resource-Policy"] = "same-origin"
        return response

    async def _found(self, request: web.BaseRequest) -> web.Response:
        # A page elsewhere can have its own name lead to 127.0.0.1; its requests carry that name.
        names = {f"{HOST}:{self.port}", f"localhost:{self.port}"}
        if request.headers.getall("Host", []) not in [[name] for name in names]:
            return _sentence(403, "This preview answers only to its own address.")
        if request.method not in ("GET", "HEAD"):
            refused = _sentence(405, "This preview only shows pages.")
            refused.headers["Allow"] = "GET, HEAD"
            return refused
        path, _, query = request.raw_path.partition("?")
        if not path.startswith("/"):
            return _sentence(400, "That is no address of this preview.")
        if path == SCRIPT_PATH:
            return _file(SCRIPT.encode(), ".js")
        if path == NEWS_PATH:
            run, _, version = query.removeprefix("build=").partition("-")
            if run == self._run_name:
                await self._latest.after(version)
            return _file(self.build.encode(), ".txt")
        if "Service-Worker" in request.headers:  # an offline copy would go on showing an old build
            return _sentence(404, "The preview keeps no offline copies.")
        return self._page(path)

    def _page(self, path: str) -> web.Response:
        file = find_file(self.out, path)
        if isinstance(file, str):
            return web.Response(status=301, headers={"Location": file})
        build = self.build  # before reading: rather one reload too many
        data = None if file is None else _read(file)
        if file is None or data is None:
            return _sentence(404, "There is no such page.")
        if file.suffix == ".html":
            script = f'<script src="{SCRIPT_PATH}?build={build}" defer></script>'
            data = data.replace(b"</head>", script.encode() + b"</head>", 1)
        return _file(data, file.suffix)


def _file(data: bytes, suffix: str) -> web.Response:
    kind = MEDIA_TYPES.get(suffix, "application/octet-stream")
    return web.Response(body=data, headers={"Content-Type": kind})


def _sentence(status: int, sentence: str) -> web.Response:
    return web.Response(status=status, text=f"{sentence}\n")


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
