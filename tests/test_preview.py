"""The preview: what it serves and to whom, and that open pages follow the files."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from http.client import HTTPConnection, HTTPResponse
from pathlib import Path

import pytest

from chromium import chromium
from sitegen.coach import serving
from sitegen.coach.preview import SCRIPT, Preview, find_file, serve
from sitegen.site.folder import write_site
from sitegen.world import Refused

ROOT = Path(__file__).resolve().parents[1]
PORTAL = "Zk3vJr0cQmWx9s1T5uYb2A"
PAGE = (
    '<!doctype html><html lang="en"><head><meta charset="utf-8"><title>t</title>'
    '<meta http-equiv="Content-Security-Policy" '
    "content=\"default-src 'none'; script-src 'self'; connect-src 'self'\">"
    "</head><body><h1>{}</h1></body></html>"
)


@pytest.fixture
def out(tmp_path: Path) -> Path:
    out = tmp_path / "public"
    files = {
        "index.html": PAGE.format("Nothing to see"),
        f"{PORTAL}/index.html": PAGE.format("Mara’s week"),
        "feeds/a.ics": "BEGIN:VCALENDAR",
        "assets/style.css": "body{}",
        "assets/seal.js": "//",
        "robots.txt": "User-agent: *",
        "assets/icon.svg": "<svg/>",
        "_headers": "/*",
    }
    write_site({name: text.encode() for name, text in files.items()}, out)
    (tmp_path / "secret.txt").write_text("secret")
    return out


@pytest.fixture
def preview(out: Path) -> Iterator[Preview]:
    with Preview(out, 0) as running:
        yield running


def ask(
    preview: Preview, path: str, method: str = "GET", **headers: str
) -> tuple[HTTPResponse, bytes]:
    """One request, its path sent as it stands."""
    connection = HTTPConnection("127.0.0.1", preview.port, timeout=60)
    connection.putrequest(method, path, skip_host="Host" in headers)
    for name, value in headers.items():
        connection.putheader(name.replace("_", "-"), value)
    connection.endheaders()
    response = connection.getresponse()
    body = response.read()
    connection.close()
    return response, body


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("/", "text/html; charset=utf-8"),
        (f"/{PORTAL}/", "text/html; charset=utf-8"),
        (f"/{PORTAL}/index.html", "text/html; charset=utf-8"),
        ("/feeds/a.ics", "text/calendar; charset=utf-8"),
        ("/assets/style.css?v=1", "text/css; charset=utf-8"),
        ("/assets/seal.js", "text/javascript; charset=utf-8"),
        ("/assets/icon.svg", "image/svg+xml; charset=utf-8"),
        ("/robots.txt", "text/plain; charset=utf-8"),
        ("/_headers", "application/octet-stream"),
    ],
)
def test_each_file_is_served_as_what_it_is_and_never_kept(
    preview: Preview, path: str, kind: str
) -> None:
    response, body = ask(preview, path)
    head, nothing = ask(preview, path, "HEAD")

    assert (response.status, response.getheader("Content-Type")) == (200, kind)
    assert response.getheader("Cache-Control") == "no-store"
    assert response.getheader("Content-Length") == str(len(body))
    assert (head.status, head.getheader("Content-Length"), nothing) == (200, str(len(body)), b"")


def test_only_pages_get_the_reload_script_and_only_once(preview: Preview, out: Path) -> None:
    script = f'<script src="/_preview.js?build={preview.build}" defer></script></head>'.encode()

    _, page = ask(preview, f"/{PORTAL}/")
    _, style = ask(preview, "/assets/style.css")
    _, served = ask(preview, "/_preview.js?build=x")

    on_disk = (out / PORTAL / "index.html").read_bytes()
    assert page == on_disk.replace(b"</head>", script)
    assert b"_preview" not in on_disk
    assert style == b"body{}"
    assert served == SCRIPT.encode()


@pytest.mark.parametrize(
    "path",
    [
        "/../secret.txt",
        "/%2e%2e/secret.txt",
        "/..%2fsecret.txt",
        "/assets/../../secret.txt",
        "/assets/%2e%2e/%2e%2e/secret.txt",
        "/..%5csecret.txt",
        "//../secret.txt",
        "/out.txt",  # a link that leads out
        "/outside/secret.txt",  # a folder link that leads out
        "/.sitegen-files",
        "/%2esitegen-files",
        "/assets/",
        "/assets",
        "/feeds/",
        "/nothing",
        "/index.html/",
        "/index.html%00.txt",
        "/%ff",
        "/pipe",
        "/" + "a" * 5000,
    ],
)
def test_nothing_outside_the_folder_nothing_hidden_and_no_listing(
    preview: Preview, out: Path, path: str
) -> None:
    (out / "out.txt").symlink_to(out.parent / "secret.txt")
    (out / "outside").symlink_to(out.parent)
    os.mkfifo(out / "pipe")

    response, body = ask(preview, path)

    assert response.status == 404
    assert body == b"There is no such page.\n"


def test_a_folder_without_its_last_stroke_leads_to_the_portal(preview: Preview) -> None:
    for path in (f"/{PORTAL}", f"//{PORTAL}"):
        response, _ = ask(preview, path)
        assert (response.status, response.getheader("Location")) == (301, f"/{PORTAL}/")


@pytest.mark.parametrize(
    "host",
    [
        "",
        "evil.example",
        "evil.example:{port}",
        "127.0.0.1",
        "127.0.0.1:1",
        "127.0.0.1.evil:{port}",
    ],
)
def test_a_page_elsewhere_that_points_its_name_here_learns_nothing(
    preview: Preview, host: str
) -> None:
    for path in ("/", f"/{PORTAL}/", "/_preview", "/_preview.js"):
        response, body = ask(preview, path, Host=host.format(port=preview.port))
        assert response.status == 403
        assert body == b"This preview answers only to its own address.\n"


def test_its_own_names_are_answered(preview: Preview) -> None:
    for name in ("127.0.0.1", "localhost"):
        response, _ = ask(preview, "/", Host=f"{name}:{preview.port}")
        assert response.status == 200


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "OPTIONS", "TRACE"])
def test_only_looking_is_allowed(preview: Preview, method: str) -> None:
    response, _ = ask(preview, "/", method)

    assert (response.status, response.getheader("Allow")) == (405, "GET, HEAD")


@pytest.mark.parametrize(
    "line",
    [
        b"GET http://evil.example/ HTTP/1.1",
        b"GET",
        b"GET2 / HTTP/1.1",
        b"\xff\xff",
        b"GET / X",
        b"GET / HTTP/1.1\r\nHost: evil.example",  # and a second name, which is this one's
    ],
)
def test_what_is_no_request_gets_no_page(preview: Preview, line: bytes) -> None:
    with socket.create_connection(("127.0.0.1", preview.port), timeout=60) as connection:
        host = f"Host: 127.0.0.1:{preview.port}".encode()
        connection.sendall(line + b"\r\n" + host + b"\r\n\r\n")
        connection.shutdown(socket.SHUT_WR)
        answer = b"".join(iter(lambda: connection.recv(4096), b""))

    assert b"200 OK" not in answer
    assert b"<html" not in answer
    assert ask(preview, "/")[0].status == 200  # and it goes on serving


def test_it_listens_on_this_computer_alone(preview: Preview) -> None:
    assert preview.address == f"http://127.0.0.1:{preview.port}/"
    for other in ("127.0.0.2", "::1"):
        with pytest.raises(OSError), socket.create_connection((other, preview.port), timeout=60):
            pass


def test_no_offline_copy_is_made_of_a_preview(preview: Preview) -> None:
    assert ask(preview, "/assets/seal.js", Service_Worker="script")[0].status == 404


def test_a_waiting_page_is_told_at_once(preview: Preview) -> None:
    mine = preview.build
    told: list[bytes] = []

    def wait() -> None:
        told.append(ask(preview, f"/_preview?build={mine}")[1])

    page = threading.Thread(target=wait)
    page.start()
    assert told == []
    preview.tell()
    page.join()

    assert told[0].decode() == preview.build != mine


def test_a_page_of_an_earlier_preview_is_old(out: Path) -> None:
    with Preview(out, 0) as first, Preview(out, 0) as second:
        assert first.build != second.build
        assert ask(second, f"/_preview?build={first.build}")[1].decode() == second.build


def test_a_port_in_use_gives_the_next_one_and_ten_in_use_a_sentence(
    out: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Preview(out, 0) as first:
        with Preview(out, first.port) as second:
            assert first.port < second.port < first.port + 10
        monkeypatch.setattr(serving, "PORTS_TRIED", 1)
        with pytest.raises(Refused, match="are all in use; choose another with --port"):
            Preview(out, first.port).__enter__()


def test_a_folder_that_is_not_there_is_refused_and_nothing_is_served(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="there is no folder"):
        serve(tmp_path, lambda: (), tmp_path / "clients", lambda address: ())


def test_find_file_takes_names_as_they_are(out: Path) -> None:
    (out / "a b ü.txt").write_text("x")

    assert find_file(out, "/a%20b%20%C3%BC.txt") == out / "a b ü.txt"
    assert find_file(out, f"/{PORTAL}/") == out / PORTAL / "index.html"


# The whole walk, in a process of its own

RUN = """
import sys
from pathlib import Path
from sitegen.coach.preview import serve
from sitegen.site.folder import write_site
from sitegen.world import read_folder
out, clients = Path(sys.argv[1]), Path(sys.argv[2])
page = Path(sys.argv[3]).read_text(encoding="utf-8")
def build():
    texts = {id: data.decode() for id, data in read_folder(clients).clients.items()}
    if "draws" in texts.get("mara", ""):
        print("draws links", flush=True)
        (clients / ".keys.yaml").write_text("links", encoding="utf-8")
    if "slow" in texts.get("mara", ""):
        def pages():
            print("slow build", flush=True)
            yield "mara/index.html", b"half"
            import time; time.sleep(60)
        write_site(pages(), out)
    if "boom" in texts.get("mara", ""):
        raise RuntimeError("boom")
    if "wrong" in texts.get("mara", ""):
        return ["clients/mara.yaml:1:1: error: wrong"]
    is_first = not (out / "mara").exists()
    write_site({f"{id}/index.html": page.format(t).encode() for id, t in texts.items()}, out)
    return ["clients/mara.yaml:2:1: warning: much"] if is_first else []
def links(address):
    return [f"{path.stem} {address}{path.stem}/#key" for path in sorted(clients.glob("*.yaml"))]
say = lambda line: print(line, flush=True)
sys.exit(serve(out, build, clients, links, port=int(sys.argv[4]), say=say))
"""


class Running:
    """A preview in a process of its own, and what it has printed."""

    def __init__(self, folder: Path, port: int = 0) -> None:
        self.out, self.clients = folder / "site", folder / "clients"
        self.clients.mkdir(exist_ok=True)
        (folder / "page").write_text(PAGE, encoding="utf-8")
        self.process = subprocess.Popen(
            [sys.executable, "-c", RUN, self.out, self.clients, folder / "page", str(port)],
            cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
            # Who runs the tests in the background hands on that Ctrl-C is to be ignored.
            preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
        )  # fmt: skip
        self.lines: list[str] = []
        threading.Thread(target=self._read, daemon=True).start()

    def _read(self) -> None:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.lines.append(line.rstrip("\n"))

    def write(self, text: str, client: str = "mara") -> None:
        (self.clients / f"{client}.yaml").write_text(text, encoding="utf-8")

    def wait_for(self, start: str, seconds: float = 60) -> str:
        until = time.monotonic() + seconds
        while time.monotonic() < until:
            for line in list(self.lines):
                if line.startswith(start):
                    return line
            time.sleep(0.02)
        raise AssertionError(f"never printed {start!r}: {self.lines}")

    def end(self) -> int:
        self.process.send_signal(signal.SIGINT)
        try:
            return self.process.wait(60)
        finally:
            self.process.kill()


@pytest.fixture
def running(tmp_path: Path) -> Iterator[Running]:
    (tmp_path / "clients").mkdir()
    (tmp_path / "clients/mara.yaml").write_text("first")
    preview = Running(tmp_path)
    yield preview
    preview.process.kill()
    preview.process.wait()


def test_it_prints_each_private_link_once_and_a_new_clients_link_later(running: Running) -> None:
    link = running.wait_for("mara http://127.0.0.1:")
    running.wait_for("Leave this running")
    assert running.lines[:2] == [link, "clients/mara.yaml:2:1: warning: much"], "links lead"
    running.write("hello", "tom")
    running.wait_for("tom http://127.0.0.1:")
    running.wait_for("Built again in ")

    assert running.lines.count(link) == 1
    assert link.endswith("/mara/#key")
    assert running.end() == 0


def test_a_failed_build_says_so_and_keeps_the_old_site(running: Running) -> None:
    running.wait_for("Leave this running")
    old = (running.out / "mara/index.html").read_bytes()
    assert b"first" in old

    running.write("wrong")
    running.wait_for("clients/mara.yaml:1:1: error: wrong")
    running.wait_for("The site is as it was.")
    running.write("boom")
    running.wait_for("the build stopped: RuntimeError: boom")

    assert (running.out / "mara/index.html").read_bytes() == old
    running.write("mended")
    running.wait_for("Built again in ")
    assert b"mended" in (running.out / "mara/index.html").read_bytes()


def test_the_links_that_a_build_draws_are_no_reason_to_build_again(running: Running) -> None:
    running.wait_for("Leave this running")
    running.write("draws")
    running.wait_for("Built again in ")
    time.sleep(1.5)  # five looks at the files; on a slow machine fewer, and nothing fails of that

    assert running.lines.count("draws links") == 1
    assert running.end() == 0


def test_ctrl_c_in_the_middle_of_a_build_leaves_everything_whole(running: Running) -> None:
    running.wait_for("Leave this running")
    running.write("slow")
    running.wait_for("slow build")

    assert running.end() == 0
    assert b"first" in (running.out / "mara/index.html").read_bytes()
    assert running.lines[-1] == "The preview has ended."
    assert sorted(path.name for path in running.out.parent.iterdir()) == [
        "clients", "page", "site",
    ]  # fmt: skip


def test_a_port_in_use_is_said(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        preview = Running(tmp_path, port)
        try:
            said = preview.wait_for("Port ")
        finally:
            preview.process.kill()
            preview.process.wait()

    assert said.startswith(f"Port {port} is in use by another program; using ")


def test_an_open_page_follows_the_file_in_a_browser(running: Running) -> None:
    """Under the portal's own content security policy, and with the link's key still there."""
    link = running.wait_for("mara http://").split()[1]
    running.wait_for("Leave this running")
    complaints: list[str] = []
    with chromium() as browser:
        context = browser.new_context()
        pages = [context.new_page() for _ in range(8)]  # more than connections to one address
        for page in pages:
            page.on("console", lambda message: complaints.append(message.text))
            page.goto(link)
            assert page.inner_text("h1") == "first"
        for text in ("second", "third"):
            running.write(text)
            for page in pages:
                page.wait_for_selector(f"h1:text-is('{text}')", timeout=60_000)
            assert {page.url for page in pages} == {link}
        running.write("wrong")
        running.wait_for("The site is as it was.")
        assert {page.inner_text("h1") for page in pages} == {"third"}

    assert [text for text in complaints if "favicon" not in text and "404" not in text] == []
    assert running.end() == 0
