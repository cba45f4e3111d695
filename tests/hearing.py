"""Cases of sound drawn by chance, and what the listening check hears in them under Node."""

from __future__ import annotations

import json
import shutil
import subprocess
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

import footfall
from footfall import BARS, GROUNDS, SHOES, Burst, GainControl, Heard, Part, Sound, Steps

HERE = Path(__file__).parent
NODE = shutil.which("node")
RATE = 16_000
BURSTS = ((0.6, 1.3), (60.4, 61.1))  # seconds: a loud one and a soft one, before and after
FROM_S, TO_S = 2.0, 60.0
SECONDS = 62.0


def asked(lines: Iterable[dict[str, Any]]) -> list[dict[str, Any]]:
    """What the check answers, a line each."""
    run = subprocess.run(
        [str(NODE), str(HERE / "js" / "listen.js")], check=True, text=True, capture_output=True,
        input="\n".join(map(json.dumps, lines)), timeout=600,
    )  # fmt: skip
    return [json.loads(line) for line in run.stdout.splitlines()]


def listened(heard: Sequence[Heard], folder: Path) -> list[dict[str, Any]]:
    lines = []
    for number, one in enumerate(heard):
        file = folder / f"{number}.f32"
        file.write_bytes(one.wave.astype("<f4").tobytes())
        till = len(one.wave) / one.rate
        bursts = BURSTS if till > BURSTS[-1][-1] else BURSTS[:1]
        lines.append(
            {"file": str(file), "rate": one.rate, "from": FROM_S, "to": min(till - 0.4, TO_S),
             "bursts": bursts}
        )  # fmt: skip
    return asked(lines)


# --- by chance ----------------------------------------------------------------------------------


def any_noise(chance: np.random.Generator, level_db: float) -> tuple[Sound, ...]:
    """What may be around a runner: a quiet microphone, wind, a road or breath, one louder."""
    kinds = (footfall.hiss, footfall.wind, footfall.road, footfall.breath)
    main, other = chance.choice(4, 2, replace=False)
    return kinds[main](level_db), kinds[other](level_db - chance.uniform(3, 15))


def any_steps(chance: np.random.Generator) -> Steps:
    return Steps(
        spm=chance.uniform(135, 205),
        level_db=chance.uniform(-50, -32),
        ground=str(chance.choice(list(GROUNDS))),
        shoe=str(chance.choice(list(SHOES))),
        jitter=chance.uniform(0.012, 0.035),
        limp=chance.uniform(-0.02, 0.02),
        nearer_db=chance.uniform(-4, 4),
        varies_db=chance.uniform(0.8, 2.5),
        dulled=chance.uniform(0.6, 1),
        missed=chance.uniform(0, 0.04),
        drift=chance.uniform(-0.03, 0.03),
    )


def steps_case(seed: int, ratio_db: float) -> Heard:
    """A runner with so much of step to noise, near enough (`Heard.ratio_db` has it exactly)."""
    chance = np.random.default_rng((1, seed))
    steps = any_steps(chance)
    noise_db = steps.level_db - ratio_db - 10 * np.log10(60 / steps.spm)
    part = Part(steps, any_noise(chance, noise_db), seconds=SECONDS)
    return footfall.heard([part], seed, rate=RATE)[0]


NOISES = ("speech", "wind", "road", "breath", "hiss", "machine", "person", "mixed")


def noise_case(seed: int, kind: str) -> Heard:
    """Sound without a runner."""
    chance = np.random.default_rng((2, seed))
    level = chance.uniform(-55, -25)
    bar, bpm = str(chance.choice(list(BARS)[:-1])), chance.uniform(75, 200)
    keys = chance.uniform(-9, 0)
    sounds: dict[str, tuple[Sound, ...]] = {
        "speech": (footfall.speech(level), footfall.hiss(level - 30)),
        "wind": (footfall.wind(level, chance.uniform(2, 9)),),
        "road": (footfall.road(level, chance.uniform(-6, 6), int(chance.integers(0, 20))),),
        "breath": (footfall.breath(level, chance.uniform(25, 60)), footfall.hiss(level - 20)),
        "hiss": (footfall.hiss(level),),
        "machine": (footfall.music(level, bpm, bar, 0, keys), footfall.hiss(level - 30)),
        "person": (
            footfall.music(level, bpm, bar, chance.uniform(8, 20), keys), footfall.hiss(level - 30),
        ),
        "mixed": (
            footfall.speech(level), footfall.wind(level - 3), footfall.road(level - 3),
            footfall.music(level - 6, bpm, bar, 12, keys),
        ),
    }  # fmt: skip
    part = Part(None, sounds[kind], seconds=SECONDS)
    return footfall.heard([part], seed, rate=RATE)[0]


class Check(NamedTuple):
    """Four parts, and the true differences of quieter and beat against usual, in dB."""

    parts: list[Heard]
    quieter_db: float
    beat_db: float


PARTS = ("usual", "quieter", "beat", "again")


def whole_check(
    seed: int, *, gain: GainControl | None = None, ratio_db: float = 12, rises_db: float = 6
) -> Check:
    """A runner's four parts; a road's noise is louder by ``rises_db`` in the second half."""
    chance = np.random.default_rng((3, seed))
    usual = any_steps(chance)
    softer, beat = chance.uniform(1.5, 7), chance.uniform(-1, 3)
    noise_db = usual.level_db - softer - ratio_db - 10 * np.log10(60 / usual.spm)
    level = usual.level_db + chance.uniform(15, 22)
    steps = [
        usual,
        _with(usual, usual.level_db - softer, usual.spm + 2, usual.dulled * 0.8),
        _with(usual, usual.level_db - beat, usual.spm * 1.05, usual.dulled * 0.9),
        _with(usual, usual.level_db + chance.uniform(-0.7, 0.7), usual.spm - 1, usual.dulled),
    ]
    parts = []
    for number, one in enumerate(steps):
        noise = noise_db - (rises_db if number < 2 else 0)
        seconds = 42.0 if number == 2 else SECONDS
        at = [b for pair in BURSTS for b in pair if b < seconds]
        bursts = tuple(Burst(s, level - 12 * (n % 2)) for n, s in enumerate(at))
        parts.append(Part(one, (footfall.road(noise), footfall.hiss(noise - 10)), bursts, seconds))
    heard = footfall.heard(parts, seed, rate=RATE, gain=gain)
    middle = (heard[0].level_db + heard[3].level_db) / 2
    return Check(heard, heard[1].level_db - middle, heard[2].level_db - middle)


def _with(steps: Steps, level_db: float, spm: float, dulled: float) -> Steps:
    return footfall.replace(steps, level_db=level_db, spm=spm, dulled=dulled)


def judged(check: Check, folder: Path) -> dict[str, Any]:
    """What the check claims of four parts, and what it found in each."""
    found = dict(zip(PARTS, listened(check.parts, folder), strict=True))
    pairs = [pair for one in found.values() for pair in one["pairs"]]
    (claim,) = asked([{"found": found, "pairs": pairs}])
    return claim | {"found": found}
