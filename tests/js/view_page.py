"""A small page that shows one view by itself, under the portal's own security policy.

The partial, its script and its style sheet are the real ones; the rest of the portal is a stand-in
of a few lines: the block of data and `window.portal`, as templates/start.js writes them down.
"""

from __future__ import annotations

import contextlib
import functools
import http.server
import json
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from jinja2 import DictLoader, Environment, StrictUndefined

from sitegen.model.languages import ENGLISH
from sitegen.portal.assets import bundles, late
from sitegen.portal.catalogue import Languages
from sitegen.portal.page import CONTENT_SECURITY_POLICY
from sitegen.portal.views import checkin
from sitegen.world import read_templates

CODE = "ABCD-EFGH"
WEDNESDAY = "2027-02-10"

PAGE = """<!doctype html>
<html lang="en" data-portal="test"><head><meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="{{ policy }}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{{ title }}</title><link rel="icon" href="data:,">
{% for sheet in sheets %}<link rel="stylesheet" href="{{ sheet }}">{% endfor %}
</head><body><div id="portal"><main id="main"><h1>A running plan</h1>
<div id="device-stop" hidden></div>
<section class="view" id="{{ name }}" aria-labelledby="{{ name }}-title">
<h2 class="title" id="{{ name }}-title" tabindex="-1">{{ title }}</h2>
{% include "view.html" %}
</section></main></div>
<script type="application/json" id="portal-data">{{ data }}</script>
<script src="portal.js"></script><script src="later.js"></script><script src="stand-in.js"></script>
</body></html>"""

STAND_IN_SCRIPT = """"use strict";
(function () {
  const two = (n) => String(n).padStart(2, "0");
  window.portal = {
    id: "test",
    data: JSON.parse(document.getElementById("portal-data").textContent),
    morning: () => window.portal.today(4),
    today(hoursBack = 0) {
      const now = new Date();
      now.setHours(now.getHours() - hoursBack);
      return now.getFullYear() + "-" + two(now.getMonth() + 1) + "-" + two(now.getDate());
    },
  };
  window.portal.own = window.portalParts.device.corner("test");
  window.portal.stops = window.portalParts.stopping.createStops(window.portal);
  const section = document.querySelector(".view");
  const view = window.portalParts.views[section.id];
  view.getReady(section, window.portal);
  if (view.getLater) view.getLater(section, window.portal);
  const moment = () => window.portal.today() + window.portal.morning();
  let shown = moment();
  document.addEventListener("visibilitychange", () => {
    if (moment() === shown) return;
    shown = moment();
    document.dispatchEvent(new CustomEvent("portal:day"));
  });
})();
"""

WARM_UP, COOL_DOWN = ["warm_up", 5, 1, None], ["cool_down", 5, 1, None]


def session(id: str, on: str, kind: str, *parts: list[Any]) -> dict[str, Any]:
    """A session as the page's block of data holds it."""
    running = sum(p[1] * p[2] for p in parts if p[0] in ("run", "beat"))
    return {
        "id": id, "on": on, "at": "18:30", "kind": kind, "run_minutes": running,
        "total_minutes": sum(p[1] * p[2] for p in parts), "effort": [2, 3], "parts": list(parts),
    }  # fmt: skip


def data(**more: Any) -> dict[str, Any]:
    """Two weeks of an invented runner: runs on Monday, Wednesday, Friday; strength on Tuesday."""
    beat = [["beat", 2, 4, 161], ["walk", 1, 4, None], ["run", 8, 1, 161]]
    weeks = [
        [
            session("mon-1", "2027-02-08", "easy", WARM_UP, ["run", 24, 1, 161], COOL_DOWN),
            session("tue-1", "2027-02-09", "strength", ["strength", 20, 1, None]),
            session("wed-1", WEDNESDAY, "beat", WARM_UP, *beat, COOL_DOWN),
            session("fri-1", "2027-02-12", "long", WARM_UP, ["run", 35, 1, 161], COOL_DOWN),
        ],
        [session("mon-2", "2027-02-15", "easy", WARM_UP, ["run", 26, 1, 163], COOL_DOWN)],
    ]
    starts, bands = ("2027-02-08", "2027-02-15"), ([156, 161, 166], [158, 163, 168])
    plan = {
        "version": 1, "code": CODE, "called": "Ada", "language": "en", "units": "km",
        "status": "active", "stop": "", "as_of": "2027-02-08", "baseline_spm": 156,
        "emergency": "112",
        "coach": {"name": "Robin", "contact": "robin@example.org",
                  "href": "mailto:robin@example.org"},
        "weeks": [
            {"number": n, "start": start, "kind": "build", "cadence_spm": band, "sessions": of}
            for n, (start, band, of) in enumerate(zip(starts, bands, weeks, strict=True), 1)
        ],
        "logged": {"ran": [], "done": [], "skipped": [], "stopped": []},
        "reacts": {"taken": [], "standing": [], "infected": []},
    }  # fmt: skip
    return plan | more


def write_page(folder: Path, name: str, title: str, **more: Any) -> Path:
    """Writes the view's page with all that it loads into a folder; returns its file."""
    shipped = read_templates()
    templates = {"page.html": PAGE, "view.html": shipped[f"views/{name}/view.html"]}
    environment = Environment(
        loader=DictLoader(templates), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True, extensions=["jinja2.ext.i18n"],
    )  # fmt: skip
    environment.install_null_translations(newstyle=True)  # type: ignore[attr-defined]
    parts = {n: text for n, text in shipped.items() if n != "start.js"}
    for file, text in bundles(parts).items():
        (folder / file).write_text(text)
    (folder / "later.js").write_bytes(late(ENGLISH, bundles(parts), Languages())[1])
    (folder / "listener.js").write_text((Path(__file__).parent / "listener.js").read_text())
    (folder / "stand-in.js").write_text(STAND_IN_SCRIPT)
    block = json.dumps(data(**more), ensure_ascii=False).replace("<", "\\u003c")
    page = folder / f"{name}.html"
    page.write_text(
        environment.get_template("page.html").render(
            policy=CONTENT_SECURITY_POLICY, name=name, title=title,
            view=checkin.build(None) if name == "checkin" else None,
            sheets=["portal.css"], data=_markup(block),
        )
    )  # fmt: skip
    return page


def _markup(text: str) -> Any:
    from markupsafe import Markup

    return Markup(text)


class _Quiet(http.server.SimpleHTTPRequestHandler):
    def log_message(self, *args: Any) -> None:
        pass

    def do_GET(self) -> None:
        del self.headers["If-Modified-Since"]  # whole seconds: a page written again may be younger
        super().do_GET()


@contextlib.contextmanager
def served(folder: Path) -> Iterator[str]:
    """The folder's address on this machine."""
    handler = functools.partial(_Quiet, directory=str(folder))
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_address[1]}"
    finally:
        server.shutdown()
        server.server_close()
