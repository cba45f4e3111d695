"""Attacks on the desk that is served, each against a desk with all its guards, where it fails; and
most against one that lacks the guard which is meant, where it succeeds: so no test is blind.

Sources: Fetch (same origin, CORS), RFC 6265 section 8.5 (cookies know no port), CSP Level 3.
"""

from __future__ import annotations

import json
import os
import re
import signal
import stat
import subprocess
import sys
import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest

from chromium import needs_chromium
from desk_served import DAY, Visitor, lay_practice, raw, served
from sitegen.desk.door import ONCE_SECONDS, Door
from sitegen.desk.panels import PANELS
from sitegen.desk.server import ONCE_HEADER, TOKEN_HEADER, Desk
from sitegen.desk.warm import Warm
from sitegen.seal.keys_file import KEYS_FILE
from sitegen.site.building import build_site

SECRET = "Ayla Verne"


@pytest.fixture(scope="module")
def clients(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return lay_practice(tmp_path_factory.mktemp("desk"))


@pytest.fixture(scope="module")
def desk(clients: Path) -> Iterator[Desk]:
    with served(clients) as running:
        yield running


def without(guard: str, clients: Path) -> Desk:
    """A desk that lacks one guard."""

    class Lacking(Desk):
        @property
        def guards(self):  # type: ignore[no-untyped-def]
            mine = super().guards
            kept = tuple(one for one in mine if one[0].__name__ != guard)
            assert len(kept) == len(mine) - 1
            return kept

    return Lacking(Warm(clients, clients.parent / "public", DAY), PANELS, 0, False)


# --- requests that a page of the desk would never send ----------------------------------------

ATTACKS = {
    "another name leads here": ("other_name", {"Host": "evil.example:{port}"}),
    "localhost is another name": ("other_name", {"Host": "localhost:{port}"}),
    "a site's page": ("other_page", {"Origin": "https://evil.example"}),
    "another port of this computer": ("other_page", {"Origin": "http://127.0.0.1:1"}),
    "a page of no origin": ("other_page", {"Origin": "null"}),
    "a site's picture or script": ("other_page", {"Sec-Fetch-Site": "cross-site"}),
    "the same, from another port": ("other_page", {"Sec-Fetch-Site": "same-site"}),
    "no token": ("not_let_in", {TOKEN_HEADER: ""}),
    "a guessed token": ("not_let_in", {TOKEN_HEADER: "0" * 64}),
    "a token that is no text": ("not_let_in", {TOKEN_HEADER: "\xff\xfe"}),
}


@pytest.mark.parametrize("attack", ATTACKS)
def test_it_is_turned_away_and_would_not_be_without_its_guard(
    attack: str, desk: Desk, clients: Path
) -> None:
    guard, bad = ATTACKS[attack]
    with without(guard, clients) as lacking:
        for one, status in ((desk, 403), (lacking, 200)):
            headers = {TOKEN_HEADER: Visitor(one).token} | bad
            headers = {name: value.format(port=one.port) for name, value in headers.items()}
            answer = raw(one, "/panel/sheet", **headers)
            assert (answer.status, SECRET in answer.text) == (status, status == 200)


def test_nothing_is_answered_without_the_token_but_what_holds_nothing(desk: Desk) -> None:
    for path in ("/", "/desk.js", "/desk.css"):
        answer = raw(desk, path)
        assert answer.status == 200 and SECRET not in answer.text
        assert "Set-Cookie" not in answer.headers
        assert not [name for name in answer.headers if name.startswith("Access-Control")]
        policy = answer.headers["Content-Security-Policy"]
        assert "default-src 'none'" in policy and "frame-ancestors 'none'" in policy
        assert "unsafe" not in policy and "require-trusted-types-for 'script'" in policy
    for panel in PANELS:
        assert raw(desk, f"/panel/{panel.name}").status == 403
        assert raw(desk, f"/view/{panel.name}", "POST", "{}").status == 403
        for act in panel.acts:
            assert raw(desk, f"/act/{panel.name}/{act}", "POST", "{}").status == 403
    assert raw(desk, "/news").status == raw(desk, "/nothing").status == 403


def test_a_browser_that_asks_whether_it_may_is_told_no(desk: Desk) -> None:
    asks = {
        "Origin": "https://evil.example",
        "Access-Control-Request-Method": "POST",
        "Access-Control-Request-Headers": TOKEN_HEADER,
    }
    answer = raw(desk, "/panel/sheet", "OPTIONS", **asks)
    assert answer.status == 403
    assert not [name for name in answer.headers if name.startswith("Access-Control")]


def test_what_a_form_of_another_site_can_send_is_no_act(desk: Desk) -> None:
    """A form sends no header of its own and no JSON; also with the token it would be refused."""
    token = Visitor(desk).token
    for kind in ("text/plain", "application/x-www-form-urlencoded"):
        headers = {TOKEN_HEADER: token, "Content-Type": kind}
        assert raw(desk, "/act/back/undo", "POST", '{"given": {}}', **headers).status == 400


# --- the token of the address -----------------------------------------------------------------


def test_an_address_lets_one_page_in_once_and_soon(desk: Desk) -> None:
    once = desk.new_address().partition("#")[2]
    first = raw(desk, "/enter", "POST", **{ONCE_HEADER: once})
    again = raw(desk, "/enter", "POST", **{ONCE_HEADER: once})
    assert (first.status, again.status) == (200, 403)
    assert once not in first.text, "the token of each request is another"
    for wrong in ("", "0" * 64, first.json["token"]):
        assert raw(desk, "/enter", "POST", **{ONCE_HEADER: wrong}).status == 403
    by_others = {ONCE_HEADER: desk.new_address().partition("#")[2], "Origin": "http://127.0.0.1:1"}
    assert raw(desk, "/enter", "POST", **by_others).status == 403


def test_a_stale_address_lets_nobody_in() -> None:
    now = [0.0]
    door = Door(os.urandom, lambda: now[0])
    soon, late = door.new_once(), door.new_once()
    now[0] = ONCE_SECONDS - 0.1
    token = door.enter(soon)
    assert token is not None and door.knows(token)
    now[0] = ONCE_SECONDS
    assert door.enter(late) is None
    assert not door.knows(soon) and not door.knows("")


def test_a_desk_that_was_started_anew_knows_no_old_token(desk: Desk, clients: Path) -> None:
    old = Visitor(desk).token
    with served(clients) as anew:
        assert raw(anew, "/panel/sheet", **{TOKEN_HEADER: old}).status == 403


# --- another user of this computer ------------------------------------------------------------


@pytest.mark.skipif(not Path("/proc/self/cmdline").exists(), reason="needs /proc")
def test_the_address_stands_in_no_process_and_in_no_file_that_others_can_read(
    clients: Path, tmp_path: Path
) -> None:
    """The browser is a program of ours, which notes how it was called; then Ctrl-C."""
    browser = tmp_path / "browser"
    browser.write_text(
        f"#!{sys.executable}\n"
        "import pathlib, sys, urllib.parse\n"
        "file = pathlib.Path(urllib.parse.unquote(sys.argv[1].removeprefix('file://')))\n"
        "shown = [p.read_bytes().decode('utf-8', 'replace') for p in "
        "pathlib.Path('/proc').glob('[0-9]*/cmdline') if p.exists()]\n"
        "modes = [oct(p.stat().st_mode) for p in (file, file.parent)]\n"
        f"pathlib.Path({str(tmp_path / 'noted')!r}).write_text(repr("
        "(sys.argv[1], file.read_text(), modes, [s for s in shown if 'desk' in s])))\n"
    )
    browser.chmod(0o700)
    words = ["desk", "--clients", str(clients), "--out", str(tmp_path / "public"), "--port", "0"]
    with subprocess.Popen(
        [sys.executable, "-m", "sitegen", *words, "--as-of", str(DAY)],
        env={**os.environ, "BROWSER": f"{browser} %s", "PYTHONUNBUFFERED": "1"},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        text=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    ) as process:
        assert process.stdout is not None
        told = ""
        for line in process.stdout:
            told += line
            if "Ctrl-C ends" in line:
                break
        (address,) = re.findall(r"http://127\.0\.0\.1:\d+/#[0-9a-f]{64}", told)
        process.send_signal(signal.SIGINT)
        assert "The desk has ended." in process.stdout.read() and process.wait(60) == 0
    called, text, modes, shown = eval((tmp_path / "noted").read_text())
    token = address.partition("#")[2]
    assert address in text and called.startswith("file://") and len(shown) >= 2
    assert [one for one in (called, *shown) if token in one] == []
    assert [stat.S_IMODE(int(mode, 8)) for mode in modes] == [0o600, 0o700]
    assert not Path(called.removeprefix("file://")).exists(), "gone with the desk"


def test_a_portal_at_the_desk_lies_under_a_name_that_nobody_can_guess(
    desk: Desk, clients: Path
) -> None:
    """Anybody on this computer can ask the port; the page holds neither key nor private link."""
    build_site(clients, clients.parent / "public", ("ayla",), DAY)
    drawn = Visitor(desk).post("/view/draft", {"id": "ayla"}).text
    address = re.search(r'src="http://127\.0\.0\.1:(\d+)(/([0-9a-f]{48})/[^"]+)"', drawn)
    assert address is not None
    port, path = int(address[1]), address[2].replace("&amp;", "&")
    page = raw(desk, path, port=port)
    assert page.status == 200 and "Ayla" in page.text
    policy = page.headers["Content-Security-Policy"]
    assert policy == f"sandbox allow-scripts; frame-ancestors {desk.origin}"
    keys = (clients / KEYS_FILE).read_text()
    held = re.findall(r"[A-Za-z0-9_-]{22,}", keys)
    assert held and [secret for secret in held if secret in page.text] == []
    for other in ("/", "/x/", path.replace(address[3], "0" * 48), f"/{address[3]}/../x"):
        assert raw(desk, other, port=port).status in (403, 404)
    assert raw(desk, path, port=port, Host=f"evil.example:{port}").status == 403


# --- a path outside the practice --------------------------------------------------------------


@pytest.mark.parametrize("name", ["../outside", "/etc/passwd", ".keys", "..", "ayla/../../outside"])
def test_a_path_outside_the_practice_is_nobodys(desk: Desk, clients: Path, name: str) -> None:
    outside = clients.parent / "outside.yaml"
    outside.write_text("name: Outside\n")
    visitor = Visitor(desk)
    for path in ("/panel/client", "/panel/why", "/panel/decide"):
        asked = visitor.get(f"{path}?id={name}&whose={name}")
        assert asked.status == 409 and "Outside" not in asked.text
    for path in ("/view/draft", "/view/whatif"):
        sent = {"id": name, "text": "x", "growth": "3 %"}
        assert visitor.post(path, sent).status == 409
    written = visitor.show("client/write", id=name, text="x", mark="")
    assert written.status == 409
    for act in ("taking/take", "taking/away"):
        assert visitor.show(act, name=name, whose="ayla").status == 409
    answered = visitor.show("alarms/answer", whose=name, number="1", because="x")
    assert answered.json["ticket"] is None
    assert outside.read_text() == "name: Outside\n"
    assert raw(desk, f"/{name}", **{TOKEN_HEADER: visitor.token}).status == 404


# --- pages in the same browser ----------------------------------------------------------------

EVIL = """<!doctype html><title>evil</title><script>
const desk = "DESK", found = [];
const note = (what, work) => Promise.resolve().then(work).then(
  (value) => { found.push([what, value]); }, () => { found.push([what, "no"]); });
const asked = (path, how) => fetch(desk + path, how).then((answer) => answer.text());
(async () => {
  await note("read", () => asked("/panel/sheet"));
  await note("read as if", () => asked("/panel/sheet", { headers: { "X-Desk-Token": "x" } }));
  await note("read blindly", async () => (await fetch(desk + "/panel/sheet",
    { mode: "no-cors", credentials: "include" })).text());
  await note("act", () => asked("/act/back/undo", { method: "POST", mode: "no-cors",
    body: JSON.stringify({ given: {} }), headers: { "Content-Type": "text/plain" } }));
  await note("enter", () => asked("/enter", { method: "POST" }));
  await note("script", () => new Promise((done, failed) => {
    const script = document.createElement("script");
    script.onload = () => done("ran");
    script.onerror = failed;
    script.src = desk + "/desk.js";
    document.head.append(script);
  }));
  await note("parent", () => parent === window ? "no" : parent.document.title);
  await note("stored", () => [...Object.keys(sessionStorage), document.cookie].join("") || "no");
  await note("led", () => { if (top !== window) top.location = "about:blank#led"; return "no"; });
  await note("opened", () => (top !== window && window.open(desk)) ? "opened" : "no");
  document.documentElement.dataset.found = JSON.stringify(found);
})();
</script>"""


@needs_chromium
def test_pages_of_another_port_and_a_hostile_portal_get_nothing(
    browser, desk: Desk, clients: Path
) -> None:
    """The same page tries from another port of this computer, and from within the frame where the
    desk shows a portal; the desk stays open beside it, let in."""
    evil = EVIL.replace("DESK", desk.origin)

    class Elsewhere(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_response(200)
            self.send_header("Content-Type", "text/html")
            self.end_headers()
            self.wfile.write(evil.encode())

        def log_message(self, format: str, *args: object) -> None: ...

    elsewhere = ThreadingHTTPServer(("127.0.0.1", 0), Elsewhere)
    threading.Thread(target=elsewhere.serve_forever, args=(0.05,), daemon=True).start()
    before = {path: path.read_bytes() for path in clients.glob("*.yaml")}
    context = browser.new_context()
    try:
        page = context.new_page()
        page.goto(desk.new_address())
        page.locator(".sheet").wait_for()
        page.goto(f"{desk.origin}/#client?id=ayla")
        page.locator("iframe.phone").wait_for()

        other = context.new_page()
        other.goto(f"http://127.0.0.1:{elsewhere.server_port}/")
        tried = json.loads(other.locator("html[data-found]").get_attribute("data-found") or "")

        address = desk.frames.put("ayla", {f"{'A' * 22}/index.html": evil.encode()})
        lead = "(frame, address) => { frame.src = address; }"
        page.locator("iframe.phone").evaluate(lead, address)
        found = page.frame_locator("iframe.phone").locator("html[data-found]")
        within = json.loads(found.get_attribute("data-found") or "")

        assert len(tried) == len(within) == 10, "all of it was tried"
        # What is sent without being allowed to read comes back as nothing.
        assert {value for _, value in (*tried, *within)} <= {"no", ""}
        assert page.url == f"{desk.origin}/#client?id=ayla", "it was not led elsewhere"
        assert len(context.pages) == 2, "no window was opened"
        assert before == {path: path.read_bytes() for path in clients.glob("*.yaml")}
        refused = context.new_page()
        refused.goto(desk.origin)
        refused.get_by_text("It was opened without its address.").wait_for()
    finally:
        context.close()
        elsewhere.shutdown()
        elsewhere.server_close()


def test_nothing_of_the_desk_is_in_a_built_site(clients: Path, tmp_path: Path) -> None:
    out = tmp_path / "public"
    assert build_site(clients, out, (), DAY).done
    files = [path for path in out.rglob("*") if path.is_file()]
    assert len(files) > 10
    assert [path.name for path in files if b"X-Desk" in path.read_bytes()] == []
    assert [path for path in files if "desk" in path.name] == []
