/* From points to a run's numbers, and what a step rate in a file means. Pure; its places are the last
   point and the last window's first one, and nothing of them leaves here.

   The limits are `portalParts.runFile.limits`, one source with the coach's own reader
   (sitegen/checkins/run_sum.py, which does the same). */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});
  const { NotRead, limits } = parts.runFile;

  const round = (number) => Math.floor(number + 0.5);

  /* Metres between two places along the great circle, by the haversine formula; `earth_m` is the mean
     radius of the Geodetic Reference System 1980 (Moritz 2000, R1). */
  function metresBetween(one, other) {
    const turn = Math.PI / 180;
    const up = Math.sin(((other.lat - one.lat) * turn) / 2);
    const along = Math.sin(((other.lon - one.lon) * turn) / 2);
    const share = up * up + Math.cos(one.lat * turn) * Math.cos(other.lat * turn) * along * along;
    return 2 * limits.earth_m * Math.asin(Math.min(1, Math.sqrt(share)));
  }

  function emptyPiece(ms) {
    return { start: ms, end: ms, moving: 0, metres: 0, leaps: 0, fast: 0, gaps: 0, rates: new Map() };
  }

  /* Points of one recording, in pieces. A point is {ms, lat, lon} or {ms, metres}, metres counted from
     the start, each with a step rate or null. */
  function createRecording() {
    const pieces = [];
    let piece = null;
    let last = null;
    let window = null; // what is not judged yet: {from, path, seconds, rates}
    let leftOut = 0;

    function judge() {
      if (!window || !window.seconds) return;
      const { from, path, seconds, rates } = window;
      const way = from.lat === undefined ? path : metresBetween(from, last);
      if (way >= limits.still_speed * seconds) {
        piece.moving += seconds;
        piece.metres += path;
        if (path > limits.fast_speed * seconds) piece.fast += seconds;
        if (seconds >= limits.gap_s) piece.gaps += seconds;
        for (const [rate, time] of rates) piece.rates.set(rate, (piece.rates.get(rate) || 0) + time);
      }
    }

    function begin(point) {
      window = { from: point, path: 0, seconds: 0, rates: [] };
    }

    function cut() {
      judge();
      piece = last = window = null;
    }

    function add(point) {
      if (!piece) {
        if (pieces.length >= limits.most_pieces) throw new NotRead("pieces", { most: limits.most_pieces });
        piece = emptyPiece(point.ms);
        pieces.push(piece);
        last = point;
        begin(point);
        return;
      }
      const seconds = (point.ms - last.ms) / 1000;
      const path = point.lat === undefined ? point.metres - last.metres : metresBetween(last, point);
      if (seconds <= 0 || path < 0) {
        leftOut += 1;
        return;
      }
      piece.end = point.ms;
      if (path > limits.leap_speed * seconds) { // no runner: the place leapt, or somebody rode
        judge();
        piece.leaps += 1;
        piece.fast += seconds;
        last = point;
        begin(point);
        return;
      }
      if (seconds >= limits.window_s) { // a long step is judged by itself
        judge();
        begin(last);
      }
      window.path += path;
      window.seconds += seconds;
      if (point.rate !== null) window.rates.push([round(point.rate), seconds]);
      last = point;
      if (window.seconds >= limits.window_s) {
        judge();
        begin(point);
      }
    }

    function finish() {
      cut();
      return { pieces, leftOut };
    }

    return { add, cut, finish };
  }

  /* The step rate below which `share` of the time lies. */
  function rateAt(rates, share) {
    const sorted = [...rates].sort((one, other) => one[0] - other[0]);
    const all = sorted.reduce((sum, [, time]) => sum + time, 0);
    let sum = 0;
    for (const [rate, time] of sorted) {
      sum += time;
      if (sum >= share * all) return rate;
    }
    return 0;
  }

  /* {steps, raw, spm, running}: whether a file counts one foot or both, by where running and walking lie;
     the step rate of the running alone, both feet, and its seconds. */
  function stepRate(rates, speed) {
    const told = [...rates].filter(([rate]) => rate > 0);
    const none = { steps: "none", raw: 0, spm: null, running: null };
    if (!told.length) return none;
    const raw = rateAt(told, limits.high_share);
    let times = 0;
    if (raw >= limits.run_spm && raw <= limits.most_spm) times = 1;
    else if (2 * raw >= limits.run_spm && raw <= limits.one_foot_spm) {
      times = raw >= limits.walk_spm && !(speed >= limits.sure_speed) ? 0 : 2;
    }
    const kept = told.filter(([rate]) => times * rate >= limits.run_spm && times * rate <= limits.most_spm);
    const seconds = kept.reduce((sum, [, time]) => sum + time, 0);
    if (!times || !seconds) return Object.assign({}, none, { steps: "unclear", raw });
    const steps = kept.reduce((sum, [rate, time]) => sum + times * rate * time, 0);
    return { steps: times === 2 ? "doubled" : "both", raw, spm: round(steps / seconds), running: seconds };
  }

  /* Why a run's numbers are asked about and not taken; null where nothing is odd. */
  function askedOf(moving, elapsed, metres, fast) {
    if (moving < limits.least_s) return { code: "short" };
    if (elapsed > limits.most_s || (metres || 0) > limits.most_m) {
      return { code: "long", hours: limits.most_s / 3600, km: limits.most_m / 1000 };
    }
    if (fast >= limits.fast_s) return { code: "part-ride", minutes: round(fast / 60) };
    if (!metres) return null;
    const pace = moving / (metres / 1000);
    if (pace < limits.ride_pace) return { code: "ride", pace: round(pace) };
    return pace > limits.swim_pace ? { code: "slow", pace: round(pace) } : null;
  }

  /* One run as both readers give it: seconds, metres, steps a minute of both feet, all whole. */
  function runOf(start, moving, elapsed, metres, rates, fast, notes) {
    const rate = stepRate(rates, metres ? metres / moving : 0);
    const rated = [...rates].reduce((sum, [, time]) => sum + time, 0);
    const sure = rate.running !== null && rated >= limits.rated_share * moving;
    const far = metres ? round(metres) : null;
    return {
      start, moving_s: round(moving), elapsed_s: round(elapsed), metres: far,
      pace_s: far && moving ? round(moving / (metres / 1000)) : null,
      spm: rate.spm, steps: rate.steps, steps_raw: rate.raw,
      running_s: sure ? round(rate.running) : null,
      notes, asks: askedOf(moving, elapsed, metres, fast),
    };
  }

  /* The runs of a recording: pieces in the order of time, a new run after a long pause.

     `startOf(ms)` gives the local date and time, or null where the file says no day. */
  function runsOf({ pieces, leftOut }, startOf, more) {
    const inTime = pieces.slice().sort((one, other) => one.start - other.start || other.end - one.end);
    const groups = [];
    let end = -Infinity;
    let twice = 0;
    for (const piece of inTime) {
      if (piece.start < end) {
        twice += 1;
        continue;
      }
      if (piece.start - end > limits.apart_s * 1000) groups.push([]);
      groups[groups.length - 1].push(piece);
      end = piece.end;
    }
    if (groups.length > limits.most_runs) throw new NotRead("many-runs", { most: limits.most_runs });
    const total = (group, name) => group.reduce((sum, piece) => sum + piece[name], 0);
    return groups.map((group) => {
      const rates = new Map();
      for (const piece of group) {
        for (const [rate, time] of piece.rates) rates.set(rate, (rates.get(rate) || 0) + time);
      }
      const notes = more.slice();
      if (leftOut) notes.push({ code: "left-out", count: leftOut });
      if (twice) notes.push({ code: "overlap" });
      if (total(group, "leaps")) notes.push({ code: "leaps", count: total(group, "leaps") });
      if (total(group, "gaps")) notes.push({ code: "gaps", minutes: round(total(group, "gaps") / 60) });
      const elapsed = (group[group.length - 1].end - group[0].start) / 1000;
      return runOf(startOf(group[0].start), total(group, "moving"), elapsed, total(group, "metres"),
        rates, total(group, "fast"), notes);
    });
  }

  Object.assign(parts.runFile, { metresBetween, createRecording, runOf, runsOf, round });
})(typeof self === "undefined" ? globalThis : self);
