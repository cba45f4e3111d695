/* A listening check's four parts as times, and what may be said of what was heard in them. Pure but
   for what it takes from ../../templates/listening.js. Times are in seconds, levels in dB. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const PARTS = ["usual", "quieter", "beat", "usual_again"];
  const TIMES = { lead: 9, part: 60, beat: 20, silence: 40 };
  const HISSES = [0.6, 1.3]; // a loud one, then one 12 dB softer
  const FROM = 2; // measured from here, once the hisses are over
  const AFTER = 2; // and this much longer is heard, for two hisses more
  const LATE = 0.6; // by which a loudspeaker and a microphone may be late
  const AGREE_SPM = 2;
  const SAME_DB = 1.5; // how sure a difference is

  /* The stretches of a check, one after the other: to get ready, the beat, and to be heard. */
  function stretches(times) {
    let end = 0;
    const next = (part, kind, seconds) => {
      const start = end;
      end += seconds;
      return { part, kind, start, end };
    };
    return PARTS.flatMap((part) => [
      next(part, "ready", times.lead),
      ...(part === "beat" ? [next(part, "beat", times.beat)] : []),
      next(part, "hear", (part === "beat" ? times.silence : times.part + AFTER) + LATE),
    ]);
  }

  /* When hisses sound, and what is measured, in a part that began to be heard at `began`. In the
     silence after the beat there are none at its end: the part before and the part after have them. */
  function asks(times, part, began) {
    const long = part === "beat" ? times.silence : times.part;
    const pairs = [HISSES, ...(part === "beat" ? [] : [HISSES.map((s) => s + long - 0.2)])];
    return {
      from: began + FROM, to: began + long,
      bursts: pairs.map((pair) => pair.map((s) => began + s)),
    };
  }

  /* What a part says once the phone's motion was asked too; `motion` is steps a minute, or null. */
  function withMotion(found, motion) {
    if (found.refused || motion === null) return { ...found, motion };
    const isOther = Math.abs(found.spm - motion) > AGREE_SPM;
    return { ...found, motion, ...(isOther ? { refused: "not-yours" } : {}) };
  }

  /* What the whole check claims; `found` by part, `pairs` of hisses in order of time. */
  function claims(found, pairs) {
    const { gainOf, compare } = parts.listening;
    const none = { refused: "short" };
    const [usual, quieter, beat, again] = PARTS.map((part) => found[part] || none);
    return compare({ usual, quieter, beat, again }, gainOf(pairs));
  }

  const LONGEST_MIN = 5; // running without a break that the four parts take
  const AHEAD_DAYS = 7;

  /* Minutes of the longest running without a break in a session's parts, [kind, minutes, repeat].
     Neighbours that are repeated are done in turn, so only those that all run make one stretch. */
  function longestRun(session) {
    let longest = 0;
    let now = 0;
    const { parts: all } = session;
    for (let at = 0; at < all.length;) {
      const repeat = all[at][2];
      let end = at + 1;
      while (repeat > 1 && end < all.length && all[end][2] === repeat) end += 1;
      const group = all.slice(at, end);
      const runs = ([kind]) => kind === "run" || kind === "beat";
      const turns = group.every(runs) ? repeat : 1;
      for (const part of group) {
        now = runs(part) ? now + part[1] * turns : 0;
        longest = Math.max(longest, now);
      }
      at = end;
    }
    return longest;
  }

  /* Whether the plan's own running of the next days is as long as a check: "yes"; "short", with the
     first day that has so much, or null; "none" where nothing is run, or the plan is held. */
  function offered(data, today, addDays) {
    const till = addDays(today, AHEAD_DAYS);
    const ahead = data.weeks.flatMap((week) => week.sessions).filter((one) => one.on >= today)
      .map((one) => ({ on: one.on, longest: longestRun(one) })).filter((one) => one.longest > 0);
    const near = ahead.filter((one) => one.on < till);
    if (data.status !== "active" || !near.length) return { how: "none", first: null };
    if (near.some((one) => one.longest >= LONGEST_MIN)) return { how: "yes", first: null };
    const first = ahead.find((one) => one.longest >= LONGEST_MIN);
    return { how: "short", first: first ? first.on : null };
  }

  /* Whether a part's answer means that the others would not be heard either. */
  const isDeaf = (found) => Boolean(found.refused) && found.refused !== "not-yours";

  const tenth = (db) => Math.round(db * 10) / 10;

  /* The numbers as the log has them: an entry for each part that was taken. */
  function entries(found, claim, place) {
    const apart = { quieter: claim.quieter_db, beat: claim.beat_db };
    if (!claim.why) apart.usual_again = claim.agree_db;
    return PARTS.filter((part) => found[part] && !found[part].refused).map((part) => {
      const one = { part, spm: Math.round(found[part].spm), steps: found[part].steps };
      if (typeof apart[part] === "number") one.difference_db = tenth(apart[part]);
      one.snr_db = tenth(found[part].ratio_db);
      if (place) one.place = place;
      return one;
    });
  }

  /* The same as the check-in writes it for the log: YAML on one line. */
  function logText(heard) {
    const maps = heard.map((one) => Object.entries(one)
      .map(([name, value]) => name + ": " + value + (name === "spm" ? " spm" : "")).join(", "));
    return "[" + maps.map((text) => "{" + text + "}").join(", ") + "]";
  }

  /* "softer", "louder", or "same" where the difference is within what is sure. */
  function wayOf(db) {
    if (Math.abs(db) < SAME_DB) return "same";
    return db < 0 ? "softer" : "louder";
  }

  parts.check = {
    PARTS, TIMES, stretches, asks, withMotion, claims, entries, logText, wayOf, longestRun, offered,
    isDeaf,
  };
})(typeof self === "undefined" ? globalThis : self);
