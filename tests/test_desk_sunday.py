"""One whole Sunday evening at the desk, lived in a browser.

Forty check-ins come in, five of them odd, two with an alarm and one a stranger's; four plans are
changed, one what-if is dropped, one act taken back, a group goes on a holiday; it is built and
published to a real WebDAV server at *Out*, and once more from a second computer by commands.

By night. With ``DESK_PICTURES`` set to a folder, the pictures of the docs are drawn there.
"""

from __future__ import annotations

import os
import random
import re
import shutil
import sys
import time
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from chromium import needs_chromium
from commands import sitegen
from hosts import Host, webdav
from nightly import by_night
from sitegen.checkins.signing import proof
from sitegen.desk.panels import PANELS
from sitegen.desk.server import Desk
from sitegen.desk.warm import Warm
from sitegen.seal.addresses import checkin_code
from sitegen.seal.keys_file import KEYS_FILE, load_keys
from sitegen.seal.sealing import checkin_key
from sitegen.versions import kept_acts

ROOT = Path(__file__).resolve().parent.parent
sys.path.append(str(ROOT / "benchmarks"))
SUNDAY = date(2027, 3, 28)
AS_OF = ("--as-of", str(SUNDAY))
COUNT = 40
GROUP = range(30, 36)  # whose holiday it is
SAID = {2: "It came on after the bridge.", 12: "Wind from behind all the way, so I went on."}
PICTURES = os.environ.get("DESK_PICTURES", "")

pytestmark = [needs_chromium, by_night]


def name_of(number: int) -> str:
    return f"runner-{number:05}"


@pytest.fixture
def home(tmp_path: Path, host: Host) -> Path:
    """A practice of forty invented clients, built, as last Sunday left it."""
    import practice

    home = tmp_path / "home"
    clients = home / "clients"
    clients.mkdir(parents=True)
    groups = "groups: {harbour: {units: km}}\n"
    targets = f"targets: {{site: '{host.address}'}}\n"
    (clients / "practice.yaml").write_text(practice.PRACTICE + groups + targets)
    for number in range(COUNT):
        file, log = practice.texts(random.Random(f"sunday-{number}"), number, logged=58)
        log = re.sub(r"(during|after): [23]", r"\1: 1", log)  # so that alarms are today's
        kept = log.partition(f"- on: {SUNDAY.isoformat()[:8]}2")[0]  # this week comes in today
        if number in GROUP:
            file += "group: harbour\n"
        (clients / f"{name_of(number)}.yaml").write_text(file)
        (clients / f"{name_of(number)}.log.yaml").write_text(kept)
    assert sitegen("build", *AS_OF, cwd=home).returncode == 0
    return home


def messages(clients: Path, folder: Path) -> list[Path]:
    """What forty clients sent: each a file, signed as their pages sign."""
    keys, _ = load_keys(clients / KEYS_FILE)
    assert keys is not None
    folder.mkdir()
    paths = []
    for number in range(COUNT):
        link = keys.links[name_of(number)]
        entry: dict[str, Any] = {"on": "2027-03-27", "ran": "31 min", "effort": "3"}
        code = checkin_code(link)
        if number in (1, 2):  # two alarms
            entry["signs"] = [["chest_pain"], ["calf_swelling"]][number - 1]
        if number == 3:
            entry["on"] = "2027-04-27"  # odd: a day that is to come
        if number == 4:
            entry["ran"] = "quite long"  # odd: no duration
        if number in SAID:
            entry["said"] = SAID[number]
        signed = proof(checkin_key(link.key, link.passphrase, link.portal), entry)
        if number == 5:
            code = f"{code[:-1]}{'B' if code[-1] != 'B' else 'C'}"  # odd: a slip in the code
        if number == 0:
            code = "ABCD-EFGH"  # a stranger's
        lines = [f"Check-in {code}"]
        for at, (key, value) in enumerate(entry.items()):
            told = f"[{', '.join(value)}]" if isinstance(value, list) else value
            told = f'"{told}"' if key == "said" else told
            lines.append(f"{'- ' if at == 0 else '  '}{key}: {told}")
        if number == 6:
            lines = ["The run was fine."]  # odd: no check-in at all
        elif number == 7:
            lines[2] = "  ran: 41 min"  # odd: other than was signed
            lines.append(f"  signed: {signed}")
        elif number not in (0, 5):
            lines.append(f"  signed: {signed}")
        paths.append(folder / f"message-{number:02}.txt")
        paths[-1].write_text("\n".join(lines) + "\n")
    return paths


class Coach:
    """Who works at the page; counts what she does."""

    def __init__(self, page: Page) -> None:
        self.page, self.acts = page, 0

    def go(self, part: str) -> None:
        self.page.evaluate("part => { location.hash = part; }", part)

    def yes(self, button: str, says: str) -> None:
        """What is shown, carried out."""
        self.page.get_by_role("button", name=button, exact=True).click()
        expect(self.page.get_by_role("status").filter(has_text=says).first).to_be_visible()
        self.page.keyboard.press("Escape")  # where it had more to say
        self.acts += 1

    def decide(self, whose: str, title: str, **fields: str) -> None:
        self.page.locator(f"[data-open='decide?whose={whose}']").click()
        act = self.page.locator("dialog details").filter(has_text=title).first
        act.locator("summary").click()
        for name, value in fields.items():
            act.locator(f"[name={name}]").fill(value)
        act.get_by_role("button").click()
        self.yes("Write it", "Written.")

    def picture(self, name: str, of: str = "#above") -> None:
        if PICTURES:
            Path(PICTURES).mkdir(parents=True, exist_ok=True)
            self.page.locator(of).evaluate("part => { part.scrollIntoView(); scrollBy(0, -48); }")
            self.page.screenshot(path=f"{PICTURES}/{name}.png")


def site_of(top: Path) -> dict[str, bytes]:
    """The files of a site's folders."""
    found = (path for path in top.rglob("*/*") if path.is_file())
    return {path.relative_to(top).as_posix(): path.read_bytes() for path in found}


@pytest.fixture
def host(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Host]:
    with webdav.serve(tmp_path / "dav") as found:
        for name, value in found.environ.items():
            monkeypatch.setenv(name, value)
        monkeypatch.chdir(tmp_path)
        yield found


def test_a_whole_sunday_evening(browser: Any, home: Path, host: Host, tmp_path: Path) -> None:
    clients = home / "clients"
    sent = messages(clients, tmp_path / "inbox")
    assert sitegen("publish", host.address, cwd=home).returncode == 0
    before = {p.name: p.read_bytes() for p in clients.glob("*.yaml")}
    seen = site_of(host.root)
    began = time.process_time()
    with Desk(Warm(clients, home / "public", SUNDAY), PANELS, 0) as desk:
        page = browser.new_context(viewport={"width": 1280, "height": 800}).new_page()
        page.goto(desk.new_address())
        coach = Coach(page)

        # In: all that came, at once.
        coach.go("taking")
        page.locator("input[type=file]").set_input_files([str(path) for path in sent])
        page.get_by_role("button", name="Take them in").click()
        coach.acts += 1
        took = expect(page.locator("#came"))
        took.to_contain_text("check-ins taken", timeout=180_000)
        told = page.locator("#came").inner_text()
        taken = int(re.findall(r"(\d+) check-ins taken", told)[0])
        waiting = page.locator("article.aside")
        assert taken + waiting.count() >= COUNT - 1, told  # one said nothing that could wait
        expect(page.locator("#above")).to_contain_text("chest pain")
        expect(page.locator("#above")).to_contain_text("calf")
        coach.picture("desk-in")

        # Alarms: above everything until each is answered.
        for sign in ("chest pain", "calf"):
            row = page.locator("#above li").filter(has_text=re.compile(f"Runner.*{sign}"))
            row.locator("summary").click()
            row.get_by_label("What you did").fill("rang; sent to a doctor")
            row.get_by_role("button", name="Answer…").click()
            coach.yes("Note it", "Your answer was noted.")

        # Aside: the slip in a code is known to be runner 5's; the stranger's is put away.
        mended = (
            page.locator("article.aside")
            .filter(has=page.locator("textarea"))
            .filter(has_text="no client here has the code")
        )
        codes = [one.input_value() for one in mended.locator("textarea").all()]
        stranger = next(at for at, text in enumerate(codes) if "ABCD-EFGH" in text)
        known = mended.nth(1 - stranger)
        known.get_by_label("Whose it is, if you know").select_option(name_of(5))
        known.get_by_role("button", name="Take it").click()
        expect(page.locator("#came")).to_contain_text("1 check-in taken")
        coach.acts += 1
        left = page.locator("article.aside").filter(has_text="no client here has the code")
        expect(left).to_have_count(1)
        left.get_by_role("button", name="Put it away…").click()
        coach.yes("Put it away", "Put away")
        assert "2027-03-27" in (clients / f"{name_of(5)}.log.yaml").read_text()

        # The sheet: four are changed.
        coach.go("sheet")
        sheet = page.locator("table.sheet")
        expect(sheet.get_by_role("link", name="Runner 10", exact=True)).to_be_visible()
        coach.picture("desk-sheet")
        coach.decide(name_of(10), "Lighter week", because="a hard week at work")
        coach.decide(name_of(11), "Same again", because="once more before it grows")
        coach.decide(name_of(12), "A word", text="Keep the hills easy.")
        coach.decide(name_of(13), "Keep the week", because="it goes well as it is")

        # What if: looked at, and dropped.
        coach.go(f"client?id={name_of(14)}")
        expect(page.frame_locator("iframe.phone").locator("h1").first).to_be_visible()
        page.locator("#whatif > summary").click()
        page.get_by_label("Growth a week").fill("3 %")
        expect(page.get_by_role("region", name="Both plans")).to_be_visible()
        coach.picture("desk-client", "#text")

        # One is taken back.
        coach.go("back")
        page.get_by_role("button", name="Take the last act back…").click()
        coach.yes("Take it back", "Taken back.")

        # A holiday for a group.
        coach.go("sheet?group=harbour")
        away = {"from": "2027-04-05", "until": "2027-04-11", "because": "club trip"}
        page.get_by_role("button", name="Decide for all of harbour").wait_for()
        coach.decide("group:harbour", "Away", **away)

        now = {p.name: p.read_bytes() for p in clients.glob("*.yaml")}
        changed = {n for n in now if now[n] != before.get(n) and n.count(".") == 1}
        named = [f"{name_of(number)}.yaml" for number in (10, 11, 12, *GROUP)]
        assert changed == set(named), "each act wrote its own file and no other"
        assert len([act for act in kept_acts(clients) if not act.is_undone]) >= 8

        # Out: built, looked at by name, and published to a real server.
        coach.go("out")
        page.get_by_role("button", name="Build…", exact=True).click()
        coach.yes("Build", "built")
        page.get_by_role("button", name="Publish…", exact=True).click()
        told = page.locator("#ask")
        expect(told).to_contain_text("Runner 1: stopped")
        expect(told).to_contain_text("files would be sent, 0 would be removed")
        assert site_of(host.root) == seen, "it was only shown"
        coach.yes("Publish", "files sent")
        page.context.close()
    work = time.process_time() - began
    site, there = site_of(home / "public"), site_of(host.root)
    assert len(site) > COUNT and there != seen
    assert {name: there.get(name) for name in site} == site, "the host has what was built"

    # Once more from a second computer, by commands.

    second = tmp_path / "second"
    shutil.copytree(home, second)
    rest = ("rest", name_of(20), "thu", "--because", "a fair in town", "--yes", *AS_OF)
    assert sitegen(*rest, cwd=second).returncode == 0
    assert sitegen("build", *AS_OF, cwd=second).returncode == 0
    assert sitegen("publish", host.address, cwd=second).returncode == 0
    keys, _ = load_keys(second / "clients" / KEYS_FILE)
    assert keys is not None
    portal = f"{keys.links[name_of(20)].portal}/index.html"
    newer = (second / "public" / portal).read_bytes()
    assert (host.root / portal).read_bytes() == newer
    assert newer != (home / "public" / portal).read_bytes()

    print(f"{coach.acts} acts; {work:.1f} s of work of the desk and of what drives the browser")
    assert coach.acts == 13
