"""The coach's overview page: what it shows, and that it never leaves her computer."""

from __future__ import annotations

import base64
import hashlib
import os
import re
import shutil
import stat
import subprocess
from datetime import date
from html.parser import HTMLParser
from pathlib import Path

import pytest
import yaml

from nightly import some_of
from sitegen import world
from sitegen.coach.desk_page import MARK, page, refuse_site, sheet_of, write_desk
from sitegen.coach.panels import panels
from sitegen.coach.roster import roster, row_of
from sitegen.portal.page import assets
from sitegen.rules.log import sessions
from sitegen.site.building import build_site
from sitegen.site.folder import site_files
from sitegen.site.plans import Planned as Planned
from sitegen.site.plans import open_plans
from sitegen.world import Refused

ROOT = Path(__file__).resolve().parent.parent
DAY = date(2027, 3, 18)


@pytest.fixture
def practice(tmp_path: Path) -> Path:
    return demo(tmp_path / "clients")


def demo(copied: Path) -> Path:
    """The demo practice, with one urgent sign and words that carry markup."""
    shutil.copytree(ROOT / "clients", copied, ignore=shutil.ignore_patterns(".keys.yaml*"))
    log = copied / "nia.log.yaml"
    log.write_text(
        log.read_text()
        + "- on: 2027-03-17\n  signs: [chest_pain]\n  said: <script>alert(1)</script> & so on\n"
        + "- on: 2027-03-18\n  skipped: pain\n"
    )
    return copied


@pytest.fixture(scope="module")
def opened(tmp_path_factory: pytest.TempPathFactory) -> Planned:
    """Of a practice that no test changes."""
    return open_plans(demo(tmp_path_factory.mktemp("demo") / "clients"), (), DAY)


@pytest.fixture(scope="module")
def text(opened: Planned) -> str:
    return page(opened, world.read_templates())


class Tags(HTMLParser):
    """Every tag with its attributes, and all text outside of styles."""

    def __init__(self, source: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.said: list[str] = []
        self._quiet = False
        self.feed(source)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        self._quiet = tag == "style"

    def handle_endtag(self, tag: str) -> None:
        self._quiet = False

    def handle_data(self, data: str) -> None:
        if not self._quiet and data.strip():
            self.said.append(" ".join(data.split()))

    def all(self, tag: str, kind: str | None = None) -> list[dict[str, str | None]]:
        return [
            a
            for t, a in self.tags
            if t == tag and (kind is None or kind in (a.get("class") or "").split())
        ]


# --- what it shows -----------------------------------------------------------------------------


def test_clients_stand_in_the_rosters_order_with_all_their_reasons(opened, text):
    rows = roster(opened)
    assert rows[0].id == "nia"
    assert [a["id"] for a in Tags(text).all("section", "client")] == [f"{r.id}_" for r in rows]
    for row in rows:
        for reason in row.reasons:
            assert reason.says in text


def test_a_clients_group_stands_in_the_list_and_over_the_sheet(text):
    assert text.count('<small class="quiet">') == 1, "one client of the demo is in a group"
    assert 'Tomas Brandt <small class="quiet">coming-back</small></a>' in text
    assert "tomas, group coming-back, active" in text and "nia, referred" in text


def test_a_flood_of_words_is_cut_and_what_is_signed_is_not(tmp_path: Path) -> None:
    clients = demo(tmp_path / "clients")
    log = clients / "nia.log.yaml"
    forged = "".join(f"- {{on: 2027-03-18, said: forged {n}, signed: no}}\n" for n in range(40))
    true = "- {on: 2027-03-16, said: all is well, signed: yes}\n"
    log.write_text(log.read_text("utf-8") + true + forged, "utf-8")
    opened = open_plans(clients, ("nia",), DAY)
    case, plan = opened.cases["nia"], opened.plans["nia"]
    said = [words for _, words in sheet_of(row_of(case, plan), case, plan).said]
    assert sum(words.startswith("forged") for words in said) == 30
    assert "all is well" in said and said[-1] == "10 more that nobody signed stand in the log"


def test_urgent_is_said_in_words_and_not_by_colour(text):
    said = " ".join(Tags(text).said)
    assert "urgent: chest pain on 17 Mar, yesterday; no lift or clearance since" in said
    style = world.read_templates()["desk-style.html"]
    hues = set(re.findall(r"#[0-9a-f]{3,6}\b", style)) - {"#fff", "#000"}
    vivid = {h for h in hues if max(_rgb(h)) - min(_rgb(h)) > 40}
    assert vivid == {"#9c3d1e", "#e0896a"}, "the accent of each ground, and no other colour"


def _rgb(colour: str) -> tuple[int, ...]:
    digits = colour[1:] if len(colour) == 7 else "".join(c * 2 for c in colour[1:])
    return tuple(int(digits[i : i + 2], 16) for i in (0, 2, 4))


def test_a_clients_words_are_shown_as_text(text):
    assert "&lt;script&gt;alert(1)&lt;/script&gt; &amp; so on" in text
    assert Tags(text).all("script") == []


def test_monotony_and_strain_come_with_their_caveats(text):
    said = " ".join(Tags(text).said)
    for caveat in (
        "standard deviation, the sample’s (n − 1)",
        "None of them says on its own that someone is safe or in danger",
        "the fixed limits that are often printed are not in that paper",
        "The two are never divided by one another",
        "it is not shown to prevent injury",
        "can't be known",
    ):
        assert caveat in said


def test_a_week_of_the_demo_is_computed_as_by_hand(text):
    """Nia's ninth week, from her log's own words: three runs, four days of rest."""
    log = yaml.load((ROOT / "clients" / "nia.log.yaml").read_text(), Loader=yaml.BaseLoader)
    mine = [e for e in log if "2027-03-08" <= e["on"] <= "2027-03-14"]
    loads = [int(e["ran"].removesuffix(" min")) * int(e["effort"]) for e in mine]
    assert len(loads) == len({e["on"] for e in mine}) == 3
    mean = sum(loads) / 7
    spread = (sum((x - mean) ** 2 for x in (*loads, 0, 0, 0, 0)) / 6) ** 0.5
    row = re.search(r'<section class="client" id="nia_".*?<b>9</b>(.*?)</tr>', text, re.DOTALL)
    assert row is not None
    assert re.findall(r'<td class="n">(.*?)</td>', row.group(1))[2:] == [
        f"{sum(loads)}", f"{mean / spread:.2f}", f"{sum(loads) * mean / spread:.0f}",
    ]  # fmt: skip


def test_a_client_whose_file_is_broken_still_has_a_place(practice):
    file = practice / "bram.yaml"
    file.write_text(file.read_text().replace("166 spm", "166 km"))
    text = page(open_plans(practice, (), DAY), world.read_templates())
    assert "1 error in its files: nothing is known; see sitegen check bram" in text
    assert len(Tags(text).all("section", "client")) == 6


def test_a_practice_without_clients_has_a_page(practice):
    for file in practice.glob("*.yaml"):
        if file.name != "practice.yaml":
            file.unlink()
    assert "No client yet" in page(open_plans(practice, (), DAY), world.read_templates())


def test_the_same_practice_gives_the_same_bytes(practice, text):
    assert page(open_plans(practice, (), DAY), world.read_templates()) == text


# --- the drawings ------------------------------------------------------------------------------


def drawn(opened: Planned, id: str) -> dict[str, Tags]:
    case, plan = opened.cases[id], opened.plans[id]
    return {p.name: Tags(str(p.drawing)) for p in panels(case, plan, sessions(case, DAY))}


def test_each_planned_week_is_a_box_and_each_week_run_a_bar(opened):
    minutes, plan = drawn(opened, "tomas")["minutes"], opened.plans["tomas"]
    assert len(minutes.all("path", "planned")) == sum(1 for w in plan.weeks if w.run_minutes)
    assert len(minutes.all("rect", "done")) == 10  # the tenth week has begun
    assert "8 to 14 Mar: 87 min planned, 94 done" in minutes.said


def test_a_step_rate_outside_the_band_is_a_ring(opened):
    rate = drawn(opened, "tomas")["rate"]
    logged = [s for s in opened.cases["tomas"].log if s.cadence]
    weeks = opened.plans["tomas"].weeks
    outside = [
        e
        for e in logged
        if not any(
            (e.on - w.start).days in range(7) and w.cadence.low <= e.cadence.spm <= w.cadence.high
            for w in weeks
        )
    ]
    assert len(rate.all("circle", "dot")) == len(logged)
    assert len(rate.all("circle", "hollow")) == len(outside) > 0


def test_pain_signs_and_a_session_left_out_are_drawn(opened):
    pain = drawn(opened, "nia")["pain"]
    assert "chest pain" in pain.said
    assert len(pain.all("path", "cross")) == 1
    assert len(pain.all("circle", "dot")) == sum(1 for e in opened.cases["nia"].log if e.pain)


def test_what_was_never_logged_is_not_drawn(practice):
    (practice / "ayla.log.yaml").unlink()
    assert list(drawn(open_plans(practice, (), DAY), "ayla")) == ["minutes"]


def test_every_drawing_has_words_and_keeps_its_numbers_finite(text):
    tags = Tags(text)
    assert len(tags.all("svg", "panel")) == 6 * 4
    assert all(a.get("role") == "img" and a.get("aria-label") for a in tags.all("svg"))
    assert not re.search(r'="[^"]*(nan|inf)\b', text)


def test_ids_are_unique_and_each_reference_has_its_target(text):
    tags = [a for _, a in Tags(text).tags]
    ids = [a["id"] for a in tags if "id" in a]
    assert len(ids) == len(set(ids))
    wanted = {
        (a.get("href") or "#top").removeprefix("#") for a in tags if a.get("href") != "data:,"
    }
    wanted |= {w for a in tags for w in (a.get("aria-labelledby") or "").split()}
    assert wanted <= set(ids)


def test_a_client_called_how_does_not_meddle_with_the_pages_own_places(practice):
    """Client ids hold no underscore, and every place of a client does."""
    (practice / "nia.yaml").rename(practice / "how.yaml")
    (practice / "bram.yaml").rename(practice / "top.yaml")
    text = page(open_plans(practice, (), DAY), world.read_templates())
    ids = [a["id"] for _, a in Tags(text).tags if "id" in a]
    assert {"how", "how_", "top", "top_"} <= set(ids) and len(ids) == len(set(ids))


# --- nothing gets out, nothing gets in ---------------------------------------------------------


def test_it_says_at_its_top_what_it_holds(text):
    said = " ".join(Tags(text).said)
    at = said.index("This page holds names and health data in clear.")
    assert at < said.index("Nia Sandoval")


def test_its_policy_allows_this_one_style_and_nothing_else(text):
    style = re.search(r"<style>(.*?)</style>", text, re.DOTALL)
    assert style is not None
    digest = base64.b64encode(hashlib.sha256(style.group(1).encode()).digest()).decode()
    metas = Tags(text).all("meta")
    policy = next(a["content"] for a in metas if a.get("http-equiv") == "Content-Security-Policy")
    assert policy == (
        f"default-src 'none'; style-src 'sha256-{digest}'; img-src data:; base-uri 'none'; "
        "form-action 'none'"
    )


def test_it_loads_and_runs_nothing(text):
    tags = Tags(text)
    loading = {"script", "img", "iframe", "object", "embed", "audio", "video", "form", "base"}
    assert not loading & {t for t, _ in tags.tags}
    assert [a["href"] for a in tags.all("link")] == ["data:,"]
    for _, attributes in tags.tags:
        assert "style" not in attributes and not any(n.startswith("on") for n in attributes)
        assert not (attributes.get("href") or "").startswith(("http", "//"))
    assert "url(" not in text and "@import" not in text


def test_no_part_of_it_is_among_the_sites_files(practice, tmp_path):
    """Neither its templates as assets, nor its page, whatever is built beside it."""
    out = tmp_path / "public"
    written, _ = write_desk(practice, tmp_path / "desk", DAY, out)
    assert MARK in written.read_text()
    built = build_site(practice, out, (), DAY)
    assert built.done, built.problems
    names = list(site_files(out))
    assert len(names) > 12
    assert not [n for n in names if "desk" in n]
    assert not [n for n in names if MARK.encode() in (out / n).read_bytes()]
    shipped = world.read_templates()
    assert {n for n in shipped if n.startswith("desk")} == {"desk.html", "desk-style.html"}
    assert not [n for n in assets(shipped) if "desk" in n]


@pytest.mark.parametrize("to", ["public", "public/desk", "public/a/b", "."])
def test_it_is_not_written_into_or_around_the_built_site(practice, tmp_path, to):
    out = tmp_path / "public"
    assert build_site(practice, out, (), DAY).done
    before = {p: p.stat().st_mode for p in sorted(tmp_path.rglob("*"))}
    with pytest.raises(Refused, match="belongs to the built site"):
        write_desk(practice, tmp_path / to, DAY, out)
    assert {p: p.stat().st_mode for p in sorted(tmp_path.rglob("*"))} == before


def test_another_built_site_is_known_by_its_record(practice, tmp_path):
    assert build_site(practice, tmp_path / "elsewhere", (), DAY).done
    with pytest.raises(Refused, match="belongs to the built site"):
        write_desk(practice, tmp_path / "elsewhere" / "desk", DAY, tmp_path / "public")


def test_a_link_into_the_site_does_not_deceive_it(practice, tmp_path):
    (tmp_path / "public").mkdir()
    (tmp_path / "desk").symlink_to(tmp_path / "public")
    with pytest.raises(Refused, match="belongs to the built site"):
        write_desk(practice, tmp_path / "desk", DAY, tmp_path / "public")
    assert list((tmp_path / "public").iterdir()) == []


def test_a_folder_that_is_published_to_is_refused(tmp_path):
    targets = ["s3://bucket/plans", "git+ssh://host/plans#pages", str(tmp_path / "web")]
    with pytest.raises(Refused, match="published to"):
        refuse_site(tmp_path / "web" / "desk", tmp_path / "public", targets)
    with pytest.raises(Refused, match="published to"):
        refuse_site(tmp_path / "web", tmp_path / "public", [f"file://{tmp_path / 'web'}"])
    refuse_site(tmp_path / "desk", tmp_path / "public", targets)


def test_a_folder_with_other_things_is_left_alone(practice, tmp_path):
    folder = tmp_path / "notes"
    folder.mkdir(mode=0o755)
    (folder / "shopping.txt").write_text("eggs")
    mode = folder.stat().st_mode
    with pytest.raises(Refused, match=r"holds other things \(shopping.txt\)"):
        write_desk(practice, folder, DAY, tmp_path / "public")
    assert [p.name for p in folder.iterdir()] == ["shopping.txt"]
    assert folder.stat().st_mode == mode


def test_a_page_of_someone_else_is_not_overwritten(practice, tmp_path):
    folder = tmp_path / "desk"
    folder.mkdir()
    (folder / "index.html").write_text("<title>Mine</title>")
    with pytest.raises(Refused, match="not a page of ours"):
        write_desk(practice, folder, DAY, tmp_path / "public")
    assert (folder / "index.html").read_text() == "<title>Mine</title>"


def test_a_link_instead_of_the_page_is_refused(practice, tmp_path):
    (tmp_path / "desk").mkdir()
    (tmp_path / "other.html").write_text("kept")
    (tmp_path / "desk" / "index.html").symlink_to(tmp_path / "other.html")
    with pytest.raises(Refused, match="holds other things"):
        write_desk(practice, tmp_path / "desk", DAY, tmp_path / "public")
    assert (tmp_path / "other.html").read_text() == "kept"


@pytest.mark.skipif(os.name != "posix", reason="modes are POSIX's")
def test_folder_and_page_are_for_their_owner_alone(practice, tmp_path):
    """Whatever the umask says, and also where someone had loosened them before."""
    folder = tmp_path / "desk"
    before = os.umask(0)
    try:
        written, _ = write_desk(practice, folder, DAY, tmp_path / "public")
        assert (_mode(folder), _mode(written)) == (0o700, 0o600)
        folder.chmod(0o755)
        written.chmod(0o644)
        write_desk(practice, folder, date(2027, 3, 19), tmp_path / "public")
    finally:
        os.umask(before)
    assert (_mode(folder), _mode(written)) == (0o700, 0o600)
    assert {_mode(p) for p in folder.iterdir()} == {0o600}
    assert "Friday 19 March 2027" in written.read_text()


def _mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


@pytest.mark.skipif(shutil.which("git") is None, reason="git is not here")
def test_git_never_takes_it_along_wherever_it_lies(practice, tmp_path):
    home = {k: v for k, v in os.environ.items() if not k.startswith("GIT_")}
    run = ("git", "-c", "user.name=A", "-c", "user.email=a@example.org", "-C", str(tmp_path))
    subprocess.run([*run, "init", "-q"], check=True, env=home)
    write_desk(practice, tmp_path / "overview", DAY, tmp_path / "public")
    subprocess.run([*run, "add", "-A"], check=True, env=home)
    staged = subprocess.run(
        [*run, "diff", "--cached", "--name-only"], capture_output=True, text=True, check=True,
        env=home,
    ).stdout.split()  # fmt: skip
    assert "clients/nia.yaml" in staged
    assert not [name for name in staged if name.startswith("overview")]


def test_without_the_practices_own_file_nothing_is_written(practice, tmp_path):
    (practice / "practice.yaml").unlink()
    page, opened = write_desk(practice, tmp_path / "desk", DAY, tmp_path / "public")
    assert page is None and "practice-missing" in {p.code for p in opened.problems}
    assert not (tmp_path / "desk").exists()


AXE = ROOT / "node_modules" / "axe-core" / "axe.min.js"


@pytest.mark.parametrize("width", [320, 390, 1280])
def test_a_browser_opens_it_from_the_disk_without_a_complaint(browser, practice, tmp_path, width):
    """Styled, so the policy's hash fits; nothing asked for; nothing wider than the screen."""
    written, _ = write_desk(practice, tmp_path / "desk", DAY, tmp_path / "public")
    complaints: list[str] = []
    asked: list[str] = []
    tab = browser.new_page(viewport={"width": width, "height": 800}, color_scheme="dark")
    tab.on("console", lambda message: complaints.append(message.text))
    tab.on("request", lambda request: asked.append(request.url))
    tab.goto(written.as_uri())
    ground = tab.evaluate("getComputedStyle(document.documentElement).backgroundColor")
    reach = tab.evaluate("document.documentElement.scrollWidth")
    tab.close()
    assert complaints == []
    assert [url for url in asked if not url.startswith("data:")] == [written.as_uri()]
    assert ground == "rgb(22, 24, 27)"
    assert reach == width


@pytest.mark.skipif(not AXE.exists(), reason="axe-core is not installed; npm install axe-core")
@pytest.mark.parametrize("scheme", some_of(["light", "dark"], "dark"))
def test_axe_finds_nothing(browser, practice, tmp_path, scheme):
    written, _ = write_desk(practice, tmp_path / "desk", DAY, tmp_path / "public")
    tab = browser.new_page(bypass_csp=True, color_scheme=scheme)
    tab.goto(written.as_uri())
    tab.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true; })")
    tab.evaluate(AXE.read_text(encoding="utf-8"))
    found = tab.evaluate("axe.run()")
    tab.close()
    assert len(found["passes"]) > 20
    assert [(v["id"], v["nodes"][0]["html"]) for v in found["violations"]] == []
