"""A second way to hear steps, to hold the page's own against: whole files at once, with scipy.

It goes another way than templates/listening.js on purpose: filters without delay, an envelope, its
spectrum for the step rate, and sound folded over one step for loudness. It refuses nothing.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import scipy

HZ = 400  # the envelope's rate
LEAST_SPM, MOST_SPM = 95, 225


class Second(NamedTuple):
    """Steps a minute; the folded step's level over its own ground, in dB."""

    spm: float
    level_db: float


def power(wave: np.ndarray, rate: int, low_hz: float) -> np.ndarray:
    """The power between ``low_hz`` and 5 kHz, `HZ` times a second."""
    band = scipy.signal.butter(3, [low_hz, 5_000], "bandpass", fs=rate, output="sos")
    square = np.square(scipy.signal.sosfiltfilt(band, wave.astype(float)))
    soft = scipy.signal.sosfiltfilt(scipy.signal.butter(2, 60, fs=rate, output="sos"), square)
    at = np.arange(int(len(wave) / rate * HZ)) * rate / HZ
    return np.maximum(np.interp(at, np.arange(len(soft)), soft), 0)


def spm_of(envelope: np.ndarray) -> float:
    """The rate whose first harmonics hold most of the spectrum, then refined by counting peaks."""
    flat = envelope**0.25
    flat = flat - scipy.signal.sosfiltfilt(scipy.signal.butter(2, 0.8, fs=HZ, output="sos"), flat)
    hz, spectrum = scipy.signal.welch(flat, HZ, nperseg=12 * HZ, nfft=64 * HZ)
    tries = np.arange(LEAST_SPM, MOST_SPM, 0.25) / 60
    # A run at half the rate would have every line of this one, and its own between them.
    lines = [np.interp(tries * n, hz, spectrum) * n**0.5 for n in (1, 2, 3)]
    between = np.interp(tries * 0.5, hz, spectrum) + np.interp(tries * 1.5, hz, spectrum)
    rough = tries[np.argmax(lines[0] + lines[1] + lines[2] + 0.5 * between)]
    alike = scipy.signal.correlate(flat, flat, "same", method="fft")[len(flat) // 2 :]
    one, two = (alike[max(int(HZ / f) - 6, 0) : int(HZ / f) + 7].max() for f in (rough * 2, rough))
    if rough * 2 * 60 <= MOST_SPM and one > 0.3 * two:
        rough *= 2
    smooth = scipy.signal.sosfiltfilt(scipy.signal.butter(2, 12, fs=HZ, output="sos"), flat)
    peaks, told = scipy.signal.find_peaks(smooth, distance=int(0.65 * HZ / rough), prominence=0)
    strong = peaks[told["prominences"] > 0.25 * np.median(told["prominences"])]
    gaps = np.diff(strong) / HZ
    return float(60 * np.sum(np.maximum(np.round(gaps * rough), 1)) / gaps.sum())


def level_of(loud: np.ndarray, sharp: np.ndarray, spm: float) -> float:
    """Each step laid over the next at its strongest moment: the median course, less its ground."""
    step = HZ * 60 / spm
    smooth = scipy.signal.sosfiltfilt(scipy.signal.butter(2, 25, fs=HZ, output="sos"), sharp)
    peaks, _ = scipy.signal.find_peaks(smooth, distance=int(0.65 * step))
    before, after = int(0.2 * step), int(0.7 * step)
    peaks = peaks[(peaks > before) & (peaks < len(loud) - after)]
    laid = np.stack([loud[p - before : p + after] for p in peaks])
    around = laid[:, int(0.55 * step) + before :].mean(1)
    each = laid[:, : before + int(0.12 * HZ)].sum(1) - around * (before + int(0.12 * HZ))
    return float(10 * np.log10(max(np.median(each) / HZ, 1e-15)))


def second(wave: np.ndarray, rate: int, from_s: float, to_s: float) -> Second:
    part = wave[int(from_s * rate) : int(to_s * rate)]
    sharp = power(part, rate, 800)
    spm = spm_of(sharp)
    return Second(spm, level_of(power(part, rate, 500), sharp, spm))
