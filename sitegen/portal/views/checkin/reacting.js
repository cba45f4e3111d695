/* What the device does by itself after a check-in: which stop it calls for, and how long that
   stands. The numbers and the signs come from the engine's own tables, `portalParts.rules`, and what
   a build knows from the page's block of data (sitegen/portal/reacting.py); words that a client wrote are
   searched by words.js once that is there. What pain from session to session leads to is in holding.js. Pure. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const { daysFrom } = parts.text;
  const { painGrade, painState } = parts.holding;

  const GRADES = ["now", "self_harm", "today", "pain", "rest", "ill"]; // the gravest first
  const LETTERS = "bcdfghjkmnpqrstvwxz"; // no vowel, so no word; no digit, so never a number
  const ID_LETTERS = 10;
  const SCORES = ["during", "after", "next_morning", "before", "walking"];

  /* A new id from `draw(count)`, which gives that many random numbers from 0 to 255. */
  function newId(draw) {
    return Array.from(draw(ID_LETTERS), (number) => LETTERS[number % LETTERS.length]).join("");
  }

  /* Of an entry of the log the little that the rules ask for; `own` are the coach's urgent words. `score` is
     the worst but for pain before a run, `worst` the worst of all that were told. */
  function factsOf(entry, own) {
    const ticked = entry.signs || [];
    const words = parts.worries ? parts.worries.of(entry, own || []) : { signs: {}, ill: false };
    const pain = entry.pain || {};
    const scores = {};
    for (const name of SCORES) if (pain[name] !== undefined) scores[name] = pain[name];
    if (entry.skipped === "pain") scores.left = true;
    const isRun = !entry.skipped && Boolean(entry.ran || entry.distance);
    const most = (names) => Math.max(0, ...names.map((name) => pain[name] || 0));
    return {
      id: entry.id || "",
      run: isRun,
      walk: !entry.skipped && Boolean(entry.walked),
      pain: scores,
      alone: scores.next_morning !== undefined && scores.during === undefined
        && scores.after === undefined && !isRun && !entry.skipped && entry.well_again === undefined
        && !ticked.length,
      on: entry.on,
      signs: ticked.concat(Object.keys(words.signs).filter((sign) => !ticked.includes(sign))),
      grave: words.ill,
      ill: entry.skipped === "ill",
      well: Boolean(entry.well_again),
      score: most(["during", "after", "next_morning", "walking"]),
      worst: most(["during", "after", "next_morning", "before", "walking"]),
    };
  }

  const hasIllness = (reacts, one) =>
    !one.well && (one.ill || one.grave || one.signs.some((sign) => reacts.ill.includes(sign)));

  /* What one check-in calls for: a grade, or "" for nothing. `infected`: days of an illness. */
  function gradeOf(reacts, one, infected) {
    const soon = (day) => daysFrom(day, one.on) >= 0
      && daysFrom(day, one.on) <= reacts.infection_days;
    const isNow = (sign) => reacts.now.concat(reacts.also_now || []).includes(sign)
      || (sign === "palpitations" && infected.some(soon));
    if (one.signs.some(isNow)) return "now";
    if (one.signs.includes("self_harm")) return "self_harm";
    if (one.worst >= reacts.severe || one.signs.some((sign) => !reacts.ill.includes(sign))) {
      return "today";
    }
    if (one.score >= reacts.rest) return "rest";
    return !one.well && (one.signs.length || one.grave) ? "ill" : "";
  }

  /* The grade of each of a device's check-ins, in their order. */
  function gradesOf(reacts, written) {
    const own = written.filter((one) => hasIllness(reacts, one)).map((one) => one.on);
    const infected = reacts.infected.concat(own);
    return written.map((one) => gradeOf(reacts, one, infected));
  }

  /* Whether a build has it: this one, or the one before it by which it was `taken` first; an older one
     that comes once more does not count for that. */
  function isTaken(reacts, one) {
    return Boolean(one.id)
      && (reacts.taken.includes(one.id) || (Boolean(one.taken) && one.taken <= reacts.stamp));
  }

  /* Those that still act: not those that a build has taken, and of these again those with a sign of
     "now" that nobody has freed. */
  function stillActing(reacts, written) {
    return written.filter((one) => !isTaken(reacts, one) || reacts.standing.includes(one.id));
  }

  /* Whether its pain was more than a plan goes on with. */
  function hurts(reacts, one) {
    return Boolean(one.pain)
      && !["calm", null].includes(painGrade(reacts, one.pain, reacts.profile));
  }

  /* Of the sessions that a build knows and of this device's since: {state, before, own}, where pain has
     led, where it had led on the morning of `monday`, and which of its own check-ins had a part in it. */
  function painOf(reacts, written, monday) {
    const own = written.filter((one) => one.pain && !isTaken(reacts, one));
    const all = (reacts.recent || []).concat(own).sort((one, other) => one.on.localeCompare(other.on));
    const led = (told) => painState(reacts, reacts.pain, told, reacts.profile);
    return {
      state: led(all),
      before: led(all.filter((one) => one.on < monday)),
      own: own.filter((one) => hurts(reacts, one)),
    };
  }

  /* What holds: "" for nothing, "hold", or "back" for two in a row. What held on the week's `monday` holds
     to its end, and so does a step back within it, though the scores are calm again. */
  function holdOf(reacts, written, monday) {
    const { state, before, own } = painOf(reacts, written, monday);
    const isCalm = state.level === "go";
    if (!own.length || !(isCalm || state.level === "hold")) return "";
    if (own.some(({ on }) => state.backs.includes(on) && (!isCalm || on >= monday))) return "back";
    return isCalm && before.level === "go" ? "" : "hold";
  }

  /* Whether an illness, told here or known to the build, was last said to be over; a draft says nothing. */
  function isOver(reacts, acting) {
    const told = acting.filter((one) => (one.well ? !one.draft : hasIllness(reacts, one)));
    return Boolean(told.length && told.pop().well) && (reacts.stop === "ill" || told.some((one) => !one.well));
  }

  /* The gravest stop that acts: {grade, isDraft, isTaken}; null without any. */
  function stopOf(reacts, written) {
    const acting = stillActing(reacts, written);
    const grades = gradesOf(reacts, acting);
    const { state, own } = painOf(reacts, acting);
    const refers = state.level === "refer" && own.length > 0;
    const found = GRADES.find((grade) => grades.includes(grade) || (grade === "pain" && refers));
    if ((!found || found === "ill") && isOver(reacts, acting)) {
      return { grade: "over", isDraft: false, isTaken: false };
    }
    if (!found) return null;
    const those = found === "pain" ? own : acting.filter((one, at) => grades[at] === found);
    return {
      grade: found,
      isDraft: those.every((one) => one.draft),
      isTaken: those.every((one) => isTaken(reacts, one)),
    };
  }

  parts.reacting = {
    newId, factsOf, gradeOf, gradesOf, isTaken, stillActing, stopOf, painOf, holdOf, hurts, hasIllness,
  };
})(typeof self === "undefined" ? globalThis : self);
