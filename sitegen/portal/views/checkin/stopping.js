/* A stop that this device calls for by its own check-ins: on top of every view, which then offers
   no run, over reloads and without a connection, until a build lists the check-in. What is kept for
   it stands apart from the rest, under "stop.ID", since "Forget on this device" ends no such stop. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const { addDays, stampOf } = parts.text;
  const {
    factsOf, gradesOf, isTaken, stillActing, stopOf, holdOf, hurts, hasIllness,
  } = parts.reacting;
  // A device's stops and a build's own, the gravest first; "" is a plan that nothing stops.
  const GRAVEST = ["now", "self_harm", "today", "screening", "pain", "ran", "rest", "ill", "over", ""];
  const KEEP_DAYS = 28; // how long it is known that a build took one; no source

  /* Without storage it acts until the page is left. */
  function createStops(portal) {
    const { data } = portal;
    const stamp = stampOf(data);
    const reacts = Object.assign({ stamp, stop: data.stop }, parts.rules, data.reacts);
    let written = read();

    function read() {
      try {
        return JSON.parse(portal.own.get("stop")) || [];
      } catch (error) {
        return [];
      }
    }

    function keep() {
      if (written.length) portal.own.set("stop", JSON.stringify(written));
      else portal.own.drop("stop");
      show();
    }

    /* A check-in as it stands now, or null where it was emptied. `draft` names the form's session
       while nothing was sent; a sent one is given without it, and stays. */
    function write(draft, entry, isSent) {
      written = written.filter((one) => one.draft !== draft);
      const one = entry && factsOf(entry, reacts.own);
      const counts = one && (gradesOf(reacts, [one])[0] || one.signs.length
        || Object.keys(one.pain).length || hasIllness(reacts, one) || one.well);
      if (counts) written.push(isSent ? one : Object.assign(one, { draft }));
      keep();
    }

    /* Nothing holds where nothing is to be run. */
    function holds() {
      const week = data.weeks.filter(({ start }) => start <= portal.today()).pop() || {};
      if (data.status !== "active" || week.kind === "pause") return "";
      return holdOf(reacts, written, week.start || "");
    }

    function show() {
      const stop = stopOf(reacts, written);
      const box = world.document.getElementById("device-stop");
      const page = world.document.documentElement;
      const held = stop ? "" : holds();
      for (const words of world.document.querySelectorAll("[data-hold]")) {
        words.hidden = words.dataset.hold !== held;
      }
      // Where the page itself says the same or something graver, that alone stands.
      const graver = stop ? GRAVEST.indexOf(data.stop) - GRAVEST.indexOf(stop.grade) : -1;
      const ends = stop && stop.grade === "over" && data.stop === "ill";
      const isShown = graver > 0 || (graver === 0 && !stop.isTaken) || ends;
      box.hidden = !isShown;
      page.toggleAttribute("data-stopped", isShown);
      if (stop) world.document.dispatchEvent(new CustomEvent("portal:stopped"));
      if (!isShown) return;
      for (const words of box.querySelectorAll("[data-grade]")) {
        words.hidden = words.dataset.grade !== stop.grade;
      }
      const where = stop.isDraft ? "draft" : stop.isTaken ? "taken" : "sent";
      for (const words of box.querySelectorAll("[data-where]")) {
        words.hidden = words.dataset.where !== where;
      }
    }

    /* Of what was sent nothing goes that stops or holds; of what was not, nothing that calls for the
       number at once. True where such a one stays, and its check-in with it. */
    function forget() {
      written = stillActing(reacts, written);
      const grades = gradesOf(reacts, written);
      const acts = (one, at) => grades[at] !== "" || hasIllness(reacts, one) || hurts(reacts, one);
      written = written.filter((one, at) => (one.draft ? grades[at] === "now" : acts(one, at)));
      keep();
      return written.some((one) => one.draft);
    }

    /* What was sent, stops and no build has. */
    function waiting() {
      return stillActing(reacts, written).filter((one) => !one.draft && !isTaken(reacts, one));
    }

    for (const one of written) if (isTaken(reacts, one) && !one.taken) one.taken = stamp;
    const last = addDays(portal.today(), -KEEP_DAYS);
    const acting = stillActing(reacts, written);
    written = written.filter((one) => acting.includes(one) || one.on >= last);
    keep();
    world.document.addEventListener("portal:day", show);
    return { write, forget, waiting, stands: () => stopOf(reacts, written) !== null };
  }

  parts.stopping = { createStops };
})(typeof self === "undefined" ? globalThis : self);
