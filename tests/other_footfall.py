"""Another hand's running steps: sound made from physics, of which the truth is known.

Written apart from `footfall` and from the listening check, so that a habit that both share shows.
A pure function of a seed; numpy alone. Levels are A-weighted, in dB (IEC 61672-1 has the formula of
the weighting); times in seconds, frequencies in Hz. A number without a source is judgement.

The truth of a part: the step rate, 60 over the mean of the intervals between contacts; the level,
the mean energy of its clean steps, A-weighted, as the air brings them, before any microphone. Step
to noise is that energy over the 100 ms from each contact, against the mean of the part's noise.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

Wave = npt.NDArray[np.float64]
Chance = np.random.Generator

STEP_S = 0.3  # how long one step may sound
STANCE_S = 0.1  # over which a step's level is told
RATES = (16_000, 44_100, 48_000)
HISS_S, HISSES, SOFTER_DB = 0.25, ((0.6, 1.3), (60.4, 61.1)), 12.0  # as the page plays them


class Ground(NamedTuple):
    """A resonance, how sharp and how strong it is, where brightness ends, and loose stones."""

    hz: float
    sharp: float
    rings: float
    bright_hz: float
    stones: float


GROUNDS = {  # judgement throughout: hard and bright, hollow, soft and dull, loose
    "asphalt": Ground(900, 1.5, 0.8, 4500, 0.05),
    "track": Ground(450, 1.5, 0.8, 2600, 0.0),
    "deck": Ground(180, 4.0, 3.0, 2800, 0.0),
    "boards": Ground(260, 6.0, 3.0, 3500, 0.0),
    "grass": Ground(250, 1.0, 0.6, 1500, 0.15),
    "gravel": Ground(1200, 1.0, 0.8, 5500, 0.7),
}
INDOORS = ("deck", "boards")
NOISES = ("wind", "road", "talk", "breath", "rustle", "motor", "rain", "knocks")


class Runner(NamedTuple):
    """How somebody runs, in one part."""

    spm: float
    level_db: float
    ground: str
    heel: float  # 0: on the forefoot, 1: on the heel
    roll_s: float  # from heel to forefoot
    decay_s: float
    dull: float  # times the ground's brightness
    scuff: float
    nearer_db: float  # left against right
    limp: float  # share of an interval by which left and right differ in time
    jitter: float  # share of an interval
    drift: float  # share of the rate, from a part's beginning to its end
    varies_db: float
    thump_hz: float
    off_s: float  # from contact to pushing off, at the end of stance


class Microphone(NamedTuple):
    """What becomes of the sound in a phone."""

    made: int  # the rate at which it samples
    rate: int  # the rate that is handed on
    low_hz: float
    high_hz: float
    gain: str = "none"  # "slow" or "fast": turns itself up and down
    over_db: float = -9.0  # the loudest of the steps against full scale; above 0 it is clipped


class Heard(NamedTuple):
    """A part as the phone hands it on, and the truth: no step rate where nobody runs."""

    wave: Wave
    rate: int
    spm: float
    level_db: float
    snr_db: float
    told: str


# --- tools --------------------------------------------------------------------------------------


def a_weight(hz: Wave) -> Wave:
    """Amplitude of the A-weighting: IEC 61672-1:2013, annex E, from memory."""
    f = hz**2
    curve = 12194**2 * f**2 / (
        (f + 20.6**2) * np.sqrt((f + 107.7**2) * (f + 737.9**2)) * (f + 12194**2)
    )  # fmt: skip
    return np.asarray(curve * 10 ** (2.0 / 20))


def energy(wave: Wave, rate: int) -> float:
    """A-weighted: the sum of squares over the rate, by Parseval's theorem."""
    spectrum = np.fft.rfft(wave)
    weight = a_weight(np.fft.rfftfreq(len(wave), 1 / rate))
    return float(2 * np.sum((np.abs(spectrum) * weight) ** 2) / len(wave) / rate)


def level(wave: Wave, rate: int) -> float:
    return 10 * np.log10(energy(wave, rate) / (len(wave) / rate))


def at_level(wave: Wave, rate: int, db: float) -> Wave:
    return wave * 10 ** ((db - level(wave, rate)) / 20)


def band(hz: Wave, low: float, high: float, order: int = 2) -> Wave:
    """Passes from ``low`` to ``high``; beyond, 6 dB an octave for each order."""
    safe = np.maximum(hz, 1e-3)
    return np.asarray(
        1 / np.sqrt((1 + (low / safe) ** (2 * order)) * (1 + (safe / high) ** (2 * order)))
    )


def noise(chance: Chance, rate: int, seconds: float, low: float, high: float, slope: float) -> Wave:
    """Noise of a band, its amplitude as frequency to the power ``slope`` within."""
    spectrum = np.fft.rfft(chance.standard_normal(round(rate * seconds)))
    hz = np.fft.rfftfreq(round(rate * seconds), 1 / rate)
    shape = band(hz, low, high) * np.maximum(hz, 20) ** slope
    return np.asarray(np.fft.irfft(spectrum * shape, round(rate * seconds)))


def slow(chance: Chance, rate: int, seconds: float, each_s: float) -> Wave:
    """A curve of about variance 1 that wanders in ``each_s``."""
    points = chance.standard_normal(int(seconds / each_s) + 3)
    at = np.arange(round(rate * seconds)) / rate / each_s
    return np.asarray(np.interp(at, np.arange(len(points)), points))


def bump(t: Wave, rise: float, decay: float) -> Wave:
    return np.asarray(np.where(t > 0, (1 - np.exp(-t / rise)) * np.exp(-t / decay), 0.0))


def put(into: Wave, sound: Wave, start: int) -> None:
    end = min(len(into), start + len(sound))
    if 0 <= start < end:
        into[start:end] += sound[: end - start]


# --- steps --------------------------------------------------------------------------------------


def a_runner(chance: Chance) -> Runner:
    return Runner(
        spm=chance.uniform(140, 200),
        level_db=chance.uniform(-48, -34),
        ground=str(chance.choice(list(GROUNDS))),
        heel=float(chance.choice([0.0, 0.5, 1.0])),
        roll_s=chance.uniform(0.03, 0.08),
        decay_s=chance.uniform(0.008, 0.022),
        dull=chance.uniform(0.7, 1.2),
        scuff=chance.uniform(0, 0.35),
        nearer_db=chance.uniform(-6, 6),
        limp=chance.uniform(-0.03, 0.03),
        jitter=chance.uniform(0.01, 0.03),  # of strides 1 to 3 %, from memory
        drift=chance.uniform(-0.03, 0.03),
        varies_db=chance.uniform(1, 2.5),
        thump_hz=chance.uniform(60, 140),
        off_s=chance.uniform(0.17, 0.22),
    )


def contacts(chance: Chance, runner: Runner, seconds: float) -> Wave:
    """Times at which feet meet the ground: one interval's error leans on that before."""
    times, error, foot = [chance.uniform(0.05, 0.4)], 0.0, 1
    while times[-1] < seconds - STEP_S:
        error = 0.5 * error + chance.normal(0, runner.jitter * np.sqrt(0.75))
        rate = runner.spm * (1 + runner.drift * (times[-1] / seconds - 0.5))
        times.append(times[-1] + 60 / rate * max(0.6, 1 + error + foot * runner.limp))
        foot = -foot
    return np.asarray(times[:-1])


def steps(chance: Chance, runner: Runner, rate: int, times: Wave, seconds: float) -> Wave:
    """Heel, forefoot, a low thump, pushing off and stones; at the runner's level, clean."""
    ground, count, size = GROUNDS[runner.ground], len(times), round(STEP_S * rate)
    t, hz = np.arange(size) / rate, np.fft.rfftfreq(size, 1 / rate)
    bright = ground.bright_hz * runner.dull
    ring = 1 + ground.rings / np.sqrt(1 + (ground.sharp * (hz / ground.hz - 1)) ** 2 * 4)

    def bursts(envelope: Wave, low: float, high: float) -> Wave:
        spectrum = np.fft.rfft(chance.standard_normal((count, size)) * envelope, axis=1)
        return np.asarray(np.fft.irfft(spectrum * band(hz, low, high) * ring, size, axis=1))

    heel = runner.heel * bump(t, 0.0008, runner.decay_s)
    rolls = t - runner.roll_s * runner.heel
    fore = (1 - 0.5 * runner.heel) * bump(rolls, 0.002, runner.decay_s * 1.3)
    sound = bursts(heel, 120, bright) + bursts(fore, 250, bright * 1.2)
    off = t - runner.off_s
    sound += bursts(runner.scuff * 0.3 * bump(off, 0.01, 0.02), 800, bright * 1.5)
    if ground.stones:
        crunch = chance.random((count, size)) < 0.01
        sound += ground.stones * bursts(crunch * 8 * bump(t, 0.01, 0.05), 1000, 6000)
    peak = np.max(np.abs(sound))
    sound += 0.7 * peak * np.exp(-t / 0.03) * np.sin(2 * np.pi * runner.thump_hz * t)
    side = np.where(np.arange(count) % 2 == 0, 0.5, -0.5) * runner.nearer_db
    sound *= 10 ** ((side + chance.normal(0, runner.varies_db, count)) / 20)[:, None]

    track = np.zeros(round(rate * seconds))
    for at, one in zip(times, sound, strict=True):
        put(track, one, round(at * rate))
    each = 10 * np.log10(energy(track, rate) / count / STANCE_S)
    return track * 10 ** ((runner.level_db - each) / 20)


def echoed(chance: Chance, track: Wave, rate: int, fades_s: float, wet_db: float) -> Wave:
    """In a room: noise that fades by 60 dB in ``fades_s``, of so much energy beside the direct."""
    t = np.arange(round(rate * fades_s)) / rate
    tail = chance.standard_normal(len(t)) * 10 ** (-3 * t / fades_s) * (t > 0.004)
    tail *= 10 ** (wet_db / 20) / np.sqrt(np.sum(tail**2))
    size = len(track) + len(tail)
    wet = np.fft.irfft(np.fft.rfft(track, size) * np.fft.rfft(tail, size), size)
    return np.asarray(track + wet[: len(track)])


# --- noise --------------------------------------------------------------------------------------


def around(chance: Chance, kind: str, rate: int, seconds: float, spm: float | None) -> Wave:
    """One kind of noise at any level. With a step rate, breath and clothes go with the steps."""
    size = round(rate * seconds)
    t = np.arange(size) / rate
    if kind == "wind":  # most of it below 300 Hz; gusts, and buffets of a few tenths of a second
        gust = np.exp(
            0.7 * slow(chance, rate, seconds, 2.5) + 0.5 * slow(chance, rate, seconds, 0.25)
        )
        return noise(chance, rate, seconds, 30, 250, -0.5) * gust
    if kind == "road":  # tyres are loudest about 1 kHz (Sandberg 2001, from memory)
        track = 0.5 * noise(chance, rate, seconds, 100, 1500, -0.3)
        tyres = noise(chance, rate, seconds, 600, 1300, 0.0)
        track *= np.std(tyres) / np.std(track) * 0.7
        for middle in chance.uniform(0, seconds, chance.poisson(seconds / 12)):
            width = chance.uniform(1, 3)
            track += chance.uniform(0.5, 2) * tyres * np.exp(-(((t - middle) / width) ** 2))
        return track
    if kind == "talk":
        return talk(chance, rate, seconds)
    if kind == "breath":  # four steps a breath is common (Bramble and Carrier 1983, from memory)
        each = 4 * 60 / spm if spm else 60 / chance.uniform(25, 50)
        turns = np.cumsum(1 + 0.06 * slow(chance, rate, seconds, each)) / rate / each
        air = noise(chance, rate, seconds, 400, 2500, -0.2)
        return air * (0.05 + np.maximum(0, np.sin(2 * np.pi * turns)) ** 1.5
                      + 0.5 * np.maximum(0, -np.sin(2 * np.pi * turns)) ** 2)  # fmt: skip
    if kind == "rustle":  # each arm's swing, or now and then when nobody runs
        track = np.zeros(size)
        at = 0.1
        while at < seconds:
            long = chance.uniform(0.1, 0.3)
            window = np.hanning(round(long * rate))
            put(track, window * chance.uniform(0.2, 1), round(at * rate))
            at += 60 / spm * chance.uniform(0.85, 1.15) if spm else 0.1 + chance.exponential(0.6)
        return track * noise(chance, rate, seconds, 1500, 6500, 0.2)
    if kind == "motor":  # a treadmill's or a fan's hum, and its belt
        base = chance.uniform(45, 120)
        hum = sum(np.sin(2 * np.pi * base * n * t + chance.uniform(0, 6)) / n for n in range(1, 9))
        belt = noise(chance, rate, seconds, 200, 2500, -0.5)
        return np.asarray(hum / np.std(hum) * np.std(belt) * chance.uniform(0.2, 1) + belt)
    if kind == "rain":  # drops by chance, each a click that rings
        track = np.zeros(size)
        short = np.arange(round(0.02 * rate)) / rate
        for at in chance.uniform(0, seconds, chance.poisson(seconds * chance.uniform(4, 40))):
            hz = chance.uniform(800, 5000)
            drop = np.exp(-short / 0.003) * np.sin(2 * np.pi * hz * short)
            put(track, drop * chance.lognormal(0, 0.8), round(at * rate))
        return track + 0.05 * np.std(track) * chance.standard_normal(size)
    if kind == "knocks":  # a phone that is handled, doors, dishes: two a second, at any time
        track = 1e-3 * chance.standard_normal(size)
        short = np.arange(round(0.15 * rate)) / rate
        at = 0.0
        while (at := at + 0.08 + chance.exponential(0.4)) < seconds:
            knock = chance.standard_normal(len(short)) * np.exp(
                -short / chance.uniform(0.005, 0.04)
            )
            put(track, knock * chance.lognormal(0, 0.7), round(at * rate))
        return track
    raise ValueError(kind)


def talk(chance: Chance, rate: int, seconds: float) -> Wave:
    """Speech-like: four or five syllables a second, two formants each, hisses and pauses."""
    track = np.zeros(round(rate * seconds))
    at, pitch = 0.2, chance.uniform(95, 220)
    while at < seconds:
        long = chance.uniform(0.12, 0.28)
        size = round(long * rate)
        t = np.arange(size) / rate
        formants = chance.uniform(300, 800), chance.uniform(900, 2400)
        hz = pitch * chance.uniform(0.85, 1.2)
        partials = np.arange(1, int(3500 / hz))
        gains = sum(1 / (1 + ((partials * hz - f) / 90) ** 2) for f in formants)
        phases = 2 * np.pi * hz * np.outer(partials, t + 0.002 * np.sin(2 * np.pi * 2 * t))
        syllable = np.asarray(gains) @ np.sin(phases) * np.hanning(size) ** 0.7
        put(track, syllable * chance.uniform(0.4, 1), round(at * rate))
        if chance.random() < 0.4:
            hiss = np.diff(chance.standard_normal(round(0.08 * rate) + 1))
            put(track, 0.12 * hiss * np.hanning(len(hiss)), round((at - 0.06) * rate))
        at += long * chance.uniform(0.8, 1.1)
        if chance.random() < 0.15:
            at += chance.exponential(0.6)
    return track + 1e-3 * chance.standard_normal(len(track))


# --- the phone ----------------------------------------------------------------------------------


def a_microphone(chance: Chance, gain: str = "none", over_db: float = -9.0) -> Microphone:
    made = int(chance.choice(RATES, p=[0.6, 0.2, 0.2]))
    return Microphone(
        made, int(chance.choice(RATES)), chance.uniform(60, 250), chance.uniform(5500, 7500),
        gain, over_db,
    )  # fmt: skip


def turned(wave: Wave, rate: int, kind: str) -> Wave:
    """A gain that follows the sound towards -25 dB, by at most 15 dB, in blocks of 10 ms."""
    block = rate // 100
    count = len(wave) // block
    powers = 10 * np.log10(np.mean(wave[: count * block].reshape(count, block) ** 2, 1) + 1e-12)
    up, down = (2.0, 0.5) if kind == "slow" else (0.3, 0.02)  # seconds
    loud = 10 * np.log10(np.mean(10 ** (powers[:100] / 10)))
    gains = np.empty(count)
    for number, one in enumerate(powers):
        loud += (one - loud) * 0.01 / (down if one > loud else up)
        gains[number] = np.clip(-25 - loud, -15, 15)
    smooth = np.interp(np.arange(len(wave)), (np.arange(count) + 0.5) * block, gains)
    return np.asarray(wave * 10 ** (smooth / 20))


def resampled(wave: Wave, rate: int, to: int) -> Wave:
    size = round(len(wave) * to / rate)
    return np.asarray(np.fft.irfft(np.fft.rfft(wave), size) * size / len(wave))


def recorded(chance: Chance, wave: Wave, phone: Microphone, loudest: float) -> Wave:
    """Filtered by a small microphone, turned up, clipped, rounded to 16 bits, and resampled.
    ``loudest`` is the amplitude that stands ``over_db`` against full scale."""
    size = len(wave)
    shape = band(np.fft.rfftfreq(size, 1 / phone.made), phone.low_hz, phone.high_hz)
    wave = np.fft.irfft(np.fft.rfft(wave) * shape, size)
    wave = wave * 10 ** (phone.over_db / 20) / loudest
    wave = wave + 10 ** (-78 / 20) * chance.standard_normal(size)  # its own noise
    if phone.gain != "none":
        wave = turned(wave, phone.made, phone.gain)
    wave = np.round(np.clip(wave, -1, 1) * 32767) / 32768
    return wave if phone.rate == phone.made else resampled(wave, phone.made, phone.rate)


# --- cases --------------------------------------------------------------------------------------


class Place(NamedTuple):
    """What is around, the same in all parts of a check: kinds with their levels below the main."""

    kinds: tuple[tuple[str, float], ...]
    echo: tuple[float, float] | None  # seconds, dB


def a_place(chance: Chance, runner: Runner) -> Place:
    if runner.ground in INDOORS:
        kinds = (
            ("motor", "talk", "breath") if runner.ground == "deck" else ("talk", "breath", "motor")
        )
        echo = (chance.uniform(0.25, 0.7), chance.uniform(-12, -5))
    else:
        kinds, echo = ("road", "wind", "breath", "rustle", "talk"), None
    order = [str(kind) for kind in chance.permutation(kinds)][:3]
    return Place(tuple((k, -chance.uniform(3, 12) * n) for n, k in enumerate(order)), echo)


def _part(
    chance: Chance, runner: Runner, place: Place, phone: Microphone, seconds: float,
    noise_db: float, loudest: float | None,
    hiss_db: float | None = None, road_db: float | None = None,
) -> tuple[Heard, float]:  # fmt: skip
    rate = phone.made
    times = contacts(chance, runner, seconds)
    clean = steps(chance, runner, rate, times, seconds)
    rest = np.zeros(len(clean))
    for kind, below in place.kinds:
        rest += at_level(around(chance, kind, rate, seconds, runner.spm), rate, below)
    rest = at_level(rest, rate, noise_db)
    if road_db is not None:
        rest += at_level(around(chance, "road", rate, seconds, None), rate, road_db)
    snr = runner.level_db - level(rest, rate)
    near = clean if place.echo is None else echoed(chance, clean, rate, *place.echo)
    if loudest is None:
        loudest = float(np.percentile(np.abs(near), 99.97))
    if hiss_db is not None:
        for start, number in ((s, n) for pair in HISSES for n, s in enumerate(pair)):
            if start < seconds - HISS_S:
                hiss = chance.uniform(-1, 1, round(HISS_S * rate))
                put(rest, at_level(hiss, rate, hiss_db - SOFTER_DB * number), round(start * rate))
    wave = recorded(chance, near + rest, phone, loudest)
    spm = 60 * (len(times) - 1) / (times[-1] - times[0])
    told = f"{runner.ground} {phone.made}>{phone.rate} " + " ".join(k for k, _ in place.kinds)
    return Heard(wave, phone.rate, float(spm), runner.level_db, snr, told), loudest


def a_run(
    seed: int, *, snr: tuple[float, float] = (6, 24), gain: str = "none", over_db: float = -9.0,
    seconds: float = 62.0,
) -> Heard:  # fmt: skip
    """One part with a runner in it."""
    chance = np.random.default_rng((71, seed))
    runner = a_runner(chance)
    place, phone = a_place(chance, runner), a_microphone(chance, gain, over_db)
    noise_db = runner.level_db - chance.uniform(*snr)
    return _part(chance, runner, place, phone, seconds, noise_db, None)[0]


def nobody(seed: int, kind: str, seconds: float = 62.0) -> Heard:
    """Noise alone: one kind, with a little of another under it."""
    chance = np.random.default_rng((72, seed, NOISES.index(kind)))
    phone = a_microphone(chance)
    other = str(chance.choice([k for k in NOISES if k != kind]))
    wave = at_level(around(chance, kind, phone.made, seconds, None), phone.made, 0)
    under = around(chance, other, phone.made, seconds, None)
    wave += at_level(under, phone.made, -chance.uniform(10, 30))
    loudest = float(np.percentile(np.abs(wave), 99.97)) * 10 ** (chance.uniform(0, 25) / 20)
    wave = recorded(chance, wave, phone, loudest)
    return Heard(wave, phone.rate, 0.0, 0.0, -np.inf, f"{kind} {other}")


class Check(NamedTuple):
    """Four parts, and how much softer or louder the second and third truly were, in dB."""

    parts: list[Heard]
    quieter_db: float
    beat_db: float


def a_check(
    seed: int, *, snr: tuple[float, float] = (12, 24), gain: str = "none", over_db: float = -12.0,
    rises_db: float = 6.0, duller: bool = True, seconds: float = 62.0,
) -> Check:  # fmt: skip
    """As usual, quieter, to a beat, as usual again; a road grows louder from part to part, by
    ``rises_db`` in all. Who lands softer lands duller, if ``duller``."""
    chance = np.random.default_rng((73, seed))
    usual = a_runner(chance)
    place, phone = a_place(chance, usual), a_microphone(chance, gain, over_db)
    noise_db = usual.level_db - chance.uniform(*snr)
    softer, beat = chance.uniform(1, 7), chance.uniform(-2, 3)
    less = chance.uniform(0.7, 1) if duller else 1.0
    hiss_db = usual.level_db + chance.uniform(8, 18)
    runs = [
        usual,
        usual._replace(level_db=usual.level_db - softer, spm=usual.spm * chance.uniform(0.98, 1.03),
                       dull=usual.dull * less),
        usual._replace(level_db=usual.level_db - beat, spm=usual.spm * chance.uniform(1, 1.07)),
        usual._replace(level_db=usual.level_db + chance.uniform(-0.8, 0.8)),
    ]  # fmt: skip
    parts: list[Heard] = []
    loudest: float | None = None
    for number, run in enumerate(runs):
        # Beside the noise that was there, enough of a road for the sum to be so much louder.
        sum_db = rises_db * number / (len(runs) - 1)
        road = noise_db + 10 * np.log10(10 ** (sum_db / 10) - 1) if sum_db > 0 else None
        long = seconds * 42 / 62 if number == 2 else seconds
        part, loudest = _part(
            chance,
            run,
            place,
            phone,
            long,
            noise_db,
            loudest,
            hiss_db,
            road,
        )
        parts.append(part)
    middle = (parts[0].level_db + parts[3].level_db) / 2
    return Check(parts, parts[1].level_db - middle, parts[2].level_db - middle)
