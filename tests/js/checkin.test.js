/* The pure parts of the view Check-in. Run by tests/test_checkin.py, or `node --test tests/js`. */
"use strict";

const test = require("node:test");
const assert = require("node:assert/strict");
const { load } = require("./load.js");

load("checkin/message.js", "checkin/record.js");
const { addDays } = globalThis.portalParts.text;
const { checkinText, entryOf, inFull, adviceFor, morningAsked, pruned, tellable, toldSessions, messageLink } =
  globalThis.portalParts.checkin;

test("a check-in is a line with the code and an entry of the log", () => {
  const entry = {
    on: "2027-02-10", ran: 35, cadence: 164, effort: 3,
    pain: { during: 1, after: 2, site: "left knee" }, landing: "quiet", said: "Felt fine.",
  };
  assert.equal(checkinText("ABCD-EFGH", entry), [
    "Check-in ABCD-EFGH",
    "- on: 2027-02-10",
    "  ran: 35 min",
    "  cadence: 164 spm",
    "  effort: 3",
    '  pain: {during: 1, after: 2, site: "left knee"}',
    "  landing: quiet",
    '  said: "Felt fine."',
    "",
  ].join("\n"));
});

test("the morning after is an entry of its own", () => {
  const text = checkinText("ABCD-EFGH", { on: "2027-02-10", pain: { next_morning: 0 } });
  assert.equal(text, "Check-in ABCD-EFGH\n- on: 2027-02-10\n  pain: {next_morning: 0}\n");
});

test("a score of 0 is told, a score not given is not", () => {
  const draft = { did: "done", ran: "20", effort: "0", during: "0" };
  const { entry, wrong } = entryOf(draft, "2027-02-10", "km", "ran");
  assert.deepEqual(wrong, []);
  assert.deepEqual(entry, { on: "2027-02-10", ran: 20, effort: 0, pain: { during: 0 } });
});

test("a decimal comma is a decimal point", () => {
  const draft = { did: "done", ran: "30", distance: "5,2" };
  assert.deepEqual(entryOf(draft, "2027-02-10", "km", "ran").entry.distance,
    { amount: "5.2", unit: "km" });
});

test("what can't be read is named", () => {
  const wrong = (draft) => entryOf(draft, "2027-02-10", "km", "ran").wrong;
  assert.deepEqual(wrong({}), ["did"]);
  assert.deepEqual(wrong({ did: "skipped" }), ["skipped"]);
  assert.deepEqual(wrong({ did: "done" }), ["ran"]);
  assert.deepEqual(wrong({ did: "done", ran: "0" }), ["ran"]);
  assert.deepEqual(wrong({ did: "done", ran: "1441" }), ["ran"]);
  assert.deepEqual(wrong({ did: "done", ran: "half" }), ["ran"]);
  assert.deepEqual(wrong({ did: "done", ran: "30", distance: "201" }), ["distance"]);
  assert.deepEqual(wrong({ did: "done", ran: "30", distance: "0" }), ["distance"]);
  assert.deepEqual(wrong({ did: "done", ran: "30", cadence: "82" }), ["cadence"]);
  assert.deepEqual(wrong({ did: "done", ran: "30", cadence: "241" }), ["cadence"]);
});

test("strength has no running minutes to tell", () => {
  const draft = { did: "done", effort: "5", ran: "12", landing: "loud" };
  assert.deepEqual(entryOf(draft, "2027-02-10", "km", ""),
    { entry: { on: "2027-02-10", effort: 5 }, wrong: [] });
});

test("a walk tells its minutes as walked, and nothing of a run", () => {
  const draft = { did: "told", hurt: "none", any: "none", effort: "2", distance: "3", cadence: "110" };
  const { entry, wrong } = entryOf(inFull(draft, 30, false), "2027-02-10", "km", "walked");
  assert.deepEqual(wrong, []);
  assert.equal(checkinText("ABCD-EFGH", entry), "Check-in ABCD-EFGH\n- on: 2027-02-10\n"
    + "  walked: 30 min\n  effort: 2\n  pain: {during: 0, after: 0}\n");
  assert.deepEqual(entryOf({ did: "shorter" }, "2027-02-10", "km", "walked").wrong, ["walked"]);
});

test("a skipped session tells why, and its signs, and nothing of a run", () => {
  const draft = { did: "skipped", skipped: "ill", ran: "30", effort: "4", signs: ["swelling"] };
  assert.deepEqual(entryOf(draft, "2027-02-10", "km", "ran").entry,
    { on: "2027-02-10", skipped: "ill", signs: ["swelling"] });
});

test("a place of pain without pain is not told", () => {
  const draft = { did: "done", ran: "30", during: "0", after: "0", site: "left knee" };
  assert.deepEqual(entryOf(draft, "2027-02-10", "km", "ran").entry.pain, { during: 0, after: 0 });
});

test("the gravest of what was ticked is said", () => {
  assert.equal(adviceFor(["ill", "today", "now"]), "now");
  assert.equal(adviceFor(["ill", "today"]), "today");
  assert.equal(adviceFor(["ill"]), "ill");
  assert.equal(adviceFor([]), "");
});

test("a day without a run tells its morning, walking, and that an illness is over", () => {
  const draft = { did: "day", today: "1", walking: "0", well: "yes", site: "left shin", ran: "9" };
  const { entry, wrong } = entryOf(draft, "2027-02-10", "km", "");
  assert.deepEqual(wrong, []);
  assert.equal(checkinText("ABCD-EFGH", entry), [
    "Check-in ABCD-EFGH",
    "- on: 2027-02-10",
    '  pain: {next_morning: 1, walking: 0, site: "left shin"}',
    "  well_again: yes",
    "",
  ].join("\n"));
  assert.deepEqual(entryOf({ did: "day" }, "2027-02-10", "km", "").wrong, ["today"]);
});

test("pain before the run is told, and pain that kept from it", () => {
  const ran = { did: "done", ran: "20", during: "2", before: "1", today: "9" };
  assert.deepEqual(entryOf(ran, "2027-02-10", "km", "ran").entry.pain, { during: 2, before: 1 });
  const kept = { did: "skipped", skipped: "pain", today: "4", walking: "3" };
  assert.deepEqual(entryOf(kept, "2027-02-10", "km", "ran").entry,
    { on: "2027-02-10", skipped: "pain", pain: { before: 4, walking: 3 } });
});

test("the morning's question comes the day after a run, once", () => {
  const sent = { a: { on: "2027-02-10", ran: true } };
  assert.equal(morningAsked(sent, "2027-02-10"), null);
  assert.equal(morningAsked(sent, "2027-02-11"), "2027-02-10");
  assert.equal(morningAsked(sent, "2027-02-12"), null);
  assert.equal(morningAsked({ a: { on: "2027-02-10", ran: false } }, "2027-02-11"), null);
  const answered = { a: { on: "2027-02-10", ran: true, morning: 0 } };
  assert.equal(morningAsked(answered, "2027-02-11"), null);
});

test("yesterday is yesterday over a year's end, a leap day and both clock changes", () => {
  assert.equal(addDays("2027-01-01", -1), "2026-12-31");
  assert.equal(addDays("2028-03-01", -1), "2028-02-29");
  assert.equal(addDays("2027-03-29", -1), "2027-03-28");
  assert.equal(addDays("2027-11-01", -1), "2027-10-31");
});

test("a message stays until a build lists it, four weeks at most; the rest goes after two weeks", () => {
  const record = { drafts: {}, open: "", sent: {
    gone: { on: "2027-01-12", ran: true, text: "x", id: "a" },
    taken: { on: "2027-01-26", ran: true, text: "x", id: "b" },
    waits: { on: "2027-01-13", ran: true, text: "x", id: "c" },
    fresh: { on: "2027-02-09", ran: true, text: "x", id: "d" },
  } };
  assert.deepEqual(pruned(record, "2027-02-10", ["b", "d"], []).sent, {
    waits: { on: "2027-01-13", ran: true, text: "x", id: "c" },
    fresh: { on: "2027-02-09", ran: true, id: "d" },
  });
  const stops = { drafts: {}, sent: { old: { on: "2026-02-10", ran: true, text: "x", id: "a" } } };
  assert.deepEqual(pruned(stops, "2027-02-10", [], ["a"]).sent, stops.sent);
  assert.deepEqual(pruned(stops, "2027-02-10", ["a"], []).sent, {});
});

test("no pain is a score for each time that has passed; what was not said says nothing", () => {
  const short = { did: "told", hurt: "none", ran: "" };
  assert.deepEqual(entryOf(inFull(short, 16, false), "2027-02-10", "km", "ran"),
    { entry: { on: "2027-02-10", ran: 16, pain: { during: 0, after: 0 } }, wrong: [] });
  assert.equal(entryOf(inFull(short, 16, true), "2027-02-10", "km", "ran").entry.pain.next_morning, 0);
  const silent = { did: "shorter", hurt: "", any: "", ran: "9", during: "4" };
  assert.deepEqual(entryOf(inFull(silent, 16, true), "2027-02-10", "km", "ran"),
    { entry: { on: "2027-02-10", ran: 9 }, wrong: ["hurt", "any"] });
  const some = { did: "longer", hurt: "some", any: "some", ran: "30" };
  assert.deepEqual(entryOf(inFull(some, 16, false), "2027-02-10", "km", "ran").wrong,
    ["during", "signs"]);
});

test("each check-in tells one session of its day", () => {
  const on = "2027-02-10";
  const day = [{ id: "run", on, run_minutes: 20 }, { id: "strong", on, run_minutes: 0 },
    { id: "late", on, run_minutes: 10 }, { id: "other", on: "2027-02-11", run_minutes: 9 }];
  const told = (days, keys) => [...toldSessions(day,
    Object.assign({ ran: [], done: [], skipped: [] }, days), keys)].sort();
  assert.deepEqual(told({}, []), []);
  assert.deepEqual(told({ ran: [on] }, []), ["run"]);
  assert.deepEqual(told({ done: [on] }, []), ["strong"]);
  assert.deepEqual(told({ ran: [on], skipped: [on] }, []), ["run", "strong"]);
  assert.deepEqual(told({ ran: [on] }, ["late"]), ["late"]);
  assert.deepEqual(told({ ran: [on, on] }, ["late"]), ["late", "run"]);
});

test("a session of the last 14 days that was not told is offered; one told stays for six", () => {
  const sessions = ["2027-02-01", "2027-02-02", "2027-02-09", "2027-02-10", "2027-02-16", "2027-02-17"]
    .map((on) => ({ id: on.slice(-2), on }));
  const offered = (told, drafts) => tellable(sessions, "2027-02-16", new Set(told), drafts).map((one) => one.id);
  assert.deepEqual(offered([], {}), ["02", "09", "10", "16"]);
  assert.deepEqual(offered(["02", "09", "10"], {}), ["10", "16"]);
  assert.deepEqual(offered([], { "01": {} }), ["01", "02", "09", "10", "16"]);
});

test("a mail address and a telephone number are links, line breaks as each standard asks", () => {
  const text = "Check-in AB-C\n- on: 2027-02-10\n";
  assert.equal(messageLink("coach+1@example.org", "AB-C", text),
    "mailto:coach%2B1@example.org?subject=Check-in%20AB-C"
    + "&body=Check-in%20AB-C%0D%0A-%20on%3A%202027-02-10%0D%0A");
  assert.equal(messageLink("+351 210 000 000", "AB-C", text),
    "sms:+351210000000?body=Check-in%20AB-C%0A-%20on%3A%202027-02-10%0A");
  assert.equal(messageLink("ask at the club", "AB-C", text), "");
});
