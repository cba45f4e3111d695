"""What serves pages on this computer alone: a thread with a loop, a port, and news for open pages.

World: a socket on 127.0.0.1, a thread.
"""

from __future__ import annotations

import asyncio
import contextlib
import errno
import threading
from abc import ABC, abstractmethod
from collections.abc import Mapping
from types import TracebackType
from typing import Self

from aiohttp import web
from aiohttp.web_runner import BaseRunner

from sitegen.world import Refused

HOST = "127.0.0.1"
PORTS_TRIED = 10
NEWS_SECONDS = 20.0  # after this long without news a waiting page is told so, and asks again
NEVER_KEPT: Mapping[str, str] = {
    "Cache-Control": "no-store",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
}
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


class LocalServer(ABC):
    """Serves in a thread of its own, from ``with`` to its end."""

    def __init__(self, name: str, port: int) -> None:
        """Nothing is served yet.

        Args:
            name: What it is called where it can't listen.
            port: Where to listen; the next free one is taken if it is in use, 0 takes any.
        """
        self.name, self.asked_port, self.port = name, port, 0
        self._loop = asyncio.new_event_loop()
        self._stop = asyncio.Event()
        self._ready = threading.Event()
        self._fault: BaseException | None = None
        self._thread = threading.Thread(target=self._run, daemon=True)

    @abstractmethod
    async def _serve(self) -> None:
        """Listen, set ``_ready``, and go on until ``_stop``."""

    @property
    def origin(self) -> str:
        return f"http://{HOST}:{self.port}"

    def __enter__(self) -> Self:
        """Listen.

        Raises:
            Refused: No port near the one asked for is free, or none may be used.
        """
        self._thread.start()
        self._ready.wait()
        if self._fault is not None:
            raise self._fault
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        with contextlib.suppress(RuntimeError):  # it ended by itself
            self._loop.call_soon_threadsafe(self._stop.set)
        self._thread.join()

    def _run(self) -> None:
        asyncio.set_event_loop(self._loop)
        try:
            self._loop.run_until_complete(self._serve())
        except BaseException as fault:
            self._fault = fault
        finally:
            self._ready.set()
            self._loop.close()

    async def _listen(self, runner: BaseRunner, port: int) -> int:
        """Listen on 127.0.0.1, and say where.

        Raises:
            Refused: No port near this one is free, or none may be used.
        """
        await runner.setup()
        last = port if port == 0 else min(port + PORTS_TRIED - 1, 65535)
        for candidate in range(port, last + 1):
            site = web.TCPSite(runner, HOST, candidate)
            try:
                await site.start()
            except PermissionError:
                raise Refused(
                    f"port {candidate} may not be used; choose one over 1023, such as 8100"
                ) from None
            except OSError as error:
                if error.errno != errno.EADDRINUSE:
                    raise Refused(
                        f"{self.name} can't listen on {HOST}:{candidate}: {error.strerror}"
                    ) from None
            else:
                return int(runner.addresses[-1][1])
        raise Refused(f"the ports {port} to {last} are all in use; choose another with --port")


class Latest:
    """Which state is the newest, for pages that wait for another one. Lives in a loop's thread."""

    def __init__(self) -> None:
        self.version = 1
        self._is_over = False
        self._changed = asyncio.Condition()

    async def tell(self, is_over: bool = False) -> None:
        """Tell waiting pages that something is otherwise, or that there will be no more news."""
        async with self._changed:
            self.version += 1
            self._is_over = is_over
            self._changed.notify_all()

    async def after(self, version: str) -> None:
        """Wait for another state than this one, or a while, or the end."""
        async with self._changed:
            with contextlib.suppress(TimeoutError):
                await asyncio.wait_for(
                    self._changed.wait_for(lambda: self._is_over or str(self.version) != version),
                    NEWS_SECONDS,
                )
