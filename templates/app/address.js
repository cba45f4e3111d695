/* The address's end: "#KEY/weeks/5", "#k=KEY&v=weeks/5", "#KEY" or "#weeks/5"; and the day that the
   coach's own computer may ask for. Pure. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  /* "weeks/5" into ["weeks", "5"]. */
  function splitPlace(place) {
    const cut = place.indexOf("/");
    return cut < 0 ? [place, ""] : [place.slice(0, cut), place.slice(cut + 1)];
  }

  /* {key, place, pairs}; `views` are the names of all views. */
  function readAddress(end, views) {
    const text = end.replace(/^#/, "");
    if (/^[kv]=/.test(text)) {
      const pairs = new URLSearchParams(text);
      return { key: pairs.get("k") || "", place: pairs.get("v") || "", pairs: true };
    }
    const [first, rest] = splitPlace(text);
    if (views.includes(first) || text === "main") return { key: "", place: text, pairs: false };
    return { key: first, place: rest, pairs: false };
  }

  /* The end of an address for a place, with the key of `address` in it. */
  function linkTo(address, place) {
    if (!address.key) return "#" + place;
    return address.pairs ? "#k=" + address.key + "&v=" + place : "#" + address.key + "/" + place;
  }

  /* The day in "?day=2027-02-09", on the coach's own computer only; else empty. */
  function dayAskedFor({ hostname, search }) {
    if (!["127.0.0.1", "localhost"].includes(hostname)) return "";
    const day = new URLSearchParams(search).get("day") || "";
    const at = /^\d{4}-\d{2}-\d{2}$/.test(day) ? Date.parse(day + "T00:00Z") : NaN;
    return !Number.isNaN(at) && new Date(at).toISOString().startsWith(day) ? day : "";
  }

  parts.address = { splitPlace, readAddress, linkTo, dayAskedFor };
})(typeof self === "undefined" ? globalThis : self);
