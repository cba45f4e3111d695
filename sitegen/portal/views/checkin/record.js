/* What the device keeps of check-ins, as one record named "checkin" in the portal's corner: drafts by
   session, and what was sent until a build lists it. Pure: the corner is given. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const { addDays } = parts.text;

  const DAYS_BACK = 14; // sessions this old can still be told about
  const SHOWN_DAYS = 6; // those told stay to choose from so long
  const KEEP_DAYS = 28; // how long a message that no build lists stays; no source

  /* The run of yesterday that was sent and still lacks its next morning, or null. */
  function morningAsked(sent, today) {
    const yesterday = addDays(today, -1);
    const those = Object.values(sent).filter((one) => one.on === yesterday && one.ran);
    return those.length && those.every((one) => one.morning === undefined) ? yesterday : null;
  }

  function loadRecord(keep) {
    const record = { drafts: {}, sent: {}, open: "" };
    try {
      return Object.assign(record, JSON.parse(keep.get("checkin")));
    } catch (error) {
      return record;
    }
  }

  /* False where the browser keeps nothing. */
  function saveRecord(keep, record) {
    return keep.set("checkin", JSON.stringify(record));
  }

  /* What is no longer needed goes: the text once a build lists its id, the rest once nothing asks
     for it. `waiting` are ids of those that stop the plan: their text stays. */
  function pruned(record, today, taken, waiting) {
    const sent = {};
    for (const key of Object.keys(record.sent)) {
      const one = Object.assign({}, record.sent[key]);
      const isOld = one.on < addDays(today, -KEEP_DAYS) && !waiting.includes(one.id);
      if (isOld || taken.includes(one.id)) delete one.text;
      if (one.text || one.on >= addDays(today, -DAYS_BACK)) sent[key] = one;
    }
    return Object.assign({}, record, { sent });
  }

  /* Which sessions were told: their ids. `keys` names those sent from this device, `logged` has the days
     of check-ins that a build took in, {ran, done, skipped}; on a day with several sessions each
     check-in tells one. */
  function toldSessions(sessions, logged, keys) {
    const told = new Set();
    const left = { ran: logged.ran.slice(), done: logged.done.slice(), skipped: logged.skipped.slice() };
    const taken = (what, day) => {
      const at = left[what].indexOf(day);
      if (at >= 0) left[what].splice(at, 1);
      return at >= 0;
    };
    const those = sessions.filter((one) => keys.includes(one.id));
    for (const one of those.concat(sessions.filter((other) => !those.includes(other)))) {
      const isTaken = taken(one.run_minutes > 0 ? "ran" : "done", one.on) || taken("skipped", one.on);
      if (isTaken || keys.includes(one.id)) told.add(one.id);
    }
    return told;
  }

  /* The same for a page: by what this device keeps and its build knows. */
  function toldHere(portal) {
    const sessions = [].concat(...portal.data.weeks.map((week) => week.sessions));
    return toldSessions(sessions, portal.data.logged, Object.keys(loadRecord(portal.own).sent));
  }

  /* The sessions that may be told of today, oldest first, and those with a draft. */
  function tellable(sessions, today, told, drafts) {
    return sessions.filter((one) => one.id in drafts || (one.on <= today
      && one.on >= addDays(today, told.has(one.id) ? -SHOWN_DAYS : -DAYS_BACK)));
  }

  parts.checkin = Object.assign(parts.checkin || {}, {
    morningAsked, loadRecord, saveRecord, pruned, toldSessions, tellable, toldHere,
  });
})(typeof self === "undefined" ? globalThis : self);
