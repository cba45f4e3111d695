/* A session as a list of stretches on one time line, in seconds from its start. Pure.

   `soundsBetween(programme, from, to, each)` is a pure function of that line, so a click's time is
   computed from its stretch's start and its number, never from the click before it: nothing adds
   up, nothing drifts. Steps per minute (spm) count both feet; times are in seconds. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const LEAST_SPM = 100; // both feet: below is no running, above no step
  const MOST_SPM = 240;

  /* Parts in the order in which they are run: neighbours with the same `repeat` take turns. */
  function inTurns(parts) {
    const order = [];
    for (let at = 0; at < parts.length; ) {
      const turns = parts[at].repeat || 1;
      let end = at + 1;
      if (turns > 1) while (end < parts.length && parts[end].repeat === turns) end += 1;
      for (let turn = 1; turn <= turns; turn += 1) {
        for (const part of parts.slice(at, end)) order.push({ part, turn, turns });
      }
      at = end;
    }
    return order;
  }

  /* A session's parts as stretches. `allRuns`: click in every running part, not the beat parts
     alone. A session without beat parts clicks in its running parts either way. */
  function programme(parts, spm, allRuns) {
    const some = parts.some((part) => part.kind === "beat");
    const clicks = (kind) => kind === "beat" || (kind === "run" && (allRuns || !some));
    let start = 0;
    return inTurns(parts).map((one, number) => {
      const end = start + one.part.minutes * 60;
      const stretch = {
        start, end, number, firstStep: 0,
        spm: clicks(one.part.kind) ? spm : null,
        kind: one.part.kind, turn: one.turn, turns: one.turns,
      };
      start = end;
      return stretch;
    });
  }

  /* The beat alone, without a session and without an end. */
  function endless(spm) {
    return [{
      start: 0, end: Infinity, number: 0, firstStep: 0, spm,
      kind: "beat", turn: 1, turns: 1,
    }];
  }

  /* How many steps fit; the rounding keeps one that falls on the end out, it is the next one's. */
  function stepsIn(stretch) {
    return Math.ceil(((stretch.end - stretch.start) * stretch.spm) / 60 - 1e-6);
  }

  /* The number of the first step at or after `time` in a stretch, counted from its start. */
  function stepFrom(stretch, time) {
    const gap = 60 / stretch.spm;
    let step = Math.max(0, Math.floor((time - stretch.start) / gap) - 1);
    while (stretch.start + step * gap < time) step += 1;
    return step;
  }

  /* Every sound with from <= at < to. `each` is 1 for every step, 2 for every second one.
     Sounds: left, right (a step), on, off (a stretch with or without the beat begins), end. */
  function soundsBetween(line, from, to, each) {
    const sounds = [];
    line.forEach((stretch, index) => {
      const before = line[index - 1];
      const begins = before && before.number !== stretch.number;
      if (begins && stretch.start >= from && stretch.start < to) {
        sounds.push({ at: stretch.start, sound: stretch.spm ? "on" : "off" });
      }
      if (stretch.spm && stretch.start < to && stretch.end > from) {
        const gap = 60 / stretch.spm;
        const steps = stepsIn(stretch);
        for (let step = stepFrom(stretch, from); step < steps; step += 1) {
          const at = stretch.start + step * gap;
          if (at >= to) break;
          const foot = (stretch.firstStep + step) % 2;
          if (foot === 0 || each === 1) sounds.push({ at, sound: foot === 0 ? "left" : "right" });
        }
      }
    });
    const end = line.length ? line[line.length - 1].end : 0;
    if (end >= from && end < to) sounds.push({ at: end, sound: "end" });
    return sounds.sort((one, other) => one.at - other.at);
  }

  /* The same line with another rate from `time` on. The step under way is finished first, so
     that no step comes early or late, and left stays left. */
  function withRate(line, time, spm) {
    const out = [];
    for (const stretch of line) {
      if (!stretch.spm || stretch.end <= time) {
        out.push(stretch);
      } else if (stretch.start >= time) {
        out.push(Object.assign({}, stretch, { spm }));
      } else {
        const step = stepFrom(stretch, time);
        const isLast = step >= stepsIn(stretch);
        const cut = isLast ? stretch.end : stretch.start + step * (60 / stretch.spm);
        out.push(Object.assign({}, stretch, { end: cut }));
        if (!isLast) {
          const firstStep = (stretch.firstStep + step) % 2;
          out.push(Object.assign({}, stretch, { start: cut, spm, firstStep }));
        }
      }
    }
    return out;
  }

  /* Where `time` lies: the stretch, the seconds left in its part, and the first one of the next
     part, or null. Null after the end. */
  function whereAt(line, time) {
    const stretch = line.find((one) => time < one.end);
    if (!stretch) return null;
    const same = line.filter((one) => one.number === stretch.number);
    const next = line.find((one) => one.number === stretch.number + 1) || null;
    return { stretch, left: same[same.length - 1].end - time, next };
  }

  function partSeconds(line, number) {
    const same = line.filter((one) => one.number === number);
    return same[same.length - 1].end - same[0].start;
  }

  function weekOf(weeks, day) {
    const begun = weeks.filter((week) => week.start <= day);
    return begun.length ? begun[begun.length - 1] : weeks[0] || null;
  }

  /* The plan as the page's block of data holds it (templates/app.js), with named parts. */
  function planOf(data) {
    const weeks = (data.weeks || []).map((week) => {
      const [low, aim, high] = week.cadence_spm;
      return { start: week.start, band: { low, aim, high } };
    });
    const sessions = [].concat(...(data.weeks || []).map((week) => week.sessions)).map((one) =>
      Object.assign({}, one, {
        parts: one.parts.map(([kind, minutes, repeat, spm, hard]) =>
          ({ kind, minutes, repeat, spm, hard: Boolean(hard) })),
      }));
    return { weeks, sessions };
  }

  parts.beat = Object.assign(parts.beat || {}, {
    LEAST_SPM, MOST_SPM,
    inTurns, programme, endless, soundsBetween, withRate, whereAt, partSeconds, weekOf, planOf,
  });
})(typeof self === "undefined" ? globalThis : self);
