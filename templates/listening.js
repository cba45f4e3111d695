/* Footfall in a microphone's sound: steps a minute, and how loud steps are against each other.

   Runs in an AudioWorklet, and under Node for the tests; docs/listening.md has the method, what was
   measured of it, and where each number comes from. Of the sound it keeps two energies for every
   5 ms, and how tonal it was four times a second; no sample leaves this file, and what it answers
   are single numbers. Pure but for `listener` at the end. Levels are in dB, times in seconds. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const FRAMES = 200; // a second
  const STEP_HZ = [800, 5000]; // where steps begin sharply
  const LOUD_HZ = [500, 5000]; // where their loudness is measured
  const LEAST_RATE = 12000; // samples a second: less does not reach 5 kHz
  const [LEAST_SPM, MOST_SPM] = [95, 225];
  const FEWEST_STEPS = 60;
  const NEAR = 0.18; // how far an interval may be from the typical one
  const LEAST_NEAR = 0.8; // the share of intervals that are near
  const LEAST_RATIO_DB = 6;
  const TONE_HZ = [500, 3000];
  const TONE_WIDTH_HZ = 160;
  const TONE_S = 0.06;
  const TONE_EVERY_S = 0.25;
  const MOST_TONE_DB = 4.5;
  const MOST_AFTER = 0.5; // of a step's power is left in the 80 ms after it; a breath goes on
  const LEAST_UNEVEN = 0.005; // a share of the interval; feet are less even than a machine
  const BURST_APART_DB = 12;
  const BURST_OFF_DB = 2; // within a pair
  const BURST_DRIFT_DB = 1; // from the first part to the last
  const BURST_CLEAR_DB = 4;
  const USUAL_OFF_DB = 2;

  const decibels = (ratio) => 10 * Math.log10(Math.max(ratio, 1e-15));

  /* The value below which a share of the numbers lies. */
  function quantile(numbers, share) {
    if (!numbers.length) return NaN;
    const sorted = Float64Array.from(numbers).sort();
    const at = share * (sorted.length - 1);
    const low = Math.floor(at);
    return sorted[low] + (sorted[Math.min(low + 1, sorted.length - 1)] - sorted[low]) * (at - low);
  }
  const median = (numbers) => quantile(numbers, 0.5);

  // --- sound to frames ---------------------------------------------------------------------------

  /* A second-order high or low pass by the bilinear transform (the W3C note "Audio EQ Cookbook"). */
  function pass(kind, hz, q, rate) {
    const turn = (2 * Math.PI * hz) / rate;
    const cos = Math.cos(turn);
    const alpha = Math.sin(turn) / (2 * q);
    const scale = 1 / (1 + alpha);
    const end = (kind === "high" ? 1 + cos : 1 - cos) / 2;
    const middle = kind === "high" ? -(1 + cos) : 1 - cos;
    return { b0: end * scale, b1: middle * scale, b2: end * scale,
      a1: -2 * cos * scale, a2: (1 - alpha) * scale, one: 0, two: 0 };
  }

  // Two of them with these qualities are a Butterworth filter of the fourth order.
  const butterworth = (kind, hz, rate) =>
    [0.541196, 1.306563].map((q) => pass(kind, hz, q, rate));

  function run(filter, from, to, count) {
    const { b0, b1, b2, a1, a2 } = filter;
    let { one, two } = filter;
    for (let i = 0; i < count; i += 1) {
      const x = from[i];
      const y = b0 * x + one;
      one = b1 * x - a1 * y + two;
      two = b2 * x - a2 * y;
      to[i] = y;
    }
    // What dies away is set to nothing: numbers too small to be normal are slow.
    filter.one = Math.abs(one) < 1e-20 ? 0 : one;
    filter.two = Math.abs(two) < 1e-20 ? 0 : two;
  }

  /* The power of each frequency: a Fourier transform in place, by halves. The length is a power of 2. */
  function spectrum(samples) {
    const size = samples.length;
    const real = Float64Array.from(samples, (one, i) =>
      one * (0.5 - 0.5 * Math.cos((2 * Math.PI * i) / size)));
    const other = new Float64Array(size);
    for (let i = 1, j = 0; i < size; i += 1) {
      let bit = size >> 1;
      for (; j & bit; bit >>= 1) j ^= bit;
      j ^= bit;
      if (i < j) [real[i], real[j]] = [real[j], real[i]];
    }
    for (let width = 2; width <= size; width *= 2) {
      const half = width / 2;
      for (let k = 0; k < half; k += 1) {
        const turn = (-2 * Math.PI * k) / width;
        const [cos, sin] = [Math.cos(turn), Math.sin(turn)];
        for (let at = k; at < size; at += width) {
          const to = at + half;
          const re = real[to] * cos - other[to] * sin;
          const im = real[to] * sin + other[to] * cos;
          [real[to], other[to]] = [real[at] - re, other[at] - im];
          real[at] += re;
          other[at] += im;
        }
      }
    }
    return real.subarray(0, size / 2).map((one, i) => one * one + other[i] * other[i]);
  }

  /* How far tones stand out, in dB: the mean of power over its geometric mean, in narrow bands; one
     band of four has more. Noise gives about 2.5 (10 log10 of e to Euler's constant), chords far
     more. */
  function tone(samples, rate) {
    const power = spectrum(samples);
    const bin = (hz) => Math.round((hz * samples.length) / rate);
    const found = [];
    for (let hz = TONE_HZ[0]; hz < TONE_HZ[1]; hz += TONE_WIDTH_HZ) {
      const band = power.subarray(bin(hz), bin(hz + TONE_WIDTH_HZ));
      const mean = band.reduce((sum, one) => sum + one, 0) / band.length;
      const logs = band.reduce((sum, one) => sum + decibels(one + 1e-15), 0) / band.length;
      found.push(decibels(mean + 1e-15) - logs);
    }
    return quantile(found, 0.75);
  }

  /* Takes samples in blocks of any size; keeps for each frame the mean power of both bands. A rate
     below `LEAST_RATE` does not reach the bands: nothing is heard then. */
  function ear(rate) {
    if (rate < LEAST_RATE) return { hear() {}, frames: { step: [], loud: [], tone: [] }, isDeaf: true };
    const low = butterworth("low", STEP_HZ[1], rate);
    const step = butterworth("high", STEP_HZ[0], rate);
    const loud = butterworth("high", LOUD_HZ[0], rate);
    const frames = { step: [], loud: [], tone: [] };
    const lately = new Float64Array(2 ** Math.ceil(Math.log2(TONE_S * rate)));
    const toneFrames = Math.round(TONE_EVERY_S * FRAMES);
    let [below, sharp, wide] = [0, 0, 0].map(() => new Float64Array(128));
    let [stepSum, loudSum, taken, ends, seen] = [0, 0, 0, rate / FRAMES, 0];

    function hear(samples) {
      const count = samples.length;
      if (below.length < count) {
        [below, sharp, wide] = [0, 0, 0].map(() => new Float64Array(count));
      }
      run(low[0], samples, below, count);
      run(low[1], below, below, count);
      run(step[0], below, sharp, count);
      run(step[1], sharp, sharp, count);
      run(loud[0], below, wide, count);
      run(loud[1], wide, wide, count);
      for (let i = 0; i < count; i += 1) {
        lately[seen % lately.length] = samples[i];
        stepSum += sharp[i] * sharp[i];
        loudSum += wide[i] * wide[i];
        taken += 1;
        seen += 1;
        if (seen < ends) continue;
        frames.step.push(stepSum / taken);
        frames.loud.push(loudSum / taken);
        [stepSum, loudSum, taken] = [0, 0, 0];
        ends += rate / FRAMES;
        if (frames.step.length % toneFrames || seen < lately.length) continue;
        const from = seen % lately.length;
        const inOrder = new Float64Array(lately.length);
        inOrder.set(lately.subarray(from));
        inOrder.set(lately.subarray(0, from), lately.length - from);
        frames.tone.push({ at: frames.step.length, db: tone(inOrder, rate) });
      }
    }
    return { hear, frames, isDeaf: false };
  }

  // --- frames to steps ---------------------------------------------------------------------------

  const LEAP_DB = 20; // a rise counts up to here, or one knock would outweigh a minute

  const WINDOW = 10 * FRAMES;
  const FAINT = 0.03; // of a loud moment's power: what is below makes no rise

  /* Running sums, so that a mean over any stretch is two look-ups. */
  function means(power) {
    const sums = [0];
    for (const one of power) sums.push(sums[sums.length - 1] + one);
    return (from, to) => (sums[to] - sums[from]) / (to - from);
  }

  /* How fast the level rises, frame by frame: three frames, against the three before them. In a
     quiet place each rustle is many times as loud as nothing, so level is counted from a little
     below the loud moments of the seconds around. */
  function rises(power) {
    const mean = means(power);
    const rise = new Float64Array(power.length);
    const half = WINDOW / 2;
    for (let from = 0; from < power.length; from += half) {
      const around = power.slice(Math.max(0, from - half / 2), from + half + half / 2);
      const floor = FAINT * quantile(around, 0.95) + 1e-14;
      for (let i = Math.max(from, 3); i < from + half && i + 3 <= power.length; i += 1) {
        const up = decibels((mean(i, i + 3) + floor) / (mean(i - 3, i) + floor));
        rise[i] = Math.min(Math.max(up, 0), LEAP_DB);
      }
    }
    return rise;
  }

  const BELL = [1, 2, 3, 2, 1].map((one) => one / 9);
  function smooth(values) {
    const half = BELL.length >> 1;
    return Float64Array.from(values, (_, at) =>
      BELL.reduce((sum, part, i) => sum + part * (values[at + i - half] || 0), 0));
  }

  const SHORTEST = Math.floor((60 * FRAMES) / MOST_SPM);
  const LONGEST = Math.ceil((60 * FRAMES) / LEAST_SPM);
  const COMB = 4;

  /* The likeness of the rises with themselves, shifted: 1 is alike, 0 is chance. The mean over
     windows of ten seconds, because a runner's rate moves. */
  function likeness(rise) {
    const most = LONGEST * COMB + 1;
    const total = new Float64Array(most + 1);
    let windows = 0;
    for (let from = 0; from + WINDOW <= rise.length; from += WINDOW / 2) {
      const part = rise.subarray(from, from + WINDOW);
      const mean = part.reduce((sum, one) => sum + one, 0) / WINDOW;
      const power = part.reduce((sum, one) => sum + (one - mean) * (one - mean), 0) / WINDOW;
      if (!(power > 0)) continue;
      windows += 1;
      for (let lag = SHORTEST >> 1; lag <= most; lag += 1) {
        let sum = 0;
        for (let i = lag; i < WINDOW; i += 1) sum += (part[i] - mean) * (part[i - lag] - mean);
        total[lag] += sum / (WINDOW - lag) / power;
      }
    }
    return total.map((one) => (windows ? one / windows : 0));
  }

  /* The likeness near a lag: steps vary, so the further the lag, the wider it looks. */
  function near(alike, lag) {
    const reach = Math.max(1, Math.round(lag * 0.012));
    let best = -1;
    for (let at = Math.round(lag) - reach; at <= Math.round(lag) + reach; at += 1) {
      if (at >= 0 && at < alike.length && alike[at] > best) best = alike[at];
    }
    return best;
  }

  /* Frames between steps, or null. Left and right differ, so two steps may be more alike than one:
     half of the best lag is taken if its odd multiples stand out as well. */
  function typical(alike) {
    let best = null;
    for (let lag = SHORTEST; lag <= LONGEST; lag += 1) {
      let score = 0;
      for (let times = 1; times <= COMB; times += 1) score += near(alike, lag * times) / COMB;
      if (best === null || score > best.score) best = { lag, score };
    }
    const half = best.lag / 2;
    if (half >= SHORTEST) {
      const odd = (near(alike, half) + near(alike, half * 3)) / 2;
      const even = (near(alike, half * 2) + near(alike, half * 4)) / 2;
      if (odd > 0.3 * even) best = { lag: half, score: best.score };
    }
    return best;
  }

  const ALONE = 0.6; // of an interval: what is nearer to a stronger onset is no step

  /* Frames at which steps begin, to a part of a frame: the strongest first, and none close to it. */
  function onsets(rise, period) {
    const reach = period * ALONE;
    const peaks = [];
    for (let at = 1; at < rise.length - 1; at += 1) {
      if (rise[at] > rise[at - 1] && rise[at] >= rise[at + 1]) peaks.push(at);
    }
    peaks.sort((one, other) => rise[other] - rise[one] || one - other);
    const taken = new Uint8Array(rise.length);
    const kept = [];
    for (const at of peaks) {
      if (taken[at]) continue;
      kept.push(at);
      taken.fill(1, Math.max(0, Math.ceil(at - reach)), Math.ceil(at + reach));
    }
    const least = 0.3 * quantile(kept.map((at) => rise[at]), 0.6);
    return kept.filter((at) => rise[at] >= least).sort((one, other) => one - other).map((at) => {
      const bend = rise[at - 1] - 2 * rise[at] + rise[at + 1];
      return bend < 0 ? at + (0.5 * (rise[at - 1] - rise[at + 1])) / bend : at;
    });
  }

  const isNear = (gap, period) => Math.abs(gap / period - 1) < NEAR;

  const WHOLE = 0.25; // how far from a whole number of intervals a stretch may be, in intervals

  /* Steps a minute. An onset taken at another moment of its step, the forefoot's for the heel's, makes
     one interval longer by as much as the next is shorter. To leave out each that is far from typical
     would leave out more of the long ones than of the short; so what lies between two near ones counts
     together, if it is about a whole number of intervals. */
  function rateOf(gaps, period) {
    let [count, frames, between] = [0, 0, 0];
    const close = () => {
      const whole = Math.round(between / period);
      if (Math.abs(between / period - whole) <= WHOLE) {
        count += whole;
        frames += between;
      }
      between = 0;
    };
    for (const gap of gaps) {
      if (isNear(gap, period)) {
        close();
        count += 1;
        frames += gap;
      } else between += gap;
    }
    close();
    return (60 * FRAMES * count) / frames;
  }

  const STEP_FRAMES = 16; // 80 ms
  const GAP = [0.55, 0.85]; // where between two steps the noise is measured

  /* Each step's power less the noise in the gap after it, that noise, and what follows the step. */
  function strengths(power, times, period) {
    const mean = means(power);
    const found = [];
    for (const time of times) {
      const from = Math.round(time) - 2;
      const [quiet, till] = GAP.map((share) => Math.round(time + share * period));
      if (from < 0 || till > power.length) continue;
      const noise = mean(quiet, till);
      const after = mean(from + STEP_FRAMES, from + 2 * STEP_FRAMES) - noise;
      found.push({ step: mean(from, from + STEP_FRAMES) - noise, noise, after });
    }
    return found;
  }

  /* How far steps are from an even beat, as a share of the interval: strides of one foot against
     the strides before, so that neither a limp nor a slow change counts. */
  function unevenness(times, period) {
    const off = [];
    for (let i = 4; i < times.length; i += 1) {
      const bend = times[i] - 2 * times[i - 2] + times[i - 4];
      if (Math.abs(bend) < period * 0.5) off.push(Math.abs(bend));
    }
    return (median(off) * 1.4826) / Math.sqrt(6) / period;
  }

  /* What was heard between two times: numbers, and `refused` with the reason if they mean nothing. */
  function measure(frames, fromS, toS) {
    const [from, to] = [fromS, toS].map((s) => Math.round(s * FRAMES));
    const rise = smooth(rises(frames.step.slice(from, to)));
    if (rise.length < WINDOW) return { refused: "short", steps: 0 };
    const best = typical(likeness(rise));
    const times = onsets(rise, best.lag);
    const gaps = times.slice(1).map((time, at) => time - times[at]);
    const period = median(gaps.filter((gap) => isNear(gap, best.lag))) || best.lag;
    const each = strengths(frames.loud.slice(from, to), times, period);
    const step = median(each.map((one) => one.step));
    const noise = median(each.map((one) => one.noise));
    const after = median(each.map((one) => one.after));
    const found = {
      steps: times.length,
      spm: rateOf(gaps, period),
      near: gaps.length ? gaps.filter((gap) => isNear(gap, period)).length / gaps.length : 0,
      alike: best.score,
      level_db: decibels(step),
      ratio_db: step > 0 ? decibels(step / Math.max(noise, 1e-14)) : -Infinity,
      uneven: unevenness(times, period),
      after: after / step,
      tone_db: median(frames.tone.filter((one) => one.at >= from && one.at < to)
        .map((one) => one.db)),
    };
    const refused = refusal(found);
    return refused ? { ...found, refused } : found;
  }

  function refusal(found) {
    if (!(found.ratio_db >= LEAST_RATIO_DB)) return "too-noisy";
    if (found.steps < FEWEST_STEPS) return "too-few";
    if (!(found.near >= LEAST_NEAR)) return "no-steps";
    if (!(found.spm >= LEAST_SPM && found.spm <= MOST_SPM)) return "no-steps";
    if (!(found.after <= MOST_AFTER)) return "no-steps";
    if (!(found.uneven >= LEAST_UNEVEN)) return "too-even";
    if (!(found.tone_db <= MOST_TONE_DB)) return "tones";
    return "";
  }

  // --- the whole check ---------------------------------------------------------------------------

  const BURST_FRAMES = 40; // 200 ms of a burst of 250
  const LATE = 100; // frames that a loudspeaker may come late

  /* The level at which a burst of the phone's own comes back, less what was around it: steps within
     it are short, hence a median. NaN where it does not stand out. */
  function burstLevel(frames, atS) {
    const from = Math.round(atS * FRAMES);
    const around = median(frames.loud.slice(Math.max(0, from - 2 * FRAMES), from + 3 * FRAMES));
    let best = 0;
    for (let at = from; at <= from + LATE && at + BURST_FRAMES <= frames.loud.length; at += 4) {
      best = Math.max(best, median(frames.loud.slice(at, at + BURST_FRAMES)));
    }
    return decibels(best / around) < BURST_CLEAR_DB ? NaN : decibels(best - around);
  }

  /* Whether the phone's gain held still, from pairs of bursts [louder, softer] in order of time:
     "still", "moves", or "unheard" where one did not stand out. */
  function gainOf(pairs) {
    if (!pairs.length || pairs.flat().some((level) => !Number.isFinite(level))) return "unheard";
    const loudest = pairs.map((pair) => pair[0]);
    const apart = pairs.some(([loud, soft]) =>
      Math.abs(loud - soft - BURST_APART_DB) > BURST_OFF_DB);
    const drifts = Math.max(...loudest) - Math.min(...loudest) > BURST_DRIFT_DB;
    return apart || drifts ? "moves" : "still";
  }

  /* What the four parts may claim together. `found` is what `measure` gave for usual, quieter, beat
     and again; a difference is null with `why`, where it can't be claimed. */
  function compare(found, gain) {
    const none = (why) => ({ quieter_db: null, beat_db: null, why });
    if (found.usual.refused || found.again.refused) return none("usual-not-heard");
    if (gain !== "still") return none("gain-" + gain);
    const agree_db = found.again.level_db - found.usual.level_db;
    if (Math.abs(agree_db) > USUAL_OFF_DB) return { ...none("usual-differs"), agree_db };
    const usual = (found.usual.level_db + found.again.level_db) / 2;
    const against = (part) => (part.refused ? null : part.level_db - usual);
    return { quieter_db: against(found.quieter), beat_db: against(found.beat), agree_db, why: "" };
  }

  parts.listening = { ear, measure, burstLevel, gainOf, compare };

  // --- in the audio graph ------------------------------------------------------------------------

  const NOTHING = new Float32Array(128);

  /* Answers {from, to, bursts: [[louder, softer], ...]}, in seconds of the graph's own clock, with
     numbers; what it kept is then gone. It plays nothing, so nobody hears themselves. */
  function listener() {
    return class extends world.AudioWorkletProcessor {
      constructor() {
        super();
        this.ear = ear(world.sampleRate);
        this.began = null;
        this.port.onmessage = ({ data }) => {
          if (!this.ear) return;
          const { frames, isDeaf } = this.ear;
          const since = (at) => at - this.began;
          const found = isDeaf ? { refused: "low-rate" }
            : measure(frames, since(data.from), since(data.to));
          const pairs = data.bursts.map((pair) => pair.map((at) => burstLevel(frames, since(at))));
          this.ear = null;
          this.port.postMessage({ found, pairs });
        };
      }

      process([input]) {
        if (!this.ear) return false;
        if (this.began === null && input[0]) this.began = world.currentTime;
        // What a microphone leaves out in between is silence, or all after it would come too early.
        if (this.began !== null) this.ear.hear(input[0] || NOTHING);
        return true;
      }
    };
  }

  if (world.registerProcessor) world.registerProcessor("listening", listener());
})(typeof self === "undefined" ? globalThis : self);
