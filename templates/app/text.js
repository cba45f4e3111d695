/* Days, plans by their day, and words with places to fill in. Pure. A day is text, "2027-02-09"; days are counted in
   UTC, so that no clock change and no time zone can move them. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  function addDays(day, days) {
    return new Date(Date.parse(day + "T00:00Z") + days * 86400000).toISOString().slice(0, 10);
  }

  function daysFrom(one, other) {
    return Math.round((Date.parse(other + "T00:00Z") - Date.parse(one + "T00:00Z")) / 86400000);
  }

  /* "Wed 10 Feb", in the order in which the rest of the portal writes a day. */
  function dayName(day, language) {
    const date = new Date(day + "T00:00Z");
    const part = (how) =>
      new Intl.DateTimeFormat(language, Object.assign({ timeZone: "UTC" }, how)).format(date);
    return part({ weekday: "short" }) + " " + date.getUTCDate() + " " + part({ month: "short" });
  }

  /* "{n} min" with {n: 5} is "5 min"; what is not given stays as it is. */
  function fill(text, values) {
    return text.replace(/\{(\w+)\}/g, (whole, name) => (name in values ? values[name] : whole));
  }

  /* Which plan it is, for comparing: its day, and which one of that day. */
  function stampOf({ as_of, edition }) {
    return as_of + " " + String(edition || 0).padStart(4, "0");
  }

  parts.text = { addDays, daysFrom, dayName, fill, stampOf };
})(typeof self === "undefined" ? globalThis : self);
