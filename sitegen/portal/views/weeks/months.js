/* The calendar of months in Weeks, drawn when it is opened: what is planned on each day, and what was told.
   Comes after the first picture. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const { addDays } = parts.text;
  const { toldHere } = parts.checkin;

  const make = (name, values, ...inside) => {
    const made = Object.assign(world.document.createElement(name), values);
    made.append(...inside);
    return made;
  };

  /* The months that weeks touch, "2027-02" each, first to last. Pure. */
  function monthsOf(weeks) {
    if (!weeks.length) return [];
    const last = addDays(weeks[weeks.length - 1].start, 6).slice(0, 7);
    const found = [weeks[0].start.slice(0, 7)];
    while (found[found.length - 1] < last) {
      found.push(addDays(found[found.length - 1] + "-01", 32).slice(0, 7));
    }
    return found;
  }

  /* A month's days in rows from Monday to Sunday, "" where another month's day stands. Pure. */
  function rowsOf(month) {
    const days = [];
    for (let day = month + "-01"; day.startsWith(month); day = addDays(day, 1)) days.push(day);
    const before = (new Date(days[0] + "T00:00Z").getUTCDay() + 6) % 7;
    const cells = [...Array(before).fill(""), ...days];
    while (cells.length % 7) cells.push("");
    return Array.from({ length: cells.length / 7 }, (_, at) => cells.slice(at * 7, at * 7 + 7));
  }

  function draw(root, portal) {
    const box = root.querySelector("[data-months]");
    if (!box) return;
    const { weeks, logged, language } = portal.data;
    const say = (name) => box.getAttribute("data-" + name) || "";
    const inWords = (form) => new Intl.DateTimeFormat(language, Object.assign({ timeZone: "UTC" }, form));
    const at = (day) => new Date(day + "T00:00Z");
    const short = inWords({ weekday: "narrow" });
    const long = inWords({ weekday: "long" });
    const title = inWords({ month: "long", year: "numeric" });
    const isHard = (one) => one.parts.some((part) => part[4]);

    function cell(day, sessions, told) {
      if (!day) return make("td");
      const mark = make("span", { className: "day", textContent: String(Number(day.slice(8))) });
      const words = sessions.map((one) => say("kind-" + one.kind));
      for (const one of sessions) mark.classList.add(one.kind !== "strength" ? "run" : "strength");
      if (sessions.some(isHard)) mark.classList.add("hard");
      if (sessions.some((one) => one.kind === "event")) mark.classList.add("event");
      const isTold = sessions.some((one) => told.has(one.id));
      const isSkipped = isTold && logged.skipped.includes(day) && !logged.ran.includes(day);
      if (isTold) {
        mark.classList.add(isSkipped ? "skipped" : "done");
        words.push(say(isSkipped ? "say-skipped" : "say-done"));
      }
      const here = make("td", {}, mark);
      if (day === portal.today()) {
        here.setAttribute("aria-current", "date");
        words.unshift(say("say-today"));
      }
      if (words.length) here.append(make("span", { className: "hide", textContent: ": " + words.join(", ") }));
      return here;
    }

    function fill() {
      if (!box.open) return;
      const told = toldHere(portal);
      const byDay = {};
      for (const one of weeks.flatMap((week) => week.sessions)) byDay[one.on] = (byDay[one.on] || []).concat(one);
      const heads = Array.from({ length: 7 }, (_, n) => {
        const monday = at(addDays("2024-01-01", n)); // a Monday
        return make("th", { scope: "col", abbr: long.format(monday), textContent: short.format(monday) });
      });
      box.querySelector("[data-months-grid]").replaceChildren(...monthsOf(weeks).map((month) => make(
        "table", {},
        make("caption", { textContent: title.format(at(month + "-01")) }),
        make("thead", {}, make("tr", {}, ...heads.map((head) => head.cloneNode(true)))),
        make("tbody", {}, ...rowsOf(month).map((row) =>
          make("tr", {}, ...row.map((day) => cell(day, byDay[day] || [], told))))),
      )));
    }

    box.hidden = false;
    box.addEventListener("toggle", fill);
    for (const event of ["portal:told", "portal:day"]) world.document.addEventListener(event, fill);
  }

  parts.months = { monthsOf, rowsOf, draw };
})(typeof self === "undefined" ? globalThis : self);
