/* Counting: taps, or 3-axis acceleration, into steps per minute. Pure. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const { MOST_SPM } = parts.beat;

  function median(numbers) {
    const sorted = numbers.slice().sort((one, other) => one - other);
    const half = sorted.length >> 1;
    return sorted.length % 2 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
  }

  const FEWEST_TAPS = 6;

  /* Taps (milliseconds, rising) into taps per minute, or null while there are too few.
     The median gap is the ruler. A gap under half of it is a finger that bounced; one of two or
     three lengths is a tap that was missed; one over that is a stop, and counting starts anew.
     The rate is the slope of a straight line through all that is left. */
  function tapRate(timesMs) {
    if (timesMs.length < FEWEST_TAPS) return null;
    const gaps = timesMs.slice(1).map((time, at) => time - timesMs[at]);
    const rough = median(gaps);
    const real = gaps.filter((gap) => gap > rough / 2);
    if (!real.length) return null;
    const ruler = median(real);

    const stretches = [[{ step: 0, ms: timesMs[0] }]];
    for (const ms of timesMs.slice(1)) {
      const stretch = stretches[stretches.length - 1];
      const last = stretch[stretch.length - 1];
      const lengths = (ms - last.ms) / ruler;
      if (lengths < 0.5) continue;
      if (lengths > 3.5) stretches.push([{ step: 0, ms }]);
      else stretch.push({ step: last.step + Math.round(lengths), ms });
    }

    let both = 0;
    let steps = 0;
    for (const stretch of stretches) {
      const step = stretch.reduce((sum, tap) => sum + tap.step, 0) / stretch.length;
      const ms = stretch.reduce((sum, tap) => sum + tap.ms, 0) / stretch.length;
      for (const tap of stretch) {
        both += (tap.step - step) * (tap.ms - ms);
        steps += (tap.step - step) * (tap.step - step);
      }
    }
    return both > 0 ? (60000 * steps) / both : null;
  }

  /* Motion. A run repeats itself every two steps: what the feet do, every step; what the arms do,
     every second step and reversed between. So the likeness of the signal with itself shifted by
     two steps is high for feet and arms alike, and shifted by one step it tells feet from arms.
     Summed over the three axes, that likeness does not change with how the phone is held.
     The thresholds are common practice, no source; tests hold them against signals of known
     rate. */
  const HZ = 100; // samples are evened out to this
  const WINDOW = 6; // seconds that are judged as one
  const HOP = 2; // seconds from one window to the next
  const SHORTEST_STEP = 60 / MOST_SPM;
  const LONGEST_STEP = 60 / 120; // slower than this is walking; a longer search would mix octaves
  const LEAST_SHAKE = 3; // m/s², root mean square: a walk stays below, a run is well above
  const LEAST_LIKENESS = 0.3;
  const FEWEST_WINDOWS = 3;
  const LOST = 0.25; // seconds without a sample that end a stretch

  /* Samples {t, x, y, z} in seconds and m/s² as stretches of even spacing. */
  function evenly(samples) {
    const stretches = [];
    let axes = null;
    let next = 0;
    for (let at = 1; at < samples.length; at += 1) {
      const one = samples[at - 1];
      const two = samples[at];
      const gap = two.t - one.t;
      if (gap > LOST) axes = null;
      if (!(gap > 0) || gap > LOST) continue;
      if (!axes) {
        axes = [[], [], []];
        stretches.push(axes);
        next = one.t;
      }
      for (; next <= two.t; next += 1 / HZ) {
        const share = (next - one.t) / gap;
        axes[0].push(one.x + (two.x - one.x) * share);
        axes[1].push(one.y + (two.y - one.y) * share);
        axes[2].push(one.z + (two.z - one.z) * share);
      }
    }
    return stretches;
  }

  /* Takes gravity and every slow turn of the phone out: each value less the mean around it. */
  function withoutSlow(values) {
    const reach = Math.round(0.5 * HZ);
    const sums = [0];
    for (const value of values) sums.push(sums[sums.length - 1] + value);
    return values.map((value, at) => {
      const from = Math.max(0, at - reach);
      const to = Math.min(values.length, at + reach + 1);
      return value - (sums[to] - sums[from]) / (to - from);
    });
  }

  function power(axes, from, size) {
    let sum = 0;
    for (const axis of axes) {
      for (let at = from; at < from + size; at += 1) sum += axis[at] * axis[at];
    }
    return sum / size;
  }

  /* Likeness with itself `lag` samples later: 1 the same, 0 unlike, -1 reversed. */
  function likeness(axes, from, size, lag) {
    let both = 0;
    let first = 0;
    let second = 0;
    for (const axis of axes) {
      for (let at = from; at < from + size - lag; at += 1) {
        both += axis[at] * axis[at + lag];
        first += axis[at] * axis[at];
        second += axis[at + lag] * axis[at + lag];
      }
    }
    return first && second ? both / Math.sqrt(first * second) : 0;
  }

  /* The top of a parabola through three neighbours, as an offset from the middle one. */
  function peakOffset(left, middle, right) {
    const bend = left - 2 * middle + right;
    return bend < 0 ? Math.max(-0.5, Math.min(0.5, (left - right) / (2 * bend))) : 0;
  }

  function windowRate(axes, from, size) {
    const seen = new Map();
    const like = (lag) => {
      if (!seen.has(lag)) seen.set(lag, likeness(axes, from, size, lag));
      return seen.get(lag);
    };
    const between = (lag) => (like(Math.floor(lag)) + like(Math.ceil(lag))) / 2;

    let stride = 0;
    let best = -Infinity;
    for (let lag = Math.round(2 * SHORTEST_STEP * HZ); lag <= 2 * LONGEST_STEP * HZ; lag += 1) {
      const isPeak = like(lag) >= like(lag - 1) && like(lag) >= like(lag + 1);
      const score = 2 * like(lag) + between(lag / 2);
      if (isPeak && like(lag) >= LEAST_LIKENESS && score > best) {
        best = score;
        stride = lag;
      }
    }
    if (!stride) return null;
    let exact = stride + peakOffset(like(stride - 1), like(stride), like(stride + 1));
    for (const strides of [2, 3]) { // the same peak further out gives the same length more finely
      let top = Math.round(strides * exact);
      for (let lag = top - 2, middle = top; lag <= middle + 2; lag += 1) {
        if (like(lag) > like(top)) top = lag;
      }
      if (like(top) < LEAST_LIKENESS) break;
      exact = (top + peakOffset(like(top - 1), like(top), like(top + 1))) / strides;
    }
    return (120 * HZ) / exact;
  }

  /* Steps per minute of the running in a recording, or null where no steady running is in it. */
  function motionRate(samples) {
    const windows = [];
    for (const raw of evenly(samples)) {
      const axes = raw.map(withoutSlow);
      const size = WINDOW * HZ;
      for (let from = 0; from + size <= axes[0].length; from += HOP * HZ) {
        windows.push({ axes, from, size, power: power(axes, from, size) });
      }
    }
    if (windows.length < FEWEST_WINDOWS) return null;
    // A stop or a walk break shakes far less than the running around it.
    const typical = median(windows.map((one) => one.power).sort((a, b) => b - a)
      .slice(0, Math.ceil(windows.length / 2)));
    const rates = windows
      .filter((one) => one.power > LEAST_SHAKE * LEAST_SHAKE && one.power > typical / 4)
      .map((one) => windowRate(one.axes, one.from, one.size))
      .filter((rate) => rate !== null);
    if (rates.length < FEWEST_WINDOWS) return null;
    const middle = median(rates);
    const agree = rates.filter((rate) => Math.abs(rate - middle) <= 0.06 * middle);
    if (agree.length < Math.max(FEWEST_WINDOWS, rates.length / 2)) return null;
    return agree.reduce((sum, rate) => sum + rate, 0) / agree.length;
  }

  parts.beat = Object.assign(parts.beat || {}, { tapRate, motionRate });
})(typeof self === "undefined" ? globalThis : self);
