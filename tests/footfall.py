"""Invented sound of somebody running, as a phone might hear it, with what is true of it beside it.

What the listening check measures is judged against these sounds, so nothing here knows how it
measures: no number of the detector's stands in this file, and it imports nothing of ours. All is a
pure function of the numbers that are asked for and of a seed.

Truth, for each part: when each step struck; the step rate, from those times; the level of each
step, which is the A-weighted sound exposure level of that step alone at the microphone, before
noise, gain and rounding (IEC 61672-1: the weighting's formula, from memory; values that the
standard prints are checked in `test_footfall.py`); and ``ratio_db``, the energy of a median step
over the energy of all else in the time between two steps, both A-weighted.

Levels are in dB against a sine of full scale. Where a number has a source, it is named beside it;
all others are **judgement**, wide on purpose, and no recording of a phone stands behind them.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
import scipy

Wave = np.ndarray
Chance = np.random.Generator

# --- weighting, shapes and levels ---------------------------------------------------------------


def a_weight(hz: Wave) -> Wave:
    """Gain of A-weighting by frequency, 1 at 1 kHz. IEC 61672-1, annex E; from memory."""
    low, mid, upper, high = 20.598997**2, 107.65265**2, 737.86223**2, 12194.217**2
    square = np.square(hz)
    gain = high * square**2 / (
        (square + low) * np.sqrt((square + mid) * (square + upper)) * (square + high)
    )  # fmt: skip
    return gain * 10 ** (2.0 / 20)


def shaped(wave: Wave, rate: int, gain: Callable[[Wave], Wave]) -> Wave:
    """A wave with each frequency multiplied by ``gain(hz)``; its phases stay."""
    hz = np.fft.rfftfreq(len(wave), 1 / rate)
    return np.fft.irfft(np.fft.rfft(wave) * gain(hz), len(wave))


def energy(wave: Wave, rate: int) -> float:
    """A-weighted sound exposure: full scale squared times seconds, a full sine being 1."""
    size = 1 << (len(wave) - 1).bit_length()
    power = np.square(np.abs(np.fft.rfft(wave, size)) * a_weight(np.fft.rfftfreq(size, 1 / rate)))
    power[1:-1] *= 2
    return float(2 * power.sum() / size / rate)


def decibels(ratio: float) -> float:
    return float(10 * np.log10(max(ratio, 1e-30)))


def levelled(wave: Wave, rate: int, level_db: float) -> Wave:
    """A lasting sound brought to an A-weighted level."""
    mean = energy(wave, rate) / (len(wave) / rate)
    return wave * 10 ** (level_db / 20) / np.sqrt(max(mean, 1e-30))


def band(centre_hz: float, octaves: float) -> Callable[[Wave], Wave]:
    """A bell on a scale of octaves."""
    return lambda hz: np.exp(-np.square(np.log2(np.maximum(hz, 1) / centre_hz) / octaves))


def tilted(at_hz: float, per_octave_db: float) -> Callable[[Wave], Wave]:
    """Flat up to a frequency, then falling by so much an octave."""
    return lambda hz: 10 ** (-per_octave_db / 20 * np.log2(np.maximum(hz, at_hz) / at_hz))


def wandering(chance: Chance, count: int, colour: float) -> Wave:
    """Deviation 1 about 0, with a power that falls as 1/f to the ``colour``: 0 white, 1 pink."""
    parts = np.fft.rfft(chance.standard_normal(max(count, 2)))
    parts[1:] /= np.arange(1, len(parts)) ** (colour / 2)
    parts[0] = 0
    wave = np.fft.irfft(parts, max(count, 2))[:count]
    return wave / max(float(wave.std()), 1e-12)


# --- feet ---------------------------------------------------------------------------------------


class Ground(NamedTuple):
    """What a strike sounds like: a thud, a crack, and what crunches or scrapes after it."""

    crack_hz: float
    octaves: float
    fades_s: float
    thud_db: float
    scrape_db: float
    scrape_s: float


GROUNDS = {
    "asphalt": Ground(1_400, 1.3, 0.018, 4, -9, 0.05),
    "concrete": Ground(1_900, 1.2, 0.014, 2, -10, 0.04),
    "gravel": Ground(2_800, 1.5, 0.030, 0, 1, 0.11),
    "trail": Ground(800, 1.4, 0.025, 8, -4, 0.07),
    "treadmill": Ground(700, 1.2, 0.040, 12, -12, 0.04),
    "wet": Ground(2_400, 1.6, 0.022, 2, -3, 0.09),
}
SHOES = {
    "firm": 1.25,
    "cushioned": 0.8,
    "thin": 1.45,
}  # what the crack's frequency is multiplied by
THUD_HZ = 95.0
CONTACT_S = 0.22  # from strike to push-off at an easy pace; from memory, common in the literature


@dataclass(frozen=True)
class Steps:
    """A runner. ``jitter`` is the deviation of the time between steps as a share of it: running
    strides vary by 1 to 3 % (Jordan and others 2007, Hum Mov Sci 26:87, from memory), and slowly
    more than quickly."""

    spm: float = 165.0
    level_db: float = -40.0
    ground: str = "asphalt"
    shoe: str = "firm"
    jitter: float = 0.02
    limp: float = 0.01  # how much longer one foot's step takes than the mean, as a share
    nearer_db: float = 1.0  # how much louder the foot is that the phone is nearer to
    varies_db: float = 1.5  # from step to step
    dulled: float = 1.0  # a softer landing takes high sound away: the crack's frequency times this
    missed: float = 0.0  # share of steps that make next to no sound
    drift: float = 0.0  # by how much the rate rises from beginning to end, as a share


def step_times(steps: Steps, seconds: float, chance: Chance) -> Wave:
    period = 60 / steps.spm
    count = int(seconds / period * 1.2) + 4
    each = steps.jitter * (0.6 * wandering(chance, count, 1.0) + 0.8 * wandering(chance, count, 0))
    each += steps.limp * (1 - 2 * (np.arange(count) % 2))
    slow = 1 - steps.drift * (np.arange(count) * period / seconds - 0.5)
    times = 0.1 + chance.uniform(0, period) + np.cumsum(period * slow * (1 + each))
    return times[times < seconds - 0.5]


def strike(steps: Steps, rate: int, chance: Chance) -> Wave:
    """One step alone, at a level of its own that the caller sets."""
    ground = GROUNDS[steps.ground]
    lasts = np.arange(int(0.45 * rate)) / rate

    def noise(hz: float, octaves: float) -> Wave:
        return shaped(chance.standard_normal(len(lasts)), rate, band(hz, octaves))

    def strength(wave: Wave) -> float:
        return float(np.sqrt(np.square(wave).sum()))

    hz = ground.crack_hz * SHOES[steps.shoe] * steps.dulled * 2 ** chance.normal(0, 0.1)
    rise = 0.001 + 0.003 / max(steps.dulled, 0.2) * chance.uniform(0.3, 1)
    crack = noise(hz, ground.octaves) * np.minimum(lasts / rise, 1)
    crack *= np.exp(-lasts / (ground.fades_s * chance.uniform(0.8, 1.25)))
    thud = np.sin(2 * np.pi * THUD_HZ * lasts * chance.uniform(0.9, 1.1)) * np.exp(-lasts / 0.03)
    swell = np.minimum(lasts / 0.02, 1) * np.exp(-lasts / ground.scrape_s)
    grains = chance.random(len(lasts)) < 400 / rate  # stones, drops: single ones
    scrape = noise(hz * 1.3, ground.octaves) * (
        0.4 + np.convolve(grains, np.ones(rate // 500), "same")
    )
    scrape *= swell
    off = np.roll(noise(hz * 1.5, 1.0) * np.exp(-lasts / 0.02), int(CONTACT_S * rate))
    off[: int(CONTACT_S * rate)] = 0
    return (
        crack / strength(crack)
        + thud / strength(thud) * 10 ** (ground.thud_db / 20)
        + scrape / strength(scrape) * 10 ** (ground.scrape_db / 20)
        + off / strength(off) * 10 ** ((ground.scrape_db - 8) / 20)
    )


STRIKES = 24  # different ones in a part; drawn anew for each part

# --- everything else ----------------------------------------------------------------------------


class Air(NamedTuple):
    """What a sound that is not feet is made in."""

    seconds: float
    rate: int
    chance: Chance

    @property
    def count(self) -> int:
        return int(self.seconds * self.rate)

    def slowly(self, every_s: float, colour: float = 1.0) -> Wave:
        """A wandering that moves within ``every_s``, drawn out to every sample."""
        knots = wandering(self.chance, int(self.seconds / every_s) + 3, colour)
        at = np.arange(self.count) / self.rate / every_s
        return np.interp(at, np.arange(len(knots)), knots)

    def hiss(self, gain: Callable[[Wave], Wave]) -> Wave:
        return shaped(self.chance.standard_normal(self.count), self.rate, gain)


Sound = Callable[[Air], Wave]


def hiss(level_db: float) -> Sound:
    """A microphone's own noise, and a quiet place."""
    return lambda air: levelled(air.hiss(tilted(500, 3)), air.rate, level_db)


def wind(level_db: float, gusty_db: float = 5) -> Sound:
    """Turbulence at the microphone: low above all, in gusts, with single knocks."""

    def made(air: Air) -> Wave:
        gusts = 10 ** (gusty_db * air.slowly(0.7) / 20)
        low = air.hiss(tilted(60, 8)) * gusts
        knocks = (air.chance.random(air.count) < 1.5 / air.rate) * air.chance.exponential(
            1, air.count
        )
        fade = np.exp(-np.arange(int(0.05 * air.rate)) / (0.012 * air.rate))
        struck = scipy.signal.fftconvolve(knocks, fade)[: air.count] * air.hiss(tilted(200, 5))
        return levelled(
            low / low.std() + struck / max(struck.std(), 1e-9) * 0.3, air.rate, level_db
        )

    return made


def road(level_db: float, rises_db: float = 0, cars: int = 6) -> Sound:
    """Tyres: broad with a hump near 1 kHz (Sandberg 2003, Euronoise, from memory); cars that come
    and go. ``rises_db``: how much louder it is at the end than at the beginning."""

    def made(air: Air) -> Wave:
        at = np.arange(air.count) / air.rate
        power = np.full(air.count, 0.3)
        for _ in range(cars):
            when, nearby = air.chance.uniform(0, air.seconds), air.chance.uniform(0.7, 2.5)
            power += air.chance.uniform(0.3, 1.5) / (1 + np.square((at - when) / nearby))
        rise = 10 ** (rises_db * (at / air.seconds - 0.5) / 20)
        wave = air.hiss(lambda hz: band(1_000, 1.6)(hz) + 0.15 * tilted(300, 6)(hz))
        return levelled(wave * np.sqrt(power), air.rate, level_db) * rise

    return made


def breath(level_db: float, per_minute: float = 42) -> Sound:
    """In and out, two pulls of air each."""

    def made(air: Air) -> Wave:
        at = np.arange(air.count) / air.rate
        turns = per_minute / 60 * at + 0.05 * air.slowly(2.0)
        pulls = np.clip(np.sin(4 * np.pi * turns), 0, None) ** 1.5
        return levelled(air.hiss(band(1_500, 1.2)) * pulls, air.rate, level_db)

    return made


def speech(level_db: float) -> Sound:
    """Syllables, four to six a second in phrases with pauses (Ding and others 2017, Neurosci
    Biobehav Rev 81:181, from memory): a voice through moving resonances, or a hiss."""

    def made(air: Air) -> Wave:
        chance, out = air.chance, np.zeros(air.count + air.rate)
        voice_hz, now, left = chance.uniform(90, 230), 0.2, 0
        while now < air.seconds - 0.1:
            if left == 0:
                left = int(chance.integers(4, 14))
                now += chance.uniform(0.2, 1.2)
            left -= 1
            lasts = float(np.clip(chance.gamma(8, 0.025), 0.08, 0.45))
            at = np.arange(int(lasts * air.rate)) / air.rate
            bend = voice_hz * (1 + 0.15 * chance.standard_normal() - 0.1 * at / lasts)
            turn = np.cumsum(bend) / air.rate
            buzz = 2 * (turn % 1) - 1 + 0.02 * chance.standard_normal(len(at))
            peaks = [
                chance.uniform(300, 800),
                chance.uniform(900, 2_300),
                chance.uniform(2_400, 3_200),
            ]
            mouth = shaped(
                buzz, air.rate,
                lambda hz, peaks=peaks: sum(band(p, 0.25)(hz) / n for n, p in enumerate(peaks, 1)),
            )  # fmt: skip
            loud = np.sin(np.pi * np.minimum(at / lasts, 1)) ** 0.6 * 10 ** (
                chance.normal(0, 3) / 20
            )
            piece = mouth / max(mouth.std(), 1e-9) * loud
            if chance.random() < 0.45:
                sharp = chance.standard_normal(len(at)) * np.exp(-at / 0.04)
                piece += 0.4 * shaped(sharp, air.rate, band(chance.uniform(2_500, 6_000), 0.6))
            start = int(now * air.rate)
            end = min(start + len(piece), len(out))
            if end <= start:
                break
            out[start:end] += piece[: end - start]
            now += lasts * chance.uniform(0.85, 1.05)
        return levelled(out[: air.count], air.rate, level_db)

    return made


BARS = {  # sixteenths of a bar: kick, snare, hat
    "four": ("x...x...x...x...", "....x.......x...", "..x...x...x...x."),
    "rock": ("x.......x.x.....", "....x.......x...", "x.x.x.x.x.x.x.x."),
    "march": ("x.......x.......", "....x.......x...", "................"),
    "claps": ("................", "x...x...x...x...", "................"),
    "shuffle": ("x..x..x...x.x...", "....x..x....x...", "x.xxx.xxx.xxx.xx"),
}


def music(level_db: float, bpm: float, bar: str, off_ms: float = 0, keys_db: float = -3) -> Sound:
    """Drums, and chords under them. ``off_ms``: a machine plays to the sample; a person is 10 to
    20 ms off, slowly wandering (Hennig and others 2011, PLoS ONE 6:e26457, from memory)."""

    def made(air: Air) -> Wave:
        chance, out = air.chance, np.zeros(air.count + air.rate)
        at = np.arange(int(0.3 * air.rate)) / air.rate
        hits = (
            np.sin(2 * np.pi * (50 * at + 4 * (1 - np.exp(-at / 0.02)))) * np.exp(-at / 0.09)
            + 0.15 * np.exp(-at / 0.004) * chance.standard_normal(len(at)),
            (shaped(chance.standard_normal(len(at)), air.rate, band(2_200, 1.4)) * 2
             + 0.5 * np.sin(2 * np.pi * 190 * at)) * np.exp(-at / 0.06),
            shaped(chance.standard_normal(len(at)), air.rate, band(8e3, 0.8)) * np.exp(-at / 0.025),
        )  # fmt: skip
        slot = 60 / bpm / 4
        for which, (hit, line) in enumerate(zip(hits, BARS[bar], strict=True)):
            slots = [s for s in range(int(air.seconds / slot)) if line[s % 16] == "x"]
            late = off_ms / 1000 * wandering(chance, len(slots) + 2, 0.8)[: len(slots)]
            for s, by in zip(slots, late, strict=True):
                start = int(max(0.05 + s * slot + by, 0) * air.rate)
                loud = (1, 0.8, 0.4)[which] * 10 ** (chance.normal(0, 2 if off_ms else 0) / 20)
                end = min(start + len(hit), len(out))
                out[start:end] += loud * hit[: max(end - start, 0)]
        wave = levelled(out[: air.count], air.rate, level_db)
        if keys_db <= -60:
            return wave
        time = np.arange(air.count) / air.rate
        keys = np.zeros(air.count)
        bar_s = 16 * slot
        for first in np.arange(0, air.seconds, bar_s):
            span = slice(int(first * air.rate), int(min(first + bar_s, air.seconds) * air.rate))
            for note in chance.choice([220, 247, 262, 294, 330, 392, 440, 523], 3, replace=False):
                for part in (1, 2, 3, 4):
                    keys[span] += np.sin(2 * np.pi * note * part * time[span]) / part
        return wave + levelled(keys, air.rate, level_db + keys_db)

    return made


class Burst(NamedTuple):
    """A hiss of a quarter of a second that the phone itself plays, at the level it comes back."""

    at_s: float
    level_db: float


BURST_S = 0.25

# --- the phone ----------------------------------------------------------------------------------


class GainControl(NamedTuple):
    """A phone that turns its microphone up and down. What real ones do was not measured."""

    target_db: float = -22
    ratio: float = 0.7  # how much of the distance to the target it takes away, in dB
    falls_s: float = 0.02
    rises_s: float = 0.3


FAST = GainControl()
SLOW = GainControl(ratio=0.8, falls_s=2.0, rises_s=8.0)
BLOCK_S = 0.002


def controlled(
    wave: Wave, rate: int, control: GainControl, last: float | None
) -> tuple[Wave, float]:
    """The wave after gain control, and the power it held at the end, for what comes next."""
    size = max(int(BLOCK_S * rate), 1)
    count = len(wave) // size
    power = np.square(wave[: count * size]).reshape(count, size).mean(1) * 2 + 1e-12
    held = np.empty(count)
    level = float(power[: int(1 / BLOCK_S)].mean()) if last is None else last
    fall, rise = BLOCK_S / control.falls_s, BLOCK_S / control.rises_s
    for i, one in enumerate(power.tolist()):
        level += (one - level) * (fall if one > level else rise)
        held[i] = level
    gain = control.ratio * (control.target_db - 10 * np.log10(held))
    each = np.interp(np.arange(len(wave)), (np.arange(count) + 0.5) * size, gain)
    return wave * 10 ** (np.clip(each, -10, 30) / 20), level


def rounded(wave: Wave) -> Wave:
    """16 bits, clipped at full scale."""
    return (np.round(np.clip(wave, -1, 32767 / 32768) * 32768) / 32768).astype(np.float32)


def resampled(wave: Wave, rate: int, to: int) -> Wave:
    """The same sound at another rate, as a device's mixer gives it on."""
    common = int(np.gcd(rate, to))
    return scipy.signal.resample_poly(wave, to // common, rate // common).astype(np.float32)


# --- a part, and a whole check ------------------------------------------------------------------


@dataclass(frozen=True)
class Part:
    """What is to be heard for some seconds."""

    steps: Steps | None = Steps()
    sounds: tuple[Sound, ...] = ()
    bursts: tuple[Burst, ...] = ()
    seconds: float = 60.0


@dataclass(frozen=True)
class Heard:
    """A part as the phone gives it, and what is true of it. Without steps the truth is NaN."""

    wave: Wave
    rate: int
    times: Wave
    levels_db: Wave
    ratio_db: float

    @property
    def spm(self) -> float:
        gone = self.times[-1] - self.times[0] if len(self.times) > 1 else np.nan
        return float(60 * (len(self.times) - 1) / gone)

    @property
    def level_db(self) -> float:
        return float(np.median(self.levels_db)) if len(self.levels_db) else float("nan")


def render(part: Part, rate: int, chance: Chance) -> tuple[Wave, Heard]:
    """The sound at the microphone, before the phone does anything to it, and the truth of it."""
    air = Air(part.seconds, rate, chance)
    around = np.zeros(air.count)
    for sound in part.sounds:
        around += sound(air)
    feet = np.zeros(air.count + rate)
    times, levels = np.zeros(0), np.zeros(0)
    if part.steps is not None:
        steps = part.steps
        times = step_times(steps, part.seconds, chance)
        strikes = [strike(steps, rate, chance) for _ in range(STRIKES)]
        own = [energy(one, rate) for one in strikes]
        side = steps.nearer_db / 2 * (1 - 2 * (np.arange(len(times)) % 2))
        levels = steps.level_db + side + steps.varies_db * wandering(chance, len(times), 0.5)
        levels = levels - 25 * (chance.random(len(times)) < steps.missed)
        for when, level in zip(times, levels, strict=True):
            which = int(chance.integers(STRIKES))
            start = round(when * rate)
            wave = strikes[which] * 10 ** (level / 20) / np.sqrt(own[which])
            feet[start : start + len(wave)] += wave
        times = np.round(times * rate) / rate
    wave = around + feet[: air.count]
    for burst in part.bursts:
        start, lasts = int(burst.at_s * rate), int(BURST_S * rate)
        made = shaped(chance.standard_normal(lasts), rate, band(1_600, 1.0))
        wave[start : start + lasts] += levelled(made, rate, burst.level_db)
    ratio = float("nan")
    if len(times) > 1:
        between = (times[-1] - times[0]) / (len(times) - 1)
        ratio = float(np.median(levels)) - decibels(energy(around, rate) / part.seconds * between)
    return wave, Heard(wave, rate, times, levels, ratio)


def heard(
    parts: Sequence[Part], seed: int, *, rate: int = 48_000, gain: GainControl | None = None,
    gain_db: float = 0.0,
) -> list[Heard]:  # fmt: skip
    """Parts one after the other through one phone.

    Args:
        parts: What is to be heard.
        seed: The same seed, the same sound to the last bit.
        rate: Samples a second.
        gain: How the phone turns itself up and down, or None where it holds still. What it does in
            one part it takes into the next.
        gain_db: What it adds all the time.
    """
    out, state = [], None
    for number, part in enumerate(parts):
        wave, truth = render(part, rate, np.random.default_rng((seed, number)))
        wave = wave * 10 ** (gain_db / 20)
        if gain is not None:
            wave, state = controlled(wave, rate, gain, state)
        out.append(replace(truth, wave=rounded(wave)))
    return out
