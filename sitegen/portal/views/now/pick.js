/* Which session is next, by the device's own date. Pure. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const { addDays, daysFrom } = parts.text;

  const STALE_DAYS = 10; // a plan is brought up to date about once a week; common practice

  /* What to show on a day. Gives {state, week, todays, next, stale}: state names the words,
     week is this week's or null, todays are session ids, next is the session after today's. `told`, a
     Set, has the ids of sessions that were told: of today's only the others are still to do. */
  function pick(data, day, told) {
    const weeks = data.weeks;
    const sessions = weeks.reduce((list, week) => list.concat(week.sessions), []);
    sessions.sort((a, b) => (a.on + (a.at || "")).localeCompare(b.on + (b.at || "")));
    const last = weeks.length ? addDays(weeks[weeks.length - 1].start, 6) : "";
    const week = weeks.find((w) => w.start <= day && day <= addDays(w.start, 6)) || null;
    const none = { week: null, todays: [], next: null, stale: false };
    if (data.status !== "active") return Object.assign({ state: data.status }, none);
    if (!sessions.length) return Object.assign({ state: "none" }, none);

    const ofDay = sessions.filter((s) => s.on === day);
    const todays = ofDay.map((s) => s.id).filter((id) => !told || !told.has(id));
    const next = sessions.find((s) => s.on > day) || null;
    const stale = day <= last && daysFrom(data.as_of, day) > STALE_DAYS;
    const found = { week, todays, next, stale };
    const state = () => {
      if (todays.length) return "today";
      if (ofDay.length) return "told";
      if (day < sessions[0].on && !sessions.some((s) => s.on < day)) return "before";
      if (!next) return "after";
      if (!week || !week.sessions.length) return "free-week";
      return week.sessions.some((s) => s.on > day) ? "rest" : "week-done";
    };
    return Object.assign({ state: state() }, found);
  }

  parts.now = { pick };
})(typeof self === "undefined" ? globalThis : self);
