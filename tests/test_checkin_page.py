"""The Check-in view in a real browser: a thumb's way, drafts, advice, the morning after."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

pytest.importorskip("playwright")

from playwright.sync_api import Browser, BrowserContext, Locator, Page, expect

from chromium import needs_chromium
from js.view_page import COOL_DOWN, WARM_UP, WEDNESDAY, served, session, write_page
from nightly import some_of
from sitegen.checkins.signing import signed
from sitegen.portal.views import checkin
from sitegen.practice.records import read_log
from sitegen.seal.sealing import to_base64url
from test_checkin_signed import KEY, LINK, sound_of

pytestmark = needs_chromium

URGENT = [tick.words for tick in checkin.build(None).now]
OTHER = [tick.words for tick in checkin.build(None).today]
ILL = [tick.words for tick in checkin.build(None).ill]

SHARES = """
window.shared = [];
navigator.share = async (what) => {
  if (window.refuse) throw new DOMException("", "AbortError");
  window.shared.push(what.text);
};
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("checkin")
    write_page(folder, "checkin", "Check-in")
    return folder


@pytest.fixture(scope="module")
def address(folder: Path) -> Iterator[str]:
    with served(folder) as url:
        yield f"{url}/checkin.html"


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    context = browser.new_context(
        viewport={"width": 390, "height": 844}, has_touch=True, locale="en-GB",
        timezone_id="Europe/Lisbon", permissions=["clipboard-read", "clipboard-write"],
    )  # fmt: skip
    yield context
    context.close()


@pytest.fixture
def page(context: BrowserContext, address: str) -> Iterator[Page]:
    """The view on the evening of Wednesday 10 February 2027; silent on the console."""
    yield from opened(context, address)


def opened(context: BrowserContext, address: str) -> Iterator[Page]:
    page = context.new_page()
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.clock.set_fixed_time(f"{WEDNESDAY}T20:00:00")
    page.goto(address)
    yield page
    assert said == []


def logged(**days: list[str]) -> dict[str, list[str]]:
    return {"ran": [], "done": [], "skipped": []} | days


def button(page: Page | Locator, name: str) -> Locator:
    return page.get_by_role("button", name=name, exact=True).filter(visible=True)


TOLD, SHORTER = "Done as told: 16 min of running", "Shorter"


def tick(page: Page, label: str) -> None:
    rare = page.locator("[data-c-today]")
    if label in (*URGENT, *OTHER, *ILL) and page.locator("[data-c-signs]").is_hidden():
        tick(page, "Something: show the list")
    if label in OTHER and rare.get_attribute("open") is None:
        rare.locator("summary").tap()
    exact = re.compile(rf"^{re.escape(label)}$")
    if label in ("Quiet", "Mixed", "Loud") and page.get_by_text(label).is_hidden():
        page.get_by_text("Landing, distance and step rate").tap()
    page.locator(".c-option", has_text=exact).filter(visible=True).first.tap()


def score(page: Page, name: str, number: int) -> None:
    box = page.get_by_role("group", name=name, exact=True)
    if name in ("Pain during", "Pain after") and box.is_hidden():
        tick(page, "Some")
    box.locator("label").nth(number).tap()


def fill_in(page: Page) -> None:
    tick(page, TOLD)
    tick(page, "Nothing of the kind")
    score(page, "Effort of the whole session", 3)
    score(page, "Pain during", 1)
    score(page, "Pain after", 0)
    tick(page, "Quiet")


def without_id(text: str) -> str:
    """A message but for the id, which is another each time."""
    return re.sub(r"  id: [a-z]{10}\n", "", text)


def copied(page: Page) -> str:
    return without_id(page.evaluate("navigator.clipboard.readText()"))


def message(page: Page) -> str:
    """What is shown as the text that will be sent."""
    return without_id(str(page.locator("form [data-c-text]").text_content()))


FILLED = """Check-in ABCD-EFGH
- on: 2027-02-10
  ran: 16 min
  effort: 3
  pain: {during: 1, after: 0}
  landing: quiet
"""


# --- filling in


def test_today_s_session_is_chosen(page: Page):
    expect(page.get_by_label("Session")).to_have_value("wed-1")
    expect(page.locator("#c-session option:checked")).to_have_text("Today: Run to the beat, 30 min")


def test_what_was_filled_in_is_read_by_the_coach_s_tool(page: Page):
    fill_in(page)
    button(page, "Copy").tap()

    assert copied(page) == FILLED
    entries = read_log(FILLED.partition("\n")[2].encode(), "message").value
    assert entries is not None and entries[0].effort == 3


def test_no_answer_on_pain_or_signs_is_chosen_beforehand_and_both_are_asked_for(page: Page):
    tick(page, TOLD)
    for name in ("any", "hurt"):
        expect(page.locator(f"[name={name}]")).to_have_count(2)
        expect(page.locator(f"[name={name}]:checked")).to_have_count(0)
    button(page, "Copy").tap()
    wrong = page.locator("[data-c-wrong]")
    expect(wrong).to_contain_text("Say whether it hurt; “None” is an answer too.")
    expect(wrong).to_contain_text("Say whether there was anything out of the ordinary.")

    tick(page, "Some")
    tick(page, "Something: show the list")
    button(page, "Copy").tap()
    expect(wrong).to_contain_text("Say how much it hurt, during or after.")
    expect(wrong).to_contain_text("Tick what there was in the list")
    tick(page, "None")
    tick(page, "Nothing of the kind")
    expect(wrong).to_be_empty()
    assert message(page).endswith("  ran: 16 min\n  pain: {during: 0, after: 0}\n")


def test_nothing_of_the_kind_takes_ticks_back(page: Page):
    tick(page, TOLD)
    tick(page, "Chest pain")
    tick(page, "Nothing of the kind")
    assert "signs" not in message(page)
    tick(page, "Something: show the list")
    expect(page.get_by_text("Stop now.")).to_be_hidden()


def test_every_target_is_big_enough_for_a_thumb(page: Page):
    fill_in(page)
    boxes = page.locator(
        ".c-checkin :is(button, select, textarea, summary, input, .c-option, .c-number)"
    ).filter(visible=True)

    sizes = boxes.evaluate_all(
        "(all) => all.map((e) => [e.outerHTML.slice(0, 80), e.getBoundingClientRect().width,"
        " e.getBoundingClientRect().height])"
    )
    assert len(sizes) > 40
    assert [s for s in sizes if s[1] < 44 or s[2] < 44] == []


def test_the_scale_says_its_words(page: Page):
    tick(page, TOLD)
    effort = page.get_by_role("group", name="Effort of the whole session")
    ends = "0: rest … 10: maximal"
    words = {0: "0: rest", 1: "1: very very easy", 2: "2: easy", 3: "3: moderate",
             4: "4: somewhat hard", 5: "5: hard", 6: ends, 7: "7: very hard", 8: ends,
             9: ends, 10: "10: maximal"}  # fmt: skip
    for number, word in words.items():
        score(page, "Effort of the whole session", number)
        expect(effort.locator("[data-c-word]")).to_have_text(word)
    score(page, "Pain during", 10)
    expect(page.get_by_text("10: worst imaginable", exact=True)).to_be_visible()
    expect(effort.get_by_role("radio", name="3 moderate", exact=True)).to_have_count(1)
    expect(effort.get_by_role("radio", name="6", exact=True)).to_have_count(1)


def test_the_place_is_asked_only_where_it_hurts(page: Page):
    tick(page, TOLD)
    expect(page.get_by_label("Where does it hurt?")).to_be_hidden()
    score(page, "Pain after", 2)
    page.get_by_label("Where does it hurt?").fill('left "outer" knee')
    assert '  pain: {after: 2, site: "left \\"outer\\" knee"}\n' in message(page)


def test_pain_over_five_is_answered(page: Page):
    tick(page, TOLD)
    score(page, "Pain during", 5)
    warning = page.locator("form").get_by_text("Over 5 is too much.")
    expect(warning).to_be_hidden()
    score(page, "Pain during", 6)
    expect(warning).to_be_visible()


def test_what_is_missing_is_said_and_focused(page: Page):
    tick(page, SHORTER)
    button(page, "Copy").tap()
    expect(page.get_by_text("Write the minutes that you ran")).to_be_visible()
    expect(page.get_by_label("Minutes of running")).to_be_focused()
    expect(page.locator("[data-c-sure]").filter(visible=True)).to_have_count(0)

    page.get_by_label("Minutes of running").fill("30")
    page.get_by_text("Landing, distance and step rate").click()
    page.get_by_label("Steps a minute, both feet").fill("82")
    button(page, "Copy").tap()
    expect(page.get_by_text("If one foot was counted, double it.")).to_be_visible()
    expect(page.get_by_text("Write the minutes that you ran")).to_have_count(0)


def test_what_was_told_goes_once_it_is_mended(page: Page):
    fill_in(page)
    tick(page, SHORTER)
    minutes = page.get_by_label("Minutes of running")
    page.get_by_label("Steps a minute, both feet").fill("82")
    button(page, "Copy").tap()
    expect(page.get_by_text("Write the minutes that you ran")).to_be_visible()
    expect(page.get_by_text("If one foot was counted, double it.")).to_be_visible()

    minutes.fill("30")
    expect(page.get_by_text("Write the minutes that you ran")).to_have_count(0)
    expect(page.get_by_text("If one foot was counted, double it.")).to_be_visible()
    page.get_by_label("Steps a minute, both feet").fill("164")
    expect(page.locator("[data-c-wrong]")).to_be_empty()
    expect(page.locator("[aria-invalid]")).to_have_count(0)

    minutes.fill("")
    expect(page.locator("[data-c-wrong]")).to_be_empty()


def test_a_skipped_session_asks_why_and_no_more(page: Page):
    tick(page, "Not done")
    expect(page.get_by_text("Effort of the whole session")).to_be_hidden()
    tick(page, "Travel")
    assert message(page) == "Check-in ABCD-EFGH\n- on: 2027-02-10\n  skipped: travel\n"


def test_strength_is_done_not_run(page: Page):
    page.get_by_label("Session").select_option("tue-1")
    tick(page, "Done as told")
    expect(page.get_by_text("Shorter")).to_be_hidden()
    expect(page.get_by_label("Minutes of running")).to_be_hidden()
    score(page, "Effort of the whole session", 4)
    assert message(page) == "Check-in ABCD-EFGH\n- on: 2027-02-09\n  effort: 4\n"


def test_a_day_of_walking_alone_is_told_as_walked(context: BrowserContext, tmp_path: Path):
    """In as few taps as a run, and a shorter walk asks for minutes of walking."""
    walk = session("wed-1", WEDNESDAY, "walk", WARM_UP, ["walk", 30, 1, None], COOL_DOWN)
    week = {"number": 1, "start": "2027-02-08", "kind": "return", "cadence_spm": [156, 161, 166]}
    weeks = [week | {"sessions": [walk | {"walk_minutes": 30}]}]
    write_page(tmp_path, "checkin", "Check-in", weeks=weeks)
    with served(tmp_path) as url:
        for page in opened(context, f"{url}/checkin.html"):
            expect(page.get_by_label("Session")).to_contain_text("Today: Walk, 40 min")
            tick(page, SHORTER)
            button(page, "Copy").tap()
            expect(page.get_by_text("Write the minutes that you walked")).to_be_visible()
            expect(page.get_by_label("Minutes of walking")).to_be_focused()
            tick(page, "Done as told: 30 min of walking")
            tick(page, "Nothing of the kind")
            tick(page, "None")
            button(page, "Copy").tap()
            expect(page.get_by_text("Copied.")).to_be_visible()
            told = "- on: 2027-02-10\n  walked: 30 min\n  pain: {during: 0, after: 0}\n"
            assert copied(page) == f"Check-in ABCD-EFGH\n{told}"


def test_a_run_that_was_not_planned_has_its_own_day(page: Page):
    page.get_by_label("Session").select_option("extra")
    expect(page.get_by_label("Day", exact=True)).to_have_value(WEDNESDAY)
    page.get_by_label("Day", exact=True).fill("2027-02-07")
    expect(page.get_by_role("group", name="How did it go?")).to_be_hidden()
    page.get_by_label("Minutes of running").fill("20")
    assert message(page) == "Check-in ABCD-EFGH\n- on: 2027-02-07\n  ran: 20 min\n"

    page.get_by_label("Day", exact=True).fill("2027-02-11")
    button(page, "Copy").tap()
    expect(page.get_by_text("That day hasn't come yet.")).to_be_visible()


def test_the_counted_rate_comes_in(page: Page):
    tick(page, TOLD)
    page.evaluate(
        "document.dispatchEvent(new CustomEvent('portal:cadence', { detail: { spm: 164 } }))"
    )
    expect(page.get_by_label("Steps a minute, both feet")).to_have_value("164")
    assert "  cadence: 164 spm\n" in message(page)
    page.reload()
    expect(page.get_by_label("Steps a minute, both feet")).to_have_value("164")


def test_the_keyboard_alone_fills_and_sends(page: Page):
    page.get_by_label("Session").focus()
    for key in ["Tab", "Space", "ArrowRight", "Tab", "Tab"]:  # shorter; past the run's own file
        page.keyboard.press(key)
    page.keyboard.type("12")
    for key in ["Tab", "Space", "Tab", *["ArrowRight"] * 4, "Tab", "Space"]:
        page.keyboard.press(key)
    assert "  ran: 12 min\n  effort: 4\n  pain: {during: 0, after: 0}\n" in message(page)
    for _ in range(40):
        page.keyboard.press("Tab")
        if button(page, "Copy").evaluate("(b) => b === document.activeElement"):
            break
    page.keyboard.press("Enter")
    expect(button(page, "Yes, it's sent")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("[data-c-sent]")).to_be_focused()


# --- signs


@pytest.mark.parametrize("sign", URGENT)
def test_an_urgent_sign_shows_the_emergency_number_before_sending(page: Page, sign: str):
    fill_in(page)
    tick(page, sign)
    advice = page.get_by_role("alert").filter(has_text="Stop now.")
    expect(advice).to_be_visible()
    expect(advice.get_by_role("link", name="112")).to_have_attribute("href", "tel:112")
    expect(advice).to_contain_text("see a doctor today")

    above = advice.bounding_box()
    copy = button(page, "Copy").bounding_box()
    assert above and copy and above["y"] + above["height"] <= copy["y"]
    expect(page.get_by_text("Is it sent?")).to_have_count(0)


@pytest.mark.parametrize("sign", OTHER)
def test_another_sign_sends_to_a_clinician_before_sending(page: Page, sign: str):
    tick(page, TOLD)
    tick(page, sign)
    expect(page.locator("[data-c-clinician]")).to_be_visible()
    expect(page.get_by_text("Stop now.")).to_be_hidden()


def test_an_urgent_sign_outranks_another_and_goes_with_its_tick(page: Page):
    tick(page, TOLD)
    tick(page, "A limp")
    tick(page, "Chest pain")
    expect(page.get_by_text("Stop now.")).to_be_visible()
    assert "  signs: [chest_pain, limp]\n" in message(page)
    tick(page, "Chest pain")
    expect(page.get_by_text("Stop now.")).to_be_hidden()
    expect(page.locator("[data-c-clinician]")).to_be_visible()


def test_signs_can_be_told_of_a_skipped_session_too(page: Page):
    tick(page, "Not done")
    tick(page, "Ill")
    tick(page, "Breathless at rest")
    expect(page.get_by_text("Stop now.")).to_be_visible()


@pytest.mark.parametrize("sign", some_of(URGENT, URGENT[0], URGENT[-1]))
def test_the_number_to_call_is_in_sight_as_soon_as_an_urgent_sign_is_ticked(page: Page, sign: str):
    tick(page, TOLD)
    tick(page, OTHER[-1])  # as far down the list as one can be
    tick(page, sign)

    expect(page.get_by_role("link", name="112")).to_be_in_viewport(ratio=1)
    expect(page.get_by_text("Stop now.")).to_be_in_viewport(ratio=1)


def test_with_less_motion_the_advice_is_there_at_once(page: Page):
    page.emulate_media(reduced_motion="reduce")
    page.evaluate("Element.prototype.scrollIntoView = (how) => { window.how = how; }")
    tick(page, TOLD)
    tick(page, "Fainting")

    assert page.evaluate("window.how.behavior") == "auto"


def test_signs_are_asked_before_the_numbers(page: Page):
    tick(page, TOLD)
    signs = page.get_by_role(
        "group", name="Anything out of the ordinary, in the run or since?"
    ).bounding_box()
    effort = page.get_by_role("group", name="Effort of the whole session").bounding_box()

    assert signs and effort and signs["y"] + signs["height"] <= effort["y"]


def test_without_a_known_number_the_local_one_is_named(context: BrowserContext, tmp_path: Path):
    write_page(tmp_path, "checkin", "Check-in", emergency=None)
    with served(tmp_path) as url:
        for page in opened(context, f"{url}/checkin.html"):
            tick(page, TOLD)
            tick(page, "Chest pain")
            number = page.locator("[data-c-emergency] [data-c-number]")
            expect(number).to_have_text("your local emergency number")
            expect(number).to_be_visible()


# --- drafts and sending


def test_a_draft_stays_through_a_reload_until_it_is_sent(page: Page):
    fill_in(page)
    page.get_by_label("A few words, if you like").fill("Windy.\nFelt fine.")
    expect(page.get_by_text("Kept on this device until you send it.")).to_be_visible()
    page.reload()
    assert message(page) == FILLED + '  said: "Windy.\\nFelt fine."\n'

    button(page, "Copy").tap()
    button(page, "Not yet").tap()
    page.reload()
    assert message(page).startswith(FILLED)

    button(page, "Copy").tap()
    button(page, "Yes, it's sent").tap()
    expect(page.locator("[data-c-sent]")).to_be_visible()
    page.reload()
    expect(page.get_by_label("Session")).to_have_value("tue-1")  # the next one not sent yet
    page.get_by_label("Session").select_option("wed-1")
    expect(page.get_by_role("radio", name=TOLD)).not_to_be_checked()
    assert "Windy" not in message(page)


def test_a_draft_is_kept_where_forget_on_this_device_finds_it(page: Page):
    fill_in(page)
    names = page.evaluate("Object.keys(localStorage).sort()")
    assert names == ["portal.test.checkin", "stop.test"]


def test_what_was_forgotten_stays_forgotten(page: Page):
    fill_in(page)
    page.evaluate("localStorage.clear()")
    page.clock.set_fixed_time("2027-02-11T07:30:00")
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    expect(page.get_by_label("Session")).to_have_value("wed-1")
    assert page.evaluate("Object.keys(localStorage)") == []


def test_a_draft_is_made_and_kept_without_reception(page: Page, context: BrowserContext):
    context.set_offline(True)
    fill_in(page)
    button(page, "Copy").tap()
    assert copied(page) == FILLED
    context.set_offline(False)
    page.reload()
    assert message(page) == FILLED


def test_the_draft_of_another_session_is_not_lost(page: Page):
    page.get_by_label("Session").select_option("mon-1")
    tick(page, SHORTER)
    page.get_by_label("Minutes of running").fill("24")
    page.get_by_label("Session").select_option("wed-1")
    expect(page.get_by_role("radio", name=TOLD)).not_to_be_checked()
    expect(page.get_by_role("heading", name="Kept on this device")).to_be_visible()

    button(page, "Go on: Mon 8 Feb: Easy run, 34 min").tap()
    expect(page.get_by_label("Minutes of running")).to_have_value("24")
    expect(page.get_by_role("heading", name="Kept on this device")).to_be_hidden()


def test_what_is_sent_is_listed_and_can_be_sent_again_until_a_build_lists_it(page: Page):
    fill_in(page)
    text = message(page)
    send(page)
    kept = page.get_by_role("region", name="Kept on this device")
    expect(kept).to_contain_text("Today: Run to the beat, 30 min")
    expect(kept).to_contain_text("sent; your coach's plan doesn't list it yet")

    kept.get_by_role("button", name="Send it again: Today: Run to the beat").tap()
    assert without_id(str(kept.locator("[data-c-text]").text_content())) == text
    kept.get_by_role("button", name="Copy").tap()
    assert copied(page) == text
    button(page, "Yes, it's sent").tap()
    expect(page.locator("[data-c-sent]")).to_be_focused()

    record = page.evaluate("localStorage.getItem('portal.test.checkin')")
    taken = json.loads(record)["sent"]["wed-1"]["id"]
    page.evaluate(
        "id => { portal.data.reacts.taken.push(id); portal.today = () => '2027-02-11'; }", taken
    )
    page.evaluate("document.dispatchEvent(new CustomEvent('portal:day'))")
    expect(kept).to_be_hidden()
    assert "text" not in page.evaluate("localStorage.getItem('portal.test.checkin')")


def test_a_draft_of_a_session_that_is_gone_can_still_be_sent(page: Page):
    """A newer plan may have it on no day any more; what was told of it must reach the coach."""
    tick(page, SHORTER)
    page.get_by_label("Minutes of running").fill("9")
    tick(page, OTHER[0])
    score(page, "Effort of the whole session", 3)
    tick(page, "None")
    page.evaluate(
        """() => { const r = JSON.parse(localStorage["portal.test.checkin"]);
            r.drafts.gone = r.drafts["wed-1"]; delete r.drafts["wed-1"]; r.open = "";
            localStorage["portal.test.checkin"] = JSON.stringify(r); }"""
    )
    page.reload()
    names = page.locator("[data-c-session] option")
    assert names.all_text_contents().count("A run that wasn't planned") == 1, "it bears its day"
    button(page, "Go on: Wed 10 Feb").tap()
    expect(page.get_by_label("Minutes of running")).to_have_value("9")
    expect(page.get_by_label("Day", exact=True)).to_have_value(WEDNESDAY)
    send(page)
    text = page.locator("[data-c-sent-text]").text_content()
    assert text is not None and f"on: {WEDNESDAY}\n  ran: 9 min\n" in text and "signs: [" in text
    expect(page.get_by_label("Session")).to_have_value("wed-1")
    record = json.loads(page.evaluate("localStorage['portal.test.checkin']"))
    assert record["drafts"] == {} and list(record["sent"]) == ["gone"]


def test_tomorrow_s_question_is_announced_only_where_it_comes(page: Page):
    announced = page.get_by_text("Tomorrow morning this page asks")
    fill_in(page)
    send(page)
    expect(announced).to_be_visible()

    page.get_by_label("Session").select_option("tue-1")
    tick(page, "Not done")
    tick(page, "No time")
    tick(page, "Nothing of the kind")
    send(page)
    expect(page.get_by_text("Thank you.")).to_be_visible()
    expect(announced).to_be_hidden()


def test_emptying_takes_the_draft_away(page: Page):
    fill_in(page)
    button(page, "Empty this check-in").tap()
    page.reload()
    expect(page.get_by_role("radio", name=TOLD)).not_to_be_checked()


def test_emptying_asks_first_where_words_were_written(page: Page):
    """One tap beside another took a whole note away, and nothing brought it back."""
    fill_in(page)
    said = page.get_by_label("A few words, if you like")
    said.fill("The knee was quiet.")
    page.once("dialog", lambda asks: asks.dismiss())
    button(page, "Empty this check-in").tap()
    expect(said).to_have_value("The knee was quiet.")

    page.once("dialog", lambda asks: asks.accept())
    button(page, "Empty this check-in").tap()
    expect(said).to_have_value("")


def test_the_share_sheet_takes_the_text_and_a_closed_sheet_keeps_it(page: Page):
    page.add_init_script(SHARES)
    page.reload()
    fill_in(page)
    page.evaluate("window.refuse = true")
    button(page, "Share").tap()
    expect(page.get_by_text("Nothing was sent. It is still kept here.")).to_be_visible()
    page.evaluate("window.refuse = false")
    button(page, "Share").tap()
    expect(page.get_by_text("The page can't see whether it went.")).to_be_visible()
    expect(page.locator("[data-c-sent]")).to_be_hidden()
    button(page, "Yes, it's sent").tap()

    expect(page.locator("[data-c-sent]")).to_be_visible()
    assert [without_id(t) for t in page.evaluate("window.shared")] == [FILLED]


def test_mail_carries_the_text_to_the_coach(page: Page):
    fill_in(page)
    mail = page.get_by_role("link", name="Mail", exact=True)
    page.evaluate("""document.addEventListener("click", (e) => e.preventDefault())""")
    mail.tap()

    href = str(mail.get_attribute("href"))
    assert href.startswith("mailto:robin@example.org?subject=Check-in%20ABCD-EFGH&body=")
    body = page.evaluate("(href) => new URL(href).searchParams.get('body')", href)
    assert without_id(body.replace("\r\n", "\n")) == FILLED
    assert body.count("\n") == body.count("\r\n")
    expect(page.get_by_text("where you press send. Is it sent?")).to_be_visible()


def test_a_coach_with_a_telephone_gets_a_text_message(context: BrowserContext, tmp_path: Path):
    coach = {"name": "Robin", "contact": "+351 210 000 000", "href": "tel:+351210000000"}
    write_page(tmp_path, "checkin", "Check-in", coach=coach)
    with served(tmp_path) as url:
        for page in opened(context, f"{url}/checkin.html"):
            tick(page, TOLD)
            link = page.get_by_role("link", name="Text message")
            assert str(link.get_attribute("href")).startswith("sms:+351210000000?body=")


def test_what_the_coach_has_taken_in_is_not_asked_again(context: BrowserContext, tmp_path: Path):
    write_page(tmp_path, "checkin", "Check-in", logged=logged(ran=[WEDNESDAY]))
    with served(tmp_path) as url:
        for page in opened(context, f"{url}/checkin.html"):
            expect(page.get_by_label("Session")).to_have_value("tue-1")
            page.get_by_label("Session").select_option("wed-1")
            expect(page.get_by_text("You sent a check-in for this session.")).to_be_visible()


def test_a_browser_that_keeps_nothing_says_so(page: Page):
    page.add_init_script(
        "Object.defineProperty(window, 'localStorage', { get() { throw new Error('no'); } })"
    )
    page.reload()
    fill_in(page)
    expect(page.get_by_text("This browser keeps no drafts.")).to_be_visible()
    assert message(page) == FILLED


def test_a_page_from_disk_works_too(context: BrowserContext, folder: Path):
    for page in opened(context, (folder / "checkin.html").as_uri()):
        fill_in(page)
        page.reload()
        assert message(page) == FILLED


def test_what_a_browser_does_not_copy_can_be_told_as_sent_all_the_same(page: Page):
    """It was to be copied by hand, and then stood as begun for ever."""
    page.evaluate(
        "() => { Object.defineProperty(navigator, 'clipboard', {});"
        " document.execCommand = () => false; }"
    )
    fill_in(page)
    button(page, "Copy").tap()
    expect(page.get_by_text("copy it by hand")).to_be_visible()
    expect(button(page, "Copy")).to_be_focused()
    button(page, "Yes, it's sent").tap()
    expect(page.locator("[data-c-sent]")).to_be_visible()


# --- the morning after


def send(page: Page) -> None:
    button(page, "Copy").tap()
    button(page, "Yes, it's sent").tap()


def test_the_morning_s_question_comes_the_next_morning_once(page: Page):
    fill_in(page)
    send(page)
    question = page.get_by_role("region", name="The morning after")
    expect(question).to_be_hidden()

    page.clock.set_fixed_time("2027-02-11T07:30:00")
    page.reload()
    expect(question).to_be_visible()
    expect(question).to_contain_text("Wed 10 Feb")
    expect(button(question, "Copy")).to_have_count(0)
    score(page, "How much pain this morning?", 2)
    button(question, "Copy").tap()
    text = copied(page)
    assert text == "Check-in ABCD-EFGH\n- on: 2027-02-10\n  pain: {next_morning: 2}\n"

    button(question, "Yes, it's sent").tap()
    expect(question).to_be_hidden()
    page.reload()
    expect(question).to_be_hidden()


def test_what_was_told_of_a_morning_is_there_again_and_stops_until_it_is_sent(page: Page):
    """A reload emptied the question, and ended the stop that its score had called for."""
    fill_in(page)
    send(page)
    page.clock.set_fixed_time("2027-02-11T07:30:00")
    page.reload()
    question = page.get_by_role("region", name="The morning after")
    score(page, "How much pain this morning?", 8)
    score(page, "And in walking?", 4)
    for day in ("2027-02-11", "2027-02-14"):
        page.clock.set_fixed_time(f"{day}T07:30:00")
        page.reload()
        expect(question).to_contain_text("Wed 10 Feb")
        kept = json.loads(page.evaluate("portal.own.get('stop')"))
        assert [one["worst"] for one in kept if one.get("draft") == "morning"] == [8]

    button(question, "Copy").tap()
    assert "- on: 2027-02-10\n  pain: {next_morning: 8, walking: 4}\n" in copied(page)
    button(question, "Yes, it's sent").tap()
    expect(question).to_be_hidden()
    page.reload()
    expect(question).to_be_hidden()


@pytest.mark.parametrize("night", ["2027-02-11T00:10:00", "2027-02-11T03:59:00"])
def test_after_midnight_it_is_not_the_next_morning_yet(page: Page, night: str):
    """Ten minutes after a late run "none" was told of the next morning, which asked no more."""
    tick(page, TOLD)
    page.clock.set_fixed_time(night)
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    tick(page, "Nothing of the kind")
    score(page, "Effort of the whole session", 3)
    tick(page, "None")
    assert "on: 2027-02-10\n" in message(page) and "pain: {during: 0, after: 0}\n" in message(page)
    send(page)
    question = page.get_by_role("region", name="The morning after")
    expect(question).to_be_hidden()
    expect(page.get_by_text("Tomorrow morning this page asks")).to_be_visible()

    page.clock.set_fixed_time("2027-02-11T07:30:00")
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    expect(question).to_contain_text("Wed 10 Feb")


def test_the_question_comes_to_a_page_left_open_over_night(page: Page):
    fill_in(page)
    send(page)
    page.clock.set_fixed_time("2027-02-11T07:30:00")
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    expect(page.get_by_role("region", name="The morning after")).to_be_visible()


@pytest.mark.parametrize("later", ["2027-02-10T23:59:00", "2027-02-12T07:30:00"])
def test_the_question_comes_neither_the_same_day_nor_two_days_later(page: Page, later: str):
    fill_in(page)
    send(page)
    page.clock.set_fixed_time(later)
    page.reload()
    expect(page.get_by_role("region", name="The morning after")).to_be_hidden()


def test_a_skipped_session_has_no_morning_after(page: Page):
    tick(page, "Not done")
    tick(page, "Ill")
    send(page)
    page.clock.set_fixed_time("2027-02-11T07:30:00")
    page.reload()
    expect(page.get_by_role("region", name="The morning after")).to_be_hidden()


def test_a_check_in_sent_the_day_after_asks_the_morning_along_with_it(page: Page):
    fill_in(page)
    page.clock.set_fixed_time("2027-02-11T07:30:00")
    page.reload()
    expect(page.get_by_label("Session")).to_have_value("wed-1")
    score(page, "Pain the next morning", 3)
    assert "pain: {during: 1, after: 0, next_morning: 3}\n" in message(page)
    send(page)
    expect(page.get_by_role("region", name="The morning after")).to_be_hidden()


# --- looks that can be measured


def test_nothing_runs_off_the_side(page: Page):
    fill_in(page)
    for sign in (*URGENT, *OTHER):
        tick(page, sign)
    page.get_by_label("A few words, if you like").fill("x" * 300)
    for summary in page.locator("summary").filter(visible=True).all():
        summary.click()
    for width in (320, 390, 768, 1280):
        page.set_viewport_size({"width": width, "height": 844})
        assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_markup_has_no_style_or_handler_of_its_own(folder: Path):
    html = (folder / "checkin.html").read_text()
    assert not re.search(r"\son[a-z]+=|\sstyle=|<style|javascript:", html)
    used: list[Any] = re.findall(r'id="([^"]+)"', html)
    assert len(used) == len(set(used))


# --- a day without a run


def test_a_morning_without_a_run_and_walking_and_an_illness_that_is_over(page: Page):
    page.get_by_label("Session").select_option("day")
    expect(page.get_by_role("group", name="How did it go?")).to_be_hidden()
    button(page, "Copy").tap()
    expect(page.get_by_text("Say how the morning is, or tick what is so.")).to_be_visible()

    score(page, "Pain this morning", 1)
    score(page, "Pain in walking", 0)
    tick(page, "I was ill, and it is over")
    expect(page.locator("[data-c-wrong]")).to_be_empty()
    assert message(page) == (
        "Check-in ABCD-EFGH\n- on: 2027-02-10\n"
        "  pain: {next_morning: 1, walking: 0}\n  well_again: yes\n"
    )
    page.reload()
    expect(page.get_by_label("Session")).to_have_value("day")
    assert "  well_again: yes\n" in message(page)


def test_where_the_plan_waits_the_day_without_a_run_is_offered_first(
    context: BrowserContext, tmp_path: Path
):
    write_page(tmp_path, "checkin", "Check-in", status="paused", weeks=[])
    with served(tmp_path) as url:
        for page in opened(context, f"{url}/checkin.html"):
            expect(page.get_by_label("Session")).to_have_value("day")


def test_fever_says_not_to_run_and_a_pain_of_eight_asks_for_a_clinician(page: Page):
    tick(page, "Not done")
    tick(page, "Ill")
    tick(page, "Fever")
    expect(page.get_by_text("Don't run while it lasts.")).to_be_visible()
    assert message(page).endswith("  signs: [fever]\n  skipped: ill\n")

    tick(page, "Pain")
    score(page, "Pain in walking", 8)
    expect(page.locator("form").get_by_text("8 and more: stop running")).to_be_visible()
    assert "  pain: {walking: 8}\n" in message(page)


# --- signed


def test_a_page_with_a_key_signs_what_it_sends(tmp_path: Path, context: BrowserContext):
    """The key is that of test_checkin_signed.py; the letters stand there before a tap."""
    write_page(tmp_path, "checkin", "Check-in", signing=to_base64url(KEY))
    with served(tmp_path) as url:
        for page in opened(context, f"{url}/checkin.html"):
            fill_in(page)
            expect(page.locator("form [data-c-text]")).to_contain_text("signed: ")
            button(page, "Copy").tap()
            text = page.evaluate("navigator.clipboard.readText()")

            assert signed(LINK, sound_of(text).tree) == "yes"
