/* Now: pick.js says which session is next; here it is copied from the view Weeks. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const { daysFrom } = parts.text;
  const { pick } = parts.now;

  function show(root, portal) {
    const words = portal.data.language;
    const one = (selector) => root.querySelector(selector);
    const blank = Array.from(root.childNodes).map((node) => node.cloneNode(true));
    let shown = "";

    const longDay = (day) =>
      new Intl.DateTimeFormat(words, {
        weekday: "long", day: "numeric", month: "long", timeZone: "UTC",
      }).format(new Date(day + "T00:00Z"));

    function fromNow(day, to) {
      const days = daysFrom(day, to);
      if (days > 6) return longDay(to);
      const near = new Intl.RelativeTimeFormat(words, { numeric: "auto" }).format(days, "day");
      return days === 1 ? near : longDay(to) + ", " + near;
    }

    function copy(id, level) {
      const source = document.querySelector('.week [data-session="' + CSS.escape(id) + '"]');
      if (!source) return null;
      const session = source.cloneNode(true);
      session.removeAttribute("id");
      session.querySelector(".what").setAttribute("aria-level", String(level));
      return session;
    }

    function weekPart(week, selector) {
      return week && document.querySelector("#weeks-" + week.number + " " + selector);
    }

    function draw() {
      const day = portal.today();
      if (day === shown) return;
      const again = shown !== "";
      shown = day;
      root.replaceChildren(...blank.map((node) => node.cloneNode(true)));
      portal.linkUp(root);
      const found = pick(portal.data, day);
      root.dataset.shows = found.state;

      const title = one(".title");
      const label = document.createElement("span");
      label.className = "hide";
      label.textContent = title.textContent + ": ";
      title.replaceChildren(label, longDay(day));

      const state = one('[data-state="' + found.state + '"]');
      state.hidden = false;
      const begins = state.querySelector('[data-fill="when"]');
      if (begins && found.next) begins.textContent = fromNow(day, found.next.on);

      if (found.state !== "pause-week") {
        const todays = found.todays.map((id) => copy(id, 3)).filter(Boolean);
        // The run leads, whenever it is; what else there is stands below it.
        todays.sort((a, b) => ("run" in b.dataset) - ("run" in a.dataset));
        one('[data-state="today"]').append(...todays);
        // What comes next is told only when today has nothing.
        if (found.next && !found.todays.length) {
          one(".next").hidden = false;
          one('[data-fill="next-when"]').textContent = fromNow(day, found.next.on);
          const session = copy(found.next.id, 4);
          if (session) one(".next .slot").append(session);
        }
      }
      const runs = Array.from(root.querySelectorAll(".state .session[data-run]")).length > 0;
      const go = one(".go");
      const beat = go.querySelector("[data-needs]");
      if (beat) beat.hidden = !runs;
      const idle = ["before", "referred", "ended"].includes(found.state);
      const facts = one(".state .session[data-run] .facts") || one(".state .session .facts");
      if (facts) facts.after(go);
      go.hidden = idle || !go.querySelector(".button:not([hidden])");
      const careful = one(".careful");
      careful.hidden = !runs;
      if (runs) go.after(careful);

      // Words to all stand here with their days, since a pause or a plan's end has no week.
      for (const dated of root.querySelectorAll(".note-now .dated")) {
        dated.hidden = day < dated.dataset.from || dated.dataset.until < day;
        if (!dated.hidden) one(".note-now").hidden = false;
      }
      const note = weekPart(found.week, ".note:not([data-from])");
      if (note) {
        one(".note-now").hidden = false;
        one(".note-now .slot").append(...Array.from(note.cloneNode(true).childNodes));
      }
      const why = weekPart(found.week, ".why .reasons");
      if (why) {
        one(".why-now").hidden = false;
        one(".why-now .slot").append(why.cloneNode(true));
      }
      one(".stale").hidden = !found.stale;

      for (const week of document.querySelectorAll(".week")) {
        const current = week.dataset.start <= day && day <= week.dataset.end;
        const summary = week.querySelector("summary");
        week.querySelector(".here").hidden = !current;
        if (current) summary.setAttribute("aria-current", "date");
        else summary.removeAttribute("aria-current");
        week.classList.toggle("past", week.dataset.end < day);
        if (!again) week.open = current;
      }
      for (const session of document.querySelectorAll(".week .session"))
        session.classList.toggle("is-today", session.dataset.on === day);
      if (again) document.dispatchEvent(new CustomEvent("portal:day"));
    }

    draw();
    // A page that stays open over midnight, or comes back from the background days later.
    document.addEventListener("visibilitychange", () => {
      if (!document.hidden) draw();
    });
    window.addEventListener("pageshow", draw);
    setInterval(draw, 20000);
  }

  parts.views = Object.assign(parts.views || {}, { now: { show } });
})(typeof self === "undefined" ? globalThis : self);
