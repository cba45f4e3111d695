"""After a check-in with a sign the page itself stops, in Chromium, until a build knows better."""

from __future__ import annotations

import os
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from chromium import needs_chromium
from js.view_page import served
from portal_builder import AS_OF, PORTAL, make_case, make_plan, write_site
from sitegen.care import sentences
from sitegen.model.plan import Decision
from sitegen.model.sentence import say

sync_api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
expect = sync_api.expect
pytestmark = needs_chromium

VIEWS = ("now", "weeks", "drills", "beat", "cadence", "checkin", "care")
HIDDEN = ("now", "weeks", "drills", "beat")
MOMENT = datetime(2027, 2, 9, 9)
OPEN = "html[data-ready]"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    write_site(tmp_path)
    return tmp_path


@pytest.fixture
def page(browser: Any, folder: Path) -> Iterator[Any]:
    context = browser.new_context(
        viewport={"width": 390, "height": 844},
        timezone_id="Europe/Lisbon",
        permissions=["clipboard-read", "clipboard-write"],
    )
    with served(folder) as address:
        page = context.new_page()
        page.clock.install(time=MOMENT)
        page.goto(f"{address}/{PORTAL}/#checkin")
        page.wait_for_selector(OPEN, state="attached")
        yield page
    context.close()


def fill_in(page: Any, sign: str = "", during: int | None = None) -> None:
    page.goto(page.url.split("#")[0] + "#checkin")
    if page.locator("[data-c-session]").input_value() == "day":
        page.select_option("[data-c-session]", "extra")
    if page.locator("[data-c-did-row]").is_visible():
        page.locator("[name=did][value=shorter]").check()
    page.locator("[name=ran]").fill("30")
    page.locator(f"[name=any][value={'some' if sign else 'none'}]").check()
    page.locator(f"[name=hurt][value={'none' if during is None else 'some'}]").check()
    if sign:
        tick(page, sign)
    if during is not None:
        page.locator(f"[name=during][value='{during}']").check()


def tick(page: Any, sign: str) -> None:
    """Ticks a sign, or takes it back; it may stand in a list that is folded."""
    page.locator(f"[name=signs][value={sign}]").evaluate("box => box.click()")


def send(page: Any) -> str:
    """By copying; gives the id that the message carries."""
    page.locator("[data-c-form] [data-c-copy]").click()
    page.locator("[data-c-form] [data-c-sure-yes]").click()
    text = page.locator("[data-c-sent-text]").text_content()
    return str(text.split("  id: ")[1].split()[0])


def reloaded(page: Any) -> Any:
    page.reload()
    page.wait_for_selector(OPEN, state="attached")
    return page


def left_and_come_back(page: Any, how: str) -> None:
    if how == "reload":
        reloaded(page)
    elif how == "another session":
        chosen = page.locator("[data-c-session]").input_value()
        page.select_option("[data-c-session]", "day")
        page.select_option("[data-c-session]", chosen)
    else:
        page.evaluate("portal.go('now')")
        page.evaluate("portal.go('checkin')")


def stop(page: Any) -> Any:
    return page.locator("#device-stop")


def built(
    folder: Path, *log: dict[str, Any], plan: dict[str, Any] | None = None, **client: Any
) -> None:
    """A build a minute after the one before, as a server tells files' times in whole seconds."""
    file = folder / PORTAL / "index.html"
    before = file.stat().st_mtime
    write_site(folder, make_case(log=log, **client), make_plan(**(plan or {})))
    os.utime(file, (before + 60, before + 60))


def stopped_by(line: str) -> dict[str, Any]:
    """Of a plan that a sign stopped, as another device's or a mail told of it."""
    decision = Decision("signs", say(line, sign="Chest pain"), source="usual red flags")
    return {"status": "referred", "decisions": (decision,), "weeks": ()}


def test_an_urgent_sign_that_was_sent_stands_on_top_of_every_view(page: Any):
    expect(stop(page)).to_be_hidden()
    fill_in(page, "chest_pain")
    send(page)

    for view in VIEWS:
        page.evaluate("place => portal.go(place)", view)
        expect(page.locator("html")).to_have_attribute("data-view", view)
        expect(stop(page)).to_contain_text("Call for help now")
        expect(stop(page).locator("a.call:visible")).to_have_count(1)
        if view in HIDDEN:
            expect(page.locator(f"#{view} > :not(.title):visible")).to_have_count(0)
    expect(stop(page)).to_contain_text("Your coach has not taken in your check-in yet")
    stop(page).get_by_role("link", name="Send it again").click()
    expect(page.locator("[data-c-resend] [data-c-text]")).to_contain_text("signs: [chest_pain]")


def test_the_stop_is_there_again_after_a_reload(page: Any):
    fill_in(page, "chest_pain")
    send(page)

    expect(stop(reloaded(page)).locator("[data-grade=now]")).to_be_visible()


def test_words_that_cannot_wait_are_answered_where_they_are_written(page: Any):
    """Both languages; what the coach's side finds in them: test_reacting."""
    fill_in(page)
    page.wait_for_function("portalParts.worries && portalParts.wordLists")
    said, advice = page.locator("#c-said"), page.locator("[data-c-said-row] + [data-c-advice]")
    for text, found, box in (
        ("Tightness across my chest.", "tightness across my chest", "emergency"),
        ("My calf is hard and warm.", "calf is hard and warm", "clinician"),
        ("Casi me desplomo.", "casi me desplomo", "emergency"),
        ("I don't want to live.", "dont want to live", "harm"),
    ):
        said.fill(text)
        expect(advice.locator("[data-c-found]")).to_contain_text(f"“{found}”")
        expect(advice.locator(f"[data-c-{box}]")).to_be_visible()
        expect(advice.locator(":scope > div:visible")).to_have_count(1)
    expect(stop(page)).to_contain_text("Talk to somebody today.")

    said.fill("No chest pain. The calf sleeves are red.")
    expect(stop(page)).to_be_hidden()
    expect(page.locator("[data-c-advice]")).to_be_hidden()
    said.fill("I fainted.")
    send(page)
    expect(stop(reloaded(page))).to_contain_text("Call for help now")
    kept = page.evaluate("portal.own.get('stop')")
    assert '"fainting"' in kept and "I fainted" not in kept


def test_once_an_illness_is_told_the_check_in_is_of_a_day_without_a_run(page: Any):
    """It offered a run that wasn't planned, below words that nobody runs."""
    fill_in(page, "fever")
    send(page)
    expect(reloaded(page).locator("[data-c-session]")).to_have_value("day")
    expect(page.get_by_text("I was ill, and it is over")).to_be_visible()


def test_a_tick_counts_before_it_is_sent_and_goes_when_it_is_taken_back(page: Any):
    fill_in(page, "chest_pain")
    expect(stop(page)).to_contain_text("in a check-in that is not sent yet")

    tick(page, "chest_pain")
    expect(stop(page)).to_be_hidden()


@pytest.mark.parametrize("sign", ["chest_pain", "limp", "fever"])
@pytest.mark.parametrize("how", ["reload", "another session", "another view"])
def test_a_tick_that_was_left_and_come_back_to_stays_until_the_coach_has_it(
    page: Any, how: str, sign: str
):
    """One tap ended an urgent stop, days after it was ticked; an illness is the client's to end."""
    fill_in(page, sign)
    left_and_come_back(page, how)
    note = page.locator("[data-c-stays]")
    expect(note).to_be_hidden()
    tick(page, sign)
    if sign == "fever":
        expect(stop(page)).to_be_hidden()
        return

    expect(note).to_be_visible()
    expect(stop(page)).to_be_visible()
    page.locator("[name=any][value=none]").click()
    page.locator("[data-c-clear]").click()
    expect(stop(page)).to_be_visible()
    assert page.locator("[name=ran]").input_value() == "", "the rest of it went"
    page.locator("[name=ran]").fill("30")
    page.locator("[name=hurt][value=none]").check()
    page.locator("#c-said").fill("The tick was a mistake.")
    send(page)
    sent = page.locator("[data-c-sent-text]")
    expect(sent).to_contain_text(f"signs: [{sign}]")
    expect(sent).to_contain_text("mistake")


@pytest.mark.parametrize("how", ["reload", "another session", "another view"])
def test_words_that_were_left_and_come_back_to_stay_told(page: Any, how: str):
    """Erased, they ended a stop for self-harm, which has no tick, and nobody heard of it."""
    fill_in(page)
    page.wait_for_function("portalParts.worries && portalParts.wordLists")
    said, note = page.locator("#c-said"), page.locator("[data-c-stays]")
    said.fill("Fainted.")
    said.fill("I want to die. And fever since.")
    left_and_come_back(page, how)
    page.wait_for_function("portalParts.worries && portalParts.wordLists")
    expect(note).to_be_hidden()
    said.fill("Windy.")
    expect(note).to_be_visible()
    expect(stop(page)).to_contain_text("Talk to somebody today.")
    page.once("dialog", lambda asks: asks.accept())
    page.locator("[data-c-clear]").click()
    expect(stop(page)).to_contain_text("Talk to somebody today.")
    left_and_come_back(page, how)
    expect(said).to_have_value("want to die")
    said.fill("It was a joke.")
    page.locator("[name=ran]").fill("30")
    page.locator("[name=hurt][value=none]").check()
    page.locator("[name=any][value=none]").check()
    send(page)
    sent = page.locator("[data-c-sent-text]")
    expect(sent).to_contain_text("It was a joke.\\n\\nwant to die")
    expect(sent).not_to_contain_text("ainted")


@pytest.mark.parametrize(
    ("sign", "during", "says"),
    [
        ("limp", None, "See a clinician today"),
        ("", 8, "See a clinician today"),
        ("", 6, "Two days without running"),
        ("fever", None, "Rest while you are ill"),
        ("", 5, ""),
    ],
)
def test_each_grade_has_its_words(
    page: Any, folder: Path, sign: str, during: int | None, says: str
):
    built(folder)  # without a log: the other runner's pain would count
    reloaded(page)
    fill_in(page, sign, during)

    if says:
        expect(stop(page).locator("[data-grade]:visible .big")).to_contain_text(says)
    else:
        expect(stop(page)).to_be_hidden()


def test_only_a_build_that_took_it_lifts_it(page: Any, folder: Path):
    fill_in(page, during=7)
    taken = {"on": "2027-02-09", "ran": "30 min", "pain": {"during": 7}, "id": send(page)}
    built(folder, taken | {"id": "zzzzzzzzzz"})
    expect(stop(reloaded(page))).to_be_visible()

    built(folder, taken)
    expect(stop(reloaded(page))).to_be_hidden()
    built(folder)
    expect(stop(reloaded(page))).to_be_hidden()


def test_an_urgent_stop_goes_only_when_it_is_freed(page: Any, folder: Path):
    fill_in(page, "chest_pain")
    taken = {"on": "2027-02-09", "ran": "30 min", "signs": ["chest_pain"], "id": send(page)}
    built(folder, taken)
    expect(stop(reloaded(page))).to_contain_text("Call for help now")

    lift = {"on": "2027-02-10", "lifts": "chest_pain 2027-02-09", "seen_by": "a doctor"}
    built(folder, taken, changes=[lift | {"because": "seen"}])
    expect(stop(reloaded(page))).to_be_hidden()


@pytest.mark.parametrize("is_sent", [True, False], ids=["sent", "begun"])
def test_forgetting_ends_no_urgent_stop_and_says_so(page: Any, is_sent: bool):
    fill_in(page, "chest_pain")
    if is_sent:
        send(page)
    page.click("#forget")
    expect(page.locator("[data-stays]")).to_be_visible()
    page.click("#forget-yes")
    page.wait_for_selector("#forgotten", state="visible")

    expect(stop(reloaded(page)).locator("[data-grade=now]")).to_be_visible()
    page.evaluate("portal.go('checkin')")
    assert page.locator("[name=signs][value=chest_pain]").is_checked() is not is_sent


@pytest.mark.parametrize("is_old", [False, True], ids=["forgotten", "weeks later"])
def test_what_stops_can_be_sent_again_whatever_went_meanwhile(
    page: Any, folder: Path, is_old: bool
):
    fill_in(page, "limp", 4)
    id = send(page)
    if is_old:
        page.clock.set_system_time(datetime(2027, 4, 2, 9))
    else:
        page.click("#forget")
        page.click("#forget-yes")
        page.wait_for_selector("#forgotten", state="visible")
    reloaded(page)
    stop(page).get_by_role("link", name="Send it again").click()

    again = page.locator("[data-c-resend]")
    again.locator("[data-c-copy]").click()
    text = page.evaluate("navigator.clipboard.readText()")
    assert "on: 2027-02-09" in text and "signs: [limp]" in text and f"id: {id}" in text
    assert "during: 4" in text and ("ran: 30 min" in text) is is_old
    again.locator("[data-c-sure-yes]").click()
    built(folder, {"on": "2027-02-09", "signs": ["limp"], "pain": {"during": 4}, "id": id})
    expect(stop(reloaded(page))).to_be_hidden()


def test_a_milder_stop_of_the_device_hides_no_graver_one_of_the_plan(page: Any, folder: Path):
    built(folder, plan=stopped_by(sentences.LINE_NOW))
    reloaded(page)
    fill_in(page, "fever")
    for view in ("now", "weeks"):
        page.evaluate("place => portal.go(place)", view)
        expect(page.locator(f"#{view}")).to_contain_text("Call for help now")
        expect(page.locator(f"#{view} a.call").filter(visible=True)).not_to_have_count(0)
    expect(page.get_by_text("the plan goes on, easy").filter(visible=True)).to_have_count(0)

    built(folder, plan=stopped_by(sentences.LINE_ILL))
    reloaded(page)
    fill_in(page, "chest_pain")
    page.evaluate("portal.go('now')")
    expect(stop(page)).to_contain_text("Call for help now")
    expect(page.get_by_text("the plan goes on, easy").filter(visible=True)).to_have_count(0)


def test_who_has_said_that_an_illness_is_over_is_not_asked_to_say_so(page: Any, folder: Path):
    ill = stopped_by(sentences.LINE_ILL) | {"status": "paused"}
    built(folder, plan=ill)
    reloaded(page)
    asks = page.get_by_text("send a check-in when it is over").filter(visible=True)
    page.evaluate("portal.go('now')")
    expect(asks).to_have_count(1)
    page.evaluate("portal.go('checkin')")
    page.select_option("[data-c-session]", "day")
    page.locator("[name=well]").check()
    page.evaluate("portal.go('now')")
    expect(asks).to_have_count(1)
    page.evaluate("portal.go('checkin')")
    reminder = page.locator("#checkin > .stop")
    expect(reminder).to_be_visible()
    well = send(page)

    expect(stop(page)).to_be_visible()
    expect(reminder).to_be_hidden()
    page.evaluate("portal.go('now')")
    expect(asks).to_have_count(0)
    expect(stop(page)).to_contain_text("Do not run for one more day")
    expect(stop(page)).to_contain_text("Your coach has not taken in your check-in yet")
    taken = {"on": "2027-02-09", "well_again": "yes", "id": well}
    built(folder, taken, plan=stopped_by(sentences.LINE_ILL_OVER) | {"status": "paused"})
    expect(stop(reloaded(page))).to_be_hidden()
    page.evaluate("portal.go('now')")
    expect(page.get_by_text("Do not run for one more day").filter(visible=True)).to_have_count(1)


@pytest.mark.parametrize("status", ["paused", "referred"])
def test_a_plan_that_waits_is_not_told_to_be_run_shorter(page: Any, folder: Path, status: str):
    built(folder, plan={"status": status})
    fill_in(reloaded(page), during=4)
    expect(page.locator("[data-hold]:visible")).to_have_count(0)


def test_an_older_plan_than_the_one_that_took_it_lifts_nothing(page: Any, folder: Path):
    fill_in(page, "limp")
    taken = {"on": "2027-02-09", "ran": "30 min", "signs": ["limp"], "id": send(page)}
    built(folder, taken, plan={"as_of": AS_OF + timedelta(days=1)})
    expect(stop(reloaded(page))).to_be_hidden()
    built(folder)
    expect(stop(reloaded(page))).to_contain_text("See a clinician today")
    built(folder, plan={"as_of": AS_OF + timedelta(days=2)})
    expect(stop(reloaded(page))).to_be_hidden()

    page.click("#forget")
    page.click("#forget-yes")
    page.wait_for_selector("#forgotten", state="visible")
    assert page.evaluate("Object.keys(localStorage)") == []


def test_forgetting_leaves_nothing_of_a_check_in_that_stops_nothing(page: Any):
    fill_in(page, during=1)
    send(page)
    page.click("#forget")
    page.click("#forget-yes")
    page.wait_for_selector("#forgotten", state="visible")

    assert page.evaluate("Object.keys(localStorage)") == []


def test_a_check_in_kept_from_before_stops_nothing_and_is_sent_with_an_id(page: Any):
    page.evaluate(
        """() => localStorage.setItem("portal." + portal.id + ".checkin", JSON.stringify({
            drafts: {day: {did: "day", today: "1", on: "2027-02-09", signs: []}},
            sent: {"extra:2027-02-08": {on: "2027-02-08", ran: true, text: "x"}}, open: "day"}))"""
    )
    reloaded(page)
    expect(stop(page)).to_be_hidden()

    assert len(send(page)) == 10


def test_a_beat_that_runs_stops(page: Any):
    page.evaluate("portal.go('beat')")
    page.click("[data-b-start]")
    expect(page.locator("[data-b-pause]")).to_be_visible()
    fill_in(page, "chest_pain")
    page.evaluate("document.documentElement.removeAttribute('data-stopped'); portal.go('beat')")

    expect(page.locator("[data-b-start]")).to_be_visible()
    expect(page.locator("[data-b-pause]")).to_be_hidden()


def test_pain_that_holds_is_said_in_every_view_until_a_build_takes_it(page: Any, folder: Path):
    holds = page.locator("[data-hold]").filter(visible=True)
    fill_in(page, during=4)
    first = {"on": "2027-02-09", "ran": "30 min", "pain": {"during": 4}, "id": send(page)}
    expect(stop(page)).to_be_hidden()
    for view in ("now", "weeks", "beat"):
        page.evaluate("place => portal.go(place)", view)
        expect(holds).to_contain_text("run no longer than last time")

    fill_in(page, during=3)
    send(page)
    # The log of this runner has a step back two days before.
    expect(stop(page).locator("[data-grade=pain]")).to_be_visible()

    built(folder, first)
    expect(stop(reloaded(page))).to_be_hidden()
    expect(holds).to_contain_text("a step back")
    built(folder, *({**first, "id": one} for one in kept_ids(page)))
    expect(reloaded(page).locator("[data-hold]:visible")).to_have_count(0)


def kept_ids(page: Any) -> list[str]:
    """Of all that was sent from this device."""
    record = page.evaluate("JSON.parse(portal.own.get('checkin'))")
    return [one["id"] for one in record["sent"].values()]
