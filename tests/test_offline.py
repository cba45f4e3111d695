"""The portal with its server gone, in Chromium: what is kept, for how long, and what goes.

Each test runs a real server with a folder of its own, and stops it for good where the text says
that the server is gone. Registration and reload without a server are also tried in Firefox and
WebKit, in `test_portal_engines`.
"""

from __future__ import annotations

import functools
import http.server
import json
import re
import shutil
import threading
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import expect

from chromium import ARGS, WHOLE, needs_chromium
from engines import until
from portal_builder import (
    AS_OF,
    KEY_TEXT,
    PORTAL,
    make_case,
    make_plan,
    write_sealed_site,
    write_site,
)
from sitegen.portal.icon import SIZES, icon
from sitegen.portal.page import Look

sync_api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
pytestmark = needs_chromium

OTHER = "Dw4NDAsKCQgHBgUEAwIBAA"
STORES = "caches.keys()"
KEPT = """async () => {
    const found = {};
    for (const name of await caches.keys())
        found[name] = (await (await caches.open(name)).keys()).map(r => new URL(r.url).pathname);
    return found;
}"""
WORKERS = """async () => (await navigator.serviceWorker.getRegistrations())
    .map(r => new URL(r.scope).pathname)"""


class Host:
    """A static host on this machine that can be slow, lack a page, or be gone."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.asked: list[str] = []
        self.answers = threading.Event()  # until it is set, no page is sent
        self.answers.set()
        self.in_trouble = False
        self.patience = 60_000  # ms that the worker waits; else the copy may show on a busy machine
        host = self

        class Handler(http.server.SimpleHTTPRequestHandler):
            def log_message(self, format: str, *args: Any) -> None:
                host.asked.append(self.path)

            def do_GET(self) -> None:
                del self.headers["If-Modified-Since"]  # it counts in whole seconds
                if self.path.endswith("/"):
                    host.answers.wait()
                    if host.in_trouble:
                        self.send_error(503)
                        return
                if self.path == "/worker.js" and (folder / "worker.js").exists():
                    self.send_worker((folder / "worker.js").read_text(encoding="utf-8"))
                    return
                super().do_GET()

            def send_worker(self, script: str) -> None:
                script, times = re.subn(r"(PATIENCE ?= ?)\d+", rf"\g<1>{host.patience}", script)
                assert times == 1
                self.send_response(200)
                self.send_header("Content-Type", "text/javascript")
                self.end_headers()
                self.wfile.write(script.encode())

        handler = functools.partial(Handler, directory=str(folder))
        self.server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler)
        self.address = f"http://127.0.0.1:{self.server.server_port}"
        threading.Thread(target=self.server.serve_forever, args=(0.05,), daemon=True).start()

    def stop(self) -> None:
        self.answers.set()
        self.server.shutdown()
        self.server.server_close()


@pytest.fixture
def page(browser: Any) -> Iterator[Any]:
    context = browser.new_context(viewport={"width": 390, "height": 844})
    yield context.new_page()
    context.close()


@pytest.fixture
def host(tmp_path: Path) -> Iterator[Host]:
    host = Host(tmp_path)
    yield host
    host.stop()


def build(host: Host, name: str = "one", called: str = "Mara") -> None:
    """A build of an open portal; another name is another build."""
    write_site(host.folder, make_case(called=called), look=Look(version="test", built=name))


def visit(page: Any, host: Host, end: str = "", portal: str = PORTAL) -> None:
    page.goto("about:blank")
    page.goto(f"{host.address}/{portal}/{end}")
    page.wait_for_selector("html[data-ready]", state="attached")


def kept(page: Any, host: Host, end: str = "", portal: str = PORTAL) -> None:
    """A first visit, until the copy is there."""
    visit(page, host, end, portal)
    page.wait_for_selector("html[data-kept]", state="attached")


def whose(page: Any) -> str:
    return str(page.locator(".whose").inner_text())


def test_after_one_visit_an_open_portal_opens_with_the_server_gone(page: Any, host: Host):
    build(host)
    kept(page, host)
    host.stop()

    visit(page, host, "#weeks")

    expect(page.locator("#weeks-title")).to_be_visible()
    assert page.evaluate("getComputedStyle(document.querySelector('.nav')).position") == "fixed"
    page.evaluate("location.reload()")
    page.wait_for_selector("html[data-ready]", state="attached")
    assert whose(page) == "Running plan for Mara"


def test_a_sealed_portal_opens_with_the_server_gone_and_is_kept_sealed(page: Any, host: Host):
    write_sealed_site(host.folder)
    kept(page, host, f"#k={KEY_TEXT}")
    found = page.evaluate(
        """async () => {
            const parts = [];
            for (const name of await caches.keys()) {
                const store = await caches.open(name);
                for (const asked of await store.keys())
                    parts.push(name, asked.url, await (await store.match(asked)).text());
            }
            return parts.join("\\n");
        }"""
    )
    assert 'id="sealed"' in found
    assert KEY_TEXT not in found
    assert "Mara" not in found
    host.stop()

    visit(page, host, f"#k={KEY_TEXT}")

    expect(page.locator("#now-title")).to_be_visible()


def test_the_copy_is_one_page_with_the_assets_that_it_names_and_no_more(page: Any, host: Host):
    build(host)
    kept(page, host)
    text = (host.folder / PORTAL / "index.html").read_text(encoding="utf-8")
    named = {
        f"/assets/{path.name}"
        for path in (host.folder / "assets").iterdir()
        if f'"../assets/{path.name}"' in text.split("</head>")[0] and path.suffix in (".css", ".js")
    }
    assert {name.split(".")[0] for name in named} == {
        "/assets/portal", "/assets/later-en", "/assets/listen-en",
    }  # fmt: skip
    assert {name.rpartition(".")[2] for name in named} == {"css", "js"}

    [(name, paths)] = page.evaluate(KEPT).items()

    assert name == f"plan {host.address}/{PORTAL}/"
    assert set(paths) == named | {f"/{PORTAL}/"}
    assert page.evaluate(WORKERS) == [f"/{PORTAL}/"]


def test_a_first_visit_asks_the_host_for_each_file_once(page: Any, host: Host):
    build(host)
    kept(page, host)

    files = [path for path in host.asked if path.endswith((".css", ".js"))]

    assert len(files) == len(set(files))
    assert host.asked.count(f"/{PORTAL}/") == 1


def test_a_new_build_shows_at_the_next_visit_and_says_so(page: Any, host: Host):
    build(host, "one", "Mara")
    kept(page, host)
    build(host, "two", "Marusya")

    visit(page, host)

    assert whose(page) == "Running plan for Marusya"
    fresh = page.locator("[data-news=fresh]")
    fresh.wait_for(state="visible")
    assert "newer than the one that you opened here last" in fresh.inner_text()
    host.stop()
    visit(page, host)
    assert whose(page) == "Running plan for Marusya"


def test_a_plan_that_is_older_is_not_called_newer(page: Any, host: Host):
    page.add_init_script(
        "navigator.serviceWorker.addEventListener('message', (e) => { window.told = e.data; })"
    )
    build(host, "two")
    kept(page, host)
    page.wait_for_function("localStorage['portal.' + portal.id + '.newest']")
    old = make_plan(as_of=AS_OF - timedelta(days=1))
    write_site(host.folder, make_case(), old, look=Look(version="test", built="one"))

    visit(page, host)
    page.locator("[data-host=older]").wait_for(state="visible")
    page.wait_for_function("window.told && window.told.fresh")
    assert page.locator("[data-news=fresh]").is_hidden()


def test_an_old_asset_goes_with_the_page_that_named_it(page: Any, host: Host):
    build(host, "one")
    kept(page, host)
    before = page.evaluate(KEPT)
    old = next((host.folder / "assets").glob("portal.*.js"))
    new = old.with_name("portal.0000000000.js")
    new.write_bytes(old.read_bytes() + b"\n// another\n")
    build(host, "two")
    file = host.folder / PORTAL / "index.html"
    file.write_text(file.read_text(encoding="utf-8").replace(old.name, new.name), encoding="utf-8")

    visit(page, host)
    page.locator("[data-news=fresh]").wait_for(state="visible")

    [now] = page.evaluate(KEPT).values()
    [then] = before.values()
    assert set(now) == set(then) - {f"/assets/{old.name}"} | {f"/assets/{new.name}"}


def test_a_slow_host_is_not_waited_for_and_a_newer_plan_is_told_when_it_comes(
    page: Any, host: Host
):
    host.patience = 300
    build(host, "one", "Mara")
    kept(page, host)
    build(host, "two", "Marusya")
    host.answers.clear()

    visit(page, host)

    assert whose(page) == "Running plan for Mara"
    expect(page.locator("[data-news=newer]")).to_be_hidden()
    host.answers.set()
    page.locator("[data-news=newer]").wait_for(state="visible")
    page.click("#reload")
    page.locator(".whose", has_text="Marusya").wait_for(state="attached")


def test_a_page_that_stays_open_learns_of_a_newer_plan(page: Any, host: Host):
    build(host, "one")
    kept(page, host)
    visit(page, host)
    build(host, "two")

    page.evaluate("navigator.serviceWorker.controller.postMessage({look: 'host'})")

    page.locator("[data-news=newer]").wait_for(state="visible")
    expect(page.locator("#reload")).to_be_visible()


@pytest.mark.parametrize("answer", ["404", "front page"])
def test_a_portal_that_is_gone_from_its_host_takes_its_copy_along(
    page: Any, host: Host, answer: str
):
    """A link that was renewed, or a plan that ended; some hosts answer with the front page."""
    build(host)
    kept(page, host)
    file = host.folder / PORTAL / "index.html"
    if answer == "404":
        shutil.rmtree(file.parent)
    else:
        shutil.copy(host.folder / "index.html", file)

    page.goto("about:blank")
    page.goto(f"{host.address}/{PORTAL}/")

    page.goto(f"{host.address}/robots.txt")
    until(lambda: page.evaluate(STORES) == [] and page.evaluate(WORKERS) == [])
    host.stop()
    with pytest.raises(sync_api.Error, match="ERR_CONNECTION_REFUSED"):
        page.goto(f"{host.address}/{PORTAL}/")


def test_a_host_in_trouble_does_not_keep_the_plan_from_its_reader(page: Any, host: Host):
    build(host)
    kept(page, host)
    host.in_trouble = True

    visit(page, host)

    assert whose(page) == "Running plan for Mara"


def test_a_page_of_the_hosts_own_is_shown_and_not_kept(page: Any, host: Host):
    build(host)
    kept(page, host)
    before = page.evaluate(KEPT)
    (host.folder / PORTAL / "index.html").write_text("<!doctype html><title>Sign in</title>")

    page.goto("about:blank")
    page.goto(f"{host.address}/{PORTAL}/")

    assert page.title() == "Sign in"
    assert page.evaluate(KEPT) == before


def test_two_portals_on_one_host_keep_to_themselves(page: Any, host: Host):
    build(host)
    shutil.copytree(host.folder / PORTAL, host.folder / OTHER)
    file = host.folder / OTHER / "index.html"
    file.write_text(file.read_text(encoding="utf-8").replace(PORTAL, OTHER), encoding="utf-8")
    kept(page, host)
    kept(page, host, portal=OTHER)

    found = page.evaluate(KEPT)
    assert set(found) == {f"plan {host.address}/{id}/" for id in (PORTAL, OTHER)}
    assert all(
        path.startswith(("/assets/", f"/{name.split('/')[-2]}/"))
        for name, paths in found.items()
        for path in paths
    )

    page.click("#forget")
    page.click("#forget-yes")
    page.wait_for_selector("#forgotten", state="visible")

    assert list(page.evaluate(KEPT)) == [f"plan {host.address}/{PORTAL}/"]
    assert page.evaluate(WORKERS) == [f"/{PORTAL}/"]


def test_forgetting_on_a_sealed_page_leaves_no_copy_and_no_key(page: Any, host: Host):
    write_sealed_site(host.folder)
    kept(page, host, f"#k={KEY_TEXT}")
    page.check("#keep")

    page.click("#forget")
    page.click("#forget-yes")
    page.wait_for_selector("html[data-door=forgotten]", state="attached")

    assert page.evaluate(STORES) == []
    assert page.evaluate(WORKERS) == []
    assert page.evaluate("localStorage.length") == 0


def test_the_preview_asks_for_no_worker_and_leaves_the_console_empty(page: Any, host: Host):
    build(host)
    file = host.folder / PORTAL / "index.html"
    script = '<script src="/_preview.js?build=1" defer></script></head>'
    text = file.read_text(encoding="utf-8").replace("</head>", script)
    file.write_text(text, encoding="utf-8")
    (host.folder / "_preview.js").write_text("")
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))

    visit(page, host)
    page.wait_for_timeout(300)

    assert "/worker.js" not in host.asked
    assert page.evaluate(WORKERS) == []
    assert said == []


def test_a_host_without_the_worker_shows_the_page_and_says_nothing(page: Any, host: Host):
    build(host)
    (host.folder / "worker.js").unlink()
    errors: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))

    visit(page, host)

    expect(page.locator("#now-title")).to_be_visible()
    expect(page.locator(".home-screen")).to_be_hidden()
    assert errors == []


# The home screen


def manifest(page: Any) -> tuple[dict[str, Any], list[Any]]:
    """The manifest as Chromium reads it, and what it finds wrong."""
    found = page.context.new_cdp_session(page).send("Page.getAppManifest")
    return json.loads(found["data"]), found["errors"]


def test_what_the_home_screen_is_told_says_nothing_of_anyone_and_holds_no_key(
    page: Any, host: Host
):
    write_sealed_site(host.folder)
    kept(page, host, f"#k={KEY_TEXT}")

    told, errors = manifest(page)

    assert errors == []
    assert told["name"] == told["short_name"] == "Running plan"
    assert told["start_url"] == told["scope"] == "./"
    text = json.dumps(told)
    assert KEY_TEXT not in text
    assert not {"Mara", "Stillwater", "Ines", PORTAL} & set(text.replace('"', " ").split())
    assert [i["sizes"] for i in told["icons"]] == ["192x192", "512x512"]
    for each in told["icons"]:
        assert (host.folder / PORTAL / each["src"]).resolve().is_file()


def test_nothing_stands_in_the_way_of_the_home_screen(browser: Any, host: Host):
    """Asked of the whole browser: its shell knows nothing of installing."""
    write_sealed_site(host.folder)
    whole = browser.browser_type.launch(executable_path=WHOLE, args=list(ARGS))
    page = whole.new_page()
    kept(page, host, f"#k={KEY_TEXT}")
    found = page.context.new_cdp_session(page).send("Page.getInstallabilityErrors")
    whole.close()

    # A test's browser is a private one, which installs nothing; that alone may stand in the way.
    assert [e["errorId"] for e in found["installabilityErrors"]] == ["in-incognito"]


def test_the_app_on_the_home_screen_opens_once_the_key_is_kept(page: Any, host: Host):
    write_sealed_site(host.folder)
    kept(page, host, f"#k={KEY_TEXT}")
    assert "keep the key first" in page.locator(".home-screen").inner_text()
    page.check("#keep")
    host.stop()

    visit(page, host)  # the start address: no key in it

    expect(page.locator("#now-title")).to_be_visible()


def test_an_app_without_a_key_takes_the_pasted_link(page: Any, host: Host):
    """On some phones the app on the home screen has a memory of its own, so no key."""
    write_sealed_site(host.folder)
    page.goto(f"{host.address}/{PORTAL}/")
    page.wait_for_selector("html[data-door=no-key]", state="attached")
    page.get_by_label("Or paste the link here").fill(f"{host.address}/{PORTAL}/#k={KEY_TEXT}")
    page.keyboard.press("Enter")

    page.wait_for_selector("html[data-ready]", state="attached")
    expect(page.locator("#now-title")).to_be_visible()


@pytest.mark.parametrize("size", SIZES)
def test_the_icons_are_whole_pictures_of_their_size(page: Any, size: int):
    import base64

    shown = page.evaluate(
        """async (data) => {
            const image = new Image();
            image.src = "data:image/png;base64," + data;
            await image.decode();
            const canvas = document.createElement("canvas");
            canvas.width = canvas.height = image.naturalWidth;
            const pen = canvas.getContext("2d");
            pen.drawImage(image, 0, 0);
            const at = (x, y) => Array.from(pen.getImageData(x * image.naturalWidth,
                y * image.naturalHeight, 1, 1).data);
            return [image.naturalWidth, image.naturalHeight, at(0.02, 0.02), at(0.5, 0.69)];
        }""",
        base64.b64encode(icon(size)).decode("ascii"),
    )

    assert shown == [size, size, [0xFB, 0xFA, 0xF7, 255], [0x9C, 0x3D, 0x1E, 255]]
    assert icon.__wrapped__(size) == icon(size)
