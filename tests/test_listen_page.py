"""Listen, under Beat, in Chromium with a file of invented footfall as the microphone.

What the microphone hears stays in the audio graph: asked for on the button alone, off at the end
and whenever the page is left, nothing kept but numbers. By day one short part, by night a whole
check in a made-up room that gives the phone's own hisses back.
"""

from __future__ import annotations

import functools
import http.server
import json
import re
import subprocess
import threading
import wave
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml

pytest.importorskip("playwright")

from playwright.sync_api import Browser, Page, expect

import footfall
from chromium import WHOLE, chromium, needs_chromium
from footfall import Part, Steps
from hearing import NODE
from nightly import IS_NIGHTLY
from portal_builder import KEY_TEXT, PORTAL, make_case, with_practice, write_sealed_site, write_site
from sitegen.portal.assets import LISTEN, NOT_FIRST, bundles
from sitegen.portal.listening import LISTEN_PAGE, NOT_COMPARED, REFUSED, listen_words
from sitegen.site.client import HEADERS
from sitegen.world import read_templates
from test_listen_recorded import by_spectrum, needs_motion, samples_of, series
from test_portal_browser import AXE

SPM = 190  # 60 steps in 19 s, so that a part can be short
RATE = 44_100
HERE = Path(__file__).parent

# What the page asks of the browser, and what is left of it.
SPY = """
window.tracks = [];
window.asked = 0;
const Sound = window.AudioContext;
window.AudioContext = class extends Sound {
  constructor(...how) { super(...how); window.graph = this; }
};
const media = navigator.mediaDevices;
const real = media.getUserMedia.bind(media);
media.getUserMedia = async (wanted) => {
  window.asked += 1;
  const stream = await real(wanted);
  window.tracks.push(...stream.getTracks());
  return stream;
};
"""
AXE_RUN = """() => axe.run(document.querySelector(".b-listen"), {
    runOnly: ["wcag2a", "wcag2aa", "wcag2aaa", "wcag21aa", "wcag22aa", "best-practice"],
}).then((found) => found.violations.map((one) => [one.id, one.nodes[0].html]))"""
# A room: what the phone plays comes back to its microphone, late and softer, and the runner's steps
# are softer by 4 dB while the page says so.
ROOM = """
const toSource = AudioContext.prototype.createMediaStreamSource;
AudioContext.prototype.createMediaStreamSource = function (stream) {
  const ear = this.createGain();
  window.steps = this.createGain();
  const air = new DelayNode(this, { delayTime: 0.15 });
  const echo = new GainNode(this, { gain: 0.45 });
  toSource.call(this, stream).connect(window.steps).connect(ear);
  air.connect(echo).connect(ear);
  window.air = air;
  return ear;
};
const connect = AudioNode.prototype.connect;
AudioNode.prototype.connect = function (to, ...more) {
  if (window.air && to === this.context.destination) connect.call(this, window.air);
  return connect.call(this, to, ...more);
};
"""


def parts_of(listen: tuple[str, ...]) -> dict[str, str]:
    templates = read_templates()
    return {name: templates[name] for name in listen}


def test_no_script_takes_sound_out_of_the_audio_graph() -> None:
    """Neither a recorder, nor an analyser, nor samples that reach the page; one place asks for the
    microphone, and hosts that take our headers allow it to our own pages alone."""
    bad = (
        r"MediaRecorder|createAnalyser|AnalyserNode|ScriptProcessor|MediaStreamDestination|"
        r"getChannelData|copyFromChannel|captureStream|fetch|XMLHttp|WebSocket|sendBeacon|"
        r"indexedDB|localStorage|sessionStorage|caches|portal\.own|portal\.keep"
    )
    ours = parts_of(LISTEN)

    assert {name for name, text in ours.items() if re.search(bad, text)} == set()
    whole = "".join(bundles(read_templates()).values())
    assert whole.count("getUserMedia({") == 1
    assert "getUserMedia({" in ours["views/beat/microphone.js"]
    assert b"microphone=(self)" in HEADERS


def test_nothing_of_it_is_in_what_a_first_picture_needs() -> None:
    made = bundles(read_templates())

    assert set(LISTEN) <= NOT_FIRST
    assert {name for name, text in made.items() if ".listening={" in text} == {"listen.js"}


def test_each_refusal_of_the_detector_has_its_sentence() -> None:
    """Whatever `measure` and `compare` answer, the page can say."""
    script = read_templates()["listening.js"]
    parts = set(re.findall(r'refused: "([a-z-]+)"', script))
    parts |= set(re.findall(r'^    if \(!?\(?found.*return "([a-z-]+)";$', script, re.MULTILINE))
    why = set(re.findall(r'none\("([a-z-]+)"\)', script)) - {"gain-"}

    assert {"short", "too-noisy", "tones"} < parts
    assert parts | {"not-yours"} == set(REFUSED)
    assert why | {"gain-moves", "gain-unheard"} == set(NOT_COMPARED)
    english = listen_words(lambda text: text)
    assert english["page"] == dict(LISTEN_PAGE)
    assert english["logged"] == english["places"]


# --- in the browser -------------------------------------------------------------------------------


def as_microphone(file: Path, seconds: float) -> None:
    (one,) = footfall.heard(
        [Part(Steps(spm=SPM), (footfall.road(-52),), seconds=seconds)], 2, rate=RATE
    )
    with wave.open(str(file), "wb") as sound:
        sound.setnchannels(1)
        sound.setsampwidth(2)
        sound.setframerate(RATE)
        sound.writeframes((np.clip(one.wave, -1, 1) * 32767).astype("<i2").tobytes())


class Handler(http.server.SimpleHTTPRequestHandler):
    """With the policy that a build writes for hosts."""

    def log_message(self, format: str, *args: Any) -> None:
        pass

    def end_headers(self) -> None:
        policy = re.search(rb"Permissions-Policy: (.*)", HEADERS)
        assert policy is not None
        self.send_header("Permissions-Policy", policy[1].decode())
        super().end_headers()


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("listen")
    write_sealed_site(folder)
    return folder


@pytest.fixture(scope="module")
def address(folder: Path) -> Iterator[str]:
    """The site at the top of a host, and once more below a path of it."""
    (folder / "shared").symlink_to(folder)
    handler = functools.partial(Handler, directory=str(folder))
    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_port}"
        server.shutdown()


@pytest.fixture(scope="module")
def hearing_browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    """The whole browser: the shell has no microphone."""
    file = tmp_path_factory.mktemp("sound") / "microphone.wav"
    as_microphone(file, 40)
    words = (
        "--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream",
        f"--use-file-for-fake-audio-capture={file}",
    )  # fmt: skip
    with chromium(*words, program=WHOLE) as browser:
        yield browser


def opened(page: Page, address: str) -> Page:
    file = "index.html" if address.startswith("file:") else ""
    page.goto(f"{address}/{PORTAL}/{file}?day=2027-02-16#k={KEY_TEXT}&v=beat")
    page.wait_for_selector(".b-listen")
    return page


def listen_button(page: Page) -> Any:
    return page.get_by_role("button", name="Listen", exact=True)


def is_off(page: Page) -> bool:
    return bool(page.evaluate("tracks.length > 0 && tracks.every((t) => t.readyState === 'ended')"))


@needs_chromium
def test_a_part_is_heard_and_the_microphone_is_off_when_the_page_is_left(
    hearing_browser: Browser, address: str
) -> None:
    """The numbers come out; nothing else does; the microphone is asked for on the button alone."""
    said: list[str] = []
    page = hearing_browser.new_context(viewport={"width": 390, "height": 844}).new_page()
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.add_init_script(SPY)
    opened(page, address)
    page.evaluate("Object.assign(portalParts.check.TIMES, { lead: 0.5, part: 22 })")
    before = page.evaluate("JSON.stringify(localStorage)")
    sent: list[str] = []
    page.on("request", lambda request: sent.append(request.url))
    assert page.evaluate("asked") == 0

    listen_button(page).click()
    expect(page.locator(".b-listen .b-now")).to_have_text("1/4 · Run as you always do.")
    told = page.locator(".b-told")
    expect(told).to_be_visible(timeout=60_000)
    assert page.evaluate("asked") == 1 and not is_off(page)
    spm = float(told.locator("b").inner_text())
    page.evaluate("location.hash = portal.link('now')")
    page.wait_for_function("() => document.documentElement.dataset.view === 'now'")

    assert spm == pytest.approx(SPM, abs=2)
    assert is_off(page)
    assert page.evaluate("JSON.stringify(localStorage)") == before
    assert [url for url in sent if not url.endswith(".js")] == []  # the graph's own script
    assert said == []
    page.context.close()


@needs_chromium
@pytest.mark.parametrize("leave", ["stop", "hidden", "beat", "call"])
def test_whatever_ends_it_the_microphone_is_off_at_once(
    hearing_browser: Browser, address: str, leave: str
) -> None:
    page = hearing_browser.new_context(viewport={"width": 390, "height": 844}).new_page()
    page.add_init_script(SPY)
    opened(page, address)
    listen_button(page).click()
    expect(page.locator(".b-listen .b-now")).to_have_text("1/4 · Run as you always do.")
    assert page.evaluate("tracks[0].readyState") == "live"

    if leave == "stop":
        page.get_by_role("button", name="Stop listening").click()
    elif leave == "beat":
        page.locator("[data-b-start]").click()
    elif leave == "call":  # the phone gives the sound to something else
        page.evaluate("graph.suspend()")
        expect(page.locator(".b-listen")).to_contain_text(LISTEN_PAGE["taken"])
    else:
        page.evaluate(
            "Object.defineProperty(document, 'hidden', { get: () => true });"
            "document.dispatchEvent(new Event('visibilitychange'))"
        )

    assert is_off(page)
    expect(listen_button(page)).to_be_visible()
    expect(page.locator(".b-listen .b-now")).to_be_empty()
    page.context.close()


@needs_chromium
@pytest.mark.parametrize("where", ["refused", "old", "shared", "file"])
def test_without_a_microphone_there_is_a_way_by_ear(
    hearing_browser: Browser, address: str, folder: Path, where: str
) -> None:
    """Each says why; nothing is asked for where it must not be."""
    page = hearing_browser.new_context(viewport={"width": 390, "height": 844}).new_page()
    if where == "old":
        page.add_init_script("delete window.AudioWorkletNode")
    if where == "refused":
        page.add_init_script(
            "navigator.mediaDevices.getUserMedia = () => Promise.reject(new Error('no'))"
        )
    if where == "file":  # which takes no day from its address
        page.clock.set_fixed_time(datetime(2027, 2, 16, 9, tzinfo=UTC))
    at = {"shared": f"{address}/shared", "file": folder.as_uri()}.get(where, address)
    opened(page, at)
    name = {"refused": "not-given", "file": "from-file"}.get(where, where)
    if where == "refused":
        listen_button(page).click()

    expect(page.locator(".b-listen")).to_contain_text(LISTEN_PAGE[name])
    expect(page.locator(".b-listen")).to_contain_text(LISTEN_PAGE["ear-count"])
    assert listen_button(page).count() == (1 if where == "refused" else 0)
    page.context.close()


@needs_chromium
def test_a_coach_who_has_all_of_a_host_may_let_it_listen_below_a_path(
    hearing_browser: Browser, folder: Path, address: str
) -> None:
    write_site(folder / "plans", case=with_practice(make_case(), own_host="yes"))
    page = hearing_browser.new_page()
    page.goto(f"{address}/plans/{PORTAL}/?day=2027-02-16#v=beat")

    expect(listen_button(page)).to_be_visible()
    page.close()


@needs_chromium
def test_numbers_go_into_the_check_in_and_can_be_left_out(
    hearing_browser: Browser, address: str
) -> None:
    """What the button of a check does, on the check-in's own form."""
    page = opened(hearing_browser.new_context().new_page(), address)
    page.evaluate(
        "location.hash = portal.link('checkin');"
        "const field = document.querySelector('[data-c-form] [name=heard]');"
        "field.value = portalParts.check.logText([{ part: 'usual', spm: 164, steps: 158 }]);"
        "field.dispatchEvent(new Event('input', { bubbles: true }));"
    )
    page.locator("[name=did][value=told]").check()
    page.locator("[data-c-more] summary").click()
    message = page.locator("[data-c-form] [data-c-text]")

    expect(message).to_contain_text("heard: [{part: usual, spm: 164 spm, steps: 158}]")
    page.get_by_role("button", name="Leave them out").click()
    expect(message).not_to_contain_text("heard:")
    expect(page.locator("[data-c-heard]")).to_be_hidden()
    page.context.close()


# A microphone that answers at once with the numbers given, so that a check takes a moment, and
# a sensor that shakes in each part as it is told; one without numbers sends null.
ANSWERS = """(given) => {
  const shake = ({ t, x, y, z }) => {
    const event = new DeviceMotionEvent("devicemotion",
      { accelerationIncludingGravity: { x, y, z }, interval: 16 });
    Object.defineProperty(event, "timeStamp", { value: t * 1000 });
    window.dispatchEvent(event);
  };
  Object.assign(portalParts.check.TIMES, { lead: 0, part: -2.5, beat: 0, silence: -0.5 });
  portalParts.microphone.openMicrophone = async () => {
    let time = 0;
    let at = 0;
    const context = {
      get currentTime() { time += 1; return time; }, createGain: () => ({ connect() {} }),
      sampleRate: 48000, createBuffer: () => ({ getChannelData: () => [] }),
      createBufferSource: () => ({ connect() {}, start() {}, stop() {}, disconnect() {} }),
    };
    return {
      context, close() {}, tones() {}, hisses() {}, isFiltered: () => given.filtered,
      hear: () => {
        setTimeout((samples) => samples.forEach(shake), 0, (given.motion || [])[at] || []);
        return { began: 0, take: async () => given.parts[at++] };
      },
    };
  };
}"""


def answers(levels: list[float | str], pair: list[float], filtered: bool = False) -> dict[str, Any]:
    """Four parts of a check: a level in dB each, or why it is refused."""
    parts = []
    for number, level in enumerate(levels):
        found: dict[str, Any] = {"spm": 164 + number, "steps": 158, "ratio_db": 14.26}
        found |= {"refused": level} if isinstance(level, str) else {"level_db": level}
        parts.append({"found": found, "pairs": [pair]})
    return {"parts": parts, "filtered": filtered}


@needs_chromium
@pytest.mark.parametrize(
    ("given", "says", "says_not"),
    [
        (
            answers([-40, -44.3, -40.2, -40.4], [-20, -32]),
            ["4.1 dB quieter than as usual", "agree within 0.4 dB", "1.56 to 1.13"],
            ["can't be said"],
        ),
        (
            answers([-40, "too-noisy", "tones", -40], [-20, -26], filtered=True),
            [REFUSED["too-noisy"], REFUSED["tones"], NOT_COMPARED["gain-moves"], "26 men"],
            ["quieter than as usual", "1.56"],
        ),
        (
            answers([-40, -44, -40, -43], [-20, -32]),
            ["your two usual parts differ by 3 dB"],
            ["quieter than as usual"],
        ),
    ],
)
def test_what_is_said_of_a_whole_check(
    hearing_browser: Browser, address: str, given: dict[str, Any], says: list[str],
    says_not: list[str],
) -> None:  # fmt: skip
    """And by keyboard alone, with targets for a thumb, and nothing for axe to find."""
    page = opened(
        hearing_browser.new_context(viewport={"width": 390, "height": 844}).new_page(), address
    )
    page.evaluate(ANSWERS, given)
    listen_button(page).focus()
    page.keyboard.press("Enter")
    told = page.locator(".b-told")
    expect(told).to_contain_text(LISTEN_PAGE["bounds"])

    for words in (*says, LISTEN_PAGE["unknown"], "licensed clinician", "prevents or heals"):
        expect(told).to_contain_text(words)
    for words in says_not:
        expect(told).not_to_contain_text(words)
    assert page.evaluate("document.activeElement.textContent") == LISTEN_PAGE["heard"]
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == LISTEN_PAGE["use"]
    page.keyboard.press("Enter")
    expect(page.locator(".b-told")).to_contain_text(LISTEN_PAGE["used"])
    sizes = (
        page.locator(".b-listen :is(button, select)")
        .filter(visible=True)
        .evaluate_all(
            "(all) => all.map((e) => e.getBoundingClientRect())"
            ".map((r) => Math.min(r.width, r.height))"
        )
    )
    assert len(sizes) == 2 and min(sizes) >= 44
    if AXE.exists():
        page.evaluate(AXE.read_text(encoding="utf-8"))
        assert page.evaluate(AXE_RUN) == []
    page.get_by_role("button", name=LISTEN_PAGE["again"]).click()  # first what to do, once more
    expect(listen_button(page)).to_be_focused()
    expect(page.get_by_label(LISTEN_PAGE["where"])).to_be_visible()
    page.context.close()


def shaken(spm: float) -> tuple[list[dict[str, float]], float]:
    """Half a minute of a runner's motion, invented, and its steps a minute."""
    made = subprocess.run(
        [str(NODE), "-e", "console.log(JSON.stringify(require(process.argv[1])"
         ".running({ spm: Number(process.argv[2]), arms: 8, noise: 2, seed: 4 })))",
         str(HERE / "js" / "signals.js"), str(spm)],
        check=True, text=True, capture_output=True, timeout=60,
    )  # fmt: skip
    signal = json.loads(made.stdout)
    return signal["samples"], signal["truth"]


def with_motion(page: Page, given: dict[str, Any]) -> tuple[Any, list[dict[str, Any]]]:
    """What a check says whose parts shook the phone so, and what it puts into the check-in."""
    page.evaluate(ANSWERS, given)
    listen_button(page).click()
    told = page.locator(".b-told")
    expect(told).to_contain_text(LISTEN_PAGE["bounds"])
    page.get_by_role("button", name=LISTEN_PAGE["use"]).click()
    return told, yaml.safe_load(page.locator("[data-c-form] [name=heard]").input_value())


@needs_chromium
@pytest.mark.skipif(NODE is None, reason="Node makes the motion")
@pytest.mark.parametrize("whose", ["own", "another's once", "no numbers", "refused"])
def test_the_phone_s_motion_says_whose_steps_were_heard(
    hearing_browser: Browser, address: str, whose: str
) -> None:
    """Events as a sensor sends them: what agrees within 2 is told beside, what does not refuses the
    part and all that is compared with it; without numbers the page says what sound can't tell."""
    samples, truth = shaken(165)
    given = answers([-40, -44.3, -40.2, -40.4], [-20, -32])
    for part in given["parts"]:
        part["found"]["spm"] = truth + 1.5
    if whose == "another's once":
        given["parts"][1]["found"]["spm"] = truth + 3
    if whose == "no numbers":
        samples = [{"t": one["t"], "x": None, "y": None, "z": None} for one in samples]
    page = opened(hearing_browser.new_context().new_page(), address)
    if whose == "refused":
        page.evaluate("() => { DeviceMotionEvent.requestPermission = async () => { throw 0; }; }")
        samples = []
    told, entries = with_motion(page, given | {"motion": [samples] * 4})

    beside = re.findall(r"By the phone's motion: (\d+)", told.inner_text())
    assert all(float(one) == pytest.approx(truth, abs=1) for one in beside)
    parts = ["usual", "quieter", "beat", "usual_again"]
    if whose == "own":
        assert len(beside) == 4
        expect(told).to_contain_text(LISTEN_PAGE["own"])
        assert entries[1]["difference_db"] == -4.1
    elif whose == "another's once":
        parts.remove("quieter")
        assert len(beside) == 3
        expect(told).to_contain_text("perhaps somebody else's steps")
        expect(told).not_to_contain_text("quieter than as usual")
    else:
        assert beside == []
        expect(told).to_contain_text(LISTEN_PAGE["unknown"])
    assert [one["part"] for one in entries] == parts
    page.context.close()


@needs_chromium
@needs_motion
def test_a_recorded_runner_s_motion_is_compared_too(hearing_browser: Browser, address: str) -> None:
    """A watch's recording: heard steps at its spectrum's rate are their own, 5 more are not."""
    recording = next(one for one in series("running") if by_spectrum(one) > 140)
    page = opened(hearing_browser.new_context().new_page(), address)
    given = answers([-40, -44.3, -40.2, -40.4], [-20, -32])
    for part, more in zip(given["parts"], (0, 0, 0, 5), strict=True):
        part["found"]["spm"] = by_spectrum(recording) + more
    told, entries = with_motion(page, given | {"motion": [samples_of(recording)] * 4})

    assert told.inner_text().count("By the phone's motion") == 3
    assert [one["part"] for one in entries] == ["usual", "quieter", "beat"]
    page.context.close()


@needs_chromium
def test_nobody_runs_on_where_nothing_is_heard(hearing_browser: Browser, address: str) -> None:
    """After the first part it is told, and the microphone is off."""
    page = opened(hearing_browser.new_context().new_page(), address)
    page.evaluate(ANSWERS, answers(["too-noisy", -40, -40, -40], [-20, -32]))
    listen_button(page).click()

    expect(page.locator(".b-listen")).to_contain_text(LISTEN_PAGE["deaf"])
    expect(page.locator(".b-told")).to_contain_text(REFUSED["too-noisy"])
    assert page.locator(".b-told dt").count() == 1
    page.context.close()


@needs_chromium
@pytest.mark.parametrize("case", ["short", "none"])
def test_nobody_is_asked_to_run_longer_than_the_plan_does(
    hearing_browser: Browser, address: str, case: str
) -> None:
    """A beginner has the way by ear within their own running; with no running, nothing is asked."""
    page = hearing_browser.new_context().new_page()
    page.add_init_script(
        "const parse = JSON.parse; JSON.parse = (...given) => { const data = parse(...given);"
        "for (const week of (data && data.weeks) || []) for (const one of week.sessions)"
        f" one.parts = [['{'run' if case == 'short' else 'walk'}', 1, 8, null],"
        " ['walk', 2, 8, null]]; return data; };"
    )
    opened(page, address)
    box = page.locator(".b-listen")

    expect(box).to_contain_text(LISTEN_PAGE["no-stretch" if case == "short" else "no-run"])
    expect(listen_button(page)).to_be_hidden()
    by_ear = box.get_by_text(LISTEN_PAGE["ear-within"])
    expect(by_ear).to_be_visible(visible=case == "short")
    page.context.close()


@needs_chromium
@pytest.mark.skipif(not IS_NIGHTLY, reason="two minutes of sound: by night")
def test_a_whole_check_in_a_room_that_gives_the_hisses_back(
    hearing_browser: Browser, address: str
) -> None:
    """Four parts of the same steps, 4 dB softer in the second: told as such, the gain found still,
    and no motion, which the page says."""
    page = hearing_browser.new_context(viewport={"width": 390, "height": 844}).new_page()
    page.add_init_script(SPY + ROOM)
    opened(page, address)
    page.evaluate(
        "Object.assign(portalParts.check.TIMES, { lead: 0.5, part: 24, beat: 2, silence: 24 });"
        "setInterval(() => { if (!window.steps) return;"
        " const isQuiet = /quietly/.test(document.querySelector('.b-listen .b-now').textContent);"
        " window.steps.gain.value = isQuiet ? 10 ** (-4 / 20) : 1; }, 50)"
    )
    listen_button(page).click()
    expect(page.locator(".b-listen")).to_contain_text(LISTEN_PAGE["done"], timeout=300_000)
    told = page.locator(".b-told")

    assert is_off(page)
    expect(told).to_contain_text("quieter than as usual")
    expect(told).to_contain_text(LISTEN_PAGE["unknown"])
    expect(told).to_contain_text("Tate and Milner 2017")
    page.get_by_role("button", name=LISTEN_PAGE["use"]).click()
    field = page.locator("[data-c-form] [name=heard]")
    tree = yaml.safe_load(field.input_value())
    given = {one["part"]: one for one in tree}
    assert list(given) == ["usual", "quieter", "beat", "usual_again"]
    assert all(float(one["spm"].split()[0]) == pytest.approx(SPM, abs=2) for one in tree)
    assert given["quieter"]["difference_db"] == pytest.approx(-4, abs=1.5)
    assert given["beat"]["difference_db"] == pytest.approx(0, abs=1.5)
    page.context.close()
