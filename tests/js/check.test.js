/* What a listening check asks of the microphone, and what it says of the numbers. Run by
   tests/test_listen_page.py. */
"use strict";

const test = require("node:test");
const assert = require("node:assert/strict");
const path = require("node:path");
const { ROOT, load } = require("./load.js");

require(path.join(ROOT, "templates", "listening.js"));
load("beat/check.js");
const {
  PARTS, TIMES, stretches, asks, withMotion, claims, entries, wayOf, longestRun, offered, isDeaf,
} = globalThis.portalParts.check;
require(path.join(ROOT, "templates", "app", "text.js"));
const { addDays } = globalThis.portalParts.text;

const HEARD = { usual: -40, quieter: -44.26, beat: -41, usual_again: -40.5 };
const found = (levels = HEARD) => Object.fromEntries(PARTS.map((part) =>
  [part, { spm: 164.4, steps: 158, ratio_db: 14.26, level_db: levels[part] }]));
const STILL = Array(7).fill([-20, -32]);

test("four parts, and only the silence after the beat is heard", () => {
  const all = stretches(TIMES);
  assert.deepEqual(all.map((one) => one.kind), ["ready", "hear", "ready", "hear", "ready", "beat",
    "hear", "ready", "hear"]);
  const beat = all.filter((one) => one.part === "beat" && one.kind !== "ready");
  assert.equal(beat[0].end - beat[0].start, 20);
  assert.equal(beat[0].end, beat[1].start);
  assert.ok(all[all.length - 1].end < 5.2 * 60);
});

test("what is measured begins after the hisses and ends before the next", () => {
  for (const part of PARTS) {
    const { from, to, bursts } = asks(TIMES, part, 100);
    assert.ok(bursts[0][1] + 0.25 < from);
    assert.equal(bursts.length, part === "beat" ? 1 : 2);
    assert.equal(to - 100, part === "beat" ? 40 : 60);
    if (bursts[1]) assert.ok(bursts[1][0] > to);
    const hear = stretches(TIMES).find((one) => one.part === part && one.kind === "hear");
    assert.ok(Math.max(to, ...bursts.flat()) + 0.25 + 0.5 <= 100 + hear.end - hear.start + 0.3);
  }
});

test("motion that counts other steps refuses; without motion nothing is refused", () => {
  const one = found().usual;
  assert.equal(withMotion(one, 166).refused, undefined);
  assert.equal(withMotion(one, 167).refused, "not-yours");
  assert.equal(withMotion(one, null).refused, undefined);
  assert.equal(withMotion({ refused: "short" }, 120).refused, "short");
});

test("entries have what the log has, and a difference only where it is claimed", () => {
  const claim = claims(found(), STILL);
  const made = entries(found(), claim, "in my hand");
  assert.deepEqual(made.map((one) => [one.part, one.difference_db]),
    [["usual", undefined], ["quieter", -4], ["beat", -0.7], ["usual_again", -0.5]]);
  assert.deepEqual(made[0], { part: "usual", spm: 164, steps: 158, snr_db: 14.3, place: "in my hand" });

  const moved = claims(found(), [[-20, -26], ...STILL]);
  assert.equal(moved.why, "gain-moves");
  assert.ok(entries(found(), moved, "").every((one) => !("difference_db" in one)));
  const part = { ...found(), quieter: { refused: "too-few" } };
  assert.deepEqual(entries(part, claims(part, STILL), "").map((one) => one.part),
    ["usual", "beat", "usual_again"]);
});

test("a check that was left early claims nothing", () => {
  assert.equal(claims({ usual: found().usual }, STILL.slice(2)).why, "usual-not-heard");
});

test("a difference within what is sure is none", () => {
  assert.deepEqual([-1.5, -1.4, 1.4, 1.5].map(wayOf), ["softer", "same", "same", "louder"]);
});

const EASY = [["warm_up", 5, 1, null], ["run", 3, 1, null], ["beat", 2, 1, 170], ["cool_down", 5, 1, null]];
const TURNS = [["warm_up", 5, 1, null], ["run", 1, 8, null], ["walk", 2, 8, null]];
const plan = (status, ...days) =>
  ({ status, weeks: [{ sessions: days.map(([on, parts]) => ({ on, parts })) }] });
const at = (data) => offered(data, "2027-02-09", addDays);

test("the longest running without a break is that of one repeat, unless nothing breaks it", () => {
  assert.equal(longestRun({ parts: EASY }), 5);
  assert.equal(longestRun({ parts: TURNS }), 1);
  assert.equal(longestRun({ parts: [["run", 2, 3, null], ["beat", 1, 3, 170]] }), 9);
  assert.equal(longestRun({ parts: [["walk", 30, 1, null]] }), 0);
});

test("it is offered where the next seven days have as much, and never while the plan is held", () => {
  assert.deepEqual(at(plan("active", ["2027-02-15", EASY])), { how: "yes", first: null });
  assert.deepEqual(at(plan("active", ["2027-02-10", TURNS], ["2027-02-16", EASY])),
    { how: "short", first: "2027-02-16" });
  assert.deepEqual(at(plan("active", ["2027-02-10", TURNS])), { how: "short", first: null });
  assert.deepEqual(at(plan("active", ["2027-02-08", EASY], ["2027-02-16", EASY])),
    { how: "none", first: null });
  assert.deepEqual(at(plan("paused", ["2027-02-10", EASY])), { how: "none", first: null });
});

test("a first part in which nothing is heard ends it; somebody else's steps do not", () => {
  assert.ok(isDeaf({ refused: "too-noisy" }));
  assert.ok(!isDeaf({ refused: "not-yours" }) && !isDeaf({ spm: 164 }));
});
