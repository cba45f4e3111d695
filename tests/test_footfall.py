"""The invented sound of footfall says of itself what is true (`tests/footfall.py`)."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import scipy

import footfall
from footfall import FAST, SLOW, Part, Steps, decibels, energy, heard, resampled, speech, wind

RATE = 16_000
QUIET = footfall.hiss(-75)


def only(part: Part, seed: int = 1, **more: object) -> footfall.Heard:
    (one,) = heard([part], seed, **{"rate": RATE, **more})  # type: ignore[arg-type]
    return one


@pytest.mark.parametrize(
    ("hz", "db"),
    [(31.5, -39.4), (63, -26.2), (125, -16.1), (250, -8.6), (500, -3.2), (1_000, 0.0),
     (2_000, 1.2), (4_000, 1.0), (8_000, -1.1)],
)  # fmt: skip
def test_a_weighting_is_that_of_the_standard(hz: float, db: float) -> None:
    """IEC 61672-1, table of weightings, quoted from memory; the standard prints nominal
    frequencies, exact ones differ by less than 0.1 dB."""
    assert 20 * np.log10(footfall.a_weight(np.array([hz]))[0]) == pytest.approx(db, abs=0.15)


def test_a_full_sine_of_one_second_has_the_level_zero() -> None:
    tone = np.sin(2 * np.pi * 1_000 * np.arange(RATE) / RATE)

    assert decibels(energy(tone, RATE)) == pytest.approx(0, abs=0.05)


def test_the_same_seed_gives_the_same_bytes_and_another_gives_others() -> None:
    part = Part(Steps(), (QUIET, wind(-55)), seconds=3)

    assert only(part).wave.tobytes() == only(part).wave.tobytes()
    assert only(part).wave.tobytes() != only(part, seed=2).wave.tobytes()


@pytest.mark.parametrize("spm", [120, 165, 210])
def test_steps_come_at_the_rate_that_was_asked_for(spm: float) -> None:
    """Spread of the mean of n intervals; a slow wandering adds up, hence 1 %."""
    one = only(Part(Steps(spm=spm, jitter=0.02), seconds=30))

    assert one.spm == pytest.approx(spm, rel=0.01)
    assert np.std(np.diff(one.times) * one.spm / 60) == pytest.approx(0.022, abs=0.008)


def test_a_steps_level_is_its_energy_in_the_sound() -> None:
    """All steps' energy, measured on the whole, is the sum of what is told of each."""
    one = only(Part(Steps(level_db=-40, varies_db=2, spm=100), seconds=20))

    told = 10 * np.log10(np.sum(10 ** (one.levels_db / 10)))
    assert decibels(energy(one.wave, RATE)) == pytest.approx(told, abs=0.4)
    assert one.level_db == pytest.approx(-40, abs=0.6)


def test_a_quieter_part_is_quieter_by_what_is_told() -> None:
    parts = [Part(Steps(level_db=-38), seconds=20), Part(Steps(level_db=-44), seconds=20)]
    loud, soft = heard(parts, 3, rate=RATE)

    measured = decibels(energy(loud.wave, RATE)) - decibels(energy(soft.wave, RATE))
    assert loud.level_db - soft.level_db == pytest.approx(6, abs=0.8)
    assert measured == pytest.approx(6, abs=1)


def test_the_ratio_follows_the_noise() -> None:
    steps = Steps(level_db=-40)
    calm, loud = (only(Part(steps, (footfall.hiss(db),), seconds=10)).ratio_db for db in (-60, -50))

    assert calm - loud == pytest.approx(10, abs=0.1)
    assert calm == pytest.approx(20 - 10 * np.log10(60 / 165), abs=1.2)


def test_wind_is_low_and_a_road_is_not() -> None:
    def low(sound: footfall.Sound) -> float:
        hz, power = scipy.signal.welch(only(Part(None, (sound,), seconds=5)).wave, RATE)
        return float(power[hz < 400].sum() / power.sum())

    assert low(wind(-45)) > 0.9
    assert low(footfall.road(-45)) < 0.5


def test_a_roads_noise_rises_by_what_was_asked_for() -> None:
    one = only(Part(None, (footfall.road(-45, rises_db=12, cars=0),), seconds=12))
    first, *_, last = np.array_split(one.wave, 12)

    assert decibels(energy(last, RATE)) - decibels(energy(first, RATE)) == pytest.approx(11, abs=1)


def test_speech_comes_in_syllables() -> None:
    """The modulation of speech, counted by octaves, is strongest at 2 to 8 a second (Ding and
    others 2017, from memory)."""
    one = only(Part(None, (speech(-30),), seconds=20))
    loud = np.abs(one.wave[: 20 * RATE]).reshape(-1, RATE // 100).mean(1)
    hz, power = scipy.signal.welch(loud - loud.mean(), 100, nperseg=400)

    assert 2 <= hz[np.argmax(np.convolve(power * hz, np.ones(5), "same"))] <= 8


@pytest.mark.parametrize(("off_ms", "least", "most"), [(0, 0, 1.2), (15, 6, 25)])
def test_a_machine_plays_in_time_and_a_person_nearly(off_ms: float, least: float, most: float):
    one = only(Part(None, (footfall.music(-30, 120, "claps", off_ms, keys_db=-99),), seconds=20))
    loud = scipy.signal.convolve(np.abs(one.wave), np.ones(32) / 32, "same")
    hits, _ = scipy.signal.find_peaks(loud, height=loud.max() / 4, distance=RATE // 4)
    first = np.array(
        [np.argmax(loud[max(h - 800, 0) : h + 1] > loud.max() / 8) + h - 800 for h in hits[1:]]
    )

    assert len(hits) == pytest.approx(40, abs=2)
    assert least <= np.std(np.diff(first) / RATE * 1000) / np.sqrt(2) <= most


def test_gain_control_takes_a_difference_away() -> None:
    """Feet 10 dB quieter come back by much less where the phone turns itself up."""
    parts = [Part(Steps(level_db=db), (QUIET,), seconds=20) for db in (-30, -40)]

    def apart(control: footfall.GainControl | None) -> float:
        loud, soft = heard(parts, 1, rate=RATE, gain=control)
        return decibels(energy(loud.wave, RATE)) - decibels(energy(soft.wave, RATE))

    assert apart(None) == pytest.approx(10, abs=1)
    assert apart(FAST) < 6
    assert 2 < apart(SLOW) < 9


def test_slow_gain_goes_on_from_part_to_part() -> None:
    loud = Part(Steps(level_db=-20), (QUIET,), seconds=15)
    soft = replace(loud, steps=Steps(level_db=-45))
    after = heard([loud, soft], 1, rate=RATE, gain=SLOW)[1]

    first, last = (energy(w, RATE) for w in (after.wave[: 2 * RATE], after.wave[-2 * RATE :]))
    assert decibels(last) - decibels(first) > 2


def test_bursts_come_back_at_their_levels() -> None:
    bursts = (footfall.Burst(1, -30), footfall.Burst(2, -42))
    one = only(Part(None, (QUIET,), bursts, seconds=3))
    lasts = int(footfall.BURST_S * RATE)
    loud, soft = (energy(one.wave[s * RATE : s * RATE + lasts], RATE) for s in (1, 2))

    assert decibels(loud) - decibels(soft) == pytest.approx(12, abs=0.2)


@pytest.mark.parametrize("to", [44_100, 48_000, 8_000])
def test_another_rate_has_the_same_sound_below_both(to: int) -> None:
    tone = np.sin(2 * np.pi * 1_000 * np.arange(RATE) / RATE).astype(np.float32)
    other = resampled(tone, RATE, to)

    assert len(other) == to
    assert decibels(energy(other, to)) == pytest.approx(decibels(energy(tone, RATE)), abs=0.1)
