/* A stop that this device calls for by its own check-ins: on top of every view, which then offers
   no run, over reloads and without a connection, until a build lists the check-in. What is kept for
   it stands apart from the rest, under "stop.ID", since "Forget on this device" ends no such stop. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const { factsOf, gradesOf, stillActing, stopOf, holdOf, hurts, hasIllness } = parts.reacting;

  /* Without storage it acts until the page is left. */
  function createStops(portal) {
    const reacts = Object.assign({}, parts.rules, portal.data.reacts);
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
        || Object.keys(one.pain).length || hasIllness(reacts, one));
      if (counts) written.push(isSent ? one : Object.assign(one, { draft }));
      keep();
    }

    function show() {
      const stop = stopOf(reacts, written);
      const box = world.document.getElementById("device-stop");
      const page = world.document.documentElement;
      // Where the coach has taken it in, the page itself says the same.
      const holds = stop ? "" : holdOf(reacts, written);
      for (const words of world.document.querySelectorAll("[data-hold]")) {
        words.hidden = words.dataset.hold !== holds;
      }
      const isShown = Boolean(stop) && !(stop.isTaken && portal.data.status === "referred");
      box.hidden = !isShown;
      page.toggleAttribute("data-stopped", isShown);
      if (!isShown) return;
      for (const words of box.querySelectorAll("[data-grade]")) {
        words.hidden = words.dataset.grade !== stop.grade;
      }
      const where = stop.isDraft ? "draft" : stop.isTaken ? "taken" : "sent";
      for (const words of box.querySelectorAll("[data-where]")) {
        words.hidden = words.dataset.where !== where;
      }
      world.document.dispatchEvent(new CustomEvent("portal:stopped"));
    }

    /* Of what was sent nothing goes that stops or holds; of what was not, nothing that calls for the
       number at once. True where such a one stays, and its check-in with it. */
    function forget() {
      const grades = gradesOf(reacts, written);
      const acts = (one, at) => grades[at] !== "" || hasIllness(reacts, one) || hurts(reacts, one);
      written = written.filter((one, at) => (one.draft ? grades[at] === "now" : acts(one, at)));
      keep();
      return written.some((one) => one.draft);
    }

    written = stillActing(reacts, written);
    keep();
    return { write, forget, stands: () => stopOf(reacts, written) !== null };
  }

  parts.stopping = { createStops };
})(typeof self === "undefined" ? globalThis : self);
