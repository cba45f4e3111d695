/* A session as a strip in proportion to its minutes. Pure. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});
  const { inTurns } = parts.beat;

  /* Parts with their names, as planOf gives them, into {pieces, groups}. A piece is one stretch:
     where it starts and how wide it is, in thousandths of the whole, and its kind, which is "hard"
     for hard running. A group is a stretch that is done `turns` times over. */
  function strip(session) {
    const order = inTurns(session);
    const whole = order.reduce((sum, one) => sum + one.part.minutes, 0);
    const pieces = [];
    const groups = [];
    let x = 0;
    for (const { part, turns, turn } of order) {
      const width = (part.minutes * 1000) / whole;
      pieces.push({ x, width, kind: part.hard ? "hard" : part.kind });
      const last = groups[groups.length - 1];
      const goesOn = last && last.open && turns === last.turns && turn >= last.turn;
      if (last && !goesOn) last.open = false;
      if (turns > 1 && goesOn) Object.assign(last, { width: x + width - last.x, turn });
      else if (turns > 1) groups.push({ x, width, turns, turn, open: true });
      x += width;
    }
    return { pieces, groups: groups.map(({ x: at, width, turns }) => ({ x: at, width, turns })) };
  }

  /* What the run of this kind before this one took, if it took another time; else null. */
  function lastTime(sessions, id) {
    const at = sessions.findIndex((one) => one.id === id);
    if (at < 0) return null;
    const here = sessions[at];
    const before = sessions.slice(0, at).reverse().find((one) => one.kind === here.kind);
    if (!before) return null;
    const was = Math.round(before.total_minutes);
    return was === Math.round(here.total_minutes) ? null : was;
  }

  Object.assign(parts.now, { strip, lastTime });
})(typeof self === "undefined" ? globalThis : self);
