/* Addresses, days and what comes next: pure parts of the page's scripts. */
"use strict";

const test = require("node:test");
const assert = require("node:assert/strict");
const path = require("node:path");
const { ROOT, load } = require("./load.js");

require(path.join(ROOT, "templates", "app", "address.js"));
load("beat/line.js", "now/pick.js", "now/strip.js", "checkin/record.js");
load("weeks/months.js", "weeks/folded.js", "drills/timer.js");
const { readAddress, linkTo, dayAskedFor } = globalThis.portalParts.address;
const { dayName, daysFrom, fill } = globalThis.portalParts.text;
const { pick, strip, lastTime } = globalThis.portalParts.now;

const { writtenOut } = globalThis.portalParts.folded;
const { monthsOf, rowsOf } = globalThis.portalParts.months;
const { stretchesOf, placeIn } = globalThis.portalParts.drillTimer;

const VIEWS = ["now", "weeks", "gear"];

test("a folded text is a character for each of its lines, and no half of one", () => {
  const lines = Array.from({ length: 0xd800 }, (_, at) => "line " + at);
  const codes = String.fromCodePoint(0x101, 0x100, 0xd7ff, 0xe000, 0x101);
  assert.equal(writtenOut(codes, lines), "line 1\nline 0\nline 55039\nline 55040\nline 1");
});

test("an address holds a key, a place, or both, in either form", () => {
  const read = (end) => readAddress(end, VIEWS);
  assert.deepEqual(read("#KEY/weeks/5"), { key: "KEY", place: "weeks/5", pairs: false });
  assert.deepEqual(read("#k=KEY&v=weeks/5"), { key: "KEY", place: "weeks/5", pairs: true });
  assert.deepEqual(read("#KEY"), { key: "KEY", place: "", pairs: false });
  assert.deepEqual(read("#weeks/5"), { key: "", place: "weeks/5", pairs: false });
  assert.deepEqual(read("#gear"), { key: "", place: "gear", pairs: false });
  assert.deepEqual(read("#main"), { key: "", place: "main", pairs: false });
  assert.deepEqual(read(""), { key: "", place: "", pairs: false });
});

test("only the names of views are places; anything else is a key", () => {
  assert.equal(readAddress("#gear", ["now"]).key, "gear");
  assert.equal(readAddress("#nowhere", VIEWS).key, "nowhere");
});

test("a link reads back as what it was made from", () => {
  for (const pairs of [false, true]) {
    const address = { key: "KEY", place: "now", pairs };
    assert.deepEqual(readAddress(linkTo(address, "gear/2"), VIEWS),
      { key: "KEY", place: "gear/2", pairs });
  }
});

test("a day is asked for on the coach's own computer only, and has to be one", () => {
  const asked = (hostname, search) => dayAskedFor({ hostname, search });
  assert.equal(asked("127.0.0.1", "?day=2027-02-09"), "2027-02-09");
  assert.equal(asked("example.org", "?day=2027-02-09"), "");
  assert.equal(asked("localhost", "?day=2027-02-30"), "");
  assert.equal(asked("localhost", ""), "");
});

test("days are named and counted over a clock change", () => {
  assert.equal(dayName("2027-02-10", "en-GB"), "Wed 10 Feb");
  assert.equal(daysFrom("2027-03-27", "2027-03-29"), 2);
  assert.equal(fill("{n} min, {m}", { n: 5 }), "5 min, {m}");
});

test("what comes next is told on a rest day, and nothing where the plan is paused", () => {
  const sessions = [{ id: "a", on: "2027-02-09" }, { id: "b", on: "2027-02-11" }];
  const plan = { status: "active", as_of: "2027-02-08",
    weeks: [{ number: 1, start: "2027-02-08", kind: "build", sessions }] };
  assert.equal(pick(plan, "2027-02-09").state, "today");
  const done = pick(plan, "2027-02-09", new Set(["a"]));
  assert.deepEqual([done.state, done.todays, done.next.id], ["told", [], "b"]);
  const rest = pick(plan, "2027-02-10");
  assert.deepEqual([rest.state, rest.next.id, rest.stale], ["rest", "b", false]);
  assert.equal(pick(Object.assign({}, plan, { status: "paused" }), "2027-02-09").state, "paused");
});

test("a strip is whole, counts what is done in turns, and tells hard running", () => {
  const part = (kind, minutes, repeat = 1, hard = false) => ({ kind, minutes, repeat, hard });
  const { pieces, groups } = strip([
    part("warm_up", 5), part("run", 2, 3, true), part("run", 2, 3), part("run", 4), part("cool_down", 5),
  ]);
  assert.equal(pieces.length, 9);
  assert.ok(Math.abs(pieces.reduce((sum, one) => sum + one.width, 0) - 1000) < 1e-9);
  pieces.slice(1).forEach((one, at) =>
    assert.ok(Math.abs(one.x - pieces[at].x - pieces[at].width) < 1e-9));
  assert.deepEqual(pieces.map((one) => one.kind).slice(1, 4), ["hard", "run", "hard"]);
  assert.equal(groups.length, 1);
  assert.equal(groups[0].turns, 3);
  assert.ok(Math.abs(groups[0].width - (12 * 1000) / 26) < 1e-9);
});

test("repeats that follow repeats are counted apart, also as often", () => {
  const twice = (minutes) => ({ kind: "run", minutes, repeat: 2 });
  const apart = strip([twice(1), { kind: "walk", minutes: 1, repeat: 1 }, twice(3)]);
  assert.deepEqual(apart.groups.map((one) => one.turns), [2, 2]);
  const other = strip([twice(1), { kind: "run", minutes: 1, repeat: 3 }]);
  assert.deepEqual(other.groups.map((one) => one.turns), [2, 3]);
});

test("last time is told only where it was another length", () => {
  const run = (id, kind, total_minutes) => ({ id, kind, total_minutes });
  const sessions = [run("a", "easy", 30), run("b", "long", 50), run("c", "easy", 33.2),
    run("d", "easy", 33)];
  assert.equal(lastTime(sessions, "a"), null);
  assert.equal(lastTime(sessions, "c"), 30);
  assert.equal(lastTime(sessions, "d"), null);
  assert.equal(lastTime(sessions, "none"), null);
});

test("months run from the first week's to the last week's, over a new year too", () => {
  assert.deepEqual(monthsOf([{ start: "2026-11-30" }, { start: "2027-01-25" }]),
    ["2026-11", "2026-12", "2027-01"]);
  assert.deepEqual(monthsOf([]), []);
});

test("a month's rows are weeks from Monday, with all its days and no other", () => {
  const rows = rowsOf("2027-02"); // 1 February 2027 is a Monday
  assert.deepEqual(rows.map((row) => row.length), [7, 7, 7, 7]);
  assert.equal(rows[0][0], "2027-02-01");
  assert.equal(rows[3][6], "2027-02-28");
  const leap = rowsOf("2028-02").flat();
  assert.equal(leap.filter(Boolean).length, 29);
  assert.equal(leap.indexOf("2028-02-01"), 1); // a Tuesday
});

test("a drill's timer counts each hold and each rest down by the clock", () => {
  const stretches = stretchesOf(2, 20, 40);
  assert.deepEqual(stretches.map((one) => one[0]), ["ready", "hold", "rest", "hold"]);
  assert.deepEqual(placeIn(stretches, 0), { kind: "ready", which: 0, left: 5 });
  assert.deepEqual(placeIn(stretches, 5), { kind: "hold", which: 1, left: 20 });
  assert.deepEqual(placeIn(stretches, 25.5), { kind: "rest", which: 1, left: 40 });
  assert.deepEqual(placeIn(stretches, 84.9), { kind: "hold", which: 2, left: 1 });
  assert.deepEqual(placeIn(stretches, 900), { kind: "done", which: 0, left: 0 });
  assert.deepEqual(stretchesOf(1, 30, 0).map((one) => one[0]), ["ready", "hold"]);
});
