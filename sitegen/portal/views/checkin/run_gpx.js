/* A GPX file as runs: times, places and, where a recording has it, step rate of its track points. Pure.

   Source: GPX 1.1 Schema, topografix.com/GPX/1/1 (trk, trkseg, trkpt with lat and lon, time as
   xsd:dateTime, extensions). Elements are known by namespace, whatever the prefix; one without any
   namespace is taken too, and GPX 1.0, whose tracks are the same. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});
  const { NotRead, xmlReader, createRecording, runsOf } = parts.runFile;

  const GPX = /^https?:\/\/(?:www\.)?topografix\.com\/GPX\/1\/[01]\/?$/i;
  const RATES = ["cad", "cadence", "spm", "steprate", "step_rate", "runcadence", "run_cadence"];
  const MOST_TEXT = 64; // characters of a time or a number
  const NUMBER = /^[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?$/;
  const TIME = new RegExp("^([12][0-9]{3})-([0-9]{2})-([0-9]{2})[T ]([0-9]{2}):([0-9]{2})"
    + "(?::([0-9]{2})(?:[.,]([0-9]+))?)?(Z|[+-][0-9]{2}:?[0-9]{2})?$", "i");

  /* {ms, zone}: a time as milliseconds of its own clock, and what that clock is ahead of UTC in ms, or
     null where no zone is written. Null where it is no time. */
  function readTime(text) {
    const found = TIME.exec(text.trim());
    if (!found) return null;
    const [year, month, day, hour, minute] = found.slice(1, 6).map(Number);
    const second = Number(found[6] || 0);
    const ms = Date.UTC(year, month - 1, day, hour, minute, second, Number(((found[7] || "") + "000").slice(0, 3)));
    const date = new Date(ms);
    if (date.getUTCMonth() !== month - 1 || date.getUTCDate() !== day || hour > 23 || minute > 59 || second > 59) {
      return null;
    }
    if (found[8] === undefined) return { ms, zone: null };
    if (/^z$/i.test(found[8])) return { ms, zone: 0 };
    const away = Number(found[8].slice(1, 3)) * 60 + Number(found[8].slice(-2));
    if (away > 14 * 60 || Number(found[8].slice(-2)) > 59) return null;
    return { ms, zone: (found[8][0] === "-" ? -1 : 1) * away * 60000 };
  }

  function readNumber(text) {
    const bare = text.trim();
    return NUMBER.test(bare) ? Number(bare) : NaN;
  }

  function readPlace(lat, lon) {
    const place = { lat: readNumber(lat), lon: readNumber(lon) };
    return Math.abs(place.lat) <= 90 && Math.abs(place.lon) <= 180 ? place : null;
  }

  const pad = (number) => String(number).padStart(2, "0");

  /* "2027-02-10T18:30:05" of milliseconds on the clock of UTC. */
  function clockText(ms) {
    return new Date(ms).toISOString().slice(0, 19);
  }

  /* Times of one file on one line: the first says whether they have a zone. `local(ms)` gives the
     device's clock for an instant. */
  function createClock(local) {
    let isLocal = null;
    return {
      ms({ ms, zone }) {
        if (isLocal === null) isLocal = zone === null;
        return isLocal ? ms : ms - (zone || 0);
      },
      startOf: (ms) => (isLocal ? clockText(ms) : local(ms)),
      notes: () => (isLocal ? [{ code: "no-zone" }] : []),
    };
  }

  /* feed(text) for each slice of a file, then finish() for its runs. */
  function gpxReader(local) {
    const recording = createRecording();
    const clock = createClock(local);
    const path = []; // names of the elements of GPX that are open; "" for any other
    let space = null;
    let point = null;
    let text = null; // of the element that is wanted, or null
    let wanted = "";
    let count = 0;
    let placed = 0;
    let timed = 0;
    let bad = 0;

    const isAt = (...names) => path.length === names.length && names.every((name, at) => path[at] === name);

    function start(uri, name, attributes) {
      if (space === null) {
        if (name.toLowerCase() === "html") throw new NotRead("web");
        if (name !== "gpx") throw new NotRead("other");
        if (uri && !GPX.test(uri)) throw new NotRead("gpx-version");
        space = uri;
      }
      path.push(uri === space ? name : "");
      text = null;
      if (isAt("gpx", "trk", "trkseg", "trkpt")) {
        const { lat = "", lon = "" } = attributes;
        point = Object.assign({ ms: null, rate: null }, readPlace(lat, lon));
      } else if (point && isAt("gpx", "trk", "trkseg", "trkpt", "time")) {
        wanted = "time";
        text = "";
      } else if (point && path[4] === "extensions" && point.rate === null && RATES.includes(name.toLowerCase())) {
        wanted = "rate";
        text = "";
      }
    }

    function take() {
      if (wanted === "time") {
        const time = readTime(text);
        point.ms = time && point.lat !== undefined ? clock.ms(time) : null;
        point.isTimed = Boolean(time);
      } else {
        const rate = readNumber(text);
        if (rate >= 0 && rate < 1000) point.rate = rate;
      }
      text = null;
    }

    function keep() {
      count += 1;
      placed += point.lat !== undefined ? 1 : 0;
      timed += point.isTimed ? 1 : 0;
      if (point.ms === null) bad += 1;
      else recording.add({ ms: point.ms, lat: point.lat, lon: point.lon, rate: point.rate });
      point = null;
    }

    function end() {
      if (text !== null) take();
      if (isAt("gpx", "trk", "trkseg", "trkpt")) keep();
      else if (isAt("gpx", "trk", "trkseg")) recording.cut();
      path.pop();
    }

    const reader = xmlReader({
      start,
      end,
      text(piece) {
        if (text !== null && text.length <= MOST_TEXT) text += piece;
      },
    });

    function finish() {
      reader.close();
      const { pieces, leftOut } = recording.finish();
      if (!count) throw new NotRead("no-track");
      if (!placed) throw new NotRead("no-places");
      if (!timed) throw new NotRead("no-times");
      const used = pieces.some((piece) => piece.end > piece.start);
      if (!used && leftOut) throw new NotRead("backwards");
      return runsOf({ pieces, leftOut: leftOut + bad }, clock.startOf, clock.notes());
    }

    return { feed: reader.feed, finish };
  }

  Object.assign(parts.runFile, { gpxReader, readTime, readNumber, readPlace, createClock, pad });
})(typeof self === "undefined" ? globalThis : self);
