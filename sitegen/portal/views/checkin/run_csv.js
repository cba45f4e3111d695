/* A CSV file as runs: one row a run, or one row a moment of a run. Pure. docs/run-files.md says what is
   read. Source of the form: RFC 4180, with semicolon or tab in place of the comma where the first
   row has more of them. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});
  const {
    NotRead, createRecording, runOf, runsOf, readTime, readPlace, createClock, pad, limits, own,
  } = parts.runFile;

  const MOST_CELL = 131072; // characters, as Python's csv module has it
  const MOST_TOLD = 30; // characters of a cell that a sentence repeats

  /* Column names without accents, in English and Spanish; a unit may stand behind them. */
  const COLUMNS = {
    day: ["date", "day", "fecha", "dia"],
    clock: ["start", "start time", "clock", "hora", "inicio", "hora de inicio", "comienzo"],
    stamp: ["timestamp", "time stamp", "date time", "datetime", "fecha y hora", "instante"],
    time: ["time", "tiempo"], // of the day, or how long: the cells say which
    passed: ["seconds", "segundos", "elapsed seconds"],
    moving: ["duration", "minutes", "moving", "moving time", "running time", "minutes of running",
      "duracion", "minutos", "tiempo en movimiento", "tiempo de carrera"],
    elapsed: ["elapsed", "elapsed time", "total time", "tiempo total", "tiempo transcurrido"],
    distance: ["distance", "distancia", "kilometres", "kilometers", "kilometros", "miles", "millas",
      "metres", "meters", "metros"],
    rate: ["cadence", "step rate", "steps per minute", "steps a minute", "cadencia",
      "pasos por minuto", "frecuencia de pasos", "ppm"],
    lat: ["lat", "latitude", "latitud"],
    lon: ["lon", "lng", "long", "longitude", "longitud"],
  };
  const UNITS = {
    km: "km", kilometres: "km", kilometers: "km", kilometros: "km", m: "m", metres: "m", meters: "m",
    metros: "m", mi: "mi", miles: "mi", millas: "mi", s: "s", sec: "s", seconds: "s", segundos: "s",
    min: "min", minutes: "min", minutos: "min", h: "h", hours: "h", horas: "h", spm: "spm",
    "h:mm": "h:mm", "mm:ss": "mm:ss", "h:mm:ss": "h:mm:ss",
  };
  const DAY_FIRST = ["fecha", "dia"]; // who writes so writes the day before the month
  const ALONE = { km: "distance", mi: "distance", min: "moving", s: "passed", spm: "rate" };
  const METRES = { km: 1000, m: 1, mi: 1609.344 };
  const SECONDS = { s: 1, min: 60, h: 3600 };
  const NUMBER = /^[0-9]+(?:[.,][0-9]+)?$/;
  const DAY = /^([0-9]{4})-([0-9]{1,2})-([0-9]{1,2})$/;
  const OTHER_DAY = /^([0-9]{1,2})([./-])([0-9]{1,2})[./-]([0-9]{4})$/;
  const CLOCK = /^([0-9]{1,2}):([0-9]{2})(?::([0-9]{2}))?$/;

  const shown = (text) => (text.length > MOST_TOLD ? text.slice(0, MOST_TOLD) + "…" : text);

  function plainOf(text) {
    const bare = text.normalize("NFKD").replace(/[\u0300-\u036f]/g, "").toLowerCase();
    return bare.replace(/[_()[\],/-]+/g, " ").trim();
  }

  /* {column, unit} of a column's name; the column is empty where nothing is known of it. */
  function columnOf(text) {
    const words = plainOf(text).split(/\s+/);
    const last = words[words.length - 1];
    const known = (name) => Object.keys(COLUMNS).find((key) => COLUMNS[key].includes(name)) || "";
    const unit = own(UNITS, last) || "";
    const whole = known(words.join(" "));
    if (whole) return { column: whole, unit: words.length === 1 ? unit : "" };
    if (!unit) return { column: "", unit: "" };
    if (words.length === 1) return { column: own(ALONE, unit) || "", unit };
    return { column: known(words.slice(0, -1).join(" ")), unit };
  }

  const decimal = (text) => Number(text.replace(",", "."));

  /* Seconds of "31:20", "1:02:03", "31 min", "1 h 10 min", or of a number in the column's unit; null
     where it is none of these, NaN where a unit is missing. */
  function readDuration(text, unit) {
    const bare = text.trim().toLowerCase();
    if (NUMBER.test(bare)) return SECONDS[unit] ? decimal(bare) * SECONDS[unit] : NaN;
    const clock = /^([0-9]{1,3}):([0-9]{2})(?::([0-9]{2})(?:[.,][0-9]+)?)?$/.exec(bare);
    if (clock) {
      const [one, two] = [Number(clock[1]), Number(clock[2])];
      if (two > 59 || Number(clock[3] || 0) > 59) return null;
      if (clock[3] !== undefined) return one * 3600 + two * 60 + Number(clock[3]);
      return unit === "h:mm" || unit === "h" ? one * 3600 + two * 60 : one * 60 + two;
    }
    const words = /^(?:([0-9]{1,2}) ?h)? ?(?:([0-9]{1,4}(?:[.,][0-9]+)?) ?min)? ?(?:([0-9]{1,6}) ?s)?$/.exec(bare);
    if (!bare || !words) return null;
    return Number(words[1] || 0) * 3600 + decimal(words[2] || "0") * 60 + Number(words[3] || 0);
  }

  /* Metres of "5.2 km", "5,2" in the column's unit; null where it is none, NaN where a unit is missing. */
  function readDistance(text, unit) {
    const found = /^([0-9]+(?:[.,][0-9]+)?) ?(km|mi|m)?$/.exec(text.trim().toLowerCase());
    if (!found) return null;
    const said = found[2] || unit;
    return METRES[said] ? decimal(found[1]) * METRES[said] : NaN;
  }

  /* "day" or "month": what stands first in a date like 13/02/2027 or 13.2.2027; "" where it can't be told. */
  function firstIn(text) {
    const found = OTHER_DAY.exec(text.trim());
    if (!found) return "";
    if (found[2] === "." || Number(found[1]) > 12) return "day";
    return Number(found[3]) > 12 ? "month" : "";
  }

  /* "2027-02-10" of a date; null where it is none, "?" where day and month could change places. `first` is
     what stands first in dates of this file, as far as it is known. */
  function readDay(text, first) {
    const iso = DAY.exec(text.trim());
    const other = iso ? null : OTHER_DAY.exec(text.trim());
    if (!iso && !other) return null;
    const order = firstIn(text) || first;
    if (other && !order && other[1] !== other[3]) return "?";
    const day = Number(iso ? iso[3] : order === "month" ? other[3] : other[1]);
    const month = Number(iso ? iso[2] : order === "month" ? other[1] : other[3]);
    const year = Number(iso ? iso[1] : other[4]);
    const date = new Date(Date.UTC(year, month - 1, day));
    if (year < 1900 || date.getUTCMonth() !== month - 1 || date.getUTCDate() !== day) return null;
    return year + "-" + pad(month) + "-" + pad(day);
  }

  function readClock(text) {
    const found = CLOCK.exec(text.trim());
    if (!found || Number(found[1]) > 23 || Number(found[2]) > 59 || Number(found[3] || 0) > 59) return null;
    return pad(found[1]) + ":" + found[2] + ":" + (found[3] || "00");
  }

  /* Cells of rows as they come: row(cells, line) for each that is not empty. */
  function rowReader(row) {
    let rest = "";
    let line = 0;
    let separator = "";
    let open = null; // a quoted cell that goes on below: {cells, cell, line}

    function separatorOf(text) {
      const bare = text.replace(/"[^"]*"/g, "");
      const count = (letter) => bare.split(letter).length;
      return [";", "\t", ","].reduce((best, one) => (count(one) > count(best) ? one : best), ";");
    }

    function closed(at) {
      return new NotRead("csv-quote", { line: at });
    }

    function cellsOf(text) {
      if (!open && !text.includes('"')) return text.split(separator);
      const cells = open ? open.cells : [];
      let at = 0;
      let cell = open ? open.cell + "\n" : "";
      let isOpen = Boolean(open);
      const began = open ? open.line : line;
      open = null;
      for (;;) {
        if (isOpen) {
          const next = text.indexOf('"', at);
          if (next < 0) {
            cell += text.slice(at);
            if (cell.length > MOST_CELL) throw closed(began);
            open = { cells, cell, line: began };
            return null;
          }
          cell += text.slice(at, next);
          at = next + 1;
          if (text[at] === '"') {
            cell += '"';
            at += 1;
            continue;
          }
          if (at < text.length && text[at] !== separator) throw closed(line);
          cells.push(cell);
          isOpen = false;
        } else if (text[at] === '"') {
          isOpen = true;
          cell = "";
          at += 1;
          continue;
        } else {
          const next = text.indexOf(separator, at);
          cells.push(text.slice(at, next < 0 ? text.length : next));
          at = next < 0 ? text.length : next;
        }
        if (at >= text.length) return cells;
        at += 1;
      }
    }

    function take(text) {
      line += 1;
      if (text.length > MOST_CELL) throw closed(line);
      if (!separator) {
        if (!text.trim() || /^sep=.$/i.test(text.trim())) return;
        separator = separatorOf(text);
      }
      const cells = cellsOf(text);
      if (cells && cells.some((cell) => cell.trim())) row(cells, line);
    }

    return {
      feed(slice) {
        const lines = (rest + slice).split("\n");
        rest = lines.pop();
        if (rest.length > 2 * MOST_CELL) throw closed(line + 1);
        for (const one of lines) take(one);
      },
      close() {
        if (rest) take(rest);
        if (open) throw closed(open.line);
      },
    };
  }

  /* feed(text) for each slice, with line ends of "\n" alone; then finish() for the file's runs. */
  function csvReader(local) {
    const clock = createClock(local);
    const recording = createRecording();
    const runs = [];
    let at = null; // columns by their name: {index, unit}
    let isMoments = null;
    let hasDay = true;
    let first = ""; // in dates: the day or the month
    let rows = 0;

    function head(cells) {
      const found = {};
      for (const [index, cell] of cells.entries()) {
        const { column, unit } = columnOf(cell);
        if (!column) continue;
        if (found[column]) throw new NotRead("csv-twice", { text: shown(cell.trim()) });
        found[column] = { index, unit };
        if (column === "day" && DAY_FIRST.includes(plainOf(cell))) first = "day";
      }
      if (!Object.keys(found).length) throw new NotRead("csv-head");
      return found;
    }

    /* By the first row below the names. */
    function settle(cells) {
      const isStamp = (name) => at[name] && readTime((cells[at[name].index] || ""));
      const isPlaced = Boolean(at.lat && at.lon);
      if (at.time && !at.stamp && isStamp("time")) at.stamp = at.time;
      else if (at.time && isPlaced && !at.clock) at.clock = at.time;
      else if (at.time && !at.moving) at.moving = at.time;
      isMoments = isPlaced || Boolean(at.stamp && !at.moving && at.distance)
        || Boolean(at.passed && !at.day && at.distance);
      const isTimed = at.stamp || at.passed || (at.day && at.clock);
      if (isMoments ? !isTimed : !((at.day || at.stamp) && at.moving)) throw new NotRead("csv-columns");
      hasDay = !isMoments || Boolean(at.stamp || (at.day && at.clock));
    }

    function unfit(code, text, line) {
      return new NotRead(code, { line, text: shown(text.trim()) });
    }

    const cellOf = (cells, name) => (at[name] ? cells[at[name].index] || "" : "").trim();

    function measured(cells, name, reader, code, line) {
      const text = cellOf(cells, name);
      if (!text) return null;
      const value = reader(text, at[name].unit);
      if (value === null) throw unfit(code, text, line);
      if (Number.isNaN(value)) throw new NotRead(code + "-unit");
      return value;
    }

    function rateIn(cells, line) {
      const text = cellOf(cells, "rate").toLowerCase().replace(/ ?spm$/, "");
      if (!text) return null;
      if (!NUMBER.test(text)) throw unfit("csv-rate", text, line);
      return decimal(text);
    }

    /* The start that a row tells as {ms, zone}, or its day alone as text. */
    function startOf({ stamp, text, start, line }) {
      if (stamp) {
        const time = readTime(stamp);
        if (!time) throw unfit("csv-time", stamp, line);
        return time;
      }
      const day = readDay(text, first);
      if (day === "?") throw unfit("csv-day-month", text, line);
      if (!day) throw unfit("csv-day", text, line);
      if (!start) return day;
      const time = readClock(start);
      if (!time) throw unfit("csv-time", start, line);
      return readTime(day + "T" + time);
    }

    function startIn(cells, line) {
      const text = cellOf(cells, "day");
      first = first || firstIn(text);
      return { stamp: cellOf(cells, "stamp"), text, start: cellOf(cells, "clock"), line };
    }

    function wholeRun(cells, line) {
      if (!cellOf(cells, "moving") && !cellOf(cells, "distance")) return; // a day without a run
      if (runs.length >= limits.most_runs) throw new NotRead("many-runs", { most: limits.most_runs });
      const start = startIn(cells, line);
      const moving = measured(cells, "moving", readDuration, "csv-minutes", line);
      if (moving === null) throw unfit("csv-minutes", "", line);
      const elapsed = measured(cells, "elapsed", readDuration, "csv-minutes", line);
      const metres = measured(cells, "distance", readDistance, "csv-distance", line);
      const rate = rateIn(cells, line);
      const rates = new Map(rate === null ? [] : [[Math.floor(rate + 0.5), moving]]);
      runs.push([start, moving, Math.max(moving, elapsed || 0), metres, rates]);
    }

    function moment(cells, line) {
      const passed = at.passed && !hasDay ? measured(cells, "passed", readDuration, "csv-minutes", line) : null;
      const start = hasDay ? startOf(startIn(cells, line)) : null;
      if (start === null && passed === null) throw unfit("csv-time", "", line);
      if (typeof start === "string") throw unfit("csv-time", "", line);
      const ms = start ? clock.ms(start) : Math.floor(passed * 1000 + 0.5);
      const rate = rateIn(cells, line);
      if (at.lat && at.lon) {
        const place = readPlace(cellOf(cells, "lat").replace(",", "."), cellOf(cells, "lon").replace(",", "."));
        if (!place) throw unfit("csv-place", "", line);
        recording.add({ ms, lat: place.lat, lon: place.lon, rate });
        return;
      }
      const metres = measured(cells, "distance", readDistance, "csv-distance", line);
      if (metres === null) throw unfit("csv-distance", "", line);
      recording.add({ ms, metres, rate });
    }

    const reader = rowReader((cells, line) => {
      if (!at) {
        at = head(cells);
        return;
      }
      if (isMoments === null) settle(cells);
      rows += 1;
      if (isMoments) moment(cells, line);
      else wholeRun(cells, line);
    });

    function finish() {
      reader.close();
      if (!at) throw new NotRead("empty");
      if (!rows || (!isMoments && !runs.length)) throw new NotRead("csv-rows");
      if (!isMoments) {
        const starts = runs.map(([start]) => startOf(start)).map((start) =>
          (typeof start === "string" ? start : clock.startOf(clock.ms(start))));
        return runs.map(([, ...numbers], n) => runOf(starts[n], ...numbers, 0, clock.notes()))
          .sort((one, other) => (one.start < other.start ? -1 : Number(one.start > other.start)));
      }
      const { pieces, leftOut } = recording.finish();
      if (leftOut && !pieces.some((piece) => piece.end > piece.start)) throw new NotRead("backwards");
      const notes = hasDay ? clock.notes() : [{ code: "no-day" }];
      return runsOf({ pieces, leftOut }, (ms) => (hasDay ? clock.startOf(ms) : null), notes);
    }

    return { feed: reader.feed, finish };
  }

  Object.assign(parts.runFile, { csvReader });
})(typeof self === "undefined" ? globalThis : self);
