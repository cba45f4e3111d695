"""The desk's server: on 127.0.0.1 alone, for whoever holds a token.

Against other sites in the same browser, pages on other ports of this computer, and names that
lead here: Host and Origin are checked, nothing is allowed across origins, and every request but
for the empty page and its script carries the token in a header of its own, which no other origin
can set unasked. Work is done one piece at a time in a thread beside, so that nothing waits for it.

World: a socket on 127.0.0.1, threads, the clock, chance.
"""

from __future__ import annotations

import asyncio
import json
import logging
import time
from collections import OrderedDict
from collections.abc import Awaitable, Callable, Iterable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from types import TracebackType
from typing import Any, TypeVar

from aiohttp import web

from sitegen.coach.serving import HOST, NEVER_KEPT, Latest, LocalServer
from sitegen.desk.door import Door
from sitegen.desk.frames import Frames
from sitegen.desk.page import POLICY_OF_SCRIPTS, Pages
from sitegen.desk.panel import DeskPanel, Shown
from sitegen.desk.stamps import all_stamps
from sitegen.desk.warm import Warm
from sitegen.practice.opening import NotThere
from sitegen.world import Refused, Stamp, draw_bytes

REQUEST_BYTES = 48 * 2**20  # of one request: 32 MiB of a mail, in base64
MOST_SHOWN = 64  # acts that were shown and wait for a yes
TOKEN_HEADER, ONCE_HEADER = "X-Desk-Token", "X-Desk-Once"
OPEN_PATHS = frozenset({"/", "/desk.js", "/desk.css"})  # hold nothing of anybody
SENT_HEADERS = {
    **NEVER_KEPT,
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "X-Frame-Options": "DENY",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
}
FAULT_SAYS = (
    "A fault of the tool itself, none of yours. What is kept is whole; look whether what you "
    "pressed was done. Where sitegen desk runs stands how it came about."
)
FAULTS = logging.getLogger(__name__)
Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]
Result = TypeVar("Result")


@dataclass
class _State:
    """What the loop's thread holds."""

    stamps: Mapping[str, Stamp] = field(default_factory=dict)  # of the files, as last told
    shown: OrderedDict[str, Shown] = field(default_factory=OrderedDict)
    latest: Latest = field(default_factory=Latest)


class Desk(LocalServer):
    """The server, from ``with`` to its end."""

    def __init__(
        self,
        warm: Warm,
        panels: Iterable[DeskPanel],
        port: int = 0,
        watches: bool = True,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        """Nothing is served yet.

        Args:
            warm: The practice.
            panels: The parts of the page.
            port: Where to listen; the next free one is taken if it is in use, 0 takes any.
            watches: Whether open pages are told of files that change.
            clock: Seconds that never go back.
        """
        super().__init__("the desk", port)
        self.warm = warm
        self.door = Door(draw_bytes, clock)
        self.frames = Frames()
        self._panels = {panel.name: panel for panel in panels}
        self._watches = watches
        self._state = _State()
        self._worker = ThreadPoolExecutor(1, "desk-work")

    # --- its life ---------------------------------------------------------------------------

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        super().__exit__(kind, error, trace)
        self._worker.shutdown(wait=True)

    def new_address(self) -> str:
        """An address by which one page comes in, once and soon. What stands behind ``#`` is sent
        to no server."""
        return f"{self.origin}/#{self.door.new_once()}"

    async def _serve(self) -> None:
        pages, frames = (
            web.AppRunner(one, handle_signals=False, access_log=None, shutdown_timeout=0.2)
            for one in (self._application(), self.frames.application())
        )
        watching: asyncio.Task[None] | None = None
        try:
            self.port = await self._listen(pages, self.asked_port)
            self.frames.port = await self._listen(frames, 0)
            self.frames.within = self.origin
            self.pages = Pages(self._panels.values(), self.frames.origin)
            if self._watches:
                from sitegen.coach.watching import concerns, watch

                top = self.warm.clients.resolve()
                watching = asyncio.create_task(
                    watch(
                        [top],
                        lambda name: concerns(top, name),
                        self._stop,
                        lambda _: self.tell_changes(),
                    )
                )
                await asyncio.sleep(0)  # it begins: what changes from here on is news
            self._ready.set()
            await self._stop.wait()
            await self._state.latest.tell(is_over=True)
        finally:
            if watching is not None:
                watching.cancel()
                await asyncio.gather(watching, return_exceptions=True)
            await pages.cleanup()
            await frames.cleanup()

    def _application(self) -> web.Application:
        application = web.Application(middlewares=[self._guard], client_max_size=REQUEST_BYTES)
        application.add_routes(
            [
                web.get("/", self._shell),
                web.get("/desk.js", self._script),
                web.get("/desk.css", self._style),
                web.post("/enter", self._enter),
                web.get("/panel/{panel}", self._panel),
                web.post("/view/{panel}", self._panel),
                web.post("/act/{panel}/{act}", self._act),
                web.get("/news", self._news),
            ]
        )
        return application

    # --- who may ask ------------------------------------------------------------------------

    def other_name(self, request: web.Request) -> bool:
        """It was sent to another name: one that a page elsewhere had lead to this computer."""
        return request.headers.getall("Host", []) != [f"{HOST}:{self.port}"]

    def other_page(self, request: web.Request) -> bool:
        """A page of another origin sent it: of a site, or of another port of this computer."""
        origins = request.headers.getall("Origin", [self.origin])
        site = request.headers.get("Sec-Fetch-Site", "same-origin")
        is_led_here = request.path == "/" and request.headers.get("Sec-Fetch-Mode") == "navigate"
        return origins != [self.origin] or not (site == "same-origin" or is_led_here)

    def not_let_in(self, request: web.Request) -> bool:
        """It comes without the token that a page was given when it came in."""
        is_open = request.path in OPEN_PATHS or request.path == "/enter"
        return not (is_open or self.door.knows(request.headers.get(TOKEN_HEADER, "")))

    @property
    def guards(self) -> Sequence[tuple[Callable[[web.Request], bool], str]]:
        """What turns a request away, and what is said then."""
        return (
            (self.other_name, "This desk answers only to its own address."),
            (self.other_page, "This desk answers only its own page."),
            (self.not_let_in, "This page has not come in, or the desk was started anew."),
        )

    @property
    def _guard(self) -> Any:
        @web.middleware
        async def guard(request: web.Request, handler: Handler) -> web.StreamResponse:
            why = next((says for turns_away, says in self.guards if turns_away(request)), "")
            if why:
                response: web.StreamResponse = web.Response(status=403, text=why + "\n")
            else:
                try:
                    response = await handler(request)
                except web.HTTPException as error:
                    response = web.Response(status=error.status, text=f"{error.reason}\n")
                except (Refused, NotThere) as error:
                    response = web.Response(status=409, text=str(error))
                except Exception:
                    FAULTS.exception("%s %s", request.method, request.path)
                    response = web.Response(status=500, text=FAULT_SAYS)
            response.headers.update(SENT_HEADERS)
            response.headers["Content-Security-Policy"] = _policy(self.frames.origin)
            return response

        return guard

    async def _enter(self, request: web.Request) -> web.Response:
        token = self.door.enter(request.headers.get(ONCE_HEADER, ""))
        if token is None:
            return web.Response(status=403, text="This address was used, or is too old.")
        return web.json_response({"token": token})

    # --- what it answers --------------------------------------------------------------------

    async def _shell(self, _request: web.Request) -> web.Response:
        return web.Response(text=self.pages.shell(), content_type="text/html")

    async def _script(self, _request: web.Request) -> web.Response:
        return web.Response(text=self.pages.script, content_type="text/javascript")

    async def _style(self, _request: web.Request) -> web.Response:
        return web.Response(text=self.pages.style, content_type="text/css")

    async def _panel(self, request: web.Request) -> web.Response:
        """A panel as HTML: of what is asked for in the address, or of JSON that was sent."""
        panel = self._find(request)
        given: Mapping[str, Any] = (
            await _sent(request) if request.method == "POST" else dict(request.query)
        )
        version = self._state.latest.version
        text = await self._work(lambda: self.pages.panel(panel, self._view(panel, given)))
        headers = {"X-Desk-Version": str(version)}
        return web.Response(text=text, content_type="text/html", headers=headers)

    def _view(self, panel: DeskPanel, given: Mapping[str, Any]) -> Mapping[str, Any]:
        seen = panel.view(self.warm, given)
        if "portal" in seen:
            address = self.frames.put(str(seen["id"]), seen["portal"], self.warm.as_of)
            return {**seen, "portal": address}
        return seen

    async def _act(self, request: web.Request) -> web.Response:
        """An act shown; with the ticket of what was shown, done."""
        panel = self._find(request)
        name = request.match_info["act"]
        if name not in panel.acts:
            raise web.HTTPNotFound
        sent = await _sent(request)
        if "ticket" not in sent:
            given = sent.get("given", {})
            if not isinstance(given, dict):
                raise web.HTTPBadRequest
            shown = await self._work(lambda: panel.acts[name](self.warm, given))
            if name not in panel.at_once or shown.do is None:
                if shown.do is not None:
                    self._state.shown[shown.ticket] = shown
                    while len(self._state.shown) > MOST_SHOWN:
                        self._state.shown.popitem(last=False)
                return _answer(
                    html=self.pages.shown(shown),
                    ticket=shown.ticket if shown.do is not None else None,
                )
        else:
            found = self._state.shown.pop(str(sent["ticket"]), None)
            if found is None or found.do is None:
                raise Refused("this was not shown, or is done already; look at it again")
            shown = found
        assert shown.do is not None
        outcome = await self._work(shown.do)
        await self.tell_changes(is_own=True)
        return _answer(
            html=self.pages.outcome(outcome),
            told=self.pages.outcome(outcome, is_within=True),
            tells=bool(outcome.lines or outcome.then),
            done=not outcome.differs,
            version=self._state.latest.version,
            says=outcome.says,
        )

    async def _news(self, request: web.Request) -> web.Response:
        """The state of the practice, as soon as it is another one than the page has, or after a
        while anyhow."""
        await self._state.latest.after(request.query.get("since", ""))
        return _answer(version=self._state.latest.version)

    async def tell_changes(self, is_own: bool = False) -> None:
        """Tell of changed files once: what was told with the act that made it is no news again."""
        stamps = await self._work(lambda: all_stamps(self.warm.clients))
        if is_own or stamps != self._state.stamps:
            self._state.stamps = stamps
            await self._state.latest.tell()

    def _find(self, request: web.Request) -> DeskPanel:
        panel = self._panels.get(request.match_info["panel"])
        if panel is None:
            raise web.HTTPNotFound
        return panel

    async def _work(self, work: Callable[[], Result]) -> Result:
        return await self._loop.run_in_executor(self._worker, work)


def _policy(frames: str) -> str:
    return "; ".join(
        (
            "default-src 'none'",
            "script-src 'self'",
            "style-src 'self'",
            "connect-src 'self'",
            "img-src data:",
            f"frame-src {frames}",
            "base-uri 'none'",
            "form-action 'none'",
            "frame-ancestors 'none'",
            "require-trusted-types-for 'script'",
            f"trusted-types {POLICY_OF_SCRIPTS}",
        )
    )


async def _sent(request: web.Request) -> Mapping[str, Any]:
    """The JSON object that was sent.

    Raises:
        HTTPBadRequest: There is none, or a text in it is none.
    """
    data = await request.read()
    try:
        found = json.loads(data)
        if b"\\ud" in data:  # so a browser sends what is left of a character that was cut
            json.dumps(found, ensure_ascii=False).encode()
    except UnicodeEncodeError:
        raise web.HTTPBadRequest(reason="half a character stands in it; type it again") from None
    except ValueError:
        raise web.HTTPBadRequest from None
    if request.content_type != "application/json" or not isinstance(found, dict):
        raise web.HTTPBadRequest
    return found


def _answer(**values: Any) -> web.Response:
    return web.json_response(values)


def file_for_browser(folder: Path, address: str) -> Path:
    """A page that leads to an address. A browser is started with its name: what stands in a
    process's arguments can be read by everybody on this computer, and the address can't.

    Args:
        folder: One that nobody else may read.
        address: Where it leads.
    """
    from sitegen.world import write_text_atomic

    page = folder / "desk.html"
    text = (
        '<!doctype html><meta charset="utf-8"><meta name="referrer" content="no-referrer">'
        f'<meta http-equiv="refresh" content="0; url={address}"><title>The desk</title>\n'
    )
    write_text_atomic(page, text, mode=0o600)
    return page
