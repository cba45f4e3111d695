/* What a device does by its own check-ins. Run by tests/test_reacting.py. */
"use strict";

const test = require("node:test");
const assert = require("node:assert/strict");
const { load } = require("./load.js");

load("checkin/reacting.js");
const { newId, factsOf, stillActing, stopOf } = globalThis.portalParts.reacting;

const reacts = {
  now: ["chest_pain"], ill: ["fever"], severe: 8, rest: 6, infection_days: 28,
  taken: [], standing: [], infected: [],
};
const knowing = (known) => Object.assign({}, reacts, known);
const chest = factsOf({ id: "bcdfghjkmn", on: "2027-02-10", signs: ["chest_pain"] });
const sore = factsOf({ id: "nmkjhgfdcb", on: "2027-02-10", pain: { during: 7 } });

test("an id is ten letters that read as no word and as no number", () => {
  const draw = (count) => Uint8Array.from({ length: count }, (_, at) => at * 25);
  assert.match(newId(draw), /^[bcdfghjkmnpqrstvwxz]{10}$/);
  assert.notEqual(newId(draw), newId((count) => new Uint8Array(count)));
});

test("the gravest stop is the one that shows", () => {
  assert.equal(stopOf(reacts, []), null);
  assert.equal(stopOf(reacts, [sore]).grade, "rest");
  assert.equal(stopOf(reacts, [sore, chest]).grade, "now");
});

test("a build that does not list the check-in lifts nothing", () => {
  assert.equal(stopOf(knowing({ taken: ["zzzzzzzzzz"] }), [sore]).grade, "rest");
  assert.equal(stopOf(knowing({ taken: [sore.id] }), [sore]), null);
});

test("an urgent stop that is taken stands until it is freed", () => {
  const taken = { taken: [chest.id], standing: [chest.id] };
  assert.deepEqual(stopOf(knowing(taken), [chest]), { grade: "now", isDraft: false, isTaken: true });
  assert.equal(stopOf(knowing({ taken: [chest.id] }), [chest]), null);
});

test("a check-in kept without an id acts, and no build takes it away", () => {
  const old = factsOf({ on: "2027-02-10", signs: ["chest_pain"] });
  assert.deepEqual(stillActing(knowing({ taken: ["", chest.id] }), [old]), [old]);
});

test("a heart that races soon after an illness that the log tells of is urgent", () => {
  const heart = factsOf({ id: "x", on: "2027-02-10", signs: ["palpitations"] });
  assert.equal(stopOf(reacts, [heart]).grade, "today");
  assert.equal(stopOf(knowing({ infected: ["2027-01-13"] }), [heart]).grade, "now");
  assert.equal(stopOf(knowing({ infected: ["2027-01-12"] }), [heart]).grade, "today");
});

test("a draft says that it is one", () => {
  assert.equal(stopOf(reacts, [Object.assign({ draft: "w1d1" }, chest)]).isDraft, true);
  assert.equal(stopOf(reacts, [chest]).isDraft, false);
});
