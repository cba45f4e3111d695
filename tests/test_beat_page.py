"""The Beat view in a real browser: its clock, its sounds, its words, and the counter."""

from __future__ import annotations

import json
import re
import subprocess
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

pytest.importorskip("playwright")

from playwright.sync_api import Browser, BrowserContext, Page, expect

from chromium import needs_chromium
from engines import until
from js.view_page import WEDNESDAY, served, write_page

JS = Path(__file__).parent / "js"
pytestmark = needs_chromium

ON_WEDNESDAY = (
    """(() => {
  const Real = Date;
  const shift = Real.parse("DAYT12:00:00") - Real.now();
  window.Date = class extends Real {
    constructor(...when) { super(...(when.length ? when : [Real.now() + shift])); }
    static now() { return Real.now() + shift; }
  };
  const Sound = window.AudioContext;
  window.AudioContext = class extends Sound {
    constructor(...how) { super(...how); window.heard = this; }
  };
  window.starts = [];
  const start = AudioBufferSourceNode.prototype.start;
  AudioBufferSourceNode.prototype.start = function (when) {
    window.starts.push(when);
    return start.call(this, when);
  };
})();
"""
).replace("DAY", WEDNESDAY)
HIDE = """(hidden) => {
  Object.defineProperty(document, "hidden", { configurable: true, get: () => hidden });
  document.dispatchEvent(new Event("visibilitychange"));
}"""


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    folder = tmp_path_factory.mktemp("beat")
    write_page(folder, "beat", "Beat")
    with served(folder) as url:
        yield f"{url}/beat.html"


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    context = browser.new_context(
        viewport={"width": 390, "height": 844}, locale="en-GB",
        permissions=["accelerometer", "gyroscope"],  # which the whole browser gives unasked
    )  # fmt: skip
    yield context
    context.close()


@pytest.fixture
def page(context: BrowserContext, address: str) -> Iterator[Page]:
    """The view on Wednesday 10 February 2027, a day with a beat run; silent on the console."""
    page = context.new_page()
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.add_init_script(ON_WEDNESDAY)
    page.goto(address)
    yield page
    assert said == []


def button(page: Page, name: str) -> Any:
    return page.get_by_role("button", name=name, exact=True)


def drift_ms(onsets: list[float], spm: float) -> list[float]:
    """How far each click lies from where an even beat since the first has it."""
    gap = 60 / spm
    return [abs(at - onsets[0] - n * gap) * 1000 for n, at in enumerate(onsets)]


# --- the clock


@pytest.mark.parametrize("spm", [137, 164, 201])
def test_ten_minutes_of_clicks_stay_within_five_milliseconds(page: Page, spm: int):
    """Rendered by the browser, with the player called at uneven moments as timers would."""
    page.evaluate((JS / "measure.js").read_text())
    found = page.evaluate(f"measure.renderOffline({spm}, 600, 2.5)")

    assert found["calls"] > 200
    assert len(found["onsets"]) in (spm * 10, spm * 10 - 1)
    assert max(drift_ms(found["onsets"], spm)) < 5


def test_a_player_that_is_called_too_late_leaves_clicks_out_but_keeps_the_beat(page: Page):
    """Gaps of up to 8 s against 3 s handed ahead: what is heard is still on the grid."""
    page.evaluate((JS / "measure.js").read_text())
    onsets = page.evaluate("measure.renderOffline(164, 120, 8)")["onsets"]
    gap = 60 / 164
    steps = [(at - onsets[0]) / gap for at in onsets]

    on_the_grid = [abs(step - round(step)) * gap * 1000 < 5 for step in steps]
    assert 100 < len(onsets) < 320
    assert all(on_the_grid)


def test_a_live_audio_clock_hears_an_even_beat(page: Page):
    page.evaluate((JS / "measure.js").read_text())
    page.locator("h1").click()
    onsets = page.evaluate("measure.recordLive(164, 5)")

    assert len(onsets) >= 12
    assert max(drift_ms(onsets, 164)) < 5


# --- the view


def test_today_s_run_and_its_rate_stand_ready(page: Page):
    expect(page.get_by_label("What for")).to_have_value("wed-1")
    expect(page.locator("[data-b-rate]")).to_have_text("161")
    expect(page.get_by_text("This week: 156 to 166, aim 161.")).to_be_visible()
    expect(page.get_by_text("First: warm-up, 5 min. 30 min in all.")).to_be_visible()


def test_strength_has_no_beat(page: Page):
    options = page.get_by_label("What for").locator("option")
    assert options.all_inner_texts() == [
        "The beat alone",
        "Today: Run to the beat, 30 min",
        "Fri 12 Feb: Long run, 45 min",
        "Mon 15 Feb: Easy run, 36 min",
    ]


@pytest.mark.parametrize("day", ["2027-01-04", "2027-03-31"])
def test_before_the_plan_and_after_it_no_range_is_called_this_week_s(
    context: BrowserContext, address: str, day: str
):
    page = context.new_page()
    page.add_init_script(ON_WEDNESDAY.replace(WEDNESDAY, day))
    page.goto(address)
    page.get_by_label("What for").select_option("")

    expect(page.locator("[data-b-band]")).to_have_text("No band is planned for this week.")


def test_the_rate_moves_by_one_within_the_week_s_band(page: Page):
    for _ in range(5):
        button(page, "One faster").click()

    expect(page.locator("[data-b-rate]")).to_have_text("166")
    expect(button(page, "One faster")).to_be_disabled()


def test_another_rate_can_be_chosen_freely(page: Page):
    page.get_by_label("Choose a rate outside of it").check()
    page.get_by_label("Steps a minute, 100 to 240").fill("178")
    page.keyboard.press("Tab")
    expect(page.locator("[data-b-rate]")).to_have_text("178")

    page.get_by_label("Choose a rate outside of it").uncheck()
    expect(page.locator("[data-b-rate]")).to_have_text("166")


def test_a_session_starts_pauses_goes_on_and_stops(page: Page):
    button(page, "Start").click()
    expect(page.get_by_text("Now: warm-up, 5 min.")).to_be_visible()
    expect(page.get_by_text("Then: run to the beat, 2 min.")).to_be_visible()
    expect(page.locator("[data-b-left]")).to_have_text(re.compile(r"4:5\d"))
    expect(page.get_by_label("What for")).to_be_disabled()

    button(page, "Pause").click()
    expect(page.get_by_text("Held.")).to_be_visible()
    left = page.locator("[data-b-left]").inner_text()
    page.wait_for_timeout(1200)
    expect(page.locator("[data-b-left]")).to_have_text(left)

    button(page, "Go on").click()
    expect(page.locator("[data-b-left]")).not_to_have_text(left)
    button(page, "Stop").click()
    expect(page.get_by_text("First: warm-up, 5 min.")).to_be_visible()


def test_a_part_can_be_left_for_the_next(page: Page):
    button(page, "Start").click()
    button(page, "Next part").click()
    expect(
        page.get_by_text(
            "Now: run to the beat, 2 min, on the beat at 161 steps a minute. Repeat 1 of 4."
        )
    ).to_be_visible()
    expect(page.get_by_text("Then: walk, 1 min.")).to_be_visible()
    for _ in range(8):
        button(page, "Next part").click()
    expect(page.get_by_text("Now: run, 8 min.")).to_be_visible()
    button(page, "Next part").click()
    expect(page.get_by_text("This is the last part.")).to_be_visible()
    expect(button(page, "Pause")).to_be_focused()


def test_the_last_part_ends_the_session(page: Page):
    """Five minutes of cool-down are made to pass on the audio clock."""
    button(page, "Start").click()
    for _ in range(10):
        button(page, "Next part").click()
    expect(page.get_by_text("This is the last part.")).to_be_visible()
    page.evaluate(
        """() => {
          const real = Object.getOwnPropertyDescriptor(BaseAudioContext.prototype, "currentTime");
          const get = () => real.get.call(heard) + 301;
          Object.defineProperty(heard, "currentTime", { get });
        }"""
    )
    expect(page.get_by_text("The session is done.")).to_be_visible()
    expect(button(page, "Start")).to_be_focused()


def test_the_beat_alone_clicks_until_it_is_stopped(page: Page):
    page.get_by_label("What for").select_option("")
    button(page, "Start").click()
    expect(page.get_by_text("The beat at 161 steps a minute.")).to_be_visible()
    until(lambda: page.evaluate("starts.length") >= 6)
    button(page, "Stop").click()
    starts = page.evaluate("starts")

    assert len(starts) >= 6
    gaps = [b - a for a, b in pairwise(starts)]
    assert max(gaps) - min(gaps) < 1e-6
    assert gaps[0] == pytest.approx(60 / 161)


def test_each_second_step_halves_the_clicks_at_once(page: Page):
    page.get_by_label("What for").select_option("")
    page.get_by_label("each second step, one foot").check()
    button(page, "Start").click()
    until(lambda: page.evaluate("starts.length") >= 2)

    starts = page.evaluate("starts")
    assert starts[1] - starts[0] == pytest.approx(120 / 161)


def test_the_keyboard_alone_runs_a_session(page: Page):
    page.get_by_label("What for").focus()
    for _ in range(20):
        page.keyboard.press("Tab")
        if button(page, "Start").evaluate("(b) => b === document.activeElement"):
            break
    page.keyboard.press("Enter")
    expect(button(page, "Pause")).to_be_focused()
    page.keyboard.press("Enter")
    expect(button(page, "Go on")).to_be_focused()
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(button(page, "Start")).to_be_focused()


def test_a_hidden_page_hands_a_minute_and_a_half_over_at_once(page: Page):
    page.get_by_label("What for").select_option("")
    button(page, "Start").click()
    expect(button(page, "Pause")).to_be_visible()
    page.evaluate(HIDE, True)

    ahead = page.evaluate("starts[starts.length - 1] - heard.currentTime")
    gaps = page.evaluate("starts.slice(1).map((at, n) => at - starts[n])")
    assert ahead > 85
    assert max(gaps) - min(gaps) < 1e-6


def test_a_rate_changed_while_much_is_handed_over_holds_from_the_next_step(page: Page):
    page.get_by_label("What for").select_option("")
    button(page, "Start").click()
    expect(button(page, "Pause")).to_be_visible()
    page.evaluate(HIDE, True)
    page.evaluate(HIDE, False)
    before = page.evaluate("starts.length")
    button(page, "One faster").click()
    after = page.evaluate("starts")[before:]

    assert len(after) >= 3
    assert after[1] - after[0] == pytest.approx(60 / 162)


def test_a_clock_that_the_phone_stopped_is_told(page: Page):
    button(page, "Start").click()
    expect(button(page, "Pause")).to_be_visible()
    page.evaluate(HIDE, True)
    page.evaluate("heard.suspend()")
    page.wait_for_timeout(2300)
    page.evaluate(HIDE, False)

    expect(page.get_by_text(re.compile(r"The phone stopped the sound for \d+\ss"))).to_be_visible()
    expect(button(page, "Pause")).to_be_visible()
    expect(page.locator("[data-b-stopped]")).to_have_text(
        re.compile(r"Where it stopped: 0:0\d done")
    )
    page.locator("[data-b-here]").click()
    expect(page.locator("[data-b-ask]")).to_be_hidden()
    assert page.evaluate("heard.state") == "running"


def test_a_phone_that_slept_with_the_page_s_own_clock_is_told_by_that_of_the_day(page: Page):
    """Where a processor sleeps, `performance.now()` may stand still (High Resolution Time, 2.1)."""
    button(page, "Start").click()
    expect(button(page, "Pause")).to_be_visible()
    page.evaluate(HIDE, True)
    page.evaluate("(() => { const now = Date.now; Date.now = () => now() + 300000; })()")
    page.evaluate(HIDE, False)

    expect(page.get_by_text(re.compile(r"The phone stopped the sound for 5\smin"))).to_be_visible()
    expect(page.locator("[data-b-here]")).to_have_text(re.compile(r"By the clock: 5:0\d done"))


def test_sound_that_is_taken_away_holds_the_session(page: Page):
    button(page, "Start").click()
    expect(button(page, "Pause")).to_be_visible()
    page.evaluate("heard.suspend()")

    expect(page.get_by_text("The phone gave the sound to something else")).to_be_visible()
    button(page, "Go on").click()
    expect(button(page, "Pause")).to_be_visible()


LIT = """() => new Promise((done) => {
  let lit = 0;
  const feet = document.querySelector(".b-feet");
  new MutationObserver(() => { lit += feet.querySelectorAll(".b-lit").length; })
    .observe(feet, { attributes: true, subtree: true });
  setTimeout(() => done(lit), 1500);
})"""


@pytest.mark.parametrize("motion", ["no-preference", "reduce"])
def test_the_pulse_is_seen_unless_less_motion_is_asked_for(page: Page, motion: Any):
    page.emulate_media(reduced_motion=motion)
    page.get_by_label("What for").select_option("")
    feet = page.locator(".b-feet")
    expect(feet).to_be_hidden()  # two empty marks say nothing
    button(page, "Start").click()
    expect(button(page, "Pause")).to_be_visible()
    expect(feet).to_be_visible(visible=motion != "reduce")
    lit = page.evaluate(LIT)

    assert lit == 0 if motion == "reduce" else lit >= 3


def test_a_browser_that_cannot_keep_the_screen_on_says_so(page: Page):
    page.add_init_script("delete Navigator.prototype.wakeLock")
    page.reload()
    button(page, "Start").click()
    expect(page.get_by_text("This browser can't keep the screen on.")).to_be_visible()


def test_the_screen_is_kept_on_only_while_the_beat_runs(page: Page):
    page.add_init_script("""
      window.locks = [];
      Object.defineProperty(Navigator.prototype, "wakeLock", { configurable: true, get: () => ({
        async request(what) {
          const lock = new EventTarget();
          lock.what = what;
          lock.release = async () => { lock.what = "released"; };
          window.locks.push(lock);
          return lock;
        } }) });
    """)
    page.reload()
    button(page, "Start").click()
    expect(page.get_by_text("The screen stays on while the beat runs.")).to_be_visible()
    assert page.evaluate("locks.map((lock) => lock.what)") == ["screen"]
    button(page, "Pause").click()
    expect(page.get_by_text("The screen stays on")).to_have_count(0)
    assert page.evaluate("locks.map((lock) => lock.what)") == ["released"]


def test_a_page_from_disk_plays_too(context: BrowserContext, tmp_path: Path):
    page = context.new_page()
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.add_init_script(ON_WEDNESDAY)
    file = write_page(tmp_path, "beat", "Beat")
    page.goto(file.as_uri())
    button(page, "Start").click()
    expect(page.get_by_text("Now: warm-up, 5 min.")).to_be_visible()
    assert said == []


# --- the counter, on the browser's own false clock


@pytest.fixture
def clock_page(context: BrowserContext, address: str) -> Iterator[Page]:
    page = context.new_page()
    page.clock.install(time=f"{WEDNESDAY}T12:00:00")
    page.goto(address)
    page.clock.pause_at(f"{WEDNESDAY}T12:01:00")
    yield page


def tap_for(page: Page, seconds: float, per_minute: float) -> None:
    gap = 60000 / per_minute
    for n in range(int(seconds * per_minute / 60)):
        button(page, "Tap").dispatch_event("pointerdown")
        page.clock.run_for(round((n + 1) * gap) - round(n * gap))


def test_thirty_seconds_of_taps_are_counted_and_offered(clock_page: Page):
    page = clock_page
    tap_for(page, 6, 172)
    expect(page.locator("[data-b-counted]")).to_have_text("172")
    expect(page.locator("[data-b-use]")).to_be_hidden()
    tap_for(page, 25, 172)

    expect(page.get_by_text("172 steps a minute, both feet counted.")).to_be_visible()
    page.evaluate("addEventListener('portal:cadence', (e) => { window.given = e.detail; }, true)")
    button(page, "Put 172 into the check-in").click()
    assert page.evaluate("window.given") == {"spm": 172}
    expect(page.get_by_role("link", name="To the check-in")).to_be_visible()


def test_one_foot_counts_twice(clock_page: Page):
    clock_page.get_by_label("each time one foot lands").check()
    tap_for(clock_page, 31, 82)
    expect(clock_page.get_by_text("164 steps a minute, both feet counted.")).to_be_visible()


def test_one_foot_counted_as_both_is_doubted_and_not_offered(clock_page: Page):
    tap_for(clock_page, 31, 82)
    expect(clock_page.get_by_text("If you tapped one foot")).to_be_visible()
    expect(clock_page.locator("[data-b-use]")).to_be_hidden()


def test_the_space_bar_taps_and_does_not_repeat_by_itself(clock_page: Page):
    page = clock_page
    button(page, "Tap").focus()
    for _ in range(20):
        page.keyboard.down(" ")
        page.keyboard.down(" ")  # a key held down repeats
        page.keyboard.up(" ")
        page.clock.run_for(375)
    expect(page.locator("[data-b-counted]")).to_have_text("160")


def shaken(page: Page, how: dict[str, Any]) -> Any:
    """Feeds a synthetic run of known rate to the page's motion events; returns the truth."""
    made = subprocess.run(
        ["node", "-e", "const { running } = require(process.argv[1]);"
         "console.log(JSON.stringify(running(JSON.parse(process.argv[2]))))",
         str(JS / "signals.js"), json.dumps(how)],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    signal = json.loads(made.stdout)
    page.evaluate(
        """(samples) => {
          for (const { t, x, y, z } of samples) {
            const event = new DeviceMotionEvent("devicemotion",
              { accelerationIncludingGravity: { x, y, z }, interval: 16 });
            Object.defineProperty(event, "timeStamp", { value: t * 1000 });
            window.dispatchEvent(event);
          }
        }""",
        signal["samples"],
    )
    return signal["truth"]


def test_the_phone_counts_a_run_by_its_motion(clock_page: Page):
    page = clock_page
    button(page, "Let the phone count").click()
    expect(page.get_by_text("Counting for 30 seconds.")).to_be_visible()
    truth = shaken(page, {"spm": 168, "arms": 10, "noise": 3, "seed": 4})
    page.clock.run_for(31000)

    offer = page.locator("[data-b-use]")
    expect(offer).to_be_visible()
    assert abs(int(offer.inner_text().split()[1]) - truth) <= 2


def test_a_phone_without_a_sensor_says_so_and_tapping_stays(clock_page: Page):
    page = clock_page
    button(page, "Let the phone count").click()
    told = page.get_by_text("No motion sensor answers here.")

    def later() -> bool:  # the permission is asked for in between, so the clock goes in steps
        page.clock.run_for(500)
        return bool(told.is_visible())

    until(later)
    tap_for(page, 31, 160)
    expect(page.get_by_text("160 steps a minute, both feet counted.")).to_be_visible()


def test_a_refused_sensor_leaves_the_tapping(clock_page: Page):
    page = clock_page
    page.evaluate("DeviceMotionEvent.requestPermission = async () => 'denied'")
    button(page, "Let the phone count").click()
    expect(page.get_by_text("The phone doesn't share its motion sensor")).to_be_visible()
    tap_for(page, 31, 160)
    expect(page.get_by_text("160 steps a minute, both feet counted.")).to_be_visible()


def test_shaking_that_is_no_running_is_no_count(clock_page: Page):
    page = clock_page
    button(page, "Let the phone count").click()
    expect(page.get_by_text("Counting for 30 seconds.")).to_be_visible()
    shaken(page, {"pauses": [{"from": 0, "to": 99, "what": "stand"}], "noise": 6})
    page.clock.run_for(31000)
    expect(page.get_by_text("The sensor saw no steady running")).to_be_visible()
    expect(page.locator("[data-b-use]")).to_be_hidden()


# --- looks that can be measured


def test_nothing_runs_off_the_side(page: Page):
    page.get_by_label("Choose a rate outside of it").check()
    page.locator("summary").click()
    button(page, "Start").click()
    expect(button(page, "Next part")).to_be_visible()
    for width in (320, 390, 768, 1280):
        page.set_viewport_size({"width": width, "height": 844})
        assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_every_target_is_big_enough_for_a_thumb(page: Page):
    page.get_by_label("Choose a rate outside of it").check()
    button(page, "Start").click()
    boxes = page.locator(
        ".b-beat :is(button, select, summary, label:has(input), [type=range], [type=number])"
    ).filter(visible=True)
    sizes = boxes.evaluate_all(
        "(all) => all.map((e) => [e.outerHTML.slice(0, 80), e.getBoundingClientRect().width,"
        " e.getBoundingClientRect().height])"
    )
    assert len(sizes) > 14
    assert [s for s in sizes if s[1] < 44 or s[2] < 44] == []
