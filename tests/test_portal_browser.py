"""The portal in a real browser: what Now shows and when, getting about, the door, and access.

The browser's clock is set for each test. Chromium comes from the system; without it the tests
are skipped and say so.
"""

from __future__ import annotations

import functools
import http.server
import itertools
import threading
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import expect

from chromium import needs_chromium
from engines import until
from nightly import some_of
from portal_builder import (
    KEY_TEXT,
    LOG,
    PORTAL,
    ROOT,
    make_case,
    make_plan,
    write_sealed_site,
    write_site,
)
from sitegen.care.sentences import LINE_NOW, STOPS
from sitegen.model.plan import Decision
from sitegen.model.sentence import say

pytestmark = needs_chromium

VIEWS = ("now", "weeks", "beat", "checkin", "drills", "cadence", "calendar", "care")
TUESDAY = datetime(2027, 2, 16, 18, 5)
AXE = ROOT / "node_modules" / "axe-core" / "axe.min.js"
PHONE, DESK = (390, 844), (1280, 800)

Open = Callable[..., Any]
STOP = Decision("signs", say(LINE_NOW, sign="Chest pain"), warns=True)


@pytest.fixture(scope="module")
def sites(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One folder with a portal in each state."""
    root = tmp_path_factory.mktemp("sites")
    write_site(root / "open")
    write_site(root / "paused", plan=make_plan(status="paused"))
    urgent = make_case(log=[*LOG, {"on": "2027-02-12", "signs": ["chest_pain"]}])
    write_site(root / "urgent", urgent, make_plan(status="referred", weeks=(), decisions=(STOP,)))
    write_site(root / "screened", make_case(log=[]), make_plan(status="referred", weeks=()))
    write_sealed_site(root / "sealed")
    write_sealed_site(root / "locked", "quiet harbour walk")
    return root


@pytest.fixture(scope="module")
def base(sites: Path) -> Iterator[str]:
    class Quiet(http.server.SimpleHTTPRequestHandler):
        def log_message(self, format: str, *args: Any) -> None:
            pass

    handler = functools.partial(Quiet, directory=str(sites))
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_port}"
    server.shutdown()


@pytest.fixture
def visit(browser: Any, base: str) -> Iterator[Open]:
    """Opens a portal at a moment; fails on a console message or a request that leaves it."""
    contexts: list[Any] = []
    noise: list[str] = []

    def open_page(
        site: str = "open",
        end: str = "",
        now: datetime = TUESDAY,
        size: tuple[int, int] = PHONE,
        ready: str = "html[data-ready]",
        **options: Any,
    ) -> Any:
        options.setdefault("timezone_id", "Europe/Lisbon")
        context = browser.new_context(viewport={"width": size[0], "height": size[1]}, **options)
        contexts.append(context)
        page = context.new_page()
        page.on("console", lambda message: noise.append(message.text))
        page.on("pageerror", lambda error: noise.append(str(error)))
        page.on(
            "request",
            lambda request: (
                None
                if request.url.startswith((base, "data:"))
                else noise.append(f"asked for {request.url}")
            ),
        )
        page.clock.install(time=now)
        page.goto(f"{base}/{site}/{PORTAL}/{end}")
        page.wait_for_selector(ready, state="attached")
        return page

    try:
        yield open_page
    finally:
        for context in contexts:
            context.close()
    assert noise == []


def shown(page: Any) -> str:
    return str(page.locator("#now").inner_text())


# Now


def test_before_the_plan_it_says_when_it_begins(visit: Open):
    page = visit(now=datetime(2027, 1, 10, 9))

    assert "Your plan begins Tuesday 19 January" in shown(page)
    assert page.locator("#now .state .session").count() == 0
    assert page.locator("#now .next .what").inner_text() == "Run to the beat"
    expect(page.locator("#now .go")).to_be_hidden()


def test_on_a_day_that_the_log_tells_of_it_says_so_and_what_comes_next(visit: Open):
    page = visit(now=datetime(2027, 1, 19, 7))

    assert page.locator("#now .title").inner_text().endswith("Tuesday 19 January")
    assert "Checked in for today" in shown(page)
    assert page.locator("#now .next .what").inner_text() == "Easy run"


def test_in_mid_week_it_shows_minutes_effort_breath_beat_and_one_cue(visit: Open):
    page = visit()
    facts = page.locator("#now .state .facts").inner_text()

    assert page.locator("#now .state .what").inner_text() == "Run to the beat"
    assert page.locator("#now .state .long b").inner_text() == "33"
    assert "24\N{NO-BREAK SPACE}min of it running" in shown(page)
    assert "2–3" in facts and "easy to moderate" in facts
    assert "You can talk in whole sentences." in facts
    assert "162" in facts
    assert page.locator("#now .state .cue dd").count() == 1


def test_the_week_s_note_and_what_changed_stand_below(visit: Open):
    text = shown(visit())

    assert "Listen to your feet." in text
    assert "Your knee spoke up at 3 of 10" in text
    assert "A word from Ines Carvalho" in text


def test_a_rest_day_says_so_and_what_comes_next(visit: Open):
    page = visit(now=datetime(2027, 2, 17, 9))

    assert page.locator("#now .state:visible .big").inner_text() == "Rest day"
    assert page.locator("#now .next h3").inner_text().split() == ["Next", "tomorrow"]
    assert page.locator("#now .next .what").inner_text() == "Easy run"


def test_a_run_day_says_when_to_stop_and_where_to_read_more(visit: Open):
    page = visit()
    line = page.locator("#now .careful:not(.untold, .morning)")

    assert line.is_visible()
    assert "chest pain" in line.inner_text()
    line.get_by_role("link").click()
    expect(page.locator("#care")).to_be_visible()

    for day in (17, 19):  # rest, strength
        expect(
            visit(now=datetime(2027, 2, day, 9)).locator("#now .careful:not(.untold, .morning)")
        ).to_be_hidden()


def test_on_the_coachs_own_computer_the_address_may_say_which_day_it_is(visit: Open):
    for site, end in (("open", "?day=2027-02-18"), ("sealed", f"?day=2027-02-18#{KEY_TEXT}")):
        page = visit(site, end)
        assert page.locator("#now .title").inner_text().endswith("Thursday 18 February, 18:30")
        page.get_by_role("link", name="Weeks", exact=True).click()
        expect(page.locator('.week[data-week="5"] .here')).to_be_visible()
        page.get_by_role("link", name="Now", exact=True).click()
        assert page.evaluate("portal.today()") == "2027-02-18"


@pytest.mark.parametrize("day", ["", "2027-02-30", "19.1.2027", "2027-01-19x"])
def test_a_day_that_is_none_leaves_the_devices_own(visit: Open, day: str):
    assert visit(end=f"?day={day}").evaluate("portal.today()") == "2027-02-16"


def test_a_published_page_keeps_to_the_devices_own_day(browser: Any, base: str):
    elsewhere = base.replace("127.0.0.1", "plans.localhost")  # a name that needs no look-up
    with browser.new_context(timezone_id="Europe/Lisbon") as context:
        page = context.new_page()
        page.clock.install(time=TUESDAY)
        page.goto(f"{elsewhere}/open/{PORTAL}/?day=2027-02-18")
        page.wait_for_selector("html[data-ready]", state="attached")

        assert page.evaluate("location.hostname") == "plans.localhost"
        assert page.evaluate("portal.today()") == "2027-02-16"


@pytest.mark.parametrize("feed_url", [None, "https://plans.example.org/feeds/x.ics"])
def test_more_fills_its_row_on_a_phone(visit: Open, sites: Path, feed_url: str | None):
    write_site(sites / "more", feed_url=feed_url)
    page = visit("more")
    page.get_by_role("button", name="More").click()
    boxes = [li.bounding_box() for li in page.locator(".nav .further").all()]

    assert len(boxes) == (3 if feed_url is None else 4)
    assert len({round(box["y"]) for box in boxes}) == 1
    assert round(boxes[0]["x"]) == 0 and round(boxes[-1]["x"] + boxes[-1]["width"]) == PHONE[0]


def test_a_strength_day_offers_no_beat(visit: Open):
    page = visit(now=datetime(2027, 2, 19, 9))

    assert page.locator("#now .state .what").inner_text() == "Strength"
    expect(page.locator("#now a[data-needs]")).to_be_hidden()
    expect(page.locator("#now .go .second")).to_be_visible()


def test_after_the_plan_it_says_that_it_is_done(visit: Open):
    page = visit(now=datetime(2027, 4, 1, 9))

    assert page.locator("#now .state:visible .big").inner_text() == "The plan is done"
    expect(page.locator("#now .next")).to_be_hidden()


def test_a_paused_plan_shows_no_session_on_any_day(visit: Open):
    page = visit("paused")

    assert page.locator("#now .state:visible .big").inner_text() == "Your plan is paused"
    assert page.locator("#now .session").count() == 0


def test_after_an_urgent_sign_the_words_are_urgent_and_the_number_can_be_called(visit: Open):
    page = visit("urgent")

    assert STOPS["now"].title in shown(page)
    assert page.locator("#now a.call").get_attribute("href") == "tel:112"
    assert page.locator("#now .session").count() == 0
    expect(page.locator("#now .go")).to_be_hidden()


def test_an_old_build_says_that_it_may_be_old(visit: Open):
    expect(visit(now=datetime(2027, 2, 24, 9)).locator("#now .stale")).to_be_hidden()
    expect(visit(now=datetime(2027, 2, 25, 9)).locator("#now .stale")).to_be_visible()


def test_a_page_left_open_turns_over_at_midnight(visit: Open):
    page = visit(now=datetime(2027, 2, 16, 23, 59, 30))
    assert page.locator("#now .state .what").inner_text() == "Run to the beat"

    page.clock.run_for(60_000)

    assert page.locator("#now .state:visible .big").inner_text() == "Rest day"


def test_the_day_is_the_devices_own(visit: Open):
    """At 23:30 UTC on the 15th it is the 16th in Tokyo already, and still the 15th in Lisbon."""
    moment = datetime.fromisoformat("2027-02-15T23:30:00+00:00")
    tokyo = visit(now=moment, timezone_id="Asia/Tokyo")
    lisbon = visit(now=moment)

    assert tokyo.locator("#now .state .what").inner_text() == "Run to the beat"
    assert lisbon.locator("#now .state:visible .big").inner_text() == "Rest day"


PICKS = [
    ("2027-01-18", "before", 0, "w1d1"),
    ("2027-01-19", "today", 1, "w1d3"),
    ("2027-01-20", "rest", 0, "w1d3"),
    ("2027-03-14", "today", 1, None),
    ("2027-03-15", "after", 0, None),
]


def test_the_pick_is_right_on_each_kind_of_day(visit: Open):
    page = visit()

    for day, state, count, following in PICKS:
        found = page.evaluate("day => portalParts.now.pick(portal.data, day)", day)
        assert (found["state"], len(found["todays"])) == (state, count), day
        assert (found["next"] or {}).get("id") == following, day


def test_a_week_whose_sessions_are_over_and_one_without_any_have_their_own_words(visit: Open):
    """A week of rest or away forbids nothing, and what comes after it is told."""
    page = visit()
    pick = """([kind, count]) => {
        const data = structuredClone(portal.data);
        data.weeks[4].kind = kind;
        data.weeks[4].sessions = data.weeks[4].sessions.slice(0, count);
        const { state, next } = portalParts.now.pick(data, "2027-02-20");
        return [state, next.on];
    }"""

    assert page.evaluate(pick, ["hold", 2]) == ["week-done", "2027-02-23"]
    assert page.evaluate(pick, ["pause", 2]) == ["week-done", "2027-02-23"]
    assert page.evaluate(pick, ["pause", 0]) == ["free-week", "2027-02-23"]


def test_the_night_the_clocks_change_counts_as_one_day(visit: Open):
    """Lisbon goes to summer time on 28 March 2027; the day before and after are one apart."""
    page = visit(now=datetime(2027, 3, 28, 0, 30))

    assert page.evaluate("portal.today()") == "2027-03-28"


# Getting about


def test_the_address_chooses_the_view_and_back_and_forward_work(visit: Open):
    page = visit()
    page.click(".nav a:text-is('Weeks')")
    expect(page.locator("#weeks-title")).to_be_visible()
    expect(page.locator("#now-title")).to_be_hidden()
    assert page.title() == "Weeks · Running plan"
    page.click(".nav a:text-is('Check-in')")

    page.go_back()
    expect(page.locator("#weeks-title")).to_be_visible()
    page.go_back()
    expect(page.locator("#now-title")).to_be_visible()
    page.go_forward()
    expect(page.locator("#weeks-title")).to_be_visible()
    assert page.locator(".nav [aria-current]").inner_text() == "Weeks"


def test_focus_moves_to_the_title_of_the_view(visit: Open):
    page = visit()
    page.click(".nav a:text-is('Weeks')")

    assert page.evaluate("document.activeElement.id") == "weeks-title"


def test_a_session_leads_to_its_drill(visit: Open):
    page = visit()
    page.click("#now .with a:text-is('Quiet landing')")

    page.wait_for_selector("#drills-quiet-landing", state="visible")  # its script comes late
    until(lambda: page.evaluate("document.activeElement.id === 'drills-quiet-landing'"))


def test_this_week_is_open_and_the_others_are_shut(visit: Open):
    page = visit(end="#weeks")

    assert page.locator(".week[open]").count() == 1
    assert page.locator(".week[open] .n").inner_text().endswith("5")
    assert page.locator(".here:visible").inner_text() == "this week"


def test_weeks_opens_at_this_week_but_a_search_stays_at_what_it_found(visit: Open):
    page = visit(end="#weeks", size=(390, 500))
    top = "document.querySelector('.week[open] summary').getBoundingClientRect().top"
    assert page.evaluate("scrollY") > 0 and 0 <= page.evaluate(top) < 250
    page.click(".nav a:text-is('Now')")
    until(lambda: page.evaluate("scrollY === 0"))
    page.click(".nav a:text-is('Weeks')")
    until(lambda: page.evaluate(f"scrollY > 0 && {top} >= 0 && {top} < 250"))

    page.click(".nav a:text-is('Now')")
    page.wait_for_selector("html[data-view=now]", state="attached")
    page.evaluate("""() => {
        document.getElementById("care").dispatchEvent(new Event("beforematch"));
        document.getElementById("care").removeAttribute("hidden");
        document.getElementById("now").setAttribute("hidden", "until-found");
        scrollTo(0, 200);
    }""")
    page.wait_for_selector("html[data-view=care]", state="attached")
    assert page.evaluate("scrollY") == 200


def test_the_keyboard_alone_reaches_every_view(visit: Open):
    page = visit(size=DESK)
    for view in VIEWS:
        for _ in range(60):
            page.keyboard.press("Tab")
            if page.evaluate("document.activeElement.dataset.place") == view:
                break
        page.keyboard.press("Enter")
        page.locator(f'html[data-view="{view}"]').wait_for(state="attached")
        expect(page.locator(f"#{view}-title")).to_be_visible()
        page.evaluate("document.activeElement.blur()")


def test_more_opens_by_keyboard_and_escape_shuts_it(visit: Open):
    page = visit()
    page.focus(".more button")
    page.keyboard.press("Enter")
    tops = page.eval_on_selector_all(".nav a", "all => all.map(a => a.offsetTop)")
    assert len(set(tops[:4])) == len(set(tops[4:])) == 1  # two rows, the main four below
    assert tops[4] < tops[0]
    page.keyboard.press("Escape")

    expect(page.locator(".nav a:text-is('Care')")).to_be_hidden()
    assert page.evaluate("document.activeElement.textContent") == "More"


def test_arrows_walk_the_chart_and_the_point_is_told(visit: Open):
    page = visit(end="#cadence", size=DESK)
    last = page.locator(".chart.wide .point[tabindex='-1'] ~ .point[tabindex='0']")
    last.focus()  # once the others are out of the tab order, as the chart's script comes later
    said = "8 to 14 Feb: 165.5 steps a minute, the middle of 2 runs, 163 to 168, in the band"
    assert page.locator("[data-point]").inner_text() == said
    page.keyboard.press("ArrowLeft")
    assert (
        "1 to 7 Feb: 163 steps a minute, the middle of 3 runs"
        in page.locator("[data-point]").inner_text()
    )


def test_no_view_is_wider_than_a_small_phone_or_a_page_at_200_percent(visit: Open):
    page = visit(size=(320, 640))
    for view in VIEWS:
        page.evaluate("v => portal.go(v)", view)
        page.locator(f'html[data-view="{view}"]').wait_for(state="attached")
        wide = page.evaluate("document.documentElement.scrollWidth")
        assert wide <= 320, view


def test_no_script_still_shows_every_view_in_order(visit: Open):
    page = visit(java_script_enabled=False, ready="#care")

    for view in VIEWS:
        expect(page.locator(f"#{view}-title")).to_be_visible()
    expect(page.locator("article.session").first).to_be_visible()


def test_paper_holds_the_weeks_and_nothing_else(visit: Open):
    page = visit()
    page.emulate_media(media="print")

    expect(page.locator("#weeks")).to_be_visible()
    expect(page.locator("#now")).to_be_hidden()
    expect(page.locator(".nav")).to_be_hidden()


def test_one_week_can_be_printed_alone(visit: Open):
    page = visit(end="#weeks")
    page.evaluate("window.print = () => {}")
    page.click("[data-print='5']")
    page.emulate_media(media="print")

    assert page.locator(".week:visible").count() == 1
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    assert page.locator(".week:visible").count() == 4, "those to come"


# The door of a sealed portal


def door(page: Any) -> str:
    return str(page.evaluate("document.documentElement.dataset.door"))


def test_the_private_link_opens_the_plan_and_keeps_its_key_on_the_way(visit: Open):
    page = visit("sealed", f"#k={KEY_TEXT}")
    assert page.locator("#now .state .what").inner_text() == "Run to the beat"
    page.click(".nav a:text-is('Weeks')")

    assert page.url.endswith(f"#k={KEY_TEXT}&v=weeks")
    expect(page.locator("#weeks-title")).to_be_visible()
    page.reload()
    page.wait_for_selector("html[data-ready]", state="attached")
    expect(page.locator("#weeks-title")).to_be_visible()


def test_a_key_with_a_slash_and_a_view_opens_that_view(visit: Open):
    page = visit("sealed", f"#{KEY_TEXT}/cadence")

    expect(page.locator("#cadence-title")).to_be_visible()


def test_a_view_typed_by_hand_does_not_lose_the_key(visit: Open):
    page = visit("sealed", f"#{KEY_TEXT}")
    page.evaluate("location.hash = '#care'")
    page.locator('html[data-view="care"]').wait_for(state="attached")

    assert page.url.endswith(f"#{KEY_TEXT}/care")


@pytest.mark.parametrize(
    ("end", "reason", "words"),
    [
        ("", "no-key", "The link is not whole"),
        ("#k=tooshort", "bad-key-form", "cut short"),
        (f"#k={'A' * 43}", "wrong-key", "another plan"),
    ],
)
def test_a_door_that_stays_shut_says_why(visit: Open, end: str, reason: str, words: str):
    page = visit("sealed", end, ready=f"html[data-door={reason}]")

    assert words in page.locator("#door").inner_text()
    assert page.locator("#door h2:visible").count() == 1
    page.fill("#whole-link", f"{page.url.partition('#')[0]}#k={KEY_TEXT}")
    page.click("#open-link")
    page.wait_for_selector("html[data-ready]", state="attached")


def test_on_a_wide_screen_the_lanes_pass_above_the_doors_words_to_its_edge(visit: Open):
    page = visit("sealed", "", size=(1280, 800), ready="html[data-door=no-key]")
    lanes = [lane.bounding_box() for lane in page.locator("#door .lanes i").all()]
    words = page.locator("#door h1").bounding_box()

    assert all(lane["x"] + lane["width"] >= 1280 for lane in lanes)
    assert max(lane["y"] for lane in lanes) < words["y"]
    assert max(lane["x"] for lane in lanes) < words["x"]


def test_under_a_stop_the_hour_of_a_run_is_not_shown(visit: Open):
    """Now's title, which tells it, is left to who hears the page; those of other views stay."""
    page = visit(end="#checkin", now=TUESDAY.replace(hour=20))
    for answer in ("[name=did][value=told]", "[name=any][value=some]"):
        page.locator(answer).check()
    page.locator("[name=signs][value=chest_pain]").check()
    widths = {}
    for name in ("now", "weeks", "beat"):
        page.evaluate("view => portal.go(view)", name)
        page.wait_for_selector(f"html[data-view={name}]", state="attached")
        assert page.locator("#device-stop").is_visible()
        widths[name] = page.locator(f"#{name} .title").evaluate("e => e.clientWidth")
    assert widths["now"] <= 1 < widths["weeks"]
    assert widths["beat"] > 1


def test_a_passphrase_is_asked_for_and_a_wrong_one_is_told(visit: Open):
    page = visit("locked", f"#k={KEY_TEXT}", ready="html[data-door=needs-passphrase]")
    page.fill("#passphrase", "something else")
    page.keyboard.press("Enter")
    page.wait_for_selector("html[data-door=wrong-passphrase]", state="attached")
    assert "That was not it." in page.locator("#door").inner_text()
    page.fill("#passphrase", " quiet  harbour walk ")
    page.keyboard.press("Enter")

    page.wait_for_selector("html[data-ready]", state="attached")
    expect(page.locator("#now-title")).to_be_focused()


def test_the_key_is_kept_only_when_ticked_and_forgotten_at_once(visit: Open):
    page = visit("sealed", f"#k={KEY_TEXT}")
    assert page.evaluate("Object.keys(localStorage).filter(n => n.endsWith('.key'))") == []
    page.check("#keep")
    page.goto(page.url.partition("#")[0])
    page.wait_for_selector("html[data-ready]", state="attached")
    expect(page.locator("#now-title")).to_be_visible()
    expect(page.locator("[data-host=older]")).to_be_hidden()
    expect(page.locator("[data-host=shared]"), "below a path").to_be_visible()

    page.evaluate("localStorage.setItem(`portal.${portal.id}.newest`, '2099-01-01')")
    page.reload()
    page.wait_for_selector("html[data-ready]", state="attached")
    assert "older than one that you opened here" in page.locator("[data-host=older]").inner_text()

    page.evaluate("portal.go('beat')")
    page.click("[data-b-start]")
    page.wait_for_selector("html[data-running]", state="attached")
    page.evaluate(
        "() => { navigator.serviceWorker.getRegistrations = () => new Promise(r => { end = r; }); }"
    )
    page.click("#forget")
    page.click("#forget-yes")

    until(lambda: page.evaluate("typeof end === 'function'"))  # a worker that fetches holds it up
    assert page.evaluate("document.documentElement.hasAttribute('data-running')") is False
    assert page.locator("#portal").inner_text() == "" and "#" not in page.url
    page.evaluate("end([])")
    page.wait_for_selector("html[data-door=forgotten]", state="attached")
    assert page.evaluate("localStorage.length + sessionStorage.length") == 0
    assert "Run to the beat" not in page.content()
    assert "#" not in page.url


def test_a_sealed_page_without_script_says_what_it_needs(visit: Open):
    page = visit("sealed", java_script_enabled=False, ready="#door")

    assert "Allow scripts for this page" in page.locator("#door").inner_text()


def test_it_opens_from_a_file_on_disk(browser: Any, sites: Path):
    page = browser.new_page()
    messages: list[str] = []
    page.on("console", lambda message: messages.append(message.text))
    page.goto(f"{(sites / 'sealed' / PORTAL / 'index.html').as_uri()}#k={KEY_TEXT}")
    page.wait_for_selector("html[data-ready]", state="attached")

    expect(page.locator("#now-title")).to_be_visible()
    assert messages == []
    page.close()


# Access for all


@pytest.mark.skipif(not AXE.exists(), reason="axe-core is not installed; npm install axe-core")
@pytest.mark.parametrize(
    ("scheme", "size"),
    some_of(
        list(itertools.product(("light", "dark"), ("phone", "desk"))),
        ("dark", "phone"),
    ),
)
def test_axe_finds_nothing_in_any_view_and_each_region_has_a_name(
    visit: Open, scheme: str, size: str
):
    """By day a phone in the dark (`test_portal_engines`: a wide page by light); by night all.
    Sealed, as clients have it: there the key stands in each of the page's own links."""
    screen = PHONE if size == "phone" else DESK
    page = visit("sealed", f"#k={KEY_TEXT}", color_scheme=scheme, size=screen)
    page.evaluate(AXE.read_text(encoding="utf-8"))
    tools = page.context.new_cdp_session(page)
    views = page.evaluate("Array.from(document.querySelectorAll('.view'), v => v.id)")
    assert views == [view for view in VIEWS if view != "calendar"]  # this one has no feed
    for view in views:
        page.evaluate("v => portal.go(v)", view)
        page.locator(f'html[data-view="{view}"]').wait_for(state="attached")
        found = page.evaluate(AXE_RUN)
        assert found == [], f"{view}: {found}"
        names = regions(tools.send("Accessibility.getFullAXTree")["nodes"])
        assert len(names) > 1 and "" not in names, (view, names)


def regions(nodes: list[dict[str, Any]]) -> list[str]:
    """The names of what a screen reader jumps to (WAI-ARIA 1.2, landmark roles), as the browser
    tells them; views that are not shown are none."""
    roles = {"region", "form", "navigation", "complementary", "search"}
    here = [node for node in nodes if not node["ignored"] and node["role"]["value"] in roles]
    return [node.get("name", {}).get("value", "") for node in here]


AXE_RUN = """() => axe.run(document, {
    rules: {'target-size': {enabled: true}},
    resultTypes: ['violations'],
}).then(r => r.violations.map(
    v => v.id + ': ' + v.nodes.map(n => n.target.join(' ')).join(', ')))"""


def test_forgetting_asks_first_and_offers_to_send_what_is_not_sent(visit: Open):
    page = visit()
    name = page.evaluate("'portal.' + portal.id + '.checkin'")
    page.click("#forget")
    expect(page.locator("[data-unsent]")).to_be_hidden()
    page.click("#forget-no")
    assert page.evaluate("document.activeElement.id") == "forget"

    page.evaluate('n => localStorage.setItem(n, \'{"drafts": {"w5d1": {}}}\')', name)
    page.click("#forget")
    expect(page.locator("[data-unsent]")).to_be_visible()
    assert page.evaluate("n => localStorage.getItem(n)", name), "asking takes nothing away"
    page.click("#forget-yes")
    page.wait_for_selector("#forgotten", state="visible")
    assert page.evaluate("n => localStorage.getItem(n)", name) is None


# Told and done


def test_weeks_cadence_and_drills_know_what_was_told_and_what_day_it_is(visit: Open):
    """One page for what comes after the first picture: the months, today's mark and drills."""
    page = visit(end="#weeks")
    until(lambda: page.evaluate("Boolean(portalParts.months && portalParts.drillTimer)"))

    told = page.locator("#weeks-4 .felt").inner_text().replace("\N{NO-BREAK SPACE}", "~")
    assert told == "2 runs, 36~min; effort~2; pain~1", "a figure stays with its word"
    assert page.locator("#weeks-4 .ran").count() == 1
    page.locator("[data-months] > summary").click()
    page.wait_for_selector("[data-months] caption")
    assert page.locator("[data-months] caption").all_inner_texts()[0] == "January 2027"
    today = page.locator('[data-months] td[aria-current="date"]')
    assert today.text_content().startswith(f"{TUESDAY.day}: Today, ")
    done = page.locator("[data-months-grid] .day.done")
    assert done.count() == len({entry["on"] for entry in LOG if "ran" in entry})
    page.emulate_media(forced_colors="active")
    ground = "e => getComputedStyle(e).backgroundColor"
    paper = page.locator("html").evaluate(ground)
    assert done.first.evaluate(ground) != paper, "told from planned in forced colours too"
    edge = "e => getComputedStyle(e).borderBlockStartColor"
    here = page.locator(".nav a[aria-current]").evaluate(edge)
    others = {a.evaluate(edge) for a in page.locator(".nav a:not([aria-current])").all()}
    assert others == {paper} and here != paper, "where one is, too"
    page.emulate_media(forced_colors="none")

    page.evaluate("portal.go('cadence')")
    mark = page.locator("#cadence .chart.phone [data-today]")
    mark.wait_for(state="attached")
    first, days, left, right = mark.get_attribute("data-today").split()
    gone = (TUESDAY - datetime.fromisoformat(first)).days + 0.5
    place = float(left) + gone / int(days) * (float(right) - float(left))
    assert mark.get_attribute("transform") == f"translate({place:.1f} 0)"

    page.evaluate("portal.go('drills')")
    page.wait_for_selector("[data-drills-today] h4")
    wanted = page.locator('.week [data-on="2027-02-16"] .with a').all_text_contents()
    assert page.locator("[data-drills-today] h4").all_inner_texts() == wanted != []
    assert page.locator("#drills .drill[open]").count() == 0
    page.evaluate(
        "window.print = () => { window.printed = document.documentElement.dataset.view; }"
    )
    page.get_by_role("button", name="Print today's drills on one sheet").click()
    assert page.evaluate("window.printed") == "drills"
