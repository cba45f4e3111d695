/* Addresses, days and what comes next: pure parts of the page's scripts. */
"use strict";

const test = require("node:test");
const assert = require("node:assert/strict");
const path = require("node:path");
const { ROOT, load } = require("./load.js");

require(path.join(ROOT, "templates", "app", "address.js"));
load("now/pick.js");
const { readAddress, linkTo, dayAskedFor } = globalThis.portalParts.address;
const { dayName, daysFrom, fill } = globalThis.portalParts.text;
const { pick } = globalThis.portalParts.now;

const VIEWS = ["now", "weeks", "gear"];

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
  const rest = pick(plan, "2027-02-10");
  assert.deepEqual([rest.state, rest.next.id, rest.stale], ["rest", "b", false]);
  assert.equal(pick(Object.assign({}, plan, { status: "paused" }), "2027-02-09").state, "paused");
});
