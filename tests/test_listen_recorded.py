"""What is heard of recorded steps, and counted of recorded motion.

None of the recordings is ours or in this repository: where they are missing, as in CI, these tests
are skipped; docs/listening.md has what they gave by hand.

- Debian's package ``minetest-data`` carries single steps on nine grounds: CC BY-SA 3.0, CC BY 3.0
  or CC0, as ``mods/default/README.txt`` says for each file. Nobody ran for them, some are walked,
  none is a phone's. They are placed at times that are known, over invented noise. soundfile reads
  them; ``RECORDED_STEPS`` names another folder.
- The Python package ``aeon`` (BSD) carries BasicMotions of the UEA archive: four students, a watch,
  ten samples a second for ten seconds, five times each. ``RECORDED_MOTION`` names its folder.
"""

from __future__ import annotations

import json
import os
import subprocess
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import scipy

import footfall
from footfall import Heard, Part
from hearing import NODE, RATE, SECONDS, listened

SOUNDS = Path(
    os.environ.get(
        "RECORDED_STEPS",
        "/usr/share/games/minetest/games/minetest_game/mods/default/sounds",
    )
)
MOTION = Path(os.environ.get("RECORDED_MOTION", "/usr/share/aeon/BasicMotions"))
SHARP = ("dirt", "hard", "ice", "wood")  # steps that are over within a tenth of a second, or nearly
LONG = ("grass", "gravel", "metal", "sand", "snow")  # rustling on, some until the next step
COUNT = """
const { load } = require(process.argv[1]);
load("beat/line.js", "beat/counting.js");
const { motionRate } = globalThis.portalParts.beat;
for (const one of JSON.parse(require("fs").readFileSync(0, "utf8")))
  console.log(JSON.stringify(motionRate(one)));
"""
pytestmark = pytest.mark.skipif(NODE is None, reason="Node runs the page's scripts")
needs_steps = pytest.mark.skipif(not SOUNDS.is_dir(), reason="no recorded steps on this machine")
needs_motion = pytest.mark.skipif(not MOTION.is_dir(), reason="no recorded motion on this machine")


def recorded(ground: str) -> list[np.ndarray]:
    """Single steps at `RATE`, each from where it begins, as loud as the others."""
    soundfile = pytest.importorskip("soundfile", reason="no soundfile to read recorded steps")
    steps = []
    for file in sorted(SOUNDS.glob(f"default_{ground}_footstep.*ogg")):
        wave, rate = soundfile.read(file)
        wave = wave.mean(axis=1) if wave.ndim > 1 else wave
        wave = scipy.signal.resample_poly(wave, RATE, rate)
        begins = int(np.argmax(np.abs(wave) > 0.1 * np.abs(wave).max()))
        wave = wave[max(begins - 32, 0) :][: int(0.4 * RATE)]
        steps.append(wave / np.sqrt(footfall.energy(wave, RATE)))
    return steps


def run_of(ground: str, seed: int, ratio_db: float) -> Heard:
    """A minute of steps on one ground over a road that is softer by so much, as in `steps_case`."""
    chance = np.random.default_rng((9, seed))
    sounds, spm = recorded(ground), chance.uniform(140, 200)
    gaps = 60 / spm * (1 + 0.02 * chance.standard_normal(int(spm * 1.2)))
    times = np.cumsum(gaps)
    times = times[times < SECONDS - 0.5]
    wave = np.zeros(int(SECONDS * RATE))
    for number, at in enumerate(times):
        step = sounds[chance.integers(len(sounds))] * 10 ** (chance.normal(0, 1.5) / 20)
        step = step * 10 ** (-40 / 20) * 10 ** ((number % 2) * 1.5 / 20)
        start = int(at * RATE)
        wave[start : start + len(step)] += step[: len(wave) - start]
    noise_db = -40 - ratio_db - 10 * np.log10(60 / spm)
    (around,) = footfall.heard(
        [Part(None, (footfall.road(noise_db),), seconds=SECONDS)], seed, rate=RATE
    )
    return replace(around, wave=around.wave[: len(wave)] + wave, times=times)


@needs_steps
@pytest.mark.parametrize("ratio_db", [6, 15])
@pytest.mark.parametrize("ground", (*SHARP, *LONG))
def test_recorded_steps_are_heard_or_refused_and_never_a_wrong_number(
    ground: str, ratio_db: float, tmp_path: Path
) -> None:
    """Sharp steps: three in four are taken. Long ones may be refused, each with a reason."""
    runs = [run_of(ground, seed, ratio_db) for seed in range(8)]
    found = listened(runs, tmp_path)
    taken = [(one, each) for one, each in zip(runs, found, strict=True) if "refused" not in each]

    assert len(taken) >= (6 if ground in SHARP else 0)
    assert {each["refused"] for each in found if "refused" in each} <= {"too-noisy", "no-steps"}
    assert all(each["spm"] == pytest.approx(one.spm, abs=2) for one, each in taken)


# --- motion ---------------------------------------------------------------------------------------


def series(kind: str) -> list[np.ndarray]:
    """Ten seconds of acceleration each, three axes, m/s²; the format of the archive (``.ts``)."""
    found = []
    for part in ("TRAIN", "TEST"):
        text = (MOTION / f"BasicMotions_{part}.ts").read_text(encoding="utf-8")
        for line in text.splitlines():
            *axes, label = line.split(":")
            if not line.startswith(("#", "@")) and label.strip().lower() == kind:
                found.append(np.array([axis.split(",") for axis in axes[:3]], dtype=float))
    return found


def by_spectrum(axes: np.ndarray) -> float:
    """Steps a minute: twice the strongest frequency of an arm, 0.9 to 2 Hz, all axes together."""
    hz = np.fft.rfftfreq(8192, 0.1)
    bare = (axes - axes.mean(axis=1, keepdims=True)) * np.hanning(axes.shape[1])
    power = np.square(np.abs(np.fft.rfft(bare, 8192))).sum(axis=0)
    inside = (hz > 0.9) & (hz < 2)
    return float(120 * hz[inside][np.argmax(power[inside])])


def samples_of(axes: np.ndarray) -> list[dict[str, float]]:
    """As a sensor hands them on. The counter wants three windows of six seconds, two apart, and ten
    seconds hold two; so it is given the first eight and the last six, a pause between."""
    return [
        {"t": (at + pause) / 10, "x": x, "y": y, "z": z}
        for part, pause in ((slice(0, 81), 0), (slice(38, None), 100))
        for at, (x, y, z) in enumerate(axes.T.tolist()[part])
    ]


def counted(recordings: list[np.ndarray]) -> list[float | None]:
    """What the page's counter makes of each."""
    given = [samples_of(axes) for axes in recordings]
    run = subprocess.run(
        [str(NODE), "-e", COUNT, str(Path(__file__).parent / "js" / "load.js")],
        input=json.dumps(given), capture_output=True, text=True, check=True, timeout=120,
    )  # fmt: skip
    return [json.loads(line) for line in run.stdout.splitlines()]


@needs_motion
def test_the_counter_agrees_with_a_spectrum_on_a_runners_wrist() -> None:
    """18 of 20 are counted, each within 2 a minute; the other two step below 120 a minute, where
    the counter says nothing."""
    pairs = [(by_spectrum(one), rate) for one, rate in zip(
        series("running"), counted(series("running")), strict=True
    )]  # fmt: skip

    assert len(pairs) == 20
    assert all(true < 120 for true, rate in pairs if rate is None)
    taken = [(true, rate) for true, rate in pairs if rate is not None]
    assert len(taken) == 18
    assert all(rate == pytest.approx(true, abs=2) for true, rate in taken)


@needs_motion
@pytest.mark.parametrize("kind", ["walking", "standing", "badminton"])
def test_a_walk_a_rest_and_a_game_are_no_run(kind: str) -> None:
    other = series(kind)

    assert len(other) == 20
    assert counted(other) == [None] * 20
