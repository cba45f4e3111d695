/* Signals of known truth for the step counter: our own, synthetic, seeded. No recording of a real
   person is in here. Shapes are invented to be harder than kind: impacts with overtones, arms that
   shake more than the feet, noise, slow and sudden turns of the phone, stops and walk breaks. */
"use strict";

const TAU = 2 * Math.PI;

/* Mulberry32: a small seeded generator, uniform in [0, 1). */
function chance(seed) {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
}

function normal(uniform) {
  return Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(TAU * uniform());
}

/* Turns a vector about two axes. */
function turned([x, y, z], about, tilt) {
  const [ca, sa, ct, st] = [Math.cos(about), Math.sin(about), Math.cos(tilt), Math.sin(tilt)];
  const [x1, y1] = [x * ca - y * sa, x * sa + y * ca];
  return [x1, y1 * ct - z * st, y1 * st + z * ct];
}

/* One recording of `seconds`, and the mean rate of its running as the truth to be found.
   `pauses` is a list of {from, to, what: "stand" | "walk"}. Amplitudes in m/s²: `feet` for the
   impact, `arms` for the swing at half the step rate. */
function running(options) {
  const o = Object.assign({
    spm: 165, seconds: 30, hz: 60, feet: 8, arms: 4, noise: 1.5, wander: 0.01, uneven: 0.1, sway: 0.3,
    gravity: true, slowTurn: 0.3, suddenTurns: 0, pauses: [], seed: 1,
  }, options);
  const uniform = chance(o.seed);
  const samples = [];
  const sudden = Array.from({ length: o.suddenTurns }, () => ({
    at: uniform() * o.seconds, about: uniform() * TAU, tilt: uniform() * TAU,
  }));
  const start = { about: uniform() * TAU, tilt: uniform() * TAU, phase: uniform() };
  let phase = start.phase; // in steps
  let drift = 0;
  let ran = { steps: 0, seconds: 0 };
  for (let t = 0; t < o.seconds; ) {
    const gap = (1 / o.hz) * (1 + 0.2 * (uniform() - 0.5));
    t += gap;
    const pause = o.pauses.find((one) => t >= one.from && t < one.to);
    const what = pause ? pause.what : "run";
    // The rate wanders slowly about its mean and comes back to it, as a runner's does.
    drift += -drift * gap + o.wander * Math.sqrt(2 * gap) * normal(uniform);
    const spm = what === "walk" ? 108 : o.spm * (1 + drift);
    phase += (spm / 60) * gap;
    if (what === "run") ran = { steps: ran.steps + (spm / 60) * gap, seconds: ran.seconds + gap };
    const share = what === "stand" ? 0 : what === "walk" ? 0.2 : 1;
    const angle = TAU * phase;
    const foot = 1 + o.uneven * Math.cos(angle / 2); // one leg a little heavier than the other
    const up = share * o.feet * foot *
      (Math.cos(angle) + 0.5 * Math.cos(2 * angle + 0.7) + 0.25 * Math.cos(3 * angle + 1.9));
    const on = share * (0.4 * o.feet * Math.sin(angle + 0.4) + o.arms * Math.cos(angle / 2));
    const side = share * (o.sway * o.feet + 0.4 * o.arms) * Math.sin(angle / 2 + 0.9);
    let vector = [on, side, up + (o.gravity ? 9.81 : 0)];
    let about = start.about + o.slowTurn * Math.sin(TAU * 0.05 * t);
    let tilt = start.tilt + o.slowTurn * Math.cos(TAU * 0.04 * t);
    for (const one of sudden) if (t >= one.at) [about, tilt] = [about + one.about, tilt + one.tilt];
    vector = turned(vector, about, tilt);
    const [x, y, z] = vector.map((value) => value + o.noise * normal(uniform));
    samples.push({ t, x, y, z });
  }
  return { samples, truth: ran.seconds ? (60 * ran.steps) / ran.seconds : null };
}

/* Taps of a finger at `perMinute`, in milliseconds, with a shaky hand. */
function taps(options) {
  const o = Object.assign({
    perMinute: 165, seconds: 30, shakeMs: 25, missed: 0, bounced: 0, stop: null, seed: 1,
  }, options);
  const uniform = chance(o.seed);
  const times = [];
  for (let n = 0; (n * 60) / o.perMinute < o.seconds; n += 1) {
    const t = ((n * 60) / o.perMinute) * 1000 + o.shakeMs * normal(uniform);
    if (o.stop && t / 1000 >= o.stop.from && t / 1000 < o.stop.to) continue;
    if (uniform() < o.missed) continue;
    times.push(t);
    if (uniform() < o.bounced) times.push(t + 40 + 40 * uniform());
  }
  return times.sort((one, other) => one - other);
}

module.exports = { chance, normal, running, taps };
