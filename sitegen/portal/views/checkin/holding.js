/* What pain of the last sessions calls for, by the engine's own steps (sitegen/rules/pain.py) and with
   its numbers, `portalParts.rules`: go on, hold, rest, or see a clinician. Pure.

   A session here is {on, run, walk, pain: {during, after, next_morning, before, walking, left}}; a state
   {level, calm, row, backs, rests, from, morning, walks, since} is PainState of the engine. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const { daysFrom } = parts.text;

  const START = {
    level: "go", calm: 0, row: 0, backs: [], rests: [], from: "", morning: false, walks: false,
    since: null,
  };
  const isTold = (score) => score !== undefined;

  function worstOf(pain, names) {
    const told = names.map((name) => pain[name]).filter(isTold);
    return told.length ? Math.max(...told) : null;
  }

  function isSettled(rules, pain, profile) {
    const { before, after, next_morning: morning } = pain;
    if (profile === "knee") {
      const start = isTold(before) ? Math.min(before, rules.calm) : rules.knee_start;
      return [after, morning].filter(isTold).every((score) => score <= start);
    }
    return !isTold(morning) || morning <= Math.min(rules.calm, (before || 0) + 1);
  }

  /* "calm", "hold", "rest", or null where no score was told. A run `left` out for pain holds at the least. */
  function painGrade(rules, pain, profile) {
    const worst = worstOf(pain, ["during", "after", "next_morning", "walking"]);
    if (worst !== null && worst >= rules.rest) return "rest";
    if (pain.left) return "hold";
    if (worst === null) return null;
    return worst <= rules.calm && isSettled(rules, pain, profile) ? "calm" : "hold";
  }

  /* An entry of nothing but a next morning belongs to the session before it on its day; the worst
     morning that was told stays. */
  function joined(told) {
    const found = [];
    for (const one of told) {
      const last = found[found.length - 1];
      if (last && last.on === one.on && one.alone) {
        const { next_morning: morning, walking } = one.pain;
        const pain = Object.assign({}, last.pain, {
          next_morning: Math.max(morning, last.pain.next_morning || 0),
        });
        if (isTold(walking)) pain.walking = walking;
        found[found.length - 1] = Object.assign({}, last, { pain });
      } else found.push(one);
    }
    return found;
  }

  function lately(rules, now, day) {
    const last = now.backs.concat(now.rests).filter((on) => on >= now.from).sort().pop();
    return last !== undefined && daysFrom(last, day) <= rules.refer_days;
  }

  function calmer(rules, now, one) {
    const calm = now.calm + 1;
    const goes = { backs: now.backs, rests: now.rests, from: now.from, calm };
    const isOver = daysFrom(now.since || one.on, one.on) > rules.rest_days;
    let { level } = now;
    if (level === "rest" && one.run && isOver) {
      return Object.assign({}, now, { level: "hold", calm: 1, row: 0 });
    }
    if (level === "rest" && now.morning && now.walks && isOver) level = "hold";
    if (level === "go" || (level === "hold" && calm >= rules.calm_sessions)) {
      return Object.assign({}, START, goes);
    }
    return Object.assign({}, now, { level, calm, row: 0 });
  }

  function after(rules, now, grade, one) {
    if (grade === "calm") return calmer(rules, now, one);
    const refers = now.level === "refer";
    const next = Object.assign({}, now, { calm: 0 });
    if (grade === "rest") {
      const last = now.rests[now.rests.length - 1];
      const again = last !== undefined && daysFrom(last, one.on) <= rules.rest_again_days;
      const { next_morning: morning, walking } = one.pain;
      return Object.assign(next, {
        level: again || lately(rules, now, one.on) || refers ? "refer" : "rest",
        rests: now.rests.concat(one.on), row: 0, since: one.on,
        morning: isTold(morning) && morning <= rules.calm, walks: walking === 0,
      });
    }
    const isSevere = refers || now.level === "rest";
    if (now.row + 1 < rules.hold_sessions) {
      return Object.assign(next, { level: isSevere ? now.level : "hold", row: now.row + 1 });
    }
    const refer = lately(rules, now, one.on);
    Object.assign(next, { backs: now.backs.concat(one.on), row: 0 });
    if (refer || refers) return Object.assign(next, { level: "refer", since: refer ? one.on : now.since });
    return Object.assign(next, { level: now.level === "rest" ? "rest" : "hold" });
  }

  /* A morning and walking, told since a rest. */
  function hearing(rules, now, one) {
    if (now.level !== "rest" || !now.since) return now;
    const { next_morning: morning, before, walking } = one.pain;
    const calm = [morning, one.on > now.since ? before : undefined]
      .some((score) => isTold(score) && score <= rules.calm);
    return Object.assign({}, now, {
      morning: now.morning || calm, walks: now.walks || walking === 0,
    });
  }

  /* Where `told`, oldest first, leads from `start`, a state or a part of one. A calm morning alone is no
     calm session. */
  function painState(rules, start, told, profile) {
    return joined(told).reduce((now, one) => {
      const grade = painGrade(rules, one.pain, profile);
      const heard = hearing(rules, now, one);
      const isMorning = grade === "calm" && !one.run && !one.walk && worstOf(one.pain, ["during", "after"]) === null;
      return grade && !isMorning ? after(rules, heard, grade, one) : heard;
    }, Object.assign({}, START, start));
  }

  parts.holding = { painGrade, painState };
})(typeof self === "undefined" ? globalThis : self);
