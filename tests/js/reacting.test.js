/* What a device does by its own check-ins. Run by tests/test_reacting.py. */
"use strict";

const test = require("node:test");
const assert = require("node:assert/strict");
const { load } = require("./load.js");

load("checkin/holding.js", "checkin/reacting.js");
const { newId, factsOf, stillActing, stopOf, holdOf } = globalThis.portalParts.reacting;

const reacts = {
  now: ["chest_pain"], ill: ["fever"], severe: 8, rest: 6, infection_days: 28, calm: 2,
  calm_sessions: 2, hold_sessions: 2, knee_start: 1, refer_days: 14, rest_days: 2,
  rest_again_days: 28, profile: "standard", pain: {}, recent: [],
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

test("a knock to the head is urgent for a client to whom the build says so", () => {
  const knock = { id: "x", on: "2027-02-10", signs: ["head_injury"], worst: 0 };
  assert.equal(stopOf(reacts, [knock]).grade, "today");
  assert.equal(stopOf(knowing({ also_now: ["head_injury"] }), [knock]).grade, "now");
});

test("an illness that was said to be over waits for the coach, and for no further check-in", () => {
  const told = (id, facts) => factsOf(Object.assign({ id, on: "2027-02-10" }, facts));
  const ill = told("bcdfghjkmm", { skipped: "ill", signs: ["fever"] });
  const well = told("bcdfghjknn", { well_again: true });
  const grade = (known, ...written) => (stopOf(knowing(known), written) || {}).grade;
  assert.equal(grade({}, ill), "ill");
  assert.equal(grade({}, ill, well), "over");
  assert.equal(grade({}, well, ill), "ill");
  assert.equal(grade({}, ill, Object.assign({ draft: "w1d1" }, well)), "ill");
  assert.equal(grade({}, well), undefined);
  assert.equal(grade({ stop: "ill" }, well), "over");
  assert.equal(grade({ stop: "ill", taken: [well.id] }, well), undefined);
  assert.equal(grade({ stop: "ill" }, well, sore), "rest");
});

test("a draft says that it is one", () => {
  assert.equal(stopOf(reacts, [Object.assign({ draft: "w1d1" }, chest)]).isDraft, true);
  assert.equal(stopOf(reacts, [chest]).isDraft, false);
});

const hurt = (day, during, id) =>
  factsOf({ id: id || "x" + day, on: "2027-02-" + day, ran: 20, pain: { during } });

test("pain of 3 to 5 holds, two in a row is a step back, calm runs end it", () => {
  assert.equal(holdOf(reacts, [hurt("10", 2)]), "");
  assert.equal(holdOf(reacts, [hurt("10", 4)]), "hold");
  assert.equal(holdOf(reacts, [hurt("10", 4), hurt("11", 3)]), "back");
  assert.equal(holdOf(reacts, [hurt("10", 4), hurt("11", 0), hurt("12", 1)], "2027-02-08"), "");
});

test("what held on Monday holds to the week's end, and so does a step back within the week", () => {
  const calm = [hurt("11", 0), hurt("12", 1)];
  assert.equal(holdOf(reacts, [hurt("10", 4), ...calm], "2027-02-08"), "");
  assert.equal(holdOf(reacts, [hurt("07", 4), ...calm], "2027-02-08"), "hold");
  assert.equal(holdOf(reacts, [hurt("07", 4), ...calm], "2027-02-15"), "");
  assert.equal(holdOf(reacts, [hurt("09", 4), hurt("10", 4), ...calm], "2027-02-08"), "back");
  assert.equal(holdOf(reacts, [hurt("09", 4), hurt("10", 4), ...calm], "2027-02-15"), "");
});

test("an older plan than the one that took it lifts nothing, a newer one need not list it again", () => {
  const taken = Object.assign({ taken: "2027-02-11 0001" }, sore);
  const grade = (stamp) => (stopOf(knowing({ stamp }), [taken]) || {}).grade;
  assert.equal(grade("2027-02-10 0003"), "rest");
  assert.equal(grade("2027-02-11 0000"), "rest");
  assert.equal(grade("2027-02-11 0001"), undefined);
  assert.equal(grade("2027-02-12 0000"), undefined);
});

test("what a build took in counts as well, and by itself shows nothing", () => {
  const took = knowing({ recent: [{ on: "2027-02-10", run: true, pain: { during: 4 } }], taken: ["x10"] });
  assert.equal(holdOf(took, [hurt("10", 4)]), "");
  assert.equal(holdOf(took, [hurt("11", 4)]), "back");
});

test("a second step back within two weeks is for a clinician, on the device too", () => {
  const back = knowing({ pain: { level: "hold", backs: ["2027-02-01"], row: 1 } });
  assert.equal(stopOf(back, [hurt("10", 4)]).grade, "pain");
  assert.equal(stopOf(back, [hurt("16", 4)]), null);
  assert.equal(stopOf(back, [hurt("10", 8)]).grade, "today");
});

test("the knee's profile is read for whom it is set", () => {
  const knee = (morning) => factsOf({ on: "2027-02-10", ran: 20, pain: { during: 1, next_morning: morning } });
  assert.equal(holdOf(knowing({ profile: "knee" }), [knee(2)]), "hold");
  assert.equal(holdOf(knowing({ profile: "knee" }), [knee(1)]), "");
  assert.equal(holdOf(knowing({ profile: "standard" }), [knee(1)]), "");
});
