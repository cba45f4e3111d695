"""Portals as a phone shows them, for the frame in the desk's page: served on a port of their own.

Another port is another origin, and the frame is closed in a sandbox besides, so that it is of no
origin at all: whatever a portal does, it can't read the desk, lead it elsewhere or open a window.
Each lies under a name that nobody can guess, since anybody on this computer can ask a port; and it
is drawn without the client's key.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Mapping
from datetime import date

from aiohttp import web

from sitegen.coach.serving import HOST, MEDIA_TYPES, NEVER_KEPT
from sitegen.portal.page import CONTENT_SECURITY_POLICY
from sitegen.publish.look import page_of
from sitegen.world import draw_bytes

MOST_FRAMES = 16
SANDBOX = "allow-scripts"


class Frames:
    """The pages that are there, by secret names."""

    def __init__(self) -> None:
        self.port = 0
        self.within = ""  # the origin of the page that may hold them
        self._secrets: dict[str, str] = {}
        self._files: OrderedDict[str, Mapping[str, bytes]] = OrderedDict()
        self._count = 0

    @property
    def origin(self) -> str:
        return f"http://{HOST}:{self.port}"

    def put(self, id: str, files: Mapping[str, bytes], day: date | None = None) -> str:
        """Lay down a client's page and what it needs, and say where.

        Args:
            id: The client's.
            files: By their names below the site's folder; one is a page.
            day: What the page takes for today; None for the device's own.
        """
        secret = self._secrets.setdefault(id, draw_bytes(24).hex())
        place = f"{self.origin}/{secret}/"
        page = next(filter(page_of, files))  # the folder of calendars has one of its own
        self._files[secret] = {**files, page: _named_self(files[page], place)}
        self._files.move_to_end(secret)
        while len(self._files) > MOST_FRAMES:
            self._files.popitem(last=False)
        self._count += 1
        query = f"n={self._count}" + (f"&day={day}" if day else "")
        return f"{place}{page.removesuffix('index.html')}?{query}"

    def application(self) -> web.Application:
        """The server for them."""
        application = web.Application()
        application.add_routes([web.get("/{secret}/{name:.*}", self._answer)])
        return application

    async def _answer(self, request: web.Request) -> web.Response:
        files = self._files.get(request.match_info["secret"])
        name = request.match_info["name"]
        if request.headers.getall("Host", []) != [f"{HOST}:{self.port}"] or files is None:
            return web.Response(status=403, text="There is nothing here.\n")
        data = files.get(f"{name}index.html" if name.endswith("/") else name)
        if data is None:
            return web.Response(status=404, text="There is no such page.\n")
        kind = MEDIA_TYPES.get(f".{name.rpartition('.')[2]}", MEDIA_TYPES[".html"])
        headers = {
            **NEVER_KEPT,
            "Content-Type": kind,
            # A page of no origin asks for its own files as a stranger.
            "Access-Control-Allow-Origin": "null",
            "Content-Security-Policy": f"sandbox {SANDBOX}; frame-ancestors {self.within}",
        }
        return web.Response(body=data, headers=headers)


def _named_self(page: bytes, place: str) -> bytes:
    """A page whose policy names the place that it may load from: of no origin, it has no
    ``'self'`` (WebKit then loads nothing)."""
    named = CONTENT_SECURITY_POLICY.replace("'self'", place)
    return page.replace(CONTENT_SECURITY_POLICY.encode(), named.encode(), 1)
