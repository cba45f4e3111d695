/* What the device does by itself after a check-in: which stop it calls for, and how long that
   stands. The numbers and the signs come from the engine's own tables, `portalParts.rules`, and what
   a build knows from the page's block of data (sitegen/portal/reacting.py); words that a client wrote are searched by the coach's
   tool alone. Pure. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const { daysFrom } = parts.text;

  const GRADES = ["now", "today", "rest", "ill"]; // the gravest first
  const LETTERS = "bcdfghjkmnpqrstvwxz"; // no vowel, so no word; no digit, so never a number
  const ID_LETTERS = 10;

  /* A new id from `draw(count)`, which gives that many random numbers from 0 to 255. */
  function newId(draw) {
    return Array.from(draw(ID_LETTERS), (number) => LETTERS[number % LETTERS.length]).join("");
  }

  /* Of an entry of the log the little that the rules ask for. `score` is the worst in the run and
     after it, `worst` the worst of all that were told. */
  function factsOf(entry) {
    const pain = entry.pain || {};
    const most = (names) => Math.max(0, ...names.map((name) => pain[name] || 0));
    return {
      id: entry.id || "",
      on: entry.on,
      signs: entry.signs || [],
      ill: entry.skipped === "ill",
      well: Boolean(entry.well_again),
      score: most(["during", "after", "next_morning"]),
      worst: most(["during", "after", "next_morning", "before", "walking"]),
    };
  }

  const hasIllness = (reacts, one) =>
    !one.well && (one.ill || one.signs.some((sign) => reacts.ill.includes(sign)));

  /* What one check-in calls for: a grade, or "" for nothing. `infected`: days of an illness. */
  function gradeOf(reacts, one, infected) {
    const soon = (day) => daysFrom(day, one.on) >= 0
      && daysFrom(day, one.on) <= reacts.infection_days;
    const isNow = (sign) => reacts.now.includes(sign)
      || (sign === "palpitations" && infected.some(soon));
    if (one.signs.some(isNow)) return "now";
    if (one.worst >= reacts.severe || one.signs.some((sign) => !reacts.ill.includes(sign))) {
      return "today";
    }
    if (one.score >= reacts.rest) return "rest";
    return !one.well && one.signs.length ? "ill" : "";
  }

  /* The grade of each of a device's check-ins, in their order. */
  function gradesOf(reacts, written) {
    const own = written.filter((one) => hasIllness(reacts, one)).map((one) => one.on);
    const infected = reacts.infected.concat(own);
    return written.map((one) => gradeOf(reacts, one, infected));
  }

  /* Those that still act: not those that a build lists as taken, and of these again those with a
     sign of "now" that nobody has freed. */
  function stillActing(reacts, written) {
    return written.filter((one) => !one.id || !reacts.taken.includes(one.id)
      || reacts.standing.includes(one.id));
  }

  /* The gravest stop that acts: {grade, isDraft, isTaken}; null without any. */
  function stopOf(reacts, written) {
    const acting = stillActing(reacts, written);
    const grades = gradesOf(reacts, acting);
    const found = GRADES.find((grade) => grades.includes(grade));
    if (!found) return null;
    const those = acting.filter((one, at) => grades[at] === found);
    return {
      grade: found,
      isDraft: those.every((one) => one.draft),
      isTaken: those.every((one) => reacts.taken.includes(one.id)),
    };
  }

  parts.reacting = { newId, factsOf, gradeOf, gradesOf, stillActing, stopOf, hasIllness };
})(typeof self === "undefined" ? globalThis : self);
