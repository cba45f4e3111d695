"""What a coach lays down once for many: groups, words to all, texts of her own, and a logo."""

from __future__ import annotations

import base64
import re
import struct
import zlib
from datetime import date
from pathlib import Path

import pytest

from chromium import chromium, needs_chromium
from commands import PAGES
from sitegen import world
from sitegen.coach.leaving import export
from sitegen.model.case import Case
from sitegen.model.picture import MAX_HEIGHT, MAX_WIDTH, Picture
from sitegen.model.problem import Origin, Problem
from sitegen.portal.views import VIEWS
from sitegen.practice import links
from sitegen.practice.picture import MAX_PICTURE_BYTES, read_picture
from sitegen.practice.texts import read_text
from sitegen.site.building import build_site
from sitegen.site.plans import open_plans

ROOT = Path(__file__).resolve().parent.parent
DAY = date(2027, 2, 10)
EVE = date(2027, 1, 3)  # nothing to be logged yet
PRACTICE = """\
name: Harbour Running
contact: coach@example.org
timezone: Europe/Lisbon
units: km
rules: {ease: {by: 40 %}}
groups:
  beginners:
    units: mi
    language: es
    timezone: Asia/Tokyo
    privacy: open
    calendar: off
    drills: [bridge]
    plan: {growth: 6 %, ease: {every: 3}, hard: {per_week: 1}}
    cadence: {step: 2 %, hold: 4}
    rules: {pain: {profile: knee}}
  other: {units: mi}
emergency: "112"
"""
CLIENT = """\
name: Rosa Lind
screening: {on: 2027-01-01, regular_exercise: yes, known_disease: no, symptoms: no}
baseline: {on: 2027-01-02, cadence: 156 spm, pace: "6:30 /km", week: 90 min,
  longest: 40 min, runs: 3}
week: {tue: {at: "18:30"}, thu: {at: "18:30"}, sun: {at: "9:00"}}
"""
PLAN = "plan: {from: 2027-01-04, weeks: 8}\n"


def lay(folder: Path, client: str, practice: str = PRACTICE, **texts: str) -> Path:
    clients = folder / "clients"
    (clients / "texts").mkdir(parents=True, exist_ok=True)
    (clients / "practice.yaml").write_text(practice)
    (clients / "rosa.yaml").write_text(client)
    for id, text in texts.items():
        (clients / "texts" / f"{id}.md").write_text(text)
    return clients


def case_of(folder: Path, client: str, practice: str = PRACTICE, **texts: str) -> Case:
    opened = open_plans(lay(folder, client, practice, **texts), (), DAY)
    assert not opened.has_errors, [str(p) for p in opened.problems]
    return opened.cases["rosa"]


# --- groups -----------------------------------------------------------------------------------


def test_a_group_speaks_where_the_clients_file_is_silent(tmp_path):
    case = case_of(tmp_path, CLIENT + PLAN + "group: beginners\n")
    assert (case.units, case.language, case.timezone) == ("mi", "es", "Asia/Tokyo")
    assert (case.privacy, case.calendar, case.client.drills) == ("open", "off", ["bridge"])
    assert str(case.settings["volume"].growth) == "6 %"
    assert (case.settings["ease"].every, str(case.settings["ease"].by)) == (3, "40 %")
    assert str(case.settings["cadence"].step) == "2 %" and case.settings["cadence"].hold == 4
    assert case.client.plan.hard is not None and case.client.plan.hard.per_week == 1


def test_the_clients_file_goes_before_the_group_and_that_before_the_practice(tmp_path):
    own = (
        "plan: {from: 2027-01-04, weeks: 8, ease: {by: 20 %}, hard: {per_week: 0}}\n"
        "rules: {volume: {growth: 9 %}}\nunits: km\ndrills: [tall-posture]\ngroup: beginners\n"
    )
    case = case_of(tmp_path, CLIENT + own)
    assert str(case.settings["volume"].growth) == "9 %"  # her rule, though the group has the field
    assert (case.settings["ease"].every, str(case.settings["ease"].by)) == (3, "20 %")
    assert case.units == "km" and case.client.drills == ["tall-posture"]
    assert case.client.plan.hard is not None and case.client.plan.hard.per_week == 0
    assert case.client.plan.weeks == 8


def test_without_a_group_all_is_as_the_practice_says(tmp_path):
    case = case_of(tmp_path, CLIENT + PLAN)
    assert (case.units, case.language, case.timezone) == ("km", "en", "Europe/Lisbon")
    assert str(case.settings["volume"].growth) == "10 %" and case.notices == ()


def test_a_group_and_a_file_that_say_the_same_give_the_same_plan(tmp_path):
    shared = "growth: 6 %, ease: {every: 3, by: 20 %}, hard: {from_week: 3, per_week: 1}"
    group = f"groups: {{x: {{plan: {{{shared}}}, cadence: {{step: 2 %, hold: 1}}}}}}\n"
    house = "name: A\ncontact: a@example.org\ntimezone: UTC\n"
    own = f"plan: {{from: 2027-01-04, weeks: 8, {shared}}}\ncadence: {{step: 2 %, hold: 1}}\n"
    plans = []
    for name, client, practice in (
        ("one", CLIENT + PLAN + "group: x\n", house + group),
        ("two", CLIENT + own, house),
    ):
        opened = open_plans(lay(tmp_path / name, client, practice), (), EVE)
        plans.append(opened.plan("rosa"))
    one, two = plans
    assert one is not None and two is not None
    assert one.sessions == two.sessions and len(one.sessions) > 20
    assert any(session.hard for session in one.sessions)


def because(rule: str, clients: Path, week: int) -> str:
    plan = open_plans(clients, (), EVE).plan("rosa")
    assert plan is not None
    found = next(d for d in plan.weeks[week - 1].decisions if d.rule == rule)
    assert found.because is not None
    name = "practice.yaml" if "practice.yaml" in found.because.file else "rosa.yaml"
    line = (clients / name).read_text().splitlines()[found.because.line - 1]
    return f"{name}: {line[found.because.column - 1 :]}"


@pytest.mark.parametrize(
    ("rule", "week", "begins"),
    [
        ("volume", 2, "practice.yaml: growth: 6 %"),
        ("hard", 5, "practice.yaml: per_week: 1"),
        ("cadence", 2, "practice.yaml: step: 2 %"),
        ("cadence", 3, "practice.yaml: hold: 4"),
    ],
)
def test_a_decision_that_rests_on_a_group_points_at_the_groups_line(tmp_path, rule, week, begins):
    case_of(tmp_path, CLIENT + PLAN + "group: beginners\n")
    assert because(rule, tmp_path / "clients", week).startswith(begins)


def test_a_decision_points_at_the_clients_line_where_that_counts(tmp_path):
    own = "plan: {from: 2027-01-04, weeks: 8}\nrules: {volume: {growth: 9 %}}\ngroup: beginners\n"
    case_of(tmp_path, CLIENT + own)
    clients = tmp_path / "clients"
    assert because("volume", clients, 2).startswith("rosa.yaml: growth: 9 %")


def test_a_slip_in_a_group_is_told_once_however_many_are_in_it(tmp_path):
    practice = PRACTICE.replace("profile: knee", "profile: knees")
    clients = lay(tmp_path, CLIENT + PLAN + "group: beginners\n", practice)
    for name in ("theo", "nils"):
        theirs = (CLIENT + PLAN).replace("name: ", f"name: {name} ", 1)
        (clients / f"{name}.yaml").write_text(theirs + "group: beginners\n")
    (problem,) = open_plans(clients, (), DAY).problems
    assert (problem.code, problem.origin.line) == ("choice", 16)


def test_a_group_that_nobody_is_in_is_no_news(tmp_path):
    assert open_plans(lay(tmp_path, CLIENT + PLAN), (), DAY).problems == ()


@pytest.mark.parametrize("file", sorted((ROOT / "clients").glob("*.yaml")), ids=lambda f: f.stem)
def test_the_demos_files_are_short(file):
    if not file.name.endswith(".log.yaml"):
        assert 10 < len(file.read_text().splitlines()) < 40


# --- words to all, and texts ------------------------------------------------------------------

NOTES = """\
name: Harbour Running
coach: Ines
contact: coach@example.org
timezone: Europe/Lisbon
privacy: open
notes:
  - {from: 2027-01-13, until: 2027-01-19, text: "The **track** is shut <b>now</b>.", read: shoes}
  - {from: 2028-01-01, until: 2028-01-02, text: "Far away, see [easy](#drills/bridge)"}
groups:
  dark: {notes: [{from: 2027-01-05, until: 2027-01-05, text: "See [dark](#texts/dark)."}]}
emergency: "112"
"""
TEXTS = {
    "shoes": "# Old shoes\n\nWear <i>them</i>.\n\n## Why\n\nThey fit. [Socks](#texts/socks).\n",
    "socks": "---\ntitle: Dry socks\n---\nThick.\n",
    "dark": "# In the dark\n\nTake a lamp.\n",
    "unread": "# Nobody reads this\n\nUnread.\n",
}


def page_of(folder: Path, client: str = CLIENT + PLAN, practice: str = NOTES) -> str:
    clients = lay(folder, client, practice, **TEXTS)
    built = build_site(clients, folder / "public", (), DAY)
    assert built.done, [str(p) for p in built.problems]
    (page,) = (folder / "public").glob(PAGES)
    return page.read_text()


def view(page: str, name: str) -> str:
    return page.split(f'<section class="view" id="{name}"')[1].split("</section>")[0]


def weeks_with(page: str, words: str) -> list[int]:
    weeks = view(page, "weeks").split('<details class="week')[1:]
    return [number for number, week in enumerate(weeks, 1) if words in week]


def test_a_word_to_all_stands_in_the_weeks_that_it_touches_and_in_now_with_its_days(tmp_path):
    page = page_of(tmp_path)
    shut = "The <strong>track</strong> is shut &lt;b&gt;now&lt;/b&gt;."
    assert weeks_with(page, shut) == [2, 3]
    now = view(page, "now")
    dated = re.findall(
        r'<div class="dated prose" data-from="(.+?)" data-until="(.+?)" hidden>', now
    )
    assert dated == [("2027-01-13", "2027-01-19"), ("2028-01-01", "2028-01-02")]
    assert shut in now and "13 to 19 Jan" in now
    assert "Far away" in now and not weeks_with(page, "Far away")


def test_a_groups_word_is_for_the_group_alone(tmp_path):
    assert "#care/text-dark" not in page_of(tmp_path / "one")
    page = page_of(tmp_path / "two", CLIENT + PLAN + "group: dark\n")
    assert weeks_with(page, '<a href="#care/text-dark" rel="noreferrer">dark</a>') == [1]
    assert "Take a lamp." in view(page, "care")


def test_texts_stand_in_care_where_a_note_leads_to_them_and_no_others_do(tmp_path):
    page = page_of(tmp_path)
    care = view(page, "care")
    assert 'id="care-text-shoes"' in care and ">Old shoes</h4>" in care
    assert "Wear &lt;i&gt;them&lt;/i&gt;." in care and "<h5>Why</h5>" in care
    assert ">Dry socks</h4>" in care, "a text leads to another"
    assert "In the dark" not in page and "Nobody reads this" not in page
    assert '<a href="#care/text-shoes">Old shoes</a>' in view(page, "now")


def test_a_drill_that_a_note_leads_to_is_among_the_clients(tmp_path):
    page = page_of(tmp_path, CLIENT + PLAN + "drills: [tall-posture]\n")
    assert 'id="drills-bridge"' in view(page, "drills")
    assert 'href="#drills/bridge"' in view(page, "now")


def test_a_clients_own_note_may_name_texts(tmp_path):
    page = page_of(tmp_path, CLIENT + PLAN + "notes: [{week: 4, text: Look., read: [dark]}]\n")
    assert weeks_with(page, '<a href="#care/text-dark">In the dark</a>') == [4]


def test_links_in_texts_and_drills_are_checked_at_their_line_and_column(tmp_path):
    clients = lay(tmp_path, CLIENT + PLAN, NOTES, **TEXTS)
    (clients / "texts" / "dark.md").write_text("# Dark\n\nA lamp.\nSee [it](#drills/brige).\n")
    (clients / "drills").mkdir()
    (clients / "drills" / "hops.md").write_text("---\ntitle: Hops\n---\n\nTry [a](#texts/sox).\n")
    told = [str(p).split(str(clients))[1] for p in open_plans(clients, (), DAY).problems]
    assert [t.split(" (")[0] for t in told] == [
        '/drills/hops.md:5:9: error: there is no text "sox" to link to',
        '/texts/dark.md:4:10: error: there is no drill "brige" to link to',
    ]
    assert "did you mean bridge?" in told[1]


def test_views_that_a_link_may_name_are_the_portals() -> None:
    assert tuple(v.name for v in VIEWS) == links.VIEW_NAMES


def test_a_text_keeps_count_of_the_lines_above_it():
    text, problems = read_text("shoes", b"\xef\xbb\xbf\r\n# Shoes #\r\n\r\nWear.\r\n", "shoes.md")
    assert text is not None and problems == ()
    assert (text.title, text.text, text.lines) == ("Shoes", "Wear.", 3)


def test_an_export_holds_what_the_client_was_told_elsewhere(tmp_path):
    clients = lay(tmp_path, CLIENT + PLAN + "group: dark\n", NOTES, **TEXTS)
    to = tmp_path / "data"
    assert export(clients, "rosa", to, DAY).to == to
    told = (to / "read-me.txt").read_text()
    assert "Group: dark" in told and "2027-01-13 to 2027-01-19\n    The **track** is shut" in told
    assert "To read: In the dark\n    Take a lamp." in told and "Unread." not in told


# --- the logo ---------------------------------------------------------------------------------


def png(width: int, height: int, extra: bytes = b"") -> bytes:
    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(
            ">I", zlib.crc32(kind + data)
        )  # fmt: skip

    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    rows = zlib.compress((b"\0" + bytes(width)) * height)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + extra + chunk(b"IDAT", rows)
        + chunk(b"IEND", b"")
    )  # fmt: skip


JPEG = (
    b"\xff\xd8\xff\xe0\x00\x10JFIF\x00\x01\x01\x00\x00\x01\x00\x01\x00\x00"
    b"\xff\xc4\x00\x03\x00\xff\xc2\x00\x11\x08\x00\x30\x00\x60\x03\x01\x22\x00\x02\x11\x01\x03\x11\x01"
)


def riff(chunk: bytes) -> bytes:
    return b"RIFF" + struct.pack("<I", 4 + len(chunk)) + b"WEBP" + chunk


LOSSY = riff(b"VP8 " + struct.pack("<I", 10) + b"\0\0\0\x9d\x01\x2a" + struct.pack("<HH", 90, 40))
LOSSLESS = riff(b"VP8L" + struct.pack("<IBI", 5, 0x2F, 89 | 39 << 14))
EXTENDED = riff(b"VP8X" + struct.pack("<II", 10, 0) + b"\x59\0\0\x27\0\0")
MOVING = riff(b"VP8X" + struct.pack("<II", 10, 2) + b"\x59\0\0\x27\0\0")
LINE = Origin("practice.yaml", 4, 7)


@pytest.mark.parametrize(
    ("data", "size"),
    [
        (png(120, 40), ("png", 120, 40)),
        (JPEG, ("jpeg", 96, 48)),
        (LOSSY, ("webp", 90, 40)),
        (LOSSLESS, ("webp", 90, 40)),
        (EXTENDED, ("webp", 90, 40)),
    ],
)
def test_a_picture_is_known_by_its_bytes(data, size):
    """Heads written by hand after the formats' standards, named in `sitegen.practice.picture`."""
    found = read_picture(data, "logo.png", LINE)
    assert isinstance(found, Picture) and (found.kind, found.width, found.height) == size


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"<svg xmlns='x'/>", '"logo.png" is an SVG (save it as PNG, because an SVG can carry'),
        (b"<?xml version='1.0'?><svg/>", '"logo.png" is an SVG (save it as PNG, because'),
        (b"GIF89a", '"logo.png" is no PNG, JPEG or WebP picture, whatever its name (save it as'),
        (b"", '"logo.png" is empty (save it as PNG, JPEG or WebP)'),
        (png(513, 8), '"logo.png" has 513 x 8 pixels (save it smaller: at most 12 kB, and 512'),
        (
            png(8, 8) + bytes(MAX_PICTURE_BYTES),
            '"logo.png" has 12.1 kB (save it smaller: at most 12 kB',
        ),
        (png(8, 8)[:20], '"logo.png" is a damaged PNG file (save it again)'),
        (JPEG[:30], '"logo.png" is a damaged JPEG file (save it again)'),
        (LOSSY[:20], '"logo.png" is a damaged WebP file (save it again)'),
        (png(8, 8, b"\0\0\0\0acTL\0\0\0\0"), '"logo.png" moves (save it as a still picture)'),
        (MOVING, '"logo.png" moves (save it as a still picture)'),
    ],
)
def test_a_picture_that_cannot_be_a_logo_is_told_with_its_mend(data, says):
    found = read_picture(data, "logo.png", LINE)
    assert isinstance(found, Problem)
    assert str(found).startswith(f"practice.yaml:4:7: error: {says}")


def test_every_beginning_of_a_picture_is_a_picture_or_a_problem():
    for whole in (png(9, 9), JPEG, LOSSY, LOSSLESS, EXTENDED):
        for end in range(len(whole)):
            found = read_picture(whole[:end], "logo.png", LINE)
            assert isinstance(found, Problem) or found.width


@pytest.mark.parametrize(
    ("width", "height"), [(512, 512), (512, 32), (40, 512), (20, 10), (1, 512)]
)
def test_a_logo_is_shown_small_and_in_its_ratio(width, height):
    wide, high = Picture("png", width, height, b"").shown
    assert 1 <= wide <= min(MAX_WIDTH, width) and 1 <= high <= min(MAX_HEIGHT, height)
    assert abs(wide - high * width / height) <= 1 + width / height / 2 or wide == 1


def test_a_logo_that_is_not_there_or_no_plain_file_is_told_at_its_line(tmp_path):
    clients = lay(tmp_path, CLIENT + PLAN, PRACTICE + "logo: mark.png\n")
    (problem,) = open_plans(clients, (), DAY).problems
    assert problem.code == "logo-missing" and problem.origin.line == 19
    assert 'there is no file "mark.png" beside practice.yaml' in problem.message
    (tmp_path / "far.png").write_bytes(png(9, 9))
    (clients / "mark.png").symlink_to(tmp_path / "far.png")
    (problem,) = open_plans(clients, (), DAY).problems
    assert problem.code == "logo-missing" and "this is a link to a file" in problem.message


def test_a_logos_name_may_lie_there_as_a_mac_writes_it(tmp_path):
    """UAX #15: é is one code point in form NFC, and two in form NFD."""
    clients = lay(tmp_path, CLIENT + PLAN, PRACTICE + "logo: caf\u00e9.png\n")
    (clients / "cafe\u0301.png").write_bytes(png(9, 9))
    assert open_plans(clients, (), DAY).problems == ()


def test_only_the_picture_that_the_practice_names_is_read(tmp_path):
    clients = lay(tmp_path, CLIENT + PLAN, PRACTICE + "logo: mark.png\n")
    for name in ("mark.png", "photograph.png", "notes.txt"):
        (clients / name).write_bytes(png(9, 9))
    assert set(world.read_folder(clients).pictures) == {"mark.png"}


def test_a_sealed_site_holds_nothing_of_the_logo(tmp_path):
    logo = png(96, 48, extra=b"\0\0\0\x04tEXtmark\0\0\0\0")
    clients = lay(
        tmp_path, CLIENT + PLAN, NOTES.replace("open", "sealed") + "logo: m.png\n", **TEXTS
    )
    (clients / "m.png").write_bytes(logo)
    assert build_site(clients, tmp_path / "public", (), DAY).done
    coded = base64.b64encode(logo)
    looked = 0
    for file in (tmp_path / "public").rglob("*"):
        if file.is_file():
            data = file.read_bytes()
            looked += 1
            assert logo[8:40] not in data and coded[:40] not in data and b"m.png" not in data
            assert not data.startswith(logo[:26])
    assert looked >= 8


def test_an_open_page_has_the_logo_with_its_size_and_the_practices_name(tmp_path):
    lay(tmp_path, CLIENT + PLAN)
    (tmp_path / "clients" / "m.png").write_bytes(png(120, 40))
    page = page_of(tmp_path, practice=NOTES + "logo: m.png\n")
    (drawn,) = re.findall(r'<img class="logo" [^>]+>', page)
    address = base64.b64encode(png(120, 40)).decode()
    assert f'src="data:image/png;base64,{address}" width="66" height="22"' in drawn
    assert 'alt="Harbour Running"' in drawn
    assert "img-src &#39;self&#39; data:" in page or "img-src 'self' data:" in page


# --- in a browser -----------------------------------------------------------------------------

AXE = ROOT / "node_modules" / "axe-core" / "axe.min.js"


@needs_chromium
def test_now_shows_a_word_to_all_on_its_days_alone_by_the_devices_own_date(tmp_path):
    """Also while the plan is paused, when no week stands in the page."""
    lay(tmp_path, CLIENT)
    (tmp_path / "clients" / "m.png").write_bytes(png(120, 40))
    page_of(tmp_path, CLIENT + PLAN + "status: paused\n", NOTES + "logo: m.png\n")
    (file,) = (tmp_path / "public").glob(PAGES)
    days = {"2027-01-12": False, "2027-01-13": True, "2027-01-19": True, "2027-01-20": False}
    with chromium() as browser:
        for day, is_shown in days.items():
            page = browser.new_context(timezone_id="Europe/Lisbon").new_page()
            page.clock.set_fixed_time(f"{day}T12:00:00")
            page.goto(file.as_uri())
            page.wait_for_selector("html[data-ready]")
            assert page.get_by_text("is shut").first.is_visible() == is_shown, day
            assert page.locator("#now .note-now").is_visible() == is_shown, day
        logo = page.locator(".top .logo")
        assert logo.bounding_box()["width"] == 66 and logo.bounding_box()["height"] == 22
        assert logo.evaluate("image => [image.naturalWidth, image.naturalHeight]") == [120, 40]
        page.goto(f"{file.as_uri()}#care/text-socks")
        page.get_by_text("Thick.").wait_for()
        assert page.evaluate("document.activeElement.id") == "care-text-socks"
        if AXE.is_file():
            page.evaluate(AXE.read_text())
            found = page.evaluate("axe.run()")
            assert [v["id"] for v in found["violations"]] == [] and len(found["passes"]) > 15


@pytest.mark.parametrize(
    ("name", "told"),
    [("texts/Light Evenings.md", "text's id"), ("drills/My Hops.md", "drill's id")],
)
def test_a_name_that_is_no_id_is_told_for_what_it_is(tmp_path, name, told):
    clients = lay(tmp_path, CLIENT + PLAN)
    (clients / "drills").mkdir()
    (clients / name).write_text("# Words\n\nOf hers.\n")

    assert [f"no {told}" in p.message for p in open_plans(clients, (), DAY).problems] == [True]


# --- the emergency number ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("practice", "client", "codes"),
    [
        ("", "", ["emergency-none"]),
        ("", "timezone: Asia/Tokyo\n", ["emergency-none"]),
        ("emergency: '112'\n", "", []),
        ("emergency: '112'\n", "timezone: Europe/Vienna\n", []),  # 112 is answered there, too
        ("emergency: '112'\n", "timezone: Asia/Tokyo\n", ["emergency-abroad"]),
        ("emergency: '112'\n", "timezone: Asia/Tokyo\nemergency: '119'\n", []),
        ("emergency: '112'\n", "group: far\n", ["emergency-abroad"]),
        ("emergency: '911'\n", "timezone: Europe/Vienna\n", ["emergency-abroad"]),
    ],
)
def test_a_number_that_is_lacking_or_another_countrys_is_told_to_the_coach(
    tmp_path: Path, practice: str, client: str, codes: list[str]
) -> None:
    """The care contract: the client's own number, else the practice's; abroad a warning."""
    house = "name: A\ncontact: a@example.org\ntimezone: Europe/Lisbon\n"
    house += f"groups: {{far: {{timezone: Asia/Tokyo}}}}\n{practice}"
    folder = lay(tmp_path, f"{CLIENT}{PLAN}{client}", house)
    found = open_plans(folder, (), EVE).problems

    assert [p.code for p in found if p.code.startswith("emergency")] == codes
    assert all(p.level == "warning" for p in found if p.code.startswith("emergency"))
