/* Now: pick.js says which session is next; here it is copied from the view Weeks. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const { addDays, dayName, daysFrom } = parts.text;
  const { pick, strip, lastTime } = parts.now;
  const { planOf } = parts.beat;
  const { toldHere, loadRecord, morningAsked } = parts.checkin;
  const HEIGHTS = { warm_up: 28, walk: 28, cool_down: 28, run: 62, beat: 100, hard: 100 };
  const ASKED_DAYS = 2; // so long Now asks for a run of which nothing was told; no source
  const SVG = "http://www.w3.org/2000/svg";

  /* A session's parts as the pieces of its strip: the drawing and its counts. */
  function drawn(list) {
    const { pieces, groups } = strip(list);
    const svg = document.createElementNS(SVG, "svg");
    svg.setAttribute("viewBox", "0 0 1000 100");
    svg.setAttribute("preserveAspectRatio", "none");
    svg.setAttribute("aria-hidden", "true");
    for (const { x, width, kind } of pieces) {
      const rect = document.createElementNS(SVG, "rect");
      const height = HEIGHTS[kind] || 45;
      const box = { x, y: 100 - height, width, height, class: kind };
      for (const [name, value] of Object.entries(box)) rect.setAttribute(name, String(value));
      svg.append(rect);
    }
    const counts = [];
    for (const { x, width, turns } of groups) {
      const count = document.createElement("span");
      count.setAttribute("aria-hidden", "true");
      count.textContent = turns + " ×";
      count.style.insetInlineStart = x / 10 + "%";
      count.style.inlineSize = width / 10 + "%";
      counts.push(count);
    }
    return [svg, ...counts];
  }

  function show(root, portal) {
    const words = portal.data.language;
    const one = (selector) => root.querySelector(selector);
    const blank = root.cloneNode(true);
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

    /* A week as it stands in Weeks, drawn if it was not yet. */
    function drawnWeek(number) {
      const week = document.getElementById("weeks-" + number);
      parts.folded.draw(week, portal);
      return week;
    }

    function copy(id, level) {
      const holds = (week) => week.sessions.some((one) => one.id === decodeURIComponent(id));
      drawnWeek((portal.data.weeks.find(holds) || {}).number);
      const source = document.querySelector('.week [data-session="' + CSS.escape(id) + '"]');
      if (!source) return null;
      const session = source.cloneNode(true);
      session.removeAttribute("id");
      const title = session.querySelector(".what");
      const heading = document.createElement("h" + level);
      heading.className = "what";
      heading.append(...title.childNodes);
      title.replaceWith(heading);
      return session;
    }

    /* "5 min warm-up, 4 times (1 min run to the beat + 1 min walk), 4 min cool-down" */
    function inShort(list) {
      return [...list.children].map((line) => {
        const what = [...line.querySelectorAll("li > b, ol > li > b")];
        const words = (what.length ? what : [line.querySelector("b")]).map((b) => b.textContent);
        const times = line.querySelector(".times");
        const once = words.filter((word) => !times || word !== times.textContent).join(" + ");
        return times ? times.textContent + " (" + once + ")" : once;
      }).join(", ");
    }

    /* The strip and its words. The words stand under it; who hears the page hears them once. */
    function picture(session, id) {
      const planned = planOf(portal.data).sessions.find((one) => one.id === id);
      const list = session.querySelector(".parts");
      if (!planned || !list || planned.parts.length < 2) return;
      const box = document.createElement("div");
      box.className = "strip";
      box.append(...drawn(planned.parts));
      const words = document.createElement("p");
      words.className = "in-short";
      words.textContent = inShort(list);
      session.querySelector(".facts").before(box, words);
      // The list says the same once more unless it says how.
      if (!list.querySelector(".how")) list.remove();
    }

    /* How long the one before it was in the plan, where that differs, and the first reason of its week. */
    function differs(session, found) {
      const id = session.dataset.session;
      const sessions = planOf(portal.data).sessions;
      const was = lastTime(sessions, decodeURIComponent(id));
      const list = was && weekPart(found.week, ".why .reasons");
      if (!list) return null;
      const line = one(".other").cloneNode(true);
      line.hidden = false;
      line.querySelector('[data-fill="was"]').textContent = String(was);
      const ofWeek = [...list.children].filter((li) => !li.matches(".freed, :has(.about)"));
      const why = [".warns", ":has(.told-on)", "li"].map((kind) => ofWeek.find((li) => li.matches(kind))).find(Boolean);
      if (!why) return line;
      const says = why.cloneNode(true);
      for (const more of says.querySelectorAll(".ground, .told-on")) more.remove();
      line.querySelector('[data-fill="why"]').textContent = says.textContent.trim();
      return line;
    }

    function weekPart(week, selector) {
      const drawn = week && drawnWeek(week.number);
      return drawn && drawn.querySelector(selector);
    }

    function draw(isTold) {
      const day = portal.today();
      const moment = day + portal.morning();
      if (moment === shown && isTold !== true) return;
      const again = shown !== "" && moment !== shown;
      const first = shown === "";
      shown = moment;
      root.replaceChildren(...blank.cloneNode(true).childNodes);
      portal.linkUp(root);
      const told = toldHere(portal);
      const found = pick(portal.data, day, told);
      root.dataset.shows = found.state;

      const title = one(".title");
      const label = document.createElement("span");
      label.className = "hide";
      label.textContent = title.textContent + ": ";
      title.replaceChildren(label, longDay(day));
      root.classList.remove("picture");

      const state = one('[data-state="' + found.state + '"]');
      state.hidden = false;
      const begins = state.querySelector('[data-fill="when"]');
      if (begins && found.next) begins.textContent = fromNow(day, found.next.on);

      const todays = found.todays.map((id) => copy(id, 3)).filter(Boolean);
      // The run leads, whenever it is; what else there is stands below it.
      todays.sort((a, b) => ("run" in b.dataset) - ("run" in a.dataset));
      one('[data-state="today"]').append(...todays);
      const run = todays.find((session) => "run" in session.dataset);
      if (run) {
        root.classList.add("picture");
        // What says itself what it is keeps its label for who hears the page.
        for (const label of run.querySelectorAll(".cue dt")) label.classList.add("hide");
        picture(run, decodeURIComponent(run.dataset.session));
        const at = run.querySelector(".at");
        if (at) title.append(", " + at.textContent);
        const line = differs(run, found);
        if (line) run.querySelector(".facts").after(line);
      }
      // What comes next is told only when today has nothing.
      if (found.next && !found.todays.length) {
        one(".next").hidden = false;
        one('[data-fill="next-when"]').textContent = fromNow(day, found.next.on);
        const session = copy(found.next.id, 4);
        if (session) one(".next .slot").append(session);
      }
      const runs = Boolean(run);
      const go = one(".go");
      const beat = go.querySelector("[data-needs]");
      if (beat) beat.hidden = !runs;
      if (beat && one('[data-run="walk"]')) beat.textContent = beat.dataset.walk;
      const idle = ["before", "referred", "ended"].includes(found.state);
      const facts = one(".state .session[data-run] .facts") || one(".state .session .facts");
      const other = root.querySelector(".session .other");
      if (facts) (other || facts).after(go);
      go.hidden = idle || !go.querySelector(".button:not([hidden])");
      const careful = one(".careful:not(.morning)");
      careful.hidden = !runs;
      if (runs) go.after(careful);
      // What to take before it moves no button off a small screen.
      const fuel = one(".state .session[data-run] .fuel");
      if (fuel) {
        const list = facts.cloneNode();
        list.append(fuel);
        careful.after(list);
      }

      one(".morning").hidden = !morningAsked(loadRecord(portal.own).sent, portal.morning());
      const isOpen = (run) => run.run_minutes > 0 && !told.has(run.id)
        && !portal.data.logged.stopped.includes(run.on)
        && run.on < day && run.on >= addDays(day, -ASKED_DAYS);
      const open = planOf(portal.data).sessions.filter(isOpen).pop();
      const asks = one(".untold");
      if (asks && open && portal.data.status === "active") {
        const link = asks.firstElementChild;
        asks.hidden = false;
        link.querySelector("span").textContent = dayName(open.on, words);
        link.dataset.place = "checkin/" + open.id;
        portal.linkUp(asks);
      }

      // Words to all stand here with their days, since a pause or a plan's end has no week.
      for (const dated of root.querySelectorAll(".note-now .dated")) {
        dated.hidden = day < dated.dataset.from || dated.dataset.until < day;
        if (!dated.hidden) one(".note-now").hidden = false;
      }
      const note = weekPart(found.week, ".note:not([data-from])");
      if (note) {
        one(".note-now").hidden = false;
        one(".note-now .slot").append(...note.cloneNode(true).childNodes);
      }
      const why = weekPart(found.week, ".why .reasons");
      if (why) {
        const copied = why.cloneNode(true);
        for (const freed of one(".answered") ? copied.querySelectorAll(".freed") : []) freed.remove();
        one(".why-now").hidden = !copied.children.length;
        one(".why-now .slot").append(copied);
      }
      one(".stale").hidden = !found.stale;

      for (const week of document.querySelectorAll(".week")) {
        const current = week.dataset.start <= day && day <= week.dataset.end;
        const summary = week.querySelector("summary");
        week.querySelector(".here").hidden = !current;
        if (current) summary.setAttribute("aria-current", "date");
        else summary.removeAttribute("aria-current");
        week.classList.toggle("past", week.dataset.end < day);
        if (first) week.open = current;
        if (current) parts.folded.draw(week, portal);
      }
      markDay(told);
      if (again) document.dispatchEvent(new CustomEvent("portal:day"));
    }

    /* Weeks says which session is today's, and of each that was told that it was. */
    function markDay(told) {
      const plan = document.querySelector("[data-say-told]");
      if (!plan) return;
      for (const session of plan.querySelectorAll(".session")) {
        session.classList.toggle("is-today", session.dataset.on === portal.today());
        const isTold = told.has(decodeURIComponent(session.dataset.session));
        const mark = session.querySelector(".is-told");
        if (mark && !isTold) mark.remove();
        if (mark || !isTold) continue;
        const words = document.createElement("b");
        words.className = "is-told";
        words.textContent = plan.dataset.sayTold;
        session.querySelector(".when").append(" ", words);
      }
    }

    draw();
    document.addEventListener("portal:told", () => draw(true));
    document.addEventListener("portal:drawn", () => markDay(toldHere(portal)));
    // A page that stays open over midnight, or comes back from the background days later.
    document.addEventListener("visibilitychange", () => {
      if (!document.hidden) draw();
    });
    window.addEventListener("pageshow", () => draw());
    setInterval(() => draw(), 20000);
  }

  Object.assign(parts.now, { drawn });
  parts.views = Object.assign(parts.views || {}, { now: { show } });
})(typeof self === "undefined" ? globalThis : self);
