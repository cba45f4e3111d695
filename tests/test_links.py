"""A private link from the coach's terminal to the client's browser, and what the door says.

The QR codes are read back by zxing-cpp, a reader that shares nothing with the writer. The door is
looked at in Chromium; without it, or without the reader, those tests are skipped and say so.
"""

from __future__ import annotations

import functools
import http.server
import io
import json
import os
import re
import shutil
import stat
import subprocess
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
import yaml
from playwright.sync_api import expect

from chromium import chromium
from commands import Done, sitegen

ROOT = Path(__file__).resolve().parents[1]
DAY = "2027-03-18"
BASE = "https://plans.example.org/runs/"
PASSPHRASE = "lane four, quiet feet"


@dataclass(frozen=True)
class Practice:
    """The demo practice in a folder of its own, and commands run on it."""

    folder: Path

    @property
    def clients(self) -> Path:
        return self.folder / "clients"

    @property
    def public(self) -> Path:
        return self.folder / "public"

    def run(self, *words: str, typed: str = "") -> Done:
        places = ["--clients", str(self.clients)]
        if words[0] in ("build", "publish"):
            places += ["--out", str(self.public)]
        return sitegen(*words, *places, cwd=self.folder, typed=typed)

    def build(self) -> Done:
        done = self.run("build", "--as-of", DAY)
        assert done.returncode == 0, done.stdout + done.stderr
        return done

    def link(self, id: str, *words: str, typed: str = "") -> dict[str, Any]:
        """What ``link --json`` tells; a prompt's own lines are left out."""
        done = self.run("link", id, "--json", *words, typed=typed)
        assert done.returncode == 0, done.stdout + done.stderr
        return dict(json.loads(done.stdout[done.stdout.index("{") :]))

    def write(self, id: str, line: str) -> None:
        """Add a line to a client's file."""
        file = self.clients / f"{id}.yaml"
        file.write_text(file.read_text() + line + "\n")

    def page(self, told: dict[str, Any]) -> Path:
        return self.public / str(told["portal"])


def a_practice(folder: Path) -> Practice:
    clients = folder / "clients"
    shutil.copytree(ROOT / "clients", clients, ignore=shutil.ignore_patterns(".keys.yaml*"))
    file = clients / "practice.yaml"
    file.write_text(f"{file.read_text()}\naddress: {BASE}\n")
    return Practice(folder)


@pytest.fixture
def practice(tmp_path: Path) -> Practice:
    return a_practice(tmp_path)


# The command


def test_a_link_is_whole_and_everything_in_it_is_where_it_says(practice: Practice) -> None:
    practice.build()
    told = practice.link("nia")
    assert set(told) == {"url", "portal", "key", "feed_url", "feed"}
    assert re.fullmatch(r"[A-Za-z0-9_-]{22}/index\.html", told["portal"])
    assert re.fullmatch(r"[A-Za-z0-9_-]{43}", told["key"])
    assert told["url"] == f"{BASE}{told['portal'].removesuffix('index.html')}#k={told['key']}"
    assert told["feed_url"] == BASE + told["feed"]
    assert practice.page(told).is_file() and (practice.public / told["feed"]).is_file()
    assert practice.link("nia") == told, "asking again changes nothing"


def test_a_client_without_a_feed_is_given_no_address_of_one(practice: Practice) -> None:
    practice.write("nia", "calendar: off")
    told = practice.link("nia")
    assert told["feed"] is None and told["feed_url"] is None


def read_qr(png: bytes) -> list[str]:
    reader = pytest.importorskip("zxingcpp", reason="zxing-cpp is not installed")
    image = pytest.importorskip("PIL.Image", reason="pillow is not installed")
    return [found.text for found in reader.read_barcodes(image.open(io.BytesIO(png)))]


def test_the_qr_code_in_a_file_reads_back_as_the_link(practice: Practice) -> None:
    for id in ("nia", "tomas", "mirela"):
        file = practice.folder / f"{id}.png"
        told = practice.link(id, "--png", str(file))
        assert read_qr(file.read_bytes()) == [told["url"]]
        if os.name == "posix":
            assert stat.S_IMODE(file.stat().st_mode) == 0o600, "who sees the code has the key"


def test_the_qr_code_in_the_terminal_reads_back_as_the_link(practice: Practice) -> None:
    """Half blocks, drawn as a terminal would draw them: light letters on a dark ground."""
    image = pytest.importorskip("PIL.Image", reason="pillow is not installed")
    done = practice.run("link", "nia")
    url = done.stdout.splitlines()[0]
    rows = [line for line in re.sub(r"\x1b\[[0-9;]*m", "", done.stdout).splitlines()
            if line and set(line) <= set(" ▀▄█")]  # fmt: skip
    width = max(len(row) for row in rows)
    bits = []
    for row in rows:
        row = row.ljust(width)
        bits += [[c in "▀█" for c in row], [c in "▄█" for c in row]]
    picture = image.new("L", (width, len(bits)))
    picture.putdata([255 if light else 0 for line in bits for light in line])
    out = io.BytesIO()
    picture.resize((width * 8, len(bits) * 8), image.Resampling.NEAREST).save(out, "PNG")
    assert read_qr(out.getvalue()) == [url]


def test_the_reader_can_fail(practice: Practice) -> None:
    image = pytest.importorskip("PIL.Image", reason="pillow is not installed")
    out = io.BytesIO()
    image.new("L", (300, 300), 255).save(out, "PNG")
    assert read_qr(out.getvalue()) == []


def test_a_renewed_link_shares_nothing_with_the_old_one_which_is_dead_after_a_build(
    practice: Practice,
) -> None:
    practice.build()
    old = practice.link("nia")
    new = practice.link("nia", "--renew")
    for name in ("portal", "key", "feed"):
        assert new[name] != old[name]
    assert practice.page(old).is_file(), "it ends with the build, not before"
    practice.build()
    assert not practice.page(old).exists() and not (practice.public / old["feed"]).exists()
    assert practice.page(new).is_file() and (practice.public / new["feed"]).is_file()


def test_an_open_portal_s_link_has_no_key_and_takes_no_passphrase(practice: Practice) -> None:
    practice.write("nia", "privacy: open")
    told = practice.link("nia")
    assert told["key"] is None and "#" not in told["url"]
    keys = (practice.clients / ".keys.yaml").read_bytes()
    done = practice.run("link", "nia", "--passphrase", typed=f"{PASSPHRASE}\n{PASSPHRASE}\n")
    assert done.returncode == 1
    assert "nia.yaml" in done.stderr and "[open-passphrase]" in done.stderr
    assert (practice.clients / ".keys.yaml").read_bytes() == keys


def test_a_passphrase_set_or_taken_off_says_from_when_the_page_asks(practice: Practice) -> None:
    """A client who is told at once meets the page as it was."""
    typed = f"{PASSPHRASE}\n{PASSPHRASE}\n"
    told = practice.run("link", "nia", "--passphrase", typed=typed).stdout
    assert "The page asks for it from the next build and publish on, not before." in told
    lost = "a check-in that was begun, or sent and is not in the log yet"
    assert lost not in told, "what was kept without one opens still"
    told = practice.run("link", "nia", "--no-passphrase").stdout
    assert "The page asks for no passphrase from the next build and publish on" in told
    assert lost not in told, "the next page opens what was kept under the one before"
    assert lost in practice.run("link", "nia", "--renew").stdout
    assert "The page asks" not in practice.run("link", "nia").stdout


def test_an_ended_client_has_no_link_and_nothing_in_the_site(practice: Practice) -> None:
    practice.build()
    told = practice.link("nia")
    practice.write("nia", "status: ended")
    practice.build()
    assert not practice.page(told).exists() and not (practice.public / told["feed"]).exists()
    done = practice.run("link", "nia", "--json")
    assert done.returncode == 1 and [p["code"] for p in json.loads(done.stdout)] == ["link-ended"]


def test_a_client_who_comes_back_gets_a_new_link(practice: Practice) -> None:
    practice.build()
    old = practice.link("nia")
    file = practice.clients / "nia.yaml"
    before = file.read_text()
    practice.write("nia", "status: ended")
    practice.build()
    file.write_text(before)
    practice.build()
    assert practice.link("nia")["portal"] != old["portal"]


def test_a_short_passphrase_is_refused_and_one_typed_twice_differently_asked_again(
    practice: Practice,
) -> None:
    done = practice.run("link", "nia", "--passphrase", typed="short\nshort\n")
    assert done.returncode == 1 and "at least 12 characters" in done.stderr
    typed = f"{PASSPHRASE}\nsomething else!\n{PASSPHRASE}\n{PASSPHRASE}\n"
    done = practice.run("link", "nia", "--passphrase", typed=typed)
    assert done.returncode == 0
    assert PASSPHRASE not in done.stdout + done.stderr
    assert PASSPHRASE not in (practice.clients / ".keys.yaml").read_text()


# The file of keys, through the commands


posix = pytest.mark.skipif(os.name != "posix", reason="modes are POSIX's")


@posix
def test_the_keys_are_for_their_owner_alone(practice: Practice) -> None:
    for command in (("build", "--as-of", DAY), ("link", "nia", "--renew")):
        assert practice.run(*command).returncode == 0
        mode = (practice.clients / ".keys.yaml").stat().st_mode
        assert stat.S_IMODE(mode) == 0o600


@posix
@pytest.mark.parametrize("command", [("build", "--as-of", DAY), ("link", "nia")])
def test_keys_that_others_may_read_are_refused(
    practice: Practice, command: tuple[str, ...]
) -> None:
    practice.build()
    file = practice.clients / ".keys.yaml"
    file.chmod(0o640)
    before = file.read_bytes()
    done = practice.run(*command)
    assert done.returncode == 1
    assert "other people on this computer may read the private keys" in done.stderr
    assert f"chmod 600 {file}" in done.stderr
    assert file.read_bytes() == before


@pytest.mark.parametrize("command", [("build", "--as-of", DAY), ("link", "nia")])
def test_keys_that_git_tracks_are_refused(practice: Practice, command: tuple[str, ...]) -> None:
    if shutil.which("git") is None:
        pytest.skip("git is not installed")
    practice.build()
    environment = {k: v for k, v in os.environ.items() if not k.startswith("GIT_")}
    for words in (["init", "-q"], ["add", "-f", "clients/.keys.yaml"]):
        subprocess.run(["git", *words], cwd=practice.folder, check=True, env=environment)
    done = practice.run(*command)
    assert done.returncode == 1
    assert "[keys-tracked]" in done.stderr and "renew each link" in done.stderr
    secret = yaml.safe_load((practice.clients / ".keys.yaml").read_text())["clients"]["nia"]["key"]
    assert secret not in done.stdout + done.stderr


def test_a_garbled_file_of_keys_is_told_with_its_place_and_left_alone(practice: Practice) -> None:
    practice.build()
    file = practice.clients / ".keys.yaml"
    file.write_text(file.read_text().replace("key:", "kye:", 1))
    before = file.read_bytes()
    done = practice.run("build", "--as-of", DAY)
    assert done.returncode == 1 and re.search(r"\.keys\.yaml:\d+:\d+: error", done.stderr)
    assert file.read_bytes() == before


# In a browser


@dataclass(frozen=True)
class Served:
    """A built practice on a port of this computer, and its clients' links."""

    practice: Practice
    port: int
    links: dict[str, dict[str, Any]]

    def address(self, id: str, end: str | None = None, host: str = "127.0.0.1") -> str:
        link = self.links[id]
        end = f"#k={link['key']}" if end is None else end
        return f"http://{host}:{self.port}/{link['portal'].removesuffix('index.html')}{end}"


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    practice = a_practice(tmp_path_factory.mktemp("linked"))
    practice.write("tomas", "status: paused")
    practice.write("mirela", "privacy: open")
    practice.run("link", "bram", "--passphrase", typed=f"{PASSPHRASE}\n{PASSPHRASE}\n")
    practice.build()
    links = {id: practice.link(id) for id in ("nia", "tomas", "mirela", "bram", "ayla", "jonas")}
    spoil(
        practice.page(links["ayla"]), lambda text: text[:5000] + text[5000:5100][::-1] + text[5100:]
    )
    page = practice.page(links["jonas"])
    page.write_bytes(page.read_bytes()[:12_000])

    class Quiet(http.server.SimpleHTTPRequestHandler):
        def log_message(self, format: str, *args: Any) -> None:
            pass

    handler = functools.partial(Quiet, directory=str(practice.public))
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield Served(practice, server.server_port, links)
    server.shutdown()


def spoil(page: Path, change: Callable[[str], str]) -> None:
    """Change the sealed block of a page, and nothing else of it."""
    text = page.read_text(encoding="utf-8")
    block = re.search(r'(?<=id="sealed" data-portal=".{22}">)[^<]+', text)
    assert block is not None
    page.write_text(text.replace(block[0], change(block[0])), encoding="utf-8")


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """Chromium, in which plain http from another name is possible: portal.test is this computer."""
    with chromium("--host-resolver-rules=MAP portal.test 127.0.0.1") as found:
        yield found


@pytest.fixture
def page(browser: Any) -> Iterator[Any]:
    context = browser.new_context(viewport={"width": 390, "height": 844})
    yield context.new_page()
    context.close()


def opened(page: Any, address: str) -> str:
    """The view Now, once the portal has opened."""
    page.goto(address)
    page.wait_for_selector("html[data-ready]", state="attached")
    return str(page.locator("#now").inner_text())


def test_the_link_opens_the_portal_and_the_address_keeps_the_key_to_itself(
    served: Served, page: Any
) -> None:
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    opened(page, served.address("nia"))
    assert "Nia" in page.locator("h1.whose").inner_text()
    expect(page.locator("#door")).to_be_hidden()
    key = served.links["nia"]["key"]
    assert asked and not any(key in url for url in asked)


def test_a_paused_client_opens_the_same_link_and_is_told_so(served: Served, page: Any) -> None:
    assert "Your plan is paused" in opened(page, served.address("tomas"))


def test_an_open_portal_needs_no_key(served: Served, page: Any) -> None:
    opened(page, served.address("mirela", ""))
    assert "Mirela" in page.locator("h1.whose").inner_text()


def test_a_passphrase_is_asked_for_and_only_that_one_opens(served: Served, page: Any) -> None:
    page.goto(served.address("bram"))
    page.wait_for_selector("html[data-door=needs-passphrase]", state="attached")
    assert "Bram" not in page.content()
    page.fill("#passphrase", "lane five, quiet feet")
    page.keyboard.press("Enter")
    page.wait_for_selector("html[data-door=wrong-passphrase]", state="attached")
    assert "That was not it." in page.locator("#door").inner_text()
    assert "Bram" not in page.content()
    page.fill("#passphrase", f" {PASSPHRASE.replace(' ', '  ')} ")
    page.keyboard.press("Enter")
    page.wait_for_selector("html[data-ready]", state="attached")
    assert "Bram" in page.locator("h1.whose").inner_text()


OTHER = "A" * 43
DOORS = [
    ("no key", "nia", "", "no-key", "The link is not whole", "copy all of it"),
    ("cut before the key", "nia", "#k=", "no-key", "The link is not whole", "copy all of it"),
    ("cut link", "nia", "#k=3fQ2b", "bad-key-form", "The link was cut short", "open it again"),
    ("a stop at its end", "nia", "#k=" + "A" * 43 + ".", "bad-key-form", "cut short", "43 letters"),
    ("wrong key", "nia", f"#k={OTHER}", "wrong-key", "for another plan", "ask for it"),
    ("damaged", "ayla", None, "damaged", "did not arrive whole", "Load it again"),
    ("cut file", "jonas", None, "damaged", "did not arrive whole", "tell your coach"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("id", "end", "door", "heading", "help"), [d[1:] for d in DOORS], ids=[d[0] for d in DOORS]
)
def test_a_door_that_stays_shut_says_why_and_what_to_do(
    served: Served, page: Any, id: str, end: str | None, door: str, heading: str, help: str
) -> None:
    page.goto(served.address(id, end))
    page.wait_for_selector(f"html[data-door={door}]", state="attached")
    one_sentence(page, heading, help)


def one_sentence(page: Any, heading: str, help: str) -> None:
    """Just one heading and its help are seen, and nothing of the plan."""
    headings = page.locator("#door h2:visible")
    assert headings.count() == 1
    assert heading in headings.inner_text()
    assert help in page.locator("#door").inner_text()
    assert page.locator("#portal").inner_text().strip() == ""


def test_another_client_s_key_opens_nothing(served: Served, page: Any) -> None:
    page.goto(served.address("nia", f"#k={served.links['tomas']['key']}"))
    page.wait_for_selector("html[data-door=wrong-key]", state="attached")
    one_sentence(page, "for another plan", "a new link since")


def test_over_plain_http_it_asks_for_https(served: Served, page: Any) -> None:
    page.goto(served.address("nia", host="portal.test"))
    page.wait_for_selector("html[data-door=insecure-context]", state="attached")
    one_sentence(page, "Open it over https", "Change http:// at the start")


def test_an_old_browser_is_told_so(served: Served, page: Any) -> None:
    page.add_init_script("delete window.DecompressionStream")
    page.goto(served.address("nia"))
    page.wait_for_selector("html[data-door=old-browser]", state="attached")
    one_sentence(page, "This browser is too old", "Update it")


def test_without_scripts_it_says_that_it_needs_them(served: Served, browser: Any) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(served.address("nia"))
    text = page.locator("#door").inner_text()
    context.close()
    assert "Allow scripts for this page in your browser's settings" in text
    assert "Nia" not in text


def test_every_door_has_a_sentence_of_its_own() -> None:
    door = (ROOT / "templates" / "door.html").read_text(encoding="utf-8")
    headings = re.findall(r'data-door="[a-z-]+" hidden><h2>\{\{ _\("([^"]+)"\) \}\}</h2>', door)
    assert len(headings) >= 9 and len(set(headings)) == len(headings)
