/* The pure parts of the view Beat. Run by tests/test_beat.py, or by `node --test tests/js`. */
"use strict";

const test = require("node:test");
const assert = require("node:assert/strict");
const { load } = require("./load.js");

load("beat/line.js", "beat/counting.js", "beat/telling.js");
const { chance, running, taps } = require("./signals.js");
const { inTurns, programme, endless, soundsBetween, withRate, whereAt, tapRate, motionRate } =
  globalThis.portalParts.beat;

const BEAT_RUN = [
  { kind: "warm_up", minutes: 5, repeat: 1 },
  { kind: "beat", minutes: 2, repeat: 3 },
  { kind: "walk", minutes: 1, repeat: 3 },
  { kind: "run", minutes: 4, repeat: 1 },
  { kind: "cool_down", minutes: 3, repeat: 1 },
];
const isStep = (one) => one.sound === "left" || one.sound === "right";
const steps = (line, from, to, each = 1) => soundsBetween(line, from, to, each).filter(isStep);

test("neighbouring parts with the same repeat take turns", () => {
  const kinds = inTurns(BEAT_RUN).map((one) => one.part.kind + one.turn);
  assert.deepEqual(kinds, ["warm_up1", "beat1", "walk1", "beat2", "walk2", "beat3", "walk3",
    "run1", "cool_down1"]);
});

test("two single parts side by side are no repeats", () => {
  const kinds = inTurns([{ kind: "warm_up", repeat: 1 }, { kind: "run", repeat: 1 }]);
  assert.deepEqual(kinds.map((one) => one.part.kind), ["warm_up", "run"]);
});

test("the session is as long as its parts with their repeats", () => {
  const line = programme(BEAT_RUN, 164, false);
  assert.equal(line[line.length - 1].end, (5 + 3 * 2 + 3 * 1 + 4 + 3) * 60);
});

test("the beat clicks in beat parts and rests between", () => {
  const line = programme(BEAT_RUN, 160, false);
  assert.equal(steps(line, 0, 300).length, 0);
  assert.equal(steps(line, 300, 420).length, 320);
  assert.equal(steps(line, 420, 480).length, 0);
  assert.equal(steps(line, 840, 1080).length, 0, "an easy run is left alone");
});

test("all running parts click if that is asked for", () => {
  assert.equal(steps(programme(BEAT_RUN, 160, true), 840, 1080).length, 640);
});

test("a session without beat parts clicks in its running", () => {
  const line = programme([{ kind: "run", minutes: 1, repeat: 1 }], 170, false);
  assert.equal(steps(line, 0, 60).length, 170);
});

test("each second step is one foot only", () => {
  const both = steps(endless(164), 0, 60, 1);
  const one = steps(endless(164), 0, 60, 2);
  assert.equal(both.length, 164);
  assert.equal(one.length, 82);
  assert.ok(one.every((step) => step.sound === "left"));
});

test("a change of part is heard, and so is the end", () => {
  const heard = soundsBetween(programme(BEAT_RUN, 164, false), 0, 2000, 1)
    .filter((one) => !isStep(one)).map((one) => [one.sound, one.at]);
  assert.deepEqual(heard, [["on", 300], ["off", 420], ["on", 480], ["off", 600], ["on", 660],
    ["off", 780], ["off", 840], ["off", 1080], ["end", 1260]]);
});

test("asked for in pieces of any size, each click comes once and 10 minutes do not drift", () => {
  for (const spm of [100, 137, 150, 163, 164, 180, 201, 240]) {
    const uniform = chance(spm);
    const line = endless(spm);
    const clicks = [];
    for (let from = 0; from < 600; ) {
      const to = Math.min(600, from + 0.001 + 3 * uniform());
      clicks.push(...steps(line, from, to));
      from = to;
    }
    assert.equal(clicks.length, spm * 10);
    clicks.forEach((click, n) => assert.ok(Math.abs(click.at - (n * 60) / spm) < 1e-9));
  }
});

test("no step is doubled where one beat part follows another at once", () => {
  for (let spm = 100; spm <= 240; spm += 1) {
    const parts = [1, 2, 3].map((repeat) => ({ kind: "beat", minutes: 1, repeat }));
    const heard = steps(programme(parts, spm, false), 0, 400);
    assert.equal(heard.length, 6 * spm);
    heard.slice(1).forEach((step, n) => {
      assert.ok(step.at - heard[n].at > 59 / spm, `${spm} at ${step.at}`);
    });
  }
});

test("a new rate begins on the next step, with the other foot", () => {
  const uniform = chance(7);
  for (let round = 0; round < 300; round += 1) {
    const before = 100 + Math.floor(141 * uniform());
    const after = 100 + Math.floor(141 * uniform());
    const at = 20 * uniform();
    const heard = steps(withRate(endless(before), at, after), 0, 40);
    heard.slice(1).forEach((step, n) => {
      const gap = step.at - heard[n].at;
      const old = heard[n].at < at && step.at <= at + 60 / before + 1e-9;
      const due = 60 / (old ? before : after);
      assert.ok(Math.abs(gap - due) < 1e-9, `${before} to ${after}: ${gap}`);
      assert.notEqual(step.sound, heard[n].sound);
    });
  }
});

test("a new rate during a rest holds for the next repeat and leaves the session's length", () => {
  const line = withRate(programme(BEAT_RUN, 160, false), 450, 170);
  assert.equal(steps(line, 300, 420).length, 320);
  assert.equal(steps(line, 480, 600).length, 340);
  assert.equal(line[line.length - 1].end, 1260);
});

test("many changes of rate leave one part one part", () => {
  let line = programme(BEAT_RUN, 160, false);
  for (let n = 0; n < 20; n += 1) line = withRate(line, 310 + n, 161 + n);
  const here = whereAt(line, 350);
  assert.equal(here.stretch.number, 1);
  assert.equal(here.left, 70);
  assert.equal(here.next.kind, "walk");
});

// --- counting

test("steady taps are counted to a tenth", () => {
  for (let perMinute = 60; perMinute <= 200; perMinute += 7) {
    const rate = tapRate(taps({ perMinute, shakeMs: 0 }));
    assert.ok(Math.abs(rate - perMinute) < 0.1, `${perMinute}: ${rate}`);
  }
});

test("a shaky hand, missed taps, bounces and a stop do not throw the count off by 2", () => {
  for (let perMinute = 70; perMinute <= 200; perMinute += 5) {
    for (let seed = 0; seed < 10; seed += 1) {
      const how = { perMinute, seed, missed: 0.05, bounced: 0.03, stop: { from: 9, to: 12 } };
      const rate = tapRate(taps(how));
      assert.ok(Math.abs(rate - perMinute) <= 2, `${perMinute}, seed ${seed}: ${rate}`);
    }
  }
});

test("a stop of any length between steady taps changes nothing", () => {
  const before = Array.from({ length: 20 }, (_, n) => n * 375);
  for (let stop = 1500; stop < 4000; stop += 37) {
    const after = before.map((ms) => before[19] + stop + ms);
    assert.ok(Math.abs(tapRate([...before, ...after]) - 160) < 0.1, `${stop}`);
  }
});

test("a few taps are no count", () => {
  assert.equal(tapRate([]), null);
  assert.equal(tapRate([0, 400, 800, 1200, 1600]), null);
});

/* Each case is harder in its own way; the truth is the mean rate of the running in it. */
const RUNS = {
  "a quiet sensor": { noise: 0.3 },
  "a noisy sensor": { noise: 4 },
  "even legs and still arms": { uneven: 0, arms: 0 },
  "a runner as even as a machine": { uneven: 0, arms: 0, sway: 0, wander: 0 },
  "one leg much heavier": { uneven: 0.5 },
  "arms that shake more than the feet": { arms: 14, feet: 7 },
  "strong arms and noise": { arms: 12, feet: 7, noise: 4 },
  "a phone that turns slowly": { slowTurn: 1 },
  "a phone that is taken out and put back": { suddenTurns: 2 },
  "a sensor that takes gravity out itself": { gravity: false },
  "a stop at a crossing": { pauses: [{ from: 8, to: 14, what: "stand" }] },
  "a walk break": { pauses: [{ from: 10, to: 17, what: "walk" }] },
  "a slow sensor": { hz: 30 },
  "a fast sensor": { hz: 100 },
  "all at once": {
    arms: 12, feet: 8, noise: 3, slowTurn: 0.8, suddenTurns: 1,
    pauses: [{ from: 9, to: 14, what: "stand" }, { from: 20, to: 24, what: "walk" }],
  },
};

for (const [name, how] of Object.entries(RUNS)) {
  test(`motion is counted to 2 spm from 140 to 200: ${name}`, (t) => {
    let worst = 0;
    for (let spm = 140; spm <= 200; spm += 3) {
      for (let seed = 0; seed < 3; seed += 1) {
        const { samples, truth } = running(Object.assign({}, how, { spm, seed: spm * 100 + seed }));
        const rate = motionRate(samples);
        assert.notEqual(rate, null, `${spm}, seed ${seed}: nothing found`);
        worst = Math.max(worst, Math.abs(rate - truth));
        assert.ok(Math.abs(rate - truth) <= 2, `${spm}, seed ${seed}: ${rate} for ${truth}`);
      }
    }
    t.diagnostic(`worst ${worst.toFixed(2)} spm`);
  });
}

test("the likeness at one step alone fails on strong arms: the signals are hard enough", () => {
  const { samples, truth } = running({ spm: 165, arms: 14, feet: 7, noise: 1, seed: 3, hz: 100 });
  const product = (lag) => samples.slice(0, -lag).reduce((sum, one, at) => {
    const other = samples[at + lag];
    return sum + one.x * other.x + one.y * other.y + (one.z * other.z);
  }, 0) / (samples.length - lag);
  let best = 25;
  for (let lag = 25; lag <= 50; lag += 1) if (product(lag) > product(best)) best = lag;
  assert.ok(Math.abs(6000 / best - truth) > 10);
  assert.ok(Math.abs(motionRate(samples) - truth) <= 2);
});

test("standing, walking, shaking at random and too short a run are no count", () => {
  const all = (what, more) => running(Object.assign({ pauses: [{ from: 0, to: 99, what }] }, more));
  assert.equal(motionRate(all("stand").samples), null);
  assert.equal(motionRate(all("stand", { noise: 10 }).samples), null);
  assert.equal(motionRate(all("walk").samples), null);
  assert.equal(motionRate(all("walk", { noise: 0.2 }).samples), null, "a walk seen clearly");
  assert.equal(motionRate(running({ seconds: 7 }).samples), null);
  assert.equal(motionRate([]), null);
});

test("a sensor that drops out for seconds is still counted", () => {
  const { samples, truth } = running({ spm: 172, seed: 5 });
  const kept = samples.filter((one) => one.t < 11 || one.t > 15);
  assert.ok(Math.abs(motionRate(kept) - truth) <= 2);
});

test("a session that was begun goes on by the clock or where it stopped, and not for ever", () => {
  const { begunAt } = globalThis.portalParts.beat;
  const kept = { time: 400, at: 1000000 };
  assert.deepEqual(begunAt(kept, 1060000, 1800), { stopped: 400, here: 460 });
  assert.deepEqual(begunAt(kept, 1000000 + 1500000, 1800), { stopped: 400, here: null });
  assert.deepEqual(begunAt(kept, 940000, 1800), { stopped: 400, here: null }, "turned back");
  assert.equal(begunAt(kept, 1000000 + 5500000, 1800), null);
  assert.equal(begunAt({ time: 1800, at: 1000000 }, 1000000, 1800), null);
  assert.equal(begunAt(null, 1000000, 1800), null);
});

test("what was run until a moment is counted, walking is not", () => {
  const { programme, ranUntil } = globalThis.portalParts.beat;
  const line = programme([{ kind: "warm_up", minutes: 5, repeat: 1 },
    { kind: "beat", minutes: 2, repeat: 3 }, { kind: "walk", minutes: 1, repeat: 3 }], 160, false);
  assert.equal(ranUntil(line, 300), 0);
  assert.equal(ranUntil(line, 300 + 120 + 60 + 60), 3);
  assert.equal(ranUntil(line, 9999), 6);
});
